package timing

import (
	"math"

	"mesure/quantity"
)

// Part is a third of a blade.
type Part string

// The thirds, from the guard to the point. The technical rules call the third
// nearest the guard the forte and the other two the foible (t.85 and t.104); the
// trade calls the middle third the medium, and so do we.
const (
	Forte      Part = "forte"
	MediumPart Part = "medium"
	Foible     Part = "foible"
)

// LongestBlade is the greatest length of an épée blade with its button, 90 cm
// (equipment rules, as printed by equipment sellers).
const LongestBlade = quantity.Metres(0.90)

// BladeSlack is how much longer than the rules allow a measured blade may be
// before it is refused: the spread of a guard and a point that were marked
// (our choice).
const BladeSlack = quantity.Metres(0.15)

// PartOf returns the third in which a share of the blade lies, 0 at the guard
// and 1 at the point. A share on an edge belongs to the third nearer the guard;
// beyond the ends it is that of the end. It panics for NaN.
func PartOf(share quantity.Ratio) Part {
	switch {
	case 3*share <= 1+slack:
		return Forte
	case 3*share <= 2+slack:
		return MediumPart
	case share > 0:
		return Foible
	}
	panic("timing: a part of a blade needs a share")
}

// Leverage is the advantage of the defender where two blades meet: the distance
// of the meeting place from the attacker's hand over that from the defender's
// hand. By the law of the lever the same press at the meeting place asks a torque
// of each wrist in that proportion: above 1 the defender needs the smaller one.
// It is a pure number; a defender's distance of 0 gives +Inf, both 0 give NaN.
//
// Source: the law of the lever (Archimedes, On the Equilibrium of Planes I, 6–7),
// with rigid blades. A real blade bends, which favours the forte further.
func Leverage(attackersHand, defendersHand quantity.Metres) quantity.Ratio {
	return quantity.Ratio(attackersHand / defendersHand)
}

// HoldsFrom is the leverage above which a parry holds (common practice, no
// source: forte against foible).
const HoldsFrom = quantity.Ratio(1)

// Opposition is what it takes to close the line and hit in it: the blades meet at
// a place on the forte while the own blade looks at the aim. The place is chosen at
// the means, that with the smallest Path, and kept as shares of the blades over the
// draws that threaten.
type Opposition struct {
	OnAttacker, OnDefender quantity.Metres
	Leverage               quantity.Of[quantity.Ratio]
	// Path is the greatest travel of hand and point, Travel that of the hand, Sweep
	// the turn of the blade.
	Path, Travel quantity.Of[quantity.Metres]
	Sweep        quantity.Of[quantity.Radians]
	// Hold is the share of the press that goes the way the attacking blade is pushed:
	// 1 where the blades stand square to it, 0 where they slip along each other.
	Hold quantity.Of[quantity.Ratio]
	// ToGo is how far the point then is from the aim, along the blade; negative where
	// it would have arrived already.
	ToGo quantity.Of[quantity.Metres]
}

// opposed is one opposition: what Opposition has, of one draw.
type opposed struct{ path, travel, sweep, hold, toGo float64 }

// oppose is the end at a and d from the hands; not ok where the aim lies on the
// meeting place.
func (p *pair) oppose(a, d float64, aim, v, push vec) (opposed, bool) {
	x := p.attacker.at(a, v)
	to := aim.less(x)
	far := to.length()
	if !(far > alongShare) {
		return opposed{}, false
	}
	w := to.times(1 / far)
	o := opposed{travel: x.at(-d, w).less(p.defender).length(), sweep: p.q.angle(w), toGo: far - (p.ld - d)}
	o.path = max(o.travel, x.at(p.ld-d, w).less(p.guardian).length())
	if c := v.cross(w); c.length() > alongShare {
		o.hold = math.Abs(c.unit().dot(push))
	}
	return o, true
}

// bestOpposition looks among the same places as a parry; not ok where none has
// leverage.
func (p *pair) bestOpposition(aim, v, push vec) (a, d float64, ok bool) {
	path := math.Inf(1)
	for j := range placesOnForte {
		dj := p.onForte(j)
		for i := 1; i <= placesOnAttacker; i++ {
			ai := p.la * float64(i) / placesOnAttacker
			if !(ai > float64(HoldsFrom)*dj) {
				continue
			}
			if o, fine := p.oppose(ai, dj, aim, v, push); fine && o.path < path {
				path, a, d, ok = o.path, ai, dj, true
			}
		}
	}
	return a, d, ok
}

// opposition sums the draws up.
func opposition(a, d float64, draws []opposed, leverage []quantity.Ratio) *Opposition {
	metres := func(f func(o opposed) float64) quantity.Of[quantity.Metres] {
		return ofOpposed[quantity.Metres](draws, f)
	}
	return &Opposition{
		OnAttacker: quantity.Metres(a), OnDefender: quantity.Metres(d), Leverage: quantity.FromDraws(leverage),
		Path: metres(func(o opposed) float64 { return o.path }), Travel: metres(func(o opposed) float64 { return o.travel }),
		ToGo:  metres(func(o opposed) float64 { return o.toGo }),
		Sweep: ofOpposed[quantity.Radians](draws, func(o opposed) float64 { return o.sweep }),
		Hold:  ofOpposed[quantity.Ratio](draws, func(o opposed) float64 { return o.hold }),
	}
}

func ofOpposed[U quantity.Unit](draws []opposed, f func(o opposed) float64) quantity.Of[U] {
	v := make([]U, len(draws))
	for i, o := range draws {
		v[i] = U(f(o))
	}
	return quantity.FromDraws(v)
}

// Ceding is what yielding to the other blade needs, where the blades are in
// contact and the attacker has the leverage.
type Ceding struct {
	// OnAttacker and OnDefender say where the blades touch now, and Leverage who has
	// the better of it.
	OnAttacker, OnDefender quantity.Of[quantity.Metres]
	Leverage               quantity.Of[quantity.Ratio]
	// Needed says, at the means, that the attacker has the leverage, so that pressing back does not
	// serve.
	Needed bool
	// To is the end of the smallest movement that brings the contact to the own forte
	// with leverage while the other blade stays; nil where none is needed, or where
	// the contact is so near to the attacker's hand that no place has leverage.
	To *Meeting
}

// cede looks for the ceding from a contact at a and d from the hands.
func (p *pair) cede(a, d float64) *Ceding {
	c := &Ceding{}
	if !(Leverage(quantity.Metres(max(a, nearestLever)), quantity.Metres(max(d, nearestLever))) <= HoldsFrom) {
		return c
	}
	c.Needed = true
	press := p.u.cross(p.q)
	if press.length() <= alongShare {
		press = p.u.square(vec{0, 0, 1})
	}
	press = press.unit()
	if _, on, ok := p.best(p.u, press, a); ok {
		m := p.meeting(a, on, p.u, press)
		c.To = &m
	}
	return c
}
