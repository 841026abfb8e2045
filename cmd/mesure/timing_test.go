package main

import (
	"math"
	"testing"

	"mesure/sport/mark"
	"mesure/study"
)

// TestWhatIsSupposed: each part in its unit, in any order; everything else is refused.
func TestWhatIsSupposed(t *testing.T) {
	for words, want := range map[string]study.Change{
		"closer=5cm":                  {Closer: 0.05},
		"closer=-0.1m, earlier=30ms":  {Closer: -0.1, Earlier: 0.03},
		"who=right,longer=40 mm":      {Who: mark.Right, Longer: 0.04},
		"earlier=.25s,target=forearm": {Earlier: 0.25, Target: mark.Forearm},
	} {
		got, err := supposed(words)
		if err != nil {
			t.Errorf("%s: %v", words, err)
			continue
		}
		if math.Abs(float64(got.Closer-want.Closer)) > 1e-12 || math.Abs(float64(got.Earlier-want.Earlier)) > 1e-12 || math.Abs(float64(got.Longer-want.Longer)) > 1e-12 || got.Who != want.Who || got.Target != want.Target {
			t.Errorf("%s: %+v, want %+v", words, *got, want)
		}
	}
	for _, words := range []string{"", "closer", "closer=", "closer=cm", "closer=5", "closer=5ms", "earlier=5cm", "closer=Infm", "closer=NaNm", "closer=1e3cmm", "who=", "who=both", "later=5ms", "closer=1m,closer=1m"} {
		if c, err := supposed(words); err == nil {
			t.Errorf("%q is taken as %+v", words, *c)
		}
	}
}

// TestChangesAreSaid as they were asked for.
func TestChangesAreSaid(t *testing.T) {
	for want, c := range map[string]study.Change{
		"nothing changes": {},
		"both closer by 5 cm, right earlier by 30 ms": {Who: mark.Right, Closer: 0.05, Earlier: 0.03},
		"left's arm longer by 4.5 cm":                 {Longer: 0.045},
		"right goes to the upper arm":                 {Who: mark.Right, Target: mark.UpperArm},
	} {
		if got := changeWords(c); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
