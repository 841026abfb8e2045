package timing

import (
	"math"

	"mesure/quantity"
)

// Lamps are the chances of a race in which both points arrive: LeftOnly,
// RightOnly and Both sum to 1.
type Lamps struct {
	LeftOnly, RightOnly, Both quantity.Chance
	// LeftFirst is the chance that the left point arrives first; a dead heat
	// counts half.
	LeftFirst quantity.Chance
}

// GaussianRace is the race of two points whose arrivals are independent and
// normal, in seconds, in closed form: with Δ = μR − μL and s² = σL² + σR²,
// LeftOnly = Φ((Δ − window)/s), RightOnly = Φ((−Δ − window)/s). Without spread
// the outcome is certain. Only Mean and SD of the arrivals are used. It panics
// if an SD or the window is negative or anything is NaN.
//
// It is the second route by which the draws of Run are checked.
func GaussianRace(left, right quantity.Of[quantity.Seconds], window quantity.Seconds) Lamps {
	delta := float64(right.Mean - left.Mean)
	w := float64(window)
	if !(left.SD >= 0 && right.SD >= 0 && w >= 0) || math.IsNaN(delta) {
		panic("timing: a race needs arrivals, their spread and a window that is not negative")
	}
	s := math.Hypot(float64(left.SD), float64(right.SD))
	if s == 0 {
		return certainRace(delta, w)
	}
	l, r := normalCDF((delta-w)/s), normalCDF((-delta-w)/s)
	return Lamps{
		LeftOnly: quantity.Chance(l), RightOnly: quantity.Chance(r),
		Both: quantity.Chance(max(0, 1-l-r)), LeftFirst: quantity.Chance(normalCDF(delta / s)),
	}
}

func certainRace(delta, window float64) Lamps {
	var l Lamps
	switch {
	case delta > window:
		l.LeftOnly = 1
	case -delta > window:
		l.RightOnly = 1
	default:
		l.Both = 1
	}
	switch {
	case delta > 0:
		l.LeftFirst = 1
	case delta == 0:
		l.LeftFirst = 0.5
	}
	return l
}

// normalCDF is the distribution function of the standard normal law.
func normalCDF(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
