package demo

import (
	"math"
	"slices"

	"mesure/sport/piste"
	"mesure/study"
)

// Sample is one reading of a marked touch.
type Sample struct {
	// Touch is which of the four was read, from 0.
	Touch   int
	Reading *study.Reading
}

// Report compares readings with the truth.
type Report struct {
	Gaps    GapReport    `json:"gaps"`
	Moments MomentReport `json:"moments"`
	// FollowedReport is nil where nothing was followed.
	*FollowedReport
}

// GapReport is how well the gaps were read: the distance from the true point to
// the true place of the target is the truth.
type GapReport struct {
	N              int     `json:"n"`
	MedianAbsError float64 `json:"median_abs_error_m"`
	P95AbsError    float64 `json:"p95_abs_error_m"`
	// Coverage95 is the share of gaps whose 95 % interval holds the truth.
	Coverage95 float64 `json:"coverage95"`
}

// MomentReport is how well the moments were read.
type MomentReport struct {
	N              int     `json:"n"`
	MedianAbsError float64 `json:"median_abs_error_ms"`
	P95AbsError    float64 `json:"p95_abs_error_ms"`
	Coverage95     float64 `json:"coverage95"`
}

// Accuracy compares every gap and every moment of the samples with the truth.
// The frames that a reading measured are looked up in the truth by take and
// number. Without any gap or moment the shares are 0 and N says so. It panics
// for a frame, a take or a moment that the demo does not have.
func Accuracy(samples []Sample) Report {
	var truths [Count]*Truth
	var gaps, moments tally
	for _, s := range samples {
		if truths[s.Touch] == nil {
			t := TruthOf(s.Touch)
			truths[s.Touch] = &t
		}
		truth := truths[s.Touch]
		for _, in := range s.Reading.Instants {
			f := truth.frame(in.Take, in.Frame)
			for _, g := range in.Gaps {
				real := distance(f.Of(g.Of).Point("point"), f.Of(g.Of.Other()).Target(g.Target))
				gaps.add(float64(g.Gap.Mean)-real, float64(g.Gap.Lo) <= real && real <= float64(g.Gap.Hi))
			}
		}
		for _, m := range s.Reading.Moments {
			real := truth.moment(m.Moment.ID)
			moments.add((m.At.Mean - real.At).Milliseconds(), m.At.Covers(real.At))
		}
	}
	return Report{
		Gaps:    GapReport{len(gaps.off), gaps.quantile(0.5), gaps.quantile(0.95), gaps.coverage()},
		Moments: MomentReport{len(moments.off), moments.quantile(0.5), moments.quantile(0.95), moments.coverage()},
	}
}

func (t *Truth) moment(id string) TrueMoment {
	for _, m := range t.Moments {
		if m.ID == id {
			return m
		}
	}
	panic("demo: no moment is named " + id)
}

func distance(a, b piste.Place) float64 {
	return math.Sqrt((a.X-b.X)*(a.X-b.X) + (a.Y-b.Y)*(a.Y-b.Y) + (a.Z-b.Z)*(a.Z-b.Z))
}

// tally collects absolute errors and how often the interval held the truth.
type tally struct {
	off     []float64
	covered int
}

func (t *tally) add(off float64, covered bool) {
	t.off = append(t.off, math.Abs(off))
	if covered {
		t.covered++
	}
}

func (t *tally) coverage() float64 {
	if len(t.off) == 0 {
		return 0
	}
	return float64(t.covered) / float64(len(t.off))
}

// quantile returns the smallest error that this share of the errors does not
// exceed.
func (t *tally) quantile(share float64) float64 {
	if len(t.off) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(t.off))
	return sorted[max(0, int(math.Ceil(share*float64(len(sorted))))-1)]
}
