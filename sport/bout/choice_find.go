package bout

import "slices"

// ChoiceMatch is one word for a choice that a search found.
type ChoiceMatch struct {
	// Word is what the sheet holds: the word of a kind of choice, or of the trade, or
	// the coach's own.
	Word string
	// Kind is the kind of choice that it counts as; see ChoiceKinds.
	Kind string
	// About defines it; Term is the term that was found where that is not Word.
	About, Term, Language string
}

// FindChoices returns the words for a choice that begin as typed, as Find does: the
// kinds of choice first, in their order, then the trade's and the coach's words that
// stand for one. With nothing typed it returns the kinds alone.
func (v Vocabulary) FindChoices(typed string) []ChoiceMatch {
	var out []ChoiceMatch
	key := folded(typed)
	tiers := [noMatch][]ChoiceMatch{}
	for _, k := range ChoiceKinds() {
		tier := min(answers(folded(k.Word), key), answers(folded(k.Name), key))
		if tier < noMatch {
			tiers[tier] = append(tiers[tier], ChoiceMatch{Word: k.Word, Kind: k.Name, About: k.About})
		}
	}
	for _, all := range tiers {
		out = append(out, all...)
	}
	if key == "" {
		return out
	}
	for _, m := range v.Find(typed, "") {
		kind, ok := v.ChoiceOf(m.Word.Name)
		if !ok || slices.ContainsFunc(out, func(c ChoiceMatch) bool { return folded(c.Word) == folded(m.Word.Name) }) {
			continue
		}
		c := ChoiceMatch{Word: m.Word.Name, Kind: kind, About: m.Word.About}
		if folded(m.Term) != folded(m.Word.Name) {
			c.Term, c.Language = m.Term, m.Language
		}
		out = append(out, c)
	}
	return out
}

// ParryLines lists the eight parries with the line that each closes: the lines of the
// trade that a note may name (PhraseNote.Line).
func ParryLines() []Term {
	var all []Term
	for _, name := range [8]string{"prime", "seconde", "tierce", "quarte", "quinte", "sixte", "septime", "octave"} {
		w, _ := Vocabulary{}.Word(name)
		all = append(all, Term{w.Name, w.Name, w.About})
	}
	return all
}
