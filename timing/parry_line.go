package timing

import (
	"math"

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
