package bout

import (
	"fmt"
	"slices"
	"strings"

	"mesure/sport/mark"
)

// Choices are what each fencer chose to do in a phrase, in the trade's words or the
// coach's own; empty where it is not known.
type Choices struct {
	Left  string `json:"left,omitempty"`
	Right string `json:"right,omitempty"`
}

// Of returns the choice of one side.
func (c Choices) Of(s mark.Side) string {
	if s == mark.Left {
		return c.Left
	}
	return c.Right
}

// Set writes the choice of one side.
func (c *Choices) Set(s mark.Side, word string) {
	if s == mark.Left {
		c.Left = word
	} else {
		c.Right = word
	}
}

// Kinds of choice: what a fencer sets out to do, before it is known what the other
// does. They are the corners of the tactical wheel (a teaching model of the trade)
// with the attack that takes the blade and the way out added. The words of a sheet are
// finer; habits and payoffs count in these.
const (
	ChoiceAttack      = "attack"       // goes straight at the target
	ChoiceFeint       = "feint-attack" // threatens, avoids the answer, hits
	ChoiceBlade       = "blade-attack" // takes or beats the blade, hits
	ChoiceCounter     = "counter"      // hits into what the other does
	ChoiceParry       = "parry"        // parries and ripostes
	ChoiceCounterTime = "counter-time" // draws the counter-attack and answers it
	ChoiceDistance    = "distance"     // lets the attack fall short
)

// ChoiceKinds lists the kinds of choice in the order in which they are shown.
func ChoiceKinds() []Term {
	return []Term{
		{ChoiceAttack, "straight attack", "Goes at the target by the shortest way, with the arm, a lunge or a flèche."},
		{ChoiceFeint, "feint and attack", "Threatens one target, avoids the answer and hits another way; costs a tempo."},
		{ChoiceBlade, "attack on the blade", "Beats, presses or takes the blade and hits behind it."},
		{ChoiceCounter, "counter-attack", "Extends into the preparation or the attack of the other."},
		{ChoiceParry, "parry and riposte", "Waits, parries and hits back."},
		{ChoiceCounterTime, "counter-time", "Shows an attack to draw the counter-attack, and answers that."},
		{ChoiceDistance, "distance", "Goes back and lets the attack fall short."},
	}
}

// choiceOfKind says which choice an action begins, by the kind of its word.
var choiceOfKind = map[ActionKind]string{
	KindAttack: ChoiceAttack, KindThrust: ChoiceAttack, KindRenewal: ChoiceAttack, KindArm: ChoiceAttack,
	KindFeint: ChoiceFeint, KindEscape: ChoiceFeint,
	KindBladeAttack: ChoiceBlade, KindTaking: ChoiceBlade,
	KindCounter: ChoiceCounter, KindLine: ChoiceCounter,
	KindParry: ChoiceParry, KindRiposte: ChoiceParry, KindCounterRiposte: ChoiceParry,
	KindCounterTime: ChoiceCounterTime,
	KindEvasion:     ChoiceDistance,
}

// choiceOfWord says it for words whose kind does not.
var choiceOfWord = map[string]string{
	"compound attack": ChoiceFeint, "false attack": ChoiceCounterTime, "invitation": ChoiceCounterTime, "feint in tempo": ChoiceFeint,
	"double": ChoiceFeint, "one-two": ChoiceFeint, "disengage": ChoiceFeint, "cut-over": ChoiceFeint, "counter-disengage": ChoiceFeint,
	"lunge": ChoiceAttack, "half lunge": ChoiceAttack, "step and lunge": ChoiceAttack, "balestra": ChoiceAttack, "flèche": ChoiceAttack, "step and flèche": ChoiceAttack,
	"step back": ChoiceDistance, "half step back": ChoiceDistance, "jump back": ChoiceDistance, "cross back": ChoiceDistance,
}

// ChoiceOf returns the kind of choice that a word of a sheet or of the stave stands
// for: the kind itself or its word, else that of the trade's or the coach's word. It is
// false where the word does not say what was meant to happen, such as a step forward,
// and for a word of nobody; the caller counts that under its own name.
func (v Vocabulary) ChoiceOf(word string) (string, bool) {
	if word == "" {
		return "", false
	}
	same := folded(word)
	for _, k := range ChoiceKinds() {
		if same == folded(k.Name) || same == folded(k.Word) {
			return k.Name, true
		}
	}
	w, ok := v.Word(word)
	if !ok {
		return "", false
	}
	if c, ok := choiceOfWord[w.Name]; ok {
		return c, true
	}
	c, ok := choiceOfKind[w.Kind]
	return c, ok
}

// Choices returns what each fencer chose by what is written on the stave: the first of
// their actions that says what was meant to happen, other than by the feet; where the
// feet alone do, theirs. What was noted goes before the word: a feint begins a feint
// and attack; what was false, an invitation or of second intention and drew its answer
// begins a counter-time. Empty where nothing says it.
func (p WrittenPhrase) Choices(v Vocabulary, when When) Choices {
	var c Choices
	for _, s := range mark.Sides {
		feet := ""
		for _, a := range p.InOrder(v, when) {
			kind, ok := v.ChoiceOf(a.Word)
			if a.Who != s || !ok {
				continue
			}
			n := p.note(a.ID)
			if n.Nature == False || n.Nature == Invitation || n.Intention == SecondIntention && n.Result == Drew {
				c.Set(s, ChoiceCounterTime)
				break
			}
			if n.Nature == Feigned {
				c.Set(s, ChoiceFeint)
				break
			}
			if a.Line == StaveLines[0] {
				if feet == "" {
					feet = kind
				}
				continue
			}
			c.Set(s, kind)
			break
		}
		if c.Of(s) == "" {
			c.Set(s, feet)
		}
	}
	return c
}

// note returns what was noted of an action; the zero note where nothing was.
func (p WrittenPhrase) note(id string) PhraseNote {
	for _, n := range p.Notes {
		if n.ActionID == id {
			return n
		}
	}
	return PhraseNote{}
}

// Measures lists the bands in which a phrase may begin, as a sheet writes them.
func Measures() []Term {
	return []Term{
		{"short", "short measure", "The arm alone reaches."},
		{"medium", "lunging measure", "The arm and a lunge reach."},
		{"long", "step and lunge", "One step more is needed."},
		{"out", "out of measure", "Several steps are needed."},
	}
}

// OwnWord is a word of the coach as files keep it.
type OwnWord struct {
	Word string `json:"word"`
	// Line of the stave on which it is written; empty: blade.
	Line string `json:"line,omitempty"`
	// Kind is one of ActionKinds; empty where the grammar is to let it be anything.
	Kind  ActionKind `json:"kind,omitempty"`
	About string     `json:"about,omitempty"`
	// Terms in other languages; empty where there are none.
	French  string `json:"french,omitempty"`
	German  string `json:"german,omitempty"`
	Italian string `json:"italian,omitempty"`
}

// VocabularyOf returns the trade's words of a weapon with those of the coach. Words
// that cannot be added are left out; the errors say which and why.
func VocabularyOf(w Weapon, own []OwnWord) (Vocabulary, []error) {
	v := Vocabulary{Weapon: w}
	var bad []error
	for i, o := range own {
		t := TradeWord{Name: o.Word, Kind: o.Kind, About: o.About, French: o.French, German: o.German, Italian: o.Italian}
		if o.Line != "" {
			t.Lines = []string{o.Line}
		}
		n, err := v.Add(t)
		if err != nil {
			bad = append(bad, fmt.Errorf("word %d: %w", i+1, err))
			continue
		}
		v = n
	}
	return v, slices.Clip(bad)
}

// SameName reports whether two names are one: capitals, accents and spaces do not
// matter. Two people of one name cannot be told apart.
func SameName(a, b string) bool { return NameKey(a) == NameKey(b) }

// NameKey is a name as it is compared and looked up by.
func NameKey(name string) string { return folded(strings.Join(strings.Fields(name), " ")) }
