package study

import (
	"fmt"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/tactics/habit"
)

// habits tells what each fencer tends to do before the touch asked about.
func (x *tacticsRun) habits() error {
	for _, s := range mark.Sides {
		written := slices.ContainsFunc(x.lines, func(l tacticsLine) bool { return l.Kinds[s] != "" })
		if !written && len(x.past(s).all) == 0 {
			x.lacks(Lack{Part: PartHabit, Side: s, Why: fmt.Sprintf("No choice of %s is written, in this bout or an earlier one: what they tend to do cannot be told.", x.called(s)),
				Mend: "Write on the sheet what each fencer chose, touch by touch, as far as it was seen."})
			continue
		}
		h, err := x.habitAt(s, x.at)
		if err != nil {
			return err
		}
		x.out.Habits[s] = h
	}
	return nil
}

// habitAt returns the habit of one side as it stood before line i, in the situation
// before it; len(x.lines) is the touch to come. It is never nil: where nothing was seen
// the law is the prior alone and TooLittle is set. Law and Kinds have the order of
// kinds(s), Choices the likeliest first. Course and Said are not filled in.
func (x *tacticsRun) habitAt(s mark.Side, i int) (*Habit, error) {
	e, err := x.seen(s, i, x.situationAt(i, s), false)
	if err != nil {
		return nil, err
	}
	h, err := x.habitOf(s, e)
	if err != nil {
		return nil, err
	}
	for n := range h.Choices {
		h.Choices[n].Source = x.habitSource(s, i, e, h.Choices[n])
	}
	return h, nil
}

// habitSource says where the share of one choice comes from.
func (x *tacticsRun) habitSource(s mark.Side, i int, e *seenChoices, c HabitChoice) string {
	k := slices.Index(e.kinds, c.Kind)
	var touches []int
	for j, chosen := range e.chosen {
		if chosen == k {
			touches = append(touches, x.lines[e.lines[j]].Number)
		}
	}
	return x.source(Source{
		ID:    fmt.Sprintf("habit/%s@%d/%s", s, x.numberAt(i), c.Kind),
		Title: fmt.Sprintf("How likely %s chooses %s at touch %d", x.called(s), c.Word, x.numberAt(i)),
		How:   "Counts of this choice against all, with the older ones and those in another situation weighing less.", Touches: touches, Bouts: e.bouts[k],
		Prior:  fmt.Sprintf("Each of the %d kinds of choice that are possible is credited with %g.", len(e.kinds), c.Prior),
		Method: "Habit",
	})
}

// situationAt is the situation of one side before line i.
func (x *tacticsRun) situationAt(i int, s mark.Side) Situation {
	if i < len(x.lines) {
		return x.lines[i].Situation[s]
	}
	return x.situation(i, s)
}

// habitOf estimates a habit from what was seen, without saying where it comes from.
func (x *tacticsRun) habitOf(s mark.Side, e *seenChoices) (*Habit, error) {
	refused := func(err error) error {
		return &Refusal{At: "/choices/" + s.String(), What: err.Error(), Mend: "Write the same action with the same word.", Because: err}
	}
	law, err := habit.Estimate(len(e.kinds), nil, habit.Source{Choices: e.chosen, Like: e.like, Weight: habit.ThisBout, HalfLife: habit.HalfLife}, e.with, e.others)
	if err != nil {
		return nil, refused(err)
	}
	h := &Habit{Who: s, Situation: e.at, Weight: law.Weight(), TooLittle: law.TooLittle(), Course: []HabitStand{}, Said: []Sentence{}, Law: law, Kinds: e.kinds}
	order, err := habit.OrderOf(len(e.kinds), e.chosen)
	if err != nil {
		return nil, refused(err)
	}
	h.Order = BoutOrder{Repeats: order.Repeats, Expected: order.Expected, SoMany: order.SoMany, SoFew: order.SoFew}
	switch {
	case len(e.chosen) < habit.LeastSeen:
	case order.Repeating():
		h.Order.Says = "repeats"
	case order.Alternating():
		h.Order.Says = "alternates"
	}
	for k, kind := range e.kinds {
		c := HabitChoice{Kind: kind, Word: kindWord(kind), Share: law.Of(k), Here: e.here[k], Opponent: e.opponent[k], Others: e.other[k], Prior: law.Prior[k]}
		for _, chosen := range e.chosen {
			if chosen == k {
				c.Bout++
			}
		}
		h.Choices = append(h.Choices, c)
	}
	slices.SortStableFunc(h.Choices, func(a, b HabitChoice) int {
		switch {
		case a.Share.Mean > b.Share.Mean:
			return -1
		case a.Share.Mean < b.Share.Mean:
			return 1
		}
		return 0
	})
	return h, nil
}

// knew returns what one side could have known of the opponent before line i: from this
// bout and earlier ones of this pair. Nil where nothing was written before. Came and
// ShareOfCame are about what the opponent then chose at line i; they are empty where
// that is not known or still to come.
func (x *tacticsRun) knew(s mark.Side, i int) (*Knew, error) {
	o := s.Other()
	e, err := x.seen(o, i, x.situationAt(i, o), true)
	if err != nil || len(e.chosen)+len(e.with.Choices) == 0 {
		return nil, err
	}
	h, err := x.habitOf(o, e)
	if err != nil {
		return nil, err
	}
	k := &Knew{Likely: h.Choices[0].Kind, Share: h.Choices[0].Share, Seen: len(e.chosen) + len(e.with.Choices), TooLittle: h.TooLittle}
	if i < len(x.lines) && x.lines[i].Kinds[o] != "" {
		k.Came = x.lines[i].Kinds[o] == k.Likely
		for _, c := range h.Choices {
			if c.Kind == x.lines[i].Kinds[o] {
				k.ShareOfCame = c.Share
			}
		}
	} else {
		k.ShareOfCame = quantity.Exactly[quantity.Chance](0)
	}
	var touches []int
	for _, j := range e.lines {
		touches = append(touches, x.lines[j].Number)
	}
	k.Source = x.source(Source{
		ID:    fmt.Sprintf("knew/%s@%d", s, x.numberAt(i)),
		Title: fmt.Sprintf("What %s could have known of %s before touch %d", x.called(s), x.called(o), x.numberAt(i)),
		How:   "The habit of the opponent from what was seen before this touch, in this bout and in earlier ones of these two.", Touches: touches,
		Prior: fmt.Sprintf("Each of the %d kinds of choice that are possible is credited with %g.", len(e.kinds), h.Law.Prior[0]), Method: "Habit",
	})
	return k, nil
}
