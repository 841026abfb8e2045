package chain

import (
	"math"

	"mesure/quantity"
)

// Hits on average in a step of the grid of time: fine for one value, coarse where many
// draws of the rates are valued, whose own spread is a thousand times greater.
const (
	fineGrid   = 0.05
	coarseGrid = 0.4
)

// cardsMatter reports whether a minute without a hit is likely enough to count.
func (c *Chain) cardsMatter(k Clock) bool {
	return k.PerMinute*c.rates.sum()*float64(Hitless)/60 <= rareRule
}

// winning is what the ends of a bout are worth for the chance to win.
func (c *Chain) winning(k Clock) payout {
	n := c.format.To + 1
	lead := func(i, j int, level float64) float64 {
		switch {
		case i > j:
			return 1
		case i < j:
			return 0
		}
		return level
	}
	tie, _ := c.extra(k, ExtraMinute)
	seeded := 0.5
	if k.Unwilling != nil {
		seeded = float64(k.Unwilling.Seeded)
	}
	return payout{
		hits:  func(i, j int) float64 { return c.win[i*n+j] },
		time:  func(i, j int) float64 { return lead(i, j, float64(tie)) },
		black: func(i, j int) float64 { return lead(i, j, seeded) },
		last:  c.lastHit(k, c.win[(n-2)*n+n-2], float64(tie)),
	}
}

// lastHit is what one hit from the end for both is worth with so much time left: won by
// a hit, or what the end of the time is worth.
func (c *Chain) lastHit(k Clock, won, tied float64) func(left float64) float64 {
	rate := float64(c.rates.Me) + float64(c.rates.Opponent)
	if c.format.LastDoubleCounts {
		rate += float64(c.rates.Double)
	}
	return func(left float64) float64 {
		h := -math.Expm1(-k.PerMinute / 60 * left * rate)
		return float64(h*won) + float64((1-h)*tied)
	}
}

// timedUnwilling is Timed with the rule of unwillingness.
func (c *Chain) timedUnwilling(s Score, k Clock) Timed {
	none := func(int, int) float64 { return 0 }
	one := func(int, int) float64 { return 1 }
	level := func(i, j int) float64 {
		if i == j {
			return 1
		}
		return 0
	}
	ask := func(p payout) quantity.Chance {
		v := solvePatient(c, s, k, p, fineGrid).value(s, k.Unwilling.Shown, float64(k.Unwilling.Since), float64(k.Left))
		return quantity.Chance(min(1, max(0, v)))
	}
	tie, _ := c.extra(k, ExtraMinute)
	return Timed{
		Extra:  tie,
		Win:    ask(c.winning(k)),
		Tied:   ask(payout{none, level, none, c.lastHit(k, 0, 1)}),
		InTime: ask(payout{one, none, none, c.lastHit(k, 1, 0)}),
		Black:  ask(payout{none, none, one, c.lastHit(k, 0, 0)}),
	}
}

// Course values a bout that time may end at many scores and times, from one pass. It is
// for draws of the rates: to CourseTolerance the same as AtTime.
type Course struct {
	c     *Chain
	k     Clock
	cards *patient
	// win[k] values every score with k phrases left; nil with cards.
	win [][]float64
}

const (
	// CourseTolerance is the greatest error of a Course: a fine grid and a coarse one
	// differ by less.
	CourseTolerance = 2e-4
	courseSDs       = 6
	courseExtra     = 12
)

// Course values all scores from this one on, at all times up to k.Left; what k says of
// the cards is said to At instead. It returns a *BadInput where the clock cannot be.
func (c *Chain) Course(from Score, k Clock) (*Course, error) {
	if k.Unwilling != nil {
		u := *k.Unwilling
		u.Shown, u.Since = 0, 0
		k.Unwilling = &u
	}
	k.Extra = false
	if err := k.Check(); err != nil {
		return nil, err
	}
	c.at(from)
	x := &Course{c: c, k: k}
	if k.Unwilling != nil {
		if err := k.Unwilling.Check(c.format, k.Left); err != nil {
			return nil, err
		}
		if c.cardsMatter(k) {
			x.cards = solvePatient(c, from, k, c.winning(k), coarseGrid)
			return x, nil
		}
	}
	tie, _ := c.extra(k, ExtraMinute)
	now, _, _ := c.atTime(float64(tie))
	n := c.format.To
	x.win = make([][]float64, phrasesWithin(k, courseSDs, courseExtra)+1)
	x.win[0] = now
	p, q, d := float64(c.rates.Me), float64(c.rates.Opponent), float64(c.rates.Double)
	none := max(0, 1-p-q-d)
	all := make([]float64, len(x.win)*len(now))
	copy(all, now)
	x.win[0] = all[:len(now)]
	for k := 1; k < len(x.win); k++ {
		next, one := all[k*len(now):(k+1)*len(now)], x.win[k-1]
		copy(next, one)
		for i := from.Me; i < n; i++ {
			row, above := one[i*(n+1):(i+1)*(n+1)], one[(i+1)*(n+1):(i+2)*(n+1)]
			out := next[i*(n+1) : (i+1)*(n+1)]
			for j := from.Opponent; j < n; j++ {
				out[j] = float64(p*above[j]) + float64(q*row[j+1]) + float64(d*above[j+1]) + float64(none*row[j])
			}
		}
		if last := (n-1)*(n+1) + n - 1; !c.format.LastDoubleCounts { // a double is void there
			next[last] = float64(p*one[last+n+1]) + float64(q*one[last+1]) + float64((none+d)*one[last])
		}
		x.win[k] = next
	}
	return x, nil
}

// At returns the values of a score with so much time left, as AtTime does: shown P-cards
// and the time since the minute started are those of Unwilling, and are not looked at
// without the rule. Scores before the one that the Course starts at, and more time, are
// a mistake of the caller.
func (x *Course) At(s Score, left quantity.Seconds, shown int, since quantity.Seconds) Values {
	c := x.c
	if c.over(s) {
		return c.At(s)
	}
	var value func(s Score, since quantity.Seconds) quantity.Chance
	if x.cards != nil {
		value = func(s Score, since quantity.Seconds) quantity.Chance {
			return quantity.Chance(min(1, max(0, x.cards.value(s, shown, float64(since), float64(left)))))
		}
	} else {
		weights := x.weights(left)
		value = func(s Score, _ quantity.Seconds) quantity.Chance {
			v, at := 0.0, c.at(s)
			for p, w := range weights {
				v += float64(w * x.win[p][at])
			}
			return quantity.Chance(min(1, v))
		}
	}
	after := func(me, opponent int) quantity.Chance {
		next := Score{s.Me + me, s.Opponent + opponent}
		if c.over(next) {
			return c.Win(next)
		}
		return value(next, 0)
	}
	now := value(s, since)
	double := now
	if !c.Void(s) {
		double = after(1, 1)
	}
	return valuesOf(now, after(1, 0), after(0, 1), double)
}

// weights are the chances of so many phrases in the time left; they add up to one.
func (x *Course) weights(left quantity.Seconds) []float64 {
	lambda := x.k.PerMinute * float64(left) / 60
	w, sum := make([]float64, len(x.win)), 0.0
	first := math.Exp(-lambda)
	w[0] = first
	for p := range w {
		switch {
		case first == 0: // too many phrases for the recursion to begin at none
			w[p] = poisson(lambda, p)
		case p > 0:
			w[p] = w[p-1] * lambda / float64(p)
		}
		sum += w[p]
	}
	for p := range w {
		w[p] /= sum
	}
	return w
}
