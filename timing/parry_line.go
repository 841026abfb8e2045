package timing

import (
	"math"
	"slices"

	"mesure/quantity"
)

// LinePasses returns by how much the line of the attacking blade, from the hand through
// the point and on, passes a target of this radius about the stretch from ZoneFrom to
// ZoneTo: negative where it meets it. places are those of a Parry, in metres; it is
// false where the target lies behind the hand, or where the hand is in it.
func LinePasses(places []float64, radius quantity.Metres) (quantity.Metres, bool) {
	if len(places) < sixPlaces {
		return 0, false
	}
	two := newPair(places)
	if !(two.la > 0) {
		return 0, false
	}
	from, to := placeAt(places, ZoneFrom), placeAt(places, ZoneTo)
	if max(two.u.dot(from.less(two.attacker)), two.u.dot(to.less(two.attacker)))+float64(radius) <= 0 {
		return 0, false
	}
	if _, _, near := nearestOfLines(two.attacker, two.u, 0, from, to.less(from)); near <= float64(radius) {
		return 0, false
	}
	_, _, apart := nearestOfLines(two.attacker, two.u, math.Inf(1), from, to.less(from))
	return quantity.Metres(apart) - radius, true
}

// ToGo is how far the attacking point has to go along its line until it is at the
// target: to the surface of the zone where the line meets it, else to where it is
// nearest; 0 where it has got there. At the means of all places, in metres.
func (p Parry) ToGo() quantity.Metres {
	x := p.Places.Mean
	if len(x) < sixPlaces {
		return 0
	}
	two := newPair(x)
	if !(two.la > 0) {
		return 0
	}
	from := placeAt(x, ZoneFrom)
	s, _, apart := nearestOfLines(two.attacker, two.u, math.Inf(1), from, placeAt(x, ZoneTo).less(from))
	if r := float64(p.Radius.Mean); apart < r {
		s -= math.Sqrt(r*r - apart*apart)
	}
	return quantity.Metres(max(0, s-two.la))
}

// Carried returns the parry when the attack has come on by this much along its own
// line: hand and point of the attacker together, everything else where it is.
func (p Parry) Carried(by quantity.Metres) Parry {
	q := p
	q.Places = quantity.Joint{Mean: slices.Clone(p.Places.Mean), Cov: p.Places.Cov}
	if len(q.Places.Mean) < sixPlaces {
		return q
	}
	two := newPair(q.Places.Mean)
	if !(two.la > 0) {
		return q
	}
	for i, at := range [2]vec{two.attacker.at(float64(by), two.u), two.point.at(float64(by), two.u)} {
		copy(q.Places.Mean[3*i:], []float64{at.x, at.y, at.z})
	}
	return q
}

// Certain returns the parry without spread: Ask then answers at the means, at little
// cost.
func (p Parry) Certain() Parry {
	n := p.Places.Len()
	return Parry{Places: quantity.Joint{Mean: p.Places.Mean, Cov: make([]float64, n*n)}, Radius: quantity.Exactly(p.Radius.Mean), Margin: p.Margin}
}
