// Package chain is the bout as a Markov chain: from what a phrase brings on
// average, the value of every score.
//
// Most callers need New and then Win, Importance and DoubleWorth of a score;
// Timed where the clock may decide; Over where the rates are known only from
// what was seen. Everything is seen from "me", as a chance to win the bout.
//
// The model: phrases are independent and each brings a single hit for me, a
// single hit for the opponent, a double (a hit for both, t.92 of the FIE's
// Technical Rules) or nothing, always with the same chances. Fatigue, habit and
// a change of play at a score are not in it. A team relay to 45 is taken as one
// bout to 45: the stages of five are not in it.
//
// A Chain is never changed once it is made.
package chain

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// Limits of what is accepted.
const (
	// MaxTo is the greatest number of hits that a bout may go to: a relay has 45,
	// and a hundred leaves room.
	MaxTo = 100
	// SumTolerance is by how much the three chances of a phrase may exceed one:
	// what is typed with nine decimals adds up to one within it.
	SumTolerance = 1e-9
)

// Rates are what one phrase brings: the chances of a single hit for me, of one
// for the opponent and of a double. What they leave of one is the chance that
// nobody is hit.
type Rates struct {
	Me       quantity.Chance `json:"me"`
	Opponent quantity.Chance `json:"opponent"`
	Double   quantity.Chance `json:"double"`
}

// Format is how the bout is won.
type Format struct {
	// To is the number of hits that wins: 5, 10, 15, or 45 for a relay.
	To int
	// LastDoubleCounts turns off that a double at one hit from the end for both is
	// void (t.38.1b for pools; universal practice elsewhere). It then ends the bout
	// level, and an even lot decides.
	LastDoubleCounts bool
}

// Score is the hits of both.
type Score struct{ Me, Opponent int }

// BadInput is what is wrong with rates, a format, a score or a clock, and how to
// mend it. Field is "p", "q", "d", "rates", "to", "score", "pace", "left" or
// "priority".
type BadInput struct{ Field, Text, Mend string }

// Error says what is wrong.
func (b *BadInput) Error() string { return b.Text }

// Hint says how to mend it.
func (b *BadInput) Hint() string { return b.Mend }

// Check returns a *BadInput where the rates are not chances, add up to more than
// one, or hold no single hit, without which no bout at the last hit would end.
func (r Rates) Check() error {
	for _, c := range []struct {
		field string
		v     quantity.Chance
	}{{"p", r.Me}, {"q", r.Opponent}, {"d", r.Double}} {
		if !(c.v >= 0 && c.v <= 1) {
			return &BadInput{c.field, fmt.Sprintf("%g is not a chance", float64(c.v)), "Write a number from 0 to 1, such as 0.35."}
		}
	}
	if s := r.sum(); s > 1+SumTolerance {
		return &BadInput{"rates", fmt.Sprintf("p, q and d add up to %.6g, more than one", s), "They are shares of the same phrases: lower one of them."}
	}
	if r.Me+r.Opponent == 0 {
		return &BadInput{"rates", "nobody ever hits alone, so the bout cannot be decided", "Give p or q a chance above 0."}
	}
	return nil
}

func (r Rates) sum() float64 { return float64(r.Me) + float64(r.Opponent) + float64(r.Double) }

// hits returns the chances of a phrase that ends in a hit.
func (r Rates) hits() (p, q, d float64) {
	s := r.sum()
	return float64(r.Me) / s, float64(r.Opponent) / s, float64(r.Double) / s
}

// Check returns a *BadInput where no bout goes to this number of hits.
func (f Format) Check() error {
	if f.To < 1 || f.To > MaxTo {
		return &BadInput{"to", fmt.Sprintf("a bout to %d hits is not between 1 and %d", f.To, MaxTo), "A pool goes to 5, direct elimination to 15, a relay to 45."}
	}
	return nil
}

// CheckScore returns a *BadInput where a bout of this format cannot stand so, or
// where it is over.
func (f Format) CheckScore(s Score) error {
	switch {
	case s.Me < 0 || s.Opponent < 0:
		return &BadInput{"score", fmt.Sprintf("%d–%d is not a score", s.Me, s.Opponent), "Hits are counted from 0."}
	case s.Me > f.To || s.Opponent > f.To:
		return &BadInput{"score", fmt.Sprintf("%d–%d goes beyond a bout to %d", s.Me, s.Opponent, f.To), "Name a score of this bout, or a bout to more hits."}
	case s.Me == f.To || s.Opponent == f.To:
		return &BadInput{"score", fmt.Sprintf("at %d–%d a bout to %d is over", s.Me, s.Opponent, f.To), "Name a score before the last hit."}
	}
	return nil
}

// Chain is the value of every score of a bout.
type Chain struct {
	format  Format
	rates   Rates
	p, q, d float64   // of a phrase that ends in a hit
	win     []float64 // (To+1)² values, row by row of my hits
	phrases []float64
}

// New values every score of a bout:
//
//	W(i,j) = p·W(i+1,j) + q·W(i,j+1) + d·W(i+1,j+1),  W(N,j) = 1,  W(i,N) = 0
//	W(N−1,N−1) = p/(p+q), or p + d/2 where the last double counts
//
// with p, q, d of a phrase that ends in a hit: phrases without one change
// nothing but the time. Errors are *BadInput.
func New(f Format, r Rates) (*Chain, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	if err := r.Check(); err != nil {
		return nil, err
	}
	c := &Chain{format: f, rates: r}
	c.p, c.q, c.d = r.hits()
	n := f.To
	c.win, c.phrases = make([]float64, (n+1)*(n+1)), make([]float64, (n+1)*(n+1))
	for i := n; i >= 0; i-- {
		for j := n; j >= 0; j-- {
			at := i*(n+1) + j
			switch {
			case i == n && j == n:
				c.win[at] = 0.5
			case i == n:
				c.win[at] = 1
			case j == n:
			case i == n-1 && j == n-1 && !f.LastDoubleCounts:
				c.win[at] = c.p / (c.p + c.q)
				c.phrases[at] = 1 / (c.p + c.q)
			default:
				c.win[at] = c.mean(c.win, at)
				c.phrases[at] = 1 + c.mean(c.phrases, at)
			}
		}
	}
	return c, nil
}

// mean is what the next hit leads to on average, of a table with a row for each
// number of my hits.
func (c *Chain) mean(table []float64, at int) float64 {
	n := c.format.To + 1
	return float64(c.p*table[at+n]) + float64(c.q*table[at+1]) + float64(c.d*table[at+n+1])
}

// at returns the place of a score; a score beyond the bout is a mistake of the
// caller (CheckScore tells).
func (c *Chain) at(s Score) int {
	if n := c.format.To; s.Me < 0 || s.Opponent < 0 || s.Me > n || s.Opponent > n {
		panic("chain: a score beyond the bout")
	}
	return s.Me*(c.format.To+1) + s.Opponent
}

// over reports whether nothing follows this score.
func (c *Chain) over(s Score) bool { return s.Me == c.format.To || s.Opponent == c.format.To }

// Win returns the chance to win the bout from this score. It panics on a score
// beyond the bout, as all methods of Chain do.
func (c *Chain) Win(s Score) quantity.Chance { return quantity.Chance(c.win[c.at(s)]) }

// AfterHit returns the chance to win once I have hit alone; at the end of the
// bout nothing changes.
func (c *Chain) AfterHit(s Score) quantity.Chance { return c.after(s, 1, 0) }

// AfterHitAgainst returns the chance to win once the opponent has hit alone.
func (c *Chain) AfterHitAgainst(s Score) quantity.Chance { return c.after(s, 0, 1) }

// AfterDouble returns the chance to win once both have hit.
func (c *Chain) AfterDouble(s Score) quantity.Chance {
	if c.Void(s) {
		return c.Win(s)
	}
	return c.after(s, 1, 1)
}

func (c *Chain) after(s Score, me, opponent int) quantity.Chance {
	if c.over(s) {
		return c.Win(s)
	}
	return c.Win(Score{s.Me + me, s.Opponent + opponent})
}

// Void reports whether a double counts for nobody at this score.
func (c *Chain) Void(s Score) bool {
	return !c.format.LastDoubleCounts && s.Me == c.format.To-1 && s.Opponent == c.format.To-1
}

// Importance returns what hangs on the next single hit: the chance to win after
// one of mine less that after one of the opponent's, W(i+1,j) − W(i,j+1).
//
// Source: Morris, "The most important points in tennis", in Optimal Strategies in
// Sports (1977), for points (recalled).
func (c *Chain) Importance(s Score) quantity.Chance { return c.AfterHit(s) - c.AfterHitAgainst(s) }

// DoubleWorth returns what a double changes in the chance to win,
// W(i+1,j+1) − W(i,j): above 0 it is worth something to me. Between equal
// fencers its sign is that of the lead.
func (c *Chain) DoubleWorth(s Score) quantity.Chance { return c.AfterDouble(s) - c.Win(s) }

// Phrases returns how many phrases are still to come on average, those without
// a hit and void doubles among them.
func (c *Chain) Phrases(s Score) quantity.Ratio {
	return quantity.Ratio(c.phrases[c.at(s)] / c.rates.sum())
}

// Final is a score at which the bout may end, and how likely.
type Final struct {
	Score
	Chance quantity.Chance
}

// Finals returns every score at which the bout may end from here, by my hits and
// then the opponent's. The chances add up to one.
func (c *Chain) Finals(from Score) []Final {
	n := c.format.To
	c.at(from)
	reach := make([]float64, (n+1)*(n+1))
	reach[c.at(from)] = 1
	var all []Final
	for i := from.Me; i <= n; i++ {
		for j := from.Opponent; j <= n; j++ {
			s := Score{i, j}
			r := reach[c.at(s)]
			if c.over(s) {
				if i != j || c.format.LastDoubleCounts || s == from {
					all = append(all, Final{s, quantity.Chance(r)})
				}
				continue
			}
			p, q, d := c.p, c.q, c.d
			if c.Void(s) {
				p, q, d = p/(p+q), q/(p+q), 0
			}
			reach[c.at(Score{i + 1, j})] += float64(r * p)
			reach[c.at(Score{i, j + 1})] += float64(r * q)
			reach[c.at(Score{i + 1, j + 1})] += float64(r * d)
		}
	}
	return all
}

// finite reports whether a number is one.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
