package motion

import (
	"math/rand/v2"

	"mesure/quantity"
)

// Peak is the greatest speed of a movement.
type Peak struct {
	At    quantity.Seconds
	Speed quantity.Of[quantity.MetresPerSecond]
}

// peakStep is how many instants between two samples are looked at: the speed is a
// smooth curve between them.
const peakStep = 4

// Peak returns the greatest speed between the first and the last sample. Its ± is
// that of the speed at that instant; what smoothing takes off a peak, and noise
// adds to it, is PeakBias.
func (p *Path) Peak() Peak {
	var best Peak
	look := func(t quantity.Seconds) {
		if s := p.At(t).Speed(); s.Mean > best.Speed.Mean {
			best = Peak{t, s}
		}
	}
	for i := range p.nodes {
		look(p.nodes[i].at)
		if i+1 < len(p.nodes) {
			gap := p.nodes[i+1].at - p.nodes[i].at
			for k := 1; k < peakStep; k++ {
				look(p.nodes[i].at + gap*quantity.Seconds(float64(k)/peakStep))
			}
		}
	}
	return best
}

// PeakBias is how much too great the peak comes out, in m/s: the smoothed movement
// is taken for the truth, samples are drawn about it with the errors that the real
// ones have, and each set is smoothed again (a parametric bootstrap, Efron &
// Tibshirani 1993, chapter 10). Mean is the bias, SD the spread of a peak from draw
// to draw. n must be at least 2.
func (p *Path) PeakBias(n int, src rand.Source) (quantity.Of[quantity.MetresPerSecond], error) {
	if n < 2 {
		panic("motion: a bias needs at least two draws")
	}
	rng := rand.New(src)
	truth := p.Peak().Speed.Mean
	off := make([]quantity.MetresPerSecond, n)
	for i := range off {
		samples := make([]Sample, 0, len(p.nodes))
		for _, s := range p.taken {
			place := p.At(s.At).Place()
			mean := quantity.NewJoint(place.Mean, s.Where.Cov).Draws(1, rng)[0]
			samples = append(samples, Sample{s.At, quantity.NewJoint(mean, s.Where.Cov)})
		}
		again, err := Smooth(samples, Options{Jerk: p.jerk, Gate: -1})
		if err != nil {
			return quantity.Of[quantity.MetresPerSecond]{}, err
		}
		off[i] = again.Peak().Speed.Mean - truth
	}
	return quantity.FromDraws(off), nil
}
