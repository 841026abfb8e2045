package timing

import (
	"math"

	"mesure/quantity"
)

// Angulation returns the least angle between a line and the axis of a guard with which
// the line passes the edge of the guard, of this radius, and still meets a hand of this
// radius so far behind it:
//
//	atan((guard − hand)/behind),
//
// 0 where the hand is no narrower than the guard. A straight line along the axis meets
// the guard. It returns *InputError where a length is not positive.
func Angulation(guard, hand, behind quantity.Metres) (quantity.Radians, error) {
	for _, l := range []struct {
		field string
		v     quantity.Metres
	}{{"radius of the guard", guard}, {"radius of the hand", hand}, {"distance of the hand behind the guard", behind}} {
		if !(l.v > 0 && l.v <= maxLength) {
			return 0, &InputError{l.field, float64(l.v), "a positive length of at most 100 m"}
		}
	}
	return quantity.Radians(math.Atan2(max(0, float64(guard-hand)), float64(behind))), nil
}
