package motion

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
)

// signal is a minimum-jerk movement of 1.2 m in 0.6 s, sampled 120 times a second
// with 4 mm of noise (SciPy and NumPy default_rng(31); Flash & Hogan 1985 for the
// curve): testdata/signal.json.
type signal struct {
	FS     float64   `json:"fs"`
	TruthX []float64 `json:"truth_x"`
	TruthV []float64 `json:"truth_v"`
	NoisyX []float64 `json:"noisy_x"`
}

// reference is the run of another program over the same signal with seven samples
// missing: testdata/kalman_ca_rts.json, cross-checked there against a dense batch
// least squares.
type reference struct {
	Missing    []int        `json:"missing"`
	DT         float64      `json:"dt"`
	Q          float64      `json:"q"`
	LogLik     float64      `json:"loglik"`
	Smoothed   [][3]float64 `json:"smoothed"`
	SmoothedSD [][3]float64 `json:"smoothed_sd"`
}

func load(t *testing.T) (signal, reference) {
	t.Helper()
	var s struct {
		Signal signal             `json:"signal"`
		Peaks  map[string]float64 `json:"peaks"`
	}
	var r reference
	for file, into := range map[string]any{"testdata/signal.json": &s, "testdata/kalman_ca_rts.json": &r} {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(raw, into); err != nil {
			t.Fatal(err)
		}
	}
	if len(s.Signal.NoisyX) != 180 || len(r.Smoothed) != 180 {
		t.Fatal("the reference is not whole")
	}
	return s.Signal, r
}

func samplesOf(s signal, missing []int, sd float64) []Sample {
	gone := map[int]bool{}
	for _, i := range missing {
		gone[i] = true
	}
	var all []Sample
	for i, x := range s.NoisyX {
		if !gone[i] {
			all = append(all, Sample{At: quantity.Seconds(float64(i) / s.FS), Where: quantity.Independent([]float64{x}, []float64{sd})})
		}
	}
	return all
}

// TestAgainstAnotherProgram: check 3.8. The missing samples are asked for by At,
// which has to give what the smoother gives at a step without a measurement.
func TestAgainstAnotherProgram(t *testing.T) {
	s, want := load(t)
	first := quantity.Independent([]float64{0, 0, 0}, []float64{1, 1, 10})
	p, err := Smooth(samplesOf(s, want.Missing, 0.004), Options{Jerk: Constant(want.Q), Gate: -1, First: &first})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(p.LogLikelihood()-want.LogLik) > 1e-6 {
		t.Errorf("log-likelihood %v, want %v", p.LogLikelihood(), want.LogLik)
	}
	for i := range want.Smoothed {
		got := p.At(quantity.Seconds(float64(i) / s.FS)).Joint
		for k := range 3 {
			// The reference is printed to eight decimals.
			if tol := 2e-8 * math.Max(1, math.Abs(want.Smoothed[i][k])) * 10; math.Abs(got.Mean[k]-want.Smoothed[i][k]) > tol {
				t.Fatalf("sample %d, derivative %d: %v, want %v", i, k, got.Mean[k], want.Smoothed[i][k])
			}
			if math.Abs(got.SD(k)-want.SmoothedSD[i][k]) > 2e-7*math.Max(1, want.SmoothedSD[i][k]) {
				t.Fatalf("sample %d, derivative %d: SD %v, want %v", i, k, got.SD(k), want.SmoothedSD[i][k])
			}
		}
	}
}

// TestAgainstBatch: the smoother equals the dense least squares over all states at
// once (second route; the inverse of its matrix is good to five digits), in two coordinates with correlated errors and uneven times.
func TestAgainstBatch(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	times := []quantity.Seconds{0, 0.04, 0.05, 0.12, 0.2}
	var samples []Sample
	for _, at := range times {
		samples = append(samples, Sample{At: at, Where: quantity.NewJoint([]float64{rng.NormFloat64(), rng.NormFloat64()}, []float64{4e-4, 1e-4, 1e-4, 2e-4})})
	}
	first := quantity.Independent([]float64{0, 0, 0, 0, 0, 0}, []float64{1, 2, 3, 1, 2, 3})
	const q = 50.0
	p, err := Smooth(samples, Options{Jerk: Constant(q), Gate: -1, First: &first})
	if err != nil {
		t.Fatal(err)
	}
	// Information form: prior on the first state, the law between states, the samples.
	n, k := 6, len(times)
	info, vec := mat.NewDense(n*k, n*k, nil), mat.NewVecDense(n*k, nil)
	add := func(h *mat.Dense, cov mat.Symmetric, y []float64) {
		var ch mat.Cholesky
		if !ch.Factorize(cov) {
			t.Fatal("not positive")
		}
		var wh, hh mat.Dense
		if err := ch.SolveTo(&wh, h); err != nil {
			t.Fatal(err)
		}
		hh.Mul(h.T(), &wh)
		info.Add(info, &hh)
		var v mat.VecDense
		v.MulVec(wh.T(), mat.NewVecDense(len(y), y))
		vec.AddVec(vec, &v)
	}
	h := mat.NewDense(n, n*k, nil)
	for i := range n {
		h.Set(i, i, 1)
	}
	add(h, first.SymDense(), first.Mean)
	law := model{dims: 2, width: 1}
	for s := 1; s < k; s++ {
		dt := float64(times[s] - times[s-1])
		h := mat.NewDense(n, n*k, nil)
		for c := 0; c < n; c += 3 { // F, written out
			for i, row := range [3][3]float64{{1, dt, dt * dt / 2}, {0, 1, dt}, {0, 0, 1}} {
				h.Set(c+i, s*n+c+i, 1)
				for j, v := range row {
					h.Set(c+i, (s-1)*n+c+j, -v)
				}
			}
		}
		both := law.room(2)
		law.predict(both[0], both[1], dt, q)
		add(h, mat.NewSymDense(n, both[0].cov), make([]float64, n))
	}
	for s := range samples {
		h := mat.NewDense(2, n*k, nil)
		h.Set(0, s*n, 1)
		h.Set(1, s*n+3, 1)
		add(h, samples[s].Where.SymDense(), samples[s].Where.Mean)
	}
	var cov mat.Dense
	if err := cov.Inverse(info); err != nil {
		var c mat.Condition
		if !errors.As(err, &c) {
			t.Fatal(err)
		}
	}
	var mean mat.VecDense
	mean.MulVec(&cov, vec)
	for s, at := range times {
		got := p.At(at).Joint
		for i := range n {
			if d := math.Abs(got.Mean[i] - mean.AtVec(s*n+i)); d > 2e-5*math.Max(1, math.Abs(mean.AtVec(s*n+i))) {
				t.Errorf("state %d, number %d: %v, want %v", s, i, got.Mean[i], mean.AtVec(s*n+i))
			}
			if d := math.Abs(got.SD(i) - math.Sqrt(cov.At(s*n+i, s*n+i))); d > 2e-5*got.SD(i) {
				t.Errorf("state %d, number %d: SD %v, want %v", s, i, got.SD(i), math.Sqrt(cov.At(s*n+i, s*n+i)))
			}
		}
	}
}

// TestPeakSurvives: check 3.5: the true peak is 3.75 m/s (1.875·D/T, Flash & Hogan
// 1985); the reference smoother of the data page gives 3.741 on this noise.
func TestPeakSurvives(t *testing.T) {
	s, _ := load(t)
	p, err := Smooth(samplesOf(s, nil, 0.004), Options{})
	if err != nil {
		t.Fatal(err)
	}
	peak := p.Peak()
	if v := float64(peak.Speed.Mean); math.Abs(v-3.741) > 0.02 {
		t.Errorf("peak %v m/s, want 3.741 within 0.02", v)
	}
	bias, err := p.PeakBias(200, rand.NewPCG(1, 1))
	if err != nil {
		t.Fatal(err)
	}
	if b := float64(bias.Mean); math.Abs(b) > 0.05*3.75 {
		t.Errorf("bias %v m/s", b)
	}
}

// TestIntervalsHold: the 95 % intervals of place and velocity hold the truth of a
// minimum-jerk movement as often as they say, over many draws of the noise.
func TestIntervalsHold(t *testing.T) {
	s, _ := load(t)
	src := rand.New(rand.NewPCG(3, 4))
	var in, all [2]int
	for range 40 {
		noisy := s
		noisy.NoisyX = make([]float64, len(s.TruthX))
		for i, x := range s.TruthX {
			noisy.NoisyX[i] = x + 0.004*src.NormFloat64()
		}
		p, err := Smooth(samplesOf(noisy, nil, 0.004), Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.TruthX {
			got := p.At(quantity.Seconds(float64(i) / s.FS)).Joint
			for k, truth := range []float64{s.TruthX[i], s.TruthV[i]} {
				all[k]++
				if math.Abs(got.Mean[k]-truth) <= 1.96*got.SD(k) {
					in[k]++
				}
			}
		}
	}
	for k, name := range []string{"place", "velocity"} {
		if share := float64(in[k]) / float64(all[k]); share < 0.92 {
			t.Errorf("%s: %.3f of the intervals hold the truth", name, share)
		}
	}
}

func TestAWrongSampleIsTurnedAway(t *testing.T) {
	s, _ := load(t)
	samples := samplesOf(s, nil, 0.004)
	clean, err := Smooth(samples, Options{})
	if err != nil {
		t.Fatal(err)
	}
	samples[90].Where = quantity.Independent([]float64{samples[90].Where.Mean[0] + 0.3}, []float64{0.004})
	p, err := Smooth(samples, Options{})
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, i := range p.Outliers() {
		found = found || i == 90
	}
	if !found {
		t.Fatalf("outliers %v, want 90 among them", p.Outliers())
	}
	at := samples[90].At
	if d := math.Abs(p.At(at).Joint.Mean[0] - clean.At(at).Joint.Mean[0]); d > 0.006 {
		t.Errorf("the place moved by %v m", d)
	}
}

// TestAChangeIsBelieved: a jump that stays is a movement, not an outlier.
func TestAChangeIsBelieved(t *testing.T) {
	var samples []Sample
	for i := range 20 {
		x := 0.0
		if i >= 10 {
			x = 1
		}
		samples = append(samples, Sample{At: quantity.Seconds(float64(i) * 0.04), Where: quantity.Independent([]float64{x}, []float64{0.005})})
	}
	p, err := Smooth(samples, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := p.At(samples[19].At).Joint.Mean[0]; math.Abs(got-1) > 0.02 {
		t.Errorf("at the end it stands at %v m, want 1", got)
	}
}

// TestBeyondTheSamples: the doubt grows on both sides, alike.
func TestBeyondTheSamples(t *testing.T) {
	var samples []Sample
	for i := range 11 {
		samples = append(samples, Sample{At: quantity.Seconds(float64(i) * 0.04), Where: quantity.Independent([]float64{2 * float64(i) * 0.04}, []float64{0.005})})
	}
	p, err := Smooth(samples, Options{})
	if err != nil {
		t.Fatal(err)
	}
	before, after := p.At(-0.1).Joint, p.At(0.5).Joint
	if before.SD(0) < 3*p.At(0).Joint.SD(0) || math.Abs(before.SD(0)-after.SD(0)) > 0.2*after.SD(0) {
		t.Errorf("SD before %v, at the start %v, after %v", before.SD(0), p.At(0).Joint.SD(0), after.SD(0))
	}
	if math.Abs(before.Mean[0]+0.2) > 3*before.SD(0) || math.Abs(after.Mean[0]-1) > 3*after.SD(0) {
		t.Errorf("at −0.1 s %v m, at 0.5 s %v m", before.Mean[0], after.Mean[0])
	}
}

func TestRefusals(t *testing.T) {
	one := func(at, x float64) Sample {
		return Sample{At: quantity.Seconds(at), Where: quantity.Independent([]float64{x}, []float64{0.01})}
	}
	for name, c := range map[string]struct {
		samples []Sample
		want    error
	}{
		"none":       {nil, ErrNoSamples},
		"order":      {[]Sample{one(1, 0), one(0, 0)}, ErrOrder},
		"NaN":        {[]Sample{one(0, math.NaN())}, ErrNotFinite},
		"no instant": {[]Sample{one(math.Inf(1), 0)}, ErrNotFinite},
	} {
		if _, err := Smooth(c.samples, Options{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}
