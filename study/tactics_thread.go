package study

import (
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// thread lists the touches before the one asked about, and that one last where it was
// fenced, with why each bears on it. Nothing in a touch of the thread looks ahead of it
// but Bears, which looks from the touch asked about back.
func (x *tacticsRun) thread() error {
	last := x.at
	if x.out.Fenced {
		last++
	}
	for i := range last {
		t, err := x.threadTouch(i)
		if err != nil {
			return err
		}
		x.out.Thread = append(x.out.Thread, t)
	}
	if !x.over() {
		a, err := x.asked()
		if err != nil {
			return err
		}
		for i, l := range x.lines[:x.at] {
			x.out.Thread[i].Bears = x.bears(i, l, a)
		}
	}
	x.threadLacks()
	return nil
}

// askedTouch is the touch asked about, as far as earlier ones can be like it.
type askedTouch struct {
	// kinds are what was chosen, else what each is likeliest to choose by what the other
	// has seen; empty where too little was seen.
	kinds   [2]string
	measure string // empty where not known
	state   string // see scoreState
}

func (x *tacticsRun) asked() (askedTouch, error) {
	a := askedTouch{state: x.situation(x.at, x.ask.For).Score}
	if x.out.Fenced {
		a.kinds, a.measure = x.lines[x.at].Kinds, x.lines[x.at].Measure
		return a, nil
	}
	for _, s := range mark.Sides {
		k, err := x.knew(s.Other(), x.at)
		if err != nil {
			return a, err
		}
		if k != nil && !k.TooLittle {
			a.kinds[s] = k.Likely
		}
	}
	return a, nil
}

// threadTouch is line i by itself.
func (x *tacticsRun) threadTouch(i int) (ThreadTouch, error) {
	l := x.lines[i]
	t := ThreadTouch{Number: l.Number, Line: l.ID, Score: l.Before, Outcome: l.outcome(), Choices: l.Choices, Kinds: l.Kinds, ChoiceFrom: l.From,
		Measure: l.Measure, Note: l.Note, Bears: []Bearing{}}
	if l.Seen != nil {
		t.Touch = l.Seen.ID
		if len(l.Seen.Phrase.Actions) > 0 {
			t.Sentence = l.Seen.Phrase.Sentence(x.words, l.Seen.When, x.ask.Bout.Left.Name, x.ask.Bout.Right.Name)
		}
	}
	for _, s := range mark.Sides {
		t.Changed[s] = x.changed(s, i)
		k, err := x.knew(s, i)
		if err != nil {
			return t, err
		}
		t.Knew[s] = k
	}
	t.Said = x.sentence(spoken{"Touch ", x.touchNumber(i), ", ", x.touchScore(i), ": ", x.clause(i), "."}, nil)
	return t, nil
}

// chosenBefore are the lines before i at which the choice of a side is known.
func (x *tacticsRun) chosenBefore(s mark.Side, i int) []int {
	var all []int
	for j := range i {
		if x.lines[j].Kinds[s] != "" {
			all = append(all, j)
		}
	}
	return all
}

// changed says how the choice of a side on line i differs from its last one: "same",
// "changed", "back" to the one that it had before the last; empty where not known.
func (x *tacticsRun) changed(s mark.Side, i int) string {
	kind, before := x.lines[i].Kinds[s], x.chosenBefore(s, i)
	if kind == "" || len(before) == 0 {
		return ""
	}
	last := x.lines[before[len(before)-1]].Kinds[s]
	if kind == last {
		return "same"
	}
	for n := len(before) - 2; n >= 0; n-- {
		if was := x.lines[before[n]].Kinds[s]; was != last {
			if was == kind {
				return "back"
			}
			break
		}
	}
	return "changed"
}

// turn is a change of choice of one side: the line with the last of the old and the one
// with the first of the new.
type turn struct{ last, first int }

// lastTurn is the last change of a side on a line before i; false where there is none.
func (x *tacticsRun) lastTurn(s mark.Side, i int) (turn, bool) {
	chosen := x.chosenBefore(s, i)
	for n := len(chosen) - 1; n > 0; n-- {
		if x.lines[chosen[n]].Kinds[s] != x.lines[chosen[n-1]].Kinds[s] {
			return turn{chosen[n-1], chosen[n]}, true
		}
	}
	return turn{}, false
}

// endedFor is how line i ended for a side: one of the Outcome constants.
func (x *tacticsRun) endedFor(s mark.Side, i int) string { return outcomeFor(x.lines[i].outcome(), s) }

// bears says why line i bears on the touch asked about, the weightiest reason first.
func (x *tacticsRun) bears(i int, l tacticsLine, a askedTouch) []Bearing {
	all := []Bearing{}
	add := func(why string, who mark.Side, parts ...any) {
		all = append(all, Bearing{why, who, x.sentence(append(spoken(parts), "."), nil).String()})
	}
	for _, s := range x.sides() {
		if t, ok := x.lastTurn(s, min(x.at+1, len(x.lines))); ok && t.last == i && x.endedFor(s, i) == OutcomeAgainst {
			add(BearsLesson, s, spokenKind(l.Kinds[s]).noun, " is hit here, and ", s, " changes the next time")
		} else if x.cameBack(s, i) {
			add(BearsLesson, s, spokenKind(l.Kinds[s]).noun, " hits here, and ", s, " brings it again")
		}
	}
	if x.out.Fenced && l.Kinds[mark.Left] != "" && l.Kinds[mark.Right] != "" && l.Kinds == a.kinds {
		add(BearsSameAnswer, x.ask.For, "the same two choices meet")
	} else {
		for _, s := range x.sides() {
			switch {
			case l.Kinds[s] == "" || l.Kinds[s] != a.kinds[s]:
			case x.out.Fenced:
				add(BearsSameChoice, s, s, " chooses ", spokenKind(a.kinds[s]).noun, " here too")
			default:
				add(BearsSameChoice, s, s, " chooses ", spokenKind(a.kinds[s]).noun, " here, which leads in what ", s.Other(), " has seen")
			}
		}
	}
	if a.measure != "" && l.Measure == a.measure {
		add(BearsSameMeasure, x.ask.For, "it begins at the same measure: ", measureWord(a.measure))
	}
	if l.Situation[x.ask.For].Score == a.state {
		add(BearsSameScore, x.ask.For, x.stateWords(a.state))
	}
	return all
}

// cameBack reports whether line i is the last one at which a side chose what it chose at
// the touch asked about, and hit with it.
func (x *tacticsRun) cameBack(s mark.Side, i int) bool {
	if !x.out.Fenced || x.lines[x.at].Kinds[s] == "" || x.endedFor(s, i) != OutcomeHit {
		return false
	}
	for j := x.at - 1; j >= 0; j-- {
		if x.lines[j].Kinds[s] == x.lines[x.at].Kinds[s] {
			return j == i
		}
	}
	return false
}

func measureWord(band string) string {
	for _, m := range bout.Measures() {
		if m.Name == band {
			return m.Word
		}
	}
	return band
}

// stateWords says the state of a score, see scoreState.
func (x *tacticsRun) stateWords(state string) spoken {
	f := x.ask.For
	switch state {
	case "ahead":
		return spoken{f, " leads here too"}
	case "behind":
		return spoken{f, " is behind here too"}
	case "ahead-last":
		return spoken{f, " needs a last hit here too"}
	case "behind-last":
		return spoken{f.Other(), " needs a last hit here too"}
	case "level-last":
		return spoken{"the next hit decides here too"}
	}
	return spoken{"the score is level here too"}
}

// sides are both, the one for whose coach it is told first.
func (x *tacticsRun) sides() [2]mark.Side { return [2]mark.Side{x.ask.For, x.ask.For.Other()} }

// over reports whether the touch asked about can no longer be fenced.
func (x *tacticsRun) over() bool {
	return !x.out.Fenced && max(x.out.Score.Left, x.out.Score.Right) >= x.ask.Bout.Touches
}

// mendChoices is how what the thread does not carry is mended.
const mendChoices = "write on the sheet what each fencer chose: two letters of the trade word are enough"

// threadLacks says what the thread cannot tell.
func (x *tacticsRun) threadLacks() {
	silent := func(i int) bool { return x.lines[i].Kinds[mark.Left] == "" || x.lines[i].Kinds[mark.Right] == "" }
	n, unwritten := 0, 0
	for i := range x.at {
		if n++; silent(i) {
			unwritten++
		}
	}
	switch {
	case n > 0 && unwritten == n && len(x.chosenBefore(mark.Left, x.at))+len(x.chosenBefore(mark.Right, x.at)) == 0:
		x.lacks(Lack{Part: PartThread, Both: true, Why: "no choice is written at any touch before this one, so only hits and scores can be told", Mend: mendChoices})
	case unwritten > 0:
		x.lacks(Lack{Part: PartThread, Both: true, Why: "at " + countOf(unwritten, "touch", "touches") + " before this one the choice of one or both is not written", Mend: mendChoices})
	}
	if x.out.Fenced && silent(x.at) {
		l := Lack{Part: PartThread, Why: "what was chosen at this touch is not written", Mend: mendChoices}
		k := x.lines[x.at].Kinds
		l.Both = k[mark.Left] == k[mark.Right]
		if l.Side = mark.Left; k[mark.Left] != "" {
			l.Side = mark.Right
		}
		x.lacks(l)
	}
	if x.ask.Bout.IsRelay() {
		x.lacks(Lack{Part: PartThread, Both: true, Why: "the relay is taken as one bout of two sides: what one fencer of a team chose counts for all of them", Mend: "take a stage down as a bout of its own to follow its two fencers"})
	}
}
