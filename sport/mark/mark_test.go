package mark

import (
	"math"
	"testing"
)

// TestClockOfAReplay: a factor of 4 makes 20 ms of the file 5 ms of the bout.
func TestClockOfAReplay(t *testing.T) {
	k := Take{Factor: 4, Offset: 2}
	if got := k.Clock(10, 10.02); math.Abs(float64(got)-2.005) > 1e-12 {
		t.Errorf("%v, want 2.005", got)
	}
	if got := (Take{Offset: 1}).Clock(0.5, 0.75); got != 1.25 {
		t.Errorf("live: %v, want 1.25", got)
	}
}

// TestTargetsAreMadeOfPoints: weights sum to 1, on points that can be marked.
func TestTargetsAreMadeOfPoints(t *testing.T) {
	known := map[What]bool{}
	for _, w := range Points() {
		known[w] = true
	}
	if len(Targets()) != 8 {
		t.Fatalf("%d targets, want the eight of the trade", len(Targets()))
	}
	for _, target := range Targets() {
		sum := 0.0
		for _, s := range target.Made() {
			sum += s.Weight
			if !known[s.Of] || s.Of == Point {
				t.Errorf("%s rests on %q", target, s.Of)
			}
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("the weights of %s sum to %v", target, sum)
		}
	}
	if Target("ear").Made() != nil {
		t.Error("an unknown target is made of something")
	}
}

// TestSides: the opponent of the opponent is oneself.
func TestSides(t *testing.T) {
	for _, s := range Sides {
		if s.Other() == s || s.Other().Other() != s || s.String() == s.Other().String() {
			t.Errorf("%v", s)
		}
	}
}

// TestClipHas: frames are counted from 0.
func TestClipHas(t *testing.T) {
	c := Clip{Times: []FileTime{0, 0.04}}
	for f, want := range map[Frame]bool{-1: false, 0: true, 1: true, 2: false} {
		if c.Has(f) != want {
			t.Errorf("frame %d: %v", f, !want)
		}
	}
}

// TestSplitIntoFields: two instants a frame, half an interval apart; the frame that
// was dropped does not move the field before it.
func TestSplitIntoFields(t *testing.T) {
	c := Clip{Times: []FileTime{1, 1.04, 1.08, 1.2}}
	s := c.Split()
	want := []FileTime{1, 1.02, 1.04, 1.06, 1.08, 1.10, 1.2, 1.22}
	if !s.Fields || s.Frames() != len(want) || c.Fields || c.Frames() != 4 {
		t.Fatalf("%+v of %+v", s, c)
	}
	for i, at := range want {
		if math.Abs(float64(s.Times[i]-at)) > 1e-12 {
			t.Errorf("field %d at %v, want %v", i, s.Times[i], at)
		}
	}
	if w := s.Whole(); w.Fields || w.Frames() != 4 || w.Times[3] != 1.2 {
		t.Errorf("%+v", w)
	}
	if again := s.Split(); again.Frames() != 8 {
		t.Errorf("split twice: %d", again.Frames())
	}
}
