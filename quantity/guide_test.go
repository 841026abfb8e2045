package quantity

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Check 2.1: JCGM 100:2008 (GUM) H.2, resistance and reactance from voltage,
// current and phase measured together five times.
func TestThroughGUMH2(t *testing.T) {
	var d struct {
		H2 struct {
			Data struct {
				V   []float64
				I   []float64 `json:"I_mA"`
				Phi []float64 `json:"phi"`
			}
			R, X, Z, UR, UX, UZ, RRX, RRZ, RXZ float64
			CorrVI                             float64 `json:"corr_VI"`
			CorrVPhi                           float64 `json:"corr_Vphi"`
			CorrIPhi                           float64 `json:"corr_Iphi"`
		} `json:"GUM_H2"`
	}
	readJSON(t, "testdata/uncertainty.json", &d)
	h := d.H2
	series := [][]float64{h.Data.V, make([]float64, len(h.Data.I)), h.Data.Phi}
	for i, v := range h.Data.I {
		series[1][i] = v / 1000
	}
	n := float64(len(h.Data.V))
	if n != 5 {
		t.Fatalf("%g rows", n)
	}
	mean, cov := make([]float64, 3), make([]float64, 9)
	for a := range 3 {
		mean[a] = Describe(series[a]).Mean
	}
	for a := range 3 {
		for b := range 3 {
			for i := range series[a] {
				cov[a*3+b] += (series[a][i] - mean[a]) * (series[b][i] - mean[b]) / (n * (n - 1))
			}
		}
	}
	in := NewJoint(mean, cov)
	within(t, "r(V,I)", in.Correlation(0, 1), h.CorrVI, 1e-9)
	within(t, "r(V,φ)", in.Correlation(0, 2), h.CorrVPhi, 1e-9)
	within(t, "r(I,φ)", in.Correlation(1, 2), h.CorrIPhi, 1e-9)
	out := in.Through(func(dst, x []float64) {
		z := x[0] / x[1]
		dst[0], dst[1], dst[2] = z*math.Cos(x[2]), z*math.Sin(x[2]), z
	}, 3)
	for i, want := range []float64{h.R, h.X, h.Z} {
		near(t, "value", out.Mean[i], want, 1e-12)
	}
	for i, want := range []float64{h.UR, h.UX, h.UZ} {
		near(t, "u", out.SD(i), want, 1e-6)
	}
	within(t, "r(R,X)", out.Correlation(0, 1), h.RRX, 1e-6)
	within(t, "r(R,Z)", out.Correlation(0, 2), h.RRZ, 1e-6)
	within(t, "r(X,Z)", out.Correlation(1, 2), h.RXZ, 1e-6)
	// As printed in the guide, half a unit of the last digit.
	within(t, "printed R", out.Mean[0], 127.732, 5e-4)
	within(t, "printed r(X,Z)", out.Correlation(1, 2), 0.993, 5e-4)
}

func sumOfDraws(n int, seed uint64, draw func(*rand.Rand) float64) []Ratio {
	rng := rand.New(rand.NewPCG(seed, 0))
	d := make([]Ratio, n)
	for i := range d {
		d[i] = Ratio(draw(rng))
	}
	return d
}

func rectangular(r *rand.Rand, u float64) float64 { return u * math.Sqrt(12) * (r.Float64() - .5) }

// Checks 2.2 to 2.4: JCGM 101:2008, 9.2.2 to 9.2.4.
func TestFromDrawsJCGM101Sums(t *testing.T) {
	manyDraws(t)
	const n = 1000000
	exact := 2 * math.Sqrt(3) * (2 - math.Pow(3.0/5, .25))
	for _, c := range []struct {
		name      string
		draw      func(*rand.Rand) float64
		u, half   float64
		tol, tolU float64
	}{
		{"9.2.2 four normal", func(r *rand.Rand) float64 {
			return r.NormFloat64() + r.NormFloat64() + r.NormFloat64() + r.NormFloat64()
		}, 2, 3.919928, .012, .005},
		{"9.2.3 four rectangular", func(r *rand.Rand) float64 {
			return rectangular(r, 1) + rectangular(r, 1) + rectangular(r, 1) + rectangular(r, 1)
		}, 2, exact, .012, .005},
		{"9.2.4 one dominant", func(r *rand.Rand) float64 {
			return rectangular(r, 1) + rectangular(r, 1) + rectangular(r, 1) + rectangular(r, 10)
		}, 10.14889156509222, 17.01581409987058, .02, .02},
	} {
		got := FromDraws(sumOfDraws(n, 11, c.draw))
		within(t, c.name+" mean", float64(got.Mean), 0, 4*c.u/1000)
		within(t, c.name+" u", float64(got.SD), c.u, c.tolU)
		// One end wanders more than their mean, whose 3 standard errors are tol.
		within(t, c.name+" half-width", float64(got.Hi-got.Lo)/2, c.half, c.tol)
	}
	within(t, "9.2.3 as printed", exact, 3.88, .005)
}

// Check 2.5: JCGM 101:2008, 9.3, mass calibration (deviation in mg).
func TestMassCalibration(t *testing.T) {
	manyDraws(t)
	mean := []float64{100000, 1.234, 1.2, 8000, 8000}
	sd := []float64{.05, .02, .2 / math.Sqrt(12), 2000 / math.Sqrt(12), 100 / math.Sqrt(12)}
	model := func(x []float64) float64 {
		return (x[0]+x[1])*(1+(x[2]-1.2)*(1/x[3]-1/x[4])) - 100000
	}
	first := Independent(mean, sd).Through(func(dst, x []float64) { dst[0] = model(x) }, 1)
	near(t, "first-order u", first.SD(0), 0.05385164807134504, 1e-5)
	x := make([]float64, 5)
	draws := sumOfDraws(1000000, 12, func(r *rand.Rand) float64 {
		x[0], x[1] = 100000+.05*r.NormFloat64(), 1.234+.02*r.NormFloat64()
		x[2], x[3], x[4] = 1.1+.2*r.Float64(), 7000+2000*r.Float64(), 7950+100*r.Float64()
		return model(x)
	})
	got := FromDraws(draws)
	within(t, "mean", float64(got.Mean), 1.2340, 2e-4)
	within(t, "u", float64(got.SD), 0.0754793, 2e-4)
	lo, hi := Shortest(draws, .95)
	within(t, "shortest low", float64(lo), 1.0834, 3e-3)
	within(t, "shortest high", float64(hi), 1.3825, 3e-3)
}

// Check 2.6: JCGM 101:2008, 9.4, y = x1² + x2² with u = 0.005 each: first order
// fails, draws do not. Units of 10⁻⁶.
func TestQuadraticModel(t *testing.T) {
	manyDraws(t)
	for _, c := range []struct{ x1, r, mean, u, lo, hi float64 }{
		{0, 0, 50, 50, 0, 149.787},
		{.010, 0, 150, 111.803, 0, 366.005},
		{.050, 0, 2550, 502.494, 1593.57, 3548.57},
		// r = 0.9: ends from a run of 4·10⁶ draws; the guide prints 0, 185; 13, 398
		// and 1628, 3555 from 10⁶.
		{0, .9, 50, 67.2681, 0, 184.908},
		{.010, .9, 150, 120.512, 13.391, 398.105},
		{.050, .9, 2550, 504.505, 1627.73, 3557.06},
	} {
		v := 0.005 * 0.005
		in := NewJoint([]float64{c.x1, 0}, []float64{v, c.r * v, c.r * v, v})
		s := in.Sampler(rand.NewPCG(13, 0))
		x := make([]float64, 2)
		draws := sumOfDraws(1000000, 0, func(*rand.Rand) float64 {
			s.Next(x)
			return 1e6 * (x[0]*x[0] + x[1]*x[1])
		})
		got := FromDraws(draws)
		near(t, "mean", float64(got.Mean), c.mean, .01)
		near(t, "u", float64(got.SD), c.u, .01)
		lo, hi := Shortest(draws, .95)
		within(t, "shortest low", float64(lo), c.lo, 6)
		within(t, "shortest high", float64(hi), c.hi, 6)
		first := in.Through(func(dst, x []float64) { dst[0] = 1e6 * (x[0]*x[0] + x[1]*x[1]) }, 1)
		within(t, "first-order u", first.SD(0), 1e6*2*c.x1*.005, 1e-3)
	}
}

// Check 2.7: NPL report DEM-ES-011, 9.2: ln of a rectangular number.
func TestLogOfRectangular(t *testing.T) {
	manyDraws(t)
	draws := sumOfDraws(4000000, 14, func(r *rand.Rand) float64 { return math.Log(.1 + r.Float64()) })
	got := FromDraws(draws)
	within(t, "mean", float64(got.Mean), -.6649003, .001)
	within(t, "u", float64(got.SD), .6062267, .001)
	lo, hi := Shortest(draws, .95)
	within(t, "low", float64(lo), -1.89712, .003)
	within(t, "high", float64(hi), .09531, .001)
	first := Independent([]float64{.6}, []float64{1 / math.Sqrt(12)}).Through(func(dst, x []float64) { dst[0] = math.Log(x[0]) }, 1)
	within(t, "first-order value", first.Mean[0], -.5108256, 1e-7)
	within(t, "first-order u", first.SD(0), .48112522, 1e-6)
}

// Check 3.9: noise of differences, and of instants that frames bracket.
func TestNoiseOfDifferences(t *testing.T) {
	const sigma, fps = .005, 50.0
	two := Independent(make([]float64, 2), []float64{sigma, sigma})
	v := two.Linear([]float64{-fps / 2, fps / 2}, nil)
	near(t, "central difference", v.SD(0), sigma*fps/math.Sqrt2, 1e-12)
	within(t, "as printed", v.SD(0), .1768, 5e-5)
	five := Independent(make([]float64, 5), []float64{sigma, sigma, sigma, sigma, sigma})
	sg := five.Linear([]float64{-.2 * fps, -.1 * fps, 0, .1 * fps, .2 * fps}, nil)
	near(t, "five-point derivative", sg.SD(0), sigma*fps/math.Sqrt(10), 1e-12)
	event := Uniform(Seconds(0), Seconds(1/fps))
	near(t, "one event", float64(event.SD), 1/fps/math.Sqrt(12), 1e-12)
	span := Independent([]float64{0, 0}, []float64{float64(event.SD), float64(event.SD)}).Linear([]float64{-1, 1}, nil)
	near(t, "interval", span.SD(0), 1/fps/math.Sqrt(6), 1e-12)
}

// Newcombe 1998, Table I, method 3 (four printed digits).
func TestFromCountsNewcombe(t *testing.T) {
	for _, c := range []struct {
		k, n   int
		lo, hi float64
	}{{81, 263, .2553, .3662}, {15, 148, .0624, .1605}, {0, 20, 0, .1611}, {1, 29, .0061, .1718}} {
		got := FromCounts(c.k, c.n)
		within(t, "lo", float64(got.Lo), c.lo, 5e-5)
		within(t, "hi", float64(got.Hi), c.hi, 5e-5)
		if !got.IsValid() || got.SD == 0 || got.Mean < got.Lo || got.Mean > got.Hi {
			t.Errorf("%d of %d: %v", c.k, c.n, got)
		}
	}
	p := FromCounts(25000, 100000)
	near(t, "standard error", float64(p.SD), math.Sqrt(.25*.75/100000), 1e-12)
}

// manyDraws leaves a test of a million draws out of the short run, which looks
// for data races and needs no such numbers.
func manyDraws(t *testing.T) {
	if testing.Short() {
		t.Skip("a million draws: run without -short")
	}
}
