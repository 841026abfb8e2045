package chain

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// Clock is a bout that time may end.
type Clock struct {
	// PerMinute is how many phrases there are in a minute of fencing, those that
	// end without a hit among them.
	PerMinute float64
	// Left is the fencing time that is left, in all periods together.
	Left quantity.Seconds
	// Priority is the chance that the lot of the extra minute falls to me: 0.5
	// before it is drawn, 1 or 0 after.
	Priority quantity.Chance
	// Extra says that the extra minute is fenced: Left is what is left of it.
	Extra bool
	// Unwilling counts the minutes without a hit; nil leaves the rule out.
	Unwilling *Unwilling
}

// Limits of a clock.
const (
	// MaxPerMinute is the greatest number of phrases a minute that is accepted: one
	// a second.
	MaxPerMinute = 60
	// MaxLeft is the greatest time left that is accepted: an hour, far above the
	// three periods of three minutes (t.39).
	MaxLeft quantity.Seconds = 3600
	// ExtraMinute is the time that is fenced after a tie (t.38 and t.40 of the FIE's
	// Technical Rules); who has the priority wins if nobody hits in it.
	ExtraMinute quantity.Seconds = 60
)

// tailSDs is how many standard deviations beyond its mean the number of phrases
// is followed, and tailExtra how many phrases more, for means near 0: what lies
// beyond weighs less than 1e-17.
const (
	tailSDs   = 10
	tailExtra = 40
)

// Check returns a *BadInput where the clock cannot be.
func (k Clock) Check() error {
	switch {
	case !(k.PerMinute > 0 && k.PerMinute <= MaxPerMinute):
		return &BadInput{"pace", fmt.Sprintf("%g phrases a minute is not above 0 and at most %d", k.PerMinute, MaxPerMinute), "Épée has about two a minute."}
	case !(k.Left >= 0 && k.Left <= MaxLeft):
		return &BadInput{"left", fmt.Sprintf("%g s is not a time from 0 to %g s", float64(k.Left), float64(MaxLeft)), "Write the fencing time that is left, such as 2:30."}
	case !(k.Priority >= 0 && k.Priority <= 1):
		return &BadInput{"priority", fmt.Sprintf("%g is not a chance", float64(k.Priority)), "It is 0.5 before the lot, 1 or 0 after it."}
	case k.Extra && k.Left > ExtraMinute:
		return &BadInput{"left", fmt.Sprintf("%g s are more than the extra minute has", float64(k.Left)), "Write what is left of it, such as 0:40."}
	}
	return nil
}

// checkAt returns a *BadInput where a bout of this format cannot stand so by this clock.
func (k Clock) checkAt(f Format, s Score) error {
	if err := k.Check(); err != nil {
		return err
	}
	if err := f.CheckScore(s); err != nil {
		return err
	}
	if k.Extra && s.Me != s.Opponent {
		return &BadInput{"score", fmt.Sprintf("at %d–%d there is no extra minute", s.Me, s.Opponent), "It is fenced at a level score: name one."}
	}
	if k.Unwilling != nil {
		return k.Unwilling.Check(f, k.Left)
	}
	return nil
}

// Timed is what a clock leaves of a bout.
type Timed struct {
	// Win is the chance to win, by hits, by the lead at time, in the extra minute or
	// by priority.
	Win quantity.Chance `json:"win"`
	// Tied is the chance that the score is level when time is up.
	Tied quantity.Chance `json:"tied"`
	// Extra is the chance to win if it is.
	Extra quantity.Chance `json:"extra"`
	// InTime is the chance that the bout is decided by hits before time is up.
	InTime quantity.Chance `json:"in_time"`
	// Black is the chance that black P-cards end the bout: see Unwilling.
	Black quantity.Chance `json:"black,omitempty"`
}

// Timed values one score of a bout that time may end. Phrases come by a Poisson
// law, so their number in time t is Poisson(λ = pace·t), and
//
//	W(s) = Σ_k e^−λ λ^k/k! · V_k(s),  V_k(s) = Σ_o P(o)·V_{k−1}(s after o)
//	V_0 = 1 with a lead, 0 behind, level E = (1−h)·priority + h·p/(p+q),
//	h = 1 − e^−(pace·1 min·(p+q))
//
// In the extra minute the first single hit wins and doubles do not count. That
// nobody runs down the clock is part of the model: a leader who does wins more
// often than this says. Errors are *BadInput; a score at which the bout is over
// is one.
func (c *Chain) Timed(s Score, k Clock) (Timed, error) {
	if err := k.checkAt(c.format, s); err != nil {
		return Timed{}, err
	}
	switch {
	case k.Extra:
		win, hit := c.extra(k, k.Left)
		return Timed{Win: win, Tied: 1, Extra: win, InTime: hit}, nil
	case k.Unwilling != nil && c.cardsMatter(k):
		return c.timedUnwilling(s, k), nil
	}
	most := phrasesWithin(k, tailSDs, tailExtra)
	lambda := k.PerMinute * float64(k.Left) / 60
	tie, _ := c.extra(k, ExtraMinute)
	extra := float64(tie)
	n := c.format.To
	at := c.at(s)
	win, tied, ended := c.atTime(extra)
	var t struct{ win, tied, ended, weight float64 }
	for phrases := 0; ; phrases++ {
		w := poisson(lambda, phrases)
		t.weight += w
		t.win += float64(w * win[at])
		t.tied += float64(w * tied[at])
		t.ended += float64(w * ended[at])
		if phrases == most {
			break
		}
		for i := s.Me; i < n; i++ { // a value needs only later scores and its own
			for j := s.Opponent; j < n; j++ {
				c.step(win, i, j)
				c.step(tied, i, j)
				c.step(ended, i, j)
			}
		}
	}
	chance := func(v float64) quantity.Chance { return quantity.Chance(min(1, v/t.weight)) }
	return Timed{Win: chance(t.win), Tied: chance(t.tied), Extra: quantity.Chance(extra), InTime: chance(t.ended)}, nil
}

// extra returns the chance to win in the extra minute with so much of it left, and that
// of a hit in it.
func (c *Chain) extra(k Clock, left quantity.Seconds) (win, hit quantity.Chance) {
	single := float64(c.rates.Me) + float64(c.rates.Opponent)
	h := -math.Expm1(-k.PerMinute * float64(left) / 60 * single)
	return quantity.Chance(float64((1-h)*float64(k.Priority)) + h*float64(c.rates.Me)/single), quantity.Chance(h)
}

// phrasesWithin is how many phrases are followed for the time that is left.
func phrasesWithin(k Clock, sds float64, more int) int {
	lambda := k.PerMinute * float64(k.Left) / 60
	return int(lambda+sds*math.Sqrt(lambda)) + more
}

// atTime returns what every score is worth when time is up, whether it is level
// and whether the bout had ended.
func (c *Chain) atTime(extra float64) (win, tied, ended []float64) {
	n := c.format.To
	win, tied, ended = make([]float64, len(c.win)), make([]float64, len(c.win)), make([]float64, len(c.win))
	for i := range n + 1 {
		for j := range n + 1 {
			at := i*(n+1) + j
			switch {
			case i == n || j == n:
				win[at], ended[at] = c.win[at], 1
			case i > j:
				win[at] = 1
			case i == j:
				win[at], tied[at] = extra, 1
			}
		}
	}
	return win, tied, ended
}

// step puts one more phrase before a score. Scores are taken in rising order, so
// that those which it leads to still hold the value with one phrase less.
func (c *Chain) step(v []float64, i, j int) {
	n := c.format.To + 1
	at := i*n + j
	p, q, d := float64(c.rates.Me), float64(c.rates.Opponent), float64(c.rates.Double)
	double := v[at+n+1]
	if c.Void(Score{i, j}) {
		double = v[at]
	}
	v[at] = float64(p*v[at+n]) + float64(q*v[at+1]) + float64(d*double) + float64(max(0, 1-p-q-d)*v[at])
}

// poisson returns e^−λ λ^k/k!.
func poisson(lambda float64, k int) float64 {
	if lambda == 0 {
		if k == 0 {
			return 1
		}
		return 0
	}
	g, _ := math.Lgamma(float64(k) + 1)
	return math.Exp(float64(float64(k)*math.Log(lambda)) - lambda - g)
}

// Values is one score and what the next hit makes of it.
type Values struct {
	Win, AfterHit, AfterHitAgainst, AfterDouble quantity.Chance
	// Importance and DoubleWorth are those of Chain.
	Importance, DoubleWorth quantity.Chance
}

// At returns the values of a score without a clock.
func (c *Chain) At(s Score) Values {
	return valuesOf(c.Win(s), c.AfterHit(s), c.AfterHitAgainst(s), c.AfterDouble(s))
}

// AtTime returns the values of a score with a clock, as if the next hit fell with
// as much time left, and what the clock leaves. Errors are those of Timed.
func (c *Chain) AtTime(s Score, k Clock) (Values, Timed, error) {
	now, err := c.Timed(s, k)
	if err != nil {
		return Values{}, Timed{}, err
	}
	if k.Extra { // a single hit wins, a double does not count
		return valuesOf(now.Win, 1, 0, now.Win), now, nil
	}
	if k.Unwilling != nil { // a hit starts the minute again
		u := *k.Unwilling
		u.Since, k.Unwilling = 0, &u
	}
	after := func(me, opponent int) quantity.Chance {
		next := Score{s.Me + me, s.Opponent + opponent}
		if c.over(next) {
			return c.Win(next)
		}
		v, _ := c.Timed(next, k) // the clock and the score have been checked
		return v.Win
	}
	double := now.Win
	if !c.Void(s) {
		double = after(1, 1)
	}
	return valuesOf(now.Win, after(1, 0), after(0, 1), double), now, nil
}

func valuesOf(win, hit, against, double quantity.Chance) Values {
	return Values{win, hit, against, double, hit - against, double - win}
}
