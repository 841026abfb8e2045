package payoff

import (
	"testing"

	"mesure/tactics/chain"
)

// waiting is a situation with an even fight to be had or to be let be.
func waiting(v Values) Situation {
	return Situation{
		Mine: []string{"attack", "wait"}, Theirs: []string{"meet it", "wait"}, Weight: 1, Habit: seen(5, 5), Values: []Values{v},
		Cells: [][]Cell{
			{{Model: Shares{.35, .2, .45, 0}, Sure: 200}, {Model: Shares{.35, .2, .45, 0}, Sure: 200}},
			{{Model: Shares{Nothing: 1}, Sure: 200}, {Model: Shares{Nothing: 1}, Sure: 200}},
		},
	}
}

// TestClock: whoever has no priority in the extra minute must attack, even at a
// disadvantage, and the holder may wait (T23, R53); the same of who trails and who
// leads when time runs out (T22, T25).
func TestClock(t *testing.T) {
	r := chain.Rates{Me: .35, Opponent: .35, Double: .2}
	c, err := chain.New(chain.Format{To: 15}, r)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct {
		me, opp  int
		priority float64
		want     string
	}{{10, 10, 0, "attack"}, {10, 10, 1, "wait"}, {9, 10, .5, "attack"}, {10, 9, .5, "wait"}} {
		clock := chain.Clock{PerMinute: 2, Left: 15, Priority: .5}
		v, err := ValuesAt(c, chain.Score{Me: k.me, Opponent: k.opp}, clock, 15)
		if k.me == k.opp {
			clock.Priority = 1
			if k.priority == 0 {
				clock.Priority = 0
			}
			v, err = ValuesExtra(r, clock, 15)
		}
		if err != nil {
			t.Fatal(err)
		}
		if k.me != k.opp { // the phrase takes what is left, and the lead wins
			near(t, "nothing", float64(v.Nothing), float64(k.me-min(k.me, k.opp)), 1e-12)
		}
		a := advise(t, waiting(v), 100)
		if a.Mine[a.Reply.Choice] != k.want {
			t.Errorf("at %d–%d with priority %g: %s (%+v)", k.me, k.opp, k.priority, a.Mine[a.Reply.Choice], v)
		}
	}
}

// TestExtraMinuteIsThatOfTheChain: a whole extra minute is worth what Chain.Timed
// gives a bout that is level at time.
func TestExtraMinuteIsThatOfTheChain(t *testing.T) {
	r := chain.Rates{Me: .3, Opponent: .4, Double: .2}
	c, err := chain.New(chain.Format{To: 15}, r)
	if err != nil {
		t.Fatal(err)
	}
	tie, err := c.Timed(chain.Score{Me: 8, Opponent: 8}, chain.Clock{PerMinute: 2, Left: 0, Priority: 1})
	if err != nil {
		t.Fatal(err)
	}
	v, err := ValuesExtra(r, chain.Clock{PerMinute: 2, Left: 75, Priority: 1}, 15)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "extra minute", float64(v.Nothing), float64(tie.Extra), 1e-12)
	if _, err := ValuesExtra(chain.Rates{Me: 2}, chain.Clock{PerMinute: 2}, 0); err == nil {
		t.Error("a chance of 2 is taken")
	}
	if _, err := ValuesExtra(r, chain.Clock{PerMinute: -2}, 0); err == nil {
		t.Error("a negative pace is taken")
	}
	if _, err := ValuesAt(c, chain.Score{Me: 99}, chain.Clock{PerMinute: 2}, 0); err == nil {
		t.Error("99 hits are taken")
	}
}
