package chart

import (
	"errors"

	"mesure/show/draw"
	"mesure/study"
)

// ErrNoParry says that the reading has no parry.
var ErrNoParry = errors.New("there is no parry in this reading: mark both hands and both points on one frame, and say which target is attacked")

// Parry draws what a parry has to do at the instant of Reading.Timing.
func Parry(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a parry needs a reading of a touch")
	}
	if r.Timing == nil || r.Timing.Parry == nil {
		return nil, ErrNoParry
	}
	return newLeaf(o.themed(), r.Timing.Parry.Finding, r.Timing.Parry.Finding, "", 60).Drawing, nil
}
