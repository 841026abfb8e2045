package study

import (
	"math"
	"testing"

	"mesure/sport/mark"
)

// TestWhenOnAReplay: 40 ms of a file at a quarter of the speed are 10 ms of the
// bout; a factor of 4 ± 0.4 leaves a doubt of 1 ms after them.
func TestWhenOnAReplay(t *testing.T) {
	r := &Reading{
		Touch: &Touch{Takes: []mark.Take{{ID: "slow", Video: "v", From: 1, To: 3, Factor: 4, FactorSD: 0.4, Offset: 2}}},
		Clips: map[string]mark.Clip{"v": {Times: []mark.FileTime{0, 0.02, 0.04, 0.06}}},
	}
	at, ok := r.When("slow", 3)
	if !ok || math.Abs(float64(at.Mean)-2.010) > 1e-12 || math.Abs(float64(at.SD)-0.001) > 1e-12 {
		t.Errorf("%+v, %v; want 2.010 ± 0.001", at, ok)
	}
	for name, ask := range map[string]func() bool{
		"no such take":  func() bool { _, ok := r.When("live", 1); return ok },
		"no such frame": func() bool { _, ok := r.When("slow", 4); return ok },
		"below zero":    func() bool { _, ok := r.When("slow", -1); return ok },
		"no video read": func() bool { _, ok := (&Reading{Touch: r.Touch}).When("slow", 1); return ok },
		"no reading":    func() bool { _, ok := (*Reading)(nil).When("slow", 1); return ok },
	} {
		if ask() {
			t.Errorf("%s: an instant was given", name)
		}
	}
}

// TestRaceFromTheSecondMomentOfAFrame: two moments that end at one frame are both
// measured by it, and the race is run from the one that was asked for.
func TestRaceFromTheSecondMomentOfAFrame(t *testing.T) {
	s := stage(1, 1)
	first := mustRead(t, s.touch, ReadOptions{Draws: MinDraws}).Race
	if first == nil {
		t.Fatal("the fixture has no race")
	}
	m, ok := s.touch.Moment(first.Moment)
	if !ok {
		t.Fatalf("no moment %q", first.Moment)
	}
	m.ID = "again"
	s.touch.Moments = append(s.touch.Moments, m)
	s.touch.Race.From = "again"
	if got := mustRead(t, s.touch, ReadOptions{Draws: MinDraws}).Race; got == nil || got.Moment != "again" || got.Frame != first.Frame {
		t.Errorf("the race is %+v", got)
	}
}
