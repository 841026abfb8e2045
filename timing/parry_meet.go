package timing

import (
	"math"

	"mesure/quantity"
)

// Meeting is one place where the blades can meet, and what it asks of the
// defender. The defender's blade is rigid and may be carried and turned as one
// pleases; in the end it must pass through the meeting place, at OnDefender from
// the hand, and stand square to the way the attacking blade is pushed, so that it
// holds without friction, crossing the other blade by ParryCrossing or more. Of all such ends the one is taken whose Path is smallest.
type Meeting struct {
	// OnAttacker and OnDefender are the distances of the meeting place from the two
	// hands, along the blades, and the parts of the blades.
	OnAttacker, OnDefender     quantity.Metres
	AttackerPart, DefenderPart Part
	Leverage                   quantity.Ratio
	// Place is where the blades meet at the end of the parry, in the world frame.
	Place [3]quantity.Metres
	// Shift is how far the attacking blade moves there: 2·OnAttacker·sin(turn/2).
	Shift quantity.Metres
	// Path is the greatest travel of any point of the defending blade, which is that
	// of the hand or that of the point: the size of the parry. Travel and Sweep are
	// the travel of the hand and the turn of the blade in it. A parry that goes round
	// the other blade has its way round in Path and Travel.
	Path, Travel quantity.Metres
	Sweep        quantity.Radians
	// Crossing is the angle between the blades in the end, at least ParryCrossing; 0
	// would be blades that lie along each other, point to guard.
	Crossing quantity.Radians
	// StillTravel and StillSweep are what the same place asks for when the hand
	// moves as little as it can; Carried is the travel when the blade is carried
	// without any turn. Neither need hold square.
	StillTravel quantity.Metres
	StillSweep  quantity.Radians
	Carried     quantity.Metres
	// Hand and Point are where the defending blade ends.
	Hand, Point [3]quantity.Metres
}

// pair is two blades and the hand's view of the target.
type pair struct {
	attacker, defender vec // hands
	point, guardian    vec // points of the attacker and of the defender
	u, q               vec // directions of the blades
	la, ld             float64
}

func newPair(x []float64) pair {
	p := pair{attacker: placeAt(x, AttackersHand), point: placeAt(x, AttackersPoint), defender: placeAt(x, DefendersHand), guardian: placeAt(x, DefendersPoint)}
	u, q := p.point.less(p.attacker), p.guardian.less(p.defender)
	p.la, p.ld = u.length(), q.length()
	p.u, p.q = u.times(1/p.la), q.times(1/p.ld)
	return p
}

// end is where the defending blade stops: its direction and the travel of hand
// and point.
type end struct {
	w           vec
	hand, point float64
}

// meet finds the end of the smallest parry through the place at a from the
// attacker's hand when that blade has turned by turn towards g, d from the
// defender's hand.
//
// With p from the hand to the place, r from the place to the point, e the blade
// beyond the place and w the direction in the end, hand and point travel |p − d·w|
// and |r − e·w|. Square to the push, w goes round in a plane, without the part of
// the circle that crosses the other blade at less than ParryCrossing. The greater of
// the two is least where the first is (w along p), where the second is (along r),
// where the two are equal (k·w = c), or where that part ends: the smallest of these
// six is taken.
func (p *pair) meet(a, d float64, v, side vec) end {
	x := p.attacker.at(a, v)
	to, rest := x.less(p.defender), p.guardian.less(x)
	e := p.ld - d
	e1 := v.times(-1)
	p1, p2 := to.dot(e1), to.dot(side)
	r1, r2 := rest.dot(e1), rest.dot(side)
	pp, rr := to.dot(to)+d*d, rest.dot(rest)+e*e
	best, b1, b2 := math.Inf(1), 1.0, 0.0
	try := func(w1, w2 float64) {
		if w1 > 0 && math.Abs(w2) < sinCrossing-slack {
			return
		}
		if s := max(pp-2*d*(p1*w1+p2*w2), rr-2*e*(r1*w1+r2*w2)); s < best {
			best, b1, b2 = s, w1, w2
		}
	}
	try(cosCrossing, sinCrossing)
	try(cosCrossing, -sinCrossing)
	if l := math.Sqrt(p1*p1 + p2*p2); l > 0 {
		try(p1/l, p2/l)
	}
	if l := math.Sqrt(r1*r1 + r2*r2); l > 0 {
		try(r1/l, r2/l)
	}
	k1, k2 := 2*(e*r1-d*p1), 2*(e*r2-d*p2)
	if k := math.Sqrt(k1*k1 + k2*k2); k > math.Abs(rr-pp) {
		c := (rr - pp) / k
		s := math.Sqrt(1 - c*c)
		try((c*k1-s*k2)/k, (c*k2+s*k1)/k)
		try((c*k1+s*k2)/k, (c*k2-s*k1)/k)
	}
	return end{e1.times(b1).at(b2, side),
		math.Sqrt(max(0, pp-2*d*(p1*b1+p2*b2))), math.Sqrt(max(0, rr-2*e*(r1*b1+r2*b2)))}
}

// meeting is meet with everything that a reader asks of it.
func (p *pair) meeting(a, d float64, v, g vec) Meeting {
	return p.meetingOf(a, d, v, g, p.meet(a, d, v, v.cross(g)).w)
}

// meetingOf is the meeting that ends with the defending blade along w.
func (p *pair) meetingOf(a, d float64, v, g, w vec) Meeting {
	x := p.attacker.at(a, v)
	hand, tip := x.at(-d, w), x.at(p.ld-d, w)
	travel := hand.less(p.defender).length()
	m := Meeting{
		OnAttacker: quantity.Metres(a), OnDefender: quantity.Metres(d),
		AttackerPart: PartOf(quantity.Ratio(a / p.la)), DefenderPart: PartOf(quantity.Ratio(d / p.ld)),
		Leverage: Leverage(quantity.Metres(a), quantity.Metres(d)),
		Place:    x.metres(), Shift: quantity.Metres(x.less(p.attacker.at(a, p.u)).length()),
		Path: quantity.Metres(max(travel, tip.less(p.guardian).length())), Travel: quantity.Metres(travel),
		Sweep:    quantity.Radians(p.q.angle(w)),
		Crossing: quantity.Radians(w.angle(v.times(-1))),
		Carried:  quantity.Metres(x.at(-d, p.q).less(p.defender).length()),
		Hand:     hand.metres(), Point: tip.metres(),
	}
	to := x.less(p.defender)
	m.StillTravel = quantity.Metres(math.Abs(to.length() - d))
	if to.length() > 0 {
		m.StillSweep = quantity.Radians(p.q.angle(to))
	}
	return m
}

func (a vec) metres() [3]quantity.Metres {
	return [3]quantity.Metres{quantity.Metres(a.x), quantity.Metres(a.y), quantity.Metres(a.z)}
}

// ParryCrossing is the smallest angle at which the blades cross in a parry (our
// choice, 20°: blades that lie along each other slip with the least error).
const ParryCrossing = quantity.Radians(0.349065850398866)

const (
	sinCrossing = 0.342020143325669 // sin 20°
	cosCrossing = 0.939692620785908 // cos 20°
)

// turned is the direction u after a turn towards g, and g after the same turn.
func turned(u, g vec, turn float64) (v, push vec) {
	s, c := math.Sincos(turn)
	return u.times(c).at(s, g), g.times(c).at(-s, u)
}

// Places that are tried when the best meeting is looked for: every such share of
// the attacking blade, and of the forte from its middle outwards. Nearer the guard
// than ForteFrom the guard itself is in the way.
const (
	placesOnAttacker = 24
	placesOnForte    = 5
	// ForteFrom is the nearest to the hand that a parry is taken on the blade: the
	// depth of the guard, up to 5.5 cm (equipment rules).
	ForteFrom = quantity.Metres(0.055)
)

// best returns the meeting with the smallest Path among places with leverage on
// the defender's forte, at one share of the attacking blade or, where only is 0,
// at any. Not ok where no place has leverage.
func (p *pair) best(v, g vec, only float64) (a, d float64, ok bool) {
	path := math.Inf(1)
	side := v.cross(g)
	for j := range placesOnForte {
		dj := p.onForte(j)
		for i := 1; i <= placesOnAttacker; i++ {
			ai := p.la * float64(i) / placesOnAttacker
			if only > 0 {
				ai = only
			}
			if ai > float64(HoldsFrom)*dj {
				e := p.meet(ai, dj, v, side)
				if s := max(e.hand, e.point); s < path {
					path, a, d, ok = s, ai, dj, true
				}
			}
			if only > 0 {
				break
			}
		}
	}
	return a, d, ok
}

// onForte is one of the places that are tried on the defender's forte.
func (p *pair) onForte(j int) float64 {
	lo := min(float64(ForteFrom), p.ld/3)
	return lo + (p.ld/3-lo)*float64(j)/(placesOnForte-1)
}
