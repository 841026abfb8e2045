package motion

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// spline is the natural cubic spline with the least Σ(y−f)² + λ∫f″²; λ = 0 goes
// through every point (Green and Silverman, Nonparametric Regression, 1994, 2.3). It
// returns values and second derivatives at the knots and the trace of the smoother.
func spline(x, y []float64, lambda float64) (f, bent []float64, trace float64) {
	n := len(x)
	q, r := mat.NewDense(n, n-2, nil), mat.NewDense(n-2, n-2, nil)
	for j := 1; j < n-1; j++ {
		before, after := x[j]-x[j-1], x[j+1]-x[j]
		q.Set(j-1, j-1, 1/before)
		q.Set(j, j-1, -1/before-1/after)
		q.Set(j+1, j-1, 1/after)
		r.Set(j-1, j-1, (before+after)/3)
		if j+1 < n-1 {
			r.Set(j-1, j, after/6)
			r.Set(j, j-1, after/6)
		}
	}
	var qq, m, qy, g, smoother, solved mat.Dense
	qq.Mul(q.T(), q)
	qq.Scale(lambda, &qq)
	m.Add(r, &qq)
	qy.Mul(q.T(), mat.NewDense(n, 1, append([]float64(nil), y...)))
	if err := g.Solve(&m, &qy); err != nil {
		panic(err)
	}
	f, bent = make([]float64, n), make([]float64, n)
	var fit mat.Dense
	fit.Mul(q, &g)
	for i := range n {
		f[i] = y[i] - lambda*fit.At(i, 0)
		if i > 0 && i < n-1 {
			bent[i] = g.At(i-1, 0)
		}
	}
	if lambda > 0 {
		if err := solved.Solve(&m, q.T()); err != nil {
			panic(err)
		}
		smoother.Mul(q, &solved)
		for i := range n {
			trace += 1 - lambda*smoother.At(i, i)
		}
	}
	return f, bent, trace
}

// splineAt returns value and slope between the knots.
func splineAt(x, f, bent []float64, t float64) (float64, float64) {
	i := 0
	for i < len(x)-2 && t > x[i+1] {
		i++
	}
	h := x[i+1] - x[i]
	a, b := (x[i+1]-t)/h, (t-x[i])/h
	return a*f[i] + b*f[i+1] + ((a*a*a-a)*bent[i]+(b*b*b-b)*bent[i+1])*h*h/6,
		(f[i+1]-f[i])/h + (-(3*a*a-1)*bent[i]+(3*b*b-1)*bent[i+1])*h/6
}

// bestSpline is the smoothing spline with the least generalised cross-validation.
func bestSpline(x, y []float64) (f, bent []float64) {
	least := math.Inf(1)
	for log := -8.0; log < -3; log += 0.05 {
		g, b, trace := spline(x, y, math.Pow(10, log))
		rss, n := 0.0, float64(len(x))
		for i := range y {
			rss += (y[i] - g[i]) * (y[i] - g[i])
		}
		if gcv := n * rss / ((n - trace) * (n - trace)); gcv < least {
			least, f, bent = gcv, g, b
		}
	}
	return f, bent
}

// TestSplines: check 3.6.
func TestSplines(t *testing.T) {
	ref := loadSmoothing(t)
	s, _ := load(t)
	x := make([]float64, len(s.NoisyX))
	for i := range x {
		x[i] = float64(i) / s.FS
	}
	for name, lambda := range map[string]float64{"lam=1e-07": 1e-7, "lam=1e-06": 1e-6, "lam=1e-05": 1e-5} {
		want := ref.Splines["make_smoothing_spline "+name]
		if len(want.X) != len(x) {
			t.Fatalf("%s is not there", name)
		}
		f, bent, _ := spline(x, s.NoisyX, lambda)
		for i := range x {
			if _, v := splineAt(x, f, bent, x[i]); math.Abs(f[i]-want.X[i]) > 1e-7 || math.Abs(v-want.V[i]) > 1e-6 {
				t.Fatalf("%s, sample %d: %v and %v, want %v and %v", name, i, f[i], v, want.X[i], want.V[i])
			}
		}
	}
	f, bent := bestSpline(x, s.NoisyX)
	peak := 0.0
	for i := range x {
		_, v := splineAt(x, f, bent, x[i])
		peak = max(peak, v)
	}
	if math.Abs(peak-ref.Peaks["GCV"]) > 2e-3 { // λ on a grid of twenty a decade
		t.Errorf("peak of the cross-validated spline %v, want %v", peak, ref.Peaks["GCV"])
	}
	var kx, ky []float64
	for i := 0; i < len(x); i += 6 {
		kx, ky = append(kx, x[i]), append(ky, s.TruthX[i])
	}
	want := ref.Splines["natural_cubic_through_every_6th_truth"]
	f, bent, _ = spline(kx, ky, 0)
	for i := range want.X {
		if p, v := splineAt(kx, f, bent, x[i]); math.Abs(p-want.X[i]) > 1e-7 || math.Abs(v-want.V[i]) > 1e-6 {
			t.Fatalf("natural spline, sample %d: %v and %v, want %v and %v", i, p, v, want.X[i], want.V[i])
		}
	}
}
