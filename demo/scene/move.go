package scene

import "math"

// jerk is the minimum-jerk curve 10τ³ − 15τ⁴ + 6τ⁵, held at 0 before and at 1
// after (Flash & Hogan 1985).
func jerk(tau float64) float64 {
	switch {
	case tau <= 0:
		return 0
	case tau >= 1:
		return 1
	}
	return tau * tau * tau * (10 + tau*(6*tau-15))
}

// shift is one minimum-jerk displacement of one number.
type shift struct{ start, end, by float64 }

func (s shift) at(t float64) float64 { return s.by * jerk((t-s.start)/(s.end-s.start)) }

// track is one number of a pose over time: a base value and the shifts added to
// it. Shifts may overlap; the sum stays smooth.
type track struct {
	base   float64
	shifts []shift
}

// at returns the value at an instant.
func (k *track) at(t float64) float64 {
	v := k.base
	for _, s := range k.shifts {
		v += s.at(t)
	}
	return v
}

// last returns the value when every shift has ended.
func (k *track) last() float64 { return k.at(math.Inf(1)) }

// add appends a shift by this much.
func (k *track) add(start, end, by float64) {
	if !(end > start) {
		panic("scene: a shift must end after it starts")
	}
	k.shifts = append(k.shifts, shift{start, end, by})
}

// to appends the shift that brings the final value to v.
func (k *track) to(start, end, v float64) { k.add(start, end, v-k.last()) }

// pass appends the shift over [start, end] that makes the value v at the
// instant when, inside the interval: the shift runs on beyond it.
func (k *track) pass(start, end, when, v float64) {
	share := jerk((when - start) / (end - start))
	if share < 1e-3 {
		panic("scene: too early in a shift to solve for its size")
	}
	k.add(start, end, (v-k.at(when))/share)
}

// bump appends a shift and its return: out by this much over the first half,
// back over the second.
func (k *track) bump(start, end, by float64) {
	mid := (start + end) / 2
	k.add(start, mid, by)
	k.add(mid, end, -by)
}

// ik2 returns the middle joint of a chain of two segments of lengths l1 and l2
// from a to c, bent towards pole. Beyond full stretch the joint lies on the
// straight line and the second segment would be too long: callers keep c in
// reach.
func ik2(a, c Vec, l1, l2 float64, pole Vec) Vec {
	along := c.Sub(a)
	d := along.Len()
	dir := along.Unit()
	cos := (l1*l1 + d*d - l2*l2) / (2 * l1 * d)
	cos = math.Max(-1, math.Min(1, cos))
	side := pole.across(dir)
	return a.Add(dir.Mul(l1 * cos)).Add(side.Mul(l1 * math.Sqrt(1-cos*cos)))
}
