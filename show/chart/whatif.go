package chart

import (
	"errors"

	"mesure/show/draw"
	"mesure/study"
)

// ErrNoWhatIf says that the reading answers no "what if".
var ErrNoWhatIf = errors.New("nothing was changed in this reading: ask its timing for a change")

// WhatIf draws a race and its windows as they are and as they would be. It returns
// ErrNoWhatIf where the reading answers none, and panics without a reading of a touch.
func WhatIf(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a what-if needs a reading of a touch")
	}
	if r.Timing == nil || r.Timing.WhatIf == nil {
		return nil, ErrNoWhatIf
	}
	return draw.New(o.Layout.Width(), 40, r.Timing.WhatIf.Finding, ""), nil
}
