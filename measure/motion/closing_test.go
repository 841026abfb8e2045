package motion

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// straight is a point that runs straight on from (x, z) with a velocity.
func straight(x, z, vx, vz float64) []Sample {
	var all []Sample
	for i := range 41 {
		t := float64(i) / 50
		all = append(all, Sample{At: quantity.Seconds(t), Where: quantity.Independent([]float64{x + vx*t, z + vz*t}, []float64{0.002, 0.002})})
	}
	return all
}

func smoothed(t *testing.T, samples []Sample) *Path {
	t.Helper()
	p, err := Smooth(samples, Options{Jerk: Constant(50)})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestClosing: against the closed form for two straight runs: Δ(t) = Δ₀ + v·t,
// closing −Δ·v/|Δ|, to what the weak prior of the speed (0 ± 10 m/s) pulls.
func TestClosing(t *testing.T) {
	a, b := smoothed(t, straight(-1, 1, 1.5, 0.2)), smoothed(t, straight(2, 1.4, -2, 0))
	for _, at := range []quantity.Seconds{0.1, 0.333, 0.5, 0.8} {
		dx, dz := 3-3.5*float64(at), 0.4-0.2*float64(at)
		want := -(dx*-3.5 + dz*-0.2) / math.Hypot(dx, dz)
		got, err := Closing(a, b, at)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(got.Mean)-want) > 1e-4 {
			t.Errorf("at %v: %v, want %v", at, got.Mean, want)
		}
		back, err := Closing(b, a, at)
		if err != nil || math.Abs(float64(back.Mean-got.Mean)) > 1e-9 || math.Abs(float64(back.SD-got.SD)) > 1e-9 {
			t.Errorf("at %v: %v one way, %v the other", at, got, back)
		}
		away, err := Closing(a, smoothed(t, straight(2, 1.4, 2, 0)), at)
		if err != nil || away.Mean >= 0 {
			t.Errorf("at %v: %v while they part", at, away)
		}
	}
	// Onto a target at rest: the foot of the perpendicular is passed at 0.4 s.
	c := smoothed(t, straight(-1, 0, 2.5, 0))
	target := quantity.Independent([]float64{0, 0.5}, []float64{0, 0})
	for _, at := range []quantity.Seconds{0.2, 0.4, 0.6} {
		dx := 1 - 2.5*float64(at)
		want := 2.5 * dx / math.Hypot(dx, 0.5)
		got, err := ClosingOn(c, target, at)
		if err != nil || math.Abs(float64(got.Mean)-want) > 1e-4 {
			t.Errorf("at %v: %v, want %v (%v)", at, got.Mean, want, err)
		}
	}
}

// TestClosingSpread: the ± against draws of both states.
func TestClosingSpread(t *testing.T) {
	a, b := smoothed(t, straight(-1, 1, 1.5, 0.2)), smoothed(t, straight(1, 1.4, -2, 0))
	const at = 0.3
	got, err := Closing(a, b, at)
	if err != nil {
		t.Fatal(err)
	}
	draws := make([]quantity.MetresPerSecond, 0, 50000)
	both := quantity.Stack(a.At(at).Joint, b.At(at).Joint)
	for _, d := range both.Draws(cap(draws), rand.NewPCG(1, 3)) {
		x, z, vx, vz := d[6]-d[0], d[9]-d[3], d[7]-d[1], d[10]-d[4]
		draws = append(draws, quantity.MetresPerSecond(-(x*vx+z*vz)/math.Hypot(x, z)))
	}
	want := quantity.FromDraws(draws)
	if math.Abs(float64(got.SD-want.SD)) > 0.02*float64(want.SD) || math.Abs(float64(got.Mean-want.Mean)) > 0.02*float64(want.SD) {
		t.Errorf("%v, draws give %v", got, want)
	}
}

// TestClosingOfOneCamera: a camera that is off drags both points; the speed at which
// they meet does not feel it, and a point against a wall does.
func TestClosingOfOneCamera(t *testing.T) {
	swing := func(samples []Sample) []Sample {
		for i := range samples {
			samples[i].Shared = []float64{0.3 * float64(samples[i].At), 0} // 0.3 m/s along, 1 SD
		}
		return samples
	}
	plainA, plainB := smoothed(t, straight(-1, 1, 1.5, 0)), smoothed(t, straight(1, 1, -2, 0))
	a, b := smoothed(t, swing(straight(-1, 1, 1.5, 0))), smoothed(t, swing(straight(1, 1, -2, 0)))
	plain, _ := Closing(plainA, plainB, 0.3)
	both, _ := Closing(a, b, 0.3)
	if math.Abs(float64(both.SD-plain.SD)) > 1e-4 {
		t.Errorf("SD %v with a camera that is off, %v without", both.SD, plain.SD)
	}
	one, _ := ClosingOn(a, quantity.Independent([]float64{2, 1}, []float64{0, 0}), 0.3)
	if math.Abs(float64(one.SD)-math.Hypot(0.3, float64(quantity.Part[quantity.MetresPerSecond](plainA.At(0.3).Joint, 1).SD))) > 1e-3 {
		t.Errorf("SD %v against a wall, want 0.3 and the point's own", one.SD)
	}
	mixed, _ := Closing(a, plainB, 0.3) // only one of them seen by it
	if mixed.SD < 0.29 {
		t.Errorf("SD %v where only one has the error", mixed.SD)
	}
}

func TestClosingTogether(t *testing.T) {
	a := smoothed(t, straight(0, 1, 1, 0))
	for _, b := range []*Path{smoothed(t, straight(0.001, 1, -1, 0)), a} {
		if _, err := Closing(a, b, 0); !errors.Is(err, ErrTogether) {
			t.Errorf("%v, want %v", err, ErrTogether)
		}
	}
}

// The mean of two points is one point: closing on it is closing on the path that their
// mean makes (second route), and on one point with all the weight it is Closing.
func TestClosingOnMean(t *testing.T) {
	line := func(x, z, vx, vz float64) *Path {
		var all []Sample
		for i := range 21 {
			s := quantity.Seconds(float64(i) / 50)
			all = append(all, Sample{At: s, Where: quantity.Independent([]float64{x + vx*float64(s), z + vz*float64(s)}, []float64{0.01, 0.01}),
				Shared: []float64{0.02, 0.01, 0.005, 0.03}})
		}
		p, err := Smooth(all, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	a, b, c := line(0, 1, 3, 0.2), line(2, 1.4, -0.5, 0.1), line(2.2, 0.8, 0.7, -0.3)
	mean := line(2.1, 1.1, 0.1, -0.1)
	const at = quantity.Seconds(0.2)
	got, err := ClosingOnMean(a, []*Path{b, c}, []float64{0.5, 0.5}, at)
	if err != nil {
		t.Fatal(err)
	}
	want, _ := Closing(a, mean, at)
	if math.Abs(float64(got.Mean-want.Mean)) > 1e-9 || !(got.SD < want.SD) || float64(got.SD) < 0.6*float64(want.SD) {
		t.Errorf("closing on the mean of two: %v, on the path of the mean: %v", got, want)
	}
	one, err := ClosingOnMean(a, []*Path{b, c}, []float64{1, 0}, at)
	direct, _ := Closing(a, b, at)
	if err != nil || math.Abs(float64(one.Mean-direct.Mean)) > 1e-12 || math.Abs(float64(one.SD-direct.SD)) > 1e-12 {
		t.Errorf("all the weight on one: %v, directly: %v (%v)", one, direct, err)
	}
}
