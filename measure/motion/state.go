package motion

import (
	"fmt"
	"math"
	"sort"

	"mesure/quantity"
)

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

// Coordinate returns one coordinate, its velocity and its acceleration, each by
// itself. It panics if there is no such coordinate.
func (s State) Coordinate(c int) (quantity.Of[quantity.Metres], quantity.Of[quantity.MetresPerSecond], quantity.Of[quantity.MetresPerSecondSquared]) {
	if c < 0 || 3*c >= s.Joint.Len() {
		panic(fmt.Sprintf("motion: there is no coordinate %d among %d", c, s.Joint.Len()/3))
	}
	return quantity.Part[quantity.Metres](s.Joint, 3*c),
		quantity.Part[quantity.MetresPerSecond](s.Joint, 3*c+1),
		quantity.Part[quantity.MetresPerSecondSquared](s.Joint, 3*c+2)
}

// Speed is the length of the velocity, in m/s.
func (s State) Speed() quantity.Of[quantity.MetresPerSecond] {
	var mean [3]quantity.Metres
	var cov [3][3]float64
	for a := range s.Joint.Len() / 3 {
		mean[a] = quantity.Metres(s.Joint.Mean[3*a+1])
		for b := range s.Joint.Len() / 3 {
			cov[a][b] = s.Joint.Covariance(3*a+1, 3*b+1)
		}
	}
	q := quantity.Distance(mean, cov)
	as := func(m quantity.Metres) quantity.MetresPerSecond { return quantity.MetresPerSecond(m) }
	return quantity.Of[quantity.MetresPerSecond]{Mean: as(q.Mean), SD: as(q.SD), Lo: as(q.Lo), Hi: as(q.Hi)}
}

// At returns the state at any instant: between samples smoothed by all of them,
// beyond them predicted, with the uncertainty that this costs. It panics if t is
// not a number.
func (p *Path) At(t quantity.Seconds) State {
	s := p.at(t)
	j := quantity.Joint{Mean: make([]float64, p.model.len()), Cov: p.covariance(s, 1)}
	for i := range j.Mean {
		j.Mean[i] = s.mean[i*p.model.width]
	}
	return State{t, j}
}

// at returns the state at an instant with all its columns. It must not be changed.
func (p *Path) at(t quantity.Seconds) state {
	if !finite(float64(t)) {
		panic("motion: an instant must be a number")
	}
	i := sort.Search(len(p.nodes), func(i int) bool { return p.nodes[i].at > t }) - 1
	if i >= 0 && p.nodes[i].at == t {
		return p.nodes[i].smoothed
	}
	s := p.model.room(1)[0]
	p.between(s, i, t)
	return s
}

// between writes the state at t to dst, t later than node i and not later than the
// next; i is −1 before the first.
func (p *Path) between(dst state, i int, t quantity.Seconds) {
	m := p.model
	switch {
	case i < 0: // the model run backwards from the first sample
		copyState(dst, p.nodes[0].smoothed)
		m.turn(dst)
		m.predict(dst, dst, float64(p.nodes[0].at-t), p.jerk.over(t, p.nodes[0].at))
		m.turn(dst)
	case i == len(p.nodes)-1:
		p.predict(dst, p.nodes[i].smoothed, p.nodes[i].at, t)
	default:
		here, next := &p.nodes[i], &p.nodes[i+1]
		// The density that the samples were smoothed with is that of the whole way
		// from one to the next.
		m.predict(dst, here.filtered, float64(t-here.at), p.jerk.over(here.at, next.at))
		m.back(dst, dst, next.predicted, next.smoothed, float64(next.at-t))
	}
}

// covariance is that of a state: the own errors of the samples, those of the
// columns from one on, and the common one.
func (p *Path) covariance(s state, from int) []float64 {
	n, w, d := p.model.len(), p.model.width, p.model.dims
	cov := append([]float64(nil), s.cov...)
	for i := range n {
		for k := i; k < n; k++ {
			sum := 0.0
			for c := from; c < w; c++ {
				sum += s.mean[i*w+c] * s.mean[k*w+c]
			}
			cov[i*n+k] += sum
			if k != i {
				cov[k*n+i] += sum
			}
		}
	}
	if len(p.common) > 0 {
		for a := range d {
			for b := range d {
				cov[3*a*n+3*b] += p.common[a*d+b]
			}
		}
	}
	for i := range n { // rounding may leave a variance a hair below nought
		cov[i*n+i] = math.Max(0, cov[i*n+i])
	}
	return cov
}
