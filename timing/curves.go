package timing

import (
	"math"

	"mesure/quantity"
)

// onsetOf returns the onset of one side from the start of the race.
func onsetOf(r Race, side int) quantity.Of[quantity.Seconds] {
	mine := r.Runners[side].Onset
	if !mine.AfterOther {
		if mine.Uniform {
			half := quantity.Seconds(float64(mine.Time.SD) * math.Sqrt(3))
			return quantity.Uniform(mine.Time.Mean-half, mine.Time.Mean+half)
		}
		return quantity.Normal(mine.Time.Mean, mine.Time.SD)
	}
	other := r.Runners[1-side].Onset.Time
	return quantity.Normal(other.Mean+mine.Time.Mean, quantity.Seconds(math.Hypot(float64(other.SD), float64(mine.Time.SD))))
}

// curves fills the travel and the closing at the mean of every input, until both
// movements are over.
func (d *drawer) curves(r Race, out *Result) {
	end := quantity.Seconds(0)
	for side := range 2 {
		m, o := r.Runners[side].Movement, quantity.Seconds(d.meanOnset[side])
		if m.Arm.Mean != 0 {
			end = max(end, o+m.ArmTime.Mean)
		}
		if m.Body.Mean != 0 {
			end = max(end, o+m.Delay.Mean+m.BodyTime.Mean)
		}
	}
	steps := int(min(end, longestCurve)/CurveStep) + 2
	for side := range 2 {
		run := &out.Runs[side]
		me, op := r.Runners[side].Movement, r.Runners[1-side].Movement
		o, oo := quantity.Seconds(d.meanOnset[side]), quantity.Seconds(d.meanOnset[1-side])
		onArm := d.onArm[side]
		closed := func(t quantity.Seconds) quantity.Metres {
			return op.body(t-oo) + quantity.Metres(float64(onArm*float64(op.arm(t-oo))))
		}
		run.Travel = make([]quantity.Metres, steps)
		run.Closing = make([]quantity.Metres, steps)
		for i := range steps {
			t := quantity.Seconds(float64(float64(i) * float64(CurveStep)))
			run.Travel[i] = me.Travel(t-o) - me.Travel(-o)
			run.Closing[i] = closed(t) - closed(0)
		}
	}
}
