package quantity

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Selection against sorting, with ties, sorted input and long slices, for which
// a sample is taken.
func TestSelectNth(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	for _, n := range []int{1, 2, 3, 601, 602, 5000, 20000} {
		for shape := range 4 {
			v := make([]float64, n)
			for i := range v {
				v[i] = [4]float64{rng.NormFloat64(), float64(rng.IntN(5)), float64(i), float64(-i)}[shape]
			}
			s := slices.Sorted(slices.Values(v))
			for _, k := range []int{0, n / 40, n / 2, n - 1 - n/40, n - 1} {
				c := slices.Clone(v)
				selectNth(c, k)
				if c[k] != s[k] || k > 0 && slices.Max(c[:k]) > c[k] || k+1 < n && slices.Min(c[k+1:]) < c[k] {
					t.Fatalf("n %d shape %d k %d: %g, sorted %g", n, shape, k, c[k], s[k])
				}
			}
		}
	}
}

func BenchmarkFromDraws(b *testing.B) {
	rng := rand.New(rand.NewPCG(2, 3))
	v := make([]Seconds, 100000)
	for i := range v {
		v[i] = Seconds(rng.NormFloat64())
	}
	for b.Loop() {
		FromDraws(v)
	}
}
