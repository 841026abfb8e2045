package chart

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/show/specimen"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// inBout is the invented touch with the sheet of its bout and the tactics of the fixture,
// whose bout is another: the ladder is then that of the tactics.
func inBout(t testing.TB) *study.Reading {
	t.Helper()
	r := reading(t)
	r.Tactics = specimen.Tactics(t)
	lamps := func(l, r bool) bout.Phrase { return bout.Phrase{Lamps: bout.Lamps{Left: l, Right: r}} }
	r.Touch.Bout.Sheet = []bout.Phrase{lamps(true, false), lamps(false, true), lamps(true, true), lamps(false, false), lamps(true, false), lamps(false, true), lamps(true, false), lamps(true, false), lamps(false, true), lamps(true, false)}
	r.Touch.Bout = r.Touch.Bout.Scored()
	r.Touch.Number, r.Touch.Before = 8, r.Touch.Bout.Sheet[7].Before
	return r
}

// The ladder has the touches of the sheet up to this one, with their scores, and each
// fencer's signs stand on the rungs of that fencer's score.
func TestLadderIsTheSheet(t *testing.T) {
	r := inBout(t)
	r.Tactics = nil
	c := &ladder{o: Options{}.themed(), r: r}
	if !c.climb() {
		t.Fatal("no ladder")
	}
	sheet := r.Touch.Bout.Scored().Sheet[:8]
	if len(c.rungs) != len(sheet) {
		t.Fatalf("%d rungs of %d touches", len(c.rungs), len(sheet))
	}
	hits := [2][]int{}
	for i, p := range sheet {
		if g := c.rungs[i]; g.number != p.Number || g.before != p.Before || g.after != p.After || g.gap {
			t.Errorf("rung %d is %+v, the sheet has %+v", i, g, p)
		}
		if p.After.Left > p.Before.Left {
			hits[mark.Left] = append(hits[mark.Left], p.After.Left)
		}
		if p.After.Right > p.Before.Right {
			hits[mark.Right] = append(hits[mark.Right], p.After.Right)
		}
	}
	th := draw.Paper()
	d, err := Ladder(r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	all := outlines(t, d)
	// The rungs are the hairlines from side to side, from the top.
	var rungs []float64
	for _, o := range all {
		if o.stroke == th.Rule.CSS() && o.width == "0.2" && o.n == 2 && o.first.Y == o.last.Y {
			rungs = append(rungs, float64(o.first.Y))
		}
	}
	slices.Sort(rungs)
	slices.Reverse(rungs)
	top := max(sheet[7].After.Left, sheet[7].After.Right)
	if len(rungs) != top+1 {
		t.Fatalf("%d rungs up to %d", len(rungs), top)
	}
	for _, s := range mark.Sides {
		type sign struct{ x, y float64 }
		var signs []sign
		for _, o := range all {
			if o.fill == plate.Hue(th, s).CSS() && o.box.W > 2.55 && o.box.W < 3.1 { // those of the key are smaller
				signs = append(signs, sign{float64(o.mid().X), float64(o.mid().Y)})
			}
		}
		slices.SortFunc(signs, func(a, b sign) int { return int(math.Copysign(1, a.x-b.x)) })
		if len(signs) != len(hits[s]) {
			t.Errorf("%s: %d signs of %d hits", s, len(signs), len(hits[s]))
			continue
		}
		for i, score := range hits[s] {
			if math.Abs(signs[i].y-rungs[score]) > 0.05 {
				t.Errorf("%s’s hit %d stands %.2f mm off rung %d", s, i+1, signs[i].y-rungs[score], score)
			}
		}
	}
	if d.Title != "A hit of Ida Maren at 4–3 makes it 5–3" {
		t.Errorf("title %q", d.Title)
	}
}

// Chances stand before and after the touch as the reading of the bout has them.
func TestLadderSaysTheChancesOfTheBout(t *testing.T) {
	r := inBout(t)
	d, err := Ladder(r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var at *study.BoutTouch
	for i, b := range r.Tactics.Bout.Touches {
		if b.Number == r.Tactics.At {
			at = &r.Tactics.Bout.Touches[i]
		}
	}
	if at == nil {
		t.Fatal("the fixture has no such touch")
	}
	words := ""
	for _, l := range d.Lines() {
		words += l.S + "\n"
	}
	for _, q := range []string{plate.Percent(at.Before.Win), plate.Percent(at.After)} {
		if !strings.Contains(words, q+"\n") || !strings.Contains(d.Title, q) {
			t.Errorf("%s is not said; title %q", q, d.Title)
		}
	}
	// A touch that is still to come has no after: only the score is shown.
	r.Tactics.Fenced = false
	if d, err = Ladder(r, Options{}); err != nil || strings.Contains(d.Title, "%") {
		t.Errorf("%v: a touch that was not fenced has chances: %q", err, d.Title)
	}
}

func TestLadderWithLittle(t *testing.T) {
	r := inBout(t)
	r.Tactics = nil
	// A sheet that ends before the touch, with touches missing between.
	r.Touch.Bout.Sheet = r.Touch.Bout.Sheet[:3]
	r.Touch.Number, r.Touch.Before, r.Touch.Lamps = 9, bout.Score{Left: 5, Right: 4}, &bout.Lamps{Left: true, Right: true}
	d, err := Ladder(r, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if d.Title != "A double at 5–4 makes it 6–5" || !strings.Contains(d.Desc, "is not written") {
		t.Errorf("title %q, desc %q", d.Title, d.Desc)
	}
	// At one hit from the end for both a double counts for nobody.
	r.Touch.Before = bout.Score{Left: 14, Right: 14}
	if d, err = Ladder(r, Options{}); err != nil || d.Title != "A double that does not count at 14–14 leaves the score at 14–14" {
		t.Errorf("%v: title %q", err, d.Title)
	}
	r.Touch.Bout.Sheet, r.Touch.Lamps = nil, nil
	if d, err = Ladder(r, Options{}); err != nil || d.Title != "Touch 9 was fenced at 14–14" {
		t.Errorf("%v: title %q", err, d.Title)
	}
	r.Touch.Number = 0
	if _, err = Ladder(r, Options{}); !errors.Is(err, ErrNoLadder) {
		t.Errorf("a touch of no bout: %v", err)
	}
}
