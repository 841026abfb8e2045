package demo

import (
	"math"
	"strings"
	"testing"

	"mesure/demo/picture"
	"mesure/demo/scene"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// TestSheetsFollowTheRules: every sheet of the demo ends as a bout ends and nothing on
// it is doubted by the rules (t.38 to t.42, t.92), and every choice is a word of the
// trade that says what was meant.
func TestSheetsFollowTheRules(t *testing.T) {
	sheets := map[string]bout.Bout{"demo-bout": Bout()}
	for _, e := range earlierBouts {
		sheets[string(e.id)] = e.sheetOf().Bout
	}
	words := bout.Vocabulary{Weapon: bout.Epee}
	for name, b := range sheets {
		if d := b.Doubts(); len(d) != 0 {
			t.Errorf("%s: %+v", name, d)
		}
		last := b.Sheet[len(b.Sheet)-1]
		if won := max(last.After.Left, last.After.Right); won != b.Touches || max(last.Before.Left, last.Before.Right) != won-1 {
			t.Errorf("%s ends at %+v", name, last.After)
		}
		for _, p := range b.Sheet {
			for _, s := range mark.Sides {
				if _, ok := words.ChoiceOf(p.Choices.Of(s)); !ok {
					t.Errorf("%s, touch %d: %q says no choice", name, p.Number, p.Choices.Of(s))
				}
			}
		}
	}
}

// TestSheetClockIsThatOfThePicture: what the sheet writes is what the score box of each
// film shows at the halt, without the tenths.
func TestSheetClockIsThatOfThePicture(t *testing.T) {
	b := Bout()
	for _, f := range scene.Films() {
		shown := picture.Clock(f, math.Inf(1))
		if want, _, _ := strings.Cut(shown, "."); b.Sheet[f.Number-1].Clock != want {
			t.Errorf("touch %d: %s on the sheet, %s in the picture", f.Number, b.Sheet[f.Number-1].Clock, shown)
		}
	}
}
