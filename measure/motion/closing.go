package motion

import (
	"errors"
	"fmt"
	"math"

	"mesure/quantity"
)

// ErrTogether comes with a closing speed whose two points may lie on each other:
// the direction from one to the other is not known, so neither is the sign.
var ErrTogether = errors.New("the two points may lie on each other here: whether they near or part is not known")

// togetherSDs is how many standard deviations the distance of two points must have
// for the formula of first order: at three the length of the mean and the mean of
// the length differ by a twentieth (Rice's law).
const togetherSDs = 3

// Closing is how fast two points come nearer at an instant, in m/s:
//
//	−d|Δ|/dt = −Δ·Δ̇/|Δ|,  Δ = x_b − x_a,
//
// positive while they near each other. Its ± is to first order. The own errors of
// the two paths are independent; the errors in Shared of their samples are the same
// for both where both have equally many (none counts as that), so a camera a little
// off does not blur the speed at which two fencers meet. ErrTogether comes with the
// value where the two may lie on each other. It panics if the paths differ in their
// coordinates.
//
// Source: the derivative of a length; JCGM 100:2008, 5.2 for the ±.
func Closing(a, b *Path, t quantity.Seconds) (quantity.Of[quantity.MetresPerSecond], error) {
	if a.model.dims != b.model.dims {
		panic(fmt.Sprintf("motion: one point has %d coordinates, the other %d", a.model.dims, b.model.dims))
	}
	return closing(minus(b.part(t), a.part(t)))
}

// ClosingOn is how fast a point comes nearer to a place that stands still, in m/s,
// as Closing. It panics if the place has not as many coordinates as the path.
func ClosingOn(a *Path, target quantity.Joint, t quantity.Seconds) (quantity.Of[quantity.MetresPerSecond], error) {
	d := a.model.dims
	if target.Len() != d {
		panic(fmt.Sprintf("motion: a target needs %d coordinates, not %d", d, target.Len()))
	}
	still := part{mean: make([]float64, 3*d), own: make([]float64, 9*d*d)}
	for i := range d {
		still.mean[3*i] = target.Mean[i]
		for k := range d {
			still.own[3*i*3*d+3*k] = target.Covariance(i, k)
		}
	}
	return closing(minus(still, a.part(t)))
}

// ClosingOnMean is how fast a point comes nearer to a weighted mean of others, in m/s,
// as Closing: a part of the body that lies between two marks. Weights are those of the
// points in the mean and sum to 1. It panics if there are not as many weights as
// points, none of either, or other coordinates than those of the first.
func ClosingOnMean(a *Path, of []*Path, weights []float64, t quantity.Seconds) (quantity.Of[quantity.MetresPerSecond], error) {
	if len(of) != len(weights) || len(of) == 0 {
		panic(fmt.Sprintf("motion: %d weights of %d points", len(weights), len(of)))
	}
	var sum part
	for i, p := range of {
		if p.model.dims != a.model.dims {
			panic(fmt.Sprintf("motion: one point has %d coordinates, another %d", a.model.dims, p.model.dims))
		}
		next := p.part(t).times(weights[i])
		if i == 0 {
			sum = next
			continue
		}
		sum = sum.plus(next)
	}
	return closing(minus(sum, a.part(t)))
}

// times is a state times a number.
func (p part) times(w float64) part {
	out := part{mean: scaled(p.mean, w), own: scaled(p.own, w*w), shared: scaled(p.shared, w), columns: p.columns}
	return out
}

// plus is the sum of two states: own errors are independent, errors that both share
// add, and where they share none those of each are its own.
func (p part) plus(q part) part {
	if p.columns != q.columns {
		return part{mean: added(p.mean, q.mean), own: added(p.whole(), q.whole()), shared: nil}
	}
	return part{mean: added(p.mean, q.mean), own: added(p.own, q.own), shared: added(p.shared, q.shared), columns: p.columns}
}

// whole is the covariance with what is shared in it.
func (p part) whole() []float64 {
	n := len(p.mean)
	out := append([]float64(nil), p.own...)
	for i := range n {
		for k := range n {
			for c := range p.columns {
				out[i*n+k] += p.shared[i*p.columns+c] * p.shared[k*p.columns+c]
			}
		}
	}
	return out
}

func scaled(x []float64, w float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = w * v
	}
	return out
}

func added(x, y []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] + y[i]
	}
	return out
}

// part is a state taken apart: its mean, the covariance of the errors that are its
// own, and a column for each error that other points may share.
type part struct {
	mean, own, shared []float64
	columns           int
}

// part returns the state at an instant taken apart.
func (p *Path) part(t quantity.Seconds) part {
	s := p.at(t)
	n, w := p.model.len(), p.model.width
	c := part{mean: make([]float64, n), shared: make([]float64, n*p.shared), columns: p.shared}
	for i := range n {
		c.mean[i] = s.mean[i*w]
		copy(c.shared[i*p.shared:(i+1)*p.shared], s.mean[i*w+1:])
	}
	c.own = p.covariance(s, 1+p.shared)
	return c
}

// minus is the one state less the other.
func minus(b, a part) quantity.Joint {
	n := len(a.mean)
	mean, cov := make([]float64, n), make([]float64, n*n)
	// An error that both have moves both; one that only one of them has is its own.
	same := a.columns == b.columns
	for i := range n {
		mean[i] = b.mean[i] - a.mean[i]
		for k := range n {
			v := a.own[i*n+k] + b.own[i*n+k]
			if same {
				for c := range a.columns {
					v += (b.shared[i*b.columns+c] - a.shared[i*a.columns+c]) * (b.shared[k*b.columns+c] - a.shared[k*a.columns+c])
				}
			} else {
				for c := range a.columns {
					v += a.shared[i*a.columns+c] * a.shared[k*a.columns+c]
				}
				for c := range b.columns {
					v += b.shared[i*b.columns+c] * b.shared[k*b.columns+c]
				}
			}
			cov[i*n+k] = v
		}
	}
	for i := range n {
		cov[i*n+i] = math.Max(0, cov[i*n+i])
	}
	return quantity.NewJoint(mean, cov)
}

// closing is the speed at which a difference of two states grows shorter.
func closing(j quantity.Joint) (quantity.Of[quantity.MetresPerSecond], error) {
	n := j.Len()
	length, spread := 0.0, 0.0
	for i := 0; i < n; i += 3 {
		length += j.Mean[i] * j.Mean[i]
		spread += j.Covariance(i, i)
	}
	length, spread = math.Sqrt(length), math.Sqrt(spread)
	if length == 0 {
		return quantity.Of[quantity.MetresPerSecond]{}, ErrTogether
	}
	speed := 0.0
	for i := 0; i < n; i += 3 {
		speed -= j.Mean[i] / length * j.Mean[i+1]
	}
	slope := make([]float64, n) // of the closing speed by each number of the state
	for i := 0; i < n; i += 3 {
		slope[i] = -j.Mean[i+1]/length - speed*j.Mean[i]/(length*length)
		slope[i+1] = -j.Mean[i] / length
	}
	one := j.Linear(slope, nil)
	v := quantity.Normal(quantity.MetresPerSecond(speed), quantity.MetresPerSecond(one.SD(0)))
	if length < togetherSDs*spread {
		return v, ErrTogether
	}
	return v, nil
}
