package motion

import (
	"math"
	"sort"

	"mesure/quantity"
)

// change is what a stretch of samples says of the instant at which a point leaves
// its rest: how likely each instant is, and how much likelier a departure is than
// none.
type change struct {
	at     []float64 // seconds, in order
	chance []float64 // they sum to one
	// odds is the logarithm of the evidence for a departure over that for none.
	odds float64
}

// instant is the law of the departure: mean, standard deviation and the central
// 95 %, with the width of a step of the grid in it.
func (c change) instant() quantity.Of[quantity.Seconds] {
	step := c.at[1] - c.at[0]
	mean, square := 0.0, 0.0
	for i, p := range c.chance {
		mean += p * c.at[i]
	}
	for i, p := range c.chance {
		square += p * (c.at[i] - mean) * (c.at[i] - mean)
	}
	return quantity.Of[quantity.Seconds]{
		Mean: quantity.Seconds(mean), SD: quantity.Seconds(math.Sqrt(square + step*step/12)),
		Lo: quantity.Seconds(c.quantile((1 - quantity.Coverage) / 2)), Hi: quantity.Seconds(c.quantile((1 + quantity.Coverage) / 2)),
	}
}

// quantile is the instant before which a share p of the law lies.
func (c change) quantile(p float64) float64 {
	step := c.at[1] - c.at[0]
	sum := 0.0
	for i, v := range c.chance {
		if sum+v >= p && v > 0 {
			return c.at[i] - step/2 + step*(p-sum)/v
		}
		sum += v
	}
	return c.at[len(c.at)-1] + step/2
}

// before is the chance that the departure came before t.
func (c change) before(t float64) float64 {
	step := c.at[1] - c.at[0]
	i := sort.SearchFloat64s(c.at, t)
	sum := 0.0
	for k := range i {
		sum += c.chance[k]
	}
	// Half steps on either side of the grid's instants.
	if i < len(c.at) && t > c.at[i]-step/2 {
		sum += c.chance[i] * (t - c.at[i] + step/2) / step
	} else if i > 0 && t < c.at[i-1]+step/2 {
		sum -= c.chance[i-1] * (c.at[i-1] + step/2 - t) / step
	}
	return max(0, min(1, sum))
}

// latest is the law of the later of two instants; none where one is not known.
func latest(a, b change) change {
	if len(a.at) == 0 || len(b.at) == 0 {
		return change{}
	}
	from, to := min(a.at[0], b.at[0]), max(a.at[len(a.at)-1], b.at[len(b.at)-1])
	c := change{at: make([]float64, 2*gridSteps), chance: make([]float64, 2*gridSteps)}
	step := (to - from) / float64(len(c.at)-1)
	before := 0.0
	for i := range c.at {
		c.at[i] = from + float64(i)*step
		now := a.before(c.at[i]+step/2) * b.before(c.at[i]+step/2)
		c.chance[i] = max(0, now-before)
		before = now
	}
	for i := range c.chance {
		c.chance[i] /= before
	}
	return c
}

// turned is a law with time turned round.
func (c change) turned() change {
	n := len(c.at)
	t := change{at: make([]float64, n), chance: make([]float64, n), odds: c.odds}
	for i := range c.at {
		t.at[n-1-i], t.chance[n-1-i] = -c.at[i], c.chance[i]
	}
	return t
}

// logistic is the chance that goes with the logarithm of odds.
func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
