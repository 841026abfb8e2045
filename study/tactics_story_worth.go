package study

import (
	"fmt"
	"slices"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/tactics/chain"
)

// stake is what the bout is worth to For before the touch asked about and after each of
// its ends, by what was seen before it alone.
type stake struct {
	win quantity.Of[quantity.Chance]
	// hangs is what lies between a hit and one against.
	hangs quantity.Of[quantity.Chance]
	// left is the time that is left, where it is known and in it.
	left *quantity.Seconds
	// double is what a double changes; doubles is whether there are any.
	double  quantity.Of[quantity.Chance]
	doubles bool
	// decides is whether the next single hit ends the bout either way, void whether a
	// double counts for nobody.
	decides, void bool
	from          string
}

// stake values the score before the touch asked about: the rates of the hits before it
// are drawn, with chain.PriorCount for each end, as BoutRead does with those of the whole
// bout, with the time where it is known. Nil where the bout is over.
func (x *tacticsRun) stake() (*stake, error) {
	s, b := x.out.Score, x.ask.Bout
	mine, theirs := s.Of(x.ask.For), s.Of(x.ask.For.Other())
	if max(mine, theirs) >= b.Touches {
		return nil, nil
	}
	k := &stake{doubles: b.Weapon == bout.Epee, void: x.void(s), decides: mine == b.Touches-1 && theirs == mine}
	src := Source{ID: "stake", Title: fmt.Sprintf("What hangs on touch %d", x.out.At),
		How:   "The chance to win the bout at this score and after each end of the phrase, by the hits before this touch alone. The chart of the bout looks back over all touches, so its numbers differ.",
		Prior: fmt.Sprintf("Each end of a phrase is credited with %g hits before anything was seen.", chain.PriorCount), Method: methodScore}
	for i, l := range x.lines[:x.at] {
		if x.endedFor(x.ask.For, i) == OutcomeNothing {
			continue
		}
		src.Touches = append(src.Touches, l.Number)
	}
	draws, left, err := x.standDraws()
	if err != nil {
		return nil, err
	}
	if left != nil {
		k.left = &left.left
		src.How += " The time that is left is in it."
		if left.extra { // a single hit wins, a double does not count
			k.decides, k.void = true, true
		}
	}
	n := len(draws)
	win, hangs, double := make([]quantity.Chance, n), make([]quantity.Chance, n), make([]quantity.Chance, n)
	for i, d := range draws {
		win[i], hangs[i], double[i] = d.Now, d.Hit-d.Against, d.Double-d.Now
	}
	k.win, k.hangs, k.double = quantity.FromDraws(win), quantity.FromDraws(hangs), quantity.FromDraws(double)
	k.from = x.source(src)
	return k, nil
}

// sound ends the story: whether what For chose was sound by what could be known before
// it, or, where the touch is still to come, what is worth most.
//
// A choice is called sound where it is the best reply and the 95 % of its lead leave 0
// out. Where it cannot be told apart from the best, nothing speaks against it; that is
// all that is known. How the touch ended does not enter.
func (t *story) sound() {
	p := t.out.Payoff
	chosen := ""
	if t.out.Fenced {
		chosen = t.lines[t.at].Kinds[t.f]
	}
	switch {
	case t.out.Fenced && chosen == "":
		t.add(weighsAlways, "whether ", t.f, " chooses well cannot be said: the choice is not written")
		return
	case p == nil || len(p.Standings) != len(p.Mine) || len(p.Mine) == 0:
		if t.out.Fenced {
			t.add(weighsAlways, "whether ", t.f, " chooses well cannot be said: what each choice is worth is not known")
		} else if t.at > 0 {
			t.add(weighsAlways, "what each choice is worth now is not known")
		}
		return
	}
	from := t.worthFrom()
	brings := func(i int) Piece { return Piece{changeWords(p.gain(i)), from} }
	best := p.Reply.Choice
	if !t.out.Fenced {
		t.best(brings)
		return
	}
	i := slices.Index(p.Mine, chosen)
	noun, other := kindNoun(chosen), kindNoun(p.Mine[best])
	by := spoken{"by what can be known before it "}
	if p.TooLittle {
		by = spoken{"with little seen of ", t.o, ", by race and windows "}
	}
	still := ""
	if t.endedFor(t.f, t.at) == OutcomeAgainst {
		still = ", hit or not"
	}
	const of = " of the chance to win"
	switch {
	case i < 0:
		t.add(weighsAlways, "whether ", noun, " is sound cannot be said: it is not among the choices that were valued")
	case i == best && p.Reply.Apart:
		t.add(weighsAlways, by, noun, " brings most, ", brings(i), of, ": a sound choice", still)
	case i == best:
		t.add(weighsAlways, by, "no choice can be shown to bring more than ", noun, ", ", brings(i), of, ": nothing speaks against it", still)
	case p.Standings[i].Alike:
		t.add(weighsAlways, by, noun, " brings ", brings(i), of, " and ", other, " ", brings(best), "; the two cannot be told apart, so nothing speaks against the choice", still)
	default:
		t.add(weighsAlways, by, other, " brings more, ", brings(best), of, " against ", brings(i), " for ", noun, ": there is a better choice")
	}
}

// gain is what a choice adds to the chance to win, over a phrase in which nobody hits. It
// is told in place of the worth, whose interval leaves out what is not known of where the
// bout stands.
func (p *Payoff) gain(i int) quantity.Of[quantity.Chance] {
	q, stands := p.Standings[i].Worth, p.After.Nothing.Mean
	q.Mean, q.Lo, q.Hi = q.Mean-stands, q.Lo-stands, q.Hi-stands
	return q
}

// best says what brings most at a touch still to come.
func (t *story) best(brings func(int) Piece) {
	p := t.out.Payoff
	r := p.Reply
	switch {
	case p.TooLittle:
		t.add(weighsAlways, "too little is seen of ", t.o, " to lean on a habit, so mixing is the advice")
	case r.Apart:
		t.add(weighsAlways, "against what ", t.o, " tends to do ", kindNoun(p.Mine[r.Choice]), " brings most: ", brings(r.Choice), " of the chance to win")
	default:
		t.add(weighsAlways, "against what ", t.o, " tends to do ", kindNoun(p.Mine[r.Choice]), " and ", kindNoun(p.Mine[r.Second]), " cannot be told apart: they bring ", brings(r.Choice), " and ", brings(r.Second), " of the chance to win")
	}
}

// worthFrom is the source of what choices are worth before the touch asked about.
func (t *story) worthFrom() string {
	s := Source{ID: "worth", Title: fmt.Sprintf("What each choice of %s brings at touch %d", t.called(t.f), t.out.At),
		How:     "What the choice adds to the chance to win, over a phrase in which nobody hits, against what the opponent tends to do before this touch: how each pair of choices ends, by race, windows and counts, times what the bout is worth after that.",
		Touches: t.touchesWhere(t.at, func(l tacticsLine) bool { return l.Kinds[t.o] != "" || l.outcome() != "none" }), Method: payoffMethod}
	if h := t.out.Habits[t.o]; h != nil {
		s.Prior = fmt.Sprintf("What the opponent tends to do begins with %d kinds of choice that are equally likely.", len(h.Kinds))
	}
	for _, a := range t.ask.Past {
		if bout.SameName(a.Fencer, t.called(t.o)) {
			s.Bouts = withBout(s.Bouts, a)
		}
	}
	return t.source(s)
}

// withBout counts an act of an earlier bout.
func withBout(all []SourceBout, a Act) []SourceBout {
	for i := range all {
		if all[i].ID == a.Bout {
			all[i].Count++
			return all
		}
	}
	return append(all, SourceBout{ID: a.Bout, Day: a.Day, With: a.Opponent, Count: 1})
}
