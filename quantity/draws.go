package quantity

import (
	"math"
	"math/rand/v2"
)

// pivotFloor is the share of a variance below which what remains of it after
// the earlier numbers are accounted for is rounding: such a number follows from
// the others. It is a few thousand units in the last place, since the remainder
// is a difference of terms as large as the variance.
const pivotFloor = 1e-12

// Sampler draws from a Joint again and again without allocating.
type Sampler struct {
	mean, root []float64
	z          []float64
	rng        *rand.Rand
}

// Sampler returns a source of normal draws with these means and covariance.
// A covariance without full rank is served as well.
func (j Joint) Sampler(src rand.Source) *Sampler {
	return &Sampler{mean: j.Mean, root: j.Root(), z: make([]float64, j.Len()), rng: rand.New(src)}
}

// Next writes one draw to dst, which must have room for all the numbers.
func (s *Sampler) Next(dst []float64) {
	n := len(s.mean)
	for i := range s.z {
		s.z[i] = s.rng.NormFloat64()
	}
	for i := range n {
		sum := s.mean[i]
		for k, r := range s.root[i*n : i*n+i+1] {
			sum += float64(r * s.z[k])
		}
		dst[i] = sum
	}
}

// Draws returns n draws, one slice each.
func (j Joint) Draws(n int, src rand.Source) [][]float64 {
	k := j.Len()
	all, flat := make([][]float64, n), make([]float64, n*k)
	s := j.Sampler(src)
	for i := range all {
		all[i] = flat[i*k : (i+1)*k : (i+1)*k]
		s.Next(all[i])
	}
	return all
}

// Root returns the lower triangular L with L·Lᵀ = Cov, row by row (Cholesky).
// Where a number follows from those before it, its column of L is zero, so that
// a covariance without full rank has a root too.
func (j Joint) Root() []float64 {
	n := j.Len()
	l := make([]float64, n*n)
	for c := range n {
		d := j.Cov[c*n+c]
		for k := range c {
			d -= float64(l[c*n+k] * l[c*n+k])
		}
		if !(d > pivotFloor*j.Cov[c*n+c]) {
			continue
		}
		p := math.Sqrt(d)
		l[c*n+c] = p
		for r := c + 1; r < n; r++ {
			v := j.Cov[r*n+c]
			for k := range c {
				v -= float64(l[r*n+k] * l[c*n+k])
			}
			l[r*n+c] = v / p
		}
	}
	return l
}
