package motion

import (
	"math"
	"math/rand/v2"

	"mesure/quantity"
)

// Peak is the greatest speed of a movement.
type Peak struct {
	At    quantity.Seconds
	Speed quantity.Of[quantity.MetresPerSecond]
}

// peakStep is into how many pieces the time between two samples is cut: the speed
// is a smooth curve between them.
const peakStep = 4

// Peak returns the greatest speed between the first and the last sample. Its ± is
// that of the speed at that instant; what smoothing takes off a peak, and noise
// adds to it, is PeakBias.
func (p *Path) Peak() Peak {
	at, _ := p.peaks(1)
	return Peak{at[0], p.At(at[0]).Speed()}
}

// peaks returns, for each of the first columns, the instant and the length of the
// greatest mean velocity.
func (p *Path) peaks(columns int) ([]quantity.Seconds, []float64) {
	at, best := make([]quantity.Seconds, columns), make([]float64, columns)
	for c := range at {
		at[c], best[c] = p.nodes[0].at, -1
	}
	n, w := p.model.len(), p.model.width
	look := func(t quantity.Seconds, s state) {
		for c := range columns {
			square := 0.0
			for i := 1; i < n; i += 3 {
				square += s.mean[i*w+c] * s.mean[i*w+c]
			}
			if square > best[c] {
				at[c], best[c] = t, square
			}
		}
	}
	mid := p.model.room(1)[0]
	for i := range p.nodes {
		look(p.nodes[i].at, p.nodes[i].smoothed)
		if i+1 == len(p.nodes) || p.nodes[i+1].at == p.nodes[i].at {
			continue
		}
		gap := p.nodes[i+1].at - p.nodes[i].at
		for k := 1; k < peakStep; k++ {
			t := p.nodes[i].at + gap*quantity.Seconds(float64(k)/peakStep)
			p.between(mid, i, t)
			look(t, mid)
		}
	}
	for c := range best {
		best[c] = math.Sqrt(best[c])
	}
	return at, best
}

// PeakBias is how much too great the peak comes out, in m/s: the smoothed movement
// is taken for the truth, samples are drawn about it with the errors that the real
// ones have, own and shared, and each set is smoothed again (a parametric bootstrap,
// Efron & Tibshirani 1993, chapter 10). Mean is the bias, SD the spread of a peak
// from draw to draw. n must be at least 2.
func (p *Path) PeakBias(n int, src rand.Source) (quantity.Of[quantity.MetresPerSecond], error) {
	if n < 2 {
		panic("motion: a bias needs at least two draws")
	}
	_, truth := p.peaks(1)
	// All draws have the same errors and so the same gains: one run serves them all,
	// a column for each.
	d, rng := p.model.dims, rand.New(src)
	places := make([]float64, len(p.taken)*d*n)
	draw := make([]float64, d)
	common := make([]float64, (p.model.width-1)*n) // of each shared error, a number a draw
	for i := range common {
		common[i] = rng.NormFloat64()
	}
	walks := p.model.width - 1 - p.shared
	for i, s := range p.taken {
		about := quantity.Joint{Mean: p.At(s.At).Place().Mean, Cov: s.Where.Cov}
		sampler := about.Sampler(rng)
		for k := range n {
			sampler.Next(draw)
			for a := range d {
				sum := draw[a]
				for c, l := range s.Shared[a*p.shared : (a+1)*p.shared] {
					sum += l * common[c*n+k]
				}
				for c, l := range s.walks[a*walks : (a+1)*walks] {
					if l != 0 {
						sum += l * common[(p.shared+c)*n+k]
					}
				}
				places[(i*d+a)*n+k] = sum
			}
		}
	}
	again := run(model{dims: d, width: n}, p.taken, places, Options{Jerk: p.jerk, Gate: -1})
	_, peaks := again.peaks(n)
	off := make([]quantity.MetresPerSecond, n)
	for i, v := range peaks {
		off[i] = quantity.MetresPerSecond(v - truth[0])
	}
	return quantity.FromDraws(off), nil
}
