package timing

import (
	"math"

	"mesure/quantity"
)

// Meeting is one place where the blades can meet, and what it asks of the
// defender. The defender's blade is rigid and may be carried and turned as one
// pleases; in the end it must pass through the meeting place, at OnDefender from
// the hand, and stand square to the way the attacking blade is pushed, so that it
// holds without friction. Of all such ends the one is taken whose Path is smallest.
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
	// the travel of the hand and the turn of the blade in it.
	Path, Travel quantity.Metres
	Sweep        quantity.Radians
	// Crossing is the angle between the blades in the end, 0 where they lie along
	// each other point to guard.
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
// With p from the hand to the place, r from the place to the point, and w the
// direction in the end, hand and point travel |p − d·w| and |r − (l − d)·w|: the
// first least for w along p, the second for w along r. Square to the push, w lies in
// a plane, and the greater of the two is least on the arc from the one to the
// other: at an end, or where the two are equal.
func (p *pair) meet(a, d float64, v, side vec) end {
	x := p.attacker.at(a, v)
	to, rest := x.less(p.defender), p.guardian.less(x)
	e := p.ld - d
	e1 := v.times(-1)
	p1, p2 := to.dot(e1), to.dot(side)
	r1, r2 := rest.dot(e1), rest.dot(side)
	pp, rr := to.dot(to)+d*d, rest.dot(rest)+e*e
	size := func(w1, w2 float64) (hand, point float64) {
		return math.Sqrt(max(0, pp-2*d*(p1*w1+p2*w2))), math.Sqrt(max(0, rr-2*e*(r1*w1+r2*w2)))
	}
	out := func(w1, w2, hand, point float64) end {
		return end{e1.times(w1).at(w2, side), hand, point}
	}
	lp, lr := math.Hypot(p1, p2), math.Hypot(r1, r2)
	if lp == 0 || lr == 0 { // the place lies square beside hand or point: keep the blade as it is
		w1, w2 := p.q.dot(e1), p.q.dot(side)
		if k := math.Hypot(w1, w2); k > 0 {
			h, t := size(w1/k, w2/k)
			return out(w1/k, w2/k, h, t)
		}
		h, t := size(1, 0)
		return out(1, 0, h, t)
	}
	h, t := size(p1/lp, p2/lp)
	if h >= t {
		return out(p1/lp, p2/lp, h, t)
	}
	h2, t2 := size(r1/lr, r2/lr)
	if t2 >= h2 {
		return out(r1/lr, r2/lr, h2, t2)
	}
	// Equal: k·w = c, on the arc.
	k1, k2 := 2*(e*r1-d*p1), 2*(e*r2-d*p2)
	k := math.Hypot(k1, k2)
	c := max(-1, min(1, (rr-pp)/k))
	s := math.Sqrt(1 - c*c)
	best, found := end{}, false
	for _, sign := range [2]float64{1, -1} {
		w1, w2 := (c*k1-sign*s*k2)/k, (c*k2+sign*s*k1)/k
		if h, t := size(w1, w2); !found || max(h, t) < max(best.hand, best.point) {
			best, found = out(w1, w2, h, t), true
		}
	}
	return best
}

// meeting is meet with everything that a reader asks of it.
func (p *pair) meeting(a, d float64, v, g vec) Meeting {
	e := p.meet(a, d, v, v.cross(g))
	x := p.attacker.at(a, v)
	hand := x.at(-d, e.w)
	m := Meeting{
		OnAttacker: quantity.Metres(a), OnDefender: quantity.Metres(d),
		AttackerPart: PartOf(quantity.Ratio(a / p.la)), DefenderPart: PartOf(quantity.Ratio(d / p.ld)),
		Leverage: Leverage(quantity.Metres(a), quantity.Metres(d)),
		Place:    x.metres(), Shift: quantity.Metres(x.less(p.attacker.at(a, p.u)).length()),
		Path: quantity.Metres(max(e.hand, e.point)), Travel: quantity.Metres(e.hand),
		Sweep:    quantity.Radians(p.q.angle(e.w)),
		Crossing: quantity.Radians(e.w.angle(v.times(-1))),
		Carried:  quantity.Metres(x.at(-d, p.q).less(p.defender).length()),
		Hand:     hand.metres(), Point: x.at(p.ld-d, e.w).metres(),
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
