package clip

import (
	"math"
	"slices"
	"sync"

	"mesure/sport/mark"
	"mesure/study"
)

// poses hands out what is known of the frames of one take, between frames as well. Safe
// for concurrent use.
type poses struct {
	r    *study.Reading
	take string
	from mark.Frame
	// when has the seconds of the bout at which each frame was taken, from the first of
	// the take.
	when []float64

	mu   sync.Mutex
	kept map[mark.Frame]*study.Tableau
}

// timesOf are the instants of the frames of a take on the clock of the bout, from its
// first frame: (τ − τ₀)/factor.
func timesOf(r *study.Reading, k mark.Take) []float64 {
	c, ok := r.Clips[k.Video]
	if !ok || !c.Has(k.From) || !c.Has(k.To) || k.To < k.From {
		return nil
	}
	factor := k.Slow()
	if clock, ok := r.Clock(k.ID); ok && clock.Factor.Mean > 0 {
		factor = float64(clock.Factor.Mean)
	}
	out := make([]float64, k.To-k.From+1)
	for i := range out {
		out[i] = float64(c.Times[int(k.From)+i]-c.Times[k.From]) / factor
	}
	return out
}

func posesOf(r *study.Reading, k mark.Take, when []float64) *poses {
	return &poses{r: r, take: k.ID, from: k.From, when: when, kept: map[mark.Frame]*study.Tableau{}}
}

// on is a frame; nil where nothing is known of it.
func (p *poses) on(f mark.Frame) *study.Tableau {
	i := int(f - p.from)
	if i < 0 || i >= len(p.when) {
		return nil
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if t, ok := p.kept[f]; ok {
		return t
	}
	var out *study.Tableau
	if t, ok := p.r.TableauAt(p.take, f); ok {
		out = &t
	}
	p.kept[f] = out
	return out
}

// at is the take at a place between two frames: pos counts frames, 12.25 is a quarter of
// the way from frame 12 to 13. Points and ends of gaps run through the places that were
// followed, on the cubic of Hermite whose speed at each frame is that between the frames
// beside it (Catmull and Rom 1974), on the clock of the bout. What only one of the two
// frames has is left out between them. Nil where nothing is known.
func (p *poses) at(pos float64) *study.Tableau {
	f := mark.Frame(math.Floor(pos))
	w := pos - float64(f)
	a := p.on(f)
	if w < 1e-9 || a == nil {
		return a
	}
	b := p.on(f + 1)
	if b == nil {
		return nil
	}
	return p.between(a, b, p.on(f-1), p.on(f+2), w)
}

// between is the share w of the way from a to b; before and after may be nil.
func (p *poses) between(a, b, before, after *study.Tableau, w float64) *study.Tableau {
	h := p.hermite(a.Frame, before != nil, after != nil, w)
	out := *a
	for _, s := range mark.Sides {
		out.Bodies[s].Points = nil
		for _, x := range a.Bodies[s].Points {
			y, ok := pointOf(b, s, x.What)
			if !ok {
				continue
			}
			var pre, post *mark.Pixel
			if q, ok := pointOf(before, s, x.What); ok {
				pre = &q
			}
			if q, ok := pointOf(after, s, x.What); ok {
				post = &q
			}
			x.At = h.run(x.At, y, pre, post)
			out.Bodies[s].Points = append(out.Bodies[s].Points, x)
		}
	}
	out.Gaps = nil
	for _, x := range a.Gaps {
		y, ok := gapOf(b, x)
		if !ok {
			continue
		}
		var pre, post [2]*mark.Pixel
		if q, ok := gapOf(before, x); ok {
			pre = [2]*mark.Pixel{&q.From, &q.To}
		}
		if q, ok := gapOf(after, x); ok {
			post = [2]*mark.Pixel{&q.From, &q.To}
		}
		x.From, x.To = h.run(x.From, y.From, pre[0], post[0]), h.run(x.To, y.To, pre[1], post[1])
		out.Gaps = append(out.Gaps, x)
	}
	out.Grid = nil
	for _, x := range a.Grid {
		i := slices.IndexFunc(b.Grid, func(y study.GridLine) bool { return y.Name == x.Name })
		if i < 0 || len(b.Grid[i].Points) != len(x.Points) {
			continue
		}
		x.Points = blended(x.Points, b.Grid[i].Points, w)
		out.Grid = append(out.Grid, x)
	}
	out.Arcs = nil // they are shown on frames that stand
	return &out
}

func blended(a, b []mark.Pixel, w float64) []mark.Pixel {
	out := make([]mark.Pixel, len(a))
	for i := range a {
		out[i] = mark.Pixel{U: a[i].U + w*(b[i].U-a[i].U), V: a[i].V + w*(b[i].V-a[i].V)}
	}
	return out
}

func pointOf(t *study.Tableau, s mark.Side, w mark.What) (mark.Pixel, bool) {
	if t == nil {
		return mark.Pixel{}, false
	}
	for _, p := range t.Bodies[s].Points {
		if p.What == w {
			return p.At, finite(p.At)
		}
	}
	return mark.Pixel{}, false
}

func gapOf(t *study.Tableau, g study.Gap) (study.Gap, bool) {
	if t == nil {
		return study.Gap{}, false
	}
	for _, x := range t.Gaps {
		if x.Of == g.Of && x.Target == g.Target {
			return x, finite(x.From) && finite(x.To)
		}
	}
	return study.Gap{}, false
}

func finite(p mark.Pixel) bool { return p.U-p.U == 0 && p.V-p.V == 0 }

// hermite is the cubic between two frames.
type hermite struct {
	w float64
	// step is the time between the two, pre and post those before and after.
	step, pre, post float64
}

func (p *poses) hermite(f mark.Frame, before, after bool, w float64) hermite {
	i := int(f - p.from)
	h := hermite{w: w, step: p.when[i+1] - p.when[i]}
	if before && i > 0 {
		h.pre = p.when[i] - p.when[i-1]
	}
	if after && i+2 < len(p.when) {
		h.post = p.when[i+2] - p.when[i+1]
	}
	return h
}

// run is the place of a point: at a for w = 0, at b for w = 1. A neighbour that is not
// known gives the speed of the straight way.
func (h hermite) run(a, b mark.Pixel, pre, post *mark.Pixel) mark.Pixel {
	axis := func(a, b float64, pre, post *float64) float64 {
		va, vb := b-a, b-a // in pixels a step
		if pre != nil && h.pre > 0 && h.step > 0 {
			va = (b - *pre) / (h.pre + h.step) * h.step
		}
		if post != nil && h.post > 0 && h.step > 0 {
			vb = (*post - a) / (h.post + h.step) * h.step
		}
		w := h.w
		w2, w3 := w*w, w*w*w
		return (2*w3-3*w2+1)*a + (w3-2*w2+w)*va + (3*w2-2*w3)*b + (w3-w2)*vb
	}
	of := func(p *mark.Pixel, v bool) *float64 {
		switch {
		case p == nil:
			return nil
		case v:
			return &p.V
		}
		return &p.U
	}
	return mark.Pixel{
		U: axis(a.U, b.U, of(pre, false), of(post, false)),
		V: axis(a.V, b.V, of(pre, true), of(post, true)),
	}
}
