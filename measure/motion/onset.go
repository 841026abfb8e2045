package motion

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"mesure/quantity"
)

// Defaults of OnsetOptions.
const (
	// StillSpeed is the speed in m/s up to which a point counts as resting: what a
	// fencer on guard does with hand and foot while nothing has begun (common
	// practice, no source).
	StillSpeed = 0.3
	// LeastSure is how likely a movement must be to be named at all.
	LeastSure = 0.5
	// RestBefore is how much of the rest before a movement is looked at, in seconds:
	// long enough to tell where and how fast the point was carried along, short
	// enough for that to be a straight line.
	RestBefore = 0.3
	// OnsetOdds are the odds that a movement begins within one stretch of RestBefore
	// and the rise after it, before anything was seen: once in some ten seconds.
	OnsetOdds = 0.05
)

// OnsetOptions are the settings of Onsets. The zero value takes the defaults.
type OnsetOptions struct {
	// Toward is the direction in which the movement must go, one number a
	// coordinate, of any length; nil takes any.
	Toward []float64
	// Still is the speed up to which the point counts as resting.
	Still quantity.MetresPerSecond
	// Least is how likely a movement must be to be named; below 0 all are.
	Least quantity.Chance
}

func (o OnsetOptions) filled() OnsetOptions {
	if o.Still == 0 {
		o.Still = StillSpeed
	}
	if o.Least == 0 {
		o.Least = LeastSure
	}
	return o
}

// Onset is the instant at which a point begins to move.
type Onset struct {
	At quantity.Of[quantity.Seconds]
	// After and By are the samples that bracket it, by their place in the samples
	// handed in: the uniform law between their instants has at least the spread of
	// At. They lie at the ends where the samples do not reach far enough.
	After, By int
	// Sure is how likely it is that something began here at all.
	Sure quantity.Chance
	// Peak is the greatest speed that the movement came to.
	Peak Peak
}

// Onsets returns the instants at which a point begins to move, in the order of
// time.
//
// A movement is a run of smoothed speed (in the direction asked for) above what
// rest explains. Its onset is the start of the minimum-jerk curve
// x₀ + u·t + A·m((t − t₀)/T) that the samples speak for, from RestBefore ahead of
// the run to its first peak: each instant t₀ and each of a number of durations T
// are weighed by their marginal likelihood, with place, slow drift and size
// integrated out, a sway at rest allowed for, and the errors of the samples as they
// are, with what they share. Mean, SD and 95 % of At are those of the resulting law.
// Sure is the chance of a movement against none by the same likelihoods, with prior
// odds OnsetOdds, times the chance that its peak is above Still.
//
// The onset is so that of the model by which package timing lets a movement run; a
// slow start that no such curve has is dated too late. For a movement of one point
// against another (a hand against its shoulder) hand in Relative samples.
//
// Errors are those of Smooth. It panics if Toward has not one number a coordinate or
// no direction.
//
// Source: Flash and Hogan (1985) for the curve; change points by marginal
// likelihood after Smith, Biometrika 62:407 (1975).
func Onsets(samples []Sample, o OnsetOptions) ([]Onset, error) {
	o = o.filled()
	if len(samples) == 0 {
		return nil, ErrNoSamples
	}
	if err := check(samples, Options{}); err != nil {
		return nil, err
	}
	if o.Toward != nil {
		samples = along(samples, o.Toward)
	}
	p, err := Smooth(samples, Options{Jerk: JerkOf(samples)})
	if err != nil {
		return nil, err
	}
	var all []Onset
	end := math.Inf(-1) // of the movement before
	shapes := starts()
	for _, r := range p.runs(float64(o.Still), o.Toward != nil) {
		before := end
		end = float64(p.nodes[r.last].at)
		top := p.At(p.nodes[r.top].at)
		peak := top.Speed()
		if r.first == 0 {
			continue // it was moving when the samples began
		}
		from := max(before, float64(p.nodes[r.first].at)-RestBefore, float64(p.nodes[0].at))
		window, _ := p.window(from, float64(p.nodes[r.rise].at))
		c, ok := change{}, false
		if len(window) > 0 {
			c, ok = depart(window, from, float64(p.nodes[r.rise].at), shapes, float64(o.Still))
		}
		if !ok {
			continue
		}
		sure := logistic(c.odds + math.Log(OnsetOdds))
		if peak.SD > 0 {
			sure *= distuv.UnitNormal.CDF(float64((peak.Mean - o.Still) / peak.SD))
		}
		if quantity.Chance(sure) < o.Least {
			continue
		}
		at := c.instant()
		after, by := bracket(samples, at)
		all = append(all, Onset{At: at, After: after, By: by, Sure: quantity.Chance(sure), Peak: Peak{p.nodes[r.top].at, peak}})
	}
	return all, nil
}

// Relative returns how the point of a moves against that of b: the differences at
// the instants that both have, with both errors. What both share (Shared, where both
// have equally many columns) falls out as far as it moves both alike.
func Relative(a, b []Sample) []Sample {
	var all []Sample
	for i, k := 0, 0; i < len(a) && k < len(b); {
		switch {
		case a[i].At < b[k].At:
			i++
		case a[i].At > b[k].At:
			k++
		default:
			all = append(all, less(a[i], b[k]))
			i++
			k++
		}
	}
	return all
}

func less(a, b Sample) Sample {
	d := a.Where.Len()
	if b.Where.Len() != d {
		panic(fmt.Sprintf("motion: one point has %d coordinates, the other %d", d, b.Where.Len()))
	}
	mean, cov := make([]float64, d), make([]float64, d*d)
	for i := range mean {
		mean[i] = a.Where.Mean[i] - b.Where.Mean[i]
	}
	for i := range cov {
		cov[i] = a.Where.Cov[i] + b.Where.Cov[i]
	}
	s := Sample{At: a.At, walks: beside(a.walks, b.walks, d), along: a.along}
	if len(a.walks) == 0 {
		s.along = b.along
	}
	if len(a.Shared) == len(b.Shared) {
		for i, v := range a.Shared {
			s.Shared = append(s.Shared, v-b.Shared[i])
		}
	} else {
		s.Shared = beside(a.Shared, b.Shared, d)
	}
	s.Where = quantity.NewJoint(mean, cov)
	return s
}

// beside puts the columns of b after those of a; the sign of an error does not
// matter where it is nobody else's.
func beside(a, b []float64, d int) []float64 {
	var all []float64
	for i := range d {
		all = append(all, a[i*len(a)/d:(i+1)*len(a)/d]...)
		all = append(all, b[i*len(b)/d:(i+1)*len(b)/d]...)
	}
	return all
}

// along keeps of every sample what lies in a direction.
func along(samples []Sample, toward []float64) []Sample {
	d := samples[0].Where.Len()
	length := math.Sqrt(dot(toward, toward))
	if len(toward) != d || !(length > 0) || math.IsInf(length, 0) {
		panic(fmt.Sprintf("motion: %v is no direction in %d coordinates", toward, d))
	}
	unit := make([]float64, d)
	for i, v := range toward {
		unit[i] = v / length
	}
	project := func(rows []float64) []float64 {
		k := len(rows) / d
		out := make([]float64, k)
		for a := range d {
			for c := range k {
				out[c] += unit[a] * rows[a*k+c]
			}
		}
		return out
	}
	all := make([]Sample, len(samples))
	for i, s := range samples {
		all[i] = Sample{At: s.At, Where: s.Where.Linear(unit, nil), Shared: project(s.Shared), walks: project(s.walks), along: s.along}
	}
	return all
}

// movement is a run of nodes: the first and the last above rest, the fastest, and
// the end of the first rise.
type movement struct{ first, last, top, rise int }

// Where a run begins and ends, and what a first peak is.
const (
	// runEnds is the share of Still below which a movement has come to rest.
	runEnds = 0.7
	// firstPeak is the share of the greatest speed that a first peak has at least,
	// and peakFalls how far the speed falls after it, as a share of it.
	firstPeak = 0.5
	peakFalls = 0.15
)

// runs returns the runs of speed above still. A signed path of one coordinate must
// move toward plus.
func (p *Path) runs(still float64, signed bool) []movement {
	n, w := p.model.len(), p.model.width
	speed := make([]float64, len(p.nodes))
	for i, node := range p.nodes {
		square := 0.0
		for k := 1; k < n; k += 3 {
			square += node.smoothed.mean[k*w] * node.smoothed.mean[k*w]
		}
		speed[i] = math.Sqrt(square)
		if signed && node.smoothed.mean[w] < 0 {
			speed[i] = 0
		}
	}
	var all []movement
	for i := 0; i < len(speed); i++ {
		if speed[i] <= still {
			continue
		}
		m := movement{first: i, last: i, top: i}
		for i < len(speed) && speed[i] > runEnds*still {
			if speed[i] > speed[m.top] {
				m.top = i
			}
			m.last = i
			i++
		}
		// The first peak: the speed has come to a good part of the greatest and falls.
		m.rise = m.top
		high := m.first
		for k := m.first; k <= m.top; k++ {
			if speed[k] > speed[high] {
				high = k
			}
			if speed[high] > firstPeak*speed[m.top] && speed[k] < (1-peakFalls)*speed[high] {
				m.rise = high
				break
			}
		}
		all = append(all, m)
	}
	return all
}

// window returns the samples that were taken from one instant to another, ends
// included, and the place of the first of them.
func (p *Path) window(from, to float64) ([]Sample, int) {
	i := sort.Search(len(p.taken), func(i int) bool { return float64(p.taken[i].At) >= from })
	k := sort.Search(len(p.taken), func(i int) bool { return float64(p.taken[i].At) > to })
	return p.taken[min(i, k):k], i
}

// bracket returns the samples around an instant whose uniform law is as wide.
func bracket(samples []Sample, at quantity.Of[quantity.Seconds]) (after, by int) {
	half := quantity.Seconds(math.Sqrt(3)) * at.SD
	by = sort.Search(len(samples), func(i int) bool { return samples[i].At >= at.Mean+half })
	after = sort.Search(len(samples), func(i int) bool { return samples[i].At > at.Mean-half }) - 1
	return max(0, after), min(len(samples)-1, by)
}
