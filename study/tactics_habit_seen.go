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
	// OtherMeasure is what a choice made at another measure weighs: the least of all, for
	// the measure says what can be done at all (our choice, no source).
	OtherMeasure = 0.85
	// OtherScore is what one weighs that was made in another state of the score: ahead,
	// level or behind, and whether a hit ends the bout (our choice, no source).
	OtherScore = 0.90
	// OtherMust is the same where somebody else had to act (our choice, no source).
	OtherMust = 0.90
	// OtherLast is the same where the fencer's choice before it ended in another way (our
	// choice, no source).
	OtherLast = 0.92
	// OtherChoice is the same where that choice before it was another (our choice, no
	// source).
	OtherChoice = 0.95
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

// sideChoices are the choices of one side: of the whole sheet and of earlier bouts.
type sideChoices struct {
	who   mark.Side
	kinds []string
	// lines are the indices of the lines of this bout where a choice is written, chosen
	// their kinds; past are those of earlier bouts, the oldest first.
	lines, chosen []int
	past          []earlierChoice
	// aside are the lines before the touch with a choice of a kind that was not asked for.
	aside []int
	// changing is when the habit may have begun, by all that was seen and, second, without
	// bouts with others.
	changing [2]*habit.Changing
}

// earlierChoice is a choice of one side in another bout.
type earlierChoice struct {
	kind  string
	k     int // its index, −1 where it was not asked for
	at    Situation
	bout  ID
	day   string
	with  string
	again bool // against the opponent of this bout
}

// side collects the choices of one side, once.
func (x *tacticsRun) side(s mark.Side) (*sideChoices, error) {
	if x.sided[s] != nil {
		return x.sided[s], nil
	}
	out := &sideChoices{who: s, past: x.past(s)}
	var err error
	if out.kinds, err = x.possible(s, out.past); err != nil {
		return nil, err
	}
	index := map[string]int{}
	for k, name := range out.kinds {
		index[name] = k
	}
	for i, l := range x.lines {
		if l.Kinds[s] == "" {
			continue
		}
		k, ok := index[l.Kinds[s]]
		if !ok {
			if i < x.at {
				out.aside = append(out.aside, i)
			}
			continue
		}
		out.lines, out.chosen = append(out.lines, i), append(out.chosen, k)
	}
	for i, c := range out.past {
		out.past[i].k = -1
		if k, ok := index[c.kind]; ok {
			out.past[i].k = k
		}
	}
	x.sided[s] = out
	return out, nil
}

// past returns the choices of one side in earlier bouts with the same weapon.
func (x *tacticsRun) past(s mark.Side) []earlierChoice {
	b := x.ask.Bout
	me, them := bout.NameKey(b.Fencer(s).Name), bout.NameKey(b.Fencer(s.Other()).Name)
	if me == "" {
		return nil
	}
	type last struct{ outcome, kind string }
	lasts := map[ID]last{}
	var out []earlierChoice
	for _, a := range x.ask.Past {
		switch {
		case a.Choice == "", a.Bout != "" && a.Bout == x.ask.ID, a.Weapon != "" && a.Weapon != b.Weapon,
			a.Day != "" && b.Date != "" && a.Day > b.Date, bout.NameKey(a.Fencer) != me:
			continue
		}
		c := earlierChoice{kind: x.kindOf(a.Choice), bout: a.Bout, day: a.Day, with: a.Opponent, again: them != "" && bout.NameKey(a.Opponent) == them}
		l := lasts[a.Bout]
		c.at = Situation{Score: scoreState(a.Mine, a.Theirs, a.To), Measure: a.Measure, Last: l.outcome, LastChoice: l.kind}
		lasts[a.Bout] = last{a.Outcome, c.kind}
		out = append(out, c)
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

// possible are the kinds of choice that are possible for one side, in a fixed order: those
// that were asked for, else the trade's and after them, by the alphabet, the words of
// the sheet up to the touch asked about and of earlier bouts that stand for none of
// them. It returns a *Refusal
// where one was asked for twice, or fewer than two.
func (x *tacticsRun) possible(s mark.Side, past []earlierChoice) ([]string, error) {
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
	for _, l := range x.lines[:min(x.at+1, len(x.lines))] { // nothing looks ahead of the touch asked about
		add(l.Kinds[s])
	}
	for _, c := range past {
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
	*sideChoices
	at Situation
	// after is how many of the lines stand before the touch, like how alike the
	// situation of each was; pair leaves out bouts with others.
	after int
	like  []float64
	pair  bool
	// here, opponent and other count the choices by kind.
	here, opponent, other []int
}

// seen collects what is known of one side before line i in the situation at; pair
// leaves out bouts with others.
func (x *tacticsRun) seen(s mark.Side, i int, at Situation, pair bool) (*seenChoices, error) {
	c, err := x.side(s)
	if err != nil {
		return nil, err
	}
	n := len(c.kinds)
	e := &seenChoices{sideChoices: c, at: at, pair: pair, here: make([]int, n), opponent: make([]int, n), other: make([]int, n)}
	for j, l := range c.lines {
		was := x.lines[l].Situation[s]
		e.like = append(e.like, alike(at, was))
		if l >= i {
			continue
		}
		e.after++
		if here(at, was) {
			e.here[c.chosen[j]]++
		}
	}
	for _, p := range c.past {
		switch {
		case p.k < 0:
		case p.again:
			e.opponent[p.k]++
		case !pair:
			e.other[p.k]++
		}
	}
	return e, nil
}

// earlierMost is how many of the newest choices of earlier bouts are weighed, with this
// opponent and with others: those before weigh a thousandth.
const earlierMost = 10 * habit.EarlierHalfLife

// earlier is what earlier bouts weigh by kind: in the situation of the touch, or in any.
func (e *seenChoices) earlier(here bool) ([]float64, error) {
	with := habit.Source{Weight: habit.SameOpponent, HalfLife: habit.EarlierHalfLife}
	others := habit.Source{Weight: habit.OtherBouts, HalfLife: habit.EarlierHalfLife}
	for i := len(e.past) - 1; i >= 0; i-- { // the newest first
		p := e.past[i]
		src := &with
		if !p.again {
			src = &others
		}
		if p.k < 0 || e.pair && !p.again || len(src.Choices) == earlierMost {
			continue
		}
		src.Choices = append(src.Choices, p.k)
		if here {
			src.Like = append(src.Like, alike(e.at, p.at))
		}
	}
	for _, src := range []*habit.Source{&with, &others} {
		slices.Reverse(src.Choices)
		slices.Reverse(src.Like)
	}
	h, err := habit.Estimate(len(e.kinds), nil, with, others)
	return h.Seen, err
}

// changed is when the habit may have begun, by the whole sheet; what it says after so
// many choices knows nothing of later ones.
func (e *seenChoices) changed() (*habit.Changing, error) {
	k := 0
	if e.pair {
		k = 1
	}
	if e.changing[k] == nil {
		earlier, err := e.earlier(false)
		if err != nil {
			return nil, err
		}
		c, err := habit.ChangeOf(habit.Sequence{Choices: len(e.kinds), Seen: e.chosen, Prior: habit.Even(len(e.kinds)), Earlier: earlier})
		if err != nil {
			return nil, err
		}
		e.changing[k] = &c
	}
	return e.changing[k], nil
}

// law is the habit before the touch.
func (e *seenChoices) law() (habit.Habit, error) {
	c, err := e.changed()
	if err != nil {
		return habit.Habit{}, err
	}
	earlier, err := e.earlier(true)
	if err != nil {
		return habit.Habit{}, err
	}
	return c.Habit(e.after, e.like, earlier), nil
}

// bouts are the earlier bouts in which a kind was chosen.
func (e *seenChoices) bouts(k int) []SourceBout {
	var all []SourceBout
	for _, c := range e.past {
		if c.k == k && (c.again || !e.pair) {
			all = countBout(all, c)
		}
	}
	return all
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
