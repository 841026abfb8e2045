package chart

import (
	"errors"

	"mesure/show/draw"
	"mesure/study"
)

// ErrNoStand says that the reading has no fencer whose feet and hip are known.
var ErrNoStand = errors.New("there is no footwork in this reading: mark both feet and the hip of a fencer on this frame")

// Stand draws what each body can do at the instant of Reading.Timing.
func Stand(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: footwork needs a reading of a touch")
	}
	if r.Timing == nil || r.Timing.Commits == [2]*study.Commit{} {
		return nil, ErrNoStand
	}
	return leafOf(o.themed(), "What each can do now", "", "", []part{space(60)}), nil
}
