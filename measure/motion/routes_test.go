package motion

import (
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"math/cmplx"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// Other ways to smooth and to differentiate, held against testdata/smoothing.json
// (its source stands in it) and then held against ours in speeds_test.go.

type smoothing struct {
	Source string `json:"source"`
	Savgol map[string]struct {
		Integers []int64 `json:"integers"`
		Norm     int64   `json:"norm"`
	} `json:"savgol_exact"`
	MinimumJerk struct {
		D, T                  float64
		Times                 []float64  `json:"t"`
		X                     []float64  `json:"x"`
		V                     []float64  `json:"v"`
		A                     []float64  `json:"a"`
		PeakSpeed             float64    `json:"peak_v_coeff"`
		PeakAcceleration      float64    `json:"peak_a_coeff"`
		PeakAccelerationTimes [2]float64 `json:"peak_a_at"`
		Cost                  float64    `json:"jerk_cost_coeff"`
	} `json:"minimum_jerk"`
	Butterworth struct {
		C       float64
		Wn      float64 `json:"prewarped_corrected_Wn"`
		Filters map[string]struct {
			B        []float64 `json:"b"`
			A        []float64 `json:"a"`
			FiltFilt []float64 `json:"filtfilt_default"`
			Once     []float64 `json:"lfilter"`
		} `json:"filters"`
	} `json:"butterworth"`
	SavgolFilter map[string][]float64 `json:"savgol_filter"`
	Splines      map[string]struct {
		X []float64 `json:"x"`
		V []float64 `json:"v"`
	} `json:"splines"`
	Peaks    map[string]float64 `json:"peaks"`
	FreeFall []struct {
		Drop  float64 `json:"drop_m"`
		Time  float64 `json:"time_s"`
		Speed float64 `json:"impact_speed_m_s"`
	} `json:"free_fall"`
}

func loadSmoothing(t *testing.T) smoothing {
	t.Helper()
	raw, err := os.ReadFile("testdata/smoothing.json")
	if err != nil {
		t.Fatal(err)
	}
	var s smoothing
	if err := json.Unmarshal(raw, &s); err != nil {
		t.Fatal(err)
	}
	if len(s.Savgol) < 15 || len(s.SavgolFilter) != 18 || len(s.Butterworth.Filters) != 3 || len(s.Splines) != 5 || len(s.FreeFall) != 4 {
		t.Fatal("the reference is not whole")
	}
	return s
}

// savgolWeights are those by which the samples of a window give a derivative in the
// middle of the polynomial fitted to them, exact (Savitzky and Golay, Anal. Chem.
// 36:1627, 1964). at is the place in the window, −half to half, steps are 1.
func savgolWeights(half, degree, derivative, at int) []*big.Rat {
	n := degree + 1
	// Normal equations on powers of k, solved for the derivative of the polynomial.
	a := make([][]*big.Rat, n)
	for i := range a {
		a[i] = make([]*big.Rat, n+1)
		for j := range n {
			sum := new(big.Int)
			for k := -half; k <= half; k++ {
				sum.Add(sum, new(big.Int).Exp(big.NewInt(int64(k)), big.NewInt(int64(i+j)), nil))
			}
			a[i][j] = new(big.Rat).SetInt(sum)
		}
		c := new(big.Rat) // d/dx of x^i at the place
		if i >= derivative {
			v := new(big.Int).Exp(big.NewInt(int64(at)), big.NewInt(int64(i-derivative)), nil)
			for q := range derivative {
				v.Mul(v, big.NewInt(int64(i-q)))
			}
			c.SetInt(v)
		}
		a[i][n] = c
	}
	for c := range n { // Gauss and Jordan
		p := c
		for a[p][c].Sign() == 0 {
			p++
		}
		a[c], a[p] = a[p], a[c]
		inv := new(big.Rat).Inv(a[c][c])
		for j := range a[c] {
			a[c][j] = new(big.Rat).Mul(a[c][j], inv)
		}
		for r := range n {
			if r == c {
				continue
			}
			f := a[r][c]
			for j := range a[r] {
				a[r][j] = new(big.Rat).Sub(a[r][j], new(big.Rat).Mul(f, a[c][j]))
			}
		}
	}
	w := make([]*big.Rat, 2*half+1)
	for k := -half; k <= half; k++ {
		sum := new(big.Rat)
		for i := range n {
			power := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(int64(k)), big.NewInt(int64(i)), nil))
			sum.Add(sum, power.Mul(power, a[i][n]))
		}
		w[k+half] = sum
	}
	return w
}

func floats(w []*big.Rat) []float64 {
	f := make([]float64, len(w))
	for i, r := range w {
		f[i], _ = r.Float64()
	}
	return f
}

// savgol filters a series; at the ends it takes the polynomial of the last window
// (interp) or repeats the last value (nearest).
func savgol(x []float64, window, degree, derivative int, fs float64, mode string) []float64 {
	half, n := window/2, len(x)
	scale := math.Pow(fs, float64(derivative))
	middle := floats(savgolWeights(half, degree, derivative, 0))
	out := make([]float64, n)
	for i := range x {
		from, w := i-half, middle
		if mode == "interp" && (i < half || i >= n-half) {
			from = max(0, min(n-window, from))
			w = floats(savgolWeights(half, degree, derivative, i-from-half))
		}
		for k, v := range w {
			out[i] += scale * v * x[max(0, min(n-1, from+k))]
		}
	}
	return out
}

// TestSavitzkyGolay: checks 3.1 (integers, misprints mended by Steinier 1972) and 3.2.
func TestSavitzkyGolay(t *testing.T) {
	ref, n := loadSmoothing(t), 0
	for name, want := range ref.Savgol {
		var window, degree, derivative int
		if _, err := fmt.Sscanf(name, "window%d_poly%d_deriv%d", &window, &degree, &derivative); err != nil {
			t.Fatal(err)
		}
		for i, w := range savgolWeights(window/2, degree, derivative, 0) {
			if w.Cmp(big.NewRat(want.Integers[i], want.Norm)) != 0 {
				t.Errorf("%s, weight %d: %v, want %d/%d", name, i, w, want.Integers[i], want.Norm)
			}
			n++
		}
	}
	s, _ := load(t)
	for name, want := range ref.SavgolFilter {
		var window, degree, derivative int
		var mode string
		if _, err := fmt.Sscanf(name, "w%d p%d d%d %s", &window, &degree, &derivative, &mode); err != nil {
			t.Fatal(err)
		}
		got := savgol(s.NoisyX, window, degree, derivative, s.FS, mode)
		for i := range want {
			if math.Abs(got[i]-want[i]) > 1e-8 {
				t.Fatalf("%s, sample %d: %v, want %v", name, i, got[i], want[i])
			}
			n++
		}
	}
	if n < 3000 {
		t.Fatalf("only %d numbers were looked at", n)
	}
}

// butterworth designs a low-pass by the bilinear transform with the cutoff warped;
// cut is a share of half the sampling rate.
func butterworth(order int, cut float64) (b, a []float64) {
	warped := 4 * math.Tan(math.Pi*cut/2) // for a sampling rate of 2
	poly := []complex128{1}
	times := func(p []complex128, root complex128) []complex128 {
		out := make([]complex128, len(p)+1)
		for i, v := range p {
			out[i] += v
			out[i+1] -= v * root
		}
		return out
	}
	gain := complex(1, 0)
	top := []complex128{1}
	for k := range order {
		pole := complex(warped, 0) * cmplx.Exp(complex(0, math.Pi*float64(2*k+order+1)/float64(2*order)))
		poly = times(poly, (4+pole)/(4-pole))
		top = times(top, -1)
		gain *= complex(warped, 0) / (4 - pole)
	}
	for i := range poly {
		a = append(a, real(poly[i]))
		b = append(b, real(gain*top[i]))
	}
	return b, a
}

// once runs a filter forward from a state (direct form II transposed).
func once(b, a, x, state []float64) []float64 {
	z := append(append([]float64(nil), state...), 0)
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = b[0]*v + z[0]
		for k := 1; k < len(b); k++ {
			z[k-1] = b[k]*v - a[k]*out[i] + z[k]
		}
	}
	return out
}

// settled is the state of the filter after a long constant 1.
func settled(b, a []float64) []float64 {
	n := len(a) - 1
	m, r := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for i := range n {
		m.Set(i, i, m.At(i, i)+1)
		m.Set(i, 0, m.At(i, 0)+a[i+1])
		if i+1 < n {
			m.Set(i, i+1, m.At(i, i+1)-1)
		}
		r.SetVec(i, b[i+1]-a[i+1]*b[0])
	}
	var z mat.VecDense
	if err := z.SolveVec(m, r); err != nil {
		panic(err)
	}
	return z.RawVector().Data
}

// zeroLag runs a filter forward and backward over a series continued at both ends by
// its own reflection in the end point.
func zeroLag(b, a, x []float64) []float64 {
	pad, n := 3*len(a), len(x)
	long := make([]float64, 0, n+2*pad)
	for i := pad; i > 0; i-- {
		long = append(long, 2*x[0]-x[i])
	}
	long = append(long, x...)
	for i := 1; i <= pad; i++ {
		long = append(long, 2*x[n-1]-x[n-1-i])
	}
	turn := func(v []float64) []float64 {
		out := make([]float64, len(v))
		for i, w := range v {
			out[len(v)-1-i] = w
		}
		return out
	}
	for range 2 {
		z := append([]float64(nil), settled(b, a)...)
		for i := range z {
			z[i] *= long[0]
		}
		long = turn(once(b, a, long, z))
	}
	return long[pad : pad+n]
}

// TestButterworth: check 3.4.
func TestButterworth(t *testing.T) {
	ref := loadSmoothing(t)
	s, _ := load(t)
	gain := func(b, a []float64, w float64) float64 {
		z := cmplx.Exp(complex(0, -math.Pi*w))
		num, den := complex(0, 0), complex(0, 0)
		for k := len(b) - 1; k >= 0; k-- {
			num, den = num*z+complex(b[k], 0), den*z+complex(a[k], 0)
		}
		return cmplx.Abs(num / den)
	}
	for name, want := range ref.Butterworth.Filters {
		var order int
		var cut float64
		if _, err := fmt.Sscanf(name, "butter%d_%fHz", &order, &cut); err != nil {
			t.Fatal(err)
		}
		b, a := butterworth(order, 2*cut/s.FS)
		for i := range b {
			if math.Abs(b[i]-want.B[i]) > 1e-12 || math.Abs(a[i]-want.A[i]) > 1e-12 {
				t.Fatalf("%s: %v and %v, want %v and %v", name, b, a, want.B, want.A)
			}
		}
		if g := gain(b, a, 2*cut/s.FS); math.Abs(g-math.Sqrt2/2) > 1e-12 {
			t.Errorf("%s: gain %v at the cutoff, want 1/√2", name, g)
		}
		forward, both := once(b, a, s.NoisyX, make([]float64, len(a)-1)), zeroLag(b, a, s.NoisyX)
		for i := range s.NoisyX {
			if math.Abs(forward[i]-want.Once[i]) > 1e-8 || math.Abs(both[i]-want.FiltFilt[i]) > 1e-8 {
				t.Fatalf("%s, sample %d: %v and %v, want %v and %v", name, i, forward[i], both[i], want.Once[i], want.FiltFilt[i])
			}
		}
	}
	// Two passes halve at the cutoff; raised by 1/0.8022 (Winter) they give 1/√2 again.
	c := math.Pow(math.Sqrt2-1, 0.25)
	if math.Abs(c-ref.Butterworth.C) > 1e-12 {
		t.Errorf("correction %v, want %v", c, ref.Butterworth.C)
	}
	cut := 2 * 6 / s.FS
	b, a := butterworth(2, 2/math.Pi*math.Atan(math.Tan(math.Pi*cut/2)/c))
	if g := math.Pow(gain(b, a, cut), 2); math.Abs(g-math.Sqrt2/2) > 1e-12 {
		t.Errorf("two passes with the correction: gain %v, want 1/√2", g)
	}
}
