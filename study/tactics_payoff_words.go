package study

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/tactics/payoff"
)

// wordsOf are the words for the kinds of both sides as a sentence has them: with their
// article, the coach's own words in quotation marks.
func (q *Payoff) wordsOf() payoff.Words {
	nouns := func(kinds []string) []string {
		all := make([]string, len(kinds))
		for i, k := range kinds {
			all[i] = kindNoun(k)
		}
		return all
	}
	return payoff.Words{Mine: nouns(q.Mine), Theirs: nouns(q.Theirs)}
}

// say writes the payoff in sentences.
func (p *payoffRun) say() error {
	out := p.out
	out.Said = append(out.Said, Sentence{{Text: "The phrase begins at "}, {Text: metresWords(out.Gap), From: p.gapSource()}, {Text: " from point to chest: " + p.gap.said + "."}})
	for _, parts := range out.Say(out.wordsOf()) {
		out.Said = append(out.Said, p.sourced(parts))
	}
	for _, c := range out.Courses {
		out.Balances = append(out.Balances, BalanceCourse{Their: c.Choice, Mine: c.Mine, Shares: c.Shares, Worth: c.Worth,
			Habit: out.Habit[c.Choice], Path: p.path(c.Choice), Said: p.sourced(c.Say(out.Advice, out.wordsOf()))})
	}
	return nil
}

// mostPath is how many touches the path of a habit shows.
const mostPath = 8

// path is how often the opponent made a choice, by what was known after each of the last
// touches.
func (p *payoffRun) path(j int) []HabitStand {
	all := []HabitStand{}
	h := p.tacticsRun.out.Habits[p.ask.For.Other()]
	if h == nil {
		return all
	}
	k := slices.IndexFunc(h.Choices, func(c HabitChoice) bool { return c.Kind == p.theirs[j] })
	for _, s := range h.Course {
		if k < 0 || s.Number >= p.tacticsRun.out.At || k >= len(s.Shares) {
			continue
		}
		all = append(all, HabitStand{Number: s.Number, Shares: s.Shares[k : k+1 : k+1], Chose: s.Chose, TooLittle: s.TooLittle})
	}
	return all[max(0, len(all)-mostPath):]
}

// metresWords prints a gap with its interval.
func metresWords(q quantity.Of[quantity.Metres]) string {
	return fmt.Sprintf("%.2f [%.2f,\u00a0%.2f] m", float64(q.Mean), max(0, float64(q.Lo)), float64(q.Hi))
}

// next says what to do at the touch asked about.
func (x *tacticsRun) next() ([]Sentence, error) {
	out := []Sentence{}
	q := x.out.Payoff
	if q == nil {
		return out, nil
	}
	p := &payoffRun{tacticsRun: x, out: q, mine: q.Mine, theirs: q.Theirs}
	w := q.wordsOf()
	add := func(parts []payoff.Part) { out = append(out, p.sourced(parts)) }
	add(q.SayMix(w))
	add(q.SayApart(w))
	for _, n := range q.Next {
		add(n.Say(q.Advice, w))
	}
	add(q.SayScore())
	add(q.SayExpected(w))
	return out, nil
}

// sourced gives the numbers of a sentence their sources.
func (p *payoffRun) sourced(parts []payoff.Part) Sentence {
	var s Sentence
	for _, q := range parts {
		piece := Piece{Text: q.Text}
		if q.Of != "" {
			piece.From = p.from(q.Of)
		}
		s = append(s, piece)
	}
	return s
}

// from is the source of a number, by what payoff.Part calls it.
func (p *payoffRun) from(of string) string {
	f := strings.Split(of, "/")
	at := func(k int) int {
		if k >= len(f) {
			return 0
		}
		n, _ := strconv.Atoi(f[k])
		return n
	}
	switch f[0] {
	case "standing", "after":
		return p.valueSource()
	case "cell":
		return p.out.Cells[at(1)][at(2)].Source
	case "habit":
		return p.habitShareSource(at(1))
	case "shown":
		return p.shownSource()
	case "worth":
		return p.tableSource("worth/"+p.mine[at(1)], fmt.Sprintf("What %s is worth at this touch", kindNoun(p.mine[at(1)])))
	case "ends":
		return p.tableSource("ends/"+p.mine[at(1)], fmt.Sprintf("How %s ends against what they do", kindNoun(p.mine[at(1)])))
	case "balance":
		return p.tableSource("balance/"+p.theirs[at(1)], fmt.Sprintf("The share of %s at which another choice pays", kindNoun(p.theirs[at(1)])))
	}
	return p.tableSource("mix", "The mix that does not hang on what they do")
}

// habitShareSource is the source that the habit has for a choice of the opponent.
func (p *payoffRun) habitShareSource(j int) string {
	other := p.ask.For.Other()
	if h := p.tacticsRun.out.Habits[other]; h != nil {
		for _, c := range h.Choices {
			if c.Kind == p.theirs[j] && c.Source != "" {
				return c.Source
			}
		}
	}
	return p.source(Source{ID: fmt.Sprintf("payoff/%d/habit", p.tacticsRun.out.At), Title: fmt.Sprintf("What %s does", p.called(other)),
		How: "Nothing was seen: what was assumed before.", Prior: "Each choice is credited with the same.", Method: "Habit"})
}

// shownSource says where what was shown to the opponent comes from.
func (p *payoffRun) shownSource() string {
	var touches []int
	for _, l := range p.lines[:p.at] {
		if l.Kinds[p.ask.For] != "" {
			touches = append(touches, l.Number)
		}
	}
	me, them := p.called(p.ask.For), p.called(p.ask.For.Other())
	return p.source(Source{ID: fmt.Sprintf("payoff/%d/shown", p.tacticsRun.out.At), Title: fmt.Sprintf("What %s has shown %s", me, them),
		How: "The habit as the opponent could have counted it: this bout and earlier ones of these two.", Touches: touches, Method: "Habit"})
}

// gapSource says where the measure comes from.
func (p *payoffRun) gapSource() string {
	return p.source(Source{ID: fmt.Sprintf("payoff/%d/gap", p.tacticsRun.out.At), Title: "The measure at which the phrase begins",
		How: upper(p.gap.said) + ", of " + p.called(p.ask.For) + "'s point to the chest.", Reading: p.gap.reading, Method: payoffMethod})
}
