package bout

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Vocabulary is the trade's words together with those of one coach.
type Vocabulary struct {
	// Weapon leaves out the words of the other weapons; empty takes all.
	Weapon Weapon
	// Own are the words of the coach, see Add.
	Own []TradeWord
	// Used says how often the coach has written a word, by its name: where it is
	// set, what is written more often is offered earlier. Words never written keep
	// the order of the house behind those.
	Used map[string]int
}

// Add returns the vocabulary with one word more; the receiver is not changed. It
// needs a name; what is left out is filled in: the English term from the name, the
// line "blade" where none is given, the lean from LeanOf, "the coach's own word" as
// source. A term that already names another word is refused, because one word must
// stay one thing, and so is a line or a kind that does not exist.
func (v Vocabulary) Add(w TradeWord) (Vocabulary, error) {
	w = w.clone()
	w.Name = strings.Join(strings.Fields(w.Name), " ")
	if w.Name == "" {
		return v, fmt.Errorf("own word: it has no name; give the word that is written on the stave")
	}
	w.Own = true
	w.English = cmp.Or(w.English, w.Name)
	w.Source = cmp.Or(w.Source, "the coach's own word")
	if w.Lines == nil {
		w.Lines = []string{StaveLines[2]}
	}
	for _, line := range w.Lines {
		if !slices.Contains(StaveLines[:], line) {
			return v, fmt.Errorf("own word %q: the stave has no line %q; use feet, hand or blade", w.Name, line)
		}
	}
	if w.Kind != "" && !slices.Contains(ActionKinds(), w.Kind) {
		return v, fmt.Errorf("own word %q: %q is no kind of action; leave it empty, or use one of attack, parry, riposte and so on", w.Name, w.Kind)
	}
	if w.Lean == Level {
		w.Lean = LeanOf(w.Name)
	}
	for _, t := range w.terms() {
		if has, ok := v.Word(t.Word); ok {
			return v, fmt.Errorf("own word %q: %q already stands for %q; choose another word, or write that one", w.Name, t.Word, has.Name)
		}
	}
	v.Own = append(slices.Clone(v.Own), w)
	return v, nil
}

// Words returns the words of the weapon, the trade's first, then the coach's own.
func (v Vocabulary) Words() []TradeWord {
	all := TradeWords()
	for _, w := range v.Own {
		all = append(all, w.clone())
	}
	return slices.DeleteFunc(all, func(w TradeWord) bool { return !w.In(v.Weapon) })
}

// Word returns the word that a text names, in any of the languages, whatever its
// accents and capitals, of whatever weapon; false where the text is a word of
// nobody, which is no mistake: the stave takes any word.
func (v Vocabulary) Word(text string) (TradeWord, bool) {
	if w, ok := tradeTerms()[folded(text)]; ok {
		return tradeWords()[w].clone(), true
	}
	key := folded(text)
	for _, w := range v.Own {
		for _, t := range w.terms() {
			if key != "" && folded(t.Word) == key {
				return w.clone(), true
			}
		}
	}
	return TradeWord{}, false
}

// WordMatch is one word that a search found.
type WordMatch struct {
	Word TradeWord
	// Term is the term that matched and Language where it stands: "en", "fr",
	// "de", "it", or empty for the other terms.
	Term, Language string
}

// How well a term answers what was typed, best first.
const (
	wholeTerm = iota
	startOfTerm
	startOfPart
	initials
	noMatch
)

// Find returns the words that begin as typed, for one line of the stave or, with an
// empty line, for all. Accents, capitals and hyphens do not matter, and any of the
// four languages will do. A word whose whole term was typed comes first, then those
// of which a term begins so ("ri": riposte), then those with a later part that does
// ("ar": coup d'arrêt), then initials ("ca": counter-attack); among equals the more
// usual first. How usual a word is: by Used, then by the judgement of the house,
// which no statistics support. With nothing typed it returns all, most usual first.
func (v Vocabulary) Find(typed, line string) []WordMatch {
	type ranked struct {
		WordMatch
		tier, used, usual int
	}
	key := folded(typed)
	var found []ranked
	for i, w := range v.Words() {
		if !w.On(line) {
			continue
		}
		best := ranked{tier: noMatch}
		for _, t := range w.terms() {
			if tier := answers(folded(t.Word), key); tier < best.tier {
				best = ranked{WordMatch{w, t.Word, t.Name}, tier, v.Used[w.Name], usualness(w.Name, i)}
			}
		}
		if best.tier < noMatch {
			found = append(found, best)
		}
	}
	slices.SortStableFunc(found, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(a.tier, b.tier), cmp.Compare(b.used, a.used), cmp.Compare(a.usual, b.usual))
	})
	out := make([]WordMatch, len(found))
	for i, f := range found {
		out[i] = f.WordMatch
	}
	return out
}

// answers returns how well a folded term answers a folded beginning.
func answers(term, key string) int {
	switch {
	case key == "":
		return startOfTerm
	case term == key:
		return wholeTerm
	case strings.HasPrefix(term, key):
		return startOfTerm
	case strings.Contains(" "+term, " "+key):
		return startOfPart
	}
	first := ""
	for _, part := range strings.Fields(term) {
		first += string([]rune(part)[:1])
	}
	if len([]rune(key)) > 1 && strings.HasPrefix(first, key) {
		return initials
	}
	return noMatch
}

// usual are the words that a coach of épée writes most, the most usual first: the
// judgement of the house. The others follow in the order of the table.
var usual = []string{"attack", "parry", "riposte", "counter-attack", "lunge", "step forward", "step back", "feint", "hit", "extension",
	"preparation", "remise", "sixte", "quarte", "octave", "septime", "counter parry", "stop hit", "flèche", "disengage", "beat", "engagement",
	"opposition", "invitation", "redoublement", "counter-riposte", "counter-time", "step and lunge", "recovery", "miss", "straight thrust",
	"time hit", "point in line", "reprise", "bind", "glide", "false attack", "derobement", "attack on preparation"}

func usualness(name string, place int) int {
	if i := slices.Index(usual, name); i >= 0 {
		return i
	}
	return len(usual) + place
}
