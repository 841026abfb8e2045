package chart

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// changed is a reading with a change: its windows by the model or as kept, its race
// with each number moved by hand.
func changed(t testing.TB, name string, now bool, x timing.Exchange, ch study.Change) *study.Reading {
	t.Helper()
	r := timed(t, x, timing.Lunge)
	other, err := timing.Change{Side: int(ch.Who), Closer: ch.Closer, Earlier: ch.Earlier, Longer: ch.Longer}.Exchange(x)
	if err != nil {
		t.Fatal(err)
	}
	w, err := x.WhatIf(epeeBox(), fixtureDraws, rand.NewPCG(7, 7), other)
	if err != nil {
		t.Fatal(err)
	}
	then := windowsOf(t, other, timing.Lunge)
	r.Timing.Windows.Windows, then.Windows = w[0], w[1]
	if !now {
		r.Timing.Windows, then = kept(t, name+"-now", r.Timing.Windows), kept(t, name+"-then", then)
	}
	r.Timing.Race = r.Race
	race := *r.Race
	race.LeftOnly, race.Both = quantity.Normal[quantity.Chance](.441, .003), quantity.Normal[quantity.Chance](.402, .003)
	race.RightOnly, race.Neither = quantity.Normal[quantity.Chance](.149, .003), quantity.Normal[quantity.Chance](.008, .001)
	q := &race.Runs[mark.Right].Arrival
	*q = quantity.Normal(q.Mean-.030, q.SD)
	r.Timing.WhatIf = &study.WhatIf{Change: ch, Race: &race, Windows: then, Finding: "Right alone lights in 15 of 100 instead of 7; the circular parry is in time in 8 of 10 instead of 7"}
	return r
}

func whatIfCases(t testing.TB, now bool) map[string]*study.Reading {
	earlier := changed(t, "earlier", now, exchange(t, timing.Lunge, 1.2, .1), study.Change{Who: mark.Right, Earlier: .03, Closer: .05, Longer: -.04})

	// Nothing changes, the race is not there, a part is refused.
	same := changed(t, "same", now, exchange(t, timing.Lunge, 1.1, .1), study.Change{Who: mark.Left})
	same.Timing.Race, same.Timing.WhatIf.Finding = nil, ""
	same.Timing.WhatIf.Refused = "the attack cannot start earlier than the instant that is pointed at"

	// The longest words; a point that no longer arrives; no windows.
	long := changed(t, "earlier", now, exchange(t, timing.Lunge, 1.2, .1), study.Change{Who: mark.Right, Earlier: -.03, Target: mark.UpperArm})
	for _, race := range [2]*study.Race{long.Timing.Race, long.Timing.WhatIf.Race} {
		race.Runs[mark.Left].Action = timing.StepLunge
	}
	long.Timing.WhatIf.Race.Runs[mark.Left].Arrives = 0
	long.Timing.WhatIf.Windows = nil
	refused := changed(t, "same", now, exchange(t, timing.Lunge, 1.1, .1), study.Change{Who: mark.Left})
	refused.Timing.WhatIf.Race, refused.Timing.WhatIf.Windows = nil, nil
	refused.Timing.WhatIf.Refused = "the hit is over on this frame"
	return map[string]*study.Reading{"earlier": earlier, "same": same, "long": long, "refused": refused}
}

func TestWhatIfGolden(t *testing.T) {
	golden(t, "whatif", drawAll(t, whatIfCases(t, false), WhatIf), "earlier-wide-paper", "earlier-phone-paper", "earlier-phone-night", "same-wide-night", "long-phone-paper", "refused-wide-bare")
}

func TestWhatIfStandsFree(t *testing.T) {
	for _, now := range [2]bool{false, true} {
		standsFree(t, drawAll(t, whatIfCases(t, now), WhatIf), 72_000)
	}
}

func TestNoWhatIfIsANamedError(t *testing.T) {
	r := reading(t)
	for _, tm := range []*study.Timing{nil, {}} {
		r.Timing = tm
		if _, err := WhatIf(r, Options{}); !errors.Is(err, ErrNoWhatIf) {
			t.Errorf("%+v gives %v", tm, err)
		}
	}
}

// The differences that are printed are those of the numbers that stand beside them, as
// they are rounded.
func TestDifferencesAreThoseOfWhatIsPrinted(t *testing.T) {
	for _, c := range []struct {
		now, then quantity.Chance
		want      string
	}{{.584, .716, "+14"}, {.5, .5, "same"}, {.716, .584, "−14"}, {.504, .496, "same"}} {
		if got := points(c.now, c.then); got != c.want {
			t.Errorf("%v to %v: %q, not %q", c.now, c.then, got, c.want)
		}
	}
	if got := shift(.5124, .4801); got != "32"+nb+"ms earlier" {
		t.Errorf("said %q", got)
	}
	if got := shift(.2, .25); !strings.HasSuffix(got, "later") {
		t.Errorf("said %q", got)
	}
}

func BenchmarkWhatIf(b *testing.B) {
	r := whatIfCases(b, false)["earlier"]
	for b.Loop() {
		if _, err := WhatIf(r, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
