package chart

import (
	"errors"

	"mesure/show/draw"
	"mesure/study"
)

// ErrNoMap says that the reading has no distance map.
var ErrNoMap = errors.New("there is no distance map in this reading: mark both points and a target of each on one frame, and ask for the map of its timing")

// Distance draws the distance map of the pair. It returns ErrNoMap where the reading
// has none, and panics without a reading of a touch.
func Distance(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a distance map needs a reading of a touch")
	}
	if r.Timing == nil || r.Timing.Map == nil {
		return nil, ErrNoMap
	}
	return draw.New(o.Layout.Width(), 40, r.Timing.Map.Finding, ""), nil
}
