package study

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"mesure/sport/bout"
	"mesure/tactics/habit"
	"mesure/tactics/payoff"
)

// What goes into payoffs.
const (
	// MostKinds is how many choices a side is offered: what a coach still overlooks.
	MostKinds = 8
	// ModelSure is the greatest number of seen phrases that race and windows are worth:
	// those of one bout to 15, in the mean 20 that end in a hit (figures of three counts
	// of senior bouts). Their own draws say nothing of what the model leaves out.
	ModelSure = 20
	// payoffStream keeps these draws apart from others of the same seed.
	payoffStream = 0x7061796f // "payo"
)

// payoffRun is the payoffs of one touch on their way.
type payoffRun struct {
	*tacticsRun
	mine, theirs []string // kinds of For and of the opponent
	gap          payoffGap
	habit, shown habit.Habit
	theirHabit   *Habit
	cells        [][]PayoffCell
	situation    payoff.Situation
	timed        bool // whether the time that is left is in the values
	out          *Payoff
}

// payoffs values every pair of choices before the touch asked about.
func (x *tacticsRun) payoffs() error {
	b := x.ask.Bout
	lacking := func(why, mend string) error {
		x.lacks(Lack{Part: PartPayoff, Both: true, Why: why, Mend: mend})
		return nil
	}
	switch s := x.out.Score; {
	case b.Weapon != bout.Epee:
		return lacking("What each choice is worth is told for épée alone: in foil and sabre priority decides, which the tool does not know.", "")
	case b.Touches > 0 && max(s.Left, s.Right) >= b.Touches:
		return lacking("The bout is decided before this touch: no choice is worth anything more.", "Ask about an earlier touch.")
	}
	p := &payoffRun{tacticsRun: x, out: &Payoff{Said: []Sentence{}, Balances: []BalanceCourse{}}}
	if err := p.choices(); err != nil {
		return err
	}
	if err := p.value(); err != nil {
		return err
	}
	if err := p.meet(); err != nil {
		return err
	}
	return p.advise()
}

// choices settles what both sides may do, and what is known of how often they do it.
func (p *payoffRun) choices() error {
	me, them := p.ask.For, p.ask.For.Other()
	h := p.tacticsRun.out.Habits[them]
	if h == nil {
		var err error
		if h, err = p.habitAt(them, p.at); err != nil {
			return err
		}
	}
	p.theirHabit = h
	var err error
	if p.theirs, p.habit, err = p.offered(h.Kinds, h.Law, p.ask.Theirs, "/theirs"); err != nil {
		return err
	}
	e, err := p.seen(me, p.at, p.situationAt(p.at, me), true)
	if err != nil {
		return err
	}
	shown, err := e.law()
	if err != nil {
		return refusedChoices(me, err)
	}
	if p.mine, p.shown, err = p.offered(e.kinds, shown, p.ask.Mine, "/mine"); err != nil {
		return err
	}
	seen := e.after
	for _, n := range e.opponent {
		seen += n
	}
	if seen == 0 {
		p.shown = habit.Habit{} // the opponent has seen nothing
	}
	return nil
}

// offered cuts kinds down to MostKinds, the trade's and then those of own words that
// weigh the most, and the law with them: what is left of a Dirichlet law keeps its
// counts.
func (p *payoffRun) offered(kinds []string, law habit.Habit, asked []string, at string) ([]string, habit.Habit, error) {
	if len(asked) > MostKinds {
		return nil, law, &Refusal{At: at, What: fmt.Sprintf("%d choices are more than the %d that a table holds", len(asked), MostKinds), Mend: "Name those that matter at this touch."}
	}
	keep := make([]int, len(kinds))
	for k := range keep {
		keep[k] = k
	}
	slices.SortStableFunc(keep, func(a, b int) int {
		switch ta, tb := planOf(kinds[a]) != "", planOf(kinds[b]) != ""; {
		case ta != tb && ta:
			return -1
		case ta != tb:
			return 1
		case law.Seen[a] > law.Seen[b]:
			return -1
		case law.Seen[a] < law.Seen[b]:
			return 1
		}
		return 0
	})
	alone := p.weight() == 1 // without a model an own word has nothing to stand on
	keep = slices.DeleteFunc(keep, func(k int) bool { return alone && planOf(kinds[k]) == "" })
	if left := len(keep) - MostKinds; left > 0 {
		keep = keep[:MostKinds]
	}
	if left := len(kinds) - len(keep); left > 0 {
		p.doubt(Warning{Code: "choices-left-out", About: at[1:], Doubt: float64(left),
			Text: fmt.Sprintf("%s of the coach's own %s left out of the table, which holds %d a side", countOf(left, "word", "words"), map[bool]string{true: "is", false: "are"}[left == 1], MostKinds)})
	}
	if len(keep) < 2 {
		return nil, law, &Refusal{At: at, What: "fewer than two choices have a model of race and windows", Mend: "Lower the weight of race and windows, or offer choices of the trade."}
	}
	slices.Sort(keep)
	var names []string
	var cut habit.Habit
	for _, k := range keep {
		names, cut.Prior, cut.Seen = append(names, kinds[k]), append(cut.Prior, law.Prior[k]), append(cut.Seen, law.Seen[k])
	}
	return names, cut, nil
}

func (p *payoffRun) weight() float64 {
	if p.ask.Weight == nil {
		return 0.5
	}
	return float64(*p.ask.Weight)
}

func (x *tacticsRun) doubt(w Warning) { x.out.Doubts = append(x.out.Doubts, w) }

// advise solves the table and keeps what comes of it.
func (p *payoffRun) advise() error {
	s := &p.situation
	s.Mine, s.Theirs, s.Habit, s.Shown = p.mine, p.theirs, p.habit, p.shown
	s.Weight = 0.5
	if p.ask.Weight != nil {
		s.Weight = *p.ask.Weight
	}
	a, err := payoff.Advise(*s, p.ask.Draws, rand.NewPCG(p.ask.Seed, payoffStream))
	var bad *payoff.BadInput
	if errors.As(err, &bad) {
		return &Refusal{At: "/" + bad.Field, What: bad.Error(), Mend: bad.Mend, Because: err}
	}
	if err != nil {
		return &Refusal{At: "/bout", What: err.Error(), Because: err}
	}
	out := p.out
	out.Advice, out.Cells, out.Gap, out.GapFrom = a, p.cells, p.gap.of[p.ask.For], p.gap.from
	for _, k := range p.mine {
		out.MineWords = append(out.MineWords, kindWord(k))
	}
	for _, k := range p.theirs {
		out.TheirWords = append(out.TheirWords, kindWord(k))
	}
	p.tacticsRun.out.Payoff = out
	return p.say()
}
