package chart

import (
	"errors"

	"mesure/show/draw"
	"mesure/study"
)

// ErrNoStarts says that the reading has no start of a hand, a foot or a blade.
var ErrNoStarts = errors.New("nobody was seen to start: set the moments at which a hand or a foot begins to move, or follow them")

// Started draws who started what, when.
func Started(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: starts need a reading of a touch")
	}
	if r.Timing == nil || r.Timing.Started == nil || len(r.Timing.Started.Starts) == 0 {
		return nil, ErrNoStarts
	}
	return leafOf(o.themed(), r.Timing.Started.Finding, "", "", []part{space(60)}), nil
}
