package study

import (
	"cmp"
	"fmt"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/tactics/habit"
)

// habits tells what each fencer tends to do before the touch asked about.
func (x *tacticsRun) habits() error {
	for _, s := range mark.Sides {
		c, err := x.side(s)
		if err != nil {
			return err
		}
		if len(c.lines)+len(c.aside)+len(c.past) == 0 {
			x.lacks(Lack{Part: PartHabit, Side: s, Why: fmt.Sprintf("No choice of %s is written, in this bout or an earlier one: what they tend to do cannot be told.", x.called(s)),
				Mend: "Write on the sheet what each fencer chose, touch by touch, as far as it was seen."})
			continue
		}
		e, err := x.seen(s, x.at, x.situationAt(x.at, s), false)
		if err != nil {
			return err
		}
		h, err := x.habitAt(s, x.at)
		if err != nil {
			return err
		}
		if err := x.habitChange(h, e); err != nil {
			return err
		}
		if err := x.habitCourse(h, e); err != nil {
			return err
		}
		x.sayHabit(h, e)
		if h.TooLittle {
			x.lacks(Lack{Part: PartHabit, Side: s, Why: tooLittleWords(h) + " That is too little to speak of a habit of " + x.called(s) + ".",
				Mend: "Write on the sheet what they chose, or keep earlier bouts of theirs in the library."})
		}
		x.out.Habits[s] = h
	}
	return nil
}

// habitAt returns the habit of one side as it stood before line i, in the situation
// before it; len(x.lines) is the touch to come. It is never nil: where nothing was seen
// the law is the prior alone and TooLittle is set. Law and Kinds have the order of
// kinds(s), Choices the likeliest first. Course, Change and Said are not filled in.
func (x *tacticsRun) habitAt(s mark.Side, i int) (*Habit, error) {
	e, err := x.seen(s, i, x.situationAt(i, s), false)
	if err != nil {
		return nil, err
	}
	law, err := e.law()
	if err != nil {
		return nil, refusedChoices(s, err)
	}
	h := &Habit{Who: s, Situation: e.at, Weight: law.Weight(), TooLittle: law.TooLittle(), Course: []HabitStand{}, Said: []Sentence{}, Law: law, Kinds: e.kinds}
	if h.Order, err = choiceOrder(len(e.kinds), e.chosen[:e.after]); err != nil {
		return nil, refusedChoices(s, err)
	}
	for k, share := range law.All() {
		c := HabitChoice{Kind: e.kinds[k], Word: kindWord(e.kinds[k]), Share: share, Here: e.here[k], Opponent: e.opponent[k], Others: e.other[k], Prior: law.Prior[k]}
		var touches []int
		for j, chosen := range e.chosen[:e.after] {
			if chosen == k {
				c.Bout++
				touches = append(touches, x.lines[e.lines[j]].Number)
			}
		}
		c.Source = x.source(Source{
			ID:      fmt.Sprintf("habit/%s@%d/%s", s, x.numberAt(i), c.Kind),
			Title:   fmt.Sprintf("How likely %s chooses %s at touch %d", x.called(s), c.Word, x.numberAt(i)),
			How:     howHabit,
			Touches: touches, Bouts: e.bouts(k), Prior: priorWords(len(e.kinds)), Method: MethodHabit,
		})
		h.Choices = append(h.Choices, c)
	}
	slices.SortStableFunc(h.Choices, func(a, b HabitChoice) int { return cmp.Compare(b.Share.Mean, a.Share.Mean) })
	return h, nil
}

// MethodHabit is the section of doc/methods.md on habits.
const MethodHabit = "Habits over a bout"

const howHabit = "Counts of this choice against all that were seen since the habit may have begun, averaged over where it may; an earlier bout counts half with this opponent and a fifth with others, and less with age, and so does another situation. That the habit changes at this very touch is not in it."

// priorWords say what was assumed before anything was seen.
func priorWords(kinds int) string {
	return fmt.Sprintf("All %d kinds of choice that are possible are credited with one choice together, spread evenly: no figures of what fencers choose are known, so all are taken as alike.", kinds)
}

// refusedChoices is what is wrong with the choices of a side.
func refusedChoices(s mark.Side, err error) error {
	return &Refusal{At: "/choices/" + s.String(), What: err.Error(), Mend: "Write the same action with the same word.", Because: err}
}

// situationAt is the situation of one side before line i.
func (x *tacticsRun) situationAt(i int, s mark.Side) Situation {
	if i < len(x.lines) {
		return x.lines[i].Situation[s]
	}
	return x.situation(i, s)
}

// choiceOrder is whether choices repeat or alternate more than chance has it; below
// habit.LeastSeen choices nothing is said.
func choiceOrder(kinds int, chosen []int) (BoutOrder, error) {
	o, err := habit.OrderOf(kinds, chosen)
	if err != nil {
		return BoutOrder{}, err
	}
	out := BoutOrder{Repeats: o.Repeats, Expected: o.Expected, SoMany: o.SoMany, SoFew: o.SoFew}
	switch {
	case len(chosen) < habit.LeastSeen:
	case o.Repeating():
		out.Says = "repeats"
	case o.Alternating():
		out.Says = "alternates"
	}
	return out, nil
}

// habitChange says since which touch the habit is likely to be another one, where that
// is as sure as habit.ChangeLevel. The order of choices is then looked at since that
// touch alone.
func (x *tacticsRun) habitChange(h *Habit, e *seenChoices) error {
	earlier, err := e.earlier(false)
	if err != nil {
		return refusedChoices(h.Who, err)
	}
	c, err := habit.ChangeOf(habit.Sequence{Choices: len(e.kinds), Seen: e.chosen[:e.after], Prior: habit.Even(len(e.kinds)), Earlier: earlier})
	if err != nil {
		return refusedChoices(h.Who, err)
	}
	last, ok := c.Last()
	if !ok || c.Any() < habit.ChangeLevel {
		return nil
	}
	most, by := 0, 0.0
	before, after := last.Before.All(), last.After.All()
	for k := range e.kinds {
		if d := float64(after[k].Mean - before[k].Mean); max(d, -d) > by {
			most, by = k, max(d, -d)
		}
	}
	// One who repeats and then goes over to something else looks like one who repeats.
	if h.Order, err = choiceOrder(len(e.kinds), e.chosen[last.At:e.after]); err != nil {
		return refusedChoices(h.Who, err)
	}
	number := func(j int) int { return x.lines[e.lines[j]].Number }
	h.Change = &HabitChange{Since: number(last.At), Sure: quantity.Exactly(c.Any()), From: number(last.From), To: number(last.To),
		Kind: e.kinds[most], Before: before[most], After: after[most]}
	return nil
}

// habitCourse fills in how the habit stood after each touch, in the situation of the
// touch asked about: the first stand is that before any touch.
func (x *tacticsRun) habitCourse(h *Habit, e *seenChoices) error {
	c, err := e.changed()
	if err != nil {
		return refusedChoices(h.Who, err)
	}
	earlier, err := e.earlier(true)
	if err != nil {
		return refusedChoices(h.Who, err)
	}
	place := make([]int, len(e.kinds)) // of a kind in Choices
	for i, choice := range h.Choices {
		place[slices.Index(e.kinds, choice.Kind)] = i
	}
	stand := func(number, after int) HabitStand {
		law := c.Habit(after, e.like, earlier)
		out := HabitStand{Number: number, Chose: -1, Shares: make([]quantity.Of[quantity.Chance], len(place)), TooLittle: law.TooLittle()}
		for k, share := range law.All() {
			out.Shares[place[k]] = share
		}
		return out
	}
	h.Course = append(h.Course, stand(0, 0))
	seen := 0
	for i, l := range x.lines {
		if seen == len(e.lines) || e.lines[seen] != i {
			again := h.Course[len(h.Course)-1]
			again.Number, again.Chose, again.Shares = l.Number, -1, slices.Clone(again.Shares)
			h.Course = append(h.Course, again)
			continue
		}
		seen++
		next := stand(l.Number, seen)
		next.Chose = place[e.chosen[seen-1]]
		h.Course = append(h.Course, next)
	}
	return nil
}

// knew returns what one side could have known of the opponent before line i: from this
// bout and earlier ones of this pair. Nil where nothing was written before. Came and
// ShareOfCame are about what the opponent then chose at line i; they are empty where
// that is not known or still to come.
func (x *tacticsRun) knew(s mark.Side, i int) (*Knew, error) {
	o := s.Other()
	e, err := x.seen(o, i, x.situationAt(i, o), true)
	if err != nil {
		return nil, err
	}
	n := e.after
	for _, c := range e.opponent {
		n += c
	}
	if n == 0 {
		return nil, nil
	}
	law, err := e.law()
	if err != nil {
		return nil, refusedChoices(o, err)
	}
	likely := 0
	for k, m := range law.Mix() {
		if m > law.Mix()[likely] {
			likely = k
		}
	}
	k := &Knew{Likely: e.kinds[likely], Share: law.Of(likely), Seen: n, TooLittle: law.TooLittle()}
	if i < len(x.lines) {
		if came := slices.Index(e.kinds, x.lines[i].Kinds[o]); came >= 0 {
			k.Came, k.ShareOfCame = came == likely, law.Of(came)
		}
	}
	var touches []int
	var bouts []SourceBout
	for _, j := range e.lines[:e.after] {
		touches = append(touches, x.lines[j].Number)
	}
	for _, c := range e.past {
		if c.again && c.k >= 0 {
			bouts = countBout(bouts, c)
		}
	}
	k.Source = x.source(Source{
		ID:      fmt.Sprintf("knew/%s@%d", s, x.numberAt(i)),
		Title:   fmt.Sprintf("What %s could have known of %s before touch %d", x.called(s), x.called(o), x.numberAt(i)),
		How:     "The habit as it stood before this touch, from this bout and earlier ones of these two alone.",
		Touches: touches, Bouts: bouts, Prior: priorWords(len(e.kinds)), Method: MethodHabit,
	})
	return k, nil
}
