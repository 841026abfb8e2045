package camera

import (
	"math"

	"mesure/sport/mark"
	"mesure/sport/piste"
)

// lineSamples is how many parts of a straight line of the world are looked at;
// curved by the lens, each part is short.
const lineSamples = 256

// ProjectLine returns the line from a to b as the picture of this size shows it:
// sampled so that lens distortion is followed, and cut to the picture. It is
// empty where nothing shows. Where the line leaves the picture and comes back,
// the longest part is returned.
func (p *Placing) ProjectLine(a, b piste.Place, width, height int) []mark.Pixel {
	var best, run []mark.Pixel
	keep := func() {
		if lengthOf(run) > lengthOf(best) {
			best = run
		}
		run = nil
	}
	lo, hi := mark.Pixel{U: -0.5, V: -0.5}, mark.Pixel{U: float64(width) - 0.5, V: float64(height) - 0.5}
	from, to, ok := p.beforeCamera(at(a), at(b))
	if !ok {
		return nil
	}
	var last mark.Pixel
	seen := false
	for i := range lineSamples + 1 {
		t := float64(i) / lineSamples
		px, ok := p.lens.project(p.pose, from.plus(to.minus(from).times(t)), nil)
		if ok && seen {
			if s, e, in := clip(last, px, lo, hi); in {
				if len(run) == 0 || run[len(run)-1] != s {
					keep()
					run = append(run, s)
				}
				run = append(run, e)
			} else {
				keep()
			}
		}
		if !ok {
			keep()
		}
		last, seen = px, ok
	}
	keep()
	return thinned(best)
}

// beforeCamera cuts a line of the world to the part before the camera, evenly
// spread in the picture rather than in the world where one end is near.
func (p *Placing) beforeCamera(a, b vec) (vec, vec, bool) {
	da := p.pose.turn[2].dot(a.minus(p.pose.centre))
	db := p.pose.turn[2].dot(b.minus(p.pose.centre))
	near := 1e-3 * math.Max(math.Abs(da), math.Abs(db))
	if da <= near && db <= near {
		return a, b, false
	}
	cut := func(x, y vec, dx, dy float64) vec { return x.plus(y.minus(x).times((near - dx) / (dy - dx))) }
	if da < near {
		a = cut(a, b, da, db)
	}
	if db < near {
		b = cut(b, a, db, da)
	}
	return a, b, true
}

// clip cuts a segment to a rectangle (Liang & Barsky, ACM TOG 3(1):1, 1984).
func clip(a, b, lo, hi mark.Pixel) (mark.Pixel, mark.Pixel, bool) {
	t0, t1 := 0.0, 1.0
	du, dv := b.U-a.U, b.V-a.V
	for _, e := range [4][2]float64{{-du, a.U - lo.U}, {du, hi.U - a.U}, {-dv, a.V - lo.V}, {dv, hi.V - a.V}} {
		switch {
		case e[0] == 0 && e[1] < 0:
			return a, b, false
		case e[0] < 0:
			t0 = math.Max(t0, e[1]/e[0])
		case e[0] > 0:
			t1 = math.Min(t1, e[1]/e[0])
		}
	}
	if t0 >= t1 {
		return a, b, false
	}
	// A cut end lies on the edge; rounding must not put it a hair outside.
	cut := func(t float64) mark.Pixel {
		return mark.Pixel{U: math.Max(lo.U, math.Min(hi.U, a.U+t*du)), V: math.Max(lo.V, math.Min(hi.V, a.V+t*dv))}
	}
	s, e := a, b
	if t0 > 0 {
		s = cut(t0)
	}
	if t1 < 1 {
		e = cut(t1)
	}
	return s, e, true
}

func lengthOf(ps []mark.Pixel) float64 {
	sum := 0.0
	for i := 1; i < len(ps); i++ {
		sum += math.Hypot(ps[i].U-ps[i-1].U, ps[i].V-ps[i-1].V)
	}
	return sum
}

// straightWithin is how far a sample may lie from the straight line between its
// neighbours before it is kept.
const straightWithin = 0.05

// thinned leaves out samples that a straight line would show as well.
func thinned(ps []mark.Pixel) []mark.Pixel {
	if len(ps) <= 2 {
		return ps
	}
	a, b := ps[0], ps[len(ps)-1]
	far, at := 0.0, 0
	d := math.Hypot(b.U-a.U, b.V-a.V)
	for i, p := range ps {
		off := math.Hypot(p.U-a.U, p.V-a.V)
		if d > 0 {
			off = math.Abs((p.U-a.U)*(b.V-a.V)-(p.V-a.V)*(b.U-a.U)) / d
		}
		if off > far {
			far, at = off, i
		}
	}
	if far <= straightWithin || at == 0 || at == len(ps)-1 {
		return []mark.Pixel{a, b}
	}
	left := thinned(ps[:at+1])
	return append(left[:len(left):len(left)], thinned(ps[at:])[1:]...)
}
