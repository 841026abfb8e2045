package chart

import (
	"strings"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
)

// TestASquareKeepsAxisAndLegend: where a square has no room for all panels, the ones that
// are shown keep what explains them, and the source line says how many are left out.
func TestASquareKeepsAxisAndLegend(t *testing.T) {
	x := tacticsAt(t, 15, true)
	for _, c := range []struct {
		name string
		make func(Options) (*draw.Drawing, error)
		has  []string
	}{
		{"habit", func(o Options) (*draw.Drawing, error) { return Habit(x, 1, o) }, []string{"after touch", "chosen at this touch"}},
		{"payoff", func(o Options) (*draw.Drawing, error) { return Payoff(x, o) }, []string{"double", "best against that choice"}},
	} {
		phone, err := c.make(Options{Layout: plate.Phone, Theme: draw.Video()})
		if err != nil {
			t.Fatal(err)
		}
		d, fitted := plate.Fit(plate.Square, draw.Video(), phone)
		var all []string
		for _, s := range d.Stretches() {
			for _, l := range s.Lines() {
				all = append(all, l.S)
			}
		}
		text := strings.Join(all, "\n")
		for _, w := range c.has {
			if !strings.Contains(text, w) {
				t.Errorf("%s: %q is not on the square:\n%s", c.name, w, text)
			}
		}
		if fitted.Whole == strings.Contains(strings.ReplaceAll(text, "\n", " "), "parts, the report has all.") {
			t.Errorf("%s: whole is %v, and the source line says\n%s", c.name, fitted.Whole, text)
		}
	}
}
