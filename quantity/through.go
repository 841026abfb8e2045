package quantity

import "math"

// Steps of the central differences in Through: a share of the standard
// deviation, small enough for the derivative at the mean and large enough to
// stand clear of rounding, but never below the cube root of the machine's
// precision times the number itself, where rounding and truncation balance.
const (
	stepOfSD     = 1e-4
	stepOfNumber = 6.0554544523933429e-6 // (2⁻⁵²)^(1/3)
)

// Through carries the numbers through a formula with several outputs, to first
// order: mean f(x), covariance J·C·Jᵀ with J the derivatives at the mean by
// central differences, stepping each number by 10⁻⁴ of its standard deviation
// or 6·10⁻⁶ of its size, whichever is the larger (JCGM 100:2008, 5.2; JCGM
// 102:2011, 6.2). f writes its outputs to dst, must not keep or change x, and is
// called twice for each number with spread and once at the mean.
//
// It is right where f is nearly straight over the spread of its inputs. For
// distances near zero use Distance; for anything strongly bent use Draws. A
// NaN that f returns is handed on: check IsValid.
func (j Joint) Through(f func(dst, x []float64), outputs int) Joint {
	n := j.Len()
	mean := make([]float64, outputs)
	x := append([]float64(nil), j.Mean...)
	f(mean, x)
	work := make([]float64, 2*outputs)
	up, down := work[:outputs], work[outputs:]
	jac := make([]float64, outputs*n)
	for i := range n {
		sd := j.SD(i)
		if sd == 0 {
			continue
		}
		h := max(stepOfSD*sd, stepOfNumber*math.Abs(j.Mean[i]))
		hi, lo := j.Mean[i]+h, j.Mean[i]-h
		x[i] = hi
		f(up, x)
		x[i] = lo
		f(down, x)
		x[i] = j.Mean[i]
		for o := range outputs {
			jac[o*n+i] = (up[o] - down[o]) / (hi - lo)
		}
	}
	return Joint{Mean: mean, Cov: sandwich(jac, j.Cov, outputs, n)}
}

// Linear returns offset + A·x, exactly. A is given row by row and has one row
// for each output; offset may be nil. It panics if the lengths do not fit.
func (j Joint) Linear(a []float64, offset []float64) Joint {
	n := j.Len()
	if n == 0 || len(a)%n != 0 || (offset != nil && len(offset) != len(a)/n) {
		panic("quantity: the matrix of a linear map needs one column for each number and one row for each output")
	}
	rows := len(a) / n
	mean := make([]float64, rows)
	for r := range rows {
		if offset != nil {
			mean[r] = offset[r]
		}
		for i := range n {
			mean[r] += float64(a[r*n+i] * j.Mean[i])
		}
	}
	return Joint{Mean: mean, Cov: sandwich(a, j.Cov, rows, n)}
}

// sandwich returns A·C·Aᵀ for an m×n matrix A and an n×n symmetric C.
func sandwich(a, c []float64, m, n int) []float64 {
	ac := make([]float64, m*n)
	for r := range m {
		row := ac[r*n : (r+1)*n]
		for k := range n {
			v := a[r*n+k]
			if v == 0 {
				continue
			}
			for i, x := range c[k*n : (k+1)*n] {
				row[i] += float64(v * x)
			}
		}
	}
	out := make([]float64, m*m)
	for r := range m {
		for s := r; s < m; s++ {
			sum := 0.0
			for i := range n {
				sum += float64(ac[r*n+i] * a[s*n+i])
			}
			if r == s && sum < 0 { // rounding of a variance that is zero
				sum = 0
			}
			out[r*m+s], out[s*m+r] = sum, sum
		}
	}
	return out
}
