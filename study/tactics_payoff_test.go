package study

import (
	"math"
	"strings"
	"testing"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// payoffBout is an invented bout: for each touch the choices of both and who hit.
func payoffBout(choices ...[3]string) bout.Bout {
	b := bout.Bout{Weapon: bout.Epee, Touches: 15, Left: bout.Fencer{Name: "Ada Brand", Sex: "f", Level: "club"}, Right: bout.Fencer{Name: "Mia Castell", Sex: "f", Level: "club"}}
	for i, c := range choices {
		p := bout.Phrase{ID: string(rune('a' + i)), Number: i + 1, Choices: &bout.Choices{Left: c[0], Right: c[1]}, Measure: "medium"}
		p.Lamps.Left = c[2] == "left" || c[2] == "double"
		p.Lamps.Right = c[2] == "right" || c[2] == "double"
		b.Sheet = append(b.Sheet, p)
	}
	return b
}

func payoffOf(t *testing.T, ask TacticsAsk) *Tactics {
	t.Helper()
	if ask.Draws == 0 {
		ask.Draws = 60
	}
	x, err := TacticsOf(ask)
	if err != nil {
		t.Fatal(err)
	}
	if x.Payoff == nil {
		t.Fatalf("no payoff: %+v", x.Lacks)
	}
	return x
}

// Every number in a sentence about payoffs comes from a source that is listed.
func TestPayoffNumbersHaveSources(t *testing.T) {
	x := payoffOf(t, TacticsAsk{For: mark.Left, Bout: payoffBout([3]string{"attack", "parry", "right"}, [3]string{"feint-attack", "parry", "left"}, [3]string{"counter", "attack", "left"}, [3]string{"attack", "my own trick", "double"})})
	listed := map[string]bool{}
	for _, s := range x.Sources {
		listed[s.ID] = true
	}
	for _, s := range x.Payoff.Said {
		for _, p := range s {
			if p.From == "" && strings.Contains(p.Text, " %") || p.From != "" && !listed[p.From] {
				t.Errorf("%q in %q comes from %q", p.Text, s, p.From)
			}
		}
	}
	for i, row := range x.Payoff.Cells {
		for j, c := range row {
			if !listed[c.Source] || c.How == "" {
				t.Errorf("cell %d, %d: %+v", i, j, c)
			}
			sum := c.Model.Me + c.Model.Double + c.Model.Opponent + c.Model.Nothing
			if own := x.Payoff.Theirs[j] == "my own trick"; own != (c.Sure == 0) || !own && math.Abs(float64(sum)-1) > 1e-9 {
				t.Errorf("cell %d, %d: %+v", i, j, c)
			}
		}
	}
}
