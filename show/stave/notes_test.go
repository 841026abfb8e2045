package stave

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// drawn is how one action looks in a single colour.
func drawn(t *testing.T, n bout.PhraseNote, who mark.Side) string {
	t.Helper()
	d := draw.New(30, 10, "", "")
	ink := draw.Paper().Ink
	a, b := draw.Pt{X: 5, Y: 5}, draw.Pt{X: 25, Y: 5}
	bar(&d.Group, n.Nature, a, b, ink)
	heads(&d.Group, who, bout.Forward, n, a, ink, draw.Paper().Ground)
	ending(&d.Group, n.Result, b, ink, draw.Paper().Ground)
	var out bytes.Buffer
	if err := d.SVG(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// What is noted can be told without any colour: no two notes look the same in one ink,
// for either fencer.
func TestNotesAreToldWithoutColour(t *testing.T) {
	seen := map[string]bout.PhraseNote{}
	for _, who := range mark.Sides {
		for _, nature := range []bout.Nature{"", bout.Feigned, bout.False, bout.Invitation} {
			for _, i := range []bout.Intention{"", bout.SecondIntention} {
				for _, r := range append([]bout.Term{{}}, bout.Results()...) {
					n := bout.PhraseNote{Nature: nature, Intention: i, Result: bout.Result(r.Name)}
					svg := drawn(t, n, who)
					if o, twice := seen[svg]; twice {
						t.Errorf("%+v looks like %+v", n, o)
					}
					seen[svg] = n
				}
			}
		}
	}
	if len(seen) != 2*4*2*8 {
		t.Errorf("%d were drawn", len(seen))
	}
}

// The legend names each sign that stands on the stave, and no other.
func TestTheLegendIsThatOfTheStave(t *testing.T) {
	for _, l := range plate.Layouts {
		s := Draw(noted(t), Options{Layout: l, Phrase: true})
		desk := Draw(noted(t), Options{Layout: l, Bare: true})
		if s.Legend != nil || desk.Legend == nil {
			t.Fatal("the legend stands in the drawing, and at the desk below it")
		}
		var words []string
		for _, w := range desk.Legend.Lines() {
			words = append(words, w.S)
			if b := w.Box(); b.Right() > desk.Legend.W || b.Bottom() > desk.Legend.H {
				t.Errorf("%s: %q stands at %v, outside the sheet", l, w.S, b)
			}
		}
		want := []string{"feint", "false", "invitation", "second intention", "hit", "missed", "fell short", "parried", "avoided", "off target", "drew the answer"}
		if !slices.Equal(words, want) {
			t.Errorf("%s: the legend has %q", l, words)
		}
		for _, w := range want {
			if !slices.ContainsFunc(s.Drawing.Lines(), func(x draw.Text) bool { return x.S == w }) {
				t.Errorf("%s: the drawing does not say %q", l, w)
			}
		}
		if !strings.Contains(s.Drawing.Desc, "attack (quarte, chest, real, second intention, hit) from") {
			t.Errorf("%s: those who do not see it read %q", l, s.Drawing.Desc)
		}
		plain := Draw(phrase(t), Options{Layout: l, Bare: true})
		if plain.Legend != nil {
			t.Error("a stave without signs has a legend")
		}
	}
}
