package study

import (
	"fmt"
	"slices"
	"strings"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/habit"
)

// How much less a choice weighs that was made in another situation than the one asked
// about, for each thing that differs (our choice, no source: nobody has published how
// much a fencer's choices hang on them). Together they come to 0.6, so that a choice of
// this bout in any situation outweighs one of an earlier bout in the same one: 0.6
// against 0.5, and 0.5·0.6 against 0.2 of bouts with others.
const (
	// OtherMeasure is the heaviest: the measure says what can be done at all.
	OtherMeasure = 0.85
	OtherScore   = 0.90 // ahead, level or behind, and whether a hit ends the bout
	OtherMust    = 0.90 // who has to act
	OtherLast    = 0.92 // how the fencer's last choice ended
	OtherChoice  = 0.95 // what that last choice was
)

// alike is how much a choice made in one situation says of another: 1 where they are
// the same. What is not known of the situation asked about tells nothing apart.
func alike(asked, was Situation) float64 {
	w := 1.0
	for _, f := range [...]struct {
		asked, was string
		other      float64
	}{
		{asked.Measure, was.Measure, OtherMeasure}, {asked.Score, was.Score, OtherScore}, {asked.Must, was.Must, OtherMust},
		{asked.Last, was.Last, OtherLast}, {asked.LastChoice, was.LastChoice, OtherChoice},
	} {
		if f.asked != "" && f.asked != f.was {
			w *= f.other
		}
	}
	return w
}

// here reports whether two situations are the same in what is counted as "here": the
// measure, the score, who has to act and how the last choice ended. What it was is left
// out, or hardly any situation would ever come twice.
func here(asked, was Situation) bool {
	asked.LastChoice, was.LastChoice = "", ""
	return alike(asked, was) == 1
}

// earlierChoice is a choice of one side in another bout.
type earlierChoice struct {
	kind  string
	at    Situation
	bout  ID
	day   string
	with  string
	again bool // against the opponent of this bout
}

// earlierChoices are those of one side, the oldest first.
type earlierChoices struct{ all []earlierChoice }

// past returns the choices of one side in earlier bouts with the same weapon.
func (x *tacticsRun) past(s mark.Side) *earlierChoices {
	if x.earlier[s] != nil {
		return x.earlier[s]
	}
	out := &earlierChoices{}
	x.earlier[s] = out
	b := x.ask.Bout
	me, them := bout.NameKey(b.Fencer(s).Name), bout.NameKey(b.Fencer(s.Other()).Name)
	if me == "" {
		return out
	}
	type last struct{ outcome, kind string }
	lasts := map[ID]last{}
	for _, a := range x.ask.Past {
		switch {
		case bout.NameKey(a.Fencer) != me, a.Choice == "", a.Bout != "" && a.Bout == x.ask.ID,
			a.Weapon != "" && a.Weapon != b.Weapon, a.Day != "" && b.Date != "" && a.Day > b.Date:
			continue
		}
		c := earlierChoice{kind: x.kindOf(a.Choice), bout: a.Bout, day: a.Day, with: a.Opponent, again: them != "" && bout.NameKey(a.Opponent) == them}
		l := lasts[a.Bout]
		c.at = Situation{Score: scoreState(a.Mine, a.Theirs, a.To), Measure: a.Measure, Last: l.outcome, LastChoice: l.kind}
		lasts[a.Bout] = last{a.Outcome, c.kind}
		out.all = append(out.all, c)
	}
	return out
}

// kindOf is the kind of choice a word stands for, the word itself where it stands for
// none.
func (x *tacticsRun) kindOf(word string) string {
	if k, ok := x.words.ChoiceOf(word); ok {
		return k
	}
	return word
}

// kinds are the kinds of choice that are possible for one side, in a fixed order: those
// that were asked for, else the trade's and after them, by the alphabet, the words of
// the sheet and of earlier bouts that stand for none of them. It returns a *Refusal
// where one was asked for twice, or fewer than two.
func (x *tacticsRun) kinds(s mark.Side) ([]string, error) {
	asked, at := x.ask.Theirs, "/theirs"
	if s == x.ask.For {
		asked, at = x.ask.Mine, "/mine"
	}
	if asked != nil {
		var out []string
		for _, w := range asked {
			k := x.kindOf(w)
			if k == "" || slices.Contains(out, k) {
				return nil, &Refusal{At: at, What: fmt.Sprintf("the choice %q is asked for twice, or has no name", w), Mend: "Name each kind of choice once."}
			}
			out = append(out, k)
		}
		if len(out) < 2 || len(out) > habit.MaxChoices {
			return nil, &Refusal{At: at, What: fmt.Sprintf("%d kinds of choice are not from 2 to %d", len(out), habit.MaxChoices), Mend: "Name at least two that are possible."}
		}
		return out, nil
	}
	var out, own []string
	for _, k := range bout.ChoiceKinds() {
		out = append(out, k.Name)
	}
	add := func(k string) {
		if k != "" && !slices.Contains(out, k) && !slices.Contains(own, k) {
			own = append(own, k)
		}
	}
	for _, l := range x.lines {
		add(l.Kinds[s])
	}
	for _, c := range x.past(s).all {
		add(c.kind)
	}
	slices.SortFunc(own, strings.Compare)
	if most := habit.MaxChoices - len(out); len(own) > most {
		own = own[:most]
	}
	return append(out, own...), nil
}

// seenChoices is what is known of one side before one touch.
type seenChoices struct {
	kinds []string
	at    Situation
	// lines are the indices of the lines of this bout where a choice is written, chosen
	// the kinds, like how alike their situations were.
	lines  []int
	chosen []int
	like   []float64
	// with and others are the earlier bouts, sources of the law.
	with, others habit.Source
	// here, opponent and other count the choices by kind.
	here, opponent, other []int
	bouts                 [][]SourceBout // by kind
	// left counts choices of kinds that were not asked for.
	left int
}

// seen collects what is known of one side before line i in the situation at; pair
// leaves out bouts with others.
func (x *tacticsRun) seen(s mark.Side, i int, at Situation, pair bool) (*seenChoices, error) {
	kinds, err := x.kinds(s)
	if err != nil {
		return nil, err
	}
	n := len(kinds)
	e := &seenChoices{kinds: kinds, at: at, here: make([]int, n), opponent: make([]int, n), other: make([]int, n), bouts: make([][]SourceBout, n),
		with:   habit.Source{Weight: habit.SameOpponent, HalfLife: habit.EarlierHalfLife},
		others: habit.Source{Weight: habit.OtherBouts, HalfLife: habit.EarlierHalfLife}}
	index := map[string]int{}
	for k, name := range kinds {
		index[name] = k
	}
	for j, l := range x.lines[:i] {
		if l.Kinds[s] == "" {
			continue
		}
		k, ok := index[l.Kinds[s]]
		if !ok {
			e.left++
			continue
		}
		e.lines, e.chosen, e.like = append(e.lines, j), append(e.chosen, k), append(e.like, alike(at, l.Situation[s]))
		if here(at, l.Situation[s]) {
			e.here[k]++
		}
	}
	for _, c := range x.past(s).all {
		k, ok := index[c.kind]
		if !c.again && pair {
			continue
		}
		if !ok {
			e.left++
			continue
		}
		src, count := &e.others, e.other
		if c.again {
			src, count = &e.with, e.opponent
		}
		src.Choices, src.Like = append(src.Choices, k), append(src.Like, alike(at, c.at))
		count[k]++
		e.bouts[k] = countBout(e.bouts[k], c)
	}
	return e, nil
}

// countBout adds a choice to the bouts it comes from.
func countBout(all []SourceBout, c earlierChoice) []SourceBout {
	for i := range all {
		if all[i].ID == c.bout && all[i].Day == c.day && all[i].With == c.with {
			all[i].Count++
			return all
		}
	}
	return append(all, SourceBout{ID: c.bout, Day: c.day, With: c.with, Count: 1})
}
