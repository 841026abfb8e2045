package habit

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"mesure/quantity"
)

// Changes of habit.
const (
	// ChangeEvery is how many choices a habit lasts on average (our choice, no source:
	// about the phrases of a bout to 15).
	ChangeEvery = 24
	// NewBout is the chance that a bout begins with another habit than the earlier bouts
	// show (our choice, no source).
	NewBout = 0.25
	// ChangeLevel is the chance from which a change is spoken of: as sure as an interval.
	// How often that is a false alarm is in doc/habits.md.
	ChangeLevel quantity.Chance = quantity.Coverage
	// Pruned is the weight of the least likely beginnings that a law leaves out, all
	// together: less than the ends of a 95 % interval show.
	Pruned = 1e-3
	// MostChanging is the greatest number of choices in which a change is looked for: the
	// exact law costs the square of it, and no bout has as many.
	MostChanging = 1000
)

// Sequence is what a change of habit is looked for in.
type Sequence struct {
	// Choices is how many kinds there are, Seen what was chosen, the oldest first.
	Choices int
	Seen    []int
	// Prior counts of each choice; nil: PriorCount each.
	Prior []float64
	// Earlier is the weight of each choice in earlier bouts, such as Seen of an Estimate;
	// nil: nothing is known.
	Earlier []float64
	// Every is how many choices a habit lasts on average; 0: ChangeEvery.
	Every float64
}

// Changing is what a sequence of choices says of changes of habit: how likely the habit
// is to have begun at each choice, after each choice.
type Changing struct {
	seq   Sequence
	prior []float64
	// runs[t][s+1] is how likely, after t choices, the habit is to have begun with choice
	// s; s = −1 is the habit of earlier bouts.
	runs [][]float64
	// evidence is the logarithm of the chance of the whole sequence.
	evidence float64
}

// ChangeOf returns when the habit of a sequence is likely to have changed. Between any
// two choices the habit becomes another one with chance 1/every; each habit is drawn
// from Dirichlet(prior), the first one, with chance 1 − NewBout, from
// Dirichlet(prior + earlier). With r_t(s) the chance that the habit that made choice t
// began with choice s, by Bayes
//
//	r_t+1(s) ∝ (1 − 1/every)·r_t(s)·P(x_t+1 | x_s … x_t),   s ≤ t
//	r_t+1(t+1) ∝ 1/every·P(x_t+1)
//
// with P(x | x_s … x_t) = (prior_x + n_x)/Σ(prior + n), n the counts from s to t. This
// is exact: no cut is left out. Errors are *BadInput.
//
// Source: the product partition of Barry and Hartigan, J. Am. Stat. Assoc. 88:309
// (1993), by the recursion over the run length of Adams and MacKay, "Bayesian Online
// Changepoint Detection" (2007) (both recalled).
func ChangeOf(q Sequence) (Changing, error) {
	if len(q.Seen) > MostChanging {
		return Changing{}, &BadInput{fmt.Sprintf("%d choices are more than %d", len(q.Seen), MostChanging), "Take those of one bout."}
	}
	if q.Every == 0 {
		q.Every = ChangeEvery
	}
	if !(q.Every > 1) {
		return Changing{}, &BadInput{fmt.Sprintf("a habit that lasts %g choices is none", q.Every), "Write a number of choices above 1."}
	}
	fresh, err := Estimate(q.Choices, q.Prior, Source{Choices: q.Seen, Weight: 1})
	if err != nil {
		return Changing{}, err
	}
	c := Changing{seq: q, prior: fresh.Prior}
	if q.Earlier != nil && len(q.Earlier) != q.Choices {
		return Changing{}, &BadInput{fmt.Sprintf("%d earlier counts for %d choices", len(q.Earlier), q.Choices), "Give each choice what it weighs in earlier bouts."}
	}
	for _, v := range q.Earlier {
		if !(v >= 0) || math.IsInf(v, 0) {
			return Changing{}, &BadInput{fmt.Sprintf("%g is not a weight of earlier choices", v), "Weights begin at 0."}
		}
	}
	c.run(1 / q.Every)
	return c, nil
}

// run goes through the sequence with a chance of a change between any two choices.
func (c *Changing) run(change float64) {
	n := len(c.seq.Seen)
	counts, totals := make([][]float64, 1, n+2), make([]float64, 1, n+2) // by beginning, −1 first
	counts[0] = slices.Clone(c.prior)
	for i, v := range c.seq.Earlier {
		counts[0][i] += v
	}
	totals[0] = sum(counts[0])
	now := []float64{0} // the first habit is a new one where nothing is known of earlier bouts
	if sum(c.seq.Earlier) > 0 {
		now[0] = 1 - NewBout
	}
	c.runs = append(c.runs, slices.Clone(now))
	for t, x := range c.seq.Seen {
		stays := 1 - change
		begins := change
		if t == 0 {
			stays, begins = 1, 1-now[0]
		}
		counts, totals = append(counts, slices.Clone(c.prior)), append(totals, sum(c.prior))
		for s := range now {
			now[s] *= stays * counts[s][x] / totals[s]
		}
		now = append(now, begins*counts[t+1][x]/totals[t+1])
		whole := sum(now)
		c.evidence += math.Log(whole)
		for s := range now {
			now[s] /= whole
			counts[s][x]++
			totals[s]++
		}
		c.runs = append(c.runs, slices.Clone(now))
	}
}

// Len is how many choices were looked at.
func (c Changing) Len() int { return len(c.seq.Seen) }

// Evidence returns the natural logarithm of the chance of the sequence as a whole, over
// all cuts: for a comparison of two models.
func (c Changing) Evidence() float64 { return c.evidence }

// Began returns how likely, after so many choices, the habit is to have begun with each
// of them. What is missing to 1 is the habit of earlier bouts.
func (c Changing) Began(after int) []quantity.Chance {
	all := make([]quantity.Chance, after)
	for s := range all {
		all[s] = quantity.Chance(c.runs[after][s+1])
	}
	return all
}

// Any returns how likely the habit changed at all among the choices.
func (c Changing) Any() quantity.Chance {
	p := 0.0
	for s := 1; s < c.Len(); s++ {
		p += c.runs[c.Len()][s+1]
	}
	return quantity.Chance(min(1, p))
}

// Habit returns the habit after so many choices: the mean, over all choices with which
// it may have begun, of the law Dirichlet(prior + what was seen since). Like is how
// alike the situation of each choice was to the one asked about, as in Source, and
// earlier what earlier bouts weigh in that situation; nil takes all as the same. When it
// began is told by all choices alike. That it changes at the very next choice is not in
// it: see Next.
func (c Changing) Habit(after int, like, earlier []float64) Habit {
	return mean(c.prior, c.partsAt(after, like, earlier, 1))
}

// Next returns the law for the next choice after so many: as Habit, with the chance that
// the habit changes just then, which says nothing but the prior.
func (c Changing) Next(after int, like, earlier []float64) Habit {
	every := c.seq.Every
	all := c.partsAt(after, like, earlier, 1-1/every)
	return mean(c.prior, append(all, part{1 / every, slices.Clone(c.prior), sum(c.prior)}))
}

// partsAt returns a law for each beginning, −1 first, and what it weighs of whole.
func (c Changing) partsAt(after int, like, earlier []float64, whole float64) []part {
	if earlier == nil {
		earlier = c.seq.Earlier
	}
	all := make([]part, after+1)
	counts := slices.Clone(c.prior)
	for s := after; s >= 0; s-- {
		if s < after {
			w := 1.0
			if like != nil {
				w = like[s]
			}
			counts[c.seq.Seen[s]] += w
		}
		k := s + 1 // the habit that began with choice s
		if s == after {
			continue
		}
		all[k] = part{weight: whole * c.runs[after][k], counts: slices.Clone(counts)}
	}
	for i, v := range earlier {
		counts[i] += v
	}
	all[0] = part{weight: whole * c.runs[after][0], counts: counts}
	if after == 0 { // a new habit, before its first choice
		all = append(all, part{weight: whole * (1 - c.runs[0][0]), counts: slices.Clone(c.prior)})
	}
	for i := range all {
		all[i].total = sum(all[i].counts)
	}
	return all
}

// mean joins laws, without the least likely ones.
func mean(prior []float64, all []part) Habit {
	all = slices.DeleteFunc(all, func(p part) bool { return p.weight <= 0 })
	slices.SortStableFunc(all, func(a, b part) int { return cmp.Compare(b.weight, a.weight) })
	whole := 0.0
	for _, p := range all {
		whole += p.weight
	}
	left := 0.0
	for len(all) > 1 && left+all[len(all)-1].weight < Pruned*whole {
		left += all[len(all)-1].weight
		all = all[:len(all)-1]
	}
	h := Habit{Prior: slices.Clone(prior), Seen: make([]float64, len(prior)), parts: all}
	for i := range all {
		all[i].weight /= whole - left
		for k, v := range all[i].counts {
			h.Seen[k] += all[i].weight * (v - prior[k])
		}
	}
	if len(all) == 1 {
		h.parts = nil
	}
	return h
}
