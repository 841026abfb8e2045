package bout

import (
	"cmp"
	"math"
	"slices"

	"mesure/sport/mark"
)

// Nature says what an action was meant to be.
type Nature string

// The natures; empty where the coach has not said.
const (
	Real       Nature = "real"       // meant to hit, or to stop a hit
	Feigned    Nature = "feint"      // meant to be answered
	False      Nature = "false"      // kept short, to see or to draw
	Invitation Nature = "invitation" // meant to be attacked
)

// Intention says which of a fencer's actions was to score.
type Intention string

// The intentions; empty where the coach has not said.
const (
	// FirstIntention: the action itself was to hit.
	FirstIntention Intention = "first"
	// SecondIntention: it was to draw an answer which the next action beats.
	SecondIntention Intention = "second"
)

// Result says how an action ended.
type Result string

// The results; empty where the coach has not said.
const (
	Arrived   Result = "hit"
	Missed    Result = "miss"
	FellShort Result = "short"
	Parried   Result = "parried"
	Avoided   Result = "avoided"
	OffTarget Result = "off-target"
	// Drew: the opponent gave the answer that was to be drawn.
	Drew Result = "drew"
)

// Natures, Intentions and Results list what a note may say, each with its word.
func Natures() []Term {
	return []Term{{string(Real), "real", "Meant to hit, or to keep a hit away."}, {string(Feigned), "feint", "Meant to be answered."},
		{string(False), "false", "Kept short, to see or to draw an answer."}, {string(Invitation), "invitation", "Meant to be attacked."}}
}

// Intentions: see Natures.
func Intentions() []Term {
	return []Term{{string(FirstIntention), "first intention", "The action itself was to score."},
		{string(SecondIntention), "second intention", "The action was to draw an answer, and the next one was to score."}}
}

// Results: see Natures.
func Results() []Term {
	return []Term{{string(Arrived), "hit", "The point or the edge arrived."}, {string(Missed), "missed", "It went past."},
		{string(FellShort), "fell short", "It did not reach."}, {string(Parried), "parried", "The other weapon kept it away."},
		{string(Avoided), "avoided", "The opponent was no longer there."}, {string(OffTarget), "off target", "It arrived where it does not count."},
		{string(Drew), "drew the answer", "The opponent did what was to be drawn."}}
}

// PhraseNote says of one action what its word does not. Everything but the action
// may be empty.
type PhraseNote struct {
	ActionID string `json:"action"`
	// Line is the trade's line: sixte, quarte and so on, or the coach's own.
	Line      string      `json:"line,omitempty"`
	Target    mark.Target `json:"target,omitempty"`
	Nature    Nature      `json:"nature,omitempty"`
	Intention Intention   `json:"intention,omitempty"`
	Result    Result      `json:"result,omitempty"`
}

// WrittenPhrase is a phrase as it stands on the stave: what both fencers did, with
// what the coach noted of it. (Phrase is its line on the score sheet.)
type WrittenPhrase struct {
	Weapon  Weapon       `json:"weapon,omitempty"` // empty: épée
	Actions []Action     `json:"actions"`
	Notes   []PhraseNote `json:"notes,omitempty"`
	// Priority is the coach's own call in foil and sabre: nothing here computes it.
	Priority Given `json:"priority,omitempty"`
}

// When returns the begin and the end of an action in seconds of true time, or false
// where they are not known. Actions of several takes can only be put in order by it.
type When func(Action) (from, to float64, known bool)

// said is one action with all that is known of it.
type said struct {
	Action
	word TradeWord
	// known is false for a word that is in no vocabulary; it may be anything.
	known    bool
	note     PhraseNote
	from, to float64
	timed    bool
}

// kind returns what the action is; empty for a word nobody knows.
func (s said) kind() ActionKind { return s.word.Kind }

// told reads the phrase in the order in which its actions began: by when, or where
// that is nil by the frames, if all are of one take. Where the time of one is not
// known the order in which they were written stands.
func (p WrittenPhrase) told(v Vocabulary, when When) []said {
	if when == nil {
		when = p.frames()
	}
	notes := map[string]PhraseNote{}
	for _, n := range p.Notes {
		if _, twice := notes[n.ActionID]; !twice {
			notes[n.ActionID] = n
		}
	}
	all, timed := make([]said, len(p.Actions)), true
	for i, a := range p.Actions {
		s := said{Action: a, note: notes[a.ID]}
		s.word, s.known = v.Word(a.Word)
		s.from, s.to, s.timed = when(a)
		if math.IsNaN(s.from-s.to) || math.IsInf(s.from-s.to, 0) {
			s.timed = false
		}
		timed = timed && s.timed
		all[i] = s
	}
	if timed {
		slices.SortStableFunc(all, func(a, b said) int {
			return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(turn(a.kind()), turn(b.kind())))
		})
	}
	return all
}

// frames is the time of the only take; it knows nothing where there are several.
func (p WrittenPhrase) frames() When {
	one := true
	for _, a := range p.Actions {
		one = one && a.Take == p.Actions[0].Take
	}
	return func(a Action) (from, to float64, known bool) { return float64(a.From), float64(a.To), one }
}

// turn puts actions that begin on one frame in the order in which they follow from
// each other.
func turn(k ActionKind) int {
	switch k {
	case KindAttack, KindLine:
		return 1
	case KindCounter:
		return 2
	case KindParry:
		return 3
	case KindRiposte, KindCounterRiposte:
		return 4
	case KindRenewal, KindCounterTime:
		return 5
	case KindEnd:
		return 6
	}
	return 0
}

// InOrder returns the actions in the order in which they began, as Warnings and
// Sentence read them. The phrase is not changed.
func (p WrittenPhrase) InOrder(v Vocabulary, when When) []Action {
	all := make([]Action, 0, len(p.Actions))
	for _, s := range p.told(v, when) {
		all = append(all, s.Action)
	}
	return all
}
