package tell

import (
	"bytes"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/handoff"
	"mesure/show/plate"
	"mesure/show/script"
	"mesure/show/specimen"
	"mesure/study"
)

// told is the invented reading of ../testdata, with its timing and tactics.
func told(t testing.TB) *study.Reading { return specimen.Told(t) }

// The rows are those numbers that the script says, by another route: printed by the form
// of their unit they are the texts of the facts.
func TestNumbersAreThoseOfTheScript(t *testing.T) {
	r := told(t)
	facts, err := script.Facts(r, script.Options{})
	if err != nil {
		t.Fatal(err)
	}
	text := map[string]string{}
	for _, f := range facts {
		text[f.Ref] = f.Text
	}
	rows := map[string][]handoff.Number{}
	for _, n := range Numbers(r, plate.Named) {
		rows[n.Name] = append(rows[n.Name], n)
	}
	percent := func(n handoff.Number) string {
		return plate.Percent(quantity.Of[quantity.Chance]{Mean: quantity.Chance(n.Value), SD: quantity.Chance(n.SD), Lo: quantity.Chance(n.Lo), Hi: quantity.Chance(n.Hi)})
	}
	ms := func(n handoff.Number) string {
		return plate.Milliseconds(quantity.Of[quantity.Seconds]{Mean: quantity.Seconds(n.Value), SD: quantity.Seconds(n.SD), Lo: quantity.Seconds(n.Lo), Hi: quantity.Seconds(n.Hi)})
	}
	degrees := func(n handoff.Number) string {
		return plate.Degrees(quantity.Of[quantity.Radians]{Mean: quantity.Radians(n.Value), SD: quantity.Radians(n.SD), Lo: quantity.Radians(n.Lo), Hi: quantity.Radians(n.Hi)})
	}
	for _, c := range []struct {
		ref, name, unit string
		say             func(handoff.Number) string
	}{
		{"windows/hit", r.Timing.Attacker.String() + "'s attack: time to the hit", "s", ms},
		{"windows/arrives", r.Timing.Attacker.String() + "'s attack: chance to arrive", "1", percent},
		{"parry/needed", r.Timing.Parry.Defender.String() + "'s parry: least turn of the blade that serves", "rad", degrees},
		{"lag/hand-first/left", "left: how much earlier the hand starts than the front foot", "s", ms},
		{"riposte/only", "chance that the direct riposte lights alone", "1", percent},
	} {
		found := rows[c.name]
		if text[c.ref] == "" || len(found) != 1 {
			t.Errorf("%s: the script says %q, there are %d rows %q", c.ref, text[c.ref], len(found), c.name)
			continue
		}
		if n := found[0]; n.Unit != c.unit || c.say(n) != text[c.ref] || n.Source == "" {
			t.Errorf("%s: %+v, the script says %q", c.ref, n, text[c.ref])
		}
	}
	for _, n := range Numbers(r, plate.Named) {
		if n.SD > 0 && (n.Value < n.Lo || n.Value > n.Hi) {
			t.Errorf("%s: %v lies outside its own interval %v to %v", n.Name, n.Value, n.Lo, n.Hi)
		}
	}
}

// Every row can be written, and no name of a person is in one where names are hidden.
func TestNumbersNameNobody(t *testing.T) {
	r := told(t)
	if len(r.Moments) == 0 {
		t.Fatal("the fixture has no moment")
	}
	r.Moments[0].Moment.Name = "Maren is launched at " + r.Touch.Bout.Right.Name
	for _, n := range []plate.Naming{plate.Named, plate.Initials, plate.Anonymous} {
		var b bytes.Buffer
		if err := handoff.WriteNumbers(&b, Numbers(r, n)); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"Maren", "Öberg"} {
			if strings.Contains(b.String(), name) != (n == plate.Named) {
				t.Errorf("%s: is %q there? %v", n, name, n != plate.Named)
			}
		}
	}
}
