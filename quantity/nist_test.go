package quantity

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The NIST Statistical Reference Datasets (itl.nist.gov/div898/strd), checks
// 2.9 to 2.11.
type strd struct {
	Regression map[string]struct {
		X, Y           []float64
		Start1, Start2 []float64
		Certified, SD  []float64
		RSS, RSD       float64
		DOF            int
	}
	Univariate map[string]struct {
		N    int
		Mean float64
		SD   float64 `json:"sd_n_minus_1"`
		Lag1 float64 `json:"lag1_autocorr"`
		Data []float64
	}
}

func readStrd(t testing.TB) strd {
	t.Helper()
	var d strd
	readJSON(t, "testdata/nist_strd.json", &d)
	return d
}

func readJSON(t testing.TB, path string, into any) {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatal(err)
	}
}

// near fails unless got is within the relative tolerance of want.
func near(t testing.TB, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: got %.17g, want %.17g (relative difference %.2g > %.2g)", what, got, want, math.Abs(got-want)/math.Abs(want), rel)
	}
}

// within fails unless got is within the absolute tolerance of want.
func within(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g ± %.2g", what, got, want, tol)
	}
}

var strdModels = map[string]func(b []float64, x float64) float64{
	"Misra1a": func(b []float64, x float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
	"Thurber": rational,
	"Hahn1":   rational,
}

func rational(b []float64, x float64) float64 {
	return (b[0] + x*(b[1]+x*(b[2]+x*b[3]))) / (1 + x*(b[4]+x*(b[5]+x*b[6])))
}

func TestFitNIST(t *testing.T) {
	d := readStrd(t)
	checked := 0
	for name, tol := range map[string]float64{"Misra1a": 1e-6, "Thurber": 1e-6, "Hahn1": 1e-5} {
		set, ok := d.Regression[name]
		if !ok {
			t.Fatalf("no data set %s", name)
		}
		model := strdModels[name]
		for k, start := range [][]float64{set.Start1, set.Start2} {
			pr := Problem{Count: len(set.X), Residuals: func(dst, p []float64) {
				for i, x := range set.X {
					dst[i] = model(p, x) - set.Y[i]
				}
			}}
			s, err := Fit(pr, start, Settings{})
			if err != nil {
				t.Errorf("%s from start %d: %v", name, k+1, err)
				continue
			}
			t.Logf("%s start %d: %d iterations", name, k+1, s.Iterations)
			near(t, name+" RSS", s.RSS, set.RSS, 1e-8)
			scale := s.RSS / float64(set.DOF)
			for i, want := range set.Certified {
				near(t, name+" parameter", s.P[i], want, tol)
				near(t, name+" sd", s.Joint(scale).SD(i), set.SD[i], tol*10)
				checked++
			}
		}
	}
	if checked != 2*(2+7+7) {
		t.Fatalf("checked %d parameters", checked)
	}
}

// An analytic Jacobian and central differences must lead to the same place.
func TestFitJacobianSecondRoute(t *testing.T) {
	set := readStrd(t).Regression["Misra1a"]
	pr := Problem{Count: len(set.X),
		Residuals: func(dst, p []float64) {
			for i, x := range set.X {
				dst[i] = p[0]*(1-math.Exp(-p[1]*x)) - set.Y[i]
			}
		},
		Jacobian: func(dst *mat.Dense, p []float64) {
			for i, x := range set.X {
				dst.Set(i, 0, 1-math.Exp(-p[1]*x))
				dst.Set(i, 1, p[0]*x*math.Exp(-p[1]*x))
			}
		}}
	s, err := Fit(pr, set.Start1, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range set.Certified {
		near(t, "parameter", s.P[i], want, 1e-9)
	}
}

func TestFitSquareProblem(t *testing.T) { // as many residuals as parameters
	s, err := Fit(Problem{Count: 2, Residuals: func(dst, p []float64) {
		dst[0], dst[1] = 10*(p[1]-p[0]*p[0]), 1-p[0]
	}}, []float64{-1.2, 1}, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "x", s.P[0], 1, 1e-9)
	within(t, "y", s.P[1], 1, 1e-9)
}

func TestFitRefusals(t *testing.T) {
	sum := Problem{Count: 3, Residuals: func(dst, p []float64) {
		for i := range dst {
			dst[i] = p[0] + p[1] - float64(i)
		}
	}}
	s, err := Fit(sum, []float64{1, 2}, Settings{})
	var singular *SingularError
	if !errors.As(err, &singular) {
		t.Errorf("two parameters that act as one: %v", err)
	}
	within(t, "sum", s.P[0]+s.P[1], 1, 1e-8)

	dead := Problem{Count: 3, Residuals: func(dst, p []float64) {
		for i := range dst {
			dst[i] = p[0] - float64(i)
		}
	}}
	if _, err = Fit(dead, []float64{1, 2}, Settings{}); !errors.As(err, &singular) || singular.Parameter != 1 {
		t.Errorf("a parameter without effect: %v", err)
	}

	nan := Problem{Count: 2, Residuals: func(dst, p []float64) { dst[0], dst[1] = math.NaN(), p[0] }}
	var notFinite *NotFiniteError
	if _, err = Fit(nan, []float64{1}, Settings{}); !errors.As(err, &notFinite) {
		t.Errorf("NaN residuals: %v", err)
	}

	set := readStrd(t).Regression["Hahn1"]
	slow := Problem{Count: len(set.X), Residuals: func(dst, p []float64) {
		for i, x := range set.X {
			dst[i] = rational(p, x) - set.Y[i]
		}
	}}
	var short *NotConvergedError
	if _, err = Fit(slow, set.Start1, Settings{MaxIterations: 2}); !errors.As(err, &short) || len(short.Solution.P) != 7 {
		t.Errorf("two iterations: %v", err)
	}
}

func powers(x []float64, degree int) *mat.Dense {
	d := mat.NewDense(len(x), degree+1, nil)
	for i, v := range x {
		p := 1.0
		for k := 0; k <= degree; k++ {
			d.Set(i, k, p)
			p *= v
		}
	}
	return d
}

func TestLinearFitNIST(t *testing.T) {
	d := readStrd(t)
	for _, c := range []struct {
		name   string
		degree int
		tol    float64
	}{{"Norris", 1, 2e-13}, {"Filip", 10, 1e-7}} {
		set := d.Regression[c.name]
		s, err := LinearFit(powers(set.X, c.degree), set.Y)
		if err != nil {
			t.Fatal(c.name, err)
		}
		if len(set.Certified) != c.degree+1 {
			t.Fatalf("%s: %d certified", c.name, len(set.Certified))
		}
		for i, want := range set.Certified {
			near(t, c.name+" coefficient", s.P[i], want, c.tol)
		}
		near(t, c.name+" RSS", s.RSS, set.RSS, 1e-7)
		scale := s.RSS / float64(len(set.X)-c.degree-1)
		for i, want := range set.SD {
			near(t, c.name+" sd", s.Joint(scale).SD(i), want, 1e-6)
		}
	}
	near(t, "Norris rsd", 0.884796396144373, d.Regression["Norris"].RSD, 1e-12)
	var singular *SingularError
	if _, err := LinearFit(mat.NewDense(3, 2, []float64{1, 2, 2, 4, 3, 6}), []float64{1, 2, 3}); !errors.As(err, &singular) {
		t.Errorf("two equal columns: %v", err)
	}
	if _, err := LinearFit(mat.NewDense(2, 1, []float64{1, math.NaN()}), []float64{1, 2}); err == nil {
		t.Error("NaN was accepted")
	}
}

func TestDescribeNIST(t *testing.T) {
	d := readStrd(t)
	checked := 0
	for name, u := range d.Univariate {
		data := u.Data
		if data == nil { // NumAcc2-4: mean, then mean∓0.1 five hundred times
			base := map[string]float64{"NumAcc2": 1, "NumAcc3": 1000000, "NumAcc4": 10000000}[name]
			data = append(data, base+.2)
			for range 500 {
				data = append(data, base+.1, base+.3)
			}
		}
		got := Describe(data)
		tol := 1e-12
		if name == "NumAcc3" { // its data are not exact in binary: 1e-10/0.1
			tol = 1e-9
		}
		if name == "NumAcc4" {
			tol = 1e-8
		}
		near(t, name+" mean", got.Mean, u.Mean, 1e-14)
		near(t, name+" sd", got.SD, u.SD, max(tol, 1e-12))
		within(t, name+" lag 1", got.Lag1, u.Lag1, max(tol, 1e-12))
		if got.N != u.N {
			t.Errorf("%s: %d values", name, got.N)
		}
		checked++
	}
	if checked != 6 {
		t.Fatalf("checked %d series", checked)
	}
}
