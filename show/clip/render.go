package clip

import (
	"context"
	"fmt"
	"image"
	"math"
	"slices"
	"sync"

	"mesure/sport/mark"
)

// RenderTo writes the clip. Finished pieces are kept in the folder cache under their
// keys and used again by the next render, so that one that was broken off goes on where
// it was; an empty cache keeps none. tell may be nil and is called with the share that is
// done. After an error nothing stands at path that was not there before; finished pieces
// stay. It returns the errors of the studio and of ctx, and a *Trouble where there is no
// shot to show.
func (f *Film) RenderTo(ctx context.Context, path, cache string, s Studio, tell func(share float64)) error {
	s = keepStills(s)
	return f.render(ctx, path, cache, f.pieceEnding(), tell, func(ctx context.Context, at string, p section, tell func()) error {
		return f.renderPiece(ctx, at, p, s, tell)
	}, func(pieces []string) error {
		return s.Join(ctx, path, pieces, f.form, f.Sounds(), f.Chapters())
	})
}

// renderSection writes one section to a path and calls tell for each frame.
type renderSection func(ctx context.Context, at string, p section, tell func()) error

// render makes what of a film is not kept yet, section by section, and joins it. ending is
// that of the files of this kind.
func (f *Film) render(ctx context.Context, path, cache, ending string, tell func(share float64), render renderSection, join func(pieces []string) error) error {
	if len(f.shots) == 0 {
		return f.nothing()
	}
	cache, drop, err := cacheBeside(path, cache)
	if err != nil {
		return err
	}
	defer drop()
	if tell == nil {
		tell = func(float64) {}
	}
	pieces, err := f.renderPieces(ctx, func(p section) string { return p.in(cache, ending) }, tell, render)
	if err != nil {
		return err
	}
	if err := join(pieces); err != nil {
		return err
	}
	tell(1)
	return nil
}

// together is how many pieces are rendered at the same time: a piece begins with what
// one processor does alone (a decoder starts, a plate is drawn) and ends with what the
// encoder still holds.
const together = 2

// renderPieces makes the sections that are not there yet and returns where all of them are,
// in the order of the clip and as often as each is shown: in says where a section is kept,
// render makes it. The first error of a section ends the others.
func (f *Film) renderPieces(ctx context.Context, in func(section) string, tell func(share float64), render renderSection) ([]string, error) {
	all := f.Frames()
	var mu sync.Mutex
	done := 0
	more := func(n int) {
		mu.Lock()
		defer mu.Unlock()
		done += n
		tell(share(done, all))
	}
	var pieces []string
	var missing []section
	seen := map[string]bool{} // shots that are alike have the same sections
	for _, p := range f.sections() {
		at := in(p)
		pieces = append(pieces, slices.Repeat([]string{at}, p.times)...)
		if seen[at] || finishedPiece(at) {
			more(p.frames * p.times)
			continue
		}
		seen[at] = true
		missing = append(missing, p)
	}
	// The long ones first, so that both end at about the same time.
	slices.SortStableFunc(missing, func(a, b section) int { return b.frames - a.frames })
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	next := make(chan section, len(missing))
	for _, p := range missing {
		next <- p
	}
	close(next)
	workers := min(together, len(missing))
	if f.serial {
		workers = min(1, len(missing))
	}
	var busy sync.WaitGroup
	for range workers {
		busy.Go(func() {
			for p := range next {
				if ctx.Err() != nil {
					return
				}
				if err := render(ctx, in(p), p, func() { more(p.times) }); err != nil {
					stop(err)
					return
				}
			}
		})
	}
	busy.Wait()
	if err := context.Cause(ctx); err != nil {
		return nil, err
	}
	return pieces, nil
}

// joining is the share of the work, about, that putting the pieces together takes.
const joining = 0.03

func share(done, all int) float64 { return (1 - joining) * float64(done) / float64(all) }

// nothing says why there is no clip.
func (f *Film) nothing() error {
	if len(f.troubles) > 0 {
		t := f.troubles[0]
		return &t
	}
	return &Trouble{Kind: TroubleShot, What: "the storyboard has no shot", Mend: "add one, or draft it anew", Out: true}
}

// renderPiece writes one section. Composing runs ahead of the sink.
func (f *Film) renderPiece(ctx context.Context, path string, b section, s Studio, tell func()) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	w, h := f.Size()
	sink, err := s.Piece(ctx, path, f.form, w, h)
	if err != nil {
		return err
	}
	err = f.frames(ctx, b, s, func(p *image.YCbCr, times int) error {
		for range times {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := sink.Add(p); err != nil {
				return err
			}
			tell()
		}
		return nil
	})
	if err != nil {
		sink.Abort()
		return err
	}
	return sink.Close()
}

// buffers is how many finished frames may wait for the sink.
const buffers = 3

// finished is a composed frame that is shown so many times.
type finished struct {
	p     *image.YCbCr
	times int
}

// frames composes the frames of one section and hands them to add in order, each with how
// many times it is shown. What add gets is valid until it returns.
func (f *Film) frames(ctx context.Context, b section, footage Footage, add func(p *image.YCbCr, times int) error) error {
	if f.serial {
		free := newPlanes(f.st.w, f.st.h)
		return f.compose(ctx, b, footage, func() (*image.YCbCr, error) { return free, nil }, func(x finished) error { return add(x.p, x.times) })
	}
	ctx, stop := context.WithCancel(ctx)
	free, out := make(chan *image.YCbCr, buffers), make(chan finished, buffers)
	for range buffers {
		free <- newPlanes(f.st.w, f.st.h)
	}
	var bad error
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		defer close(out)
		bad = f.compose(ctx, b, footage, func() (*image.YCbCr, error) {
			select {
			case p := <-free:
				return p, nil
			case <-ctx.Done():
				return nil, ctx.Err()
			}
		}, func(x finished) error {
			select {
			case out <- x:
				return nil
			case <-ctx.Done():
				return ctx.Err()
			}
		})
	}()
	var err error
	for x := range out {
		if err == nil {
			if err = add(x.p, x.times); err != nil {
				stop()
			}
		}
		free <- x.p
	}
	<-ended
	stop()
	if err != nil {
		return err
	}
	return bad
}

// compose makes the frames of one section.
func (f *Film) compose(ctx context.Context, b section, footage Footage, take func() (*image.YCbCr, error), give func(finished) error) error {
	c := newComposer(b.bound, f.st)
	views := b.views()
	reels := make([]*reel, len(views))
	end := b.from + b.frames
	first, last := b.pos(b.from), b.pos(end-1)
	for k, v := range views {
		reels[k] = unreel(ctx, footage, v, mark.Frame(math.Floor(first[k])), mark.Frame(math.Ceil(last[k])), c.frames[k])
		defer reels[k].close()
	}
	next := c.at(b.from)
	for i := b.from; i < end; {
		now, n := next, 1
		for i+n < end {
			if next = c.at(i + n); !next.equal(now) {
				break
			}
			n++
		}
		p, err := take()
		if err != nil {
			return err
		}
		if err := c.fill(p, now, reels); err != nil {
			return err
		}
		if err := give(finished{p, n}); err != nil {
			return err
		}
		i += n
	}
	return nil
}

// fill makes one frame.
func (c *composer) fill(p *image.YCbCr, s state, reels []*reel) error {
	if !c.covers() {
		copyPlanes(p, image.Point{}, c.base)
	}
	for k, r := range reels {
		f := mark.Frame(math.Floor(s.pos[k]))
		a, b, err := r.frame(f, s.pos[k] > float64(f))
		if err != nil {
			return err
		}
		c.frames[k].picture(p, a, b, s.pos[k])
	}
	s.put(p)
	return nil
}

// covers says that the picture of the take leaves nothing of the ground.
func (c *composer) covers() bool {
	return c.b.main != nil && c.b.other == nil && c.frames[0].dest == image.Rect(0, 0, c.st.w, c.st.h)
}

// OverlayPNG is the overlay of one frame alone, premultiplied. The error is one for a
// frame that the clip does not have.
func (f *Film) OverlayPNG(n int) (*image.RGBA, error) {
	b, i, err := f.find(n)
	if err != nil {
		return nil, err
	}
	img := image.NewRGBA(image.Rect(0, 0, f.st.w, f.st.h))
	newComposer(b, f.st).at(i).alone(img)
	return img, nil
}

// find is the shot of a frame of the clip, and which of its frames that is.
func (f *Film) find(n int) (*bound, int, error) {
	for _, b := range f.shots {
		if n >= b.first && n < b.first+b.count {
			return b, n - b.first, nil
		}
	}
	return nil, 0, fmt.Errorf("clip: there is no frame %d: the clip has %d", n, f.Frames())
}
