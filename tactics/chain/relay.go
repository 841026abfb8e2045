package chain

import (
	"fmt"

	"mesure/quantity"
)

// Relay is the value of every score of a team relay: stages that follow each other,
// each with the rates of the pair that fences it. Nothing of it is changed once it is
// made.
type Relay struct {
	format Format
	step   int
	// stages and win: of each stage the rates, and the values of the scores at which it
	// may stand, (step·k)² of them for stage k.
	stages []stage
}

type stage struct {
	rates   Rates
	p, q, d float64 // of a phrase that ends in a hit
	win     []float64
}

// NewRelay values every score of a relay of so many stages as there are rates. Stage k
// ends when one side or both reach k·N/stages hits (t.41 of the FIE's Technical Rules),
// and what it leaves unfinished the next carries on:
//
//	W_k(i,j) = p_k·W(i+1,j) + q_k·W(i,j+1) + d_k·W(i+1,j+1), each W that of stage k
//	until max(i,j) = k·N/stages, of stage k+1 from there; the end as in New
//
// With the same rates in every stage it is the chain of New. Time is not in it: stages
// end by hits. It returns a *BadInput where the hits do not divide into the stages, and
// where rates are none.
func NewRelay(f Format, stages []Rates) (*Relay, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	if n := len(stages); n == 0 || f.To%n != 0 {
		return nil, &BadInput{"to", fmt.Sprintf("%d hits do not divide into %d stages", f.To, n), "A relay has nine stages of five hits each."}
	}
	r := &Relay{format: f, step: f.To / len(stages), stages: make([]stage, len(stages))}
	for k := len(stages); k >= 1; k-- {
		if err := stages[k-1].Check(); err != nil {
			return nil, err
		}
		s := &r.stages[k-1]
		s.rates = stages[k-1]
		s.p, s.q, s.d = s.rates.hits()
		to := k * r.step
		s.win = make([]float64, to*to)
		for i := to - 1; i >= 0; i-- {
			for j := to - 1; j >= 0; j-- {
				w := &s.win[i*to+j]
				if i == f.To-1 && j == f.To-1 && !f.LastDoubleCounts {
					*w = s.p / (s.p + s.q)
					continue
				}
				*w = float64(s.p*r.win(k, i+1, j)) + float64(s.q*r.win(k, i, j+1)) + float64(s.d*r.win(k, i+1, j+1))
			}
		}
	}
	return r, nil
}

// win is the value of a score in stage k, of the next stage where k is over.
func (r *Relay) win(k, i, j int) float64 {
	switch n := r.format.To; {
	case i >= n && j >= n:
		return 0.5
	case i >= n:
		return 1
	case j >= n:
		return 0
	case max(i, j) >= k*r.step:
		k++
	}
	to := k * r.step
	return r.stages[k-1].win[i*to+j]
}

// Stage returns the stage, from 1, that a score stands in where every stage before it
// ended by hits: the first that this score does not end; the last where the relay is
// over.
func (r *Relay) Stage(s Score) int {
	return min(max(s.Me, s.Opponent)/r.step+1, len(r.stages))
}

// during is the stage in which a score is valued: the one named, or the next one that
// the score does not end. A stage or score beyond the relay is a mistake of the caller.
func (r *Relay) during(k int, s Score) int {
	if n := r.format.To; k < 1 || k > len(r.stages) || s.Me < 0 || s.Opponent < 0 || s.Me > n || s.Opponent > n {
		panic("chain: a stage or a score beyond the relay")
	}
	return max(k, r.Stage(s))
}

// Win returns the chance to win the relay from this score in stage k, from 1. In a
// stage that this score has ended, it is the next one. It panics on a stage or a score
// beyond the relay, as all methods of Relay do.
func (r *Relay) Win(k int, s Score) quantity.Chance {
	return quantity.Chance(r.win(r.during(k, s), s.Me, s.Opponent))
}

// Void reports whether a double counts for nobody at this score.
func (r *Relay) Void(s Score) bool {
	return !r.format.LastDoubleCounts && s.Me == r.format.To-1 && s.Opponent == r.format.To-1
}

// At returns the values of a score in stage k, as Chain.At does; of a relay that is
// over, its result.
func (r *Relay) At(k int, s Score) Values {
	now := r.Win(k, s)
	if s.Me == r.format.To || s.Opponent == r.format.To {
		return valuesOf(now, now, now, now)
	}
	k = r.during(k, s)
	after := func(me, opponent int) quantity.Chance {
		return quantity.Chance(r.win(k, s.Me+me, s.Opponent+opponent))
	}
	double := now
	if !r.Void(s) {
		double = after(1, 1)
	}
	return valuesOf(now, after(1, 0), after(0, 1), double)
}

// StageEnd is a score at which a stage may end, how likely, and what the relay is worth
// then.
type StageEnd struct {
	Final
	Win quantity.Chance
}

// StageValue is one stage from the score at which it stands.
type StageValue struct {
	// Win is the chance to win the relay.
	Win quantity.Chance
	// Me and Opponent are the hits that the stage brings on average.
	Me, Opponent quantity.Ratio
	// Swing is how much the stage changes the chance to win on average, in whichever
	// direction: Σ P(end)·|W(end) − W|. A stage on which much hangs has a large one.
	Swing quantity.Chance
	// Ends are the scores at which it may end, by my hits and then the opponent's. Their
	// chances add up to one.
	Ends []StageEnd
}

// StageFrom values stage k from the score at which it stands.
func (r *Relay) StageFrom(k int, from Score) StageValue {
	v := StageValue{Win: r.Win(k, from)}
	k = r.during(k, from)
	to, x := k*r.step, r.stages[k-1]
	width := to + 1
	reach := make([]float64, width*width)
	if max(from.Me, from.Opponent) > to {
		panic("chain: a score beyond the stage")
	}
	reach[from.Me*width+from.Opponent] = 1
	for i := from.Me; i <= to; i++ {
		for j := from.Opponent; j <= to; j++ {
			c := reach[i*width+j]
			s := Score{i, j}
			switch {
			case max(i, j) < to:
				p, q, d := x.p, x.q, x.d
				if r.Void(s) {
					p, q, d = p/(p+q), q/(p+q), 0
				}
				reach[(i+1)*width+j] += float64(c * p)
				reach[i*width+j+1] += float64(c * q)
				reach[(i+1)*width+j+1] += float64(c * d)
			case c > 0 || s == from:
				e := StageEnd{Final{s, quantity.Chance(c)}, r.Win(k, s)}
				v.Ends = append(v.Ends, e)
				v.Me += quantity.Ratio(float64(e.Chance) * float64(i-from.Me))
				v.Opponent += quantity.Ratio(float64(e.Chance) * float64(j-from.Opponent))
				v.Swing += e.Chance * max(e.Win-v.Win, v.Win-e.Win)
			}
		}
	}
	return v
}
