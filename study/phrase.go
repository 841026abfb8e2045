package study

import (
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Phrase is what is written on the stave of a touch, read by the words of the trade and
// of the coach. Derived, never edited.
type Phrase struct {
	// Written is the phrase itself.
	Written bout.WrittenPhrase
	// Sentence tells it; "Nothing is written yet." where nothing is.
	Sentence string
	// Nameless is the same without the names of the fencers.
	Nameless string
	// Warnings of the grammar, in the order of the phrase; they never block.
	Warnings []bout.PhraseWarning
	// Choices are what both fencers set out to do, as kinds of choice (see
	// bout.ChoiceKinds), by mark.Side; empty where the stave does not say it.
	Choices [2]string
	// Launch is the measure at which the phrase went off: the gap from the attacker's
	// point to the opponent's chest. Nil where it was not measured.
	Launch *LaunchGap
}

// LaunchGap is the measure at which a phrase went off.
type LaunchGap struct {
	// Who attacks, on which frame.
	Who   mark.Side
	Take  string
	Frame mark.Frame
	Gap   quantity.Of[quantity.Metres]
	// Band is one of bout.Measures, and Chance how likely it is that one.
	Band   string
	Chance quantity.Chance
}

// Vocabulary returns the words with which the touch is written: those of the trade for
// its weapon, and the coach's own. Words that do not go with the others are left out.
func (t *Touch) Vocabulary() bout.Vocabulary {
	v, _ := bout.VocabularyOf(t.Bout.Weapon, t.Words)
	return v
}

// launchNear is how far, in seconds, a measured instant may lie from the beginning of
// the attack to stand for it: about one simple action (assumed, D).
const launchNear = 0.15

// Phrase reads what is written on the stave, in the order of true time where the
// reading has the clocks of its takes. It panics without a reading of a touch.
func (r *Reading) Phrase() Phrase {
	if r == nil || r.Touch == nil {
		panic("study: a phrase needs a reading of a touch")
	}
	t, v := r.Touch, r.Touch.Vocabulary()
	p := Phrase{Written: t.Written()}
	when := r.phraseWhen()
	p.Sentence = p.Written.Sentence(v, when, t.Bout.Left.Name, t.Bout.Right.Name)
	p.Nameless = p.Written.Sentence(v, when, "", "")
	p.Warnings = p.Written.Warnings(v, when)
	choices := p.Written.Choices(v, when)
	for _, s := range mark.Sides {
		p.Choices[s] = choices.Of(s)
	}
	p.Launch = r.launchGap(p.Written.InOrder(v, when), v)
	return p
}

// phraseWhen tells the time of an action, or nil where a take of an action has no clock:
// the frames then say the order.
func (r *Reading) phraseWhen() bout.When {
	for _, a := range r.Touch.Actions {
		if _, ok := r.When(a.Take, a.From); !ok {
			return nil
		}
	}
	return r.WhenOf()
}

// launchGap returns the measure at the beginning of the first attack that is written: the
// gap to the chest at the measured instant nearest to it. Nil where none lies near.
func (r *Reading) launchGap(actions []bout.Action, v bout.Vocabulary) *LaunchGap {
	i := slices.IndexFunc(actions, func(a bout.Action) bool {
		w, ok := v.Word(a.Word)
		return ok && slices.Contains([]bout.ActionKind{bout.KindAttack, bout.KindFeint, bout.KindThrust, bout.KindBladeAttack, bout.KindTaking}, w.Kind)
	})
	if i < 0 {
		return nil
	}
	a := actions[i]
	at, ok := r.When(a.Take, a.From)
	if !ok {
		return nil
	}
	var best *LaunchGap
	near := launchNear
	for _, in := range r.Instants {
		if !in.At.IsValid() {
			continue
		}
		d := math.Abs(float64(in.At.Mean - at.Mean))
		if d > near {
			continue
		}
		for _, g := range in.Gaps {
			if g.Of == a.Who && g.Target == mark.Chest && g.Gap.IsValid() && g.Band != "" {
				near = d
				best = &LaunchGap{Who: a.Who, Take: in.Take, Frame: in.Frame, Gap: g.Gap, Band: g.Band, Chance: g.Chance}
			}
		}
	}
	return best
}
