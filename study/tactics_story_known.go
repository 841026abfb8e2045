package study

import (
	"fmt"
	"slices"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// mostTurns is at how many touches a story tells a change of choice: the last ones, since
// the others led to those.
const mostTurns = 3

// turnOf is a change of choice of one side.
type turnOf struct {
	turn
	s mark.Side
}

// turns tells the last changes before the touch asked about, each with the touch that
// came before it and how it went.
func (t *story) turns() {
	var all []turnOf
	for _, s := range t.sides() {
		for c, ok := t.lastTurn(s, t.at); ok; c, ok = t.lastTurn(s, c.first) {
			all = append(all, turnOf{c, s})
		}
	}
	slices.SortStableFunc(all, func(a, b turnOf) int { return a.first - b.first })
	var at [][]turnOf // by touch
	for _, c := range all {
		if n := len(at); n > 0 && at[n-1][0].first == c.first {
			at[n-1] = append(at[n-1], c)
		} else {
			at = append(at, []turnOf{c})
		}
	}
	for shape, c := range at[max(0, len(at)-mostTurns):] {
		if len(c) == 1 {
			t.add(weighsMuch, t.turned(c[0], shape), t.andEnds(c[0].s, c[0].first, false))
			continue
		}
		i := c[0].first
		to := spoken{": ", c[0].s, " to ", t.nounAt(c[0].s, i), ", ", c[1].s, " to ", t.nounAt(c[1].s, i)}
		if k := t.lines[i].Kinds; k[mark.Left] == k[mark.Right] {
			to = spoken{" to ", t.nounAt(mark.Left, i)}
		}
		t.add(weighsMuch, []string{"at touch ", "then, at touch "}[shape%2], t.touchNumber(i), ", both change", to, t.andEnds(mark.Left, i, true))
	}
}

// nounAt is what a side chose on line i.
func (t *story) nounAt(s mark.Side, i int) string { return kindNoun(t.lines[i].Kinds[s]) }

// turned tells one change, in one of three shapes.
func (t *story) turned(c turnOf, shape int) spoken {
	old, now := t.nounAt(c.s, c.last), t.nounAt(c.s, c.first)
	lesson := t.endedFor(c.s, c.last) == OutcomeAgainst
	switch {
	case lesson && shape%3 == 0:
		return spoken{"after touch ", t.touchNumber(c.last), ", where ", old, " is hit, ", c.s, " turns to ", now}
	case lesson && shape%3 == 1:
		return spoken{c.s, " gives up ", old, ", hit at touch ", t.touchNumber(c.last), ", for ", now}
	case lesson:
		return spoken{"hit with ", old, " at touch ", t.touchNumber(c.last), ", ", c.s, " comes with ", now}
	case shape%3 == 0:
		return spoken{"at touch ", t.touchNumber(c.first), " ", c.s, " changes from ", old, " to ", now}
	case shape%3 == 1:
		return spoken{c.s, " leaves ", old, " for ", now, " at touch ", t.touchNumber(c.first)}
	}
	return spoken{"in place of ", old, " ", c.s, " brings ", now, " at touch ", t.touchNumber(c.first)}
}

// andEnds is how a change went at line i: for the side that changed, or by name.
func (t *story) andEnds(s mark.Side, i int, named bool) spoken {
	hit, who := t.hitter(i)
	switch {
	case !hit && t.lines[i].outcome() == "double":
		return spoken{", and both hit"}
	case !hit:
		return nil
	case named:
		return spoken{"; ", who, " hits"}
	case who == s:
		return spoken{", and hits"}
	}
	return spoken{", and is hit"}
}

// metBefore says that the two have met, where the library knows of it.
func (t *story) metBefore() {
	src := Source{ID: "met-before", Title: fmt.Sprintf("Earlier bouts of %s and %s", t.called(t.f), t.called(t.o)), How: "Bouts of the library in which a choice of one of the two against the other is written.", Method: methodThread}
	for _, a := range t.ask.Past {
		for _, s := range mark.Sides {
			if bout.SameName(a.Fencer, t.called(s)) && bout.SameName(a.Opponent, t.called(s.Other())) {
				src.Bouts = withBout(src.Bouts, a)
			}
		}
	}
	if n := len(src.Bouts); n > 0 {
		t.add(weighsLittle, "the two have met before, in ", t.of(n, "bout", "bouts", t.source(src)), " of the library")
	}
}

// habitChanged says since when a fencer's habit is likely another one.
func (t *story) habitChanged() {
	shape := 0
	for _, s := range t.sides() {
		h := t.out.Habits[s]
		if h == nil || h.TooLittle || h.Change == nil || h.Change.Sure.Lo <= evenShare {
			continue
		}
		c := h.Change
		from := t.source(Source{ID: "change/" + s.String(), Title: fmt.Sprintf("Since when %s chooses otherwise", t.called(s)), How: "The touch since which the choices are likeliest to follow another habit, over all ways to cut the bout in stretches.",
			Touches: t.numbers(t.chosenBefore(s, t.at)), Method: MethodHabit})
		since, kind := Piece{sinceWords(c), from}, kindNoun(c.Kind)
		was, is := Piece{shareWords(c.Before), from}, Piece{shareWords(c.After), from}
		if shape == 0 {
			t.add(weighsSome, "since touch ", since, " ", s, " likely follows another habit: ", kind, " goes from ", was, " to ", is)
		} else {
			t.add(weighsSome, "so does ", s, ", since touch ", since, ": ", kind, " goes from ", was, " to ", is)
		}
		shape++
	}
}

// sinceWords prints the touch of a change with the interval that holds 95 %.
func sinceWords(c *HabitChange) string {
	return fmt.Sprintf("%d [%d,\u00a0%d]", c.Since, c.From, c.To)
}

// expected says what each could have known of the other, the other side's knowledge of
// For last: that is what the choice of For is up against.
func (t *story) expected() {
	mine, theirs := t.knewOf[t.f], t.knewOf[t.o]
	seen := func(k *Knew) Piece { return t.of(k.Seen, "choice", "choices", k.Source) }
	if mine != nil && theirs != nil && mine.TooLittle && theirs.TooLittle {
		parts := spoken{"neither has seen enough of the other to expect anything: "}
		if mine.Seen == theirs.Seen {
			parts = append(parts, seen(mine), " of each")
		} else {
			parts = append(parts, seen(mine), " of ", t.o, ", ", Piece{fmt.Sprint(theirs.Seen), theirs.Source}, " of ", t.f)
		}
		t.add(weighsAlways, parts...)
		return
	}
	for n, s := range t.sides() {
		k, o := t.knewOf[s], s.Other()
		if k == nil {
			continue
		}
		noun, share := kindNoun(k.Likely), Piece{shareWords(k.Share), k.Source}
		var shapes [2]spoken
		switch {
		case k.TooLittle:
			shapes = [2]spoken{{s, " has seen too little of ", o, " to expect anything: ", seen(k)}, {"of ", o, " too little is seen for ", s, " to expect anything: ", seen(k)}}
		case k.Share.Lo > evenShare:
			shapes = [2]spoken{{s, " can expect ", noun, " from ", o, ", at ", share}, {"what ", s, " can expect in return is ", noun, ", at ", share}}
		default:
			shapes = [2]spoken{{"by what ", s, " has seen of ", o, ", ", noun, " leads with ", share, ": a guess, no more"}, {s, "'s best guess of ", o, " is ", noun, ", at ", share, ", which leaves much open"}}
		}
		t.add(weighsAlways, shapes[n]...)
	}
}

// came tells the touch itself, where it was fenced: who changes for it, what meets, and
// whether that could have been seen coming.
func (t *story) came() {
	if !t.out.Fenced {
		return
	}
	t.changes()
	l := t.lines[t.at]
	if l.Kinds[mark.Left] == "" && l.Kinds[mark.Right] == "" {
		t.add(weighsAlways, "what was chosen is not written; ", t.clause(t.at))
		return
	}
	meet := "so they meet: "
	switch {
	case t.at == 0:
		meet = "it goes like this: "
	case t.changed(t.f, t.at) == "same" && t.changed(t.o, t.at) == "same":
		meet = "both stay with what they have: "
	}
	t.add(weighsAlways, meet, t.clause(t.at))
	t.surprised()
}

// changes tells who changes for the touch asked about, and from what.
func (t *story) changes() {
	var all []spoken
	var taught bool
	for _, s := range t.sides() {
		c, ok := t.lastTurn(s, t.at+1)
		if !ok || c.first != t.at {
			continue
		}
		lesson, back := "", ""
		if t.endedFor(s, c.last) == OutcomeAgainst {
			lesson, taught = ", hit at touch ", true
		}
		if t.changed(s, t.at) == "back" {
			back = " back"
		}
		from := spoken{" from ", t.nounAt(s, c.last)}
		if lesson != "" {
			from = append(from, lesson, t.touchNumber(c.last), ",")
		}
		all = append(all, spoken{s, back, from, " to ", t.nounAt(s, t.at)})
	}
	weighs := weighsSome
	if taught {
		weighs = weighsMuch
	}
	switch len(all) {
	case 1:
		t.add(weighs, "now ", all[0][0], " changes", all[0][1:])
	case 2:
		t.add(weighs, "now both change: ", all[0], "; ", all[1])
	}
}

// surprised says whether one of the two choices could have been seen coming: the one
// that was least likely to who met it. A surprise is one whose whole interval lies below
// evenShare; one that came as the likeliest, with an interval above it, was to be seen.
func (t *story) surprised() {
	var by mark.Side
	var k *Knew
	for _, s := range t.sides() {
		o := s.Other()
		if n := t.knewOf[o]; n != nil && !n.TooLittle && t.lines[t.at].Kinds[s] != "" && (k == nil || n.ShareOfCame.Mean < k.ShareOfCame.Mean) {
			by, k = s, n
		}
	}
	if k == nil {
		return
	}
	noun, share := kindNoun(t.lines[t.at].Kinds[by]), Piece{shareWords(k.ShareOfCame), k.Source}
	switch {
	case k.ShareOfCame.Hi < evenShare:
		t.add(weighsSome, by.Other(), " has little reason to expect ", noun, ": ", share)
	case k.Came && k.ShareOfCame.Lo > evenShare:
		t.add(weighsSome, by.Other(), " could see ", noun, " coming: ", share)
	default:
		t.add(weighsLittle, "whether ", by.Other(), " could see ", noun, " coming cannot be told: ", share)
	}
}

// hung says what a hit and a double are worth at this score.
func (t *story) hung(k *stake) {
	if k == nil {
		return
	}
	win := Piece{shareWords(k.win), k.from}
	if k.decides {
		parts := spoken{"whoever hits next wins, ", t.f, " with a chance of ", win}
		if k.void {
			parts = append(parts, "; a double counts for nobody")
		}
		t.add(weighsMuch, parts...)
		return
	}
	var parts spoken
	hangs := spoken{"; between a hit and one against lie ", Piece{shareWords(k.hangs), k.from}, " of it"}
	if k.win.Hi-k.win.Lo > openShare {
		parts = spoken{"what ", t.f, "'s chance to win is can hardly be told yet, ", win, hangs}
	} else {
		parts = spoken{t.f, "'s chance to win stands at ", win, hangs}
	}
	if k.left != nil && t.ask.Clock == nil { // else it was said at the beginning
		parts = append(spoken{"with ", Piece{timeWords(*k.left), k.from}, " left, "}, parts...)
	}
	t.add(weighsAlways, append(parts, t.doubled(k)...)...)
}

// doubled says whom a double helps, as a part of a sentence; nothing where there are none.
func (t *story) doubled(k *stake) spoken {
	worth := Piece{changeWords(k.double), k.from}
	switch {
	case !k.doubles:
		return nil
	case k.double.Lo > 0:
		return spoken{", and a double helps ", t.f, ": ", worth}
	case k.double.Hi < 0:
		return spoken{", and a double helps ", t.o, ": ", worth, " for ", t.f}
	}
	return spoken{", and whom a double helps cannot be told: ", worth, " for ", t.f}
}

// weighed tells of a bout that is over what hung on its heaviest touch.
func (t *story) weighed() {
	r := t.out.Bout
	if r == nil {
		return
	}
	h := r.Touches[r.Heaviest]
	all := t.touchesWhere(len(t.lines), func(tacticsLine) bool { return true })
	from := t.source(Source{ID: "bout", Title: "What hung on each touch of the bout", How: "The chance to win after a hit for one less that after a hit for the other, by the hits of the whole bout, looking back.",
		Touches: all, Prior: fmt.Sprintf("Each end of a phrase is credited with %g hits before anything was seen.", r.Rates.Prior), Method: methodScore})
	t.add(weighsAlways, "touch ", Piece{fmt.Sprint(h.Number), from}, ", at ", Piece{scoreWords(h.Before.Score), from}, ", weighs most: ", Piece{shareWords(h.Before.Importance), from}, " of the chance to win lies between a hit and one against")
}
