package clip

import (
	"context"
	"errors"
	"fmt"
	"image"
	"sync"

	"mesure/sport/mark"
)

// reel hands out the pictures of a take in order, decoded ahead in a goroutine of its
// own.
type reel struct {
	stop context.CancelFunc
	ch   chan decoded
	free chan *image.YCbCr
	done sync.WaitGroup
	err  error // of the decoding; read after ch was closed

	w, h      int
	seen      *seen
	prev, cur decoded
}

type decoded struct {
	f mark.Frame
	p *image.YCbCr
}

// ahead is how many pictures are decoded before they are asked for.
const ahead = 3

var errStopped = errors.New("clip: no more pictures are asked for")

// unreel begins to decode a take from one frame to another, cut and scaled as the
// framing says.
func unreel(ctx context.Context, footage Footage, s *seen, from, to mark.Frame, f framing) *reel {
	ctx, stop := context.WithCancel(ctx)
	r := &reel{stop: stop, ch: make(chan decoded, ahead), free: make(chan *image.YCbCr, ahead+3), w: f.dest.Dx(), h: f.dest.Dy(), seen: s,
		prev: decoded{f: -1}, cur: decoded{f: -1}}
	for range cap(r.free) {
		r.free <- nil // made when it is first wanted
	}
	r.done.Add(1)
	go func() {
		defer r.done.Done()
		defer close(r.ch)
		r.err = footage.Run(ctx, s.touch, s.take.ID, from, to, f.crop, r.w, r.h, func(n mark.Frame, p *image.YCbCr) error {
			if p.Rect.Dx() != r.w || p.Rect.Dy() != r.h || p.SubsampleRatio != image.YCbCrSubsampleRatio420 {
				return fmt.Errorf("clip: frame %d of take %s came as %v, not %d × %d", n, s.take.ID, p.Rect, r.w, r.h)
			}
			select {
			case own := <-r.free:
				if own == nil {
					own = image.NewYCbCr(image.Rect(0, 0, r.w, r.h), image.YCbCrSubsampleRatio420)
				}
				copyPlanes(own, image.Point{}, p)
				select {
				case r.ch <- decoded{n, own}:
					return nil
				case <-ctx.Done():
				}
			case <-ctx.Done():
			}
			return errStopped
		})
	}()
	return r
}

// frame returns frame f, and frame f+1 where next is asked for. Frames are asked for in
// order. Both are valid until the next call.
func (r *reel) frame(f mark.Frame, next bool) (a, b *image.YCbCr, err error) {
	want := f
	if next {
		want++
	}
	for r.cur.f < want {
		d, ok := <-r.ch
		if !ok {
			if r.err != nil {
				return nil, nil, r.err
			}
			return nil, nil, fmt.Errorf("clip: frame %d of take %s did not come", want, r.seen.take.ID)
		}
		if r.prev.p != nil {
			r.free <- r.prev.p
		}
		r.prev, r.cur = r.cur, d
	}
	for _, d := range [2]decoded{r.prev, r.cur} {
		if d.f == f {
			a = d.p
		}
		if next && d.f == f+1 {
			b = d.p
		}
	}
	if a == nil || next && b == nil {
		return nil, nil, fmt.Errorf("clip: frame %d of take %s did not come", f, r.seen.take.ID)
	}
	return a, b, nil
}

// close ends the decoding and waits for it.
func (r *reel) close() {
	r.stop()
	r.done.Wait()
}
