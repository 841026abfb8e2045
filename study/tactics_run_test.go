package study

import (
	"testing"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// TestWhoMustAct: who is behind in the last half minute must act, by the clock of the
// sheet as by the one that was asked; at a level score who has not the priority must
// (R53 and T23 of the figures: common practice, t.38.2b).
func TestWhoMustAct(t *testing.T) {
	must := func(clocks []string, ask *ClockAsk, hits string) [2]string {
		t.Helper()
		b := bout.Bout{Weapon: bout.Epee, Touches: 15, Left: bout.Fencer{Name: "Ash"}, Right: bout.Fencer{Name: "Brook"}}
		for i, h := range hits {
			p := bout.Phrase{ID: string(rune('a' + i)), Lamps: bout.Lamps{Left: h == 'l' || h == 'd', Right: h == 'r' || h == 'd'}, Period: 3}
			if clocks != nil {
				p.Clock = clocks[i]
			}
			b.Sheet = append(b.Sheet, p)
		}
		x, err := newTactics(TacticsAsk{Bout: b, Clock: ask})
		if err != nil {
			t.Fatal(err)
		}
		return [2]string{x.situation(x.at, mark.Left).Must, x.situation(x.at, mark.Right).Must}
	}
	for what, c := range map[string]struct {
		clocks []string
		ask    *ClockAsk
		hits   string
		want   [2]string
	}{
		"no clock":            {nil, nil, "lr", [2]string{}},
		"early":               {[]string{"2:40", "1:50", "1:10"}, nil, "llr", [2]string{}},
		"late by the sheet":   {[]string{"1:40", "0:50", "0:21"}, nil, "llr", [2]string{"them", "me"}},
		"late, as asked":      {nil, &ClockAsk{Left: 20}, "rrl", [2]string{"me", "them"}},
		"asked goes before":   {[]string{"1:40", "0:50", "0:21"}, &ClockAsk{Left: 120}, "llr", [2]string{}},
		"late and level":      {[]string{"0:50", "0:20"}, nil, "lr", [2]string{}},
		"level with priority": {nil, &ClockAsk{Left: 50, Priority: "left"}, "lr", [2]string{"them", "me"}},
	} {
		if got := must(c.clocks, c.ask, c.hits); got != c.want {
			t.Errorf("%s: %q, not %q", what, got, c.want)
		}
	}
}
