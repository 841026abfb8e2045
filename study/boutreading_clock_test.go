package study

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/tactics/chain"
)

// timedBout is a typed bout with the time left on every line.
func timedBout(t testing.TB, to int, outcomes string, clocks ...string) BoutAsk {
	t.Helper()
	a := typed(t, to, outcomes)
	for i, c := range clocks {
		period, clock, ok := strings.Cut(c, "/")
		if !ok {
			period, clock = "0", c
		}
		fmt.Sscan(period, &a.Lines[i].Period)
		a.Lines[i].Clock = clock
	}
	return a
}

// TestBoutByTheClock: every score is worth what chain.Timed says of it with the time that
// is left, over the same draws of rates and pace; the pace is the Gamma law of the touches
// over their time (Gelman and others, Bayesian Data Analysis, 2.6).
func TestBoutByTheClock(t *testing.T) {
	a := timedBout(t, 5, "lrdl", "2:30", "2:01", "1:10", "0:41.5")
	r := readBout(t, a)
	k := r.Clock
	if k == nil || !k.Whole || k.Hits != 4 || k.Over != 180-41.5 || *k.Left != 41.5 || len(r.Doubts) != 0 {
		t.Fatalf("%+v, %+v", k, r.Doubts)
	}
	for i, want := range []quantity.Seconds{180, 150, 121, 70} {
		if got := r.Touches[i].Before.Left; got == nil || *got != want {
			t.Errorf("before touch %d: %v, not %v", i+1, got, want)
		}
	}
	shape, minutes := 2+4., 138.5/60+2/2.75
	if mean, sd := float64(k.Pace.Mean), float64(k.Pace.SD); math.Abs(mean-shape/minutes) > 4*sd/math.Sqrt(boutDraws) || math.Abs(sd-math.Sqrt(shape)/minutes) > .1*sd {
		t.Errorf("pace %+v, not %.3f ± %.3f", k.Pace, shape/minutes, math.Sqrt(shape)/minutes)
	}
	rates, err := chain.Counts{Me: 2, Opponent: 1, Double: 1}.Draws(boutDraws, rand.NewPCG(boutSeed, boutSeed))
	if err != nil {
		t.Fatal(err)
	}
	times, _, err := timesOf(a, a.Lines, chain.Format{To: 5})
	if err != nil {
		t.Fatal(err)
	}
	win, imp := 0.0, 0.0
	paces := times.paces(boutDraws)
	for d, x := range rates {
		c, err := chain.New(chain.Format{To: 5}, x)
		if err != nil {
			t.Fatal(err)
		}
		v, _, err := c.AtTime(chain.Score{Me: 3, Opponent: 2}, chain.Clock{PerMinute: float64(paces[d]), Left: 41.5, Priority: .5})
		if err != nil {
			t.Fatal(err)
		}
		win += float64(v.Win) / boutDraws
		imp += float64(v.Importance) / boutDraws
	}
	if math.Abs(float64(r.Now.Win.Mean)-win) > 1e-6 || math.Abs(float64(r.Now.Importance.Mean)-imp) > 1e-6 {
		t.Errorf("now %v and %v, by chain.Timed %.6f and %.6f", r.Now.Win.Mean, r.Now.Importance.Mean, win, imp)
	}
	// A lead is worth more with the time nearly gone than without a clock.
	if plain := readBout(t, typed(t, 5, "lrdl")); !(plain.Now.Win.Mean < r.Now.Win.Mean) || plain.Clock != nil {
		t.Errorf("without the clock %v, with it %v", plain.Now.Win.Mean, r.Now.Win.Mean)
	}
}

// TestThePaceHolds: of bouts drawn with a pace from the prior, the 95 % interval holds the
// true pace in 95 of 100, as a Bayesian interval must.
func TestThePaceHolds(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 40))
	const bouts = 400
	held := 0
	for range bouts {
		pace := (rng.ExpFloat64() + rng.ExpFloat64()) * 60 / float64(pacePriorOver) // a Gamma law of shape 2
		times := &boutTimes{clock: &BoutClock{PriorHits: pacePriorHits, PriorOver: pacePriorOver, Over: 300}}
		for at := rng.ExpFloat64() / pace; at < 5; at += rng.ExpFloat64() / pace {
			times.clock.Hits++
		}
		times.paces(400)
		if times.clock.Pace.Covers(quantity.Ratio(pace)) {
			held++
		}
	}
	if share := float64(held) / bouts; math.Abs(share-.95) > 4*math.Sqrt(.95*.05/bouts) {
		t.Errorf("the interval held %.3f of the paces", share)
	}
}

// TestTimesThatCannotBe: they are doubts, named once, and the values are those without a
// clock; nothing is refused.
func TestTimesThatCannotBe(t *testing.T) {
	plain := readBout(t, typed(t, 15, "lrdl"))
	for code, clocks := range map[string][]string{
		"clock-missing":    {"2:30", "", "1:10", ""},
		"clock-impossible": {"2:30", "4:10", "1:10", "0:40"},
		"clock-back":       {"1/2:30", "1/2:50", "1/1:10", "1/0:40"},
	} {
		r := readBout(t, timedBout(t, 15, "lrdl", clocks...))
		n := 0
		for _, d := range r.Doubts {
			if d.Code == code {
				n++
			}
		}
		if n != 1 || r.Clock != nil || r.Now.Left != nil {
			t.Errorf("%s: %+v, %+v", code, r.Doubts, r.Clock)
		}
		if r.Now.Win != plain.Now.Win {
			t.Errorf("%s: %v, without a clock %v", code, r.Now.Win, plain.Now.Win)
		}
	}
	for _, clocks := range [][]string{{"soon", "2:10", "1:10", "0:40"}, {"2:75", "2:10", "1:10", "0:40"}, {"9/2:30", "", "", ""}, {"2/1:00", "1/1:00", "", ""}} {
		if r := readBout(t, timedBout(t, 15, "lrdl", clocks...)); len(r.Doubts) != 1 || r.Clock != nil {
			t.Errorf("%v: %+v", clocks, r.Doubts)
		}
	}
	// Periods that are not noted follow from a clock that starts again.
	r := readBout(t, timedBout(t, 15, "lrdl", "1:00", "0:10", "2:50", "2:00"))
	if left := r.Touches[3].Before.Left; left == nil || *left != 180+170 || *r.Clock.Left != 180+120 {
		t.Errorf("%v before touch 4, %v at the end", left, *r.Clock.Left)
	}
}

// FuzzBoutClock: whatever the sheet writes as time, the bout reads.
func FuzzBoutClock(f *testing.F) {
	f.Add("2:30", "1:70", 1, 2)
	f.Add("0:00.5", ":", 4, 9)
	f.Add("99999999999999999999:1", "NaN", -3, 0)
	f.Fuzz(func(t *testing.T, one, two string, p, q int) {
		a := typed(t, 15, "ld")
		a.Lines[0].Clock, a.Lines[1].Clock, a.Lines[0].Period, a.Lines[1].Period = one, two, p, q
		times, doubts, err := timesOf(a, a.Lines, chain.Format{To: 15})
		if err != nil {
			t.Fatal(err)
		}
		if times != nil && times.clock.Whole != (len(doubts) == 0) {
			t.Fatalf("%+v with %+v", times.clock, doubts)
		}
		if times == nil {
			return
		}
		for _, s := range times.stands {
			if s.known && !(s.left >= 0 && s.left <= times.clock.Total && s.since >= 0 && s.since < chain.Hitless) {
				t.Fatalf("%+v", s)
			}
		}
	})
}

// TestTheClockAsked: one score with its time, the extra minute with its priority (T23),
// and P-cards (T25), each in words too.
func TestTheClockAsked(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	said := func(r *BoutReading) string { return strings.Join(r.Said, "\n") }
	at := func(outcomes string, k ClockAsk) *BoutReading {
		t.Helper()
		a := typed(t, 15, outcomes)
		a.Clock = &k
		return readBout(t, a)
	}
	level := at("lr", ClockAsk{Left: 30, Priority: "right"})
	if !level.Now.Extra || !level.Now.Void || level.Clock.Priority != "right" || !(level.Now.Win.Mean < .3) || level.Touches[1].Before.Left != nil {
		t.Errorf("%+v", level.Now)
	}
	if s := said(level); !strings.Contains(s, "Brook has the priority and wins if nobody hits: Ash has to act") || !strings.Contains(s, "Only the last score is valued with its clock") {
		t.Error(s)
	}
	held := at("lr", ClockAsk{Left: 30, Priority: "left"})
	if sum := held.Now.Win.Mean + level.Now.Win.Mean; math.Abs(float64(sum)-1) > .1 {
		t.Errorf("%v with the priority, %v against it", held.Now.Win.Mean, level.Now.Win.Mean)
	}
	lead := at("llr", ClockAsk{Left: 30, Priority: "right"})
	if lead.Now.Extra || len(lead.Doubts) != 1 || lead.Doubts[0].Code != "priority-not-level" {
		t.Errorf("%+v", lead.Doubts)
	}
	early := at("lr", ClockAsk{Left: 100, Priority: "right"})
	if !early.Now.Extra || *early.Now.Left != 60 || len(early.Doubts) != 1 {
		t.Errorf("%+v, %+v", early.Now, early.Doubts)
	}
	// With red P-cards shown, and hardly a minute without a hit needed, the better seed
	// wins more at a level score.
	cards := func(seeded string) quantity.Of[quantity.Chance] {
		a := typed(t, 15, "lr-")
		a.Lines[2].Shown = 2
		a.Clock = &ClockAsk{Left: 130, Unwillingness: true, Seeded: seeded}
		r := readBout(t, a)
		if r.Draws != boutCardDraws || !r.Clock.Unwillingness || !strings.Contains(said(r), "A minute without a hit is counted") {
			t.Errorf("%+v", r.Clock)
		}
		return r.Now.Win
	}
	if l, r := cards("left"), cards("right"); !(l.Mean > r.Mean+.1) {
		t.Errorf("seeded higher %v, lower %v", l.Mean, r.Mean)
	}
	pool := typed(t, 5, "lr")
	pool.Clock = &ClockAsk{Left: 100, Unwillingness: true}
	if r := readBout(t, pool); len(r.Doubts) != 1 || r.Doubts[0].Code != "no-p-card" || r.Clock.Unwillingness {
		t.Errorf("%+v", r.Doubts)
	}
	for where, k := range map[string]ClockAsk{"/clock/left": {Left: -1}, "/clock/priority": {Left: 10, Priority: "me"}, "/clock/seeded": {Left: 10, Unwillingness: true, Seeded: "me"}} {
		a := typed(t, 15, "lr")
		a.Clock = &k
		var no *Refusal
		if _, err := BoutRead(a); !errors.As(err, &no) || no.At != where || no.Mend == "" {
			t.Errorf("%s: %v", where, err)
		}
	}
	// A bout that time has ended.
	over := readBout(t, timedBout(t, 5, "lrl", "2:00", "1:00", "0:00"))
	if !over.Over || over.Now != nil || over.Touches[2].After.Mean != 1 {
		t.Errorf("over %v, %v", over.Over, over.Touches[2].After)
	}
	extra := readBout(t, timedBout(t, 5, "lrl", "1/2:00", "1/1:00", "2/0:20"))
	if !extra.Over || extra.Touches[2].After.Mean != 1 || len(extra.Doubts) != 0 {
		t.Errorf("extra minute: %+v, %+v", extra.Touches[2], extra.Doubts)
	}
}

// TestRelayByStages: a pair's rates are those of its touches and, as leaning touches, of
// the other pairs; scores are worth what chain.Relay says; who is not in the order is
// valued as one bout.
func TestRelayByStages(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	a := typed(t, 45, "llllldrrrrrdrlrllr")
	a.Bout.Team = &bout.Team{Left: []string{"A", "B", "C"}, Right: []string{"D", "E", "F"}}
	r := readBout(t, a)
	if len(r.Stages) != 9 || r.Stages[0].CountLeft != 5 || r.Stages[1].CountRight != 7 || !r.Stages[2].Fenced || r.Stages[3].Fenced {
		t.Fatalf("%+v", r.Stages)
	}
	// Stage 1: 5 of its own, the others 3 left, 8 right, 2 doubles of 13.
	team := (3 + .5) / (13 + 1.5)
	want := (leaning*team + 5) / (leaning + 5)
	s := r.Stages[0]
	if math.Abs(float64(s.RateLeft.Mean)-want) > 4*float64(s.RateLeft.SD)/math.Sqrt(boutDraws) {
		t.Errorf("stage 1: %v, by hand %.4f", s.RateLeft.Mean, want)
	}
	// A stage to come, of a pair not seen yet, leans to all of them.
	if all, got := (8+.5)/(18+1.5), r.Stages[5].RateLeft; math.Abs(float64(got.Mean)-all) > 4*float64(got.SD)/math.Sqrt(boutDraws) {
		t.Errorf("stage 6: %v, by hand %.4f", got.Mean, all)
	}
	x := stagesOf(a.Bout, a.Lines)
	relays, err := x.draw(r, chain.Format{To: 45})
	if err != nil {
		t.Fatal(err)
	}
	mean := 0.0
	for _, k := range relays {
		mean += float64(k.Win(3, chain.Score{Me: r.Final.Left, Opponent: r.Final.Right})) / float64(len(relays))
	}
	if math.Abs(mean-float64(r.Now.Win.Mean)) > 1e-12 {
		t.Errorf("now %v, by chain.Relay %.12f", r.Now.Win.Mean, mean)
	}
	whole := 0.0
	for _, s := range r.Stages {
		whole += float64(s.Changed.Mean)
	}
	if math.Abs(whole-float64(r.Now.Win.Mean-r.Start.Win.Mean)) > 1e-9 {
		t.Errorf("the stages changed %.4f, the bout %.4f", whole, r.Now.Win.Mean-r.Start.Win.Mean)
	}
	if said := strings.Join(r.Said, "\n"); !strings.Contains(said, "lean to those of the other pairs as if 10 touches") || !strings.Contains(said, "Stage 2, B – E, changed most") {
		t.Error(said)
	}
	a.Bout.Team = nil
	if r := readBout(t, a); r.Stages != nil || !strings.Contains(strings.Join(r.Said, "\n"), "its order of fencers is not noted") {
		t.Errorf("%+v", r.Said)
	}
	a.Clock = &ClockAsk{Left: 100}
	if r := readBout(t, a); r.Clock != nil || len(r.Doubts) != 1 || r.Doubts[0].Code != "clock-relay" {
		t.Errorf("%+v", r.Doubts)
	}
}
