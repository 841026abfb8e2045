package study

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// told tells the timing of the race's start of a touch of the stage.
func told(t *testing.T, touch *Touch, ask TimingAsk) (*Reading, *Timing) {
	t.Helper()
	r := mustRead(t, touch, ReadOptions{Draws: 4000, Timing: &ask})
	if r.Timing == nil {
		t.Fatal("no timing")
	}
	return r, r.Timing
}

// TestTimingOfTheRaceIsTheRace: the timing of the race's start, asked for by its frame
// or not, is the race of the reading: one number, wherever it is shown.
func TestTimingOfTheRaceIsTheRace(t *testing.T) {
	r, x := told(t, stage(9, 1.5).touch, TimingAsk{Map: true})
	y, err := r.TimingAt(TimingAsk{At: At{r.Race.Take, r.Race.Frame}, WhatIf: &Change{}})
	if err != nil {
		t.Fatal(err)
	}
	for _, z := range []*Timing{x, y} {
		if z.Race.LeftOnly != r.Race.LeftOnly || z.Race.Margin != r.Race.Margin || z.Moment != r.Race.Moment {
			t.Errorf("the race of the timing is %+v, that of the reading %+v", z.Race, r.Race)
		}
	}
	// Nothing changed: nothing differs.
	if y.WhatIf.Race.LeftFirst != x.Race.LeftFirst || y.WhatIf.Windows.Each != y.Windows.Each {
		t.Error("a change of nothing changes something")
	}
	if x.Windows.Each != y.Windows.Each {
		t.Error("the windows hang on what else was asked")
	}
	if x.Map == nil || x.Map.Here < 0 || len(x.Map.Cells) != 60*40 || y.Map != nil {
		t.Errorf("map %v, %v", x.Map != nil, y.Map != nil)
	}
}

// TestWhatIfIsSmooth: equal draws make the answers to small changes follow in one
// direction: the nearer, the earlier the attack arrives (property of the issue).
func TestWhatIfIsSmooth(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	r, _ := told(t, stage(9, 1.5).touch, TimingAsk{})
	last, lastParry := math.Inf(1), math.Inf(1)
	first := 0.0
	for cm := -10; cm <= 30; cm += 2 {
		x, err := r.TimingAt(TimingAsk{WhatIf: &Change{Who: mark.Right, Closer: quantity.Metres(cm) / 100}})
		if err != nil {
			t.Fatal(err)
		}
		w := x.WhatIf.Windows
		if hit := float64(w.Hit.Mean); hit > last+1e-9 {
			t.Errorf("%d cm closer the attack arrives later: %v after %v", cm, hit, last)
		} else {
			last = hit
		}
		parry, _ := w.Of(timing.ParryLateral)
		if p := float64(parry.InTime.Mean); p > lastParry+0.002 {
			t.Errorf("%d cm closer the parry is in time more often: %v after %v", cm, p, lastParry)
		} else {
			lastParry = p
		}
		if cm == -10 {
			first = last
		}
	}
	if first-last < 0.05 {
		t.Errorf("40 cm make %v of %v s", first-last, first)
	}
}

// TestAttackerIsSaidOrFound: the coach's word goes first; without it who starts first
// attacks; an attacker who is said to react is a contradiction, and named as one.
func TestAttackerIsSaidOrFound(t *testing.T) {
	touch := stage(9, 1.5).touch
	_, x := told(t, touch, TimingAsk{})
	if x.Attacker != mark.Left || !strings.Contains(x.AttackerWhy, "right answers") {
		t.Errorf("attacker %v, %q", x.Attacker, x.AttackerWhy)
	}
	touch.Attacker = "right"
	_, x = told(t, touch, TimingAsk{})
	if x.Attacker != mark.Right || x.Windows != nil || !slices.ContainsFunc(x.Lacks, func(l Lack) bool { return l.Part == PartWindows && l.Mend != "" }) {
		t.Errorf("attacker %v, windows %v, lacks %+v", x.Attacker, x.Windows != nil, x.Lacks)
	}
}

// TestTimingRefuses names what cannot be asked.
func TestTimingRefuses(t *testing.T) {
	r, _ := told(t, stage(9, 1.5).touch, TimingAsk{})
	for name, ask := range map[string]TimingAsk{
		"/at/take":           {At: At{Take: "nowhere"}},
		"/at/frame":          {At: At{Take: "live", Frame: 100_000}},
		"/what_if/closer_m":  {WhatIf: &Change{Closer: 5}},
		"/what_if/earlier_s": {WhatIf: &Change{Earlier: -3}},
		"/what_if/longer_m":  {WhatIf: &Change{Longer: quantity.Metres(100)}},
		"/what_if/target":    {WhatIf: &Change{Target: "ear"}},
		"/what_if/who":       {WhatIf: &Change{Who: 7}},
	} {
		_, err := r.TimingAt(ask)
		var no *Refusal
		if !errors.As(err, &no) || no.At != name || no.Mend == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	nan := &Change{Closer: quantity.Metres(0)}
	nan.Closer /= nan.Closer
	if _, err := r.TimingAt(TimingAsk{WhatIf: nan}); err == nil {
		t.Error("a change by no number is accepted")
	}
	// One fencer only, and no point: told in part, with the reason.
	touch := stage(9, 1.5).touch
	touch.Marks = slices.DeleteFunc(touch.Marks, func(m mark.Mark) bool { return m.Who == mark.Right })
	_, x := told(t, touch, TimingAsk{At: At{Take: touch.Marks[0].Take, Frame: touch.Marks[0].Frame}})
	if x.Race != nil || len(x.Lacks) == 0 {
		t.Errorf("race %v, lacks %v", x.Race, x.Lacks)
	}
}

// TestAfterTheHit: a frame after the hit has no race.
func TestAfterTheHit(t *testing.T) {
	touch := stage(9, 1.5).touch
	k := touch.Marks[len(touch.Marks)-1]
	touch.Moments = append(touch.Moments, mark.Moment{ID: momentHit, Take: k.Take, After: 0, By: 1})
	r := mustRead(t, touch, ReadOptions{Draws: 500})
	x, err := r.TimingAt(TimingAsk{At: At{k.Take, k.Frame}})
	if err != nil {
		t.Fatal(err)
	}
	if x.Race != nil || len(x.Lacks) == 0 || !strings.Contains(x.Lacks[0].Why, "hit is over") {
		t.Errorf("race %v, lacks %+v", x.Race, x.Lacks)
	}
}
