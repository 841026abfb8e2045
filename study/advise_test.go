package study

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"mesure/sport/mark"
	"mesure/sport/piste"
)

// seenBy marks a named point as the camera of the staged instant sees it.
func seenBy(i int, name string, noise float64) PlacedPoint {
	e := eye{at: [3]float64{0.4, -11, 2.9}, pan: 0.02 * float64(i-2), tilt: 0.17, focal: 1250 + 30*float64(i)}
	on, ok := piste.Named(name, piste.Width)
	if !ok {
		panic(name)
	}
	return PlacedPoint{Name: name, On: on, At: e.see([3]float64{on.X, on.Y, 0}), SD: noise}
}

func needOf(t *testing.T, r *Reading, step string) Need {
	t.Helper()
	for _, n := range r.Needs {
		if n.Step == step {
			return n
		}
	}
	t.Fatalf("no need of the step %s among %+v", step, r.Needs)
	return Need{}
}

// poor is a stage of one frame with few points.
func poor(names ...string) staged {
	s := stage(3, 1.5)
	s.touch.Placings = s.touch.Placings[:1]
	s.touch.Marks = slices.DeleteFunc(s.touch.Marks, func(m mark.Mark) bool { return m.Frame != s.touch.Placings[0].Frame })
	s.touch.Placings[0].Points = nil
	for _, name := range names {
		s.touch.Placings[0].Points = append(s.touch.Placings[0].Points, seenBy(0, name, 1.5))
	}
	return s
}

// TestTheGainIsWhatARefitGives: for each poor placing, the gain that was foretold
// for the points that were named comes true, within 15 %, when they are marked and
// all is fitted anew.
func TestTheGainIsWhatARefitGives(t *testing.T) {
	checked := 0
	for _, names := range [][]string{
		{"left-on-guard-near", "left-on-guard-far", "centre-near", "centre-far"},
		{"centre-near", "centre-far", "right-on-guard-near", "right-on-guard-far"},
		{"left-on-guard-near", "centre-near", "right-on-guard-near", "centre-far", "left-on-guard-far"},
		{"left-on-guard-near", "left-on-guard-far", "right-on-guard-near", "right-on-guard-far"},
		{"left-warning-near", "left-warning-far", "left-on-guard-near", "left-on-guard-far"},
		{"right-warning-near", "right-warning-far", "right-on-guard-near", "right-on-guard-far"},
	} {
		for _, marked := range []int{2, 1, 0} {
			s := poor(names...)
			s.touch.Marks = slices.DeleteFunc(s.touch.Marks, func(m mark.Mark) bool {
				return marked == 0 || marked == 1 && !m.What.IsFoot()
			})
			r := partly(t, s.touch, nil)
			i := slices.IndexFunc(r.Needs, func(n Need) bool { return n.Now > 0 })
			if i < 0 {
				continue
			}
			n := r.Needs[i]
			if !(n.Then < n.Now) || len(n.Points) == 0 || len(n.Points) > asMany {
				t.Fatalf("%v: %+v", names, n)
			}
			// The marks as the fitted camera puts them: the foretold change is one of
			// certainty, not of the place.
			better := *s.touch
			better.Placings = slices.Clone(s.touch.Placings)
			for _, name := range n.Points {
				better.Placings[0].Points = append(slices.Clone(better.Placings[0].Points), seenBy(0, name, mark.DefaultSD))
			}
			got := partly(t, &better, nil)
			v := view{n.Take, n.Frame}
			after := doubtNow(t, &better, got, v, n.Text)
			t.Logf("%s (%.4f → %.4f m, refit %.4f)", n.Text, n.Now, n.Then, after)
			if math.Abs(after/float64(n.Then)-1) > 0.15 {
				t.Errorf("%v with %v: foretold %.4f m, the refit gives %.4f", names, n.Points, n.Then, after)
			}
			checked++
		}
	}
	if checked < 5 {
		t.Errorf("only %d gains were checked", checked)
	}
}

// TestALineWhereNoPointIsLeft: a close picture shows four crossings, all marked;
// then two marks on a line are proposed, and the gain comes true.
func TestALineWhereNoPointIsLeft(t *testing.T) {
	e := eye{at: [3]float64{-1, -6, 2.2}, tilt: 0.25, focal: 1500}
	foot := mark.Mark{Take: "live", Frame: 10, What: mark.FrontToe, At: e.see([3]float64{1.2, 0, 0}), SD: 1.5}
	p := Placing{Take: "live", Frame: 10}
	for _, name := range []string{"left-on-guard-near", "left-on-guard-far", "centre-near", "centre-far"} {
		on, _ := piste.Named(name, piste.Width)
		p.Points = append(p.Points, PlacedPoint{Name: name, On: on, At: e.see([3]float64{on.X, on.Y, 0})})
	}
	touch := &Touch{Videos: []Video{{ID: "v", File: "v.mp4"}}, Takes: []mark.Take{{ID: "live", Video: "v", To: 99}}, Placings: []Placing{p}, Marks: []mark.Mark{foot}}
	r := partly(t, touch, nil)
	i := slices.IndexFunc(r.Needs, func(n Need) bool { return n.Now > 0 })
	if i < 0 || !strings.HasPrefix(r.Needs[i].Text, "Two marks on the ") || len(r.Needs[i].Points) != 1 {
		t.Fatalf("no line is proposed: %+v", r.Needs)
	}
	n := r.Needs[i]
	a, b, ok := piste.LineNamed(n.Points[0], piste.Width)
	if !ok {
		t.Fatalf("%q is no line", n.Points[0])
	}
	var shown []mark.Pixel
	for k := range 1001 {
		x := float64(k) / 1000
		if px := e.see([3]float64{a.X + x*(b.X-a.X), a.Y + x*(b.Y-a.Y), 0}); px.U >= 0 && px.U <= 1279 && px.V >= 0 && px.V <= 719 {
			shown = append(shown, px)
		}
	}
	p.Lines = []LineMark{{Line: n.Points[0], At: shown[len(shown)/10]}, {Line: n.Points[0], At: shown[len(shown)-1-len(shown)/10]}}
	better := *touch
	better.Placings = []Placing{p}
	after := doubtNow(t, &better, partly(t, &better, nil), view{"live", 10}, n.Text)
	t.Logf("%s (%.4f → %.4f m, refit %.4f)", n.Text, n.Now, n.Then, after)
	if math.Abs(after/float64(n.Then)-1) > 0.15 {
		t.Errorf("foretold %.4f m, the refit gives %.4f", n.Then, after)
	}
}

// doubtNow is the SD that a gain spoke of, in a new reading.
func doubtNow(t *testing.T, touch *Touch, r *Reading, v view, text string) float64 {
	t.Helper()
	for _, in := range r.Instants {
		for _, g := range in.Gaps {
			if g.Nearest && in.Frame == v.frame && strings.Contains(text, fmt.Sprintf("from %v's point to the %s", g.Of, g.Target.Word())) {
				return float64(g.Gap.SD)
			}
		}
	}
	clips := r.Clips
	var again Reading
	cams, err := placeAll(touch, clips, &again, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	a := adviser{t: touch, r: r, cams: cams}
	of, _, ok := a.doubtOf(v, cams.placed[v])
	if !ok {
		t.Fatal("nothing to be sure of")
	}
	sd, err := of(cams.placed[v])
	if err != nil {
		t.Fatal(err)
	}
	return float64(sd)
}

// TestAdviceOfEachStep: what is missing is asked for, by names that help, and what
// is there is not.
func TestAdviceOfEachStep(t *testing.T) {
	whole := func() *Touch { return stage(3, 1).touch }
	only := func(what ...mark.What) func(mark.Mark) bool {
		return func(m mark.Mark) bool { return !slices.Contains(what, m.What) }
	}
	cases := []struct {
		name   string
		change func(*Touch)
		step   string
		points []string
		text   string
	}{
		{"nothing at all", func(c *Touch) { *c = Touch{Videos: c.Videos, Takes: c.Takes} }, StepPlace,
			[]string{"left-on-guard-near", "right-on-guard-far", "left-on-guard-far", "right-on-guard-near"},
			"Frame 0 needs four points of the piste to be placed, such as both ends of the left on-guard line and of the right on-guard line"},
		{"two points", func(c *Touch) { c.Placings = c.Placings[:1]; c.Placings[0].Points = c.Placings[0].Points[:2] }, StepPlace,
			[]string{"centre-near", "centre-far"}, "Frame 10 needs two more points of the piste to be placed, such as both ends of the centre line"},
		{"three on one edge", func(c *Touch) {
			c.Placings = c.Placings[:1]
			c.Placings[0].Points = []PlacedPoint{seenBy(0, "left-on-guard-near", 1), seenBy(0, "centre-near", 1), seenBy(0, "right-on-guard-near", 1)}
		}, StepPlace, []string{"left-on-guard-far"}, "Frame 10 needs one more point of the piste to be placed, such as the far end of the left on-guard line"},
		{"frames of a placed take", func(c *Touch) {
			c.Placings = []Placing{{Take: "live", Frame: 10, Points: []PlacedPoint{seenBy(0, "left-on-guard-near", 1), seenBy(0, "left-on-guard-far", 1), seenBy(0, "right-on-guard-near", 1), seenBy(0, "right-on-guard-far", 1)}}}
		}, StepPlace, []string{"left-on-guard-near", "right-on-guard-far"}, "Frame 25 needs two points of the piste to be placed, such as the near end of the left on-guard line and the far end of the right on-guard line"},
		{"a wrong label", func(c *Touch) { c.Placings[1].Points[3].At.V += 40 }, StepPlace, nil, "check its name and its mark"},
		{"mirrored", func(c *Touch) { mirror(c.Placings[1].Points) }, StepPlace, nil, "exchange left and right"},
		{"no marks", func(c *Touch) { c.Marks = nil }, StepMark, []string{"left's point", "right's point", "left's guard", "right's guard"},
			"Mark left's point, right's point, left's guard and right's guard on frame 10: then both gaps are measured and a race can be run"},
		{"points only", func(c *Touch) { c.Marks = slices.DeleteFunc(c.Marks, only(mark.Point)) }, StepMark, []string{"left's guard", "right's guard"}, "on frame 10"},
		{"a chest is asked for", func(c *Touch) {
			c.Race.Left.Target = mark.Chest
			c.Marks = slices.DeleteFunc(c.Marks, only(mark.Point, mark.Guard, mark.Shoulder))
		}, StepMark, []string{"right's hip"}, "Mark right's hip on frame 10"},
		{"no feet", func(c *Touch) {
			c.Marks = slices.DeleteFunc(c.Marks, func(m mark.Mark) bool { return m.What.IsFoot() })
		}, StepMark,
			[]string{"left's front toe", "right's front toe"}, "the feet show where"},
		{"no moments", func(c *Touch) { c.Moments, c.Race = nil, RaceAsk{} }, StepMoments, nil, "Set a moment, such as the launch, at frame 10"},
		{"an onset without its moment", func(c *Touch) { c.Race.Left.Onset.Kind = OnsetObserved }, StepMoments, nil, "Set the moment at which left starts"},
		{"both react", func(c *Touch) { c.Race.Left.Onset.Kind = OnsetReaction }, StepRace, nil, "Each fencer reacts to the other: let one of the two start otherwise"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			touch := whole()
			c.change(touch)
			r := partly(t, touch, nil)
			n := needOf(t, r, c.step)
			if c.points != nil && !slices.Equal(n.Points, c.points) {
				t.Errorf("points %v, want %v", n.Points, c.points)
			}
			if !strings.Contains(n.Text, c.text) {
				t.Errorf("%q does not say %q", n.Text, c.text)
			}
			for _, n := range r.Needs {
				if strings.ContainsAny(n.Text, "\n") || strings.HasSuffix(n.Text, ".") || n.Text == "" || len(n.Text) > 220 {
					t.Errorf("not one line: %q", n.Text)
				}
			}
		})
	}
}

// TestAWholeTouchNeedsLittle: nothing is missing, so that only what the doubt of
// the race comes from is named.
func TestAWholeTouchNeedsLittle(t *testing.T) {
	r, err := Read(t.Context(), stage(3, 1).touch, reel{100}, ReadOptions{Draws: 5000, Partial: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range r.Needs {
		if n.Step != StepRace || !strings.Contains(n.Text, "of the margin's doubt comes from ") {
			t.Errorf("needs %+v", n)
		}
	}
	if len(r.Needs) == 0 {
		t.Error("the greatest doubt of the race is not named")
	}
}

// TestProposedPointsAreFree: no point is proposed that is marked already, that the
// picture does not show, or that a fencer stands before.
func TestProposedPointsAreFree(t *testing.T) {
	s := poor("left-warning-near", "left-warning-far", "left-on-guard-near", "left-on-guard-far")
	r := partly(t, s.touch, nil)
	checked := 0
	for _, n := range r.Needs {
		for _, name := range n.Points {
			on, ok := piste.Named(name, piste.Width)
			if !ok {
				continue
			}
			checked++
			at := seenBy(0, name, 1).At
			if at.U < 0 || at.U > 1279 || at.V < 0 || at.V > 719 {
				t.Errorf("%s does not show", name)
			}
			if slices.ContainsFunc(s.touch.Placings[0].Points, func(q PlacedPoint) bool { return q.On == on }) {
				t.Errorf("%s is marked already", name)
			}
		}
	}
	if checked == 0 {
		t.Error("nothing was proposed")
	}
}

// TestWhatWouldNarrowAGap: coarse marks are to be set again; fine ones are not, and
// what is left is said.
func TestWhatWouldNarrowAGap(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Touch)
		want   string
	}{
		{"coarse marks", func(c *Touch) {
			for i := range c.Marks {
				c.Marks[i].SD = 12
			}
		}, "marked under the loupe"},
		{"all is known", func(c *Touch) {
			c.Bout.Left.Hand, c.Bout.Right.Hand = "right", "right"
			for i := range c.Marks {
				c.Marks[i].SD = 0.2
			}
		}, "what one camera cannot see"},
	} {
		touch := stage(3, 1).touch
		touch.Race = RaceAsk{From: "m4"} // the points are near, and what lies across counts
		c.change(touch)
		r, err := Read(t.Context(), touch, reel{100}, ReadOptions{Draws: 5000, Partial: true})
		if err != nil || r.Race == nil {
			t.Fatal(err, r.Warnings)
		}
		figures := map[view]figure{}
		var again Reading
		cams, err := placeAll(touch, r.Clips, &again, ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		a := adviser{touch, r, cams, figures, nil}
		if got := a.gapMend(mark.Left); !strings.Contains(got, c.want) {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}

// TestPlacesInWords: points stand in a sentence, grouped by what they share.
func TestPlacesInWords(t *testing.T) {
	for _, c := range []struct {
		names []string
		want  string
	}{
		{[]string{"centre-far"}, "the far end of the centre line"},
		{[]string{"centre-far", "left-rear-near", "centre-near"}, "both ends of the centre line and the near end of the left rear limit"},
		{[]string{"left-on-guard-far", "right-on-guard-far"}, "the far end of the left on-guard line and of the right on-guard line"},
		{[]string{"right-warning-axis"}, "the middle of the right edge of the last 2 m"},
		{[]string{"point 3"}, "point 3"},
		{nil, ""},
	} {
		if got := crossings(c.names); got != c.want {
			t.Errorf("%v: %q, want %q", c.names, got, c.want)
		}
	}
	if got := pointWords([]string{"on far-edge", "centre-near"}); got[0] != "a mark on the far edge" || got[1] != "the near end of the centre line" {
		t.Errorf("%q", got)
	}
	for share, want := range map[float64]string{0.3: "more than halve the error", 0.5: "halve the error", 0.66: "take a third off the error", 0.87: "take an eighth off the error"} {
		if got := gainWords(share); got != want {
			t.Errorf("%v: %q, want %q", share, got, want)
		}
	}
}
