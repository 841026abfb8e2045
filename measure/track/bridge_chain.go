package track

import (
	"context"
	"fmt"
	"image"
	"math"

	"mesure/sport/mark"
)

// link is a point on one frame as one way of following saw it.
type link struct {
	frame mark.Frame
	at    mark.Pixel
	// open is the variance, in square pixels, that the steps so far leave open.
	open float64
	// like is the correlation with the frame before, first with the mark's own patch.
	like, first float64
	lost        bool
}

// How a point may move and when it is lost.
const (
	// baseReach and liveReach are how far, in pixels, a point may lie from where its
	// movement takes it: rounding and blur, and what a live hand changes its velocity
	// by in a frame.
	baseReach = 5.0
	liveReach = 9.0
	// leastLike is the least correlation with the frame before.
	leastLike = 0.70
	// againLike is the least correlation with the last patch that was seen when the
	// point comes back into sight.
	againLike  = 0.80
	leastFirst = 0.4
	// keyLike is the correlation below which the patch that is followed is taken anew.
	keyLike = 0.90
	// mostCoast is on how many frames a point may be out of sight before it is lost
	// for good on this way.
	mostCoast = 5
	// glanceRim is how far beyond the edge of another frame a background may lie.
	glanceRim = 100.0
	// goodTexture is the texture, as minTexture, below which a point is followed at a
	// coarser scale, up to mostScale.
	goodTexture = 4.0
	mostScale   = 4
	// edgeRim is how far, in pixels, a point stays from the edge of the picture.
	edgeRim = 2.0
)

// chain follows the patch about an anchor frame by frame to the frame until, in
// either direction. far is the mark there, nil where there is none.
func (o *BridgeOptions) chain(ctx context.Context, film Film, a Anchor, until mark.Frame, far *Anchor) ([]link, error) {
	dir := mark.Frame(1)
	if until < a.Frame {
		dir = -1
	}
	g, err := film.Gray(a.Frame)
	if err != nil {
		return nil, fmt.Errorf("track: frame %d: %w", a.Frame, err)
	}
	first, key, last := newPatch(), newPatch(), newPatch()
	var e *eye
	dead := true
	if sizeOf(g).inside(a.At, 0) {
		others := o.glances(film, a.Frame, a.At)
		e = sharpest(g, a.At, first, others)
		e.take(key, a.At, others)
		e.take(last, a.At, others)
		dead = !(first.least >= minTexture)
	}
	seen, pos, vel := a.Frame, a.At, mark.Pixel{}
	open, keyOpen := 0.0, 0.0
	var out []link
	for f := a.Frame + dir; f != until+dir; f += dir {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if dead {
			if far == nil {
				break
			}
			out = append(out, link{frame: f, at: pos, lost: true})
			continue
		}
		away := math.Abs(float64(f - seen))
		expect := o.expected(seen, f, pos, vel, far)
		if o.Hidden(f) {
			out = append(out, link{frame: f, at: expect, lost: true})
			dead = away > mostCoast
			continue
		}
		g, err := film.Gray(f)
		if err != nil {
			return nil, fmt.Errorf("track: frame %d: %w", f, err)
		}
		reach := min(mostReach, (baseReach+liveReach/o.Slow)*math.Sqrt(away))
		l := link{frame: f, at: expect, lost: true}
		if !sizeOf(g).inside(expect, -reach) {
			out = append(out, l)
			dead = away > mostCoast
			continue
		}
		e.look(g, expect)
		m, ok := e.nearest(key, last, expect, reach)
		least := leastLike
		if away > 1 {
			least = againLike
		}
		own := 0.0
		if ok {
			if back := e.refine(first, m.at); back.ok && math.Hypot(back.at.U-m.at.U, back.at.V-m.at.V) < 3*float64(e.scale) {
				own = back.like
			}
		}
		if ok && own >= leastFirst && m.like >= least && sizeOf(g).holds(m.at) {
			l.at, l.like, l.lost = m.at, m.like, false
			others := o.glances(film, f, m.at)
			e.take(last, m.at, others)
			if m.key {
				open = keyOpen + m.sd*m.sd
			} else {
				open += m.sd * m.sd
				keyOpen = open
				e.take(key, m.at, others)
			}
			l.open = open
			l.first = own
			still := o.carried(seen, f, pos)
			vel = mark.Pixel{U: (m.at.U - still.U) / away, V: (m.at.V - still.V) / away}
			seen, pos = f, m.at
		} else {
			dead = away > mostCoast
		}
		out = append(out, l)
	}
	return out, nil
}

// frameSize is the size of a frame.
type frameSize struct{ w, h int }

func sizeOf(g *image.Gray) frameSize { return frameSize{g.Bounds().Dx(), g.Bounds().Dy()} }

// holds reports whether a place lies in the frame, not on its rim.
func (s frameSize) holds(p mark.Pixel) bool { return s.inside(p, edgeRim) }

// inside reports whether a place lies in the frame, this far from its edge or more.
func (s frameSize) inside(p mark.Pixel, rim float64) bool {
	return p.U >= rim && p.V >= rim && p.U <= float64(s.w-1)-rim && p.V <= float64(s.h-1)-rim
}

// glances are the frames a little before and after, where the background of a place
// is known on them.
func (o *BridgeOptions) glances(film Film, f mark.Frame, at mark.Pixel) []glance {
	k := mark.Frame(math.Round(liveAway * math.Min(o.Slow, 4)))
	var out []glance
	for _, other := range [2]mark.Frame{f - k, f + k} {
		if other < 0 {
			continue
		}
		g, err := film.Gray(other)
		if err != nil {
			continue // beyond the end of the film
		}
		if q, ok := o.Ground(f, other, at); ok && sizeOf(g).inside(q, -glanceRim) {
			out = append(out, glance{g, q})
		}
	}
	return out
}

// sharpest returns an eye of the least scale at which what surrounds a place tells
// where it is, looking at it, and takes the patch.
func sharpest(g *image.Gray, at mark.Pixel, p *patch, others []glance) *eye {
	for scale := 1; ; scale *= 2 {
		e := newEye(scale)
		e.look(g, at)
		e.take(p, at, others)
		if p.least >= goodTexture || scale == mostScale {
			return e
		}
	}
}

// expected returns where a point should be that was last seen at pos: as it moved,
// and the longer it is out of sight the more as the far mark asks.
func (o *BridgeOptions) expected(seen, f mark.Frame, pos, vel mark.Pixel, far *Anchor) mark.Pixel {
	p := o.carried(seen, f, pos)
	n := math.Abs(float64(f - seen))
	if far == nil {
		return mark.Pixel{U: p.U + n*vel.U, V: p.V + n*vel.V}
	}
	q := o.carried(far.Frame, f, far.At)
	left := math.Abs(float64(far.Frame - seen))
	own := math.Pow(0.8, n-1)
	return mark.Pixel{
		U: p.U + n*(own*vel.U+(1-own)*(q.U-p.U)/left),
		V: p.V + n*(own*vel.V+(1-own)*(q.V-p.V)/left),
	}
}

// match is what nearest found; key says that it rests on the key patch.
type match struct {
	found
	key bool
}

// nearest finds the last patch near a place and then, where that is still like it,
// the older key patch: what rests on the older one drifts less.
func (e *eye) nearest(key, last *patch, about mark.Pixel, reach float64) (match, bool) {
	starts, n := e.search(last, about, reach)
	var best match
	ok := false
	score := math.Inf(-1)
	for _, s := range starts[:n] {
		f := e.refine(last, s)
		if !f.ok {
			continue
		}
		d := math.Hypot(f.at.U-about.U, f.at.V-about.V)
		if v := f.like - farPenalty*d*d/reach/reach; v > score {
			best, score, ok = match{found: f}, v, true
		}
	}
	if !ok {
		return best, false
	}
	if k := e.refine(key, best.at); k.ok && k.like >= keyLike && math.Hypot(k.at.U-best.at.U, k.at.V-best.at.V) < keyApart*float64(e.scale) {
		return match{found: found{at: k.at, like: best.like, sd: k.sd, ok: true}, key: true}, true
	}
	return best, true
}

// keyApart is how far, in pixels, the key patch and the last may lie apart.
const keyApart = 1.5
