package handoff

import (
	"math"

	"mesure/sport/mark"
)

// Rate is how many ticks a second a clock has, as a fraction: 30000/1001.
type Rate struct{ Num, Den int64 }

// fineRate is the clock of files without a steady rate: microseconds.
var fineRate = Rate{1_000_000, 1}

// steadyWithin is how far, in seconds, a time stamp may lie from its frame of a steady
// rate: containers that keep milliseconds round by half of one, and ours counts from
// the first stamp, which is rounded too.
const steadyWithin = 0.00101

// perSecond is the rate as the format writes it: a float64. A frame n of 30000/1001 is
// read back by n·1001/30000 with an error below 1e-16 of its time.
func (r Rate) perSecond() float64 { return float64(r.Num) / float64(r.Den) }

// seconds is the instant of a tick.
func (r Rate) seconds(n int64) float64 { return float64(n) * float64(r.Den) / float64(r.Num) }

// ticks is the tick nearest to an instant.
func (r Rate) ticks(s float64) int64 {
	return int64(math.Round(s * float64(r.Num) / float64(r.Den)))
}

// RateOf finds the clock of a file from the time stamps of its frames: the steady rate
// that all of them keep, to 1 ms each, among the whole rates up to 1000 a second, those
// times 1000/1001, and half rates such as 12.5; else microseconds, which hold any time
// stamp to ±0.5 µs. Steady says which. A file with fewer than two frames has no rate and
// gets microseconds.
//
// Where several rates keep to the stamps (a short file), the one with the smallest
// error is taken, the whole one first.
func RateOf(times []mark.FileTime) (r Rate, steady bool) {
	n := len(times) - 1
	if n < 1 || !(times[n] > times[0]) {
		return fineRate, false
	}
	mean := float64(n) / float64(times[n]-times[0])
	if !(mean < 1001) {
		return fineRate, false
	}
	best := math.Inf(1)
	whole := int64(math.Round(mean))
	for w := max(1, whole-1); w <= whole+1; w++ {
		for _, c := range []Rate{{w, 1}, {w * 1000, 1001}, {2*w - 1, 2}} {
			worst := 0.0
			for i, t := range times {
				worst = max(worst, math.Abs(float64(t-times[0])-c.seconds(int64(i))))
			}
			// Numbers that differ by the rounding of float64 alone are equal.
			if worst <= steadyWithin && worst < best-1e-9 {
				r, steady, best = c, true, worst
			}
		}
	}
	if !steady {
		return fineRate, false
	}
	return r, true
}

// A course is the frames of one file on its clock.
type course struct {
	rate  Rate
	start []int64 // of every frame, from the first; one more for the end of the last
	times []mark.FileTime
}

func courseOf(times []mark.FileTime) course {
	r, steady := RateOf(times)
	c := course{rate: r, times: times, start: make([]int64, len(times)+1)}
	for i := range c.start {
		switch {
		case steady:
			c.start[i] = int64(i)
		case i < len(times):
			c.start[i] = r.ticks(float64(times[i] - times[0]))
		case i > 1: // the last frame stands as long as the one before
			c.start[i] = c.start[i-1] + (c.start[i-1] - c.start[i-2])
		default:
			c.start[i] = r.ticks(0.04) // a file of one frame: 25 frames a second
		}
	}
	return c
}

// worst is the largest distance between a time stamp and the tick that stands for it.
func (c course) worst() float64 {
	w := 0.0
	for i, t := range c.times {
		w = max(w, math.Abs(float64(t-c.times[0])-c.rate.seconds(c.start[i])))
	}
	return w
}
