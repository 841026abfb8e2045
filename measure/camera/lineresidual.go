package camera

import (
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// lineResidual is how far one line mark lies from the line as the camera shows it.
func (p *Placing) lineResidual(q Point) Residual {
	px, off, v := p.expectedLine(q)
	// As for a point, in one direction: the mark has pulled the camera along.
	noise := square(q.sd())
	left := math.Sqrt(math.Max(noise-v, noise/100))
	return Residual{Name: q.label(), At: q.At, Fitted: px, Off: quantity.Pixels(off), Share: quantity.Ratio(off / left)}
}

// expectedLine is where a line shows nearest to its mark, how far off that is, and
// the variance that the camera gives the line there.
func (p *Placing) expectedLine(q Point) (mark.Pixel, float64, float64) {
	var d sensitivity
	f, ok := p.lens.plumb(p.pose, *q.line, q.At, &d)
	if !ok {
		return q.At, wall, 0
	}
	u, v := p.row(d.lens[0], d.turn[0], d.centre[0]), p.row(d.lens[1], d.turn[1], d.centre[1])
	for k := range u {
		u[k] = f.across[0]*u[k] + f.across[1]*v[k]
	}
	sum := 0.0
	for a, x := range u {
		for b, y := range u {
			sum += x * y * p.cov[a*p.n+b]
		}
	}
	return f.at, math.Abs(f.off), sum
}

// standing returns the points with their line marks at the place of the floor
// that the camera shows there.
func (p *Placing) standing(points []Point) []Point {
	only := proper(points)
	if len(only) == len(points) {
		return points
	}
	out := append([]Point(nil), points...)
	for i := len(only); i < len(out); i++ {
		j, err := p.Floor(out[i].At, 0)
		if err == nil {
			out[i].On = out[i].line.nearest(vec{j.Mean[0], j.Mean[1], 0}).place()
		}
	}
	return out
}

// stretched scales a point or line across the court.
func (p Point) stretched(k float64) Point {
	p.On.Y *= k
	if p.line != nil {
		s := *p.line
		s.a[1] *= k
		s.b[1] *= k
		p.line = &s
	}
	return p
}
