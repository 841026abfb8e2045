package motion

// shape is a way to leave rest: how far the point is after a time, 0 until 0, the
// standard deviation of what that is multiplied by (which makes metres of it), and
// how much is expected of this shape beside the others.
type shape struct {
	away           func(t float64) float64
	spread, weight float64
}

// What is expected of a movement before it is seen.
const (
	// OnsetSpeedSD is the spread in m/s of the greatest speed that a movement may
	// come to: twice of it is more than the thrust of a point.
	OnsetSpeedSD = 3.0
	// pushTime is within how long (s) a push under constant acceleration comes to it.
	pushTime = 0.1
	// secondLasts is how long the second of two movements lasts, in seconds: the
	// extension of an arm.
	secondLasts = 0.25
	// secondWeight, pushWeight and kickWeight are expected of each shape of those
	// kinds, where a minimum-jerk curve of one duration counts 1 (chosen so that
	// movements of one kind stay sharp and those of another are still covered,
	// TestOnsetOfOtherMovements).
	secondWeight = 0.1
	pushWeight   = 0.5
	kickWeight   = 4
)

// starts are the ways in which a hand sets out: on a minimum-jerk curve of one of
// many durations; on one that a second movement joins, as when the arm extends
// while the body already carries it; under constant acceleration.
func starts() []shape {
	var all []shape
	for t := 0.12; t < 1.3; t *= 1.2 {
		all = append(all, shape{func(s float64) float64 { return minimumJerk(s / t) }, spreadOf(t), 1})
	}
	for t := 0.3; t < 0.8; t *= 1.3 {
		for _, later := range []float64{0.08, 0.16} {
			for _, more := range []float64{0.5, 1} {
				both := func(s float64) float64 { return minimumJerk(s/t) + more*minimumJerk((s-later)/secondLasts) }
				all = append(all, shape{both, spreadOf(t) / (1 + more), secondWeight})
			}
		}
	}
	return append(all, push(pushWeight))
}

// steps are the ways in which a foot leaves the floor or, with time turned round,
// strikes it: those of a hand, and with a speed or an acceleration at once.
func steps() []shape {
	kick := func(s float64) float64 { return max(0, s) }
	return append(starts(), shape{kick, OnsetSpeedSD, kickWeight}, push(kickWeight))
}

func push(weight float64) shape {
	return shape{func(s float64) float64 { return max(0, s) * max(0, s) }, OnsetSpeedSD / (2 * pushTime), weight}
}

// spreadOf is the spread of the length of a minimum-jerk movement of a duration: its
// greatest speed is 1.875 of the mean one.
func spreadOf(duration float64) float64 { return OnsetSpeedSD * duration / 1.875 }

// minimumJerk is the curve 10s³ − 15s⁴ + 6s⁵, held at its ends (Flash and Hogan, J.
// Neurosci. 5:1688, 1985).
func minimumJerk(s float64) float64 {
	s = max(0, min(1, s))
	return s * s * s * (10 - 15*s + 6*s*s)
}
