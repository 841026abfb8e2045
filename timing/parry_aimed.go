package timing

import (
	"math"
	"slices"

	"mesure/quantity"
)

// Aimed returns the law of the same places given that the attack is on its target
// sideways: that where its line is nearest to the zone it lies beside the middle by no
// more than the radius, anywhere there alike. What the line does upward and downward,
// which a picture from the side shows, is left as it is.
//
// An attack threatens its target all the time, by its definition (t.9.1 of the technical
// rules), while a picture from the side hardly shows where a line goes across it: what
// is known of that beforehand, the laws of where hands are on guard, would let most
// attacks on an arm pass beside it. It is the linear update of a Kalman filter on the
// distance across, horizontal and square to the line, with the SD radius/√3 of the
// uniform law; where along the line and the zone it is taken stays as at the means.
//
// Places that cannot be those of a parry come back as they are.
func (p Parry) Aimed() Parry {
	x := p.Places.Mean
	n := len(x)
	if n < sixPlaces || len(p.Places.Cov) != n*n {
		return p
	}
	two := newPair(x)
	if !(two.la > 0) {
		return p
	}
	across := two.u.cross(vec{0, 0, 1})
	if !(across.length() > alongShare) {
		return p // upright: sideways has no meaning
	}
	across = across.unit()
	from := placeAt(x, ZoneFrom)
	s, t, _ := nearestOfLines(two.attacker, two.u, math.Inf(1), from, placeAt(x, ZoneTo).less(from))
	k := s / two.la
	row := make([]float64, n)
	for _, c := range []struct {
		of    Spot
		share float64
	}{{AttackersHand, 1 - k}, {AttackersPoint, k}, {ZoneFrom, t - 1}, {ZoneTo, -t}} {
		for i, v := range [3]float64{across.x, across.y, across.z} {
			row[3*int(c.of)+i] += float64(c.share * v)
		}
	}
	ph := make([]float64, n)
	off, spread := 0.0, float64(p.Radius.Mean*p.Radius.Mean)/3
	for a := range n {
		for b := range n {
			ph[a] += float64(p.Places.Cov[a*n+b] * row[b])
		}
		off -= float64(row[a] * x[a])
	}
	for a := range n {
		spread += float64(row[a] * ph[a])
	}
	if !(spread > 0) {
		return p
	}
	q := p
	q.Places = quantity.Joint{Mean: slices.Clone(x), Cov: slices.Clone(p.Places.Cov)}
	for a := range n {
		q.Places.Mean[a] += float64(ph[a] / spread * off)
		for b := range n {
			q.Places.Cov[a*n+b] -= float64(ph[a] / spread * ph[b])
		}
		q.Places.Cov[a*n+a] = max(0, q.Places.Cov[a*n+a])
	}
	return q
}
