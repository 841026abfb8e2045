package bout

import (
	"slices"
	"strings"
	"sync"
)

// ActionKind says what a word of the trade does in a phrase; the grammar reads it.
type ActionKind string

// The kinds of action.
const (
	KindFootwork       ActionKind = "footwork"
	KindEvasion        ActionKind = "evasion"           // the target is taken away
	KindArm            ActionKind = "arm"               // the arm alone
	KindPreparation    ActionKind = "preparation"       // invites or prepares
	KindFeint          ActionKind = "feint"             // threatens, not meant to hit
	KindLine           ActionKind = "point in line"     // stands and threatens
	KindAttack         ActionKind = "attack"            // t.9.1
	KindCounter        ActionKind = "counter-attack"    // t.12
	KindParry          ActionKind = "parry"             // t.9.2
	KindRiposte        ActionKind = "riposte"           // t.9.1, t.11
	KindCounterRiposte ActionKind = "counter-riposte"   // t.9.1
	KindRenewal        ActionKind = "renewal"           // remise, redoublement, reprise (t.13)
	KindCounterTime    ActionKind = "counter-time"      // t.13.4
	KindThrust         ActionKind = "way of hitting"    // how the blade travels to the target
	KindBladeAttack    ActionKind = "attack on blade"   // strikes or presses it
	KindTaking         ActionKind = "taking"            // holds it and carries it along
	KindEngagement     ActionKind = "engagement"        // touches it and stays
	KindEscape         ActionKind = "escape"            // avoids a blade that seeks
	KindEnd            ActionKind = "end of the phrase" // hit or miss
)

// ActionKinds lists the kinds an own word may have, in the order above.
func ActionKinds() []ActionKind {
	return []ActionKind{KindFootwork, KindEvasion, KindArm, KindPreparation, KindFeint, KindLine, KindAttack, KindCounter,
		KindParry, KindRiposte, KindCounterRiposte, KindRenewal, KindCounterTime, KindThrust, KindBladeAttack, KindTaking,
		KindEngagement, KindEscape, KindEnd}
}

// TradeWord is one action of the trade under one name, with its terms.
type TradeWord struct {
	// Name is what Action.Word holds; it does not change. For the words of the
	// stave it is the word of the stave.
	Name string
	// Terms in four languages. French is always there; the others are empty where
	// the salles of the language have no settled term, or use several.
	French, English, German, Italian string
	// Also are other terms under which a fencer may look for it, in any language.
	Also []string
	// About defines it in one sentence.
	About string
	// Does says it of a fencer, in the third person: "lunges".
	Does string
	Kind ActionKind
	// Lines of the stave on which it is written, the usual one first.
	Lines []string
	Lean  Lean
	// Weapons to which it belongs; nil for all three.
	Weapons []Weapon
	// Article of the technical rules that defines it, or that uses it where none
	// does; empty where the rules do not have it.
	Article string
	Source  string
	// Own is true for a word of the coach.
	Own bool
}

// Where the words come from.
const (
	fromSalle   = "common language of the salle, no single source"
	fromRules   = "FIE technical rules (English edition of 2025), "
	fromParries = "the eight parries as the treatises number them (Encyclopædia Britannica 1911, vol. 10, and coaching text)"
	// fromBlade: glossaries of national federations, and the encyclopedia's "Prise de fer".
	fromBlade = "glossaries of national federations; the rules use the word or leave it out, they do not define it"
)

// unsettled are terms that stand on weak ground: plain words that a salle would
// understand, or the term of one school for something narrower. The FIE text does not
// have them in these languages. Their sources say so.
var unsettled = map[string]string{
	"time hit":          "Italian (of the classical school)",
	"stop hit in time":  "Italian (some mean any stop hit)",
	"counter-time":      "German (salles also keep the French or the Italian word)",
	"duck":              "Italian (there it includes a thrust), German",
	"sidestep":          "Italian (there it includes a thrust), German",
	"cut-over":          "Italian (salles also keep the French word)",
	"yielding parry":    "German (several forms are in use)",
	"delayed riposte":   "German",
	"miss":              "French, German",
	"half step forward": "French, German, Italian",
	"half step back":    "French, German, Italian",
	"half extension":    "French, German",
	"recovery forward":  "French, Italian",
	"flick":             "French",
	"withdrawal":        "French",
	"stop":              "French",
	"infighting":        "French",
}

// tradeWords puts the table together once: the words in their order within a line,
// with what the stave knows of them filled in from there, so that it stands in one
// place only.
var tradeWords = sync.OnceValue(func() []TradeWord {
	all := slices.Concat(tradeFeet, tradeHand, tradeBlade)
	for i := range all {
		w := &all[i]
		if w.English == "" {
			w.English = w.Name
		}
		if w.Source == "" {
			w.Source = fromSalle
			if w.Article != "" {
				w.Source = fromRules + w.Article
			}
		}
		if weak := unsettled[w.Name]; weak != "" {
			w.Source += "; not settled: " + weak
		}
		var on []string
		for _, line := range StaveLines {
			for _, s := range staveWords[line] {
				if s.Word == w.Name {
					on, w.Lean = append(on, line), s.Lean
				}
			}
		}
		if on != nil {
			w.Lines = on
		}
	}
	return all
})

// TradeWords returns the whole vocabulary in its order: feet, hand, blade.
func TradeWords() []TradeWord {
	all := slices.Clone(tradeWords())
	for i := range all {
		all[i] = all[i].clone()
	}
	return all
}

func (w TradeWord) clone() TradeWord {
	w.Also, w.Lines, w.Weapons = slices.Clone(w.Also), slices.Clone(w.Lines), slices.Clone(w.Weapons)
	return w
}

// In reports whether the word belongs to a weapon. An empty weapon takes all.
func (w TradeWord) In(weapon Weapon) bool {
	return weapon == "" || w.Weapons == nil || slices.Contains(w.Weapons, weapon)
}

// On reports whether the word is written on a line of the stave. An empty line
// takes all.
func (w TradeWord) On(line string) bool { return line == "" || slices.Contains(w.Lines, line) }

// terms returns every term of the word, Name the language it stands in: "en", "fr",
// "de", "it", or empty for the others.
func (w TradeWord) terms() []Term {
	all := []Term{{Name: "en", Word: w.English}, {Name: "fr", Word: w.French}, {Name: "de", Word: w.German}, {Name: "it", Word: w.Italian}}
	for _, a := range w.Also {
		all = append(all, Term{Word: a})
	}
	if w.English != w.Name {
		all = append(all, Term{Word: w.Name})
	}
	return slices.DeleteFunc(all, func(t Term) bool { return t.Word == "" })
}

// unaccented are the letters of the four languages that are typed without their
// accents.
var unaccented = strings.NewReplacer("à", "a", "â", "a", "ä", "a", "á", "a", "ç", "c", "è", "e", "é", "e", "ê", "e", "ë", "e",
	"ì", "i", "í", "i", "î", "i", "ï", "i", "ò", "o", "ó", "o", "ô", "o", "ö", "o", "ù", "u", "ú", "u", "û", "u", "ü", "u",
	"œ", "oe", "æ", "ae", "ß", "ss", "’", " ", "'", " ", "-", " ", "\u0300", "", "\u0301", "", "\u0302", "", "\u0308", "", "\u0327", "")

// folded returns a term as it is compared: in small letters, without accents, words
// parted by one space.
func folded(term string) string {
	return strings.Join(strings.Fields(unaccented.Replace(strings.ToLower(term))), " ")
}

// tradeTerms are the folded terms of the table, each with the place of its word.
var tradeTerms = sync.OnceValue(func() map[string]int {
	terms := map[string]int{}
	for i, w := range tradeWords() {
		for _, t := range w.terms() {
			terms[folded(t.Word)] = i
		}
	}
	return terms
})
