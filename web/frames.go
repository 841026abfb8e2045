package web

import (
	"bytes"
	chain "container/list"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"net/http"
	"runtime"
	"strconv"
	"strings"
	"sync"

	"golang.org/x/image/draw"

	"mesure/sport/mark"
	"mesure/study"
)

// Exact frames as pictures, for browsers that cannot decode a video themselves and
// for lists. A frame that is not at hand is decoded with those that the hand will
// reach next, because finding the place in the file costs more than the frames.

const (
	// runLength is how many frames are decoded at a time: half a second of most
	// videos, about as long as finding the place takes. What is decoded ahead of a
	// hand that walks on is twice as long, since its first frame comes first; of one
	// that walks back it is not, since the frame wanted first comes last.
	runLength = 16
	// picturesKept bounds the memory for pictures: some thousand of 720p.
	picturesKept = 192 << 20
	// pictureQuality is where no difference is seen when pixels are magnified
	// (common practice, no source).
	pictureQuality = 92
	// narrowest and widest bound what ?width= may ask for.
	narrowest, widest = 16, 8192
)

// encoders is how many pictures of a run are made into JPEGs at once, which takes
// longer than decoding them. Each holds its picture: 33 MB of 4K.
var encoders = min(4, runtime.GOMAXPROCS(0))

// frameRoutes registers the single frames of a video.
func (s *Server) frameRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /media/{sha256}/frame/{file}", s.frame)
}

// frame answers with one frame as a JPEG. The content behind an address never
// changes, so a browser may keep it for good.
func (s *Server) frame(w http.ResponseWriter, r *http.Request) {
	sha := r.PathValue("sha256")
	number, isJPEG := strings.CutSuffix(r.PathValue("file"), ".jpg")
	n, err := strconv.Atoi(number)
	if err != nil || !isJPEG || !shaWord.MatchString(sha) {
		s.fail(w, r, study.ErrNotFound)
		return
	}
	film := sha
	if r.URL.Query().Get("fields") == "1" {
		film += asFields
	}
	width := 0
	if asked := r.URL.Query().Get("width"); asked != "" {
		if width, err = strconv.Atoi(asked); err != nil || width < narrowest || width > widest {
			s.fail(w, r, &unfit{fmt.Sprintf("A picture is %d to %d pixels wide.", narrowest, widest)})
			return
		}
	}
	h := w.Header()
	tag := fmt.Sprintf(`"%s-%d-%d-%d"`, film, n, width, pictureQuality)
	if r.Header.Get("If-None-Match") == tag { // it was handed out once, and is the same for good
		h.Set("ETag", tag)
		h.Set("Cache-Control", forever)
		w.WriteHeader(http.StatusNotModified)
		return
	}
	body, err := s.pictures.get(r.Context(), film, mark.Frame(n), width)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	h.Set("ETag", tag)
	h.Set("Content-Type", "image/jpeg")
	h.Set("Cache-Control", forever)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	_, _ = w.Write(body) // a browser that has left needs no answer
}

// asFields follows the hash of a video where its frames are its fields: the name of
// what is looked at, since both have frames of the same numbers.
const asFields = "+fields"

// filmed returns the hash of a video and how it is read.
func filmed(film string) (sha string, v study.Video) {
	sha, fields := strings.CutSuffix(film, asFields)
	return sha, study.Video{Fields: fields}
}

// shot names one picture; width 0 is the frame as it is.
type shot struct {
	sha   string // with asFields for a field
	frame mark.Frame
	width int
}

// pictures has the frames that were asked for lately, as JPEGs.
type pictures struct {
	s     *Server
	mu    sync.Mutex
	kept  map[shot]*chain.Element
	order *chain.List // of *keptPicture, the latest first
	bytes int
	runs  map[string]*run // the one under way of each video, the latest
	hands map[string]hand
}

// hand is where the hand is in a video, and which way it walks: 1, −1, or 0 after a
// jump.
type hand struct{ at, way mark.Frame }

type keptPicture struct {
	of   shot
	jpeg []byte
}

// run is a run of frames that is being decoded.
type run struct {
	from, to mark.Frame
	// next is the frame that comes next; all before it are there.
	next mark.Frame
	// moved is closed and made anew with every frame, and at the end.
	moved  chan struct{}
	ended  bool
	err    error
	cancel context.CancelFunc
	// left is true once it was cancelled: nobody may join it any more.
	left bool
	// waiting counts who waits for a frame of it.
	waiting int
}

func newPictures(s *Server) *pictures {
	return &pictures{s: s, kept: map[shot]*chain.Element{}, order: chain.New(), runs: map[string]*run{}, hands: map[string]hand{}}
}

// get returns a frame as JPEG. Errors: study.ErrNotFound for a frame that the video
// does not have; what the reel says of a video that it cannot read; that of ctx.
func (p *pictures) get(ctx context.Context, sha string, f mark.Frame, width int) ([]byte, error) {
	way := mark.Frame(0)
	if width == 0 {
		way = p.arrive(sha, f)
	}
	if body := p.look(shot{sha, f, width}); body != nil {
		p.ahead(sha)
		return body, nil
	}
	file, read := filmed(sha)
	clip, path, err := p.s.clip(ctx, file)
	if err != nil {
		return nil, err
	}
	clip = read.Clip(clip)
	if !clip.Has(f) {
		return nil, fmt.Errorf("%w: the video has the frames 0 to %d", study.ErrNotFound, clip.Frames()-1)
	}
	if width > 0 {
		return p.small(ctx, shot{sha, f, width}, path, clip)
	}
	body, err := p.wait(ctx, sha, path, clip, f, way)
	if err == nil {
		p.ahead(sha)
	}
	return body, err
}

func (p *pictures) look(k shot) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	e := p.kept[k]
	if e == nil {
		return nil
	}
	p.order.MoveToFront(e)
	return e.Value.(*keptPicture).jpeg
}

func (p *pictures) keep(k shot, body []byte) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.kept[k] != nil {
		return
	}
	p.kept[k] = p.order.PushFront(&keptPicture{k, body})
	p.bytes += len(body)
	for p.bytes > picturesKept && p.order.Len() > 1 {
		oldest := p.order.Back()
		old := oldest.Value.(*keptPicture)
		p.order.Remove(oldest)
		delete(p.kept, old.of)
		p.bytes -= len(old.jpeg)
	}
}

// arrive notes where the hand is and returns which way it walks.
func (p *pictures) arrive(sha string, f mark.Frame) (way mark.Frame) {
	p.mu.Lock()
	defer p.mu.Unlock()
	before, known := p.hands[sha]
	switch step := f - before.at; {
	case !known || step == 0 || step > runLength || step < -runLength:
	case step < 0:
		way = -1
	default:
		way = 1
	}
	p.hands[sha] = hand{f, way}
	return way
}

// ahead begins to decode what a walking hand will reach next, unless a run is under
// way: its end comes back here.
func (p *pictures) ahead(sha string) {
	file, read := filmed(sha)
	x := p.s.clips.look(file)
	if x == nil || !x.ended() || x.err != nil {
		return
	}
	clip := read.Clip(x.clip)
	p.mu.Lock()
	defer p.mu.Unlock()
	at, way := p.hands[sha].at, p.hands[sha].way
	if r := p.runs[sha]; way == 0 || r != nil && !r.ended {
		return
	}
	for k := mark.Frame(1); k <= runLength; k++ {
		next := at + k*way
		if !clip.Has(next) {
			return
		}
		if p.kept[shot{sha, next, 0}] == nil {
			length := mark.Frame(runLength)
			if way > 0 {
				length *= 2
			}
			p.begin(sha, x.path, clip, next, way, length)
			return
		}
	}
}

// wait waits for a frame of a run that holds it, and begins one where there is none.
func (p *pictures) wait(ctx context.Context, sha, path string, clip mark.Clip, f, way mark.Frame) ([]byte, error) {
	k := shot{sha, f, 0}
	for {
		p.mu.Lock()
		if e := p.kept[k]; e != nil {
			p.order.MoveToFront(e)
			p.mu.Unlock()
			return e.Value.(*keptPicture).jpeg, nil
		}
		r := p.runs[sha]
		if r == nil || r.ended || r.left || f < r.next || f > r.to {
			if r != nil && !r.ended && r.waiting == 0 {
				r.leave() // the hand has gone elsewhere
			}
			r = p.begin(sha, path, clip, f, way, runLength)
		}
		r.waiting++
		moved := r.moved
		p.mu.Unlock()

		var err error
		select {
		case <-moved:
		case <-ctx.Done():
			err = ctx.Err()
		}
		p.mu.Lock()
		r.waiting--
		if err == nil && r.ended && p.kept[k] == nil {
			if err = r.err; err == nil {
				err = fmt.Errorf("frame %d did not come", f)
			}
		}
		if ctx.Err() != nil && r.waiting == 0 && !r.ended && f >= r.next {
			r.leave()
		}
		p.mu.Unlock()
		if err != nil {
			return nil, err
		}
	}
}

// leave gives a run up; p.mu is held.
func (r *run) leave() {
	r.left = true
	r.cancel()
}

// begin starts a run from a frame on, back from it where the hand walks back; p.mu
// is held.
func (p *pictures) begin(sha, path string, clip mark.Clip, f, way, length mark.Frame) *run {
	from, to := f, min(f+length-1, mark.Frame(clip.Frames()-1))
	if way < 0 {
		from, to = max(0, f-length+1), f
	}
	ctx, cancel := context.WithCancel(p.s.life)
	r := &run{from: from, to: to, next: from, moved: make(chan struct{}), cancel: cancel}
	p.runs[sha] = r
	go func() {
		err := p.decode(ctx, r, sha, path, clip)
		cancel()
		p.mu.Lock()
		r.ended, r.err = true, err
		close(r.moved)
		p.mu.Unlock()
		if err == nil {
			p.ahead(sha)
		}
	}()
	return r
}

// encoding is a picture of a run that is being made into a JPEG.
type encoding struct {
	frame mark.Frame
	jpeg  []byte
	err   error
	done  chan struct{}
}

func (p *pictures) decode(ctx context.Context, r *run, sha, path string, clip mark.Clip) error {
	leave, err := p.s.decoding.wait(ctx)
	if err != nil {
		return err
	}
	defer leave()
	made, kept := make(chan *encoding, encoders-1), make(chan error, 1)
	go func() { kept <- p.collect(r, sha, made) }()
	err = p.s.c.Reel.Run(ctx, path, clip, r.from, r.to, func(f mark.Frame, picture image.Image) error {
		e := &encoding{frame: f, done: make(chan struct{})}
		go func() {
			e.jpeg, e.err = encoded(picture)
			close(e.done)
		}()
		made <- e // collect takes what comes until the end
		return nil
	})
	close(made)
	if bad := <-kept; err == nil {
		err = bad
	}
	return err
}

// collect keeps the pictures of a run in their order and tells who waits.
func (p *pictures) collect(r *run, sha string, made <-chan *encoding) (err error) {
	for e := range made {
		<-e.done
		if err == nil {
			err = e.err
		}
		if err != nil {
			continue
		}
		p.keep(shot{sha, e.frame, 0}, e.jpeg)
		p.mu.Lock()
		r.next = e.frame + 1
		close(r.moved)
		r.moved = make(chan struct{})
		p.mu.Unlock()
	}
	return err
}

// small returns a frame made narrower, for lists.
func (p *pictures) small(ctx context.Context, k shot, path string, clip mark.Clip) ([]byte, error) {
	leave, err := p.s.decoding.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	if body := p.look(k); body != nil { // made while this one waited
		return body, nil
	}
	picture, err := p.s.c.Reel.Still(ctx, path, clip, k.frame)
	if err != nil {
		return nil, err
	}
	if b := picture.Bounds(); k.width < b.Dx() {
		less := image.NewRGBA(image.Rect(0, 0, k.width, max(1, b.Dy()*k.width/b.Dx())))
		draw.CatmullRom.Scale(less, less.Bounds(), picture, b, draw.Src, nil)
		picture = less
	}
	body, err := encoded(picture)
	if err != nil {
		return nil, err
	}
	p.keep(k, body)
	return body, nil
}

func encoded(picture image.Image) ([]byte, error) {
	var b bytes.Buffer
	err := jpeg.Encode(&b, picture, &jpeg.Options{Quality: pictureQuality})
	return b.Bytes(), err
}
