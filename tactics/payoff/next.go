package payoff

import (
	"slices"

	"mesure/quantity"
	"mesure/tactics/game"
)

// Best is how many choices are named for the next touch.
const Best = 3

// Expected is what the opponent will likely expect of me, if they have counted my
// choices as we count theirs.
type Expected struct {
	// Habit is mine as it was shown, TooLittle whether that is too little to expect
	// anything.
	Habit     []quantity.Of[quantity.Chance] `json:"habit"`
	TooLittle bool                           `json:"too_little"`
	// Choice is the one I made most.
	Choice int `json:"choice"`
	// Answer is the opponent's best reply to what was shown.
	Answer int `json:"answer"`
	// Likely is how likely that reply is their best over the draws.
	Likely quantity.Of[quantity.Chance] `json:"likely"`
}

// Next is one of the best choices for the touch to come.
type Next struct {
	Choice int `json:"choice"`
	Standing
	// Ends is how the phrase ends if the opponent follows the habit.
	Ends Ends `json:"ends"`
	// Pays is the choice of the opponent to which it owes the most: where the gain on
	// the average of my choices, times how often it comes, is the greatest.
	Pays int `json:"pays"`
	// PaysWorth is what it is worth against Pays.
	PaysWorth quantity.Of[quantity.Chance] `json:"pays_worth"`
	// Cost is what a single hit for the opponent takes from the chance to win at this
	// score, Risk how much of it is lost that way on average: Cost times its chance.
	Cost quantity.Of[quantity.Ratio] `json:"cost"`
	Risk quantity.Of[quantity.Ratio] `json:"risk"`
	// Double is what a double changes in the chance to win at this score.
	Double quantity.Of[quantity.Ratio] `json:"double"`
	// Shown is how often the opponent has seen me make it; nil where that is unknown.
	Shown *quantity.Of[quantity.Chance] `json:"shown"`
	// Foreseen is what it is worth if the opponent makes the reply that answers what
	// I have shown; nil where that is unknown or too little was shown.
	Foreseen *quantity.Of[quantity.Chance] `json:"foreseen"`
}

// expected looks at my choices with the opponent's eyes.
func (t *drawn) expected(s Situation) *Expected {
	if !s.knowsShown() {
		return nil
	}
	mix := s.Shown.Mix()
	e := &Expected{Habit: s.Shown.All(), TooLittle: s.Shown.TooLittle(), Choice: ranked(mix)[0]}
	left := game.Against(t.mean, mix)
	e.Answer = slices.Index(left, slices.Min(left))
	n := 0
	for _, a := range t.tables {
		w := game.Against(a, mix)
		if w[e.Answer] == slices.Min(w) {
			n++
		}
	}
	e.Likely = quantity.FromCounts(n, len(t.tables))
	return e
}

// next describes the best choices, the best first.
func (t *drawn) next(a Advice) []Next {
	order := ranked(game.Worth(t.mean, t.habit))
	average := make([]float64, len(t.habit))
	for _, row := range t.mean {
		for j, v := range row {
			average[j] += v / float64(len(t.mean))
		}
	}
	var all []Next
	for _, i := range order[:min(Best, len(order))] {
		n := Next{Choice: i, Standing: a.Standings[i], Ends: t.against(i)}
		gain := make([]float64, len(average))
		for j, v := range average {
			gain[j] = float64(t.habit[j] * (t.mean[i][j] - v))
		}
		n.Pays = ranked(gain)[0]
		n.PaysWorth = t.cell(i, n.Pays)
		risk := t.series()
		meanRisk := float64((t.meanValues[3] - t.meanValues[2]) * float64(n.Ends.Opponent.Mean))
		for d := range risk {
			hit := 0.0
			for j, y := range t.habits[d] {
				hit += float64(y * t.shares[i][j][2][d])
			}
			risk[d] = quantity.Ratio((t.values[3][d] - t.values[2][d]) * hit)
		}
		n.Cost, n.Double = a.Stakes.Cost, a.Stakes.Double
		n.Risk = about(meanRisk, quantity.FromDraws(risk))
		if e := a.Expected; e != nil {
			n.Shown = &e.Habit[i]
			if !e.TooLittle {
				v := t.cell(i, e.Answer)
				n.Foreseen = &v
			}
		}
		all = append(all, n)
	}
	return all
}
