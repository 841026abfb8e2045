package quantity

import "testing"

// TestPercent: a chance that is neither nothing nor certain is never printed as one.
func TestPercent(t *testing.T) {
	for c, want := range map[Chance]string{0: "0\u00a0%", 0.0001: "less than 1\u00a0%", 0.0051: "1\u00a0%", 0.62: "62\u00a0%", 0.9949: "99\u00a0%", 0.995: "more than 99\u00a0%", 1: "100\u00a0%"} {
		if got := Percent(c); got != want {
			t.Errorf("%v prints as %q, not %q", float64(c), got, want)
		}
	}
}
