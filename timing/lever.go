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
// a place on the forte while the own blade looks at the aim.
type Opposition struct {
	OnAttacker, OnDefender quantity.Metres
	Leverage               quantity.Ratio
	// Path is the greatest travel of hand and point, Travel that of the hand, Sweep
	// the turn of the blade.
	Path, Travel quantity.Metres
	Sweep        quantity.Radians
	// Hold is the share of the press that goes the way the attacking blade is pushed:
	// 1 where the blades stand square to it, 0 where they slip along each other.
	Hold quantity.Ratio
	// ToGo is how far the point then is from the aim, along the blade; negative where
	// it would have arrived already.
	ToGo quantity.Metres
}

// oppose looks for the opposition with the smallest Path among the same places as
// a parry; nil where no place has leverage or the aim lies on the meeting place.
func (p *pair) oppose(aim, v, push vec) *Opposition {
	var out *Opposition
	for j := range placesOnForte {
		d := p.onForte(j)
		for i := 1; i <= placesOnAttacker; i++ {
			a := p.la * float64(i) / placesOnAttacker
			x := p.attacker.at(a, v)
			to := aim.less(x)
			far := to.length()
			if !(a > float64(HoldsFrom)*d) || !(far > alongShare) {
				continue
			}
			w := to.times(1 / far)
			hand := x.at(-d, w)
			travel := hand.less(p.defender).length()
			path := max(travel, x.at(p.ld-d, w).less(p.guardian).length())
			if out != nil && quantity.Metres(path) >= out.Path {
				continue
			}
			hold := 0.0
			if c := v.cross(w); c.length() > alongShare {
				hold = math.Abs(c.unit().dot(push))
			}
			out = &Opposition{
				OnAttacker: quantity.Metres(a), OnDefender: quantity.Metres(d), Leverage: quantity.Ratio(a / d),
				Path: quantity.Metres(path), Travel: quantity.Metres(travel), Sweep: quantity.Radians(p.q.angle(w)),
				Hold: quantity.Ratio(hold), ToGo: quantity.Metres(far - (p.ld - d)),
			}
		}
	}
	return out
}

// Ceding is what yielding to the other blade needs, where the blades are in
// contact and the attacker has the leverage.
type Ceding struct {
	// OnAttacker and OnDefender say where the blades touch now, and Leverage who has
	// the better of it.
	OnAttacker, OnDefender quantity.Metres
	Leverage               quantity.Ratio
	// Needed says that the attacker has the leverage, so that pressing back does not
	// serve.
	Needed bool
	// To is the end of the smallest movement that brings the contact to the own forte
	// with leverage while the other blade stays; nil where none is needed, or where
	// the contact is so near to the attacker's hand that no place has leverage.
	To *Meeting
}

// cede looks for the ceding from a contact at a and d from the hands.
func (p *pair) cede(a, d float64) *Ceding {
	c := &Ceding{OnAttacker: quantity.Metres(a), OnDefender: quantity.Metres(d), Leverage: Leverage(quantity.Metres(max(a, nearestLever)), quantity.Metres(max(d, nearestLever)))}
	if !(c.Leverage <= HoldsFrom) {
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
