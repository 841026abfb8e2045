package motion

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// WalkShare is the share of the variance of a followed place that is a walk away
// from the mark it was followed from (common practice, no source: the places of
// neighbouring frames are found from one another).
const WalkShare = 0.5

// Walked says that samples were followed from mark to mark: a share of the variance
// of each place between two marks is one error that the whole stretch has in
// common, because each place was found from the one before. It does not average
// out over the stretch, as independent errors would. The returned samples have
// 1 − share of their covariance as their own and the rest as an error of the
// stretch, whose size follows the standard deviation of each place. Marks keep their
// own error whole. What samples share with other points (Sample.Shared) is kept.
//
// Smooth takes the error of a stretch to be one and the same all along, which is
// never too little doubt; Onsets and Contacts take it for a walk that is nought at
// both marks (a Brownian bridge), which may look like a start.
//
// marked says which samples are marks, one entry a sample; share lies between 0
// and 1. The samples handed in are not changed. It panics if the lengths differ or
// the share does not lie there.
func Walked(samples []Sample, marked []bool, share float64) []Sample {
	if len(marked) != len(samples) || !(share >= 0 && share <= 1) {
		panic(fmt.Sprintf("motion: %d samples, %d of them said to be marks or not, a share of %v", len(samples), len(marked), share))
	}
	if len(samples) == 0 {
		return nil
	}
	stretch, n := make([]int, len(samples)), 0 // the number of each sample's stretch
	for i := range samples {
		stretch[i] = -1
		if !marked[i] {
			if i == 0 || marked[i-1] {
				n++
			}
			stretch[i] = n - 1
		}
	}
	d := samples[0].Where.Len()
	out := make([]Sample, len(samples))
	for i, s := range samples {
		out[i] = s
		out[i].walks = make([]float64, d*d*n)
		if stretch[i] < 0 {
			continue
		}
		out[i].along = way(samples, marked, i)
		root := s.Where.Root()
		for a := range d {
			for b := range d {
				out[i].walks[a*d*n+d*stretch[i]+b] = math.Sqrt(share) * root[a*d+b]
			}
		}
		own := make([]float64, d*d)
		for k, v := range s.Where.Cov {
			own[k] = (1 - share) * v
		}
		out[i].Where = quantity.NewJoint(s.Where.Mean, own)
	}
	return out
}

// whole is the covariance of a sample with what its stretch has in common.
func (s Sample) whole() []float64 {
	d := s.Where.Len()
	walks := len(s.walks) / d
	cov := append([]float64(nil), s.Where.Cov...)
	for a := range d {
		for b := range d {
			cov[a*d+b] += dot(s.walks[a*walks:(a+1)*walks], s.walks[b*walks:(b+1)*walks])
		}
	}
	return cov
}

// way is how far on its way from the mark before to the mark after a sample lies, in
// samples; a mark that is not there lies ten times as far as the whole.
func way(samples []Sample, marked []bool, i int) float64 {
	from, to := i, i
	for from >= 0 && !marked[from] {
		from--
	}
	for to < len(samples) && !marked[to] {
		to++
	}
	if from < 0 {
		from = -10 * len(samples)
	}
	if to == len(samples) {
		to = 10 * len(samples)
	}
	return float64(i-from) / float64(to-from)
}

// walkCorrelation is the correlation of a walk that begins and ends at marks, between two
// places on its way (a Brownian bridge: covariance u(1−v) for u ≤ v).
func walkCorrelation(u, v float64) float64 {
	if u > v {
		u, v = v, u
	}
	if u == v || !(u > 0 && v < 1) {
		return 1
	}
	return math.Sqrt(u * (1 - v) / (v * (1 - u)))
}
