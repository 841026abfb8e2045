package study

import (
	"fmt"
	"slices"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// What may be said, and how much.
const (
	// mostSentences a story has: longer ones are not listened to.
	mostSentences = 12
	// leastTried is how many choices of a fencer make "most often": of two nothing is.
	leastTried = 3
	// evenShare is what an interval must lie above to be called likely, and below to be
	// called a surprise: more often than not.
	evenShare = 0.5
	// openShare is how wide an interval is of which it is said that it tells hardly
	// anything.
	openShare = 0.9
)

// How much a sentence matters: where there are more than mostSentences, the least go.
const (
	weighsAlways = 9 // without it the rest is not understood, or is more than is known
	weighsMuch   = 7
	weighsSome   = 5
	weighsLittle = 3
)

// storyLine is one sentence of a story on its way.
type storyLine struct {
	weighs int
	parts  spoken
}

// story is the thread of one touch on its way to sentences.
type story struct {
	*tacticsRun
	f, o mark.Side
	// knewOf is what each side could have known of the other, by who knows.
	knewOf [2]*Knew
	told   []storyLine
}

// tell writes the story of the touch asked about, and what to do at it.
func (x *tacticsRun) tell() error {
	t := &story{tacticsRun: x, f: x.ask.For, o: x.ask.For.Other()}
	for _, s := range mark.Sides {
		k, err := x.knew(s, x.at)
		if err != nil {
			return err
		}
		t.knewOf[s] = k
	}
	stake, err := x.stake()
	if err != nil {
		return err
	}
	t.stands()
	t.metBefore()
	t.opened()
	t.tried()
	t.turns()
	t.habitChanged()
	t.unwritten()
	if !t.over() {
		t.expected()
		t.came()
		t.hung(stake)
		t.sound()
	} else {
		t.weighed()
	}
	t.shorten()
	full := map[mark.Side]bool{mark.Left: true, mark.Right: true}
	for _, s := range t.told {
		x.out.Story = append(x.out.Story, x.sentence(append(s.parts, "."), full))
	}
	if x.over() {
		return nil
	}
	x.out.Next, err = x.next()
	return err
}

// add puts one sentence into the story.
func (t *story) add(weighs int, parts ...any) { t.told = append(t.told, storyLine{weighs, parts}) }

// shorten leaves out what matters least until the story is short enough, of equals the
// latest.
func (t *story) shorten() {
	for len(t.told) > mostSentences {
		least := len(t.told) - 1
		for i := least; i >= 0; i-- {
			if t.told[i].weighs < t.told[least].weighs {
				least = i
			}
		}
		t.told = slices.Delete(t.told, least, least+1)
	}
}

// stands says at which touch, at which score, with how much time.
func (t *story) stands() {
	s, to, from := t.out.Score, t.ask.Bout.Touches, t.standsFrom()
	score := Piece{scoreWords(s), from}
	if t.over() {
		won := mark.Left
		if s.Right > s.Left {
			won = mark.Right
		}
		if s.Left == s.Right {
			t.add(weighsAlways, "the bout is over, level at ", score)
		} else {
			t.add(weighsAlways, "the bout is over: ", won, " wins it at ", score, " after ", t.of(len(t.lines), "touch", "touches", from), " on the sheet")
		}
		return
	}
	number, in := Piece{fmt.Sprint(t.out.At), from}, spoken{", in a bout to ", Piece{fmt.Sprint(to), from}, ": "}
	ahead, behind := t.f, t.o
	if s.Of(t.f) < s.Of(t.o) {
		ahead, behind = t.o, t.f
	}
	lead := s.Of(ahead) - s.Of(behind)
	var state spoken
	switch {
	case s.Of(ahead) >= to:
		state = spoken{"the bout is decided by then"}
	case s.Left == to-1 && s.Right == to-1:
		state = spoken{"the next hit decides for ", t.f, " or ", t.o}
	case lead == 0:
		state = spoken{t.f, " and ", t.o, " are level"}
	case s.Of(ahead) == to-1:
		state = spoken{ahead, " needs ", t.of(1, "hit", "hits", from), " more, ", behind, " ", Piece{fmt.Sprint(to - s.Of(behind)), from}}
	default:
		state = spoken{ahead, " leads ", behind, " by ", t.of(lead, "hit", "hits", from)}
	}
	switch {
	case t.at == 0 && s == bout.Score{} && t.out.Fenced:
		t.add(weighsAlways, "touch ", number, " opens the bout of ", t.f, " and ", t.o, ", which goes to ", Piece{fmt.Sprint(to), from})
	case t.at == 0 && s == bout.Score{}:
		t.add(weighsAlways, "nothing is fenced yet between ", t.f, " and ", t.o, ": the bout goes to ", Piece{fmt.Sprint(to), from})
	case t.out.Fenced:
		t.add(weighsAlways, "touch ", number, " is fenced at ", score, in, state)
	default:
		t.add(weighsAlways, "the touch to come is number ", number, ", at ", score, in, state)
	}
	t.clockStands()
}

// standsFrom is the source of the score before the touch asked about.
func (t *story) standsFrom() string {
	if t.out.Fenced {
		return t.touchFrom(t.at)
	}
	s := Source{ID: "score", Title: "The score before the touch asked about", How: "As the lines of the sheet make it, cards included; the format is that of the bout.", Method: methodThread}
	for _, l := range t.lines {
		s.Touches = append(s.Touches, l.Number)
	}
	return t.source(s)
}

// clockStands says what the time asks for, where it is asked.
func (t *story) clockStands() {
	c := t.ask.Clock
	if c == nil {
		return
	}
	from := t.source(Source{ID: "clock", Title: "The time that is left", How: "As it was asked.", Method: methodThread})
	left := int(max(float64(c.Left), 0) + 0.5)
	parts := spoken{Piece{fmt.Sprintf("%d:%02d", left/60, left%60), from}, " is left on the clock"}
	for _, s := range mark.Sides {
		if c.Priority == s.String() {
			parts = spoken{parts[0], " is left of the extra minute, with the priority for ", s}
		}
	}
	switch t.situation(t.at, t.f).Must {
	case "me":
		parts = append(parts, ", and it is ", t.f, " who has to hit")
	case "them":
		parts = append(parts, ", and it is ", t.o, " who has to hit")
	}
	t.add(weighsMuch, parts...)
}

// of counts things, as a number with its source.
func (t *story) of(n int, one, more, from string) Piece { return Piece{countOf(n, one, more), from} }

// opened tells the first touch at which a choice is known.
func (t *story) opened() {
	i := slices.IndexFunc(t.lines[:t.at], func(l tacticsLine) bool { return l.Kinds[mark.Left] != "" || l.Kinds[mark.Right] != "" })
	switch {
	case t.at == 0:
	case i < 0:
		t.scored()
	case i == 0:
		t.add(weighsSome, "the bout opens like this: ", t.clause(0))
	default:
		t.add(weighsSome, "the first choice that is written is of touch ", t.touchNumber(i), ": ", t.clause(i))
	}
}

// scored tells who hit, where no choice is written.
func (t *story) scored() {
	ends := t.endings(t.f, func(int) bool { return true })
	from := t.source(Source{ID: "ends", Title: fmt.Sprintf("How the touches before number %d ended", t.out.At), How: "Counted on the sheet: who hit, before any card.",
		Touches: t.touchesWhere(t.at, func(tacticsLine) bool { return true }), Method: methodThread})
	parts := spoken{"no choice is written yet; of ", t.of(t.at, "touch", "touches", from), " before it "}
	list := []spoken{{t.f, " hits alone in ", Piece{fmt.Sprint(len(ends[OutcomeHit])), from}}, {t.o, " in ", Piece{fmt.Sprint(len(ends[OutcomeAgainst])), from}}}
	if t.ask.Bout.Weapon == bout.Epee {
		list = append(list, spoken{"both hit in ", Piece{fmt.Sprint(len(ends[OutcomeDouble])), from}})
	}
	t.add(weighsAlways, append(parts, listing(list))...)
}

// endings sorts the lines before the touch asked about by how they ended for a side.
func (t *story) endings(s mark.Side, keeps func(i int) bool) map[string][]int {
	ends := map[string][]int{}
	for i := range t.at {
		if keeps(i) {
			o := t.endedFor(s, i)
			ends[o] = append(ends[o], i)
		}
	}
	return ends
}

// listing joins parts as a list is spoken.
func listing(parts []spoken) spoken {
	var all spoken
	for i, p := range parts {
		switch {
		case i > 0 && i == len(parts)-1:
			all = append(all, " and ")
		case i > 0:
			all = append(all, ", ")
		}
		all = append(all, p)
	}
	return all
}

// numbers are the numbers of lines.
func (t *story) numbers(lines []int) []int {
	var all []int
	for _, i := range lines {
		all = append(all, t.lines[i].Number)
	}
	return all
}

// tried tells what each fencer tries most, what it brings and what answers it.
func (t *story) tried() {
	for n, s := range t.sides() {
		kinds, at := t.most(s)
		chosen := t.chosenBefore(s, t.at)
		if len(chosen) < leastTried {
			continue
		}
		from := t.triedFrom(s, chosen)
		share := Piece{fmt.Sprintf("%d of %d", len(at[0]), len(chosen)), from}
		if len(kinds) > 1 { // of three or more nothing is most
			if len(kinds) == 2 && len(at[0]) > 1 {
				t.add(weighsLittle, s, []string{" goes between ", " has two favourites, "}[n], kindNoun(kinds[0]), " and ", kindNoun(kinds[1]), ", ", share, " touches each")
			}
			continue
		}
		ends := t.endings(s, func(i int) bool { return slices.Contains(at[0], i) })
		noun, brought := kindNoun(kinds[0]), t.brought(ends, from)
		switch {
		case len(at[0]) == len(chosen) && n == 0:
			t.add(weighsMuch, s, " brings nothing but ", noun, ", at ", t.of(len(chosen), "touch", "touches", from), ": ", brought)
		case len(at[0]) == len(chosen):
			t.add(weighsMuch, "from ", s, " it is always ", noun, ", ", Piece{timesWord(len(chosen)), from}, ", with ", brought)
		case n == 0:
			t.add(weighsMuch, s, " most often brings ", noun, ", at ", share, " touches: ", brought)
		default:
			t.add(weighsMuch, "from ", s, " it is most often ", noun, ", ", share, ", with ", brought)
		}
		t.answer(n, s, kinds[0], ends[OutcomeAgainst])
	}
}

// brought says how the touches of a choice ended for who made it.
func (t *story) brought(ends map[string][]int, from string) spoken {
	var all []spoken
	for _, e := range []struct{ outcome, one, more string }{
		{OutcomeHit, "hit", "hits"}, {OutcomeDouble, "double", "doubles"}, {OutcomeAgainst, "hit against", "hits against"},
	} {
		if n := len(ends[e.outcome]); n > 0 {
			all = append(all, spoken{t.of(n, e.one, e.more, from)})
		}
	}
	if len(all) == 0 {
		return spoken{"no hit on either side"}
	}
	return listing(all)
}

// triedFrom is the source of counts of a fencer's choices.
func (t *story) triedFrom(s mark.Side, chosen []int) string {
	return t.source(Source{ID: "chosen/" + s.String(), Title: fmt.Sprintf("What %s chose before touch %d", t.called(s), t.out.At), How: countedHow, Touches: t.numbers(chosen), Method: methodThread})
}

// most are the kinds that a side chose most often before the touch asked about, in the
// order in which they came up, and at which lines each.
func (t *story) most(s mark.Side) (kinds []string, at [][]int) {
	lines, order, n := map[string][]int{}, []string{}, 0
	for _, i := range t.chosenBefore(s, t.at) {
		k := t.lines[i].Kinds[s]
		if lines[k] == nil {
			order = append(order, k)
		}
		lines[k] = append(lines[k], i)
		n = max(n, len(lines[k]))
	}
	for _, k := range order {
		if len(lines[k]) == n {
			kinds, at = append(kinds, k), append(at, lines[k])
		}
	}
	return kinds, at
}

// answer says which choice of the other hits what a fencer chooses most, where one does
// so more than once.
func (t *story) answer(shape int, s mark.Side, kind string, against []int) {
	by := map[string][]int{}
	var best string
	for _, i := range against {
		if k := t.lines[i].Kinds[s.Other()]; k != "" {
			if by[k] = append(by[k], i); best == "" || len(by[k]) > len(by[best]) {
				best = k
			}
		}
	}
	if len(by[best]) < 2 || 2*len(by[best]) <= len(against) {
		return
	}
	from := t.source(Source{ID: "answer/" + s.String(), Title: fmt.Sprintf("What hit %s in %s", t.called(s), kindNoun(kind)), How: countedHow, Touches: t.numbers(against), Method: methodThread})
	noun, share := kindNoun(best), Piece{fmt.Sprintf("%d of %d", len(by[best]), len(against)), from}
	if shape == 0 {
		t.add(weighsLittle, "what stops it is ", noun, ", with ", share, " hits against it")
	} else {
		t.add(weighsLittle, "it is ", noun, " that meets it best, with ", share, " hits against it")
	}
}

// unwritten says how much of the thread is silent.
func (t *story) unwritten() {
	both := func(l tacticsLine) bool { return l.Kinds[mark.Left] != "" && l.Kinds[mark.Right] != "" }
	known := t.touchesWhere(t.at, both)
	if len(known) == t.at || len(t.chosenBefore(mark.Left, t.at))+len(t.chosenBefore(mark.Right, t.at)) == 0 {
		return
	}
	from := t.source(Source{ID: "written", Title: "Touches with the choices of both", How: countedHow, Touches: known, Method: methodThread})
	t.add(weighsAlways, "the choices of both are known at ", Piece{fmt.Sprintf("%d of %d", len(known), t.at), from}, " touches before this one; the rest is silent here")
}
