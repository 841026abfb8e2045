package study

import (
	"strings"
	"testing"

	"mesure/quantity"
)

// TestFindingWhereNobodyMayArrive: that nobody arrives in some draws is said, and is no
// reason to doubt who is first in the others.
func TestFindingWhereNobodyMayArrive(t *testing.T) {
	race := func(left, neither float64) *Race {
		r := &Race{LeftFirst: quantity.Exactly(quantity.Chance(left)), Neither: quantity.Exactly(quantity.Chance(neither)),
			Margin: quantity.Normal(quantity.Seconds(0.055), 0.047)}
		for i := range r.Runs {
			r.Runs[i].Arrives = 0.6
		}
		return r
	}
	for _, c := range []struct {
		left, neither float64
		want          string
	}{
		{0.68, 0.25, "Unhindered, left arrives first by about 55 ms, in 68 of 100, nobody in 25"},
		{0.68, 0, "Too close to call from here: left arrives first in 68 of 100"},
		{0.40, 0.25, "Too close to call from here: left arrives first in 40 of 100, nobody in 25"},
		{0.90, 0.02, "Unhindered, left arrives first by about 55 ms, in 90 of 100"},
	} {
		if got := findingOf(race(c.left, c.neither)); !strings.EqualFold(got, c.want) {
			t.Errorf("%v, %v: %q, want %q", c.left, c.neither, got, c.want)
		}
	}
}
