package camera

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
)

// A mark that does not lie on its line, and a line called by the name of another,
// are named, and the camera is kept from both.
func TestWrongLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 9))
	s := sideOn()
	pic := s.picture(rng, 1, 1)
	pic.Points = pic.Points[2:6]
	pic.Lines = s.lines(rng, 1, "near-edge", .33, .5, .68, "far-edge", .3, .45, .7, "centre", .2, .5, .8)
	base, err := Place(pic, Options{})
	if err != nil || len(base.Warnings) != 0 {
		t.Fatalf("%v %v", err, base)
	}
	tried := 0
	for i := range pic.Lines {
		bad := pic
		bad.Lines = append([]LineMark(nil), pic.Lines...)
		bad.Lines[i].At.U += 30
		bad.Lines[i].At.V -= 30
		p, err := Place(bad, Options{})
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		tried++
		w := codes(p.Warnings)[CodeDisagrees]
		if w.About != "on "+pic.Lines[i].Name || !strings.Contains(w.Text, "check the name of the line") {
			t.Errorf("mark %d on %s: %v", i, pic.Lines[i].Name, p.Warnings)
		}
		if d := math.Abs(float64(p.Focal.Mean - base.Focal.Mean)); d > 3*float64(base.Focal.SD) {
			t.Errorf("mark %d on %s, named, still changes the focal length by %.0f px", i, pic.Lines[i].Name, d)
		}
	}
	if tried != 9 {
		t.Fatalf("%d wrong marks tried, want 9", tried)
	}
	bad := pic
	bad.Lines = append([]LineMark(nil), pic.Lines...)
	for i := 6; i < 9; i++ {
		bad.Lines[i].Name = "right-on-guard"
		bad.Lines[i].A.X, bad.Lines[i].B.X = 2, 2
	}
	p, err := Place(bad, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if w := codes(p.Warnings)[CodeDisagrees]; w.About != "on right-on-guard" {
		t.Errorf("a line called by a wrong name: %v", p.Warnings)
	}
	if d := math.Abs(float64(p.Focal.Mean - base.Focal.Mean)); d > 3*float64(base.Focal.SD) {
		t.Errorf("a line called by a wrong name changes the focal length by %.0f px", d)
	}
	t.Log(p.Warnings)
}

func TestLineMarkRefusals(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	s := sideOn()
	good := s.lines(rng, 1, "near-edge", .3, .5, .6, "far-edge", .3, .45, .7, "left-on-guard", .2, .8, "centre", .2, .8)
	tried := 0
	for _, c := range []struct {
		spoil func(*LineMark)
		want  error
	}{
		{func(m *LineMark) { m.At.U = math.NaN() }, ErrNotFinite},
		{func(m *LineMark) { m.A.X = math.Inf(1) }, ErrNotFinite},
		{func(m *LineMark) { m.SD = -1 }, ErrSD},
		{func(m *LineMark) { m.B.Z = 0.3 }, ErrNotFlat},
		{func(m *LineMark) { m.B = m.A }, ErrNoLine},
	} {
		lines := append([]LineMark(nil), good...)
		c.spoil(&lines[4])
		_, err := Place(Picture{Width: s.width, Height: s.height, Lines: lines}, Options{})
		if !errors.Is(err, c.want) {
			t.Errorf("%v, want %v", err, c.want)
		}
		tried++
	}
	if tried != 5 {
		t.Fatal("not all refusals were tried")
	}
	// Near and far exchanged: a mirrored picture.
	mirrored := append([]LineMark(nil), good...)
	for i := range mirrored {
		mirrored[i].A.Y *= -1
		mirrored[i].B.Y *= -1
	}
	if _, err := Place(Picture{Width: s.width, Height: s.height, Lines: mirrored}, Options{}); !errors.Is(err, ErrMirrored) {
		t.Errorf("mirrored: %v", err)
	}
}

// Pictures of a take: one with lines alone places the camera, another is placed
// through it with one point and a line, a third with three lines.
func TestLinesTogether(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	first := panning(2)
	second, third := panning(1), panning(3)
	one := Picture{Width: 1280, Height: 720, Lines: first.lines(rng, 0.2, "near-edge", .4, .5, .6, "far-edge", .4, .5, .6, "left-on-guard", .2, .8, "centre", .2, .8)}
	pts := second.picture(rng, 0.2, 1).Points
	near0 := pts[0]
	for _, p := range pts { // the first lies on the far edge itself
		if p.On.Y < 0 {
			near0 = p
		}
	}
	two := Picture{Width: 1280, Height: 720, Points: []Point{near0}, Lines: second.lines(rng, 0.2, "far-edge", .3, .5)}
	three := Picture{Width: 1280, Height: 720, Lines: third.lines(rng, 0.2, "far-edge", .65, .8, "right-on-guard", .2, "right-warning", .3)}
	got, err := PlaceTogether([]Picture{one, two, three}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range []scene{first, second, third} {
		p := got[i]
		near(t, "focal length", float64(p.Focal.Mean), s.lens.Fx, 4*float64(p.Focal.SD))
		if !(p.Focal.SD < 0.05*p.Focal.Mean) {
			t.Errorf("picture %d: focal length %v", i+1, p.Focal)
		}
		for r := range 3 {
			for k := range 3 {
				near(t, "turn", p.pose.turn[r][k], s.pose.turn[r][k], 0.02)
			}
		}
	}
	// A line alone does not say how the camera was turned.
	for _, c := range []struct {
		pic  Picture
		want error
	}{
		{Picture{Width: 1280, Height: 720, Lines: third.lines(rng, 0.2, "far-edge", .65, .7, .75, .8)}, ErrOpenTurn},
		{Picture{Width: 1280, Height: 720, Lines: third.lines(rng, 0.2, "far-edge", .65, .7, "right-on-guard", .5)}, ErrOpenTurn},
		{Picture{Width: 1280, Height: 720, Points: pts[:1], Lines: second.lines(rng, 0.2, "far-edge", .3, .5)}, ErrOpenTurn},
		{Picture{Width: 1280, Height: 720, Points: []Point{near0}, Lines: second.lines(rng, 0.2, "far-edge", .4)}, ErrOpenTurn},
		{Picture{Width: 1280, Height: 720, Points: pts[:1]}, ErrTooFew},
	} {
		_, err := PlaceTogether([]Picture{one, c.pic}, Options{})
		var in *PictureError
		if !errors.As(err, &in) || in.Picture != 1 || !errors.Is(err, c.want) {
			t.Errorf("%v, want %v of picture 2", err, c.want)
		}
	}
}

// Stated uncertainty is kept where pictures with lines are placed through one
// another: the one that places the camera, and the two that lean on it.
func TestLinesTogetherCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 9))
	first, second, third := panning(2), panning(1), panning(3)
	var focal, centre, floor share
	for range 120 {
		one := first.picture(rng, 1, 1)
		one.Lines = first.lines(rng, 1, "near-edge", .4, .6, "far-edge", .4, .6)
		two := Picture{Width: 1280, Height: 720, Points: second.picture(rng, 1, 1).Points[1:2],
			Lines: second.lines(rng, 1, "far-edge", .25, .3, .4, .5, "left-on-guard", .2, .8, "left-warning", .4)}
		three := Picture{Width: 1280, Height: 720, Lines: third.lines(rng, 1, "far-edge", .6, .7, .8, "near-edge", .65, "right-on-guard", .2, .8, "right-warning", .3)}
		got, err := PlaceTogether([]Picture{one, two, three}, Options{Priors: withoutScale()})
		if err != nil {
			t.Fatal(err)
		}
		for i, s := range []scene{first, second, third} {
			p := got[i]
			focal.add(p.Focal.Covers(quantity.Pixels(s.lens.Fx)))
			x := vec{s.at() + 0.3, 0.2, 0}
			j, err := p.Floor(s.see(rng, 1, x), 1)
			if err != nil {
				t.Fatal(err)
			}
			for a := range 2 {
				floor.add(math.Abs(j.Mean[a]-x[a]) < normal975*j.SD(a))
			}
		}
		for k := range 3 {
			centre.add(got[0].Position[k].Covers(quantity.Metres(first.pose.centre[k])))
		}
	}
	focal.within(t, "focal length", 0.92, 0.98)
	centre.within(t, "camera place", 0.92, 0.98)
	floor.within(t, "floor", 0.92, 0.98)
}
