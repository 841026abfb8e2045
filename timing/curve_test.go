package timing

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// Check 3.3: Flash and Hogan 1985, exact.
func TestMinimumJerk(t *testing.T) {
	table := map[float64]float64{.1: .00856, .2: .05792, .25: .103515625, .3: .16308, .4: .31744, .5: .5,
		.6: .68256, .7: .83692, .75: .896484375, .8: .94208, .9: .99144, -1: 0, 0: 0, 1: 1, 2: 1}
	for tau, want := range table {
		approx(t, "share", MinimumJerk(tau), want, 1e-12)
	}
	approx(t, "peak speed", MinimumJerkSpeed(.5), PeakSpeedFactor, 1e-12)
	at := .5 - math.Sqrt(3)/6
	approx(t, "peak acceleration", MinimumJerkAcceleration(at), 10/math.Sqrt(3), 1e-12)
	approx(t, "and braking", MinimumJerkAcceleration(1-at), -10/math.Sqrt(3), 1e-12)
	// ∫jerk² = 720: jerk is 60 − 360τ + 360τ², summed by Simpson's rule, which
	// needs the fourth derivative only, in 2000 parts.
	sum, n := 0.0, 2000
	for i := 0; i <= n; i++ {
		tau := float64(i) / float64(n)
		j := 60 - 360*tau + 360*tau*tau
		w := 2.0
		if i%2 == 1 {
			w = 4
		}
		if i == 0 || i == n {
			w = 1
		}
		sum += w * j * j
	}
	approx(t, "jerk", sum/float64(3*n), 720, 1e-7)
	// Speed and acceleration are the derivatives: a second route.
	for _, tau := range []float64{.05, .2, .37, .5, .81, .99} {
		const h = 1e-5
		approx(t, "speed", (MinimumJerk(tau+h)-MinimumJerk(tau-h))/(2*h), MinimumJerkSpeed(tau), 1e-8)
		approx(t, "acceleration", (MinimumJerkSpeed(tau+h)-MinimumJerkSpeed(tau-h))/(2*h), MinimumJerkAcceleration(tau), 1e-7)
	}
	approx(t, "the time of the hit", MinimumJerk(float64(HitTau)), float64(HitShare), 1e-5)
}

// The search, from any guess, against halving alone.
func TestFirstAgainstHalving(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for range 20000 {
		var c course
		total, end := 0.0, 0.0
		for range 1 + rng.IntN(4) {
			length, start, whole := rng.Float64(), .3*rng.Float64(), .05+rng.Float64()
			c.add(length, start, whole)
			total += length
			end = max(end, start+whole)
		}
		gap := total * rng.Float64()
		lo, hi := 0.0, end
		for range 60 {
			mid := (lo + hi) / 2
			if v, _ := c.at(mid); v < gap {
				lo = mid
			} else {
				hi = mid
			}
		}
		guess := end * rng.Float64()
		switch rng.IntN(4) {
		case 0:
			guess = math.NaN()
		case 1:
			guess = lo // the answer itself
		}
		got, ok := c.first(gap, guess)
		if !ok {
			t.Fatalf("%+v never closes %g", c, gap)
		}
		approx(t, "arrival", got, lo, 2e-8)
	}
}

// The inverse, from the same figures: the share of time for a share of travel.
func TestTimeTo(t *testing.T) {
	m := Movement{Arm: quantity.Exactly(quantity.Metres(1)), ArmTime: quantity.Exactly(quantity.Seconds(1))}
	for share, want := range map[float64]float64{.01: .1056, .02: .1353, .05: .1893, .1: .2466, .5: .5, .9: .7534, .95: .8107} {
		got, ok := m.TimeTo(quantity.Metres(share))
		if !ok {
			t.Fatalf("%g is not reached", share)
		}
		approx(t, "time", float64(got), want, 5e-5)
		approx(t, "back", float64(m.Travel(got)), share, 1e-9)
	}
	if _, ok := m.TimeTo(1.0000001); ok {
		t.Error("beyond the reach")
	}
	if at, ok := m.TimeTo(1); !ok || at > 1 {
		t.Errorf("the very end of the reach: %v %v", at, ok)
	}
	if at, ok := m.TimeTo(0); !ok || at != 0 {
		t.Errorf("no gap: %v %v", at, ok)
	}
}

// A course that turns: the first crossing, even where it only just reaches.
func TestFirstOfFallingCourse(t *testing.T) {
	var c course
	c.add(.5, 0, .3)
	c.add(-1, .05, .4)
	best, when := 0.0, 0.0
	for at := 0.0; at < .5; at += 1e-5 {
		if v, _ := c.at(at); v > best {
			best, when = v, at
		}
	}
	if best < .05 {
		t.Fatalf("the course peaks at %g", best)
	}
	got, ok := c.first(best*.999999, math.NaN())
	if !ok || math.Abs(got-when) > 1e-3 || got > when {
		t.Errorf("near the top: %v %v, the top is at %v", got, ok, when)
	}
	if _, ok := c.first(best*1.000001, math.NaN()); ok {
		t.Error("above the top")
	}
	last := 0.0
	for g := .001; g < best; g += best / 200 {
		at, ok := c.first(g, math.NaN())
		if !ok || at < last {
			t.Fatalf("gap %g: %v %v after %v", g, at, ok, last)
		}
		v, _ := c.at(at)
		approx(t, "closed", v, g, 5e-8)
		last = at
	}
}
