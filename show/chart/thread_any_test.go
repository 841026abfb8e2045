package chart

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// anyBout is an invented bout of so many lines, some without a word of what was chosen,
// some with words of nobody.
func anyBout(r *rand.Rand, lines int) bout.Bout {
	b := bout.Bout{Weapon: []bout.Weapon{bout.Epee, bout.Epee, bout.Foil}[r.IntN(3)], Touches: []int{5, 15, 45}[r.IntN(3)],
		Left: bout.Fencer{Name: "Ash Elmer"}, Right: bout.Fencer{Name: "Brook Farrow"}}
	kinds := bout.ChoiceKinds()
	word := func() string {
		switch n := r.IntN(12); {
		case n < 3:
			return ""
		case n == 3:
			return fmt.Sprintf("a way of %d we have", r.IntN(4))
		case n == 4:
			return "quarte"
		}
		return kinds[r.IntN(len(kinds))].Name
	}
	for i := range lines {
		l := bout.Lamps{Left: r.IntN(2) == 0, Right: r.IntN(2) == 0}
		b.Sheet = append(b.Sheet, bout.Phrase{ID: fmt.Sprint("line-", i+1), Lamps: l, Choices: &bout.Choices{Left: word(), Right: word()}})
	}
	return b.Scored()
}

// TestPicturesOfAnyBout: whatever a sheet says, a picture is drawn with nothing outside it
// and no words on each other, or it is named why there is none.
func TestPicturesOfAnyBout(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	drawn, none := 0, 0
	for i, lines := range []int{0, 1, 2, 5, 19, 60} {
		b := anyBout(r, lines)
		for _, at := range []int{0, 1 + r.IntN(lines+1)}[i%2 : i%2+1] {
			x, err := study.TacticsOf(study.TacticsAsk{Bout: b, At: at, For: mark.Sides[r.IntN(2)], Draws: 100})
			if err != nil {
				t.Fatalf("%d lines, touch %d: %v", lines, at, err)
			}
			for _, p := range tacticsPictures {
				if strings.Contains(p.name, "-") {
					continue
				}
				for _, l := range plate.Layouts {
					d, err := p.draw(x, Options{Layout: l, HideNames: true})
					if err != nil {
						none++
						continue
					}
					drawn++
					what := fmt.Sprintf("%d lines, touch %d, %s, %v", lines, at, p.name, l)
					wordsFree(t, what, d)
					if all := d.Title + d.Desc + strings.Join(linesOf(d), "\n"); strings.Contains(all, "Elmer") || strings.Contains(all, "Farrow") || strings.Contains(all, "NaN") || strings.Contains(all, "%!") {
						t.Errorf("%s: %s", what, all)
					}
				}
			}
		}
	}
	if drawn < 20 || none == 0 {
		t.Errorf("%d pictures drawn, %d not", drawn, none)
	}
}
