package demo

import (
	"context"
	"slices"
	"strings"
	"testing"

	"mesure/sport/mark"
	"mesure/study"
)

// TestGuidedTouchIsSoonDone: the half-done touch lacks only the right fencer. Four
// marks, set anew each time as a hand sets them, give it its race, and each time
// the same plain finding.
func TestGuidedTouchIsSoonDone(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: numbers, not races")
	}
	read := func(k study.Touch) *study.Reading {
		t.Helper()
		r, err := study.Read(context.Background(), &k, reelFootage{}, study.ReadOptions{Draws: study.MinDraws})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	half := halfDone(Marked(Guided, shelfSeed, shelfNoise))
	if r := read(half); r.Race != nil || len(r.Placings) != 1 || !slices.ContainsFunc(r.Warnings, func(w study.Warning) bool { return w.Code == "no-race" }) {
		t.Errorf("half done: race %v, %d placings, warnings %v", r.Race != nil, len(r.Placings), r.Warnings)
	}
	launch := half.Moments[0]
	finished := 0
	for seed := range uint64(20) {
		whole := half
		whole.Marks = slices.Clone(half.Marks)
		for _, m := range Marked(Guided, seed+100, shelfNoise).Marks {
			// Each seed brackets the moments anew: the truth of the launch frame serves.
			if m.Who == mark.Right && m.Take == launch.Take && m.Frame == launch.By &&
				slices.Contains([]mark.What{mark.Point, mark.Guard, mark.Elbow, mark.Shoulder}, m.What) {
				whole.Marks = append(whole.Marks, m)
			}
		}
		if len(whole.Marks) != len(half.Marks)+4 {
			continue // this seed saw the moment on another frame
		}
		finished++
		r := read(whole)
		if r.Race == nil {
			t.Errorf("seed %d: no race: %v", seed, r.Warnings)
			continue
		}
		if !strings.HasPrefix(r.Race.Finding, "Unhindered, right arrives first by about 2") {
			t.Errorf("seed %d: %s", seed, r.Race.Finding)
		}
	}
	if finished < 5 {
		t.Errorf("only %d hands finished it", finished)
	}
}
