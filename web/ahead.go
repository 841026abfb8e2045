package web

import (
	"context"
	"fmt"
	"image"
	"slices"
	"sync"

	"mesure/show/clip"
	"mesure/sport/mark"
)

// aheadRun is how many frames are decoded where one is asked for: finding the place in
// the file costs more than a few frames. Who comes within aheadNear of the end of a run,
// one frame after the other, finds the next run begun. aheadBytes bounds what is kept of
// them.
const (
	aheadRun   = 24
	aheadNear  = 12
	aheadBytes = 64 << 20
)

// ahead is footage that decodes a few frames more than it is asked for and keeps them:
// a preview asks for single frames, one after the other. A frame is handed out as soon as
// it is there, while its run goes on.
type ahead struct {
	clip.Footage
	// life ends every run; a run outlives the question that began it.
	life context.Context
	last func(touch, take string) (mark.Frame, bool)

	mu    sync.Mutex
	kept  map[aheadFrame]*image.YCbCr
	order []aheadFrame
	bytes int
	runs  []*aheadGoing
}

type aheadFrame struct {
	touch, take string
	f           mark.Frame
	crop        image.Rectangle
	w, h        int
}

// aheadGoing is a run that is being decoded: the frames from k.f to to.
type aheadGoing struct {
	k    aheadFrame
	next mark.Frame // the first that has not come
	to   mark.Frame
	// came is closed with every frame, and a new one made; err is set when done is closed.
	came, done chan struct{}
	err        error
}

// has says whether a frame is still to come in a run.
func (g *aheadGoing) has(k aheadFrame) bool {
	f := k.f
	k.f = g.k.f
	return k == g.k && f >= g.next && f <= g.to
}

// Run hands out what is kept and decodes the rest. A longer run than one is for decodes
// as it is asked for.
func (a *ahead) Run(ctx context.Context, touch, take string, from, to mark.Frame, crop image.Rectangle, w, h int, fn func(mark.Frame, *image.YCbCr) error) error {
	last, ok := a.last(touch, take)
	if !ok || to-from >= aheadRun || from > to {
		return a.Footage.Run(ctx, touch, take, from, to, crop, w, h, fn)
	}
	for f := from; f <= to; f++ {
		p, err := a.frame(ctx, aheadFrame{touch, take, f, crop, w, h}, max(to, min(f+aheadRun-1, last)), last)
		if err != nil {
			return err
		}
		if err := fn(f, p); err != nil {
			return err
		}
	}
	return nil
}

// frame returns one frame: a kept one, one of a run that goes on, or the first of a run
// up to another frame.
func (a *ahead) frame(ctx context.Context, k aheadFrame, to, last mark.Frame) (*image.YCbCr, error) {
	for began := (*aheadGoing)(nil); ; {
		a.mu.Lock()
		if p := a.kept[k]; p != nil {
			a.more(k, last)
			a.mu.Unlock()
			return p, nil
		}
		i := slices.IndexFunc(a.runs, func(g *aheadGoing) bool { return g.has(k) })
		switch {
		case i >= 0:
			began = a.runs[i]
		case began != nil:
			err := began.err
			a.mu.Unlock()
			if err != nil {
				return nil, err
			}
			return a.alone(ctx, k) // others took its place before it was fetched
		default:
			began = a.begin(k, to)
		}
		came := began.came
		a.mu.Unlock()
		select {
		case <-came:
		case <-began.done:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// alone decodes one frame for who asks, and keeps nothing.
func (a *ahead) alone(ctx context.Context, k aheadFrame) (out *image.YCbCr, err error) {
	err = a.Footage.Run(ctx, k.touch, k.take, k.f, k.f, k.crop, k.w, k.h, func(f mark.Frame, p *image.YCbCr) error {
		out = clonePlanes(p)
		return nil
	})
	if err == nil && out == nil {
		err = fmt.Errorf("frame %d of take %s did not come", k.f, k.take)
	}
	return out, err
}

func clonePlanes(p *image.YCbCr) *image.YCbCr {
	c := *p
	c.Y, c.Cb, c.Cr = slices.Clone(p.Y), slices.Clone(p.Cb), slices.Clone(p.Cr)
	return &c
}

// more begins the run after one that is nearly used up, where the frames before it were
// asked for too; a.mu is held.
func (a *ahead) more(k aheadFrame, last mark.Frame) {
	at := k
	at.f = k.f - 1
	if a.kept[at] == nil { // looked at by itself
		return
	}
	for at.f = k.f + 1; at.f <= min(k.f+aheadNear, last); at.f++ {
		if a.kept[at] == nil {
			if !slices.ContainsFunc(a.runs, func(g *aheadGoing) bool { return g.has(at) }) {
				a.begin(at, min(at.f+aheadRun-1, last))
			}
			return
		}
	}
}

// begin decodes the frames from k.f to another; a.mu is held.
func (a *ahead) begin(k aheadFrame, to mark.Frame) *aheadGoing {
	// Some runs together stay below the bound: none drives out what another is waited for.
	to = min(to, k.f+mark.Frame(max(1, aheadBytes/4/(k.w*k.h*3/2+1)))-1)
	g := &aheadGoing{k: k, next: k.f, to: to, came: make(chan struct{}), done: make(chan struct{})}
	a.runs = append(a.runs, g)
	go func() {
		err := a.Footage.Run(a.life, k.touch, k.take, k.f, to, k.crop, k.w, k.h, func(f mark.Frame, p *image.YCbCr) error {
			c, of := clonePlanes(p), k
			of.f = f
			a.mu.Lock()
			defer a.mu.Unlock()
			a.put(of, c)
			g.next = f + 1
			close(g.came)
			g.came = make(chan struct{})
			return nil
		})
		a.mu.Lock()
		defer a.mu.Unlock()
		g.err = err
		a.runs = slices.DeleteFunc(a.runs, func(x *aheadGoing) bool { return x == g })
		close(g.done)
	}()
	return g
}

// put keeps a frame; a.mu is held.
func (a *ahead) put(k aheadFrame, p *image.YCbCr) {
	if a.kept == nil {
		a.kept = map[aheadFrame]*image.YCbCr{}
	}
	if a.kept[k] == nil {
		a.order = append(a.order, k)
		a.bytes += sizeOf(p)
		a.kept[k] = p
	}
	for a.bytes > aheadBytes && len(a.order) > 1 {
		old := a.order[0]
		a.order = a.order[1:]
		a.bytes -= sizeOf(a.kept[old])
		delete(a.kept, old)
	}
}

func sizeOf(p *image.YCbCr) int { return len(p.Y) + len(p.Cb) + len(p.Cr) }
