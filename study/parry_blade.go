package study

import (
	"math"

	"mesure/quantity"
	"mesure/timing"
)

// What is known of a blade before it is marked.
const (
	// BladeLength is that of an épée blade for grown fencers, from guard to point: 0.90 m
	// with its button is the longest that the rules allow, and what is sold as full size;
	// less 1 cm from the face of the guard to its middle, where the mark is set.
	BladeLength = timing.LongestBlade - 0.01
	// BladeLengthSD covers where on the guard the mark is set and how the blade bends
	// (our choice).
	BladeLengthSD = quantity.Metres(0.03)
)

// withBlade is the joint law of places given that the blade from guard to point, at
// these indices of their first coordinates, is as long as a blade is. A picture hardly
// tells how far a point lies off the plane of action; what it does tell of the length
// then corrects the rest, and what goes with it.
//
// It is the iterated update of a Kalman filter on h = |point − guard| (Gauss-Newton on
// the posterior: Bell and Cathey, IEEE Trans. Autom. Control 38:294, 1993). What the
// straight line leaves out is the bend of h across the blade: σ²/2h of the spread σ
// across it, which makes the length so much longer on average and its spread wider by
// √2 times as much (the second-order filter). A blade so short in the picture that it must point far out of
// the plane, to either side, is not what a normal law can say: the result stays with
// the side that was likelier before.
func withBlade(j quantity.Joint, guard, point int) quantity.Joint {
	n := j.Len()
	x := append([]float64(nil), j.Mean...)
	var row []float64
	var gain []float64
	for range bladeSteps {
		var d [3]float64
		for c := range d {
			d[c] = x[point+c] - x[guard+c]
		}
		h := math.Sqrt(d[0]*d[0] + d[1]*d[1] + d[2]*d[2])
		if !(h > 0.05) { // guard and point at one place: the direction is not known
			return j
		}
		row = make([]float64, n)
		for c := range d {
			row[point+c], row[guard+c] = d[c]/h, -d[c]/h
		}
		ph := make([]float64, n) // P·Hᵀ
		s, all := 0.0, 0.0       // H·P·Hᵀ, and the trace of the spread of d
		for a := range n {
			for b := range n {
				ph[a] += j.Cov[a*n+b] * row[b]
			}
			s += row[a] * ph[a]
		}
		for c := range d {
			all += j.Covariance(point+c, point+c) + j.Covariance(guard+c, guard+c) - 2*j.Covariance(point+c, guard+c)
		}
		bend := max(0, all-s) / (2 * h)
		noise := float64(BladeLengthSD*BladeLengthSD) + 2*bend*bend
		off := float64(BladeLength) - bend - h // the mean of the length lies above h by the bend
		for a := range n {
			off -= row[a] * (j.Mean[a] - x[a])
		}
		gain = make([]float64, n)
		for a := range n {
			gain[a] = ph[a] / (s + noise)
			x[a] = j.Mean[a] + gain[a]*off
		}
		if s == 0 {
			return j
		}
		row = ph
	}
	cov := append([]float64(nil), j.Cov...)
	for a := range n {
		for b := range n {
			cov[a*n+b] -= gain[a] * row[b]
		}
		cov[a*n+a] = max(0, cov[a*n+a])
	}
	return quantity.NewJoint(x, cov)
}

// bladeSteps is how often the update is iterated; the fourth step moves nothing by a
// millimetre.
const bladeSteps = 5
