package bout

import (
	"testing"

	"mesure/sport/mark"
)

// TestChoiceOf: the words of the trade fall into the kinds of the tactical wheel
// (figures 2d: simple attack, compound attack, counter-attack, parry and riposte,
// counter-time); common practice for the rest.
func TestChoiceOf(t *testing.T) {
	v, bad := VocabularyOf(Epee, []OwnWord{{Word: "hop in", Kind: KindCounter}, {Word: "riposte"}, {Word: "look"}})
	if len(bad) != 1 {
		t.Errorf("words refused: %v", bad)
	}
	for word, want := range map[string]string{
		"attack": ChoiceAttack, "Flèche": ChoiceAttack, "coup droit": ChoiceAttack, "remise": ChoiceAttack,
		"compound attack": ChoiceFeint, "dégagement": ChoiceFeint, "feint and attack": ChoiceFeint,
		"bind": ChoiceBlade, "battement": ChoiceBlade, "attack on the blade": ChoiceBlade,
		"stop hit": ChoiceCounter, "coup d'arrêt": ChoiceCounter, "hop in": ChoiceCounter,
		"quarte": ChoiceParry, "riposte": ChoiceParry, "contre-temps": ChoiceCounterTime, "invitation": ChoiceCounterTime,
		"step back": ChoiceDistance, "duck": ChoiceDistance,
		"step forward": "", "hit": "", "look": "", "swim": "", "": "",
	} {
		got, ok := v.ChoiceOf(word)
		if got != want || ok != (want != "") {
			t.Errorf("%q: %q, %v", word, got, ok)
		}
	}
	for _, k := range ChoiceKinds() {
		if got, ok := v.ChoiceOf(k.Name); !ok || got != k.Name {
			t.Errorf("%q is %q", k.Name, got)
		}
	}
}

// TestPhraseChoices: the first action that says what was meant counts, the feet only
// where nothing else does, a note before the word.
func TestPhraseChoices(t *testing.T) {
	v := Vocabulary{Weapon: Epee}
	at := func(id string, who mark.Side, line, word string, from mark.Frame) Action {
		return Action{ID: id, Who: who, Line: line, Word: word, Take: "live", From: from, To: from + 5}
	}
	p := WrittenPhrase{Actions: []Action{
		at("1", mark.Left, "feet", "step forward", 0), at("2", mark.Left, "feet", "lunge", 20), at("3", mark.Left, "hand", "extension", 18),
		at("4", mark.Right, "feet", "step back", 10), at("5", mark.Right, "blade", "quarte", 22), at("6", mark.Right, "blade", "riposte", 28),
	}}
	if c := p.Choices(v, nil); c != (Choices{ChoiceAttack, ChoiceParry}) {
		t.Errorf("choices %+v", c)
	}
	p.Notes = []PhraseNote{{ActionID: "3", Intention: SecondIntention, Result: Drew}, {ActionID: "5", Nature: Feigned}}
	if c := p.Choices(v, nil); c != (Choices{ChoiceCounterTime, ChoiceFeint}) {
		t.Errorf("with notes %+v", c)
	}
	p = WrittenPhrase{Actions: []Action{at("1", mark.Right, "feet", "jump back", 3)}}
	if c := p.Choices(v, nil); c != (Choices{Right: ChoiceDistance}) {
		t.Errorf("feet alone %+v", c)
	}
}
