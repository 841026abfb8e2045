package study

import (
	"encoding/json"
	"testing"

	"mesure/sport/bout"
)

// TestTheInputsOfTacticsAreNamed: what is asked of the bout changes the name of the
// inputs, and what follows from other inputs does not hinder it.
func TestTheInputsOfTacticsAreNamed(t *testing.T) {
	touch := &Touch{Title: "one"}
	ask := &TacticsAsk{At: 3, Reading: &Reading{}, Seen: []SeenTouch{{ID: "a", When: func(bout.Action) (float64, float64, bool) { return 0, 0, false }}}}
	if body, err := json.Marshal(boutAsked(ask)); err != nil {
		t.Fatalf("%s: %v", body, err)
	}
	name := func() string { return inputsHash(touch, ReadOptions{Draws: 100, Tactics: ask}) }
	one := name()
	if again := name(); again != one {
		t.Error("equal inputs have two names")
	}
	ask.Reading = nil
	if name() != one {
		t.Error("the reading is an input of itself")
	}
	ask.At = 4
	two := name()
	ask.Seen[0].Band = "short"
	if two == one || name() == two {
		t.Error("other inputs have the same name")
	}
	if inputsHash(touch, ReadOptions{Draws: 100}) == one {
		t.Error("with tactics and without are one")
	}
}
