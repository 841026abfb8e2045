package bout

import (
	"cmp"
	"fmt"
	"slices"

	"mesure/sport/mark"
)

// PhraseWarning is something in a phrase that does not go with the words of the
// rules or of the trade. The phrase stands as it is.
type PhraseWarning struct {
	// ActionID is the action it is about; empty for the phrase.
	ActionID string `json:"action,omitempty"`
	// Code is stable, such as "riposte-without-parry".
	Code string `json:"code"`
	// Article of the technical rules; empty where only the trade says so.
	Article string `json:"article,omitempty"`
	// Text is one sentence, with what to do.
	Text string `json:"text"`
}

// String returns the sentence with its article.
func (w PhraseWarning) String() string {
	if w.Article == "" {
		return w.Text
	}
	return w.Text + " (" + w.Article + ")"
}

// grammar reads one phrase.
type grammar struct {
	weapon Weapon
	all    []said
	out    []PhraseWarning
}

// Warnings returns what does not fit, in the order of the phrase; nil where all
// fits. It never blocks: a coach may have seen more than is written. What an action
// needs before it (FIE technical rules, edition of 2025): a riposte a parry of the
// same fencer (t.9.1), a counter-riposte a parry of a riposte (t.9.1), a parry
// something to parry (t.9.2), a counter-attack an offensive action that is on its way
// (t.12), remise, redoublement and reprise an action of the same fencer and what
// t.13.1 to t.13.3 say of it, counter-time a counter-attack (t.13.4). Words of another
// weapon, targets that do not count and a priority in épée are named; who has the
// priority is never worked out. A word that nobody knows is named once and may stand
// for whatever an action needs. For the order see When.
func (p WrittenPhrase) Warnings(v Vocabulary, when When) []PhraseWarning {
	g := &grammar{weapon: cmp.Or(p.Weapon, Epee), all: p.told(v, when)}
	g.whole(p)
	seen := map[string]bool{}
	for i, s := range g.all {
		if s.ID != "" && seen[s.ID] {
			g.warn(i, "two-with-one-id", "", "two actions have the id %q; give each its own", s.ID)
		}
		seen[s.ID] = true
		if g.sound(i) {
			g.weaponOf(i)
			g.needs(i)
			g.noted(i)
		}
	}
	return g.out
}

// warn adds one warning about an action.
func (g *grammar) warn(i int, code, article, text string, args ...any) {
	s := g.all[i]
	g.out = append(g.out, PhraseWarning{s.ID, code, article, fmt.Sprintf("%s %s: ", whose(s.Who), oneLine(s.Word)) + fmt.Sprintf(text, args...)})
}

func whose(s mark.Side) string {
	if s > mark.Right {
		return "nobody's"
	}
	return "the " + s.String() + " fencer's"
}

// by returns the article of the phrase's weapon.
func (g *grammar) by(epee, foil, sabre string) string {
	switch g.weapon {
	case Foil:
		return foil
	case Sabre:
		return sabre
	}
	return epee
}

// whole checks what belongs to no single action.
func (g *grammar) whole(p WrittenPhrase) {
	add := func(id, code, article, text string, args ...any) {
		g.out = append(g.out, PhraseWarning{id, code, article, fmt.Sprintf(text, args...)})
	}
	if _, ok := ApparatusOf(g.weapon); !ok {
		add("", "unknown-weapon", "", "%q is none of the three weapons; the phrase is read as épée", g.weapon)
		g.weapon = Epee
	}
	switch p.Priority {
	case "":
	case GivenLeft, GivenRight, GivenNobody:
		if g.weapon == Epee {
			add("", "priority-in-epee", "t.90", "priority: the conventions of épée know none; leave the call out")
		}
	default:
		add("", "unknown-priority", "", "priority: %q is not left, right or nobody", p.Priority)
	}
	ids, noted := map[string]bool{}, map[string]bool{}
	for _, a := range p.Actions {
		ids[a.ID] = true
	}
	for _, n := range p.Notes {
		switch {
		case !ids[n.ActionID]:
			add(n.ActionID, "note-without-action", "", "a note is about the action %q, which is not in the phrase; it is kept and not read", n.ActionID)
		case noted[n.ActionID]:
			add(n.ActionID, "two-notes", "", "the action %q has two notes; the first is read", n.ActionID)
		}
		noted[n.ActionID] = true
	}
}

// sound reports whether an action can be read as part of the phrase.
func (g *grammar) sound(i int) bool {
	s := g.all[i]
	if s.To < s.From {
		g.warn(i, "ends-before-it-begins", "", "it begins on frame %d and ends on frame %d; set its end later", s.From, s.To)
	}
	if !slices.Contains(StaveLines[:], s.Line) {
		g.warn(i, "unknown-line", "", "the stave has no line %q; use feet, hand or blade", s.Line)
	}
	switch {
	case s.Who > mark.Right:
		g.warn(i, "no-fencer", "", "it belongs to neither fencer; say who did it")
		return false
	case folded(s.Word) == "":
		g.warn(i, "no-word", "", "it has no word; write one")
		return false
	case !s.known:
		g.warn(i, "own-word", "", "the vocabulary does not have it; it is kept as the coach's own word")
	}
	return true
}

// weaponOf checks that the word belongs to the weapon.
func (g *grammar) weaponOf(i int) {
	w := g.all[i].word
	switch {
	case w.In(g.weapon):
	case w.Name == "cut":
		g.warn(i, "other-weapon", g.by("t.90.1", "t.76.1", ""), "%s hits with the point only; write what the point did", g.by("the épée", "the foil", ""))
	case g.weapon == Sabre && w.Kind == KindFootwork:
		g.warn(i, "other-weapon", "t.101.5", "in sabre the rear foot may not pass the front foot going forward")
	default:
		g.warn(i, "other-weapon", "", "it is no word of %s", g.by("épée", "foil", "sabre"))
	}
}

// is returns a test for kinds; a word nobody knows passes none.
func is(kinds ...ActionKind) func(said) bool {
	return func(s said) bool { return s.known && slices.Contains(kinds, s.kind()) }
}

// named returns a test for words of the table.
func named(words ...string) func(said) bool {
	return func(s said) bool { return s.known && slices.Contains(words, s.word.Name) }
}

func either(tests ...func(said) bool) func(said) bool {
	return func(s said) bool {
		return slices.ContainsFunc(tests, func(t func(said) bool) bool { return t(s) })
	}
}

var (
	offence      = is(KindAttack, KindCounter, KindRiposte, KindCounterRiposte, KindRenewal, KindCounterTime)
	goingOut     = named("lunge", "half lunge", "step and lunge", "balestra", "flèche", "step and flèche")
	struck       = either(offence, is(KindThrust, KindTaking), goingOut)
	threat       = either(struck, is(KindFeint, KindLine), named("extension", "half extension"))
	searching    = is(KindBladeAttack, KindTaking, KindEngagement)
	eightParries = named("prime", "seconde", "tierce", "quarte", "quinte", "sixte", "septime", "octave")
	onGuard      = named("recovery", "recovery forward")
	away         = either(is(KindEvasion), named("step back", "half step back", "jump back", "cross back"))
	unknown      = func(s said) bool { return !s.known || s.word.Kind == "" }
)

// last returns the place of the last action of a fencer between two places that
// passes, or -1.
func (g *grammar) last(after, before int, who mark.Side, test func(said) bool) int {
	for j := before - 1; j > after; j-- {
		if g.all[j].Who == who && test(g.all[j]) {
			return j
		}
	}
	return -1
}

// lacks reports whether a fencer has surely done nothing of the sort between two
// places: a word that nobody knows might be it.
func (g *grammar) lacks(after, before int, who mark.Side, test func(said) bool) bool {
	return g.last(after, before, who, either(test, unknown)) < 0
}

// over reports whether the action at j had ended when that at i began: its fencer
// went back to guard, drew back the arm, hit or missed, the other one parried or got
// out of the way, its time was up or, where no times are known, its result is noted.
func (g *grammar) over(j, i int) bool {
	a, b := g.all[j], g.all[i]
	timed := a.timed && b.timed
	if r := a.note.Result; r != "" && r != Drew && !timed {
		return true
	}
	return timed && a.to < b.from ||
		g.last(j, i, a.Who, either(onGuard, unknown, is(KindEnd), named("withdrawal"))) >= 0 ||
		g.last(j, i, a.Who.Other(), either(is(KindParry), away, unknown)) >= 0
}

// noted checks the note of one action.
func (g *grammar) noted(i int) {
	s := g.all[i]
	n := s.note
	has := func(terms []Term, name string) bool {
		return name == "" || slices.ContainsFunc(terms, func(t Term) bool { return t.Name == name })
	}
	for _, c := range []struct {
		what, name string
		terms      []Term
	}{{"nature", string(n.Nature), Natures()}, {"intention", string(n.Intention), Intentions()}, {"result", string(n.Result), Results()}} {
		if !has(c.terms, c.name) {
			g.warn(i, "unknown-"+c.what, "", "%q is no %s; it is kept and not read", c.name, c.what)
		}
	}
	if w, ok := (Vocabulary{}).Word(n.Line); ok && eightParries(said{word: w, known: true}) && eightParries(s) && w.Name != s.word.Name {
		g.warn(i, "two-lines", "", "the word says %s and the note %s; keep one", s.word.Name, w.Name)
	}
	if n.Intention == SecondIntention && !g.goesOn(i) {
		g.warn(i, "second-intention-alone", "", "in second intention another action of the same fencer follows, and none is written")
	}
	if n.Result == Parried && !g.parriedLater(i) {
		g.warn(i, "parried-by-nobody", "t.9.2", "it is said to be parried and no parry of the opponent follows; write the parry")
	}
	if n.Result == Arrived && (n.Nature == Feigned || n.Nature == Invitation) {
		g.warn(i, "feint-hits", "", "a %s is not meant to hit; call it real if it was", n.Nature)
	}
	if n.Result == OffTarget && g.weapon == Epee {
		g.warn(i, "all-is-target", "t.91", "in épée the whole fencer is target; write a hit, or a miss")
	}
	if n.Result == Arrived && g.offTarget(n.Target) {
		g.warn(i, "not-a-target", g.by("", "t.77", "t.97.1"), "the %s is no target in %s; write off target", n.Target.Word(), g.by("", "foil", "sabre"))
	}
}

// offTarget reports whether a target does not count for the weapon.
func (g *grammar) offTarget(t mark.Target) bool {
	switch t {
	case mark.Thigh, mark.Knee, mark.Foot:
		return g.weapon != Epee
	case mark.Hand, mark.Forearm, mark.UpperArm:
		return g.weapon == Foil
	}
	return false
}

func (g *grammar) goesOn(i int) bool {
	for _, s := range g.all[i+1:] {
		if s.Who == g.all[i].Who && s.kind() != KindFootwork && s.kind() != KindEnd {
			return true
		}
	}
	return false
}

func (g *grammar) parriedLater(i int) bool {
	for _, s := range g.all[i+1:] {
		if s.Who != g.all[i].Who && (is(KindParry)(s) || unknown(s)) {
			return true
		}
	}
	return false
}
