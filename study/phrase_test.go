package study

import (
	"math"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// The measure at the launch is that of the instant nearest to the first attack, seen from
// the attacker, to the chest; where none lies within the bound, nothing is said. The
// numbers are set by hand.
func TestTheMeasureAtTheLaunch(t *testing.T) {
	touch := &Touch{
		Bout:   bout.Bout{Weapon: bout.Epee, Left: bout.Fencer{Name: "Ada"}, Right: bout.Fencer{Name: "Bea"}},
		Videos: []Video{{ID: "v"}}, Takes: []mark.Take{{ID: "live", Video: "v", To: 60}},
		Actions: []bout.Action{
			{ID: "p", Who: mark.Right, Line: "blade", Word: "parry", Take: "live", From: 30, To: 34},
			{ID: "s", Who: mark.Right, Line: "feet", Word: "step back", Take: "live", From: 2, To: 8},
			{ID: "a", Who: mark.Left, Line: "blade", Word: "Angriff", Take: "live", From: 20, To: 32},
		},
	}
	clip := mark.Clip{}
	for i := range 61 {
		clip.Times = append(clip.Times, mark.FileTime(float64(i)/50))
	}
	r := &Reading{Touch: touch, Clips: map[string]mark.Clip{"v": clip}}
	in := func(frame mark.Frame, left, right float64) Instant {
		gap := func(who mark.Side, target mark.Target, m float64) Gap {
			return Gap{Of: who, Target: target, Gap: quantity.Normal(quantity.Metres(m), 0.03), Band: "medium", Chance: 0.8}
		}
		return Instant{Take: "live", Frame: frame, At: quantity.Exactly(quantity.Seconds(float64(frame) / 50)),
			Gaps: []Gap{gap(mark.Right, mark.Chest, right), gap(mark.Left, mark.Hand, left-0.4), gap(mark.Left, mark.Chest, left)}}
	}
	r.Instants = []Instant{in(10, 1.9, 1.8), in(18, 1.4, 1.3), in(25, 1.1, 1.0)}
	p := r.Phrase()
	if p.Launch == nil || p.Launch.Who != mark.Left || p.Launch.Frame != 18 || math.Abs(float64(p.Launch.Gap.Mean)-1.4) > 1e-12 || p.Launch.Band != "medium" {
		t.Errorf("the launch: %+v", p.Launch)
	}
	if p.Choices != [2]string{bout.ChoiceAttack, bout.ChoiceParry} {
		t.Errorf("choices %v", p.Choices)
	}
	if p.Sentence != "Bea steps back; Ada attacks; Bea parries." || p.Nameless != "The right fencer steps back; the left fencer attacks; the right fencer parries." {
		t.Errorf("%q, %q", p.Sentence, p.Nameless)
	}
	r.Instants = r.Instants[:1] // 0.2 s before the attack
	if p := r.Phrase(); p.Launch != nil {
		t.Errorf("an instant far from the attack: %+v", p.Launch)
	}
	touch.Actions = touch.Actions[:2]
	if p := r.Phrase(); p.Launch != nil || p.Choices[mark.Left] != "" {
		t.Errorf("without an attack: %+v", p)
	}
}

// The coach's own words come with the bout: the grammar knows them.
func TestOwnWordsComeWithTheBout(t *testing.T) {
	b := &BoutSheet{Bout: bout.Bout{Weapon: bout.Foil}, Words: []bout.OwnWord{{Word: "gate", Kind: bout.KindParry}}}
	touch := &Touch{Actions: []bout.Action{{ID: "a", Line: "blade", Word: "attack", Take: "x"}, {ID: "b", Who: mark.Right, Line: "blade", Word: "gate", Take: "x", From: 1, To: 2}}}
	r := &Reading{Touch: touch}
	if w := r.Phrase().Warnings; len(w) != 1 || w[0].Code != "own-word" {
		t.Fatalf("before: %v", w)
	}
	touch.Follow(b)
	if p := r.Phrase(); len(p.Warnings) != 0 || p.Choices[mark.Right] != bout.ChoiceParry {
		t.Errorf("after: %v, %v", p.Warnings, p.Choices)
	}
}
