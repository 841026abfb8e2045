package bundle

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// asked is a bout with everything that tactics take: choices of both, measures, times,
// an earlier bout.
func asked() study.TacticsAsk {
	b := bout.Bout{Weapon: bout.Epee, Touches: 15, Left: bout.Fencer{Name: "L. Arden"}, Right: bout.Fencer{Name: "K. Voss"}}
	choices := [2][]string{{"attack", "attack", "riposte", "stop hit", "attack"}, {"stop hit", "riposte", "attack", "attack", "riposte", "stop hit"}}
	lamps := []bout.Lamps{{Left: true}, {Right: true}, {Left: true, Right: true}, {Left: true}, {Right: true}, {}}
	for i := range 14 {
		b.Sheet = append(b.Sheet, bout.Phrase{ID: string(rune('a' + i)), Lamps: lamps[i%len(lamps)], Measure: bout.Measures()[i%2].Name,
			Choices: &bout.Choices{Left: choices[0][i%5], Right: choices[1][i%6]}, Period: 1 + i/7, Clock: []string{"2:40", "2:20", "1:55", "1:30", "1:02", "0:44", "0:20"}[i%7]})
	}
	ask := study.TacticsAsk{Bout: b, At: 14, For: mark.Left, Draws: 60}
	for i := range 8 {
		ask.Past = append(ask.Past, study.Act{Bout: "spring", Day: "2025-04-12", Number: i + 1, Fencer: "K. Voss", Opponent: "L. Arden", Weapon: bout.Epee,
			Choice: "riposte", Answer: "attack", Mine: i, Theirs: 3, To: 15, Outcome: study.OutcomeHit})
	}
	return ask
}

// wholeTactics puts invented tactics into a reading, of each list what shows its fields:
// every part is there.
func wholeTactics(t testing.TB, r *study.Reading) *study.Reading {
	t.Helper()
	data := read(t, "testdata/tactics.json")
	strict := json.NewDecoder(bytes.NewReader(data))
	strict.DisallowUnknownFields()
	r.Tactics = &study.Tactics{}
	if err := strict.Decode(r.Tactics); err != nil {
		t.Fatal(err)
	}
	return r
}

// TestTheTacticsForOtherPrograms: what they rely on, read as they would read it, and
// every piece of a sentence with a source finds it.
func TestTheTacticsForOtherPrograms(t *testing.T) {
	r := aReading()
	var err error
	if r.Tactics, err = study.TacticsOf(asked()); err != nil {
		t.Fatal(err)
	}
	data := written(t, r)
	if err := validate(compiled(t, "reading"), data); err != nil {
		t.Fatal(err)
	}
	type sentence struct {
		Text   string
		Pieces []struct{ Text, From string }
	}
	var got struct {
		Tactics struct {
			At     int
			For    string
			Fenced bool
			Bout   struct {
				Touches []struct {
					Outcome string
					Win     spreadFile
					Before  struct {
						Left *float64 `json:"left_s"`
					}
				}
				Clock *struct {
					Whole bool
					Pace  spreadFile `json:"pace_per_minute"`
				}
			}
			Thread      []struct{ Number int }
			Story, Next []sentence
			Sources     []struct{ ID string }
			Payoff      *struct {
				Mine, Theirs []struct{ Kind string }
				Cells        []struct {
					Mine, Theirs int
					Worth        spreadFile
				}
				Mix []float64
			}
		}
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	x := got.Tactics
	if x.At != 14 || x.For != "left" || !x.Fenced || len(x.Bout.Touches) != 14 || x.Bout.Clock == nil || !x.Bout.Clock.Whole || !(x.Bout.Clock.Pace.Mean > 1) {
		t.Fatalf("%+v", x)
	}
	if left := x.Bout.Touches[1].Before.Left; left == nil || *left != 6*60+160 {
		t.Errorf("before touch 2 %v s are left", left)
	}
	for i, b := range r.Tactics.Bout.Touches {
		if math.Abs(x.Bout.Touches[i].Win.Mean-float64(b.After.Mean)) > 0.00005 || x.Bout.Touches[i].Outcome != b.Outcome {
			t.Errorf("touch %d: %+v", i+1, x.Bout.Touches[i])
		}
	}
	from := map[string]bool{"": true}
	for _, s := range x.Sources {
		from[s.ID] = true
	}
	for _, s := range append(x.Story, x.Next...) {
		whole := ""
		for _, p := range s.Pieces {
			whole += p.Text
			if !from[p.From] {
				t.Errorf("%q has no source %q", p.Text, p.From)
			}
		}
		if whole != s.Text {
			t.Errorf("%q is not %q", whole, s.Text)
		}
	}
	if p := x.Payoff; p != nil {
		sum := 0.0
		for _, m := range p.Mix {
			sum += m
		}
		if len(p.Cells) != len(p.Mine)*len(p.Theirs) || math.Abs(sum-1) > 0.001*float64(len(p.Mix)) {
			t.Errorf("%d cells of %d × %d choices, a mix of %v", len(p.Cells), len(p.Mine), len(p.Theirs), sum)
		}
	}
}

// TestTacticsInEveryShape: a touch to come, a first touch, a relay by its stages, the
// extra minute: the schema allows what each says and leaves out.
func TestTacticsInEveryShape(t *testing.T) {
	schema := compiled(t, "reading")
	empty := asked()
	empty.Bout.Sheet, empty.Past, empty.At = nil, nil, 0
	come := asked()
	come.At = 0
	come.Clock = &study.ClockAsk{Left: 40, Priority: "left", Unwillingness: true}
	first := asked()
	first.At = 1
	relay := asked()
	relay.Bout.Touches, relay.Bout.Team = 45, &bout.Team{Left: []string{"A", "B", "C"}, Right: []string{"D", "E", "F"}}
	foil := asked()
	foil.Bout.Weapon = bout.Foil
	for name, a := range map[string]study.TacticsAsk{"empty": empty, "to come": come, "first": first, "relay": relay, "foil": foil} {
		x, err := study.TacticsOf(a)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		data := written(t, &study.Reading{Tactics: x})
		if err := validate(schema, data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if name == "relay" && strings.Contains(string(data), `"stages": []`) {
			t.Error("a relay without its stages")
		}
	}
	// A number that no draw tells is null, and a whole reading stays one.
	x, err := study.TacticsOf(asked())
	if err != nil {
		t.Fatal(err)
	}
	x.Bout.Touches[0].After.Mean = quantity.Chance(math.NaN())
	if err := validate(schema, written(t, &study.Reading{Tactics: x})); err != nil {
		t.Error(err)
	}
}
