package study

import (
	"math"

	"mesure/sport/bout"
	"mesure/tactics/habit"
	"mesure/tactics/payoff"
)

// metPair is how often one choice of mine met one of the opponent's, and how that ended.
type metPair struct {
	counts  payoff.Counts
	touches []int
	bouts   []SourceBout
}

// counts are the phrases in which two choices met, seen from For: of this bout before
// the touch asked about, fading with age as habits do and weighing less where the
// situation was another one; and of earlier bouts, with the weights of habits.
func (p *payoffRun) counts() [][]metPair {
	met := make([][]metPair, len(p.mine))
	for i := range met {
		met[i] = make([]metPair, len(p.theirs))
	}
	row, column := places(p.mine), places(p.theirs)
	me, them := p.ask.For, p.ask.For.Other()
	at := p.situationAt(p.at, me)
	age := 0
	for k := p.at - 1; k >= 0; k-- {
		l := p.lines[k]
		i, ok := row[l.Kinds[me]]
		j, ok2 := column[l.Kinds[them]]
		if l.Kinds[me] == "" || l.Kinds[them] == "" {
			continue
		}
		w := habit.ThisBout * math.Exp2(-float64(age)/habit.HalfLife) * alike(at, l.Situation[me])
		age++
		if !ok || !ok2 {
			continue
		}
		met[i][j].add(outcomeFor(l.outcome(), me), w)
		met[i][j].touches = append([]int{l.Number}, met[i][j].touches...)
	}
	p.earlierCounts(met, row, column, at)
	return met
}

func places(kinds []string) map[string]int {
	m := map[string]int{}
	for i, k := range kinds {
		m[k] = i
	}
	return m
}

// earlierCounts adds earlier bouts: choices of For, and those of the opponent against
// others, fromOther.
func (p *payoffRun) earlierCounts(met [][]metPair, row, column map[string]int, at Situation) {
	b := p.ask.Bout
	me, them := bout.NameKey(b.Fencer(p.ask.For).Name), bout.NameKey(b.Fencer(p.ask.For.Other()).Name)
	var ages [2]int // with this opponent, with others
	for k := len(p.ask.Past) - 1; k >= 0; k-- {
		a := p.ask.Past[k]
		if a.Choice == "" || a.Answer == "" || a.Outcome == "" || a.Bout != "" && a.Bout == p.ask.ID ||
			a.Weapon != "" && a.Weapon != b.Weapon || a.Day != "" && b.Date != "" && a.Day > b.Date {
			continue
		}
		fencer, opponent := bout.NameKey(a.Fencer), bout.NameKey(a.Opponent)
		mine, theirs, outcome, was := a.Choice, a.Answer, a.Outcome, Situation{Score: scoreState(a.Mine, a.Theirs, a.To), Measure: a.Measure}
		switch {
		case fencer != "" && fencer == me:
		case fencer != "" && fencer == them && opponent != me:
			mine, theirs, outcome = a.Answer, a.Choice, fromOther(a.Outcome)
			was.Score = scoreState(a.Theirs, a.Mine, a.To)
		default: // the same touch seen from the other side, or of somebody else
			continue
		}
		group, weight := 1, float64(habit.OtherBouts)
		if fencer == me && opponent == them && them != "" {
			group, weight = 0, habit.SameOpponent
		}
		w := weight * math.Exp2(-float64(ages[group])/habit.EarlierHalfLife) * alike(Situation{Score: at.Score, Measure: at.Measure, Must: at.Must}, was)
		ages[group]++
		i, ok := row[p.kindOf(mine)]
		j, ok2 := column[p.kindOf(theirs)]
		if !ok || !ok2 {
			continue
		}
		met[i][j].add(outcome, w)
		c := earlierChoice{bout: a.Bout, day: a.Day, with: a.Opponent}
		met[i][j].bouts = countBout(met[i][j].bouts, c)
	}
}

// add counts one phrase.
func (m *metPair) add(outcome string, w float64) {
	switch outcome {
	case OutcomeHit:
		m.counts.Me += w
	case OutcomeAgainst:
		m.counts.Opponent += w
	case OutcomeDouble:
		m.counts.Double += w
	case OutcomeNothing:
		m.counts.Nothing += w
	}
}

// fromOther is an outcome seen from the other side.
func fromOther(outcome string) string {
	switch outcome {
	case OutcomeHit:
		return OutcomeAgainst
	case OutcomeAgainst:
		return OutcomeHit
	}
	return outcome
}
