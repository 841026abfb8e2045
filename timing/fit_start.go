package timing

import (
	"math"

	"mesure/quantity"
)

// starts are where the search begins: see Fit.
func (f *fit) starts() [][]float64 {
	from := func(all [fitParameters]float64) []float64 {
		p := make([]float64, len(f.free))
		for j, i := range f.free {
			p[j] = all[i]
		}
		return p
	}
	out := [][]float64{from(f.mean)}
	for _, slower := range [2]float64{1.5, 2.0 / 3} {
		q := f.mean
		q[fitArmTime] *= slower
		q[fitBodyTime] *= slower
		out = append(out, from(q))
	}
	q := f.mean
	arm, okArm := f.shows(OfArm)
	body, okBody := f.shows(OfBody)
	if okArm {
		q[fitArm], q[fitArmTime], q[fitOnset], q[fitBase+int(OfArm)] = arm[0], arm[1], arm[2], arm[3]
	}
	if okBody {
		q[fitBody], q[fitBodyTime], q[fitBase+int(OfBody)] = body[0], body[1], body[3]
		if !okArm {
			q[fitOnset] = body[2] - q[fitDelay]
		}
		q[fitDelay] = body[2] - q[fitOnset]
	}
	if okArm || okBody {
		for i, sd := range f.sd { // what is held is held
			if sd == 0 {
				q[i] = f.mean[i]
			}
		}
		out = append(out, from(q))
	}
	return out
}

// shows is what the samples of arm or body show by themselves: length, duration and start
// of the curve that has done a tenth and nine tenths of the travel when they have, and the
// place before; false where they show none.
func (f *fit) shows(of FitPart) (q [4]float64, ok bool) {
	var at, travel []float64
	for _, s := range f.samples {
		if s.Of == of {
			at, travel = append(at, float64(s.At)), append(travel, float64(s.Travel))
		}
	}
	if len(at) < 4 {
		return q, false
	}
	from, length := travel[0], travel[len(travel)-1]-travel[0]
	early, late := math.NaN(), math.NaN()
	for i := range at {
		done := (travel[i] - from) / length
		if done >= 0.1 && math.IsNaN(early) {
			early = at[i]
		}
		if done >= 0.9 && math.IsNaN(late) {
			late = at[i]
		}
	}
	if !(late > early) {
		return q, false
	}
	took := max((late-early)/(MinimumJerkTime(0.9)-MinimumJerkTime(0.1)), fitShortest)
	return [4]float64{length, took, early - took*MinimumJerkTime(0.1), from}, true
}

// best is the lowest minimum from several starts; the error of the first where none has one.
func (f *fit) best(starts [][]float64) (best quantity.Solution, err error) {
	found := false
	for _, p := range starts {
		s, failed := f.solve(p)
		switch {
		case failed != nil && err == nil:
			err = failed
		case failed == nil && (!found || s.RSS < best.RSS):
			best, found = s, true
		}
	}
	if found {
		return best, nil
	}
	return best, err
}
