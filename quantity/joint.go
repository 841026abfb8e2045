package quantity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Joint is several numbers that vary together: their means and their
// covariance. It is mixed in its units (a focal length in pixels may stand
// beside a place in metres); whoever builds one says which number has which
// unit, and Part hands a number out with its unit.
//
// The two slices belong to the Joint: no function of this package changes them,
// and a caller should not either. The zero value holds no numbers.
type Joint struct {
	// Mean has one entry for each number.
	Mean []float64
	// Cov is the covariance matrix row by row, len(Mean)² entries, symmetric and
	// with no negative eigenvalue.
	Cov []float64
}

// NewJoint returns the numbers with this covariance, given row by row. Both
// slices are copied and the covariance is made symmetric. It panics if the
// lengths do not fit or a variance is negative or NaN.
func NewJoint(mean, cov []float64) Joint {
	n := len(mean)
	if len(cov) != n*n {
		panic(fmt.Sprintf("quantity: %d numbers need a covariance of %d entries, not %d", n, n*n, len(cov)))
	}
	j := Joint{Mean: append([]float64(nil), mean...), Cov: make([]float64, n*n)}
	for a := range n {
		if !(cov[a*n+a] >= 0) {
			panic("quantity: a variance must not be negative")
		}
		for b := range n {
			j.Cov[a*n+b] = (cov[a*n+b] + cov[b*n+a]) / 2
		}
	}
	return j
}

// Independent returns numbers without correlation, from their means and
// standard deviations. It panics if the lengths differ or an SD is negative.
func Independent(mean, sd []float64) Joint {
	n := len(mean)
	if len(sd) != n {
		panic("quantity: as many standard deviations as means are needed")
	}
	j := Joint{Mean: append([]float64(nil), mean...), Cov: make([]float64, n*n)}
	for i, s := range sd {
		if !(s >= 0) {
			panic("quantity: a standard deviation must not be negative")
		}
		j.Cov[i*n+i] = s * s
	}
	return j
}

// Stack returns the numbers of all parts in order, with no correlation between
// the parts.
func Stack(parts ...Joint) Joint {
	n := 0
	for _, p := range parts {
		n += p.Len()
	}
	j := Joint{Mean: make([]float64, 0, n), Cov: make([]float64, n*n)}
	at := 0
	for _, p := range parts {
		k := p.Len()
		j.Mean = append(j.Mean, p.Mean...)
		for a := range k {
			copy(j.Cov[(at+a)*n+at:(at+a)*n+at+k], p.Cov[a*k:(a+1)*k])
		}
		at += k
	}
	return j
}

// Len returns how many numbers there are.
func (j Joint) Len() int { return len(j.Mean) }

// Covariance returns the covariance of two of the numbers.
func (j Joint) Covariance(a, b int) float64 { return j.Cov[a*len(j.Mean)+b] }

// SD returns the standard deviation of one number.
func (j Joint) SD(i int) float64 { return math.Sqrt(j.Cov[i*len(j.Mean)+i]) }

// Correlation returns the correlation of two of the numbers, between −1 and 1,
// and 0 where one of them has no spread.
func (j Joint) Correlation(a, b int) float64 {
	s := j.SD(a) * j.SD(b)
	if s == 0 {
		return 0
	}
	return max(-1, min(1, j.Covariance(a, b)/s))
}

// Part returns one of the numbers by itself, with its unit.
func Part[U Unit](j Joint, i int) Of[U] { return Normal(U(j.Mean[i]), U(j.SD(i))) }

// Pick returns some of the numbers, in the order asked for, with their
// covariance. An index may be repeated.
func (j Joint) Pick(indices ...int) Joint {
	n, k := j.Len(), len(indices)
	p := Joint{Mean: make([]float64, k), Cov: make([]float64, k*k)}
	for a, ia := range indices {
		p.Mean[a] = j.Mean[ia]
		for b, ib := range indices {
			p.Cov[a*k+b] = j.Cov[ia*n+ib]
		}
	}
	return p
}

// SymDense returns the covariance as a matrix of its own.
func (j Joint) SymDense() *mat.SymDense {
	return mat.NewSymDense(j.Len(), append([]float64(nil), j.Cov...))
}

// IsValid reports whether all means and covariances are finite and no variance
// is negative.
func (j Joint) IsValid() bool {
	n := j.Len()
	if len(j.Cov) != n*n {
		return false
	}
	for i, v := range j.Mean {
		if math.IsNaN(v) || math.IsInf(v, 0) || !(j.Cov[i*n+i] >= 0) {
			return false
		}
	}
	for _, v := range j.Cov {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
