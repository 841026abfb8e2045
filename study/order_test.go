package study

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
)

// pair is a touch with two takes of 50 frames a second whose clocks are declared,
// the second four times as slow.
func pair(a, b mark.Take, moments ...mark.Moment) *Reading {
	a.ID, a.Video, a.To = "live", "v", 400
	b.ID, b.Video, b.To = "replay", "v", 400
	if b.Factor == 0 {
		b.Factor = 4
	}
	t := &Touch{Takes: []mark.Take{a, b}, Moments: moments}
	r := &Reading{Touch: t, Clips: map[string]mark.Clip{"v": {Times: stamps(0, times(400, 0.02)...)}}}
	readClocks(t, r.Clips, r, 1)
	return r
}

// TestFrameTimeQuantisation: check 3.9. One moment between two frames has a
// standard deviation of 1/(fps·√12), the time between two of them 1/(fps·√6):
// 5.77 and 8.16 ms at 50 frames a second.
func TestFrameTimeQuantisation(t *testing.T) {
	r := pair(mark.Take{}, mark.Take{}, mark.Moment{ID: "a", Take: "live", After: 9, By: 10}, mark.Moment{ID: "b", Take: "live", After: 12, By: 13})
	if got, want := float64(r.Moments[0].At.SD), 1/(50*math.Sqrt(12)); math.Abs(got-want) > 1e-12 || math.Abs(got-0.00577) > 5e-6 {
		t.Errorf("one moment: %v, want %v", got, want)
	}
	o, ok := r.Order("b", "a")
	if want := 1 / (50 * math.Sqrt(6)); !ok || math.Abs(float64(o.Apart.SD)-want) > 1e-12 || math.Abs(float64(o.Apart.SD)-0.00816) > 5e-6 {
		t.Errorf("an interval: %+v, want SD %v", o.Apart, want)
	}
	if o.First != "a" || o.Chance != 1 || math.Abs(float64(o.Apart.Mean)-0.06) > 1e-12 {
		t.Errorf("%+v", o)
	}
	// The difference of two equal uniform laws is a triangle ± 20 ms about 60 ms,
	// whose 97.5 % quantile lies √0.05 of the half-width inside its end.
	if want := 0.06 + 0.02*(1-math.Sqrt(0.05)); math.Abs(float64(o.Apart.Hi)-want) > 1e-7 {
		t.Errorf("upper end %v, want %v", o.Apart.Hi, want)
	}
}

// TestChanceFirst against cases that can be done by hand, and against throws.
func TestChanceFirst(t *testing.T) {
	for _, c := range []struct {
		a0, a1, b0, b1 quantity.Seconds
		want           float64
	}{
		{0, 1, 1, 2, 1}, {1, 2, 0, 1, 0}, {0, 1, 0, 1, 0.5},
		{0, 2, 1, 3, 1 - 1.0/8}, {0, 4, 1, 2, 1.5 / 4}, {1, 2, 0, 4, 2.5 / 4},
		{1, 1, 0, 4, 3.0 / 4}, {0, 4, 1, 1, 1.0 / 4}, {1, 1, 1, 1, 0.5}, {1, 1, 2, 2, 1}, {2, 2, 1, 1, 0},
	} {
		if got := ChanceFirst(c.a0, c.a1, c.b0, c.b1); math.Abs(float64(got)-c.want) > 1e-12 {
			t.Errorf("%+v: %v", c, got)
		}
	}
	rng := rand.New(rand.NewPCG(7, 7))
	for range 50 {
		a, b, wa, wb := rng.Float64(), rng.Float64(), rng.Float64(), rng.Float64()
		n, first := 20000, 0
		for range n {
			if a+wa*rng.Float64() < b+wb*rng.Float64() {
				first++
			}
		}
		p := float64(ChanceFirst(quantity.Seconds(a), quantity.Seconds(a+wa), quantity.Seconds(b), quantity.Seconds(b+wb)))
		if got := float64(first) / float64(n); math.Abs(got-p) > 4.5*math.Sqrt(p*(1-p)/float64(n))+1e-9 {
			t.Errorf("[%v, %v] before [%v, %v]: %v, thrown %v", a, a+wa, b, b+wb, p, got)
		}
	}
}

// TestReplayNarrowsTheLiveMoment: a replay at a quarter of the speed brackets a
// moment four times as closely. Frames 20 to 21 of the replay are 100 to 105 ms,
// inside the live 100 to 120 ms.
func TestReplayNarrowsTheLiveMoment(t *testing.T) {
	also := []mark.Bracket{{Take: "replay", After: 20, By: 21}}
	r := pair(mark.Take{}, mark.Take{}, mark.Moment{ID: "a", Take: "live", After: 5, By: 6, Also: also})
	if got, want := r.Moments[0].At, quantity.Uniform[quantity.Seconds](0.100, 0.105); math.Abs(float64(got.Mean-want.Mean)) > 1e-12 || math.Abs(float64(got.SD-want.SD)) > 1e-12 {
		t.Errorf("%+v, want %+v", got, want)
	}
	// Half in, half out: what both leave, 100 to 102.5 ms.
	r = pair(mark.Take{}, mark.Take{Offset: -0.0025}, mark.Moment{ID: "a", Take: "live", After: 5, By: 6, Also: also})
	if got := r.Moments[0].At; math.Abs(float64(got.Mean)-0.10125) > 1e-9 || math.Abs(float64(got.SD)-0.0025/math.Sqrt(12)) > 1e-9 {
		t.Errorf("%+v", got)
	}
	// A replay whose clock is unsure within a second tells nothing.
	r = pair(mark.Take{}, mark.Take{OffsetSD: 1}, mark.Moment{ID: "a", Take: "live", After: 5, By: 6, Also: also})
	if got, want := r.Moments[0].At, quantity.Uniform[quantity.Seconds](0.100, 0.120); math.Abs(float64(got.Mean-want.Mean)) > 5e-4 || math.Abs(float64(got.SD/want.SD-1)) > 0.03 || math.Abs(float64(got.Hi-want.Hi)) > 5e-4 {
		t.Errorf("%+v, want %+v", got, want)
	}
	// One that misses the live bracket is not used and named: 100 ms ends 45 ms
	// before 145 ms.
	r = pair(mark.Take{}, mark.Take{}, mark.Moment{ID: "a", Take: "live", After: 5, By: 6, Also: []mark.Bracket{{Take: "replay", After: 33, By: 34}}})
	if len(r.Warnings) != 1 || r.Warnings[0].Code != CodeTieConflict || math.Abs(r.Warnings[0].Doubt-45) > 1e-6 || r.Moments[0].At.SD < 0.0057 {
		t.Errorf("%v, %+v", r.Warnings, r.Moments[0].At)
	}
}

// TestOrderSharesTheClock: two moments of one replay keep their order whatever its
// offset is; against a moment of the live take the same offset leaves it open. The
// second route throws the offset and the instants.
func TestOrderSharesTheClock(t *testing.T) {
	in := func(id, take string, after mark.Frame) mark.Moment {
		return mark.Moment{ID: id, Take: take, After: after, By: after + 1}
	}
	r := pair(mark.Take{}, mark.Take{OffsetSD: 0.03}, in("a", "replay", 20), in("b", "replay", 22), in("c", "live", 6))
	if o, ok := r.Order("a", "b"); !ok || o.First != "a" || o.Chance != 1 || math.Abs(float64(o.Apart.SD)-0.005/math.Sqrt(6)) > 1e-9 {
		t.Errorf("both in the replay: %+v", o)
	}
	o, ok := r.Order("a", "c")
	if !ok || o.First != "a" {
		t.Fatalf("%+v", o)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	const n = 200_000
	first, sum, squares := 0, 0.0, 0.0
	for range n {
		a := 0.1 + 0.005*rng.Float64() + 0.03*rng.NormFloat64()
		c := 0.12 + 0.02*rng.Float64()
		if a < c {
			first++
		}
		sum += c - a
		squares += (c - a) * (c - a)
	}
	p, mean := float64(first)/n, sum/n
	sd := math.Sqrt(squares/n - mean*mean)
	if math.Abs(float64(o.Chance)-p) > 0.01 || math.Abs(float64(o.Apart.Mean)-mean) > 0.001 || math.Abs(float64(o.Apart.SD)/sd-1) > 0.03 {
		t.Errorf("%+v; thrown %.4f, %.5f ± %.5f", o, p, mean, sd)
	}
}

// TestOrdersAreOfNeighbours: moments far from each other are in no doubt.
func TestOrdersAreOfNeighbours(t *testing.T) {
	in := func(id string, after mark.Frame) mark.Moment {
		return mark.Moment{ID: id, Take: "live", After: after, By: after + 1}
	}
	r := pair(mark.Take{}, mark.Take{}, in("c", 40), in("a", 5), in("b", 19))
	if len(r.Orders) != 1 || r.Orders[0].First != "a" || r.Orders[0].Second != "b" {
		t.Errorf("%+v", r.Orders)
	}
	if _, ok := r.Order("a", "c"); ok {
		t.Error("an order of two moments 0.7 s apart")
	}
}

// FuzzClocks: whatever the brackets and clocks say, every number is finite, the
// clock runs forwards, equal inputs give equal readings, and a moment lies within
// the reach of its own bracket.
func FuzzClocks(f *testing.F) {
	f.Add(uint64(1), uint8(6), 4.0, 0.0, false)
	f.Add(uint64(2), uint8(3), 0.0, 0.0, true)
	f.Add(uint64(3), uint8(9), 1e-3, 5.0, true)
	f.Add(uint64(4), uint8(2), 400.0, 1e-9, false)
	f.Fuzz(func(t *testing.T, seed uint64, n uint8, factor, sd float64, free bool) {
		rng := rand.New(rand.NewPCG(seed, 1))
		take := mark.Take{Factor: factor, FactorSD: sd, Tied: rng.IntN(4) > 0, OffsetSD: sd / 10}
		if free {
			take.Factor = 0
		}
		if !clockHolds(take) {
			t.Skip()
		}
		var moments []mark.Moment
		for i := range int(n % 12) {
			m := mark.Moment{ID: string(rune('a' + i)), Take: [2]string{"live", "replay"}[rng.IntN(2)], After: mark.Frame(rng.IntN(399))}
			m.By = m.After + 1 + mark.Frame(rng.IntN(400-int(m.After)))
			for _, id := range [2]string{"live", "replay"} {
				if id != m.Take && rng.IntN(3) > 0 {
					b := mark.Bracket{Take: id, After: mark.Frame(rng.IntN(399))}
					b.By = b.After + 1 + mark.Frame(rng.IntN(400-int(b.After)))
					m.Also = append(m.Also, b)
				}
			}
			moments = append(moments, m)
		}
		r := pair(mark.Take{}, take, moments...)
		again := pair(mark.Take{}, take, moments...)
		for i, c := range r.Clocks {
			if !c.Factor.IsValid() || !c.Offset.IsValid() || !(c.Factor.Mean > 0) || !(math.Abs(float64(c.Correlation)) <= 1+1e-9) {
				t.Fatalf("%+v", c)
			}
			if c.Factor != again.Clocks[i].Factor || c.Offset != again.Clocks[i].Offset {
				t.Fatal("equal inputs gave two clocks")
			}
		}
		for _, m := range r.Moments {
			if !m.At.IsValid() {
				t.Fatalf("%+v", m)
			}
		}
		for _, o := range r.Orders {
			if !(o.Chance >= 0.5-1e-12 && o.Chance <= 1) || !o.Apart.IsValid() {
				t.Fatalf("%+v", o)
			}
		}
	})
}

// TestSinceAFrameOfTheSameReplay: when a replay starts is known to 30 ms only, and
// yet a moment between its frames 22 and 23 lies 10 to 15 ms after its frame 20, no
// matter when that was. Against a live frame the 30 ms are there.
func TestSinceAFrameOfTheSameReplay(t *testing.T) {
	r := pair(mark.Take{}, mark.Take{OffsetSD: 0.03}, mark.Moment{ID: "a", Take: "replay", After: 22, By: 23})
	q, ok := r.since("a", "replay", 20)
	if want := quantity.Uniform[quantity.Seconds](0.010, 0.015); !ok || math.Abs(float64(q.Mean-want.Mean)) > 1e-9 || math.Abs(float64(q.SD-want.SD)) > 1e-9 || math.Abs(float64(q.Hi-want.Hi)) > 1e-6 {
		t.Errorf("%+v, want %+v", q, want)
	}
	if q, ok = r.since("a", "live", 5); !ok || math.Abs(float64(q.SD)-0.03) > 0.001 || math.Abs(float64(q.Mean)-0.0125) > 0.001 {
		t.Errorf("%+v, want 0.0125 ± 0.030", q)
	}
	if _, ok = r.since("b", "live", 5); ok {
		t.Error("a moment that is not there")
	}
}

// TestRaceFromAMomentOfTheOtherTake: a moment whose own take has no marks on its
// frame is raced from in another take that shows it and has them.
func TestRaceFromAMomentOfTheOtherTake(t *testing.T) {
	s := stage(1, 1)
	first := mustRead(t, s.touch, ReadOptions{Draws: MinDraws}).Race
	m, _ := s.touch.Moment(first.Moment)
	other := s.touch.Takes[0]
	other.ID = "other"
	s.touch.Takes = append(s.touch.Takes, other)
	for i := range s.touch.Moments {
		if s.touch.Moments[i].ID == m.ID {
			s.touch.Moments[i].Take = "other"
			s.touch.Moments[i].Also = []mark.Bracket{{Take: m.Take, After: m.After, By: m.By}}
		}
	}
	s.touch.Race.From = m.ID
	if got := mustRead(t, s.touch, ReadOptions{Draws: MinDraws}).Race; got == nil || got.Take != first.Take || got.Frame != first.Frame || got.Moment != m.ID {
		t.Errorf("%+v", got)
	}
}
