package motion

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// TestMinimumJerk: check 3.3, the curve against the closed form and its table.
func TestMinimumJerk(t *testing.T) {
	ref := loadSmoothing(t).MinimumJerk
	if len(ref.Times) < 10 {
		t.Fatal("the table is not there")
	}
	for i, at := range ref.Times {
		if got := ref.D * minimumJerk(at/ref.T); math.Abs(got-ref.X[i]) > 1e-12 {
			t.Errorf("at %v: %v, want %v", at, got, ref.X[i])
		}
		if got := ref.D / ref.T * rise(at/ref.T); math.Abs(got-ref.V[i]) > 1e-12 {
			t.Errorf("speed at %v: %v, want %v", at, got, ref.V[i])
		}
	}
	if math.Abs(rise(0.5)-ref.PeakSpeed) > 1e-12 || ref.PeakSpeed != 1.875 {
		t.Errorf("peak speed %v of the mean, want %v", rise(0.5), ref.PeakSpeed)
	}
	acceleration := func(s float64) float64 { return 60*s - 180*s*s + 120*s*s*s }
	for k, s := range ref.PeakAccelerationTimes {
		if got := math.Abs(acceleration(s)); math.Abs(got-ref.PeakAcceleration) > 1e-12 || math.Abs(got-10/math.Sqrt(3)) > 1e-12 {
			t.Errorf("peak acceleration %d: %v, want %v", k, got, ref.PeakAcceleration)
		}
	}
	cost := 0.0 // ∫jerk² by Gauss's three points, exact for a polynomial of degree 4
	for _, g := range [][2]float64{{0.5 - math.Sqrt(0.15), 5. / 18}, {0.5, 8. / 18}, {0.5 + math.Sqrt(0.15), 5. / 18}} {
		jerk := 60 - 360*g[0] + 360*g[0]*g[0]
		cost += g[1] * jerk * jerk
	}
	if math.Abs(cost-ref.Cost) > 1e-9 {
		t.Errorf("∫jerk² %v, want %v", cost, ref.Cost)
	}
}

// TestNoiseOfDifferences: check 3.9: the SD of a central difference is σ·fps/√2 and
// of the slope of a parabola through five σ·fps/√10. Where nothing is known of the
// jerk, a smoothed speed in the middle of five samples cannot be surer than the
// straight line, σ·fps/√10, and with little jerk comes to it.
func TestNoiseOfDifferences(t *testing.T) {
	const sd, fps = 0.005, 50.0
	w := floats(savgolWeights(2, 2, 1, 0))
	sum := 0.0
	for _, v := range w {
		sum += v * v
	}
	if got, want := sd*fps*math.Sqrt(sum), sd*fps/math.Sqrt(10); math.Abs(got-want) > 1e-12 {
		t.Errorf("five points: %v, want %v", got, want)
	}
	if want := 0.17677669529663687; math.Abs(sd*fps/math.Sqrt2-want) > 1e-12 {
		t.Errorf("central difference: %v, want %v", sd*fps/math.Sqrt2, want)
	}
	rest := func(n int, jerk float64) float64 {
		var samples []Sample
		for i := range n {
			samples = append(samples, Sample{At: quantity.Seconds(float64(i) / fps), Where: quantity.Independent([]float64{0}, []float64{sd})})
		}
		p, err := Smooth(samples, Options{Jerk: Constant(jerk)})
		if err != nil {
			t.Fatal(err)
		}
		return p.At(samples[n/2].At).Joint.SD(1)
	}
	if got, want := rest(5, 1e-9), sd*fps/math.Sqrt(10); math.Abs(got-want) > 1e-3*want {
		t.Errorf("five samples of a parabola: SD %v m/s, want %v", got, want)
	}
	if got, want := rest(3, 1e-9), sd*fps/math.Sqrt2; math.Abs(got-want) > 1e-3*want {
		t.Errorf("three samples of a parabola: SD %v m/s, want %v", got, want)
	}
}

// TestOtherRoutes: on one noisy signal (check 3.5) our speed lies within the stated
// ± of a Savitzky–Golay slope, of a zero-lag Butterworth's difference and of the
// cross-validated spline's slope, theirs carried from the noise of the samples
// through their weights. Three routes that share the noise with ours but nothing
// else.
func TestOtherRoutes(t *testing.T) {
	s, _ := load(t)
	n := len(s.NoisyX)
	times := make([]float64, n)
	for i := range times {
		times[i] = float64(i) / s.FS
	}
	b, a := butterworth(2, 2*10/s.FS)
	routes := map[string]func(x []float64) []float64{
		"Savitzky–Golay 15, 4": func(x []float64) []float64 { return savgol(x, 15, 4, 1, s.FS, "interp") },
		"Butterworth 10 Hz": func(x []float64) []float64 {
			y, v := zeroLag(b, a, x), make([]float64, n)
			for i := 1; i < n-1; i++ {
				v[i] = (y[i+1] - y[i-1]) * s.FS / 2
			}
			return v
		},
		"spline": func(x []float64) []float64 {
			f, bent, _ := spline(times, x, 1e-6)
			v := make([]float64, n)
			for i := range v {
				_, v[i] = splineAt(times, f, bent, times[i])
			}
			return v
		},
	}
	samples := samplesOf(s, nil, 0.004)
	p, err := Smooth(samples, Options{Jerk: JerkOf(samples)})
	if err != nil {
		t.Fatal(err)
	}
	for name, route := range routes {
		theirs := route(s.NoisyX)
		// The routes are linear: their noise is that of one impulse in the middle.
		impulse := make([]float64, n)
		impulse[n/2] = 1
		noise := 0.0
		for _, v := range route(impulse) {
			noise += v * v
		}
		noise = 0.004 * math.Sqrt(noise)
		in, all, worst := 0, 0, 0.0
		for i := 10; i < n-10; i++ {
			v := quantity.Part[quantity.MetresPerSecond](p.At(samples[i].At).Joint, 1)
			z := math.Abs(float64(v.Mean)-theirs[i]) / math.Hypot(float64(v.SD), noise)
			worst = max(worst, z)
			all++
			if z <= 2 {
				in++
			}
		}
		t.Logf("%s: %d of %d within two SD, worst %.1f; noise %.3f m/s", name, in, all, worst, noise)
		if float64(in) < 0.95*float64(all) || worst > 3.5 {
			t.Errorf("%s: only %d of %d speeds agree, worst %.1f SD", name, in, all, worst)
		}
	}
}

// TestFreeFall: a ball that falls 1.5 m (0.5531 s, 5.424 m/s at the floor, standard
// gravity) sampled 50 times a second gives g and the speed of impact within their ±.
func TestFreeFall(t *testing.T) {
	const g = 9.80665
	for _, fall := range loadSmoothing(t).FreeFall {
		if math.Abs(0.5*g*fall.Time*fall.Time-fall.Drop) > 1e-12 || math.Abs(g*fall.Time-fall.Speed) > 1e-12 {
			t.Fatalf("the reference is not of this g: %+v", fall)
		}
		rng := rand.New(rand.NewPCG(uint64(100*fall.Drop), 2))
		var off, bias float64
		const runs = 60
		inG, inV := 0, 0
		for range runs {
			samples := hand(func(t float64) []float64 { return []float64{0.3, fall.Drop - 0.5*g*t*t} }, fall.Time, 50, 0.005, rng)
			p, err := Smooth(samples, Options{Jerk: JerkOf(samples)})
			if err != nil {
				t.Fatal(err)
			}
			_, _, a := p.At(quantity.Seconds(fall.Time / 2)).Coordinate(1)
			_, v, _ := p.At(quantity.Seconds(fall.Time)).Coordinate(1)
			off += (float64(a.Mean) + g) * (float64(a.Mean) + g) / a.Variance() / runs
			bias += (float64(a.Mean) + g) / runs
			if a.Covers(-g) {
				inG++
			}
			if v.Covers(quantity.MetresPerSecond(-fall.Speed)) {
				inV++
			}
		}
		t.Logf("%v m: g off by %+.2f m/s², rms %.2f SD; covered %d and %d of %d", fall.Drop, bias, math.Sqrt(off), inG, inV, runs)
		if inG < 54 || inV < 54 || math.Sqrt(off) > 1.3 || math.Abs(bias) > 0.5 {
			t.Errorf("%v m: g off by %+.2f m/s², rms %.2f SD; covered %d and %d of %d", fall.Drop, bias, math.Sqrt(off), inG, inV, runs)
		}
	}
}

// TestNobodyOutrunsTheSprint: the fastest stretch that a human has run, 20 m in
// 1.61 s (60 to 80 m of the 100 m record, Berlin 2009: 12.42 m/s), comes out as that
// and not as more than its stated ± allows, from places with 2 cm of noise.
func TestNobodyOutrunsTheSprint(t *testing.T) {
	const record = 20 / 1.61
	rng := rand.New(rand.NewPCG(8, 3))
	over := 0
	const runs = 40
	for range runs {
		samples := hand(func(t float64) []float64 { return []float64{record * t, 1} }, 1.61, 50, 0.02, rng)
		p, err := Smooth(samples, Options{Jerk: JerkOf(samples)})
		if err != nil {
			t.Fatal(err)
		}
		peak := p.Peak().Speed
		if float64(peak.Mean) > record+3*float64(peak.SD) {
			t.Errorf("peak %v m/s", peak)
		}
		if float64(p.At(0.8).Speed().Lo) > record {
			over++
		}
	}
	if over > runs/10 {
		t.Errorf("%d of %d intervals lie above the record", over, runs)
	}
}

// TestNoFasterThanStated: between any two instants a smoothed point goes no further
// than its stated speed and ± allow: the way is the integral of the velocity, and
// never longer than that of the upper end of the speed. Time runs on.
func TestNoFasterThanStated(t *testing.T) {
	rng := rand.New(rand.NewPCG(30, 3))
	pairs := 0
	for k := range 30 {
		l := lunges[k%len(lunges)]
		samples := l.seen(50, 0.005+0.02*rng.Float64(), rng)
		kept := samples[:0:0]
		for _, s := range samples { // frames are lost, some stand double
			if rng.Float64() < 0.8 {
				kept = append(kept, s)
			}
			if rng.Float64() < 0.05 {
				kept = append(kept, s)
			}
		}
		if rng.Float64() < 0.5 && len(kept) > 20 { // and one is wrong
			kept[10].Where = quantity.Independent([]float64{5, 5}, []float64{0.01, 0.01})
		}
		p, err := Smooth(kept, Options{Jerk: JerkOf(kept)})
		if err != nil {
			t.Fatal(err)
		}
		const dt = 0.001
		before := p.At(p.From())
		way, allowed := [2]float64{}, 0.0
		from := before
		for at := p.From() + dt; at <= p.To(); at += dt {
			now := p.At(at)
			if now.At <= before.At {
				t.Fatal("time stands still")
			}
			for c := range 2 {
				way[c] += dt * (now.Joint.Mean[3*c+1] + before.Joint.Mean[3*c+1]) / 2
			}
			allowed += dt * math.Max(float64(now.Speed().Hi), float64(before.Speed().Hi))
			before = now
			if rng.Float64() < 0.05 || at+dt > p.To() {
				x, z := now.Joint.Mean[0]-from.Joint.Mean[0], now.Joint.Mean[3]-from.Joint.Mean[3]
				if d := math.Hypot(x-way[0], z-way[1]); d > 1e-3 {
					t.Fatalf("from %v to %v: the place moves %v m, its velocity %v", from.At, now.At, []float64{x, z}, way)
				}
				if d := math.Hypot(x, z); d > allowed+1e-6 {
					t.Fatalf("from %v to %v: %v m where the speed allows %v", from.At, now.At, d, allowed)
				}
				from, way, allowed = now, [2]float64{}, 0
				pairs++
			}
		}
	}
	if pairs < 500 {
		t.Fatalf("only %d pairs were looked at", pairs)
	}
}
