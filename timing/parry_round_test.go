package timing

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// The way round a circle against a search: straight to any place of the circle, along
// it, and straight on, without cutting it, on the given side.
func TestRoundCircleByBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	const c = .03
	// the least distance from the middle to a stretch
	clears := func(a, b vec) bool {
		d := b.less(a)
		if d.length() == 0 {
			return true
		}
		k := max(0, min(1, -a.dot(d)/d.dot(d)))
		return a.at(k, d).length() >= c-1e-9
	}
	kinds := map[string]int{}
	for range 200 {
		place := func(lo, hi float64) vec {
			s, k := math.Sincos(2 * math.Pi * rng.Float64())
			r := lo + (hi-lo)*rng.Float64()
			return vec{0, r * k, r * s}
		}
		from, to, past := place(c, .3), place(c, .3), place(.1, .3)
		got, angle := roundCircle(from, to, past, c)
		at := func(p vec) float64 { return math.Atan2(p.z, p.y) }
		mod := func(x float64) float64 { return math.Mod(math.Mod(x, 2*math.Pi)+2*math.Pi, 2*math.Pi) }
		// the direction of going round in which the third place lies between the two
		sign, sweep := 1.0, mod(at(to)-at(from))
		if mod(at(past)-at(from)) > sweep {
			sign, sweep = -1, 2*math.Pi-sweep
		}
		approx(t, "angle", angle, sweep, 1e-9)
		least := math.Inf(1)
		const n = 300
		on := func(k float64) vec {
			s, q := math.Sincos(at(from) + sign*sweep*k/n)
			return vec{0, c * q, c * s}
		}
		// A straight stretch goes round by less than half a turn, the short way.
		for i := 0; i <= n && sweep*float64(i)/n < math.Pi; i++ {
			if p := on(float64(i)); clears(from, p) {
				for j := i; j <= n; j++ {
					if q := on(float64(j)); sweep*float64(n-j)/n < math.Pi && clears(q, to) {
						least = min(least, from.less(p).length()+c*sweep*float64(j-i)/n+to.less(q).length())
					}
				}
			}
		}
		if sweep < math.Pi && clears(from, to) { // the straight way on this side
			least = from.less(to).length()
			kinds["straight"]++
		} else {
			kinds["round"]++
		}
		// The places are up to c·sweep/2n from the best ones, twice.
		if got > least+1e-9 || got < least-3e-4 {
			t.Errorf("from %v to %v past %v: %.6f, by search %.6f", from, to, past, got, least)
		}
	}
	if kinds["straight"] < 20 || kinds["round"] < 20 {
		t.Errorf("kinds of ways: %v", kinds)
	}
	half, angle := roundCircle(vec{0, c, 0}, vec{0, -c, 0}, vec{0, 0, -1}, c)
	approx(t, "half a circle", half, math.Pi*c, 1e-12)
	approx(t, "half a turn", angle, math.Pi, 1e-12)
}

// A parry that goes round, rebuilt step by step in space: what it travels is at least
// what each of its stretches is as the crow flies, it ends where the meeting says, and
// the blades are RoundClearance apart in the end of the way round.
func TestCircularParryInSpace(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 2))
	seen := 0
	for range 120 {
		n := func(s float64) float64 { return s * rng.NormFloat64() }
		p := certainParry(.15, .05,
			vec{-1.2 + n(.15), n(.05), 1.25 + n(.05)}, vec{-.3 + n(.05), n(.04), 1.25 + n(.04)},
			vec{-.40 + n(.05), -.15 + n(.05), 1.15 + n(.04)}, vec{-1.22, -.08 + n(.04), 1.32 + n(.08)},
			vec{0, 0, 1.3}, vec{.05, 0, .9})
		a, err := p.Ask(1, rand.NewPCG(1, 1))
		if err != nil {
			continue
		}
		two := newPair(p.Places.Mean)
		for _, w := range a.Ways {
			if w.Around != (w.Round != nil) && w.Meeting != nil {
				t.Fatalf("around %v, round %+v", w.Around, w.Round)
			}
			if !w.Around || w.Meeting == nil {
				continue
			}
			seen++
			m := w.Meeting
			direct := max(vecOf(m.Hand).less(two.defender).length(), vecOf(m.Point).less(two.guardian).length())
			if float64(m.Path) < direct-float64(RoundClearance)-1e-9 {
				t.Errorf("path %v is shorter than straight there, %v", m.Path, direct)
			}
			if w.Round.Length < w.Round.Straight-1e-12 || float64(m.Path) < float64(w.Round.Length)-1e-9 {
				t.Errorf("round %+v in a path of %v", w.Round, m.Path)
			}
			if w.Round.Turn < 0 || w.Round.Turn > 2*math.Pi {
				t.Errorf("turns by %v", w.Round.Turn)
			}
		}
		// A blade that the attack has not reached yet needs not be gone round.
		far := certainParry(.15, .05, placeAt(p.Places.Mean, AttackersHand).plus(vec{-1.2, 0, 0}), placeAt(p.Places.Mean, AttackersPoint).plus(vec{-1.2, 0, 0}),
			placeAt(p.Places.Mean, DefendersHand), placeAt(p.Places.Mean, DefendersPoint), vec{0, 0, 1.3}, vec{.05, 0, .9})
		if b, err := far.Ask(1, rand.NewPCG(1, 1)); err == nil {
			for _, w := range b.Ways {
				if w.Around {
					t.Error("around a blade that is out of reach")
				}
			}
		}
	}
	if seen < 100 {
		t.Errorf("only %d ways go round", seen)
	}
}

// The three kinds: each does what its name says, the best of all is one of them, and the
// sizes keep the order of the trade: a semicircular parry is larger than a lateral one, a
// circular one larger still (t.14 of the technical rules names the last two, the order of
// their times is common practice).
func TestKindsOfParry(t *testing.T) {
	for _, w := range []float64{.06, .20} {
		for _, d := range []float64{.95, 1.1, 1.3, 1.6} {
			p := facing(w, d)
			p.Margin = ParryMargin
			a := ask(t, p)
			if a.Best == nil {
				t.Fatal("no parry")
			}
			two := newPair(p.Places.Mean)
			last := 0.0
			for i, k := range a.Kinds {
				if k.Kind != kinds[i] || k.Way == nil {
					t.Fatalf("kind %d: %+v", i, k)
				}
				m := k.Way.Meeting
				end := vecOf(m.Point).less(vecOf(m.Hand))
				approx(t, "length of the blade", end.length(), two.ld, 1e-9)
				if turns := end.unit().z < -sinLow; turns != (k.Kind == ParrySemi) {
					t.Errorf("%s ends low: %v", k.Kind, turns)
				}
				if k.Way.Around != (k.Way.Round != nil) || (k.Kind == ParryCircular) && (!k.Way.Round.Under || k.Way.Round.Turn < math.Pi) {
					t.Errorf("%s: %+v", k.Kind, k.Way.Round)
				}
				if float64(m.Path) < last || !(m.Leverage > HoldsFrom) {
					t.Errorf("%s: path %v after %v, leverage %v", k.Kind, m.Path, last, m.Leverage)
				}
				last = float64(m.Path)
				approx(t, "without spread", float64(k.Path.Mean), float64(m.Path), 1e-9)
			}
			if a.Best.Path.Mean > a.Kinds[0].Path.Mean+1e-9 {
				t.Errorf("best %v, lateral %v", a.Best.Path.Mean, a.Kinds[0].Path.Mean)
			}
		}
	}
	// With spread, the mean over the draws stays near the size at the means.
	p := uncertain(facing(.2, 1.3))
	a, err := p.Ask(4000, rand.NewPCG(3, 1))
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range a.Kinds {
		if k.Way == nil || !(k.Path.SD > 0) || math.Abs(float64(k.Path.Mean-k.Way.Meeting.Path)) > 2*float64(k.Path.SD) {
			t.Errorf("%s: %v, at the means %+v", k.Kind, k.Path, k.Way)
		}
	}
}

// usualParry is the case of the usual sizes: two right-handers, the attack on the trunk
// from 1.3 m.
func usualParry() Parry {
	hand, guard := vec{-1.3, -.12, 1.25}, vec{-.55, .12, 1.10}
	return certainParry(.2, float64(ParryMargin), hand, hand.at(.89, (vec{0, 0, 1.2}).less(hand).unit()),
		guard, guard.plus(vec{-.87, -.06, .18}), vec{0, 0, 1.4}, vec{0, 0, .9})
}

// A defence sized by what is asked: the usual sizes are those of their case, the times
// grow with the size as Fitts has it, and a usual parry keeps its usual time.
func TestDefenceSized(t *testing.T) {
	a := ask(t, usualParry())
	usual := [3]quantity.Metres{UsualLateral, UsualSemicircular, UsualCircular}
	for i, usual := range usual {
		approx(t, string(kinds[i]), float64(a.Kinds[i].Path.Mean), float64(usual), .006)
		if got, ok := UsualSize(kinds[i]); !ok || got != usual {
			t.Errorf("%s: %v", kinds[i], got)
		}
	}
	// A second route to the trade's times of the larger kinds (common practice: 160, 190
	// and 220 ms): from the lateral one, by their size.
	for i, want := range []quantity.Seconds{ParryTime, SemicircularParryTime, CircularParryTime} {
		got, err := Sized(quantity.Exactly(ParryTime), usual[i], UsualLateral)
		if err != nil {
			t.Fatal(err)
		}
		approx(t, "by size alone", float64(got.Mean), float64(want), .020)
	}
	d := NewDefence(metres(.9, .05))
	same := d.Sized(a)
	approx(t, "usual", float64(same.Lateral.Mean), float64(d.Lateral.Mean), .006)
	approx(t, "usual circular", float64(same.Circular.Mean), float64(d.Circular.Mean), .006)
	if d.Sized(Asked{}) != d {
		t.Error("nothing asked changes the defence")
	}
	for i := range a.Kinds { // twice the size: one bit
		a.Kinds[i].Path = quantity.Exactly(2 * usual[i])
	}
	twice := d.Sized(a)
	approx(t, "twice", float64(twice.Lateral.Mean), float64(d.Lateral.Mean+AimPerBit), 1e-12)
	approx(t, "twice circular", float64(twice.Circular.Mean), float64(d.Circular.Mean+AimPerBit), 1e-12)
	// With a spread of the size: the law of the logarithm, by draws.
	a.Kinds[0].Path = quantity.Normal(2*UsualLateral, .12)
	rng, sum, squares, n := rand.New(rand.NewPCG(7, 7)), 0.0, 0.0, 100000
	for range n {
		v := .095 * math.Log2(max(.02, float64(2*UsualLateral)+.12*rng.NormFloat64())/float64(UsualLateral))
		sum, squares = sum+v, squares+v*v
	}
	m := sum / float64(n)
	spread := d.Sized(a).Lateral
	approx(t, "spread of the size", float64(spread.Mean-d.Lateral.Mean), m, .002)
	approx(t, "spread of the time", float64(spread.SD), math.Hypot(float64(d.Lateral.SD), math.Sqrt(squares/float64(n)-m*m)), .002)
	if twice.Opposition != d.Opposition || twice.Removal != d.Removal || twice.Reaction != d.Reaction {
		t.Error("what is no parry was sized")
	}
	// The longer parry closes its window: the chance to be in time falls.
	x := lungeAt(t, 1.15, 1.2)
	before := inTime(t, windows(t, x, 4000, 1), ParryLateral)
	x.Defence = x.Defence.Sized(a)
	if after := inTime(t, windows(t, x, 4000, 1), ParryLateral); !(after < before) {
		t.Errorf("in time %v, twice as large %v", before, after)
	}
	if _, ok := UsualSize(RetreatOut); ok {
		t.Error("a retreat has a size")
	}
}
