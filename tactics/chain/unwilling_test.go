package chain

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

func timed(t *testing.T, c *Chain, s Score, k Clock) Timed {
	t.Helper()
	v, err := c.Timed(s, k)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// fenced plays one bout by the words of t.124, phrase by phrase: whether I win, and
// whether by black card.
func fenced(rng *rand.Rand, r Rates, to int, s Score, k Clock) (win, black bool) {
	chance := func(p quantity.Chance) bool { return quantity.Chance(rng.Float64()) < p }
	left, u := float64(k.Left), *k.Unwilling
	since := float64(u.Since)
	wait := func() float64 { return rng.ExpFloat64() * 60 / k.PerMinute }
	next := wait()
	for left > 0 {
		period := math.Mod(left, 180)
		if period == 0 {
			period = 180
		}
		card := 60 - since
		counted := s != Score{to - 1, to - 1}
		switch {
		case next < period && (next < card || !counted):
			left, since = left-next, since+next
			next = wait()
			switch x := quantity.Chance(rng.Float64()); {
			case x < r.Me:
				s.Me++
			case x < r.Me+r.Opponent:
				s.Opponent++
			case x < r.Me+r.Opponent+r.Double:
				if !counted {
					continue
				}
				s.Me++
				s.Opponent++
			default:
				continue
			}
			since = 0
		case counted && card < period:
			left, next, since = left-card, next-card, 0
			switch u.Shown++; u.Shown {
			case 2:
				s.Me++
				s.Opponent++
			case 3:
				if s.Me == s.Opponent {
					return chance(u.Seeded), true
				}
				return s.Me > s.Opponent, true
			}
		default:
			left, next, since = left-period, next-period, 0
		}
		if s.Me == to || s.Opponent == to {
			return s.Me == to, false
		}
	}
	if s.Me != s.Opponent {
		return s.Me > s.Opponent, false
	}
	for t := wait(); t < 60; t += wait() {
		switch x := quantity.Chance(rng.Float64()); {
		case x < r.Me:
			return true, false
		case x < r.Me+r.Opponent:
			return false, false
		}
	}
	return chance(k.Priority), false
}

// TestUnwillingAgainstSimulation plays bouts by the rule, at paces at which cards are
// common, from mid-minute and in mid-scale.
func TestUnwillingAgainstSimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(124, 3))
	const bouts = 12000
	for _, x := range []struct {
		r    Rates
		to   int
		s    Score
		pace float64
		left quantity.Seconds
		u    Unwilling
	}{
		{Rates{.4, .35, .25}, 15, Score{}, 1, 540, Unwilling{Seeded: .5}},
		{Rates{.2, .2, .1}, 15, Score{9, 8}, 1.5, 317, Unwilling{Shown: 1, Since: 25, Seeded: 1}},
		{Rates{.2, .3, .1}, 15, Score{13, 13}, 1, 250, Unwilling{Shown: 1, Since: 50, Seeded: 0}},
		{Rates{.25, .2, .1}, 10, Score{4, 4}, .7, 200, Unwilling{Shown: 2, Since: 15, Seeded: 1}},
	} {
		c := made(t, Format{To: x.to}, x.r)
		k := Clock{PerMinute: x.pace, Left: x.left, Priority: .3, Unwilling: &x.u}
		v := timed(t, c, x.s, k)
		wins, blacks := 0, 0
		for range bouts {
			win, black := fenced(rng, x.r, x.to, x.s, k)
			if win {
				wins++
			}
			if black {
				blacks++
			}
		}
		name := fmt.Sprintf("%v with %g s left", x.s, float64(x.left))
		for what, p := range map[string][2]float64{"win": {float64(wins), float64(v.Win)}, "black": {float64(blacks), float64(v.Black)}} {
			agree(t, name+" "+what, p[0]/bouts, p[1], 4*math.Sqrt(p[1]*(1-p[1])/bouts)+1e-9)
		}
	}
}

// TestUnwillingByHand holds cases whose answer is one line: T25 and R77 of the trade
// figures. At a pace of next to nothing the cards decide alone.
func TestUnwillingByHand(t *testing.T) {
	r := Rates{.4, .35, .25}
	c := made(t, Format{To: 15}, r)
	const slow = 1e-9
	at := func(s Score, pace float64, left quantity.Seconds, u Unwilling) Timed {
		return timed(t, c, s, Clock{PerMinute: pace, Left: left, Priority: .5, Unwilling: &u})
	}
	// Three minutes without a hit hand the bout to the better seed at a level score: 60
	// yellow, 120 red, the break at 180, 240 black.
	for _, seeded := range []quantity.Chance{0, .5, 1} {
		v := at(Score{5, 5}, slow, 540, Unwilling{Seeded: seeded})
		agree(t, "seed", float64(v.Win), float64(seeded), 1e-6)
		agree(t, "black", float64(v.Black), 1, 1e-6)
	}
	// And to the leader; with less than a minute to the end of the bout there is no card.
	agree(t, "leader", float64(at(Score{5, 4}, slow, 540, Unwilling{}).Win), 1, 1e-6)
	agree(t, "no card", float64(at(Score{5, 5}, slow, 60, Unwilling{Shown: 2, Seeded: 1}).Black), 0, 1e-9)
	agree(t, "a card", float64(at(Score{5, 5}, slow, 60.5, Unwilling{Shown: 2, Seeded: 1}).Black), 1, 1e-6)
	agree(t, "a card, the minute begun", float64(at(Score{5, 5}, slow, 60, Unwilling{Shown: 2, Since: 1, Seeded: 1}).Black), 1, 1e-6)
	// The red card is a hit for each: at 14–12 it ends the bout by hits.
	agree(t, "red at 14–12", float64(at(Score{14, 12}, slow, 100, Unwilling{Shown: 1}).InTime), 1, 1e-6)
	agree(t, "red at 13–14", float64(at(Score{13, 14}, slow, 100, Unwilling{Shown: 1}).Win), 0, 1e-6)
	// At 14–14 no minute is counted, so that only time or a hit ends it.
	if v, w := at(Score{14, 14}, 2, 120, Unwilling{Shown: 2, Seeded: 1}), timed(t, c, Score{14, 14}, Clock{PerMinute: 2, Left: 120, Priority: .5}); math.Abs(float64(v.Win-w.Win)) > 1e-9 || v.Black != 0 {
		t.Errorf("14–14: %+v, without cards %+v", v, w)
	}
	// One step by hand: a minute and a bit left, both yellow, leading 14–13: a hit first,
	// with chance h, or the red card, which wins.
	h := 1 - math.Exp(-2.0)
	v := at(Score{14, 13}, 2, 61, Unwilling{Shown: 1})
	after := func(s Score, left quantity.Seconds) float64 {
		return float64(timed(t, c, s, Clock{PerMinute: 2, Left: left, Priority: .5}).Win)
	}
	// A hit of the opponent within the minute leads to 14–14 with what is left then.
	against := 0.0
	for _, n := range []int{2000} { // midpoints
		for i := range n {
			x := (float64(i) + .5) * 60 / float64(n)
			against += 2. / 60 * math.Exp(-2*x/60) * after(Score{14, 14}, quantity.Seconds(61-x)) * 60 / float64(n)
		}
	}
	agree(t, "14–13", float64(v.Win), h*(.4+.25)+.35*against+(1-h), 1e-6)
}

// TestUnwillingOnFinerGrids holds the error that is stated, and that fast bouts, in
// which a minute without a hit hardly happens, are what they are without the rule.
func TestUnwillingOnFinerGrids(t *testing.T) {
	for _, x := range []struct {
		r    Rates
		pace float64
	}{{Rates{.4, .35, .25}, 2}, {Rates{.1, .3, .1}, .8}, {Rates{.5, .2, .3}, 12}} {
		c := made(t, Format{To: 8}, x.r)
		for _, left := range []quantity.Seconds{47, 120, 180, 301} {
			k := Clock{PerMinute: x.pace, Left: left, Priority: .5, Unwilling: &Unwilling{Since: 13, Seeded: 1}}
			value := func(grid float64) float64 {
				return solvePatient(c, Score{}, k, c.winning(k), grid).value(Score{}, 0, 13, float64(left))
			}
			fine := value(fineGrid / 2)
			agree(t, "fine", value(fineGrid), fine, UnwillingTolerance/10)
			agree(t, "coarse", value(coarseGrid), fine, CourseTolerance/10)
			if x.pace > 10 {
				k.Unwilling = nil
				agree(t, "without the rule", fine, float64(timed(t, c, Score{}, k).Win), 1e-4)
			}
		}
	}
}

// TestCourse: one pass says the same of every score and time as a value of its own.
func TestCourse(t *testing.T) {
	c := made(t, Format{To: 15}, Rates{.35, .3, .2})
	for _, u := range []*Unwilling{nil, {Seeded: 1}} {
		k := Clock{PerMinute: 1.8, Left: 540, Priority: .5, Unwilling: u}
		x, err := c.Course(Score{}, k)
		if err != nil {
			t.Fatal(err)
		}
		for _, at := range []struct {
			s     Score
			left  quantity.Seconds
			shown int
			since quantity.Seconds
		}{{Score{}, 540, 0, 0}, {Score{9, 10}, 200, 1, 30}, {Score{13, 14}, 95, 2, 10}, {Score{14, 14}, 61, 1, 0}, {Score{3, 2}, 0, 0, 0}, {Score{3, 2}, 5, 0, 58}} {
			k.Left = at.left
			if u != nil {
				k.Unwilling = &Unwilling{Shown: at.shown, Since: at.since, Seeded: 1}
			}
			want, _, err := c.AtTime(at.s, k)
			if err != nil {
				t.Fatal(err)
			}
			got := x.At(at.s, at.left, at.shown, at.since)
			for what, v := range map[string][2]quantity.Chance{"win": {got.Win, want.Win}, "importance": {got.Importance, want.Importance}, "double": {got.DoubleWorth, want.DoubleWorth}} {
				agree(t, fmt.Sprintf("%+v %s", at, what), float64(v[0]), float64(v[1]), CourseTolerance)
			}
		}
		if over := x.At(Score{15, 3}, 100, 0, 0); over.Win != 1 {
			t.Errorf("a bout that is over: %+v", over)
		}
	}
	if _, err := c.Course(Score{}, Clock{PerMinute: -1}); err == nil {
		t.Error("a pace below nothing is taken")
	}
}

// TestTheExtraMinute: T23 of the trade figures: without a hit the holder of the priority
// wins; a single hit decides, a double does not count.
func TestTheExtraMinute(t *testing.T) {
	c := made(t, Format{To: 15}, Rates{.4, .35, .25})
	at := func(left quantity.Seconds, priority quantity.Chance) Values {
		v, _, err := c.AtTime(Score{9, 9}, Clock{PerMinute: 2, Left: left, Priority: priority, Extra: true})
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	h := 1 - math.Exp(-2*.75*40/60)
	agree(t, "held", float64(at(40, 1).Win), 1-h+h*.4/.75, near)
	agree(t, "against", float64(at(40, 0).Win), h*.4/.75, near)
	if v := at(0, 1); v.Win != 1 || v.AfterHit != 1 || v.AfterHitAgainst != 0 || v.DoubleWorth != 0 {
		t.Errorf("at its end: %+v", v)
	}
	// Whoever has to act wins less the less time is left, the holder more.
	if !(at(20, 0).Win < at(50, 0).Win && at(20, 1).Win > at(50, 1).Win) {
		t.Error("time does not work for the holder of the priority")
	}
	for field, k := range map[string]struct {
		s Score
		k Clock
	}{
		"score":         {Score{9, 8}, Clock{PerMinute: 2, Left: 30, Priority: 1, Extra: true}},
		"left":          {Score{9, 9}, Clock{PerMinute: 2, Left: 61, Priority: 1, Extra: true}},
		"unwillingness": {Score{9, 9}, Clock{PerMinute: 2, Left: 61, Unwilling: &Unwilling{Since: 60}}},
	} {
		var bad *BadInput
		if _, err := c.Timed(k.s, k.k); !errors.As(err, &bad) || bad.Field != field || bad.Hint() == "" {
			t.Errorf("%s: %v", field, err)
		}
	}
	var bad *BadInput
	if _, err := made(t, Format{To: 5}, Rates{.4, .3, .3}).Timed(Score{}, Clock{PerMinute: 2, Left: 180, Unwilling: &Unwilling{}}); !errors.As(err, &bad) || bad.Field != "unwillingness" {
		t.Errorf("P-cards in a pool: %v", err)
	}
}

// BenchmarkCourse is what one draw of the rates costs.
func BenchmarkCourse(b *testing.B) {
	c, _ := New(Format{To: 15}, Rates{.4, .35, .25})
	for _, u := range []*Unwilling{nil, {Seeded: .5}} {
		b.Run(fmt.Sprint("cards ", u != nil), func(b *testing.B) {
			for range b.N {
				if _, err := c.Course(Score{}, Clock{PerMinute: 1.36, Left: 540, Priority: .5, Unwilling: u}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestSoManyPhrasesLeft: G14 of the trade figures: one hit up with exactly n phrases
// left, between equal fencers, a tie worth one half.
func TestSoManyPhrasesLeft(t *testing.T) {
	for d, want := range map[quantity.Chance]map[int]float64{
		0:  {1: .75, 2: .75, 3: .6875, 5: .65625},
		.2: {1: .8, 2: .76, 3: .72, 5: .68128},
		.4: {1: .85, 2: .79, 3: .7525, 5: .70749},
	} {
		c := made(t, Format{To: 15}, Rates{(1 - d) / 2, (1 - d) / 2, d})
		x, err := c.Course(Score{}, Clock{PerMinute: 2, Left: 180, Priority: .5})
		if err != nil {
			t.Fatal(err)
		}
		for n, w := range want {
			agree(t, fmt.Sprintf("d %g, %d phrases", float64(d), n), x.win[n][c.at(Score{5, 4})], w, 1e-3)
		}
	}
}

// TestOverDrawsWithTheClock: over draws that are all alike, Over says what AtTime says of
// one, with P-cards and without.
func TestOverDrawsWithTheClock(t *testing.T) {
	r, s := Rates{.4, .35, .25}, Score{9, 8}
	c := made(t, Format{To: 15}, r)
	for _, k := range []Clock{
		{PerMinute: 1.5, Left: 200, Priority: .5},
		{PerMinute: 1.5, Left: 200, Priority: .5, Unwilling: &Unwilling{Shown: 1, Since: 30, Seeded: 1}},
	} {
		want, _, err := c.AtTime(s, k)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Over(Format{To: 15}, []Rates{r, r}, s, &k)
		if err != nil {
			t.Fatal(err)
		}
		agree(t, "win", float64(got.Win.Mean), float64(want.Win), CourseTolerance)
		agree(t, "importance", float64(got.Importance.Mean), float64(want.Importance), CourseTolerance)
	}
	if _, err := Over(Format{To: 15}, []Rates{r}, s, &Clock{PerMinute: 2, Left: 30, Extra: true}); err == nil {
		t.Error("an extra minute at 9–8 is taken")
	}
}
