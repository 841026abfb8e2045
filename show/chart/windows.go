package chart

import (
	"errors"

	"mesure/show/draw"
	"mesure/study"
)

// ErrNoWindows says that the reading has no windows.
var ErrNoWindows = errors.New("there are no windows in this reading: mark the attacker's point and a target of the defender on one frame, and ask for its timing")

// Windows draws when each answer to the attack of one instant can still be started.
// It returns ErrNoWindows where the reading has none, and panics without a reading of
// a touch.
func Windows(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: windows need a reading of a touch")
	}
	if r.Timing == nil || r.Timing.Windows == nil {
		return nil, ErrNoWindows
	}
	return draw.New(o.Layout.Width(), 40, r.Timing.Windows.Finding, ""), nil
}
