package quantity

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// LinearFit finds the coefficients b with the least |design·b − y|², by a QR
// decomposition of the design with its columns scaled to length 1 and one round
// of refinement from the residuals, which gains two digits. Cov in the
// Solution is (XᵀX)⁻¹, as in Fit. Nothing is changed.
//
// It panics if the design has no columns, fewer rows than columns, or not one
// row for each value. It returns *NotFiniteError for a NaN or an infinity, and
// *SingularError with the least determined coefficient where the columns are
// not independent in 16 digits.
//
// Source: Björck, Numerical Methods for Least Squares Problems, SIAM (1996),
// sections 1.3 and 2.9.
func LinearFit(design *mat.Dense, y []float64) (Solution, error) {
	m, n := design.Dims()
	if n == 0 || m < n || len(y) != m {
		panic("quantity: a linear fit needs at least as many values as coefficients, and a row of the design for each")
	}
	norms := make([]float64, n)
	scaled := mat.NewDense(m, n, nil)
	for c := range n {
		sum := 0.0
		for r := range m {
			sum += design.At(r, c) * design.At(r, c)
		}
		if !isFinite(sum) {
			return Solution{}, &NotFiniteError{What: "values of the design"}
		}
		if norms[c] = math.Sqrt(sum); norms[c] == 0 {
			return Solution{}, &SingularError{Parameter: c, Condition: math.Inf(1)}
		}
		for r := range m {
			scaled.Set(r, c, design.At(r, c)/norms[c])
		}
	}
	if !isFinite(sumOfSquares(y)) {
		return Solution{}, &NotFiniteError{What: "values to fit"}
	}
	var qr mat.QR
	qr.Factorize(scaled)
	var full mat.Dense
	qr.RTo(&full)
	tri := mat.NewTriDense(n, mat.Upper, nil)
	for a := range n {
		for b := a; b < n; b++ {
			tri.SetTri(a, b, full.At(a, b))
		}
	}
	cov, worst, cond := inverseGram(tri)
	if !(cond <= linearConditionLimit) {
		return Solution{}, &SingularError{Parameter: worst, Condition: cond}
	}
	s := Solution{P: make([]float64, n), Cov: cov, Iterations: 1 + refinements}
	rest := mat.NewVecDense(m, append([]float64(nil), y...))
	var step mat.VecDense
	for range 1 + refinements {
		if err := qr.SolveVecTo(&step, false, rest); err != nil && step.Len() == 0 {
			return Solution{}, &SingularError{Parameter: worst, Condition: cond}
		}
		for c := range n {
			s.P[c] += step.AtVec(c) / norms[c]
		}
		for r := range m {
			rest.SetVec(r, residual(design.RawRowView(r), s.P, y[r]))
		}
	}
	s.RSS = sumOfSquares(rest.RawVector().Data)
	for a := range n {
		for b := range n {
			s.Cov[a*n+b] /= norms[a] * norms[b]
		}
	}
	return s, nil
}

// refinements is how often the answer is improved from its own residuals.
const refinements = 1

// linearConditionLimit is the condition number of the scaled design at which no
// digit of a coefficient is sure.
const linearConditionLimit = 1e15

// residual returns y − row·p, each product exact before it is added.
func residual(row, p []float64, y float64) float64 {
	for i, x := range row {
		y = math.FMA(-x, p[i], y)
	}
	return y
}
