package quantity

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func TestJointRootAndDraws(t *testing.T) {
	// The third number is the sum of the first two: no full rank.
	j := NewJoint([]float64{1, -2, 5}, []float64{4, 1, 5, 1, 9, 10, 5, 10, 15})
	l := j.Root()
	for a := range 3 {
		for b := range 3 {
			sum := 0.0
			for k := range 3 {
				sum += l[a*3+k] * l[b*3+k]
			}
			within(t, "L·Lᵀ", sum, j.Covariance(a, b), 1e-12)
		}
	}
	draws := j.Draws(100000, rand.NewPCG(1, 1))
	col := func(i int) []float64 {
		v := make([]float64, len(draws))
		for k, d := range draws {
			v[k] = d[i]
		}
		return v
	}
	for i := range 3 {
		d := Describe(col(i))
		within(t, "mean of draws", d.Mean, j.Mean[i], 4*j.SD(i)/math.Sqrt(100000))
		near(t, "sd of draws", d.SD, j.SD(i), .01)
		within(t, "lag 1", d.Lag1, 0, .015)
	}
	for _, d := range draws[:100] {
		within(t, "sum kept", d[2]-5, (d[0]-1)+(d[1]+2), 1e-9)
	}
	again := j.Draws(10, rand.NewPCG(1, 1))
	if !slices.Equal(again[9], draws[9]) {
		t.Error("the same seed gave another draw")
	}
}

func TestJointPickStackLinear(t *testing.T) {
	j := NewJoint([]float64{1, 2, 3}, []float64{4, 1, 0, 1, 9, 2, 0, 2, 16})
	p := j.Pick(2, 0)
	if p.Mean[0] != 3 || p.SD(1) != 2 || p.Covariance(0, 1) != 0 {
		t.Errorf("picked %v", p)
	}
	s := Stack(j, p)
	if s.Len() != 5 || s.Covariance(1, 2) != 2 || s.Covariance(0, 4) != 0 || s.SD(3) != 4 || s.Mean[4] != 1 {
		t.Errorf("stacked %v", s)
	}
	// Linear and Through must agree on a linear map.
	a := []float64{1, -1, .5, 0, 2, -3}
	lin := j.Linear(a, []float64{10, 20})
	thr := j.Through(func(dst, x []float64) {
		dst[0] = 10 + x[0] - x[1] + .5*x[2]
		dst[1] = 20 + 2*x[1] - 3*x[2]
	}, 2)
	for i, v := range lin.Mean {
		near(t, "mean", thr.Mean[i], v, 1e-12)
	}
	for i, v := range lin.Cov {
		near(t, "cov", thr.Cov[i], v, 1e-8)
	}
	if c := Part[Metres](j, 1); c.Mean != 2 || c.SD != 3 {
		t.Errorf("part %v", c)
	}
	if got := j.SymDense().At(1, 2); got != 2 {
		t.Errorf("SymDense %v", got)
	}
}

func TestDistanceBetweenMovesAsOne(t *testing.T) {
	// Two places with a common error: the error does not touch their distance.
	common := Independent([]float64{0, 0, 0}, []float64{.1, .1, .1})
	j := common.Linear([]float64{1, 0, 0, 0, 1, 0, 0, 0, 1, 1, 0, 0, 0, 1, 0, 0, 0, 1}, []float64{0, 0, 0, .3, 0, .4})
	got := DistanceBetween(j)
	near(t, "distance", float64(got.Mean), .5, 1e-12)
	within(t, "sd", float64(got.SD), 0, 1e-6)
}

// The callers' mistakes must panic, each with the name of the package.
func TestPanics(t *testing.T) {
	for name, f := range map[string]func(){
		"lengths":       func() { NewJoint([]float64{1}, nil) },
		"variance":      func() { NewJoint([]float64{1}, []float64{-1}) },
		"no draws":      func() { FromDraws([]Metres{}) },
		"share":         func() { Shortest([]Metres{1}, 0) },
		"count":         func() { FromCounts(3, 2) },
		"no values":     func() { Describe(nil) },
		"few residuals": func() { Fit(Problem{Count: 1}, []float64{1, 2}, Settings{}) },
		"six":           func() { DistanceBetween(Joint{}) },
		"NaN distance":  func() { Distance([3]Metres{Metres(math.NaN())}, diagonal(1, 1, 1)) },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if s, ok := recover().(string); !ok || len(s) < 10 || s[:10] != "quantity: " {
					t.Errorf("panic %v", s)
				}
			}()
			f()
		})
	}
}

func TestQuantilesAgainstSorting(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for n := 1; n < 300; n++ {
		v := make([]float64, n)
		for i := range v {
			v[i] = math.Floor(rng.Float64() * 20) // with ties
		}
		s := slices.Clone(v)
		slices.Sort(s)
		for _, p := range []float64{0, .025, .5, .975, 1} {
			at := p * float64(n-1)
			k := int(at)
			want := s[k]
			if k+1 < n {
				want += (at - float64(k)) * (s[k+1] - s[k])
			}
			within(t, "quantile", selectQuantile(slices.Clone(v), p), want, 1e-12)
		}
	}
	if got := FromDraws([]Metres{1, Metres(math.NaN()), 2}); got.IsValid() {
		t.Errorf("NaN was lost: %v", got)
	}
}

// A distance is always in order and never NaN, whatever finite numbers come in.
func FuzzDistance(f *testing.F) {
	f.Add(.9, .1, 0., .02, .1, .03, .5)
	f.Add(0., 0., 0., 1e-9, 1e-200, 0., .9)
	f.Add(1e6, 1e-6, 3., 1e3, 1e-3, 1e-12, -.99)
	f.Fuzz(func(t *testing.T, x, y, z, a, b, c, r float64) {
		for _, v := range []float64{x, y, z, a, b, c, r} {
			if !(math.Abs(v) < 1e50) || v != 0 && math.Abs(v) < 1e-50 {
				t.Skip()
			}
		}
		r = math.Tanh(r)
		cov := diagonal(a, b, c)
		cov[0][1], cov[1][0] = r*math.Abs(a*b), r*math.Abs(a*b)
		got := Distance([3]Metres{Metres(x), Metres(y), Metres(z)}, cov)
		if !got.IsValid() || got.Mean < 0 || got.Hi < got.Lo {
			t.Errorf("%v ± %v: %+v", []float64{x, y, z}, cov, got)
		}
	})
}
