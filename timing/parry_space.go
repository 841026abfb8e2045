package timing

import "math"

// vec is a place or a direction in the world frame: metres along the piste,
// across it and up. Products are rounded one by one, so that every machine gets
// the same digits.
type vec struct{ x, y, z float64 }

// placeAt reads a place from a list of numbers.
func placeAt(x []float64, place Spot) vec {
	x = x[3*int(place) : 3*int(place)+3]
	return vec{x[0], x[1], x[2]}
}

func (a vec) plus(b vec) vec { return vec{a.x + b.x, a.y + b.y, a.z + b.z} }
func (a vec) less(b vec) vec { return vec{a.x - b.x, a.y - b.y, a.z - b.z} }
func (a vec) times(k float64) vec {
	return vec{float64(a.x * k), float64(a.y * k), float64(a.z * k)}
}
func (a vec) length() float64         { return math.Sqrt(a.dot(a)) }
func (a vec) unit() vec               { return a.times(1 / a.length()) }
func (a vec) at(k float64, b vec) vec { return a.plus(b.times(k)) } // a + k·b

func (a vec) dot(b vec) float64 { return float64(a.x*b.x) + float64(a.y*b.y) + float64(a.z*b.z) }

func (a vec) cross(b vec) vec {
	return vec{
		float64(a.y*b.z) - float64(a.z*b.y),
		float64(a.z*b.x) - float64(a.x*b.z),
		float64(a.x*b.y) - float64(a.y*b.x),
	}
}

// angle between two directions, exact near 0 and near π, where the arc cosine
// is not (Kahan, "How futile are mindless assessments of roundoff", 2006, §12).
func (a vec) angle(b vec) float64 { return math.Atan2(a.cross(b).length(), a.dot(b)) }

// square returns a direction square to the unit direction u, as near to like as
// can be; upright where like lies along u, and along the piste where u is
// upright as well.
func (u vec) square(like vec) vec {
	for _, l := range [3]vec{like, {0, 0, 1}, {1, 0, 0}} {
		if e := l.at(-u.dot(l), u); e.length() > alongShare*l.length() {
			return e.unit()
		}
	}
	return vec{0, 1, 0}
}

// alongShare is the sine below which two directions count as one: the root of
// the machine's precision, where half of the digits of a cross product are gone.
const alongShare = 1.5e-8

// nearestOfLines returns how far along p + s·d and q + t·e (0 ≤ s ≤ most,
// 0 ≤ t ≤ 1, d of length 1) the two are nearest, and the distance. A stretch of no
// length serves.
//
// Source: Ericson, Real-Time Collision Detection (2005), section 5.1.9.
func nearestOfLines(p, d vec, most float64, q, e vec) (s, t, apart float64) {
	r := p.less(q)
	ee, f, c, b := e.dot(e), e.dot(r), d.dot(r), d.dot(e)
	clip := func(x, top float64) float64 { return max(0, min(top, x)) }
	if ee == 0 {
		s = clip(-c, most)
	} else {
		if den := ee - b*b; den > alongShare*alongShare*ee {
			s = clip((b*f-c*ee)/den, most)
		}
		t = (b*s + f) / ee
		if t < 0 {
			t, s = 0, clip(-c, most)
		} else if t > 1 {
			t, s = 1, clip(b-c, most)
		}
	}
	return s, t, p.at(s, d).less(q.at(t, e)).length()
}

// cone is every line from a hand that meets the target zone: all directions v
// whose ray comes within r of the stretch from a to b, both seen from the hand.
//
// It is convex, since the zone is. A plane through the hand with the unit normal n
// on its inner side holds the whole zone on one side where n·a ≥ r and n·b ≥ r;
// the sine of the angle by which a direction u lies inside the cone is the
// smallest n·u of all such planes.
type cone struct {
	a, b   vec
	r      float64
	la, lb float64 // lengths of a and b
	near   float64 // distance of the hand from the stretch
	// planes that touch the stretch all along: n = base ± rise
	flat       bool
	base, rise vec
}

// newCone says whether there is one: not where the hand itself is inside.
func newCone(hand, from, to vec, r float64) (cone, bool) {
	c := cone{a: from.less(hand), b: to.less(hand), r: r}
	c.la, c.lb = c.a.length(), c.b.length()
	ab := c.b.less(c.a)
	c.near = c.la
	if l2 := ab.dot(ab); l2 > 0 {
		c.near = c.a.at(max(0, min(1, -c.a.dot(ab)/l2)), ab).length()
	}
	if !(c.near > r) {
		return c, false
	}
	aa, bb, mix := c.la*c.la, c.lb*c.lb, c.a.dot(c.b)
	if det := float64(aa*bb) - float64(mix*mix); det > alongShare*alongShare*aa*bb {
		ka, kb := r*(bb-mix)/det, r*(aa-mix)/det
		if high := 1 - r*(ka+kb); high >= 0 {
			c.flat = true
			c.base = c.a.times(ka).at(kb, c.b)
			c.rise = c.a.cross(c.b).times(math.Sqrt(high / det))
		}
	}
	return c, true
}

// slack is the rounding allowed when a plane is asked on which side the other
// end lies: a few units in the last place of metres.
const slack = 1e-12

// inside returns the sine of the angle by which the unit direction u lies inside
// the cone, negative outside, and the normal of the plane where it leaves soonest.
func (c *cone) inside(u vec) (sine float64, n vec) {
	if v := u.times(-1); v.dot(c.a) >= c.r && v.dot(c.b) >= c.r {
		return -1, v
	}
	sine = math.Inf(1)
	if m, ok := leaves(u, c.a, c.la, c.b, c.r); ok {
		sine, n = m.dot(u), m
	}
	if c.a == c.b {
		return sine, n
	}
	if m, ok := leaves(u, c.b, c.lb, c.a, c.r); ok {
		if s := m.dot(u); s < sine {
			sine, n = s, m
		}
	}
	if c.flat {
		m := c.base.less(c.rise)
		if c.rise.dot(u) < 0 {
			m = c.base.plus(c.rise)
		}
		if s := m.dot(u); s < sine {
			sine, n = s, m
		}
	}
	return sine, n
}

// leaves is the plane through the hand that touches the ball at end and lies
// nearest to u; not ok where the ball at the other end reaches across it.
func leaves(u, end vec, l float64, other vec, r float64) (vec, bool) {
	e := end.times(1 / l)
	out := u.at(-u.dot(e), e)
	if k := out.length(); k > alongShare {
		out = out.times(1 / k)
	} else { // u points at the middle: away from the other end
		out = e.square(end.less(other))
	}
	s := r / l
	n := e.times(s).at(-math.Sqrt(1-s*s), out)
	return n, n.dot(other) >= r-slack
}

// leaving returns the angle by which u must turn towards g, square to it, to
// leave the cone; 0 where it is outside.
func (c *cone) leaving(u, g vec) float64 {
	if s, _ := c.inside(u); s <= 0 {
		return 0
	}
	return c.leavingFrom(u, g)
}

// leavingFrom is leaving for a u that is known to be inside: by the side of the
// capsule where the line that leaves touches it between the ends, else by the ball
// that is left last.
func (c *cone) leavingFrom(u, g vec) float64 {
	if c.flat {
		ab := c.a.cross(c.b)
		for _, n := range [2]vec{c.base.plus(c.rise), c.base.less(c.rise)} {
			s, k := n.dot(u), -n.dot(g)
			v := u.times(k).at(s, g)
			t0, t1 := c.a.at(-c.r, n), c.b.at(-c.r, n)
			way := n.dot(ab)                                                // n·(t0 × t1): what was taken off lies along n
			if way*n.dot(t0.cross(v)) >= 0 && way*n.dot(v.cross(t1)) >= 0 { // v between t0 and t1
				return math.Atan2(s, k)
			}
		}
	}
	out := c.leavingBall(u, g, c.a, c.la)
	if c.a != c.b {
		out = max(out, c.leavingBall(u, g, c.b, c.lb))
	}
	return out
}

func (c *cone) leavingBall(u, g, end vec, l float64) float64 {
	x, y := u.dot(end)/l, g.dot(end)/l
	k := math.Sqrt(1-c.r*c.r/(l*l)) / math.Sqrt(float64(x*x)+float64(y*y))
	if !(k <= 1) {
		return 0
	}
	return max(0, math.Atan2(y, x)+math.Acos(k))
}
