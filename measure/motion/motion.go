// Package motion answers how a point moved: its smoothed position, velocity and
// acceleration at any instant, each with its uncertainty, from places that were
// measured at some instants.
//
// Most callers need two calls: Smooth, then Path.At.
//
// Places are metres in whatever frame they are handed in (one to three
// coordinates), instants seconds on one clock. Nothing handed in is changed. A
// Path is never changed once it is made.
package motion

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"mesure/quantity"
)

// Sample is where a point was measured at one instant.
type Sample struct {
	At quantity.Seconds
	// Where holds the coordinates in metres, with their covariance.
	Where quantity.Joint
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
	// Jerk is the spectral density of the white jerk in m²/s⁵, alike in every
	// coordinate.
	Jerk float64
	// Gate is the chance that a sound sample is turned away; below 0 none is.
	Gate float64
	// First is the state before the first sample: position, velocity and
	// acceleration of each coordinate in turn; nil takes a wide prior about the
	// first sample.
	First *quantity.Joint
}

// Errors of Smooth.
var (
	ErrNoSamples = errors.New("there is nothing to smooth: measure the point on at least one frame")
	ErrOrder     = errors.New("the samples are not in the order of time")
	ErrNotFinite = errors.New("a sample is not a number")
)

// Path is a smoothed movement.
type Path struct {
	nodes []node
	dims  int
	jerk  float64
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

type state struct {
	mean *mat.VecDense
	cov  *mat.SymDense
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
// Samples must be in the order of time, with at least one coordinate and equally
// many each. Errors: ErrNoSamples, ErrOrder, ErrNotFinite.
//
// Sources: Bar-Shalom, Li, Kirubarajan, Estimation with Applications to Tracking
// and Navigation (2001), 6.2.3 for the model; Rauch, Tung, Striebel, AIAA J. 3:1445
// (1965) for the smoother.
func Smooth(samples []Sample, o Options) (*Path, error) {
	if len(samples) == 0 {
		return nil, ErrNoSamples
	}
	if o.Jerk == 0 {
		o.Jerk = DefaultJerk
	}
	if o.Gate == 0 {
		o.Gate = DefaultGate
	}
	d := samples[0].Where.Len()
	for i, s := range samples {
		switch {
		case s.Where.Len() != d || d == 0:
			panic(fmt.Sprintf("motion: sample %d has %d coordinates, the first has %d", i, s.Where.Len(), d))
		case !s.Where.IsValid() || math.IsNaN(float64(s.At)) || math.IsInf(float64(s.At), 0):
			return nil, fmt.Errorf("%w: sample %d", ErrNotFinite, i)
		case i > 0 && s.At < samples[i-1].At:
			return nil, fmt.Errorf("%w: sample %d", ErrOrder, i)
		}
	}
	p := &Path{dims: d, jerk: o.Jerk}
	limit := math.Inf(1)
	if o.Gate > 0 {
		limit = distuv.ChiSquared{K: float64(d)}.Quantile(1 - o.Gate)
	}
	now := firstState(samples[0], o)
	refused := 0
	for i, s := range samples {
		if i > 0 {
			now = p.predict(now, float64(s.At-samples[i-1].At))
		}
		n := node{at: s.At, predicted: now}
		next, distance, loglik := p.update(now, s.Where)
		if distance > limit && i > 0 && refused == 0 {
			p.outliers = append(p.outliers, i)
			refused++
			next = now
		} else {
			if refused > 0 && distance > limit {
				// The one before was turned away for the same reason: take both.
				p.outliers = p.outliers[:len(p.outliers)-1]
				now = p.takeBack(&n, i, samples)
				next, _, loglik = p.update(now, s.Where)
			}
			refused = 0
			p.loglik += loglik
		}
		n.filtered, now = next, next
		p.nodes = append(p.nodes, n)
	}
	gone := map[int]bool{}
	for _, i := range p.outliers {
		gone[i] = true
	}
	for i, s := range samples {
		if !gone[i] {
			p.taken = append(p.taken, s)
		}
	}
	p.smooth()
	return p, nil
}

// takeBack believes the sample before i after all and predicts anew from it.
func (p *Path) takeBack(n *node, i int, samples []Sample) state {
	before := &p.nodes[i-1]
	taken, _, loglik := p.update(before.predicted, samples[i-1].Where)
	before.filtered = taken
	p.loglik += loglik
	n.predicted = p.predict(taken, float64(samples[i].At-samples[i-1].At))
	return n.predicted
}

// firstState is the state before the first sample.
func firstState(s Sample, o Options) state {
	d := s.Where.Len()
	if o.First != nil {
		if o.First.Len() != 3*d {
			panic(fmt.Sprintf("motion: the first state has %d numbers, want %d", o.First.Len(), 3*d))
		}
		return state{mat.NewVecDense(3*d, append([]float64(nil), o.First.Mean...)), o.First.SymDense()}
	}
	mean, cov := mat.NewVecDense(3*d, nil), mat.NewSymDense(3*d, nil)
	for c := range d {
		mean.SetVec(3*c, s.Where.Mean[c])
		for k, sd := range [3]float64{PriorPlaceSD, PriorSpeedSD, PriorAccelerationSD} {
			cov.SetSym(3*c+k, 3*c+k, sd*sd)
		}
	}
	return state{mean, cov}
}

// transition returns F of the whole state over a time.
func (p *Path) transition(t float64) *mat.Dense {
	f := mat.NewDense(3*p.dims, 3*p.dims, nil)
	for c := range p.dims {
		k := 3 * c
		f.Set(k, k, 1)
		f.Set(k, k+1, t)
		f.Set(k, k+2, t*t/2)
		f.Set(k+1, k+1, 1)
		f.Set(k+1, k+2, t)
		f.Set(k+2, k+2, 1)
	}
	return f
}

// predict carries a state over a time t ≥ 0 in seconds.
func (p *Path) predict(s state, t float64) state {
	f := p.transition(t)
	n := 3 * p.dims
	mean := mat.NewVecDense(n, nil)
	mean.MulVec(f, s.mean)
	var fp, fpf mat.Dense
	fp.Mul(f, s.cov)
	fpf.Mul(&fp, f.T())
	cov := symmetric(&fpf)
	q := p.jerk
	noise := [3][3]float64{
		{q * math.Pow(t, 5) / 20, q * math.Pow(t, 4) / 8, q * t * t * t / 6},
		{q * math.Pow(t, 4) / 8, q * t * t * t / 3, q * t * t / 2},
		{q * t * t * t / 6, q * t * t / 2, q * t},
	}
	for c := range p.dims {
		for i := range 3 {
			for j := i; j < 3; j++ {
				cov.SetSym(3*c+i, 3*c+j, cov.At(3*c+i, 3*c+j)+noise[i][j])
			}
		}
	}
	return state{mean, cov}
}

// update takes a measured place into a state. It also returns the squared
// Mahalanobis distance of the place from its prediction and its log-likelihood.
func (p *Path) update(s state, where quantity.Joint) (state, float64, float64) {
	d, n := p.dims, 3*p.dims
	off := mat.NewVecDense(d, nil)
	innovation := mat.NewSymDense(d, nil)
	toPlace := mat.NewDense(n, d, nil) // P·Hᵀ
	for a := range d {
		off.SetVec(a, where.Mean[a]-s.mean.AtVec(3*a))
		for b := a; b < d; b++ {
			innovation.SetSym(a, b, s.cov.At(3*a, 3*b)+where.Covariance(a, b))
		}
		for i := range n {
			toPlace.Set(i, a, s.cov.At(i, 3*a))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(innovation) {
		panic("motion: the covariance of a place is not positive")
	}
	var weighted mat.VecDense
	if err := chol.SolveVecTo(&weighted, off); err != nil {
		panic(fmt.Sprintf("motion: %v", err))
	}
	distance := mat.Dot(off, &weighted)
	loglik := -0.5 * (distance + chol.LogDet() + float64(d)*math.Log(2*math.Pi))

	mean := mat.NewVecDense(n, nil)
	mean.MulVec(toPlace, &weighted)
	mean.AddVec(mean, s.mean)
	var gainT mat.Dense // S⁻¹·H·P
	if err := chol.SolveTo(&gainT, toPlace.T()); err != nil {
		panic(fmt.Sprintf("motion: %v", err))
	}
	// Joseph's form keeps the covariance positive: (I−KH)P(I−KH)ᵀ + KRKᵀ.
	keep := mat.NewDense(n, n, nil)
	for i := range n {
		keep.Set(i, i, 1)
		for a := range d {
			keep.Set(i, 3*a, keep.At(i, 3*a)-gainT.At(a, i))
		}
	}
	var kp, kpk, kr, krk mat.Dense
	kp.Mul(keep, s.cov)
	kpk.Mul(&kp, keep.T())
	kr.Mul(gainT.T(), where.SymDense())
	krk.Mul(&kr, &gainT)
	kpk.Add(&kpk, &krk)
	return state{mean, symmetric(&kpk)}, distance, loglik
}

// smooth goes back over the nodes.
func (p *Path) smooth() {
	last := len(p.nodes) - 1
	p.nodes[last].smoothed = p.nodes[last].filtered
	for i := last - 1; i >= 0; i-- {
		n, next := &p.nodes[i], &p.nodes[i+1]
		n.smoothed = p.back(n.filtered, next.predicted, next.smoothed, float64(next.at-n.at))
	}
}

// back is one step of the smoother: from a filtered state, the prediction from it
// over a time, and the smoothed state there.
func (p *Path) back(filtered, predicted, smoothed state, t float64) state {
	n := 3 * p.dims
	// gain = P·Fᵀ·P⁻¹ₚ, as the solution of Pₚ·gainᵀ = F·P.
	var fp, gainT mat.Dense
	fp.Mul(p.transition(t), filtered.cov)
	var chol mat.Cholesky
	if !chol.Factorize(predicted.cov) {
		return filtered // no time has gone by and nothing is uncertain: nothing to learn
	}
	if err := chol.SolveTo(&gainT, &fp); err != nil {
		var bad mat.Condition
		if !errors.As(err, &bad) {
			panic(fmt.Sprintf("motion: %v", err))
		}
	}
	diff := mat.NewVecDense(n, nil)
	diff.SubVec(smoothed.mean, predicted.mean)
	mean := mat.NewVecDense(n, nil)
	mean.MulVec(gainT.T(), diff)
	mean.AddVec(mean, filtered.mean)
	var change, gc, gcg mat.Dense
	change.Sub(smoothed.cov, predicted.cov)
	gc.Mul(gainT.T(), &change)
	gcg.Mul(&gc, &gainT)
	gcg.Add(&gcg, filtered.cov)
	return state{mean, symmetric(&gcg)}
}

func symmetric(m *mat.Dense) *mat.SymDense {
	n, _ := m.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (m.At(i, j)+m.At(j, i))/2)
		}
	}
	return s
}

// Outliers returns which samples were turned away, in order.
func (p *Path) Outliers() []int { return append([]int(nil), p.outliers...) }

// LogLikelihood of the samples that were taken, for comparing jerks.
func (p *Path) LogLikelihood() float64 { return p.loglik }

// From and To are the instants of the first and the last sample.
func (p *Path) From() quantity.Seconds { return p.nodes[0].at }

// To is the instant of the last sample.
func (p *Path) To() quantity.Seconds { return p.nodes[len(p.nodes)-1].at }

// State is how a point moves at one instant: its place in metres, velocity in m/s
// and acceleration in m/s², each with one number a coordinate.
type State struct {
	At quantity.Seconds
	// Joint holds place, velocity and acceleration of the first coordinate, then of
	// the second, with the covariance of all.
	Joint quantity.Joint
}

// Place returns the coordinates in metres.
func (s State) Place() quantity.Joint { return s.part(0) }

// Velocity returns the velocity in m/s.
func (s State) Velocity() quantity.Joint { return s.part(1) }

// Acceleration returns the acceleration in m/s².
func (s State) Acceleration() quantity.Joint { return s.part(2) }

func (s State) part(k int) quantity.Joint {
	var pick []int
	for i := k; i < s.Joint.Len(); i += 3 {
		pick = append(pick, i)
	}
	return s.Joint.Pick(pick...)
}

// Speed is the length of the velocity, in m/s.
func (s State) Speed() quantity.Of[quantity.MetresPerSecond] {
	v := s.Velocity()
	var mean [3]quantity.Metres
	var cov [3][3]float64
	for a := range v.Len() {
		mean[a] = quantity.Metres(v.Mean[a])
		for b := range v.Len() {
			cov[a][b] = v.Covariance(a, b)
		}
	}
	q := quantity.Distance(mean, cov)
	as := func(m quantity.Metres) quantity.MetresPerSecond { return quantity.MetresPerSecond(m) }
	return quantity.Of[quantity.MetresPerSecond]{Mean: as(q.Mean), SD: as(q.SD), Lo: as(q.Lo), Hi: as(q.Hi)}
}

// At returns the state at any instant: between samples smoothed by all of them,
// beyond them predicted, with the uncertainty that this costs.
func (p *Path) At(t quantity.Seconds) State {
	i := sort.Search(len(p.nodes), func(i int) bool { return p.nodes[i].at > t }) - 1
	var s state
	switch {
	case i < 0:
		s = p.before(t)
	case p.nodes[i].at == t:
		s = p.nodes[i].smoothed
	case i == len(p.nodes)-1:
		s = p.predict(p.nodes[i].smoothed, float64(t-p.nodes[i].at))
	default:
		here, next := p.nodes[i], p.nodes[i+1]
		mid := p.predict(here.filtered, float64(t-here.at))
		s = p.back(mid, next.predicted, next.smoothed, float64(next.at-t))
	}
	return State{t, jointOf(s)}
}

// before runs the model backwards from the first sample: the same law, with time
// and velocity turned round.
func (p *Path) before(t quantity.Seconds) state {
	first := p.nodes[0]
	turned := turn(first.smoothed, p.dims)
	return turn(p.predict(turned, float64(first.at-t)), p.dims)
}

// turn changes the sign of the velocities.
func turn(s state, dims int) state {
	n := 3 * dims
	sign := func(i int) float64 {
		if i%3 == 1 {
			return -1
		}
		return 1
	}
	mean, cov := mat.NewVecDense(n, nil), mat.NewSymDense(n, nil)
	for i := range n {
		mean.SetVec(i, sign(i)*s.mean.AtVec(i))
		for j := i; j < n; j++ {
			cov.SetSym(i, j, sign(i)*sign(j)*s.cov.At(i, j))
		}
	}
	return state{mean, cov}
}

func jointOf(s state) quantity.Joint {
	n := s.mean.Len()
	mean, cov := make([]float64, n), make([]float64, n*n)
	for i := range n {
		mean[i] = s.mean.AtVec(i)
		for j := range n {
			cov[i*n+j] = s.cov.At(i, j)
		}
	}
	for i := range n { // rounding may leave a variance a hair below nought
		cov[i*n+i] = math.Max(0, cov[i*n+i])
	}
	return quantity.NewJoint(mean, cov)
}
