package motion

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"mesure/quantity"
)

// Jerk is the spectral density of the white jerk over time, in m²/s⁵: how much a
// movement may change its mind. A fencer rests and then explodes, so one number
// for a whole touch takes the top off the lunge or leaves the noise in the rest.
// The zero value is DefaultJerk at all times.
type Jerk struct {
	// at are instants in order, density is that from each to the next; before the
	// first and after the last what stands there.
	at      []quantity.Seconds
	density []float64
}

// Constant is one density at all times. It panics if it is not positive.
func Constant(density float64) Jerk {
	if !(density > 0) || math.IsInf(density, 0) {
		panic(fmt.Sprintf("motion: a density of jerk must be positive, not %v", density))
	}
	return Jerk{at: []quantity.Seconds{0}, density: []float64{density}}
}

// At returns the density at an instant, in m²/s⁵.
func (j Jerk) At(t quantity.Seconds) float64 {
	if len(j.at) == 0 {
		return DefaultJerk
	}
	i := sort.Search(len(j.at), func(i int) bool { return j.at[i] > t }) - 1
	return j.density[max(0, i)]
}

// over is the density between two instants: the mean over the time.
func (j Jerk) over(from, to quantity.Seconds) float64 {
	if len(j.at) < 2 || from == to {
		return j.At(from)
	}
	i := sort.Search(len(j.at), func(i int) bool { return j.at[i] > from })
	if i == len(j.at) || j.at[i] >= to {
		return j.density[max(0, i-1)]
	}
	sum := 0.0
	for now := from; now < to; i++ {
		next := to
		if i < len(j.at) {
			next = min(to, j.at[i])
		}
		sum += float64(next-now) * j.density[max(0, i-1)]
		now = next
	}
	return sum / float64(to-from)
}

// What JerkOf chooses among and expects.
const (
	// JerkLeast is the least density of jerk that JerkOf finds, in m²/s⁵: a body
	// that is carried along, some 2 m/s² of change in half a second.
	JerkLeast = 10.0
	// JerkRatio is the step from one of the densities that it tries to the next:
	// two a decade, because √10 in the density moves a peak by less than its noise.
	JerkRatio = 3.1622776601683795
	// JerkSteps is how many it tries: the greatest, 10⁵ m²/s⁵, is a flick of the hand.
	JerkSteps = 9
	// JerkLasts is how long a density is expected to last, in seconds: the rise of
	// a lunge to its speed (of 0.1, 0.3 and 1 s the one with the least bias of peaks,
	// TestPeakOfALunge).
	JerkLasts = 0.1
)

// jerkSamples is the fewest samples from which the jerk is estimated: three
// numbers of the state come first.
const jerkSamples = 8

// JerkOf returns the spectral density of the jerk that the samples speak for at
// each time. The filter is run once for each of a few densities, forward and
// backward in time; how likely a density makes a sample is the mean of the
// log-likelihoods of its two predictions. A chain that stays with a density for
// JerkLasts on average and then takes any other gives the chance of each at each
// sample, and the logarithms of the densities are averaged with these chances. A
// sample beyond the gate counts as one that lies on it, so that one wrong sample
// does not look like a quick movement, and what Walked made common to a stretch
// counts as each sample's own. Fewer than eight samples, or samples that Smooth
// refuses, give DefaultJerk.
//
// The densities are for Options.Jerk of the same samples, or some of them. It is an
// estimate from the data that it then serves (empirical Bayes), so the ± of Smooth
// does not hold what is not known of it; TestPeakOfALunge and TestIntervalsOfALunge
// say what that costs.
//
// Sources: Bar-Shalom, Li, Kirubarajan (2001), 11.6 for the likelihood of
// several models; Rabiner, Proc. IEEE 77:257 (1989), III.A for the chain.
func JerkOf(samples []Sample) Jerk {
	if len(samples) < jerkSamples || check(samples, Options{}) != nil {
		return Jerk{}
	}
	n := len(samples)
	samples = whole(samples)
	back := reversed(samples)
	like := make([]shares, n)
	for k := range JerkSteps {
		q := JerkLeast * math.Pow(JerkRatio, float64(k))
		ahead, behind := likelihoods(samples, q), likelihoods(back, q)
		for i := range like {
			like[i][k] = (ahead[i] + behind[n-1-i]) / 2
		}
	}
	chance := chances(samples, like)
	j := Jerk{at: make([]quantity.Seconds, n-1), density: make([]float64, n-1)}
	for i := range n - 1 {
		log := 0.0
		for k := range JerkSteps {
			log += (chance[i][k] + chance[i+1][k]) / 2 * float64(k)
		}
		j.at[i], j.density[i] = samples[i].At, JerkLeast*math.Pow(JerkRatio, log)
	}
	return j
}

// whole returns samples whose own errors hold what a stretch has in common as well
// (Walked): a walk away from a mark is no movement.
func whole(samples []Sample) []Sample {
	all := make([]Sample, len(samples))
	for i, s := range samples {
		all[i] = Sample{At: s.At, Where: quantity.Joint{Mean: s.Where.Mean, Cov: s.whole()}}
	}
	return all
}

// likelihoods returns the log-likelihood of each sample given those before it,
// under one density, its distance cut at the gate.
func likelihoods(samples []Sample, jerk float64) []float64 {
	m := model{dims: samples[0].Where.Len(), width: 1}
	limit := distuv.ChiSquared{K: float64(m.dims)}.Quantile(1 - DefaultGate)
	now := m.room(2)
	m.first(now[0], samples[0].Where.Mean, Options{})
	all, refused := make([]float64, len(samples)), false
	for i, s := range samples {
		if i > 0 {
			m.predict(now[0], now[0], float64(s.At-samples[i-1].At), jerk)
		}
		distance, l := m.update(now[1], now[0], s.Where.Mean, s.Where.Cov)
		all[i] = l + 0.5*max(0, distance-limit)
		if distance > limit && !refused {
			refused = true // the prediction stands
			continue
		}
		refused = false
		now[0], now[1] = now[1], now[0]
	}
	return all
}

// shares has one number for each density.
type shares [JerkSteps]float64

func (p *shares) scale() {
	sum := 0.0
	for _, v := range p {
		sum += v
	}
	for k := range p {
		p[k] /= sum
	}
}

// step carries chances over a time.
func (p shares) step(t float64) shares {
	leave := 1 - math.Exp(-t/JerkLasts)
	sum := 0.0
	for _, v := range p {
		sum += v
	}
	for k := range p {
		p[k] = p[k]*(1-leave) + sum*leave/JerkSteps
	}
	return p
}

// chances runs the chain forward and backward over log-likelihoods.
func chances(samples []Sample, like []shares) []shares {
	n := len(samples)
	for i := range like { // from logarithms to likelihoods, the greatest 1
		top := math.Inf(-1)
		for _, l := range like[i] {
			top = max(top, l)
		}
		for k, l := range like[i] {
			like[i][k] = math.Exp(max(l-top, -600))
		}
	}
	all := make([]shares, n)
	for i := range all {
		p := &all[i]
		if i == 0 {
			*p = like[0]
		} else {
			*p = all[i-1].step(float64(samples[i].At - samples[i-1].At))
			for k := range p {
				p[k] *= like[i][k]
			}
		}
		p.scale()
	}
	var later shares
	for k := range later {
		later[k] = 1
	}
	for i := n - 2; i >= 0; i-- {
		for k := range later {
			later[k] *= like[i+1][k]
		}
		later = later.step(float64(samples[i+1].At - samples[i].At))
		later.scale()
		for k := range later {
			all[i][k] *= later[k]
		}
		all[i].scale()
	}
	return all
}
