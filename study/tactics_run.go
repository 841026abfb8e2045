package study

import (
	"errors"
	"fmt"
	"slices"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/chain"
	"mesure/tactics/payoff"
)

// tacticsRun is one TacticsAsk on its way to a Tactics.
type tacticsRun struct {
	ask   TacticsAsk
	words bout.Vocabulary
	// lines are all lines of the sheet in their order; those before at stand before the
	// touch asked about, at = len(lines) asks about the touch after the last.
	lines []tacticsLine
	at    int
	out   *Tactics
	// listed are the sources by ID.
	listed map[string]int
	// sided are the choices of each side, once they were collected.
	sided [2]*sideChoices
	// stood is the touch asked about valued, once it was: payoffs and story ask for it.
	stood *stood
}

// tacticsLine is one line of the sheet with everything that is known of its choices.
type tacticsLine struct {
	BoutLine
	ID   string
	Note string
	// Measure is that of the sheet, else the one measured.
	Measure string
	// Kinds are the kinds of choice by side: the trade's, or the word itself where it
	// stands for none; empty where nothing is known. From is "sheet" or "stave".
	Kinds, From [2]string
	// Situation of each side before the phrase.
	Situation [2]Situation
	// Seen is the touch that was taken apart; nil where it was not.
	Seen *SeenTouch
}

// TacticsOf says what the earlier touches and the score make of one touch: the thread,
// both habits, what each choice was worth, the story and what to do next. What the bout
// does not carry is nil, and Lacks says why.
//
// It returns a *Refusal where a fencer faces themselves, where the format is none, and
// where an ask cannot be (a weight beyond 0 to 1, a choice twice).
func TacticsOf(ask TacticsAsk) (*Tactics, error) {
	x, err := newTactics(ask)
	if err != nil {
		return nil, err
	}
	for _, part := range []func() error{x.bout, x.habits, x.payoffs, x.thread, x.tell} {
		if err := part(); err != nil {
			return nil, err
		}
	}
	return x.out, nil
}

// newTactics takes the sheet in.
func newTactics(ask TacticsAsk) (*tacticsRun, error) {
	b := ask.Bout.Scored()
	if b.Weapon == "" {
		b.Weapon = bout.Epee
	}
	if l, r := b.Left.Name, b.Right.Name; l != "" && bout.SameName(l, r) {
		return nil, &Refusal{At: "/bout", What: fmt.Sprintf("%s stands on both sides: nobody fences themselves", l), Mend: "Give the two fencers different names."}
	}
	if ask.Weight != nil && !(*ask.Weight >= 0 && *ask.Weight <= 1) {
		return nil, &Refusal{At: "/weight", What: fmt.Sprintf("a weight of %v is none", *ask.Weight), Mend: "Give a number from 0 (counts alone) to 1 (race and windows alone)."}
	}
	if ask.Draws == 0 {
		ask.Draws = payoff.Draws
	}
	if ask.Seed == 0 {
		ask.Seed = DefaultSeed
	}
	ask.Bout = b
	x := &tacticsRun{ask: ask, listed: map[string]int{}}
	var unknown []error
	if x.words, unknown = bout.VocabularyOf(b.Weapon, ask.Words); len(unknown) > 0 {
		ask.Doubts = append(slices.Clone(ask.Doubts), Warning{Code: "own-word", About: "words", Doubt: float64(len(unknown)), Text: unknown[0].Error()})
	}
	lines, doubts := SheetLines(b)
	x.out = &Tactics{For: ask.For, Names: [2]string{b.Left.Name, b.Right.Name}, Thread: []ThreadTouch{}, Story: []Sentence{}, Next: []Sentence{}, Sources: []Source{}, Lacks: []Lack{},
		Doubts: append(append([]Warning{}, ask.Doubts...), doubts...), Draws: ask.Draws, Seed: ask.Seed}
	for i, l := range lines {
		x.lines = append(x.lines, x.line(b.Sheet[i], l))
	}
	x.at = len(x.lines)
	if i := slices.IndexFunc(x.lines, func(l tacticsLine) bool { return l.Number == ask.At }); ask.At > 0 && i >= 0 {
		x.at = i
	}
	x.out.Fenced = x.at < len(x.lines)
	x.out.At, x.out.Score = x.numberAt(x.at), x.scoreAt(x.at)
	for i := range x.lines {
		for _, s := range mark.Sides {
			x.lines[i].Situation[s] = x.situation(i, s)
		}
	}
	return x, nil
}

// line joins what the sheet and the stave know of one line: the sheet goes before.
func (x *tacticsRun) line(p bout.Phrase, l BoutLine) tacticsLine {
	t := tacticsLine{BoutLine: l, ID: p.ID, Note: p.Note, Measure: p.Measure}
	var written bout.Choices
	if i := slices.IndexFunc(x.ask.Seen, func(s SeenTouch) bool { return p.ID != "" && s.Line == p.ID }); i >= 0 {
		t.Seen = &x.ask.Seen[i]
		written = t.Seen.Phrase.Choices(x.words, t.Seen.When)
		if t.Measure == "" {
			t.Measure = t.Seen.Band
		}
	}
	for _, s := range mark.Sides {
		t.From[s] = "sheet"
		if t.Choices[s] == "" {
			t.Choices[s], t.From[s] = written.Of(s), "stave"
		}
		if t.Choices[s] == "" {
			t.From[s] = ""
			continue
		}
		t.Kinds[s] = t.Choices[s]
		if k, ok := x.words.ChoiceOf(t.Choices[s]); ok {
			t.Kinds[s] = k
		}
	}
	return t
}

// numberAt is the number of line i, one past the last for the touch to come.
func (x *tacticsRun) numberAt(i int) int {
	switch {
	case i < len(x.lines):
		return x.lines[i].Number
	case i > 0:
		return x.lines[i-1].Number + 1
	}
	return max(x.ask.Bout.First, 1)
}

// scoreAt is the score before line i.
func (x *tacticsRun) scoreAt(i int) bout.Score {
	switch {
	case i < len(x.lines):
		return x.lines[i].Before
	case i > 0:
		return x.lines[i-1].After
	case x.ask.Bout.Start != nil:
		return *x.ask.Bout.Start
	}
	return bout.Score{}
}

// situation is what stands for one side before line i.
func (x *tacticsRun) situation(i int, s mark.Side) Situation {
	at := x.scoreAt(i)
	out := Situation{Score: scoreState(at.Of(s), at.Of(s.Other()), x.ask.Bout.Touches)}
	if i < len(x.lines) {
		out.Measure = x.lines[i].Measure
	}
	for k := i - 1; k >= 0; k-- {
		if kind := x.lines[k].Kinds[s]; kind != "" {
			out.Last, out.LastChoice = outcomeFor(x.lines[k].outcome(), s), kind
			break
		}
	}
	if i == x.at {
		out.Must = x.must(at, s)
	}
	return out
}

// must says who has to act in the time that is left, as it was asked or as the sheet has
// it: who is behind within the last half minute, or who has not the priority once it was
// drawn (figures R53, T23).
func (x *tacticsRun) must(at bout.Score, s mark.Side) string {
	const late = 30
	var c ClockAsk
	if x.ask.Clock != nil {
		c = *x.ask.Clock
	} else {
		lines := make([]BoutLine, x.at)
		for i := range lines {
			lines[i] = x.lines[i].BoutLine
		}
		times, err := x.timesBefore(lines, chain.Format{To: x.ask.Bout.Touches, LastDoubleCounts: x.ask.Bout.LastDoubleCounts})
		if err != nil || times == nil || !times.stands[len(lines)].known {
			return "" // an error is told where the time counts
		}
		c.Left = times.stands[len(lines)].left
	}
	if c.Left > late && c.Priority == "" {
		return ""
	}
	mine, theirs := at.Of(s), at.Of(s.Other())
	switch {
	case mine < theirs:
		return "me"
	case mine > theirs:
		return "them"
	case c.Priority == s.String():
		return "them"
	case c.Priority != "":
		return "me"
	}
	return ""
}

// scoreState names the state of a score, seen from who has mine.
func scoreState(mine, theirs, to int) string {
	state := "level"
	switch {
	case mine > theirs:
		state = "ahead"
	case mine < theirs:
		state = "behind"
	}
	if to > 0 && max(mine, theirs) == to-1 {
		state += "-last"
	}
	return state
}

// outcomeFor is how a line ended for one side.
func outcomeFor(outcome string, s mark.Side) string {
	switch outcome {
	case "double":
		return OutcomeDouble
	case "none":
		return OutcomeNothing
	case s.String():
		return OutcomeHit
	}
	return OutcomeAgainst
}

// source keeps where a number comes from and returns its ID; equal IDs are one source.
func (x *tacticsRun) source(s Source) string {
	if _, ok := x.listed[s.ID]; !ok {
		x.listed[s.ID] = len(x.out.Sources)
		x.out.Sources = append(x.out.Sources, s)
	}
	return s.ID
}

// lacks adds what cannot be told.
func (x *tacticsRun) lacks(l Lack) { x.out.Lacks = append(x.out.Lacks, l) }

// bout reads the whole bout.
func (x *tacticsRun) bout() error {
	if x.ask.Whole != nil {
		x.out.Bout = x.ask.Whole
		return nil
	}
	lines := make([]BoutLine, len(x.lines))
	for i, l := range x.lines {
		lines[i] = l.BoutLine
	}
	r, err := BoutRead(BoutAsk{Bout: x.ask.Bout, Lines: lines, Clock: x.ask.Clock, ClockAt: x.at + 1})
	var none *Refusal
	if errors.As(err, &none) && none.At == "/bout/sheet" {
		x.lacks(Lack{Part: PartBout, Both: true, Why: none.What, Mend: none.Mend})
		return nil
	}
	if err != nil {
		return err
	}
	x.out.Bout = r
	return nil
}

// called is what a fencer is called in a sentence.
func (x *tacticsRun) called(s mark.Side) string {
	if n := x.ask.Bout.Fencer(s).Name; n != "" {
		return n
	}
	return [2]string{"Left", "Right"}[s]
}

// kindWord is the word for a kind of choice.
func kindWord(kind string) string {
	for _, k := range bout.ChoiceKinds() {
		if k.Name == kind {
			return k.Word
		}
	}
	return kind
}
