package chart

import (
	"errors"

	"mesure/show/draw"
	"mesure/study"
)

// ErrNoFit says that a fit has nothing to draw.
var ErrNoFit = errors.New("nothing was fitted: follow the point through the movement")

// Fit draws the movement of this index in Profile.Fits over what was followed.
func Fit(p study.Profile, i int, o Options) (*draw.Drawing, error) {
	if i < 0 || i >= len(p.Fits) {
		panic("chart: a fit needs its place in the profile")
	}
	if len(p.Fits[i].Data) == 0 || len(p.Fits[i].Curve) < 2 {
		return nil, ErrNoFit
	}
	return leafOf(o.themed(), "The movement fitted", "", "", []part{space(60)}), nil
}
