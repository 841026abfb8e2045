package quantity

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Problem is a least-squares problem: find the parameters that make the sum of
// the squared residuals smallest. Scale each residual by its own standard
// deviation, so that all have unit variance; priors are further residuals.
type Problem struct {
	// Residuals writes all residuals at the parameters p to dst. It must not
	// keep or change p.
	Residuals func(dst, p []float64)
	// Count is the number of residuals, at least the number of parameters.
	Count int
	// Jacobian writes the derivatives of the residuals, one row for each residual
	// and one column for each parameter. Nil: central differences, stepping each
	// parameter by 6·10⁻⁶ of its size, of its size at the start or of Typical,
	// whichever is the largest (of 1 where all are zero).
	Jacobian func(dst *mat.Dense, p []float64)
	// Typical is the size of change that matters in each parameter; nil: none
	// stated. It matters for central differences of a parameter near zero.
	Typical []float64
}

// Settings say when Fit stops. Zero means the default.
type Settings struct {
	// MaxIterations is how many times the derivatives are taken. Default 200.
	MaxIterations int
	// StepTolerance: stop when the step is smaller than this share of the
	// parameters, both scaled by the derivatives. Default 10⁻¹⁰.
	StepTolerance float64
	// ReductionTolerance: stop when the sum of squares falls, and is predicted to
	// fall, by no more than this share. Default 10⁻¹⁴.
	ReductionTolerance float64
}

// Defaults of Settings: ten digits of the parameters where the problem has them.
const (
	defaultIterations = 200
	defaultStep       = 1e-10
	defaultReduction  = 1e-14
)

// Damping of the Levenberg–Marquardt step: where it starts, as a share of the
// scaled normal matrix whose diagonal is 1, and the range in which it moves.
const (
	dampingStart = 1e-3
	dampingFloor = 1e-20
	dampingCeil  = 1e20
)

// conditionLimit is the condition number of the derivatives, columns scaled to
// length 1, beyond which fewer than four of the sixteen digits of a parameter
// would be left: it is then said not to follow from the data.
const conditionLimit = 1e12

// conditionLimitDifferences is the same limit for derivatives by central
// differences, of which only ten or eleven digits are right.
const conditionLimitDifferences = 1e9

// Solution is where Fit arrived.
type Solution struct {
	// P are the parameters.
	P []float64
	// Cov is (JᵀJ)⁻¹ row by row: the covariance of P if the residuals have unit
	// variance. Multiply by RSS/(residuals − parameters) where their common
	// variance is not known. Nil if the fit was singular.
	Cov []float64
	// RSS is the sum of the squared residuals.
	RSS float64
	// Iterations is how many times the derivatives were taken.
	Iterations int
}

// Joint returns the parameters with their covariance, times scale: 1 for
// residuals of unit variance. It panics if the fit was singular.
func (s Solution) Joint(scale float64) Joint {
	if s.Cov == nil {
		panic("quantity: a singular fit has no covariance")
	}
	cov := make([]float64, len(s.Cov))
	for i, v := range s.Cov {
		cov[i] = v * scale
	}
	return NewJoint(s.P, cov)
}

// Fit finds the parameters with the least sum of squares by the
// Levenberg–Marquardt method: steps from a QR decomposition of the damped
// derivatives (never from JᵀJ), Marquardt's scaling by the largest column norms
// seen, and Nielsen's rule for the damping.
//
// Units are the caller's; start is not changed. It panics if there are fewer
// residuals than parameters. On failure it returns the state it reached together
// with *NotConvergedError, *SingularError or *NotFiniteError.
//
// Sources: Marquardt, J. SIAM 11:431 (1963); Moré, Lecture Notes in Mathematics
// 630:105 (1978); Nielsen, IMM-REP-1999-05, DTU (1999).
func Fit(pr Problem, start []float64, set Settings) (Solution, error) {
	n := len(start)
	if n == 0 || pr.Count < n {
		panic("quantity: a fit needs a parameter and at least as many residuals as parameters")
	}
	f := newFitter(pr, start, set)
	return f.run()
}

func (s Settings) filled() Settings {
	if s.MaxIterations == 0 {
		s.MaxIterations = defaultIterations
	}
	if s.StepTolerance == 0 {
		s.StepTolerance = defaultStep
	}
	if s.ReductionTolerance == 0 {
		s.ReductionTolerance = defaultReduction
	}
	return s
}

// fitter holds the state and the work space of one fit.
type fitter struct {
	pr   Problem
	set  Settings
	m, n int

	p, trial   []float64
	res, again []float64
	size       []float64 // of each parameter, for differences
	scale      []float64 // largest column norms of J seen
	jac        *mat.Dense
	full       *mat.Dense // [J | r], with a row of zeros if J is square
	damped     *mat.Dense // [R | c] over [√λ·D | 0]
	r, rd      mat.Dense
	qr         mat.QR
	step       []float64
	up, down   []float64
}

func newFitter(pr Problem, start []float64, set Settings) *fitter {
	n, m := len(start), pr.Count
	f := &fitter{
		pr: pr, set: set.filled(), m: m, n: n,
		p: append([]float64(nil), start...), trial: make([]float64, n),
		res: make([]float64, m), again: make([]float64, m),
		size: make([]float64, n), scale: make([]float64, n), step: make([]float64, n),
		jac:    mat.NewDense(m, n, nil),
		full:   mat.NewDense(max(m, n+1), n+1, nil),
		damped: mat.NewDense(2*n+1, n+1, nil),
		up:     make([]float64, m), down: make([]float64, m),
	}
	for i, v := range start {
		f.size[i] = math.Abs(v)
		if pr.Typical != nil {
			f.size[i] = max(f.size[i], math.Abs(pr.Typical[i]))
		}
	}
	return f
}

// derivatives fills jac at p.
func (f *fitter) derivatives() {
	if f.pr.Jacobian != nil {
		f.pr.Jacobian(f.jac, f.p)
		return
	}
	raw := f.jac.RawMatrix()
	for i := range f.n {
		v := f.p[i]
		size := max(f.size[i], math.Abs(v))
		if size == 0 {
			size = 1
		}
		hi, lo := v+stepOfNumber*size, v-stepOfNumber*size
		f.p[i] = hi
		f.pr.Residuals(f.up, f.p)
		f.p[i] = lo
		f.pr.Residuals(f.down, f.p)
		f.p[i] = v
		for k := range f.m {
			raw.Data[k*raw.Stride+i] = (f.up[k] - f.down[k]) / (hi - lo)
		}
	}
}
