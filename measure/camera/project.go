package camera

import (
	"math"

	"mesure/sport/mark"
)

// Columns of the lens in a sensitivity.
const (
	lensFx = iota
	lensFy
	lensSkew
	lensCx
	lensCy
	lensK1
	lensK2
	lensCount
)

// sensitivity is how the pixel of a point answers to the lens, to a small turn
// of the camera in its own frame, and to the camera's place: rows u and v.
type sensitivity struct {
	lens   [2][lensCount]float64
	turn   [2]vec
	centre [2]vec
}

// nearest is how far before the camera, as a share of the distance, a point must
// lie to be projected; nearer than that the division loses its digits.
const nearest = 1e-9

// project maps a point of the world to the picture and, where d is not nil, says
// how the pixel answers to the camera. The second result is false for a point
// that is not before the camera or that the lens law cannot show.
func (l optics) project(p pose, x vec, d *sensitivity) (mark.Pixel, bool) {
	rel := x.minus(p.centre)
	c := p.turn.on(rel)
	if !(c[2] > nearest*rel.norm()) || c[2] == 0 {
		return mark.Pixel{}, false
	}
	xn, yn := c[0]/c[2], c[1]/c[2]
	px, ok := l.show(xn, yn)
	if d == nil {
		return px, ok
	}
	m := l.slope(xn, yn, &d.lens)
	for row := range 2 {
		// By the point in the camera's frame …
		g := vec{m[row][0] / c[2], m[row][1] / c[2], -(m[row][0]*xn + m[row][1]*yn) / c[2]}
		d.turn[row] = c.cross(g) // g·(w × c) = w·(c × g)
		d.centre[row] = p.turn.back(g).times(-1)
	}
	return px, ok
}

// slope is the derivative of show by (x, y); where by is not nil it receives the
// derivative by the lens.
func (l optics) slope(x, y float64, by *[2][lensCount]float64) [2][2]float64 {
	rr := x*x + y*y
	s, ds := l.stretch(rr)
	xx, xy, yy := s+2*x*x*ds, 2*x*y*ds, s+2*y*y*ds
	if by != nil {
		a, b := l.Fx*x+l.Skew*y, l.Fy*y
		by[0] = [lensCount]float64{lensFx: x * s, lensSkew: y * s, lensCx: 1, lensK1: a * rr, lensK2: a * rr * rr}
		by[1] = [lensCount]float64{lensFy: y * s, lensCy: 1, lensK1: b * rr, lensK2: b * rr * rr}
	}
	return [2][2]float64{
		{l.Fx*xx + l.Skew*xy, l.Fx*xy + l.Skew*yy},
		{l.Fy * xy, l.Fy * yy},
	}
}

// sightline is the line of sight through a pixel: direction in the world, and
// how it answers to the pixel, the lens and a small turn of the camera.
type sightline struct {
	dir   vec
	pixel [2]vec // by u and v
	lens  [lensCount]vec
	turn  [3]vec
}

// sight follows a pixel back into the world. It is false where no ray leads to
// the pixel.
func (l optics) sight(p pose, px mark.Pixel) (sightline, bool) {
	x, y, ok := l.ray(px)
	if !ok {
		return sightline{}, false
	}
	c := vec{x, y, 1}
	s := sightline{dir: p.turn.back(c)}
	var by [2][lensCount]float64
	m := l.slope(x, y, &by)
	det := m[0][0]*m[1][1] - m[0][1]*m[1][0]
	if det == 0 || math.IsNaN(det) {
		return sightline{}, false
	}
	inv := [2][2]float64{{m[1][1] / det, -m[0][1] / det}, {-m[1][0] / det, m[0][0] / det}}
	ex, ey := p.turn[0], p.turn[1] // the camera's axes in the world
	answer := func(du, dv float64) vec {
		return ex.times(inv[0][0]*du + inv[0][1]*dv).plus(ey.times(inv[1][0]*du + inv[1][1]*dv))
	}
	s.pixel = [2]vec{answer(1, 0), answer(0, 1)}
	for k := range s.lens {
		s.lens[k] = answer(-by[0][k], -by[1][k])
	}
	for k := range s.turn {
		var w vec
		w[k] = 1
		s.turn[k] = p.turn.back(w.cross(c)).times(-1)
	}
	return s, true
}
