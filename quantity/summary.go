package quantity

import (
	"math"
	"slices"
)

// FromDraws summarises simulated values: their mean, their standard deviation
// (n − 1) and the central 95 % between the 2.5 % and the 97.5 % quantile
// (JCGM 101:2008, 7.6 and 7.7.3). Quantiles interpolate between neighbours of
// the sorted draws. The draws are not changed. It panics if there are none; a
// NaN among them makes all four numbers NaN, which IsValid tells.
func FromDraws[U Unit](draws []U) Of[U] {
	if len(draws) == 0 {
		panic("quantity: no draws to summarise")
	}
	d := make([]float64, len(draws))
	for i, v := range draws {
		d[i] = float64(v)
	}
	m, sd := meanSD(d)
	if math.IsNaN(m) {
		nan := U(math.NaN())
		return Of[U]{Mean: nan, SD: nan, Lo: nan, Hi: nan}
	}
	lo := selectQuantile(d, (1-Coverage)/2)
	hi := selectQuantile(d, (1+Coverage)/2)
	return Of[U]{Mean: U(m), SD: U(sd), Lo: U(lo), Hi: U(hi)}
}

// Shortest returns the shortest interval that holds a share p of the draws
// (JCGM 101:2008, 7.7.4): the one to state where the law leans to one side. Its
// ends wander more from seed to seed than those of the central interval. The
// draws are not changed. It panics if there are none or p is not in (0, 1].
func Shortest[U Unit](draws []U, p float64) (lo, hi U) {
	if len(draws) == 0 || !(p > 0 && p <= 1) {
		panic("quantity: a shortest interval needs draws and a share between 0 and 1")
	}
	d := slices.Clone(draws)
	slices.Sort(d)
	k := min(max(1, int(math.Round(p*float64(len(d))))), len(d)-1)
	best := 0
	for i := 0; i+k < len(d); i++ {
		if d[i+k]-d[i] < d[best+k]-d[best] {
			best = i
		}
	}
	return d[best], d[best+k]
}

// FromCounts estimates a chance from how often it came true in n independent
// draws: Mean is the share, SD its binomial standard error, the interval
// Wilson's score interval. Where all or none came true the share alone would
// claim to be certain; the SD is then that of half a count. It panics if n < 1
// or the count does not lie between 0 and n.
//
// Source: Newcombe, Statistics in Medicine 17:857 (1998), method 3.
func FromCounts(hits, n int) Of[Chance] {
	if n < 1 || hits < 0 || hits > n {
		panic("quantity: a chance needs at least one draw, and a count among them")
	}
	size := float64(n)
	p := float64(hits) / size
	spread := max(0.5/size, min(1-0.5/size, p))
	z2 := normal975 * normal975
	mid := (p + z2/(2*size)) / (1 + z2/size)
	half := normal975 / (1 + z2/size) * math.Sqrt(p*(1-p)/size+z2/(4*size*size))
	return Of[Chance]{
		Mean: Chance(p), SD: Chance(math.Sqrt(spread * (1 - spread) / size)),
		Lo: Chance(max(0, min(p, mid-half))), Hi: Chance(min(1, max(p, mid+half))),
	}
}

// Description is what Describe says of a series.
type Description struct {
	N    int
	Mean float64
	// SD is the standard deviation with n − 1, 0 for a single value.
	SD float64
	// Lag1 is the correlation of each value with the next, 0 where there is no
	// spread: far from 0 the values are not independent, and the standard error
	// SD/√N is not theirs.
	Lag1 float64
}

// Describe returns mean, standard deviation and lag-1 autocorrelation of a
// series, in its own unit, by two passes, so that a small spread about a large
// mean is not lost. It panics if there are no values; NaN is handed on.
//
// Source: NIST/SEMATECH e-Handbook, 1.3.5.12 for the autocorrelation.
func Describe(values []float64) Description {
	if len(values) == 0 {
		panic("quantity: no values to describe")
	}
	m, sd := meanSD(values)
	var with, own float64
	for i, v := range values {
		own += (v - m) * (v - m)
		if i > 0 {
			with += (values[i-1] - m) * (v - m)
		}
	}
	d := Description{N: len(values), Mean: m, SD: sd}
	if own > 0 {
		d.Lag1 = with / own
	}
	return d
}

// meanSD returns the mean and the standard deviation by two passes, with the
// correction for the rounding of the mean that the second pass works from.
func meanSD(v []float64) (mean, sd float64) {
	n := float64(len(v))
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	about := sum / n
	var rest, squares float64
	for _, x := range v {
		d := x - about
		rest += d
		squares += float64(d * d)
	}
	mean = about + rest/n
	if len(v) > 1 {
		sd = math.Sqrt(max(0, squares-float64(rest*rest)/n) / (n - 1))
	}
	if math.IsInf(mean, 0) || math.IsNaN(squares) {
		return math.NaN(), math.NaN()
	}
	return mean, sd
}

// selectQuantile returns the p quantile of v, which it reorders: the value at
// place p·(n−1) of the sorted values, between neighbours by straight line.
func selectQuantile(v []float64, p float64) float64 {
	at := float64(p * float64(len(v)-1))
	k := int(at)
	if k+1 == len(v) {
		selectNth(v, k)
		return v[k]
	}
	var lo, hi float64
	if k < len(v)/2 { // the neighbour is looked for on the short side
		selectNth(v, k+1)
		lo, hi = slices.Max(v[:k+1]), v[k+1]
	} else {
		selectNth(v, k)
		lo, hi = v[k], slices.Min(v[k+1:])
	}
	return lo + float64((at-float64(k))*(hi-lo))
}

// selectNth puts the k-th smallest value at place k, nothing greater before it
// and nothing smaller after it, in little more than one pass: the pivot comes
// from a sample that very likely lies just beyond k (Floyd and Rivest, Comm. ACM
// 18:165 and 173, 1975).
func selectNth(v []float64, k int) { selectBetween(v, 0, len(v)-1, k) }

// sampleFrom is the length above which a sample pays.
const sampleFrom = 600

func selectBetween(v []float64, lo, hi, k int) {
	for lo < hi {
		if hi-lo > sampleFrom {
			n := float64(hi - lo + 1)
			i := float64(k - lo + 1)
			z := math.Log(n)
			s := 0.5 * math.Exp(2*z/3)
			sd := 0.5 * math.Sqrt(z*s*(n-s)/n)
			if i < n/2 {
				sd = -sd
			}
			from := max(lo, int(float64(k)-i*s/n+sd))
			to := min(hi, int(float64(k)+(n-i)*s/n+sd))
			selectBetween(v, from, to, k)
		}
		pivot := v[k]
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return
		}
	}
}
