package timing

import (
	"slices"

	"mesure/quantity"
)

// fewestForMatters is how many draws in which both arrive are needed to say what
// matters: a share of 5 % then stands clear of chance (1/√n = 3 %, squared).
const fewestForMatters = 1000

// learnPerBlock is on how many draws of each block what matters is learned: the
// shares are then right to a hundredth or better, at a quarter of the cost.
const learnPerBlock = 2048

// matters splits the variance of the margin by a straight-line fit: slope times
// covariance over variance for each input, which is the squared correlation
// where inputs are independent and sums to what the fit explains where the two
// gaps go together (Hoffman, Psychol. Bull. 57:116, 1960; Pratt 1987).
func (t *tally) matters(r Race) []Matter {
	n := float64(t.learned)
	if n < fewestForMatters {
		return nil
	}
	varM := t.sumMM/n - float64((t.sumM/n)*(t.sumM/n))
	if !(varM > 0) {
		return nil
	}
	type moments struct{ v, c float64 }
	mo := make([]moments, len(t.active))
	for i, a := range t.active {
		mean := a.sx / n
		mo[i] = moments{v: max(0, a.sxx/n-float64(mean*mean)), c: a.sxm/n - float64(mean*t.sumM/n)}
	}
	slope := func(i int) float64 {
		if mo[i].v == 0 {
			return 0
		}
		return mo[i].c / mo[i].v
	}
	slopes := make([]float64, len(t.active))
	for i := range slopes {
		slopes[i] = slope(i)
	}
	if l, g := t.gapAt[Left], t.gapAt[Right]; l >= 0 && g >= 0 && r.GapCorrelation != 0 {
		w := t.gapGap/n - float64(t.active[l].sx/n*t.active[g].sx/n)
		if det := float64(mo[l].v*mo[g].v) - float64(w*w); det > 1e-9*mo[l].v*mo[g].v {
			slopes[l] = (float64(mo[l].c*mo[g].v) - float64(mo[g].c*w)) / det
			slopes[g] = (float64(mo[g].c*mo[l].v) - float64(mo[l].c*w)) / det
		}
	}
	var out []Matter
	for i, a := range t.active {
		name := [inputs]string{InputGap, InputArmTravel, InputArmTime, InputBodyTravel, InputBodyTime, InputBodyDelay, InputOnset}[a.input]
		if a.input == inOnset && r.Runners[a.side].Onset.AfterOther {
			name = InputReaction
		}
		share := max(0, min(1, slopes[i]*mo[i].c/varM))
		out = append(out, Matter{Side: a.side, Input: name, Share: quantity.Ratio(share)})
	}
	slices.SortStableFunc(out, func(a, b Matter) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return out
}
