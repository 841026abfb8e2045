package picture

import (
	"math"

	"mesure/demo/scene"
)

// aimed is a solid made ready for many rays from one place: what does not depend
// on the direction is worked out once. It meets rays exactly as scene.Solid.Hit
// does.
type aimed struct {
	kind scene.Kind
	s    *scene.Solid
	// Cone: from A to B, from A to the eye, and the constants of its quadratic.
	ba, oa, ob             vec
	m1, d2, k0, rise, base float64
	ca, cb                 float64
	// Ellipsoid: axes over half lengths, the eye in them, its constant.
	rows [3]vec
	eye  [3]float64
	c    float64
}

func aim(s *scene.Solid, o vec) aimed {
	a := aimed{kind: s.Kind, s: s}
	switch s.Kind {
	case scene.Cone:
		a.ba, a.oa, a.ob = s.B.Sub(s.A), o.Sub(s.A), o.Sub(s.B)
		rr := s.RA - s.RB
		m0, m5 := a.ba.Dot(a.ba), a.oa.Dot(a.oa)
		a.m1 = a.ba.Dot(a.oa)
		a.d2 = m0 - rr*rr
		a.rise = rr*s.RA - a.m1
		a.base = a.m1 - s.RA*rr
		a.k0 = a.d2*m5 - a.m1*a.m1 + a.m1*rr*s.RA*2 - m0*s.RA*s.RA
		a.ca, a.cb = m5-s.RA*s.RA, a.ob.Dot(a.ob)-s.RB*s.RB
	case scene.Ellipsoid:
		q := o.Sub(s.A)
		a.c = -1
		for i := range 3 {
			a.rows[i] = s.Axes[i].Mul(1 / s.Half[i])
			a.eye[i] = q.Dot(a.rows[i])
			a.c += a.eye[i] * a.eye[i]
		}
	}
	return a
}

// hit is scene.Solid.Hit for a ray from the place that aim was given.
func (a *aimed) hit(o, d vec) (float64, vec, bool) {
	switch a.kind {
	case scene.Cone:
		return a.hitCone(d)
	case scene.Ellipsoid:
		return a.hitEllipsoid(d)
	}
	return a.s.Hit(o, d)
}

func (a *aimed) hitEllipsoid(d vec) (float64, vec, bool) {
	x, y, z := d.Dot(a.rows[0]), d.Dot(a.rows[1]), d.Dot(a.rows[2])
	k := x*x + y*y + z*z
	b := x*a.eye[0] + y*a.eye[1] + z*a.eye[2]
	h := b*b - k*a.c
	if h < 0 {
		return 0, vec{}, false
	}
	t := (-b - math.Sqrt(h)) / k
	if t <= 0 {
		return 0, vec{}, false
	}
	n := a.rows[0].Mul(a.eye[0] + t*x).Add(a.rows[1].Mul(a.eye[1] + t*y)).Add(a.rows[2].Mul(a.eye[2] + t*z))
	return t, n.Unit(), true
}

func (a *aimed) hitCone(d vec) (float64, vec, bool) {
	m2, m3 := a.ba.Dot(d), a.oa.Dot(d)
	k2 := a.d2 - m2*m2
	k1 := a.d2*m3 + m2*a.rise
	h := k1*k1 - a.k0*k2
	if h < 0 { // past the endless cone, and so past both balls in it
		return 0, vec{}, false
	}
	if k2 != 0 {
		t := (-math.Sqrt(h) - k1) / k2
		y := a.base + t*m2
		if y > 0 && y < a.d2 && t > 0 {
			return t, a.oa.Add(d.Mul(t)).Mul(a.d2).Sub(a.ba.Mul(y)).Unit(), true
		}
	}
	ta, tb := math.Inf(1), math.Inf(1)
	if h := m3*m3 - a.ca; h >= 0 {
		if t := -m3 - math.Sqrt(h); t > 0 {
			ta = t
		}
	}
	b := a.ob.Dot(d)
	if h := b*b - a.cb; h >= 0 {
		if t := -b - math.Sqrt(h); t > 0 {
			tb = t
		}
	}
	switch {
	case ta < tb:
		return ta, a.oa.Add(d.Mul(ta)).Mul(1 / a.s.RA), true
	case tb < math.Inf(1):
		return tb, a.ob.Add(d.Mul(tb)).Mul(1 / a.s.RB), true
	}
	return 0, vec{}, false
}
