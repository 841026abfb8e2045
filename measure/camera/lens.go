package camera

import (
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Lens is what the picture does to a ray: focal lengths, skew and principal
// point in pixels, and the radial coefficients k1 and k2, which multiply the
// square and the fourth power of the distance from the axis in units of the
// focal length:
//
//	(x', y') = (x, y)·(1 + k1 r² + k2 r⁴)
//	u = Fx x' + Skew y' + Cx,  v = Fy y' + Cy
//
// Source: Z. Zhang, IEEE TPAMI 22(11):1330 (2000), section 2.2 and 3.3.
type Lens struct {
	Fx, Fy, Skew, Cx, Cy quantity.Pixels
	K1, K2               quantity.Ratio
}

// optics is a Lens to compute with.
type optics struct {
	Fx, Fy, Skew, Cx, Cy float64 // pixels
	K1, K2               float64 // pure numbers
}

func (l optics) stated() Lens {
	return Lens{quantity.Pixels(l.Fx), quantity.Pixels(l.Fy), quantity.Pixels(l.Skew), quantity.Pixels(l.Cx), quantity.Pixels(l.Cy),
		quantity.Ratio(l.K1), quantity.Ratio(l.K2)}
}

func (l Lens) optics() optics {
	return optics{float64(l.Fx), float64(l.Fy), float64(l.Skew), float64(l.Cx), float64(l.Cy), float64(l.K1), float64(l.K2)}
}

// real reports whether the numbers are those of a lens.
func (l optics) real() bool {
	return l.Fx > 0 && l.Fy > 0 && finite(l.Fx, l.Fy, l.Skew, l.Cx, l.Cy, l.K1, l.K2)
}

// stretch returns 1 + k1 r² + k2 r⁴ and its derivative by r².
func (l optics) stretch(rr float64) (s, ds float64) {
	return 1 + rr*(l.K1+rr*l.K2), l.K1 + 2*rr*l.K2
}

// folds reports whether the lens law is no longer increasing at this squared
// radius: a real lens never goes back, so that the law says nothing there.
func (l optics) folds(rr float64) bool {
	return 1+rr*(3*l.K1+5*rr*l.K2) <= 0
}

// show maps a ray (x, y, 1) to the picture. The second result is false where
// the lens law has turned back.
func (l optics) show(x, y float64) (mark.Pixel, bool) {
	rr := x*x + y*y
	s, _ := l.stretch(rr)
	return mark.Pixel{U: l.Fx*x*s + l.Skew*y*s + l.Cx, V: l.Fy*y*s + l.Cy}, !l.folds(rr)
}

// ray maps a pixel to the ray (x, y, 1): the inverse of show, by Newton's
// iteration on the radius, to better than UndistortTolerance. The last result
// is false where no ray leads to the pixel.
func (l optics) ray(p mark.Pixel) (x, y float64, ok bool) {
	yd := (p.V - l.Cy) / l.Fy
	xd := (p.U - l.Cx - l.Skew*yd) / l.Fx
	rd := math.Hypot(xd, yd)
	if rd == 0 || (l.K1 == 0 && l.K2 == 0) {
		return xd, yd, true
	}
	r, ok := l.radius(rd)
	if !ok {
		return 0, 0, false
	}
	return xd * r / rd, yd * r / rd, true
}

// radius solves r(1 + k1 r² + k2 r⁴) = rd for the r on the rising branch that
// starts at 0. The root is kept in a bracket, so that Newton cannot leave it.
func (l optics) radius(rd float64) (float64, bool) {
	lo, hi := 0.0, rd
	for range 64 { // widen until the bracket holds the root or the law folds
		s, _ := l.stretch(hi * hi)
		if hi*s >= rd {
			break
		}
		if l.folds(hi * hi) {
			return l.radiusBelowFold(rd, lo, hi)
		}
		lo, hi = hi, hi*1.25
	}
	return l.newton(rd, lo, hi)
}

// radiusBelowFold halves the bracket down to the top of the rising branch and
// looks for the root below it.
func (l optics) radiusBelowFold(rd, lo, hi float64) (float64, bool) {
	for range 200 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if l.folds(mid * mid) {
			hi = mid
			continue
		}
		s, _ := l.stretch(mid * mid)
		if mid*s >= rd {
			return l.newton(rd, lo, mid)
		}
		lo = mid
	}
	return 0, false
}

// newton finds the root in [lo, hi], where the law rises.
func (l optics) newton(rd, lo, hi float64) (float64, bool) {
	tol := float64(UndistortTolerance) / math.Max(math.Abs(l.Fx), math.Abs(l.Fy)) / 8
	r := (lo + hi) / 2
	if rd >= lo && rd <= hi {
		r = rd
	}
	for range 100 {
		s, ds := l.stretch(r * r)
		e := r*s - rd
		if math.Abs(e) <= tol {
			return r, !l.folds(r * r)
		}
		if e > 0 {
			hi = r
		} else {
			lo = r
		}
		next := r - e/(s+2*r*r*ds)
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if next == r {
			break
		}
		r = next
	}
	s, _ := l.stretch(r * r)
	return r, math.Abs(r*s-rd) <= 8*tol && !l.folds(r*r)
}
