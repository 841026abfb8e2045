package timing

import (
	"math"

	"mesure/quantity"
)

// RoundClearance is how far from the middle of the attacking blade the point of the
// defending one passes when it goes round it (our choice: blades that touch are up to
// 24 mm apart, and 6 mm of air).
const RoundClearance = quantity.Metres(0.03)

// Round is the way of the defending point round the attacking blade.
type Round struct {
	// Length of the way of the point, until the blades touch on the other side, and
	// Straight what it would be if no blade were in between.
	Length, Straight quantity.Metres
	// Turn is by how much it goes round the blade, as seen along it: π for a half circle.
	Turn quantity.Radians
	// Under says that it passes below the attacking blade.
	Under bool
}

// rounded is one parry that goes round: travel of hand and point, and the way round.
type rounded struct {
	hand, point float64
	way         Round
}

// round is the parry that ends with the defending blade along w, through the place at
// a and d from the hands, when the attacking blade has turned from u towards g by this
// much, and that first brings the defending blade to the other side of the attacking
// one.
//
// Seen along the attacking blade, that is a dot, and the defending one a line from its
// hand to its point. To change sides the point must come back past the dot on the side
// of the hand, since the rest of the line is in the way elsewhere: the shortest such
// way is straight to the circle of RoundClearance about the dot, along it, and straight
// on to where the blades touch. What the point goes along the blade meanwhile is added
// as on a cylinder that is rolled flat, a helix. From the contact on, both blades turn
// together about the attacker's hand. The hand goes straight.
//
// Where the defending point does not reach the attacking blade, nothing is in the way.
func (p *pair) round(a, d float64, g vec, turn float64, v, push, w vec) rounded {
	n := p.u.cross(g)
	x := p.attacker.at(a, v)
	hand, tip := x.at(-d, w).less(p.attacker), x.at(p.ld-d, w).less(p.attacker)
	hand0, tip0 := p.defender.less(p.attacker), p.guardian.less(p.attacker)
	// Along the blade, towards the push, and square to both: before, and at the contact.
	t0, h0 := vec{tip0.dot(p.u), tip0.dot(g), tip0.dot(n)}, vec{hand0.dot(p.u), hand0.dot(g), hand0.dot(n)}
	t1, h1 := vec{tip.dot(v), tip.dot(push), tip.dot(n)}, vec{hand.dot(v), hand.dot(push), hand.dot(n)}
	c := float64(RoundClearance)
	t1.y, h1.y = t1.y-c, h1.y-c // the defending blade stands behind the other one
	out := rounded{}
	flat := math.Hypot(t1.y-t0.y, t1.z-t0.z)
	out.way.Straight = quantity.Metres(math.Hypot(flat, t1.x-t0.x))
	if t0.x < p.la { // else the point of the attack is still short of that of the defence
		past := vec{0, (h0.y + h1.y) / 2, (h0.z + h1.z) / 2}
		var turned float64
		flat, turned = roundCircle(t0, t1, past, c)
		out.way.Turn = quantity.Radians(turned)
		out.way.Under = g.times(past.y).at(past.z, n).z < 0
	}
	way := math.Hypot(flat, t1.x-t0.x)
	out.way.Length = quantity.Metres(way)
	chord := 2 * math.Sin(turn/2)
	out.point = way + float64(chord*math.Hypot(t1.x, t1.y))
	out.hand = h1.less(h0).length() + float64(chord*math.Hypot(h1.x, h1.y))
	return out
}

// roundCircle is the length of the shortest way from one place to another round a
// circle of radius c about the origin, on the side of the third, and the angle by which
// it goes round, all in the plane of y and z. A place within the circle counts as on it.
//
// It is the way of a taut thread: with r the distance of an end from the middle, the
// straight part is √(r² − c²) and takes acos(c/r) of the angle.
func roundCircle(from, to, past vec, c float64) (length, angle float64) {
	place := func(p vec) (r, at float64) { return math.Hypot(p.y, p.z), math.Atan2(p.z, p.y) }
	r0, a0 := place(from)
	r1, a1 := place(to)
	_, ap := place(past)
	whole := 2 * math.Pi
	mod := func(x float64) float64 { return math.Mod(math.Mod(x, whole)+whole, whole) }
	angle = mod(a1 - a0)
	if mod(ap-a0) > angle {
		angle = whole - angle
	}
	tangent := func(r float64) (straight, takes float64) {
		if r <= c {
			return 0, 0
		}
		return math.Sqrt(r*r - c*c), math.Acos(c / r)
	}
	s0, k0 := tangent(r0)
	s1, k1 := tangent(r1)
	if arc := angle - k0 - k1; arc > 0 {
		return s0 + s1 + float64(c*arc), angle
	}
	return math.Hypot(to.y-from.y, to.z-from.z), angle
}
