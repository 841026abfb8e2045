package motion

import (
	"fmt"

	"mesure/quantity"
)

// Closing is how fast two points come nearer at an instant, in m/s:
//
//	−d|Δ|/dt = −Δ·Δ̇/|Δ|,  Δ = xb − xa,
//
// positive while they near each other. The errors of the two are taken to be
// independent, apart from those that the samples of both share (the same Shared
// columns in the same order, as handed to Smooth): these are carried together, so
// that a camera a little off does not blur the speed at which two fencers meet. Its
// ± is to first order; where the points may lie on each other, |Δ| within three of
// its SD, the direction is not known and the law is that of draws on a fixed lattice
// no longer stands: ok is then false and the value only says how fast they pass.
// It panics if the two have different numbers of coordinates.
func Closing(a, b *Path, t quantity.Seconds) (v quantity.Of[quantity.MetresPerSecond], ok bool) {
	panic(fmt.Sprint("todo", a, b, t))
}
