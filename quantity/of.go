package quantity

import "math"

// Coverage is the probability that the intervals of this package cover.
const Coverage = 0.95

// normal975 is the 97.5 % quantile of the standard normal distribution, the
// half-width of its 95 % interval in standard deviations.
const normal975 = 1.959963984540054

// Of is one number with its uncertainty: the mean, the standard deviation and
// a 95 % interval. Lo and Hi need not lie symmetrically about the mean where
// the distribution does not.
type Of[U Unit] struct {
	Mean U `json:"mean"`
	SD   U `json:"sd"`
	Lo   U `json:"lo95"`
	Hi   U `json:"hi95"`
}

// Normal returns the normal distribution with this mean and standard
// deviation; its interval is mean ± 1.96 sd. It panics if sd is negative or
// NaN: that is a mistake of the caller, not of a measurement.
func Normal[U Unit](mean, sd U) Of[U] {
	if !(sd >= 0) {
		panic("quantity: a standard deviation must not be negative")
	}
	return Of[U]{Mean: mean, SD: sd, Lo: mean - U(normal975*sd), Hi: mean + U(normal975*sd)}
}

// Exactly returns a number without uncertainty, such as a count or a setting.
func Exactly[U Unit](v U) Of[U] { return Of[U]{Mean: v, Lo: v, Hi: v} }

// Uniform returns the rectangular distribution on [lo, hi]: mean (lo+hi)/2,
// standard deviation (hi−lo)/√12 and the central 95 % as its interval. It is
// the law of an instant that two frames bracket. It panics if hi < lo.
func Uniform[U Unit](lo, hi U) Of[U] {
	if !(hi >= lo) {
		panic("quantity: an interval must not end before it starts")
	}
	w := hi - lo
	tail := U((1 - Coverage) / 2)
	return Of[U]{Mean: lo + w/2, SD: w / U(math.Sqrt(12)), Lo: lo + U(tail*w), Hi: hi - U(tail*w)}
}

// Covers reports whether v lies in the interval, ends included.
func (q Of[U]) Covers(v U) bool { return q.Lo <= v && v <= q.Hi }

// Variance returns the square of the standard deviation, without a unit.
func (q Of[U]) Variance() float64 { return float64(q.SD) * float64(q.SD) }

// IsValid reports whether all four numbers are finite, the standard deviation
// is not negative and the interval is in order.
func (q Of[U]) IsValid() bool {
	for _, v := range [4]U{q.Mean, q.SD, q.Lo, q.Hi} {
		if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
			return false
		}
	}
	return q.SD >= 0 && q.Lo <= q.Hi
}
