// Package payoff says what each of my choices is worth against each of the
// opponent's at this measure and this score, as a chance to win the bout, and
// from that what best meets the opponent's habit, what that risks and what to do
// next.
//
// Most callers need one call: Advise on a Situation. Everything is seen from
// "me".
//
// The model: one phrase is one meeting of a choice of mine with one of the
// opponent's, both made without knowing the other's. It ends in a single hit for
// me, a double, a single hit for the opponent or nothing, and is worth what the
// bout is worth after that (package chain). After it both go on as the chain has
// it: what this phrase teaches the opponent is told by Counter and Expected, not
// counted in the payoffs.
//
// Nothing here changes its arguments. Equal situations and seeds give equal
// advice.
package payoff

import (
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/tactics/game"
	"mesure/tactics/habit"
)

// Settings, and what is accepted.
const (
	// PriorCount is what each of the four ends of a phrase is credited with where
	// the model is not counted in full: half a count, the prior of Jeffreys (1946).
	PriorCount = 0.5
	// Draws is how often the payoffs and the habit are drawn: the ends of a 95 %
	// interval then hold their place to about 0.7 % of the draws (binomial).
	Draws = 500
	// MostSure is the greatest number of phrases that a model may be worth: beyond
	// it no bout, nor season, would ever correct it.
	MostSure = 1000
	// Stake is how much of the chance to win may be given up, at 97.5 %, if the
	// opponent has seen through the advice: two points of a hundred (our choice, no
	// source).
	Stake quantity.Chance = 0.02
	// SharesTolerance is by how much the four chances of a phrase may miss one:
	// what is typed with a few decimals.
	SharesTolerance = 1e-6
)

// Shares are how a phrase ends: the chances of a single hit for me, of a double,
// of a single hit for the opponent and of nothing. They add up to one.
type Shares struct {
	Me       quantity.Chance `json:"me"`
	Double   quantity.Chance `json:"double"`
	Opponent quantity.Chance `json:"opponent"`
	Nothing  quantity.Chance `json:"nothing"`
}

// Counts are phrases that were seen to end so. They may be fractions, where
// older ones weigh less.
type Counts struct{ Me, Double, Opponent, Nothing float64 }

// Cell is what is known of one choice of mine against one of the opponent's.
type Cell struct {
	// Model is what race and windows say of it; not read where Draws are given.
	Model Shares
	// Draws are draws of the same; draw number d of all cells belongs together, so
	// that what they share (a reaction time, a distance) is shared. They are gone
	// through in turn where there are fewer than are asked for.
	Draws []Shares
	// Sure is how many seen phrases the model is worth. 0 is no model at all where
	// there are no Draws, and as many as their spread tells where there are; where it is
	// fewer than that, the draws are spread further, so that they tell no more.
	Sure float64
	// Seen are the phrases in which these two choices met.
	Seen Counts
}

// Situation is one touch about to be fenced.
type Situation struct {
	// Mine and Theirs name the choices of both sides.
	Mine, Theirs []string
	// Cells has a row for each of my choices and a column for each of the
	// opponent's.
	Cells [][]Cell
	// Weight is that of the model against the counts: 1 the model alone, 0 the
	// counts alone, at ½ both in full, so that the model is worth Sure phrases.
	// Above ½ the counts fade, below ½ the model does.
	Weight quantity.Chance
	// Values are those of this score (ValuesOf, ValuesAt, ValuesExtra): one, or draws
	// of them, gone through in turn.
	Values []Values
	// Habit is the opponent's.
	Habit habit.Habit
	// Shown is mine as the opponent may have seen it; the zero Habit where nothing
	// is known of that.
	Shown habit.Habit
	// Stake is what may be given up if the opponent has seen through the advice;
	// nil for the constant Stake.
	Stake *quantity.Chance
}

// BadInput is what is wrong with a situation, and how to mend it. Field is
// "choices", "cell", "weight", "values", "habit", "shown", "stake" or "draws";
// Row and Column count from 1, 0 where it is no cell.
type BadInput struct {
	Field       string
	Row, Column int
	Text, Mend  string
}

// Error says where and what.
func (b *BadInput) Error() string {
	if b.Row > 0 {
		return fmt.Sprintf("row %d, column %d: %s", b.Row, b.Column, b.Text)
	}
	return b.Text
}

// Hint says how to mend it.
func (b *BadInput) Hint() string { return b.Mend }

// Check returns a *BadInput where a situation cannot be.
func (s Situation) Check() error {
	bad := func(field, text, mend string) error { return &BadInput{field, 0, 0, text, mend} }
	for _, side := range []struct {
		whose string
		names []string
	}{{"mine", s.Mine}, {"the opponent's", s.Theirs}} {
		if n := len(side.names); n < 2 || n > game.MaxChoices {
			return bad("choices", fmt.Sprintf("choices of %s: %d, not from 2 to %d", side.whose, n, game.MaxChoices), "There must be something to choose between, and no choice that is never made.")
		}
		seen := map[string]bool{}
		for i, n := range side.names {
			if n == "" || seen[n] {
				return bad("choices", fmt.Sprintf("choice %d of %s is %q, which is empty or there already", i+1, side.whose, n), "Give every choice a name of its own.")
			}
			seen[n] = true
		}
	}
	if !(s.Weight >= 0 && s.Weight <= 1) {
		return bad("weight", fmt.Sprintf("%g is not a weight of the model", float64(s.Weight)), "It lies between 0, the counts alone, and 1, the model alone.")
	}
	if s.Stake != nil && !(*s.Stake >= 0 && *s.Stake <= 1) {
		return bad("stake", fmt.Sprintf("%g is not a part of the chance to win", float64(*s.Stake)), "Write a number from 0 to 1, such as 0.02.")
	}
	if len(s.Values) == 0 {
		return bad("values", "what the bout is worth after the phrase is not given", "Give at least the values of this score.")
	}
	for _, v := range s.Values {
		for _, c := range []quantity.Chance{v.Me, v.Double, v.Opponent, v.Nothing} {
			if !(c >= 0 && c <= 1) {
				return bad("values", fmt.Sprintf("%g is not a chance to win", float64(c)), "Chances lie between 0 and 1.")
			}
		}
	}
	if err := checkHabit("habit", s.Habit, len(s.Theirs)); err != nil {
		return err
	}
	if s.knowsShown() {
		if err := checkHabit("shown", s.Shown, len(s.Mine)); err != nil {
			return err
		}
	}
	if len(s.Cells) != len(s.Mine) {
		return bad("cell", fmt.Sprintf("rows of the table: %d, choices of mine: %d", len(s.Cells), len(s.Mine)), "Give a row for each of my choices.")
	}
	for i, row := range s.Cells {
		if len(row) != len(s.Theirs) {
			return &BadInput{"cell", i + 1, len(row), fmt.Sprintf("the row ends here, with choices of the opponent: %d", len(s.Theirs)), "Give a cell for each of the opponent's choices."}
		}
		for j, c := range row {
			if text, mend := c.check(float64(s.Weight)); text != "" {
				return &BadInput{"cell", i + 1, j + 1, text, mend}
			}
		}
	}
	return nil
}

func (s Situation) knowsShown() bool { return len(s.Shown.Prior) > 0 || len(s.Shown.Seen) > 0 }

func (s Situation) stake() float64 {
	if s.Stake != nil {
		return float64(*s.Stake)
	}
	return float64(Stake)
}

func checkHabit(field string, h habit.Habit, choices int) error {
	if len(h.Prior) != choices || len(h.Seen) != choices {
		return &BadInput{field, 0, 0, fmt.Sprintf("the habit has %d choices of %d", len(h.Prior), choices), "Estimate it on the same choices, in the same order."}
	}
	for i := range h.Prior {
		if !(h.Prior[i] > 0 && h.Seen[i] >= 0) || math.IsInf(h.Prior[i]+h.Seen[i], 0) {
			return &BadInput{field, 0, 0, fmt.Sprintf("choice %d of the habit has counts %g and %g", i+1, h.Prior[i], h.Seen[i]), "Prior counts are above 0, seen ones from 0."}
		}
	}
	return nil
}

// check returns what is wrong with a cell, or nothing. The numbers that the
// weight leaves out are not asked for, but must not be nonsense.
func (c Cell) check(weight float64) (text, mend string) {
	for _, v := range []float64{c.Seen.Me, c.Seen.Double, c.Seen.Opponent, c.Seen.Nothing} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Sprintf("%g is not a number of phrases", v), "Count phrases from 0."
		}
	}
	if !(c.Sure >= 0 && c.Sure <= MostSure) || c.Sure > 0 && c.Sure < 1 {
		return fmt.Sprintf("%g is not how many phrases a model is worth", c.Sure), fmt.Sprintf("Write 0 for no model, or from 1 to %d.", MostSure)
	}
	if !c.hasModel() {
		if weight == 1 {
			return "the model alone is asked, and there is none", "Give the chances of the four ends, or lower the weight of the model."
		}
		return "", ""
	}
	all := c.Draws
	if len(all) == 0 {
		all = []Shares{c.Model}
	}
	for _, p := range all {
		sum := 0.0
		for _, v := range p.list() {
			if !(v >= 0 && v <= 1) {
				return fmt.Sprintf("%g is not a chance", v), "Chances lie between 0 and 1."
			}
			sum += v
		}
		if !(math.Abs(sum-1) <= SharesTolerance) {
			return fmt.Sprintf("the four ends add up to %g", sum), "A phrase ends in one of them: they must add up to 1."
		}
	}
	return "", ""
}

func (c Cell) hasModel() bool { return c.Sure > 0 || len(c.Draws) > 0 }

func (p Shares) list() [4]float64 {
	return [4]float64{float64(p.Me), float64(p.Double), float64(p.Opponent), float64(p.Nothing)}
}
