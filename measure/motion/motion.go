// Package motion answers how a point moved: its smoothed position, velocity and
// acceleration at any instant, each with its uncertainty, from places that were
// measured at some instants; when it began to move, when a foot left the floor and
// struck it, and how fast two points came nearer.
//
// Most callers need two calls: Smooth, then Path.At. Onsets and Contacts find the
// instants at which something begins.
//
// Places are metres in whatever frame they are handed in (one to three
// coordinates), instants seconds on one clock. Nothing handed in is changed. A
// Path is never changed once it is made and may be used by many at once.
package motion

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"mesure/quantity"
)

// Sample is where a point was measured at one instant.
type Sample struct {
	At quantity.Seconds
	// Where holds the coordinates in metres, with the covariance of the error that
	// is this sample's own.
	Where quantity.Joint
	// Shared says how the errors that all samples have in common (a camera a little
	// off, a plane of action a little too near) move this place: one row for each
	// coordinate, one column for each error, in metres for one standard deviation
	// of it. All samples have the same errors in the same order; nil is none.
	Shared []float64
	// walks are further columns, for errors that are common to some samples of this
	// one point and of no other: see Walked. along is how far on its way from one
	// mark to the next the sample lies, 0 to 1.
	walks []float64
	along float64
}

// Defaults of Options.
const (
	// DefaultJerk is the spectral density of the jerk in m²/s⁵: what lets a hand
	// in a lunge change its acceleration by some 100 m/s² within a tenth of a
	// second, √(q·t) = 14 m/s² in one frame of 25 a second (chosen on minimum-jerk
	// movements of 1.2 m in 0.6 s, check 3.5 of the outside data).
	DefaultJerk = 400.0
	// DefaultGate is the chance that a sound sample is turned away by the gate.
	DefaultGate = 1e-3
	// PriorPlaceSD, PriorSpeedSD and PriorAccelerationSD are the spreads of the
	// state before anything was measured: the hall, a flèche, a blow (m, m/s, m/s²).
	PriorPlaceSD        = 20.0
	PriorSpeedSD        = 10.0
	PriorAccelerationSD = 100.0
)

// Options of Smooth. The zero value takes the defaults.
type Options struct {
	// Jerk is the spectral density of the white jerk, alike in every coordinate.
	// JerkOf finds the one that the samples speak for; the zero value is DefaultJerk
	// at all times.
	Jerk Jerk
	// Gate is the chance that a sound sample is turned away; below 0 none is.
	Gate float64
	// First is the state before the first sample: position, velocity and
	// acceleration of each coordinate in turn; nil takes a wide prior about the
	// first sample.
	First *quantity.Joint
	// Common is the covariance in m² (row by row, one row a coordinate) of an error
	// that is the same for every sample, over and above Shared: it is added to
	// places and leaves speeds alone. Nil is none.
	Common []float64
}

// Errors of Smooth.
var (
	ErrNoSamples = errors.New("there is nothing to smooth: measure the point on at least one frame")
	ErrOrder     = errors.New("the samples are not in the order of time")
	ErrNotFinite = errors.New("a sample is not a number")
)

// Path is a smoothed movement.
type Path struct {
	model  model
	jerk   Jerk
	nodes  []node
	common []float64
	// shared is how many columns are errors that other points may share.
	shared int
	// outliers are the samples that the gate turned away, by their place in the
	// samples handed in.
	outliers []int
	loglik   float64
	// taken are the samples that were not turned away.
	taken []Sample
}

// node is the state at one sample.
type node struct {
	at quantity.Seconds
	// Predicted from the samples before, filtered with this one, smoothed by all.
	predicted, filtered, smoothed state
}

// Smooth fits a movement to samples: a Kalman filter forward and the
// Rauch–Tung–Striebel smoother back, on the white-jerk model
//
//	x(t+τ) = F(τ)·x(t) + w,  F = [1 τ τ²/2; 0 1 τ; 0 0 1],
//	cov w  = q·[τ⁵/20 τ⁴/8 τ³/6; τ⁴/8 τ³/3 τ²/2; τ³/6 τ²/2 τ]
//
// for position, velocity and acceleration of each coordinate. A sample that lies
// further from its prediction than the gate allows (Mahalanobis distance, χ² with
// one degree of freedom a coordinate) is left out and named by Outliers; two
// samples running that would be turned away are believed, because the movement
// and not the mark has then changed.
//
// Errors that samples share do not average out and are no movement: the movement
// is fitted with each sample's own error, and what the same linear filter makes of
// the shared ones, A·L for their columns L, is added to the covariance of the
// state, P + A·L·(A·L)ᵀ. A shared error that is equal in all samples so moves
// places and not speeds; one that grows along the piste changes speeds by its
// share.
//
// Samples must be in the order of time, with one to three coordinates and equally
// many each. Errors: ErrNoSamples, ErrOrder, ErrNotFinite.
//
// Sources: Bar-Shalom, Li, Kirubarajan, Estimation with Applications to Tracking
// and Navigation (2001), 6.2.3 for the model; Rauch, Tung, Striebel, AIAA J. 3:1445
// (1965) for the smoother.
func Smooth(samples []Sample, o Options) (*Path, error) {
	if len(samples) == 0 {
		return nil, ErrNoSamples
	}
	if err := check(samples, o); err != nil {
		return nil, err
	}
	d := samples[0].Where.Len()
	shared, walks := len(samples[0].Shared)/d, len(samples[0].walks)/d
	m := model{dims: d, width: 1 + shared + walks}
	places := make([]float64, len(samples)*d*m.width)
	for i, s := range samples {
		for a := range d {
			row := places[(i*d+a)*m.width : (i*d+a+1)*m.width]
			row[0] = s.Where.Mean[a]
			copy(row[1:], s.Shared[a*shared:(a+1)*shared])
			copy(row[1+shared:], s.walks[a*walks:(a+1)*walks])
		}
	}
	p := run(m, samples, places, o)
	p.shared = shared
	return p, nil
}

// check panics on a caller's mistake and returns what is wrong with the data.
func check(samples []Sample, o Options) error {
	d, k := samples[0].Where.Len(), len(samples[0].Shared)
	if d < 1 || d > maxDims {
		panic(fmt.Sprintf("motion: a place has one to %d coordinates, not %d", maxDims, d))
	}
	if k%d != 0 {
		panic(fmt.Sprintf("motion: the shared errors of a place with %d coordinates cannot be %d numbers", d, k))
	}
	if o.Common != nil && len(o.Common) != d*d {
		panic(fmt.Sprintf("motion: the common covariance has %d numbers, want %d", len(o.Common), d*d))
	}
	if o.First != nil && o.First.Len() != 3*d {
		panic(fmt.Sprintf("motion: the first state has %d numbers, want %d", o.First.Len(), 3*d))
	}
	for i, s := range samples {
		switch {
		case s.Where.Len() != d || len(s.Shared) != k || len(s.walks) != len(samples[0].walks):
			panic(fmt.Sprintf("motion: sample %d has %d coordinates and %d shared numbers, the first has %d and %d",
				i, s.Where.Len(), len(s.Shared), d, k))
		case !s.Where.IsValid() || !finite(float64(s.At)) || !finite(s.Shared...):
			return fmt.Errorf("%w: sample %d", ErrNotFinite, i)
		case i > 0 && s.At < samples[i-1].At:
			return fmt.Errorf("%w: sample %d", ErrOrder, i)
		}
	}
	return nil
}

func finite(all ...float64) bool {
	for _, v := range all {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// run filters and smooths places (dims × width numbers a sample) that have the
// errors of samples.
func run(m model, samples []Sample, places []float64, o Options) *Path {
	if o.Gate == 0 {
		o.Gate = DefaultGate
	}
	p := &Path{model: m, jerk: o.Jerk, common: append([]float64(nil), o.Common...)}
	limit := math.Inf(1)
	if o.Gate > 0 {
		limit = distuv.ChiSquared{K: float64(m.dims)}.Quantile(1 - o.Gate)
	}
	size := m.dims * m.width
	at := func(i int) []float64 { return places[i*size : (i+1)*size] }
	states := m.room(3 * len(samples))
	p.nodes = make([]node, len(samples))
	refused := 0
	for i, s := range samples {
		n := &p.nodes[i]
		*n = node{at: s.At, predicted: states[3*i], filtered: states[3*i+1], smoothed: states[3*i+2]}
		if i == 0 {
			m.first(n.predicted, at(0), o)
		} else {
			p.predict(n.predicted, p.nodes[i-1].filtered, samples[i-1].At, s.At)
		}
		distance, loglik := m.update(n.filtered, n.predicted, at(i), s.Where.Cov)
		if distance > limit && len(s.walks) > 0 {
			distance = m.away(n.predicted, at(i), s.whole()) // what its stretch has in common counts too
		}
		switch {
		case distance > limit && i > 0 && refused == 0:
			p.outliers = append(p.outliers, i)
			refused++
			copyState(n.filtered, n.predicted)
			continue
		case distance > limit && refused > 0:
			// The one before was turned away for the same reason: take both.
			p.outliers = p.outliers[:len(p.outliers)-1]
			before := &p.nodes[i-1]
			_, l := m.update(before.filtered, before.predicted, at(i-1), samples[i-1].Where.Cov)
			p.loglik += l
			p.predict(n.predicted, before.filtered, samples[i-1].At, s.At)
			_, loglik = m.update(n.filtered, n.predicted, at(i), s.Where.Cov)
		}
		refused = 0
		p.loglik += loglik
	}
	p.taken = make([]Sample, 0, len(samples)-len(p.outliers))
	k := 0
	for i, s := range samples {
		if k < len(p.outliers) && p.outliers[k] == i {
			k++
			continue
		}
		p.taken = append(p.taken, s)
	}
	last := len(p.nodes) - 1
	copyState(p.nodes[last].smoothed, p.nodes[last].filtered)
	for i := last - 1; i >= 0; i-- {
		n, next := &p.nodes[i], &p.nodes[i+1]
		m.back(n.smoothed, n.filtered, next.predicted, next.smoothed, float64(next.at-n.at))
	}
	return p
}

// predict carries a state from one instant to a later one.
func (p *Path) predict(dst, src state, from, to quantity.Seconds) {
	p.model.predict(dst, src, float64(to-from), p.jerk.over(from, to))
}

// first is the state before the first sample, at places.
func (m model) first(dst state, places []float64, o Options) {
	n, w := m.len(), m.width
	if o.First != nil {
		for i := range n {
			dst.mean[i*w] = o.First.Mean[i]
		}
		copy(dst.cov, o.First.Cov)
		return
	}
	for c := range m.dims {
		copy(dst.mean[3*c*w:(3*c+1)*w], places[c*w:(c+1)*w])
		for k, sd := range [3]float64{PriorPlaceSD, PriorSpeedSD, PriorAccelerationSD} {
			dst.cov[(3*c+k)*n+3*c+k] = sd * sd
		}
	}
}

// Outliers returns which samples were turned away, in order.
func (p *Path) Outliers() []int { return append([]int(nil), p.outliers...) }

// LogLikelihood of the samples that were taken, for comparing jerks.
func (p *Path) LogLikelihood() float64 { return p.loglik }

// From is the instant of the first sample.
func (p *Path) From() quantity.Seconds { return p.nodes[0].at }

// To is the instant of the last sample.
func (p *Path) To() quantity.Seconds { return p.nodes[len(p.nodes)-1].at }
