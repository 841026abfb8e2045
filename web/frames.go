package web

import (
	"bytes"
	chain "container/list"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"net/http"
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
	// videos, about as long as finding the place takes.
	runLength = 16
	// picturesKept bounds the memory for pictures: some thousand of 720p.
	picturesKept = 192 << 20
	// pictureQuality is where no difference is seen when pixels are magnified
	// (common practice, no source).
	pictureQuality = 92
	// narrowest and widest bound what ?width= may ask for.
	narrowest, widest = 16, 8192
)

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
	width := 0
	if asked := r.URL.Query().Get("width"); asked != "" {
		if width, err = strconv.Atoi(asked); err != nil || width < narrowest || width > widest {
			s.fail(w, r, &unfit{fmt.Sprintf("A picture is %d to %d pixels wide.", narrowest, widest)})
			return
		}
	}
	body, err := s.pictures.get(r.Context(), sha, mark.Frame(n), width)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	h := w.Header()
	h.Set("Content-Type", "image/jpeg")
	h.Set("Cache-Control", forever)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	_, _ = w.Write(body) // a browser that has left needs no answer
}

// shot names one picture; width 0 is the frame as it is.
type shot struct {
	sha   string
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
	last  map[string]mark.Frame
}

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
	// waiting counts who waits for a frame of it; ahead is true for one that was
	// begun before anybody asked.
	waiting int
	ahead   bool
}

func newPictures(s *Server) *pictures {
	return &pictures{s: s, kept: map[shot]*chain.Element{}, order: chain.New(), runs: map[string]*run{}, last: map[string]mark.Frame{}}
}

// get returns a frame as JPEG. Errors: study.ErrNotFound for a frame that the video
// does not have; what the reel says of a video that it cannot read; that of ctx.
func (p *pictures) get(ctx context.Context, sha string, f mark.Frame, width int) ([]byte, error) {
	way := mark.Frame(0)
	if width == 0 {
		way = p.arrive(sha, f)
	}
	if body := p.look(shot{sha, f, width}); body != nil {
		p.ahead(sha, f, way)
		return body, nil
	}
	clip, path, err := p.s.clip(ctx, sha)
	if err != nil {
		return nil, err
	}
	if !clip.Has(f) {
		return nil, fmt.Errorf("%w: the video has the frames 0 to %d", study.ErrNotFound, clip.Frames()-1)
	}
	if width > 0 {
		return p.small(ctx, shot{sha, f, width}, path, clip)
	}
	body, err := p.wait(ctx, sha, path, clip, f, way)
	if err == nil {
		p.ahead(sha, f, way)
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

// arrive notes where the hand is and returns which way it walks: 1 or −1, 0 where
// it jumped.
func (p *pictures) arrive(sha string, f mark.Frame) mark.Frame {
	p.mu.Lock()
	before, known := p.last[sha]
	p.last[sha] = f
	p.mu.Unlock()
	switch step := f - before; {
	case !known || step == 0 || step > runLength || step < -runLength:
		return 0
	case step < 0:
		return -1
	}
	return 1
}

// ahead begins to decode what a walking hand will reach next.
func (p *pictures) ahead(sha string, f, way mark.Frame) {
	if way == 0 {
		return
	}
	x := p.s.clips.look(sha)
	if x == nil || !x.ended() || x.err != nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if r := p.runs[sha]; r != nil && !r.ended {
		return
	}
	for k := mark.Frame(1); k <= runLength/2; k++ {
		next := f + k*way
		if !x.clip.Has(next) {
			return
		}
		if p.kept[shot{sha, next, 0}] == nil {
			p.begin(sha, x.path, x.clip, next, way, true)
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
			if r != nil && !r.ended && r.ahead && r.waiting == 0 {
				r.leave() // decoded ahead for a hand that has gone elsewhere
			}
			r = p.begin(sha, path, clip, f, way, false)
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

// begin starts a run about a frame; p.mu is held.
func (p *pictures) begin(sha, path string, clip mark.Clip, f, way mark.Frame, ahead bool) *run {
	from, to := f, min(f+runLength-1, mark.Frame(clip.Frames()-1))
	if way < 0 {
		from, to = max(0, f-runLength+1), f
	}
	ctx, cancel := context.WithCancel(p.s.life)
	r := &run{from: from, to: to, next: from, moved: make(chan struct{}), cancel: cancel, ahead: ahead}
	p.runs[sha] = r
	go func() {
		err := p.decode(ctx, r, sha, path, clip)
		cancel()
		p.mu.Lock()
		r.ended, r.err = true, err
		close(r.moved)
		p.mu.Unlock()
	}()
	return r
}

func (p *pictures) decode(ctx context.Context, r *run, sha, path string, clip mark.Clip) error {
	leave, err := p.s.decoding.wait(ctx)
	if err != nil {
		return err
	}
	defer leave()
	return p.s.c.Reel.Run(ctx, path, clip, r.from, r.to, func(f mark.Frame, picture image.Image) error {
		body, err := encoded(picture)
		if err != nil {
			return err
		}
		p.keep(shot{sha, f, 0}, body)
		p.mu.Lock()
		defer p.mu.Unlock()
		r.next = f + 1
		close(r.moved)
		r.moved = make(chan struct{})
		return nil
	})
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
