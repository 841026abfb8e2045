package plate

import (
	"math"

	"mesure/show/draw"
)

// haloOf is what surrounds words on a picture: on a dark ground the picture may show
// through, on a light one words would lose too much of their contrast.
func haloOf(th draw.Theme, share float64) draw.Colour {
	if g := th.Ground; int(g.R)+int(g.G)+int(g.B) > 3*128 {
		return g
	}
	return th.Ground.Fade(share)
}

// obstacles are what a label must not cover.
type obstacles struct {
	room  draw.Box // the label must lie inside
	boxes []draw.Box
	lines []bar
}

// bar is a line with a thickness.
type bar struct {
	a, b draw.Pt
	half draw.MM
}

func (o *obstacles) line(a, b draw.Pt, half draw.MM) { o.lines = append(o.lines, bar{a, b, half}) }

func (o *obstacles) free(b draw.Box) bool {
	if b.X < o.room.X || b.Y < o.room.Y || b.Right() > o.room.Right() || b.Bottom() > o.room.Bottom() {
		return false
	}
	for _, x := range o.boxes {
		if b.Meets(x) {
			return false
		}
	}
	for _, l := range o.lines {
		if crosses(l.a, l.b, b.Grow(l.half)) {
			return false
		}
	}
	return true
}

// covers reports whether a line from a to b would run over a mark or a label.
func (o *obstacles) covers(a, b draw.Pt) bool {
	for _, x := range o.boxes {
		if crosses(a, b, x) {
			return true
		}
	}
	return false
}

// crosses reports whether the segment has a point in the box: the part of it
// between the edges of each direction is cut down in turn (Liang and Barsky).
func crosses(a, b draw.Pt, box draw.Box) bool {
	t0, t1 := 0.0, 1.0
	for _, c := range [4][2]float64{
		{float64(a.X - b.X), float64(a.X - box.X)},
		{float64(b.X - a.X), float64(box.Right() - a.X)},
		{float64(a.Y - b.Y), float64(a.Y - box.Y)},
		{float64(b.Y - a.Y), float64(box.Bottom() - a.Y)},
	} {
		p, q := c[0], c[1]
		switch {
		case p == 0 && q < 0:
			return false
		case p < 0:
			t0 = math.Max(t0, q/p)
		case p > 0:
			t1 = math.Min(t1, q/p)
		}
	}
	return t0 <= t1
}

// settle finds the box of this size nearest to the anchor that covers nothing,
// looking in rings, above before below. It is false where there is no room
// within far.
func (o *obstacles) settle(anchor draw.Pt, w, h, far draw.MM) (draw.Box, bool) {
	const step = 1.0 // mm between rings
	for r := draw.MM(step); r <= far; r += step {
		best, found := draw.Box{}, false
		cost := math.Inf(1)
		n := 16 + 4*int(r/4)
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			b := draw.Box{X: anchor.X + r*draw.MM(c) - w/2, Y: anchor.Y + r*draw.MM(s) - h/2, W: w, H: h}
			if !o.free(b) {
				continue
			}
			// Above is better than below, the side of the line better than its end.
			if k := s + 0.2*math.Abs(c); k < cost {
				best, cost, found = b, k, true
			}
		}
		if found {
			return best, true
		}
	}
	return draw.Box{}, false
}

// nearestOn returns the point of the box nearest to p.
func nearestOn(b draw.Box, p draw.Pt) draw.Pt {
	return draw.Pt{X: max(b.X, min(p.X, b.Right())), Y: max(b.Y, min(p.Y, b.Bottom()))}
}
