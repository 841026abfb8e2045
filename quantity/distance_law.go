package quantity

import "math"

// seriesRatio is the mean of Q in its standard deviations beyond which the
// series of E√Q is used instead of the integral: what it omits is then below
// 10⁻⁷ of the mean for the most lopsided shape, a spread across the vector
// only.
const seriesRatio = 30

// moments returns the mean and the standard deviation of √Q.
func (q *square) moments() (mean, sd float64) {
	if q.k1*q.k1 > seriesRatio*seriesRatio*q.k2 {
		d := q.shrink()
		return math.Sqrt(q.k1) * (1 - d), math.Sqrt(max(0, q.k1*(2*d-d*d)))
	}
	mean = q.root()
	return mean, math.Sqrt(max(0, q.k1-mean*mean))
}

// shrink returns δ with E√Q = √κ1·(1−δ), by the binomial series of √(1+x) in
// the central moments of x = Q/κ1 − 1, up to the sixth.
func (q *square) shrink() float64 {
	e1, e2, e3 := q.trace, q.e2, q.e3
	// Power sums of the eigenvalues and mᵀCᵏm, by Newton and Cayley–Hamilton.
	p2 := e1*e1 - 2*e2
	p3 := e1*p2 - e2*e1 + 3*e3
	p4 := e1*p3 - e2*p2 + e3*e1
	c1 := q.along
	// adj(C) = C² − e1·C + e2·I, hence mᵀC²m.
	c2 := q.n2 + e1*c1 - e2*q.length2
	c3 := e1*c2 - e2*c1 + e3*q.length2
	u := 1 / q.k1
	k2 := q.k2 * u * u
	k3 := (8*p3 + 24*c2) * u * u * u
	k4 := (48*p4 + 192*c3) * u * u * u * u
	m4 := k4 + 3*k2*k2
	m5 := 10 * k2 * k3
	m6 := 15*k4*k2 + 10*k3*k3 + 15*k2*k2*k2
	return k2/8 - k3/16 + 5*m4/128 - 7*m5/256 + 21*m6/1024
}

// Steps of the double-exponential rule for root: s = exp(π/2·sinh y)/κ1, |y|
// up to rootNodes steps. Half the step or twice the reach changes the integral
// by less than 10⁻⁹ of itself.
const (
	rootStep  = 0.21
	rootNodes = 19
)

// rootRule is the rule as a table: nodes and weights for κ1 = 1.
var rootRule = makeRootRule()

func makeRootRule() (rule [2*rootNodes + 1]struct{ s, w float64 }) {
	for i := range rule {
		y := float64(i-rootNodes) * rootStep
		s := math.Exp(math.Pi / 2 * math.Sinh(y))
		rule[i].s = s
		rule[i].w = rootStep * math.Pi / 2 * math.Cosh(y) / math.Sqrt(s)
	}
	return rule
}

// root returns E√Q = 1/(2√π) ∫₀^∞ (1 − E e^{−sQ}) s^{−3/2} ds.
func (q *square) root() float64 {
	sum := 0.0
	for i := range rootRule {
		node := &rootRule[i]
		sum += node.w * -math.Expm1(-q.exponent(node.s/q.k1))
	}
	return sum * math.Sqrt(q.k1) / (2 * math.SqrtPi)
}

// exponent returns −ln E e^{−sQ} for s ≥ 0.
func (q *square) exponent(s float64) float64 {
	z := 2 * s
	less1 := z * (q.trace + z*(q.e2+z*q.e3))
	return math.Log1p(less1)/2 + s*(q.length2+z*(q.n1+z*q.n2))/(1+less1)
}

// quantile returns the value of Q at a standard normal score z ≠ 0, by solving
// r*(t) = z for the saddlepoint t, which has the sign of z where z is not small.
func (q *square) quantile(z float64) float64 {
	// x is the logarithm of t, or of t's share of its pole on the right side.
	at := func(x float64) float64 {
		if z < 0 {
			return -math.Exp(x)
		}
		return 1 / (2 * q.top) / (1 + math.Exp(-x))
	}
	t := z / math.Sqrt(q.k2)
	x := math.Log(math.Abs(t))
	if z > 0 {
		x = math.Log(2 * q.top * t)
	}
	f := func(x float64) float64 { return q.score(at(x)) - z }
	x = solveMonotone(f, x, z > 0)
	_, d1, _ := q.cumulant(at(x))
	return max(0, d1)
}

// scoreTolerance is how near r* must come to the score wanted: 10⁻⁷ of an SD.
const scoreTolerance = 1e-7

// solveMonotone finds a zero of f by the secant method kept inside a bracket
// that grows from x. f rises with x if rising, and falls otherwise. After 60
// steps the best point is returned: f then has no zero within reach, as at a
// distance whose lower tail ends at zero.
func solveMonotone(f func(float64) float64, x float64, rising bool) float64 {
	lo, hi := math.Inf(-1), math.Inf(1) // f < 0 on the lo side if rising
	fx := f(x)
	px, pf := x, fx
	step := 0.5
	for range 60 {
		if math.Abs(fx) < scoreTolerance || hi-lo < 1e-12 {
			return x
		}
		if (fx < 0) == rising {
			lo = x
		} else {
			hi = x
		}
		next := x
		if px != x && fx != pf {
			next = x - fx*(x-px)/(fx-pf)
		}
		switch {
		case next > lo && next < hi && math.Abs(next-x) <= 4:
		case math.IsInf(hi, 1):
			next, step = x+step, 2*step
		case math.IsInf(lo, -1):
			next, step = x-step, 2*step
		default:
			next = (lo + hi) / 2
		}
		px, pf = x, fx
		x = next
		fx = f(x)
	}
	return x
}

// score returns r* of the saddlepoint t ≠ 0: the standard normal score of the
// value Q = K'(t).
func (q *square) score(t float64) float64 {
	k, d1, d2 := q.cumulant(t)
	w := math.Sqrt(2 * max(0, t*d1-k))
	u := math.Abs(t) * math.Sqrt(d2)
	if w == 0 || u == 0 {
		return 0
	}
	r := math.Log(u/w) / w
	if t < 0 {
		return -w - r
	}
	return w + r
}

// cumulant returns K(t) = ln E e^{tQ} and its first two derivatives, for
// t < 1/(2·top).
func (q *square) cumulant(t float64) (k, d1, d2 float64) {
	s := 2 * t
	// g = det(I − sC), b = mᵀ adj(I − sC) m, and their derivatives by s.
	less := -q.trace + s*(q.e2-s*q.e3)
	g := 1 + s*less
	g1 := -q.trace + s*(2*q.e2-3*s*q.e3)
	g2 := 2*q.e2 - 6*s*q.e3
	b := q.length2 - s*(q.n1-s*q.n2)
	b1 := -q.n1 + 2*s*q.n2
	b2 := 2 * q.n2
	h := b / g
	h1 := (b1 - h*g1) / g
	h2 := (b2 - 2*h1*g1 - h*g2) / g
	lg1 := g1 / g
	lg2 := g2/g - lg1*lg1
	k = -math.Log1p(s*less)/2 + t*h
	// d/dt = 2 d/ds, and t·h = s·h/2.
	d1 = -lg1 + h + s*h1
	d2 = -2*lg2 + 4*h1 + 2*s*h2
	return k, d1, d2
}
