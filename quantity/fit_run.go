package quantity

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// run iterates until one of the tolerances is met.
func (f *fitter) run() (Solution, error) {
	f.pr.Residuals(f.res, f.p)
	rss := sumOfSquares(f.res)
	if !isFinite(rss) {
		return f.state(rss, 0), &NotFiniteError{What: "residuals at the start"}
	}
	damping, growth := dampingStart, 2.0
	for it := 1; it <= f.set.MaxIterations; it++ {
		f.derivatives()
		if !f.decompose() {
			return f.state(rss, it), &NotFiniteError{What: "derivatives"}
		}
		for {
			f.solve(damping)
			predicted := f.predicted(damping)
			small := f.stepShare() <= f.set.StepTolerance
			for i := range f.p {
				f.trial[i] = f.p[i] + f.step[i]
			}
			f.pr.Residuals(f.again, f.trial)
			next := sumOfSquares(f.again)
			gain := (rss - next) / predicted
			if next <= rss && predicted > 0 && gain > 0 {
				fell := rss - next
				done := small || (fell <= f.set.ReductionTolerance*rss && predicted <= f.set.ReductionTolerance*rss)
				copy(f.p, f.trial)
				f.res, f.again = f.again, f.res
				rss = next
				if done {
					return f.finish(rss, it)
				}
				damping = max(dampingFloor, damping*max(1.0/3, 1-math.Pow(2*gain-1, 3)))
				growth = 2
				break
			}
			// No better: at the minimum as far as the digits reach, or too bold.
			if small || !(predicted > f.set.ReductionTolerance*rss) {
				return f.finish(rss, it)
			}
			damping *= growth
			growth *= 2
			if damping > dampingCeil || !isFinite(damping) {
				return f.state(rss, it), &NotConvergedError{Solution: f.state(rss, it)}
			}
		}
	}
	s := f.state(rss, f.set.MaxIterations)
	return s, &NotConvergedError{Solution: s}
}

// decompose brings [J | r] to the triangle [R | Qᵀr] and updates the scale. It
// reports false if a derivative is not finite.
func (f *fitter) decompose() bool {
	for i := range f.n {
		sum := 0.0
		for k := range f.m {
			v := f.jac.At(k, i)
			sum += v * v
			f.full.Set(k, i, v)
		}
		if !isFinite(sum) {
			return false
		}
		f.scale[i] = max(f.scale[i], math.Sqrt(sum))
	}
	for k := range f.m {
		f.full.Set(k, f.n, f.res[k])
	}
	f.qr.Factorize(f.full)
	f.r.Reset()
	f.qr.RTo(&f.r)
	return true
}

// solve finds the damped step: least |R·s + Qᵀr|² + λ·|D·s|².
func (f *fitter) solve(damping float64) {
	n := f.n
	f.damped.Zero()
	root := math.Sqrt(damping)
	for i := range n {
		for k := i; k <= n; k++ {
			f.damped.Set(i, k, f.r.At(i, k))
		}
		f.damped.Set(n+i, i, root*f.columnScale(i))
	}
	f.qr.Factorize(f.damped)
	f.rd.Reset()
	f.qr.RTo(&f.rd)
	for i := n - 1; i >= 0; i-- {
		sum := -f.rd.At(i, n)
		for k := i + 1; k < n; k++ {
			sum -= f.rd.At(i, k) * f.step[k]
		}
		f.step[i] = sum / f.rd.At(i, i)
	}
}

// columnScale is D: the largest norm of the column seen, 1 for a column that
// has always been zero.
func (f *fitter) columnScale(i int) float64 {
	if f.scale[i] == 0 {
		return 1
	}
	return f.scale[i]
}

// predicted is by how much the straight model says that the sum of squares
// falls: |R·s|² + 2λ·|D·s|².
func (f *fitter) predicted(damping float64) float64 {
	sum := 0.0
	for i := range f.n {
		row := 0.0
		for k := i; k < f.n; k++ {
			row += f.r.At(i, k) * f.step[k]
		}
		d := f.columnScale(i) * f.step[i]
		sum += row*row + 2*damping*d*d
	}
	return sum
}

// stepShare is the length of the step over the length of the parameters, both
// scaled by D.
func (f *fitter) stepShare() float64 {
	var s, p float64
	for i := range f.n {
		d := f.columnScale(i)
		s += d * d * f.step[i] * f.step[i]
		p += d * d * f.p[i] * f.p[i]
	}
	if s == 0 {
		return 0
	}
	return math.Sqrt(s / (p + s))
}

func (f *fitter) state(rss float64, it int) Solution {
	return Solution{P: append([]float64(nil), f.p...), RSS: rss, Iterations: it}
}

// finish takes the derivatives once more, at the solution, for its covariance.
func (f *fitter) finish(rss float64, it int) (Solution, error) {
	s := f.state(rss, it)
	f.derivatives()
	if !f.decompose() {
		return s, &NotFiniteError{What: "derivatives at the solution"}
	}
	n := f.n
	tri := mat.NewTriDense(n, mat.Upper, nil)
	norms := make([]float64, n)
	for i := range n {
		sum := 0.0
		for k := 0; k <= i; k++ {
			sum += f.r.At(k, i) * f.r.At(k, i)
		}
		if norms[i] = math.Sqrt(sum); norms[i] == 0 {
			return s, &SingularError{Parameter: i, Condition: math.Inf(1)}
		}
		for k := 0; k <= i; k++ {
			tri.SetTri(k, i, f.r.At(k, i)/norms[i])
		}
	}
	cov, worst, cond := inverseGram(tri)
	limit := conditionLimit
	if f.pr.Jacobian == nil {
		limit = conditionLimitDifferences
	}
	if cond > limit || math.IsNaN(cond) {
		return s, &SingularError{Parameter: worst, Condition: cond}
	}
	for a := range n {
		for b := range n {
			cov[a*n+b] /= norms[a] * norms[b]
		}
	}
	s.Cov = cov
	return s, nil
}

// inverseGram returns (RᵀR)⁻¹ of an upper triangle, the index of its greatest
// diagonal entry and a condition number (that of R in the Frobenius norm).
func inverseGram(r *mat.TriDense) (inv []float64, worst int, cond float64) {
	n, _ := r.Dims()
	ri := make([]float64, n*n) // R⁻¹, upper
	for c := range n {
		ri[c*n+c] = 1 / r.At(c, c)
		for i := c - 1; i >= 0; i-- {
			sum := 0.0
			for k := i + 1; k <= c; k++ {
				sum += r.At(i, k) * ri[k*n+c]
			}
			ri[i*n+c] = -sum / r.At(i, i)
		}
	}
	inv = make([]float64, n*n)
	size, sizeInv := 0.0, 0.0
	for a := range n {
		for b := a; b < n; b++ {
			sum := 0.0
			for k := b; k < n; k++ {
				sum += ri[a*n+k] * ri[b*n+k]
			}
			inv[a*n+b], inv[b*n+a] = sum, sum
			size += r.At(a, b) * r.At(a, b)
		}
		sizeInv += inv[a*n+a]
		if inv[a*n+a] > inv[worst*n+worst] || math.IsNaN(inv[a*n+a]) {
			worst = a
		}
	}
	return inv, worst, math.Sqrt(size * sizeInv)
}

func sumOfSquares(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += float64(x * x)
	}
	return sum
}

func isFinite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
