package main

import (
	"context"
	"fmt"
	"image"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"mesure/show/clip"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// studio reads takes and writes clips with a video engine.
type studio struct {
	engine video.Engine
	// overlays is what overlays alone are written as.
	overlays video.Format
	reels    map[string]*takes // by touch; that which is told is ""
	lost     func() []video.Ability
}

var _ clip.Studio = (*studio)(nil)

// takes are the videos of one touch.
type takes struct {
	reading *study.Reading
	path    func(study.Video) (string, error)

	mu    sync.Mutex
	paths map[string]string // found already: finding one may hash the whole file
}

// newStudio is a studio for a touch and what it plays beside. path says where a video
// of a touch lies.
func newStudio(e video.Engine, overlays video.Format, told *study.Reading, others map[string]*study.Reading, path func(touch string, v study.Video) (string, error)) *studio {
	s := &studio{engine: e, overlays: overlays, reels: map[string]*takes{}}
	add := func(name string, r *study.Reading) {
		s.reels[name] = &takes{reading: r, path: func(v study.Video) (string, error) { return path(name, v) }, paths: map[string]string{}}
	}
	add("", told)
	for name, r := range others {
		if name != "" {
			add(name, r)
		}
	}
	s.lost = sync.OnceValue(func() []video.Ability {
		h, err := e.Doctor(context.Background())
		if err != nil {
			return nil // writing will say what is wrong
		}
		return slices.DeleteFunc(h.Can, func(a video.Ability) bool { return !a.Write || a.Has })
	})
	return s
}

// take finds the file of a take and what is known of it.
func (s *studio) take(touch, id string) (string, mark.Clip, error) {
	t := s.reels[touch]
	if t == nil {
		return "", mark.Clip{}, fmt.Errorf("%w: the touch %q is not at hand", study.ErrNotFound, touch)
	}
	k, ok := t.reading.Touch.Take(id)
	v, there := t.reading.Touch.Video(k.Video)
	known, read := t.reading.Clips[k.Video]
	if !ok || !there || !read {
		return "", mark.Clip{}, fmt.Errorf("%w: the take %q has no video", study.ErrNotFound, id)
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if p := t.paths[v.ID]; p != "" {
		return p, known, nil
	}
	p, err := t.path(v)
	if err != nil {
		return "", mark.Clip{}, err
	}
	t.paths[v.ID] = p
	return p, known, nil
}

// Run decodes a run of a take.
func (s *studio) Run(ctx context.Context, touch, take string, from, to mark.Frame, crop image.Rectangle, w, h int, fn func(f mark.Frame, p *image.YCbCr) error) error {
	path, known, err := s.take(touch, take)
	if err != nil {
		return err
	}
	return s.engine.FramesAt(ctx, path, known, from, to, crop, w, h, func(f video.Frame) error { return fn(f.Number, f.YCbCr()) })
}

// spec is that of every piece of a form.
func (s *studio) spec(f clip.Form, w, h int, as video.Format) video.Spec {
	rate := f.Rate
	if rate == 0 {
		rate = 30
	}
	return video.Spec{Width: w, Height: h, Rate: rate, Format: as}
}

func formatOf(f clip.Form) video.Format {
	if f.File == "webm" {
		return video.FormatWebM
	}
	return video.FormatMP4
}

// Piece begins one piece of a clip.
func (s *studio) Piece(ctx context.Context, path string, f clip.Form, w, h int) (clip.Sink, error) {
	out, err := s.engine.Create(ctx, path, s.spec(f, w, h, formatOf(f)))
	if err != nil {
		return nil, err
	}
	return sink{out}, nil
}

type sink struct{ *video.Writer }

// Add takes one frame.
func (s sink) Add(p *image.YCbCr) error { return s.Planes(p) }

// Overlays begins a film of overlays alone.
func (s *studio) Overlays(ctx context.Context, path string, f clip.Form, w, h int) (clip.AlphaSink, error) {
	out, err := s.engine.Create(ctx, path, s.spec(f, w, h, s.overlays))
	if err != nil {
		return nil, err
	}
	return alphaSink{out}, nil
}

type alphaSink struct{ *video.Writer }

// Add takes one frame.
func (s alphaSink) Add(p *image.RGBA) error { return s.RGBA(p) }

// Join puts pieces together, with sound and chapters. Where the engine has no encoder for
// the sound, the clip is silent: Lost says so.
func (s *studio) Join(ctx context.Context, path string, pieces []string, f clip.Form, sounds []clip.Sound, chapters []clip.Chapter) error {
	// Only what all pieces have in common counts here; their size is that of the first.
	w, h, err := s.sizeOf(ctx, pieces)
	if err != nil {
		return err
	}
	o := video.JoinOptions{Spec: s.spec(f, w, h, formatOf(f)), Sound: f.Sound == "original" && s.lacks(soundCodec(f), true) == ""}
	if o.Sound {
		for _, x := range sounds {
			heard, err := s.heard(x)
			if err != nil {
				return err
			}
			o.Sounds = append(o.Sounds, heard)
		}
	}
	for _, c := range chapters {
		o.Chapters = append(o.Chapters, video.Chapter{At: mark.FileTime(c.At), Title: c.Title})
	}
	return s.engine.Join(ctx, path, pieces, o)
}

// JoinOverlays puts pieces of overlays together.
func (s *studio) JoinOverlays(ctx context.Context, path string, pieces []string, f clip.Form) error {
	w, h, err := s.sizeOf(ctx, pieces)
	if err != nil {
		return err
	}
	return s.engine.Join(ctx, path, pieces, video.JoinOptions{Spec: s.spec(f, w, h, s.overlays)})
}

// sizeOf is the size of the first piece.
func (s *studio) sizeOf(ctx context.Context, pieces []string) (w, h int, err error) {
	if len(pieces) == 0 {
		return video.MinSide, video.MinSide, nil // Join says that there is nothing to join
	}
	c, err := s.engine.Probe(ctx, pieces[0], nil)
	return c.Width, c.Height, err
}

// heard is the sound of a take by the time stamps of its file: the last frame is heard to
// its end.
func (s *studio) heard(x clip.Sound) (video.Sound, error) {
	path, c, err := s.take(x.Touch, x.Take)
	if err != nil {
		return video.Sound{}, err
	}
	c = c.Whole()
	if !c.Has(x.From) || !c.Has(x.To) {
		return video.Sound{}, fmt.Errorf("%w: the take %q has no frames %d to %d to be heard", study.ErrNotFound, x.Take, x.From, x.To)
	}
	return video.Sound{Path: path, From: c.Times[x.From], To: endOf(c, x.To), At: mark.FileTime(x.At)}, nil
}

// endOf is when a frame gives way to the next one; the last stands as long as the one
// before it.
func endOf(c mark.Clip, f mark.Frame) mark.FileTime {
	switch {
	case c.Has(f + 1):
		return c.Times[f+1]
	case f > 0:
		return 2*c.Times[f] - c.Times[f-1]
	}
	return c.Times[f]
}

func soundCodec(f clip.Form) string {
	if f.File == "webm" {
		return "opus"
	}
	return "aac"
}

// lacks says what is lost where the engine cannot write a codec; empty where it can.
func (s *studio) lacks(codec string, sound bool) string {
	for _, a := range s.lost() {
		if a.Codec == codec && a.Sound == sound {
			return a.Lost
		}
	}
	return ""
}

// Lost says what of a form this machine cannot write.
func (s *studio) Lost(f clip.Form) []string {
	picture, written := "h264", "MP4"
	if f.File == "webm" {
		picture, written = "vp9", "WebM"
	}
	var all []string
	say := func(lost string) {
		if lost != "" {
			all = append(all, fmt.Sprintf("The %s engine lacks an encoder for %s: %s.", s.engine.Name(), written, lost))
		}
	}
	say(s.lacks(picture, false))
	if f.Sound == "original" {
		say(s.lacks(soundCodec(f), true))
	}
	return all
}

// How much of finished pieces is kept, and how long: some twenty clips of a minute.
const (
	piecesBytes = 2 << 30
	piecesAge   = 14 * 24 * time.Hour
	// halfAge is when a piece that is still being written was given up: its name begins
	// with a dot.
	halfAge = 24 * time.Hour
)

// piecesFolder is where finished pieces of clips are kept, so that a render that was cut
// short goes on where it was; empty without a cache. What one engine wrote cannot be joined
// to what another one did, so each way of encoding has a folder of its own. Too old ones
// go, and the oldest of too many.
func piecesFolder(e video.Engine) string {
	root, err := cacheFolder("pieces")
	if err != nil {
		return ""
	}
	dir := filepath.Join(root, video.Way(e))
	if os.MkdirAll(dir, 0o700) != nil {
		return ""
	}
	prunePieces(root, time.Now(), piecesBytes)
	return dir
}

// keptPiece is a file of the cache.
type keptPiece struct {
	path string
	info fs.FileInfo
}

func prunePieces(root string, now time.Time, most int64) {
	var all []keptPiece
	_ = filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
		if err != nil || !e.Type().IsRegular() {
			return nil // it only saves room
		}
		info, err := e.Info()
		if err != nil {
			return nil
		}
		age := now.Sub(info.ModTime())
		if age > piecesAge || age > halfAge && strings.HasPrefix(info.Name(), ".") {
			os.Remove(path)
			return nil
		}
		all = append(all, keptPiece{path, info})
		return nil
	})
	slices.SortFunc(all, func(a, b keptPiece) int { return b.info.ModTime().Compare(a.info.ModTime()) }) // the newest first
	for _, p := range all {
		if most -= p.info.Size(); most < 0 {
			os.Remove(p.path)
		}
	}
}
