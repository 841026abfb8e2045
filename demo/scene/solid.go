package scene

import "math"

// Part says what a solid is made of, for whoever draws it.
type Part uint8

// The parts of a fencer, and of somebody who passes by.
const (
	Jacket Part = iota
	Breeches
	Sock
	Shoe
	Glove
	MaskMesh
	Bib
	Skin
	Bell
	Grip
	// What somebody wears who passes by.
	Coat
	Trousers
	Hair
	Bag
)

// Solid is one rounded body: a cone with round ends from A to B, an ellipsoid
// about A, or a cap of a sphere (the bell of the guard).
type Solid struct {
	Part   Part
	Kind   Kind
	A, B   Vec
	RA, RB float64 // radii at A and B, in metres
	// Axes and Half are the unit axes and the half lengths of an ellipsoid. For a
	// cap Axes[0] is its axis and Half[0] where the sphere is cut.
	Axes [3]Vec
	Half [3]float64
	// Soft is over how many metres it melts into its neighbours.
	Soft float64
	// Limb names the segment, so that cloth keeps its folds from frame to frame.
	Limb int
}

// Kind of a solid.
type Kind uint8

// The kinds.
const (
	Cone Kind = iota
	Ellipsoid
	Cap
)

func cone(part Part, limb int, a, b Vec, ra, rb, soft float64) Solid {
	return Solid{Part: part, Kind: Cone, A: a, B: b, RA: ra, RB: rb, Soft: soft, Limb: limb}
}

func ellipsoid(part Part, limb int, c Vec, x, y, z Vec, hx, hy, hz, soft float64) Solid {
	return Solid{Part: part, Kind: Ellipsoid, A: c, Axes: [3]Vec{x, y, z}, Half: [3]float64{hx, hy, hz}, Soft: soft, Limb: limb}
}

// Hit returns the first distance t > 0 at which the ray o + t·d meets the solid
// and the outward normal there. d must be a unit vector.
func (s *Solid) Hit(o, d Vec) (t float64, n Vec, ok bool) {
	switch s.Kind {
	case Cone:
		return s.hitCone(o, d)
	case Ellipsoid:
		return s.hitEllipsoid(o, d)
	}
	return s.hitCap(o, d)
}

func (s *Solid) hitEllipsoid(o, d Vec) (float64, Vec, bool) {
	q := o.Sub(s.A)
	var a, b, c float64
	var qo, qd [3]float64
	for i := range 3 {
		qo[i] = q.Dot(s.Axes[i]) / s.Half[i]
		qd[i] = d.Dot(s.Axes[i]) / s.Half[i]
		a += qd[i] * qd[i]
		b += qd[i] * qo[i]
		c += qo[i] * qo[i]
	}
	h := b*b - a*(c-1)
	if h < 0 {
		return 0, Vec{}, false
	}
	t := (-b - math.Sqrt(h)) / a
	if t <= 0 {
		return 0, Vec{}, false
	}
	var n Vec
	for i := range 3 {
		n = n.Add(s.Axes[i].Mul((qo[i] + t*qd[i]) / s.Half[i]))
	}
	return t, n.Unit(), true
}

// hitCone meets the hull of two spheres: the cone that touches both, or one of
// the spheres beyond its ends.
func (s *Solid) hitCone(o, d Vec) (float64, Vec, bool) {
	ba := s.B.Sub(s.A)
	oa := o.Sub(s.A)
	rr := s.RA - s.RB
	m0 := ba.Dot(ba)
	m1 := ba.Dot(oa)
	m2 := ba.Dot(d)
	m3 := d.Dot(oa)
	m5 := oa.Dot(oa)
	d2 := m0 - rr*rr
	// Points of the cone satisfy a quadratic in t; y is their height along the
	// axis, weighted so that both tangent circles are planes y = 0 and y = d2.
	k2 := d2 - m2*m2
	k1 := d2*m3 - m1*m2 + m2*rr*s.RA
	k0 := d2*m5 - m1*m1 + m1*rr*s.RA*2 - m0*s.RA*s.RA
	h := k1*k1 - k0*k2
	if h >= 0 && k2 != 0 {
		t := (-math.Sqrt(h) - k1) / k2
		y := m1 - s.RA*rr + t*m2
		if y > 0 && y < d2 && t > 0 {
			n := oa.Add(d.Mul(t)).Mul(d2).Sub(ba.Mul(y))
			return t, n.Unit(), true
		}
	}
	ta, oka := hitSphere(oa, d, s.RA)
	tb, okb := hitSphere(o.Sub(s.B), d, s.RB)
	switch {
	case oka && (!okb || ta < tb):
		return ta, oa.Add(d.Mul(ta)).Mul(1 / s.RA), true
	case okb:
		return tb, o.Sub(s.B).Add(d.Mul(tb)).Mul(1 / s.RB), true
	}
	return 0, Vec{}, false
}

func hitSphere(q, d Vec, r float64) (float64, bool) {
	b := q.Dot(d)
	h := b*b - q.Dot(q) + r*r
	if h < 0 {
		return 0, false
	}
	t := -b - math.Sqrt(h)
	return t, t > 0
}

func (s *Solid) hitCap(o, d Vec) (float64, Vec, bool) {
	q := o.Sub(s.A)
	b := q.Dot(d)
	h := b*b - q.Dot(q) + s.RA*s.RA
	if h < 0 {
		return 0, Vec{}, false
	}
	h = math.Sqrt(h)
	for i, t := range [2]float64{-b - h, -b + h} {
		p := q.Add(d.Mul(t))
		if t > 0 && p.Dot(s.Axes[0]) >= s.Half[0] {
			n := p.Mul(1 / s.RA)
			if i == 1 {
				n = n.Mul(-1)
			}
			return t, n, true
		}
	}
	return 0, Vec{}, false
}

// Meet returns the first place at which a ray meets any of the solids, and which
// of them it meets; −1 and false where it meets none.
func Meet(solids []Solid, o, d Vec) (place Vec, which int, ok bool) {
	best := math.Inf(1)
	which = -1
	for i := range solids {
		if t, _, hit := solids[i].Hit(o, d); hit && t < best {
			best, which = t, i
		}
	}
	if which < 0 {
		return Vec{}, which, false
	}
	return o.Add(d.Mul(best)), which, true
}
