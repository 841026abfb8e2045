package bout

import "testing"

// TestFindChoices: two letters find the choice that a coach means, kinds before words,
// in any language; every match is one that ChoiceOf counts (the second route).
func TestFindChoices(t *testing.T) {
	v, err := Vocabulary{Weapon: Epee}.Add(TradeWord{Name: "big sweep", Kind: KindBladeAttack})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ typed, word, kind string }{
		{"pa", "parry and riposte", ChoiceParry}, {"st", "straight attack", ChoiceAttack}, {"fe", "feint and attack", ChoiceFeint},
		{"counter-a", "counter-attack", ChoiceCounter}, {"counter-t", "counter-time", ChoiceCounterTime}, {"di", "distance", ChoiceDistance},
		{"qu", "quarte", ChoiceParry}, {"big", "big sweep", ChoiceBlade}, {"coup d'arret", "stop hit", ChoiceCounter}, {"zwi", "", ""},
	} {
		got := v.FindChoices(c.typed)
		if c.word == "" {
			if len(got) != 0 {
				t.Errorf("%q finds %v", c.typed, got)
			}
			continue
		}
		if len(got) == 0 || got[0].Word != c.word || got[0].Kind != c.kind {
			t.Errorf("%q finds %+v first, not %s", c.typed, got[:min(len(got), 2)], c.word)
		}
		seen := map[string]bool{}
		for _, m := range got {
			if kind, ok := v.ChoiceOf(m.Word); !ok || kind != m.Kind {
				t.Errorf("%q: %q counts as %q, not %q", c.typed, m.Word, kind, m.Kind)
			}
			if seen[folded(m.Word)] {
				t.Errorf("%q offers %q twice", c.typed, m.Word)
			}
			seen[folded(m.Word)] = true
		}
	}
	if got := v.FindChoices(""); len(got) != len(ChoiceKinds()) || got[0].Kind != ChoiceAttack {
		t.Errorf("nothing typed offers %v", got)
	}
}
