package timing

import "math"

// course is by how much a gap is closed at the time t: the sum of up to four
// minimum-jerk movements, two of the fencer's own and two of the opponent's.
// Times are seconds from the start of the race, lengths metres. What happened
// before the start is in the gap already.
type course struct {
	n     int
	terms [4]term
	// falling is true once a term goes backwards.
	falling bool
}

// term is one movement: length·m((t − start)/whole).
type term struct{ length, start, inv, end float64 }

// add appends a movement; one without length is left out.
func (c *course) add(length, start, whole float64) {
	if length == 0 {
		return
	}
	c.terms[c.n] = term{length, start, 1 / whole, start + whole}
	c.n++
	if length < 0 {
		c.falling = true
	}
}

// at returns the sum and its derivative.
func (c *course) at(t float64) (v, speed float64) {
	v, speed, _ = c.bend(t)
	return v, speed
}

// bend returns the sum and its first two derivatives.
func (c *course) bend(t float64) (v, speed, acc float64) {
	terms := c.terms[:c.n]
	for i := range terms {
		k := &terms[i]
		tau := float64((t - k.start) * k.inv)
		if tau <= 0 {
			continue
		}
		if tau >= 1 {
			v += k.length
			continue
		}
		u, r := tau*tau, 1-tau
		lu := k.length * tau
		v += float64(lu * u * (10 + float64(tau*(float64(6*tau)-15))))
		ru := 30 * lu * k.inv * r
		speed += float64(ru * tau * r)
		acc += float64(ru * k.inv * (2 - float64(4*tau)))
	}
	return v, speed, acc
}

// Tolerances of first. A step d of Halley's method leaves an error of about
// h²·d, with h = ½·off·acc/speed² the bend over the step, and of the third
// derivative times d³; it is the last one where d is below lastStep and h below
// lastBend, whose square is lastBend2: the arrival is then right to 10⁻⁸ s.
// maxSteps bounds the search where the speed vanishes, as at the very end of the
// reach; halving alone gets there.
const (
	lastStep  = 3e-4
	lastBend2 = 4e-6
	maxSteps  = 80
)

// first returns the first t ≥ 0 at which the course has closed the gap, and
// false where it never does. guess may be NaN.
func (c *course) first(gap, guess float64) (float64, bool) {
	if gap <= 0 {
		return 0, true
	}
	lo, hi, most := math.Inf(1), 0.0, 0.0
	for i := range c.n {
		k := &c.terms[i]
		if k.start < lo {
			lo = k.start
		}
		if k.end > hi {
			hi = k.end
		}
		if k.length > 0 {
			most += k.length
		}
	}
	if lo < 0 { // part of the movement was over when the gap was measured
		lo = 0
		done, _ := c.at(0)
		gap += done
	}
	if most < gap {
		return 0, false
	}
	if c.falling {
		return c.firstOfFalling(gap, lo, hi)
	}
	return c.between(gap, lo, hi, guess), true
}

// between finds a t in [lo, hi] at which the course crosses the gap, given that
// it lies below at lo and not below at hi.
func (c *course) between(gap, lo, hi, guess float64) float64 {
	t := guess
	if !(t > lo && t < hi) {
		t = (lo + hi) / 2
	}
	for range maxSteps {
		v, speed, acc := c.bend(t)
		off := gap - v
		if off > 0 {
			lo = t
		} else {
			hi = t
		}
		s2, bend := float64(speed*speed), float64(0.5*off*acc)
		step := off * speed / (s2 + bend)
		if step < lastStep && step > -lastStep && bend*bend < lastBend2*s2*s2 {
			return max(lo, min(hi, t+step))
		}
		if next := t + step; next > lo && next < hi && bend < s2 && bend > -s2 {
			t = next
		} else { // the bend or a speed of zero makes the step no use: halve
			t = (lo + hi) / 2
			if hi-lo < 1e-12 {
				return t
			}
		}
	}
	return t
}

// firstOfFalling is first for a course that may go backwards. Between the
// starts, middles and ends of its movements each of them is smooth and bends one
// way, so that the course there has at most a few turns; a turn that could reach
// the gap is looked for.
func (c *course) firstOfFalling(gap, from, to float64) (float64, bool) {
	var cuts [14]float64
	cuts[0], cuts[1] = from, to
	n := 2
	for i := range c.n {
		k := &c.terms[i]
		for _, t := range [3]float64{k.start, (k.start + k.end) / 2, k.end} {
			if t > from && t < to {
				cuts[n] = t
				n++
			}
		}
	}
	for i := 1; i < n; i++ { // insertion sort
		for j := i; j > 0 && cuts[j] < cuts[j-1]; j-- {
			cuts[j], cuts[j-1] = cuts[j-1], cuts[j]
		}
	}
	lo := cuts[0]
	vlo, slo := c.at(lo)
	for i := 1; i < n; i++ {
		hi := cuts[i]
		if hi == lo {
			continue
		}
		vhi, shi := c.at(hi)
		if vhi >= gap {
			return c.between(gap, lo, hi, math.NaN()), true
		}
		if vlo+c.rise(lo, hi) >= gap && (slo > 0 || shi < 0) {
			if top, ok := c.crest(gap, lo, hi); ok {
				return c.between(gap, lo, top, math.NaN()), true
			}
		}
		lo, vlo, slo = hi, vhi, shi
	}
	return 0, false
}

// rise is by how much the forward movements alone advance between two times.
func (c *course) rise(lo, hi float64) float64 {
	sum := 0.0
	for i := range c.n {
		if k := &c.terms[i]; k.length > 0 {
			sum += float64(k.length * (MinimumJerk((hi-k.start)*k.inv) - MinimumJerk((lo-k.start)*k.inv)))
		}
	}
	return sum
}

// crestParts is into how many parts an interval is cut in search of a turn.
const crestParts = 16

// crest looks for a t in (lo, hi) at which the course has closed the gap.
func (c *course) crest(gap, lo, hi float64) (float64, bool) {
	step := (hi - lo) / crestParts
	_, before := c.at(lo)
	for i := 1; i <= crestParts; i++ {
		b := lo + float64(float64(i)*step)
		v, speed := c.at(b)
		if v >= gap && i < crestParts {
			return b, true
		}
		if before > 0 && speed <= 0 { // a turn in between: halve on the speed
			x, y := b-step, b
			for range 40 {
				mid := (x + y) / 2
				v, s := c.at(mid)
				if v >= gap {
					return mid, true
				}
				if s > 0 {
					x = mid
				} else {
					y = mid
				}
			}
		}
		before = speed
	}
	return 0, false
}
