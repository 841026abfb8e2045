package demo

import (
	"testing"

	"mesure/demo/scene"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// TestPhrasesAreThoseOfTheScene: every action lies where the scene shows it. Second route:
// the scene's own named moments (hand, foot, answer …) begin on the frame on which the
// action that they start is written, and the hit ends the action that arrives.
func TestPhrasesAreThoseOfTheScene(t *testing.T) {
	starts := [Count]map[string]string{
		{"hand": "attack on preparation", "foot": "lunge", "answer": "quarte", "step": "half step forward"},
		{"hand": "attack", "foot": "lunge", "answer": "quarte"},
		{"feint": "feint", "answer": "quarte", "under": "disengage", "foot": "lunge"},
		{"feint": "feint", "counter": "stop hit", "take": "quarte", "foot": "lunge"},
	}
	for i, f := range scene.Films() {
		k := Marked(i, 1, 1.5)
		live := &f.Shots[0]
		at := func(frame mark.Frame) float64 { return float64(live.At(frame)) }
		const frame = 1.0 / scene.FrameRate
		checked := 0
		for _, m := range f.Moments {
			for _, a := range k.Actions {
				if a.Word == starts[i][m.ID] {
					checked++
					if d := at(a.From) - float64(m.At); d < -1e-9 || d > frame {
						t.Errorf("touch %d: %s begins %.3f s after the scene's %q", i, a.Word, d, m.ID)
					}
				}
			}
			for _, n := range k.Notes {
				if m.ID == "hit" && n.Result == bout.Arrived {
					checked++
					for _, a := range k.Actions {
						if d := at(a.To) - float64(m.At); a.ID == n.ActionID && (d < -1e-9 || d > frame) {
							t.Errorf("touch %d: %s arrives %.3f s after the scene's hit", i, a.Word, d)
						}
					}
				}
			}
		}
		if checked < len(starts[i])+1 {
			t.Errorf("touch %d: only %d checked", i, checked)
		}
	}
}

// TestPhrasesAreSound: the grammar asks nothing, the lamps belong to who arrives, and
// the choices are of the kinds that the sheet has.
func TestPhrasesAreSound(t *testing.T) {
	for i := range Count {
		k := Marked(i, 1, 1.5)
		v := bout.Vocabulary{Weapon: bout.Epee}
		p := k.Written()
		for _, w := range p.Warnings(v, nil) {
			t.Errorf("touch %d: %s", i, w)
		}
		arrived := bout.Lamps{}
		for _, n := range k.Notes {
			for _, a := range k.Actions {
				if a.ID == n.ActionID && n.Result == bout.Arrived {
					arrived.Left, arrived.Right = arrived.Left || a.Who == mark.Left, arrived.Right || a.Who == mark.Right
				}
			}
		}
		if arrived != *k.Lamps {
			t.Errorf("touch %d: the stave has hits of %+v, the lamps say %+v", i, arrived, *k.Lamps)
		}
		got := p.Choices(v, nil)
		for _, s := range mark.Sides {
			want, _ := v.ChoiceOf(k.Bout.Sheet[k.Number-1].Choices.Of(s))
			if got.Of(s) != want {
				t.Errorf("touch %d, %s: the stave says %q, the sheet %q", i, s, got.Of(s), want)
			}
		}
		t.Log(p.Sentence(v, nil, "Orlen", "Harrak"))
	}
}
