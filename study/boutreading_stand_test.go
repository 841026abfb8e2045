package study

import (
	"math"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// TestTheTouchIsValuedAsTheBout: for the touch after the last line what was known before
// it is the whole bout, so that the draws say what BoutRead says of it, with the clock and
// without; from the right everything is turned round.
func TestTheTouchIsValuedAsTheBout(t *testing.T) {
	for _, clocks := range [][]string{nil, {"2:30", "2:01", "1:10", "0:41.5"}} {
		b := bout.Bout{Weapon: bout.Epee, Touches: 5, Left: bout.Fencer{Name: "Ash"}, Right: bout.Fencer{Name: "Brook"}}
		for i, l := range []bout.Lamps{{Left: true}, {Right: true}, {Left: true, Right: true}, {Left: true}} {
			p := bout.Phrase{Lamps: l}
			if clocks != nil {
				p.Clock = clocks[i]
			}
			b.Sheet = append(b.Sheet, p)
		}
		mean := func(ask TacticsAsk) (m standDraw, left *standTime) {
			t.Helper()
			x, err := newTactics(ask)
			if err != nil {
				t.Fatal(err)
			}
			all, left, err := x.standDraws()
			if err != nil {
				t.Fatal(err)
			}
			n := quantity.Chance(len(all))
			for _, d := range all {
				m.Now, m.Hit, m.Against, m.Double, m.Nothing = m.Now+d.Now/n, m.Hit+d.Hit/n, m.Against+d.Against/n, m.Double+d.Double/n, m.Nothing+d.Nothing/n
			}
			return m, left
		}
		ask := TacticsAsk{Bout: b, For: mark.Left, Draws: boutDraws}
		l, left := mean(ask)
		ask.For = mark.Right
		r, _ := mean(ask)
		lines, _ := SheetLines(b)
		now := readBout(t, BoutAsk{Bout: b, Lines: lines}).Now
		if (left != nil) != (clocks != nil) || left != nil && left.left != 41.5 {
			t.Errorf("time %+v", left)
		}
		for what, v := range map[string][2]quantity.Chance{
			"win": {l.Now, now.Win.Mean}, "importance": {l.Hit - l.Against, now.Importance.Mean}, "double": {l.Double - l.Now, now.DoubleWorth.Mean},
		} {
			if math.Abs(float64(v[0]-v[1])) > 1e-9 {
				t.Errorf("%s: %.10f, not %.10f", what, v[0], v[1])
			}
		}
		for what, v := range map[string][2]quantity.Chance{"now": {r.Now, 1 - l.Now}, "a hit": {r.Hit, 1 - l.Against}, "a double": {r.Double, 1 - l.Double}} {
			if math.Abs(float64(v[0]-v[1])) > 4*.35*math.Sqrt(2./boutDraws) { // other draws
				t.Errorf("%s from the right: %.4f, not %.4f", what, v[0], v[1])
			}
		}
		switch {
		case clocks == nil && l.Nothing != l.Now:
			t.Errorf("without a clock nothing changes %v to %v", l.Now, l.Nothing)
		case clocks != nil && !(l.Nothing > l.Now): // the leader gains by time
			t.Errorf("time takes %v to %v", l.Now, l.Nothing)
		}
		// Nothing of a later touch is in it.
		ask = TacticsAsk{Bout: b, For: mark.Left, Draws: 200, At: 3}
		before, _ := mean(ask)
		ask.Bout.Sheet = append([]bout.Phrase{}, b.Sheet...)
		ask.Bout.Sheet[3].Lamps, ask.Bout.Sheet[3].Clock = bout.Lamps{Right: true}, ""
		if after, _ := mean(ask); after != before {
			t.Errorf("a later touch changes %+v to %+v", before, after)
		}
		// The touch that opens the sheet has no line above it.
		ask.At, ask.Clock = 1, &ClockAsk{Left: 170}
		if m, left := mean(ask); left == nil || left.left != 170 || math.Abs(float64(m.Now)-.5) > .05 {
			t.Errorf("the first touch: %+v, %+v", m, left)
		}
	}
}
