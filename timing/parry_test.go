package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
)

// certainParry is a parry without spread from its places.
func certainParry(radius, margin float64, places ...vec) Parry {
	var x []float64
	for _, p := range places {
		x = append(x, p.x, p.y, p.z)
	}
	return Parry{Places: quantity.Independent(x, make([]float64, len(x))),
		Radius: quantity.Exactly(quantity.Metres(radius)), Margin: quantity.Metres(margin)}
}

// facing is an attack straight along the piste at a ball, from this distance, and a
// defender on guard in sixte whose point looks at the attacker's hand. The ball has
// the outline of a disc of half-width w at the middle: asin(R/D) = atan(w/D).
func facing(w, from float64) Parry {
	d := from
	r := w * d / math.Hypot(w, d)
	return certainParry(r, 0,
		vec{-from, 0, 1.25}, vec{-from + .9, 0, 1.25},
		vec{-.45, -.15, 1.15}, vec{-1.3, -.06, 1.4},
		vec{0, 0, 1.25}, vec{0, 0, 1.25})
}

func ask(t testing.TB, p Parry) Asked {
	t.Helper()
	a, err := p.Ask(1, rand.NewPCG(1, 1))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// scene makes random blades and capsules in metres, the zone ahead of the attacker.
func scene(rng *rand.Rand) (hand, u, from, to vec, r float64) {
	n := func(s float64) float64 { return s * rng.NormFloat64() }
	hand = vec{n(.2), n(.2), 1.2 + n(.1)}
	far := .5 + 1.5*rng.Float64()
	from = hand.plus(vec{far, n(.1), n(.1)})
	to = from.plus(vec{n(.3), n(.3), n(.5)})
	r = .03 + .25*rng.Float64()
	aim := from.at(rng.Float64(), to.less(from)).plus(vec{n(r / 3), n(r / 3), n(r / 3)})
	return hand, aim.less(hand).unit(), from, to, r
}

// meets says whether the ray from the hand comes within r of the stretch, by
// walking along the stretch: the second route of the parry's cone.
func meets(hand, v, from, to vec, r float64) bool {
	const steps = 150
	least := math.Inf(1)
	for i := range steps + 1 {
		z := from.at(float64(i)/steps, to.less(from)).less(hand)
		least = min(least, z.less(v.times(max(0, v.dot(z)))).length())
	}
	return least < r
}

// The smallest turn against a search over all rotations about the hand: a ring of
// directions, and in each the turn with which the line first misses. Likewise the
// turn in one direction.
func TestSmallestTurnByBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	done, flat := 0, 0
	for done < 30 {
		hand, u, from, to, r := scene(rng)
		c, ok := newCone(hand, from, to, r)
		if !ok || !meets(hand, u, from, to, r) {
			continue
		}
		done++
		sine, n := c.inside(u)
		got := math.Asin(sine)
		least := math.Inf(1)
		e := u.square(vec{0, 0, 1})
		f := u.cross(e)
		const ring = 240
		for i := range ring {
			s, k := math.Sincos(2 * math.Pi * float64(i) / ring)
			g := e.times(k).at(s, f)
			lo, hi := 0.0, math.Pi
			for hi-lo > 1e-5 {
				v, _ := turned(u, g, (lo+hi)/2)
				if meets(hand, v, from, to, r) {
					lo = (lo + hi) / 2
				} else {
					hi = (lo + hi) / 2
				}
			}
			least = min(least, hi)
			if i%40 == 0 {
				approx(t, "turn in one direction", c.leaving(u, g), hi, 2e-4)
			}
		}
		// The ring misses the best direction by up to π/240: 1/cos of it.
		if got > least+2e-4 || got < least*(1-5e-4)-2e-4 {
			t.Errorf("case %d: smallest turn %.5f, by search %.5f", done, got, least)
		}
		approx(t, "the turn out of the nearest plane", c.leaving(u, u.square(n.times(-1))), got, 1e-9)
		if math.Abs(n.dot(c.a)-r) < 1e-9 && math.Abs(n.dot(c.b)-r) < 1e-9 {
			flat++
		}
	}
	if flat == 0 || flat == done {
		t.Errorf("%d of %d cases leave by the side of the capsule: both kinds are needed", flat, done)
	}
}

// The smallest turn never falls as the hand comes closer along its own line, and a
// larger margin never asks for less.
func TestTurnGrowsAsTheAttackCloses(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 2))
	checked := 0
	for range 400 {
		hand, u, from, to, r := scene(rng)
		last := 0.0
		for k := range 30 {
			c, ok := newCone(hand.at(float64(k)*.03, u), from, to, r)
			if !ok {
				break
			}
			s, _ := c.inside(u)
			if s = max(0, s); s < last-1e-12 {
				t.Fatalf("the turn falls from %v to %v after %d cm", last, s, 3*k)
			}
			last = s
			if wide, ok := newCone(hand.at(float64(k)*.03, u), from, to, r+.02); ok {
				if w, _ := wide.inside(u); max(0, w) < s-1e-12 {
					t.Fatalf("a larger margin asks for less: %v, %v", w, s)
				}
			}
			checked++
		}
	}
	if checked < 2000 {
		t.Errorf("only %d steps", checked)
	}
}

// T2 (common practice; the numbers follow from atan(w/D)): the turn grows as the
// distance closes, for the trunk and for the forearm. T1: the point has then moved
// by the half-width at the plane of the target.
func TestTradeParryGrowsWithCloseness(t *testing.T) {
	for _, row := range []struct{ w, d, degrees float64 }{
		{.20, 1.6, 7.1}, {.20, 1.3, 8.8}, {.20, 1.1, 10.3}, {.20, .95, 11.9}, {.06, 1.6, 2.2}, {.06, .95, 3.6},
	} {
		a := ask(t, facing(row.w, row.d))
		got := float64(a.Smallest.Mean)
		approx(t, "turn in degrees", got*180/math.Pi, row.degrees, .06)
		approx(t, "T1: at the target", row.d*math.Tan(got), row.w, 1e-9)
		approx(t, "hand to zone", float64(a.HandToZone.Mean), row.d, 1e-12)
	}
}

// T3: 0.6 m from the attacker's hand the blade shifts from 7.5 to 12.6 cm (tangents,
// the chord is a little shorter); in a plane fixed before the target, h from it, the
// shift w(1 − h/D) grows less the closer the hand. T5: near the point a parry of
// the same shift turns the blade least.
func TestTradeShiftOfTheBlade(t *testing.T) {
	shift := func(d, a float64) float64 {
		p := facing(.20, d)
		two := newPair(p.Places.Mean)
		turn := float64(ask(t, p).Smallest.Mean)
		v, g := turned(two.u, vec{0, 1, 0}, turn)
		return float64(two.meeting(a, .2, v, g).Shift)
	}
	approx(t, "far", shift(1.6, .6), .075, .001)
	approx(t, "near", shift(.95, .6), .126, .002)
	last := math.Inf(1)
	for _, d := range []float64{1.6, 1.3, 1.1, .95} {
		const h = .6
		turn := math.Atan(.20 / d)
		s := shift(d, d-h)
		approx(t, "in the guard's plane", s*math.Cos(turn/2)/math.Cos(turn), .20*(1-h/d), .004)
		if s >= last {
			t.Errorf("the shift in a fixed plane grows: %v after %v", s, last)
		}
		last = s
	}
	for _, row := range []struct{ a, times float64 }{{.75, 1.2}, {.6, 1.5}, {.3, 3}} {
		approx(t, "T5", shift(1.3, .9)/shift(1.3, row.a), row.times, 1e-9)
	}
}

// T4 (common practice): forte on foible.
func TestLeverage(t *testing.T) {
	for _, row := range []struct{ a, d, want float64 }{{.60, .15, 4}, {.45, .45, 1}, {.15, .75, .2}} {
		approx(t, "T4", float64(Leverage(quantity.Metres(row.a), quantity.Metres(row.d))), row.want, 1e-12)
	}
	for i := range 90 {
		for j := range 90 {
			a, d := float64(i+1)/100, float64(j+1)/100
			if (Leverage(quantity.Metres(a), quantity.Metres(d)) > HoldsFrom) != (a > d) {
				t.Fatalf("leverage at %v and %v", a, d)
			}
			if PartOf(quantity.Ratio(d/.9)) == Forte && PartOf(quantity.Ratio(a/.9)) == Foible && a/d < 2 {
				t.Fatalf("forte on foible has only %v", a/d)
			}
		}
	}
	for share, want := range map[quantity.Ratio]Part{0: Forte, 1. / 3: Forte, .34: MediumPart, 2. / 3: MediumPart, .67: Foible, 1: Foible} {
		if got := PartOf(share); got != want {
			t.Errorf("%v is %v, not %v", share, got, want)
		}
	}
}

// The end of the defending blade: what it must fulfil, and that no other end is
// smaller, by a fine grid of directions in the plane square to the push.
func TestMeetingByBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 3))
	kinds := map[string]int{}
	for range 400 {
		n := func(s float64) float64 { return s * rng.NormFloat64() }
		hand := vec{-1.2 + n(.2), n(.1), 1.2 + n(.1)}
		guard := vec{n(.1), n(.2), 1.1 + n(.1)}
		x := []float64{}
		for _, p := range []vec{hand, hand.plus(vec{.88, n(.1), n(.1)}), guard, guard.plus(vec{-.82, n(.2), n(.25)})} {
			x = append(x, p.x, p.y, p.z)
		}
		p := newPair(x)
		g := p.u.square(vec{n(1), n(1), n(1)})
		v, push := turned(p.u, g, .3*rng.Float64())
		a, d := p.la*(.1+.9*rng.Float64()), p.ld/3*(.2+.8*rng.Float64())
		m := p.meeting(a, d, v, push)
		at := func(q [3]quantity.Metres) vec { return vec{float64(q[0]), float64(q[1]), float64(q[2])} }
		w := at(m.Point).less(at(m.Hand))
		approx(t, "length of the blade", w.length(), p.ld, 1e-9)
		approx(t, "square to the push", w.dot(push), 0, 1e-9)
		place := p.attacker.at(a, v)
		approx(t, "through the place", at(m.Hand).at(d/p.ld, w).less(place).length(), 0, 1e-9)
		approx(t, "travel", at(m.Hand).less(p.defender).length(), float64(m.Travel), 1e-7)
		least := math.Inf(1)
		side := v.cross(push)
		const grid = 8000
		for i := range grid {
			s, c := math.Sincos(2 * math.Pi * float64(i) / grid)
			if c > 0 && math.Abs(s) < math.Sin(float64(ParryCrossing)) {
				continue
			}
			w := v.times(-c).at(s, side)
			h := place.at(-d, w)
			least = min(least, max(h.less(p.defender).length(), h.at(p.ld, w).less(p.guardian).length()))
		}
		if got := float64(m.Path); got > least+1e-9 || got < least-4e-4 {
			t.Errorf("path %.5f, by search %.5f", got, least)
		}
		switch e := p.meet(a, d, v, side); {
		case math.Abs(math.Abs(e.w.dot(side))-sinCrossing) < 1e-12:
			kinds["crossing"]++
		case math.Abs(e.hand-e.point) < 1e-7:
			kinds["equal"]++
		case e.hand > e.point:
			kinds["hand"]++
		default:
			kinds["point"]++
		}
		approx(t, "least travel of the hand", float64(m.StillTravel), math.Abs(place.less(p.defender).length()-d), 1e-12)
		if m.StillTravel > m.Travel+1e-9 || m.Path > m.Carried+.6 {
			t.Errorf("still %v, travel %v", m.StillTravel, m.Travel)
		}
	}
	if kinds["equal"] == 0 || kinds["crossing"] == 0 {
		t.Errorf("kinds of ends: %v", kinds)
	}
}

// A mirror across the piste, a shift and a turn about the vertical change nothing
// but the places.
func TestParrySymmetry(t *testing.T) {
	p := facing(.2, 1.2)
	p.Places.Mean[3*int(AttackersPoint)+1] = .04 // off the middle, so that one way is the smallest
	want := ask(t, p)
	if want.Best == nil {
		t.Fatal("no parry found")
	}
	for name, move := range map[string]func(v vec) vec{
		"mirror": func(v vec) vec { return vec{v.x, -v.y, v.z} },
		"turn":   func(v vec) vec { return vec{.6*v.x - .8*v.y + 2, .8*v.x + .6*v.y - 1, v.z + .3} },
	} {
		q := Parry{Places: quantity.NewJoint(p.Places.Mean, p.Places.Cov), Radius: p.Radius, Margin: p.Margin}
		for i := range int(Aim) {
			m := move(placeAt(q.Places.Mean, Spot(i)))
			copy(q.Places.Mean[3*i:], []float64{m.x, m.y, m.z})
		}
		got := ask(t, q)
		approx(t, name+" smallest", float64(got.Smallest.Mean), float64(want.Smallest.Mean), 1e-9)
		approx(t, name+" path", float64(got.Best.Path.Mean), float64(want.Best.Path.Mean), 1e-9)
		approx(t, name+" sweep", float64(got.Best.Sweep.Mean), float64(want.Best.Sweep.Mean), 1e-9)
		approx(t, name+" leverage", float64(got.Best.Leverage.Mean), float64(want.Best.Leverage.Mean), 1e-9)
	}
}

// The best way against every way: smallest path of those that need not go around,
// on the forte, with leverage; the first way is the smallest turn of all.
func TestBestParry(t *testing.T) {
	for _, d := range []float64{1.0, 1.2, 1.5} {
		a := ask(t, facing(.2, d))
		if a.Best == nil || len(a.Ways) != waysAround+1 || a.Best.Around {
			t.Fatalf("at %v m: %d ways, best %+v", d, len(a.Ways), a.Best)
		}
		around := 0
		for i, w := range a.Ways {
			if w.Turn < a.Ways[0].Turn-1e-12 {
				t.Errorf("way %d turns %v, the smallest is %v", i, w.Turn, a.Ways[0].Turn)
			}
			if w.Around {
				around++
			}
			// The defender's blade stands at −y: it pushes to +y at once.
			if y := w.Towards[1]; math.Abs(y) > .9 && w.Around != (y < 0) {
				t.Errorf("way %d towards %v: around %v", i, w.Towards, w.Around)
			}
			if w.Meeting == nil {
				continue
			}
			if !w.Around && w.Meeting.Path < a.Best.Meeting.Path {
				t.Errorf("way %d asks only %v", i, w.Meeting.Path)
			}
			if m := w.Meeting; m.DefenderPart != Forte || !(m.Leverage > 1) {
				t.Errorf("way %d meets at %+v", i, m)
			}
		}
		if around == 0 {
			t.Error("no way needs to go around: the side of the blades is not seen")
		}
		approx(t, "smallest", float64(a.Smallest.Mean), float64(a.Ways[0].Turn), 1e-12)
		for i, m := range a.Best.Places {
			if m.Path < a.Best.Meeting.Path-.005 || i > 0 && m.OnAttacker <= a.Best.Places[i-1].OnAttacker {
				t.Errorf("place %d: %+v", i, m)
			}
		}
	}
}

// Without a threat nothing is asked; with spread the chance and the turn follow the
// formula: for a ball aimed at in the middle asin(R/D), first order in R.
func TestAskedByDraws(t *testing.T) {
	p := facing(.2, 1.2)
	for i := range 3 {
		p.Places.Mean[3*int(AttackersPoint)+i] = [3]float64{-.4, .5, 1.25}[i]
	}
	a := ask(t, p)
	if a.Threatens.Mean != 0 || a.Smallest.Mean != 0 || a.Best != nil || len(a.Ways) != 0 {
		t.Errorf("a line that passes asks for %+v", a)
	}
	p = facing(.2, 1.2)
	p.Radius.SD = .01
	a, err := p.Ask(20000, rand.NewPCG(1, 2))
	if err != nil {
		t.Fatal(err)
	}
	r, d := float64(p.Radius.Mean), 1.2
	approx(t, "mean", float64(a.Smallest.Mean), math.Asin(r/d), 2e-4)
	approx(t, "spread", float64(a.Smallest.SD), .01/math.Sqrt(d*d-r*r), 2e-4)
	approx(t, "turn of the best way", float64(a.Best.Turn.Mean), math.Asin(r/d), 2e-4)
	b, _ := p.Ask(20000, rand.NewPCG(1, 2))
	if a.Smallest != b.Smallest || a.Best.Path != b.Best.Path {
		t.Error("equal seeds, different answers")
	}
	// A point of which only the height is known to 10 cm threatens by a normal chance:
	// the line passes the middle at 1.2/0.9 of the height above it.
	p = facing(.2, 1.2)
	p.Places.Cov[(3*int(AttackersPoint)+2)*18+3*int(AttackersPoint)+2] = .15 * .15
	a, _ = p.Ask(20000, rand.NewPCG(1, 3))
	edge := .9 * math.Tan(math.Asin(float64(p.Radius.Mean)/1.2))
	approx(t, "threatens", float64(a.Threatens.Mean), 2*normalCDF(edge/.15)-1, .01)
}

// A wrong blade, a wrong target and numbers that are none are refused, with a mend.
func TestParryRefusals(t *testing.T) {
	good := facing(.2, 1.2)
	with := func(f func(p *Parry)) Parry {
		p := Parry{Places: quantity.NewJoint(good.Places.Mean, good.Places.Cov), Radius: good.Radius, Margin: good.Margin}
		f(&p)
		return p
	}
	var in *InputError
	var blade *BladeError
	var behind *BehindError
	var near *TooCloseError
	for _, c := range []struct {
		name string
		p    Parry
		as   any
		says string
	}{
		{"NaN", with(func(p *Parry) { p.Places.Mean[3*int(DefendersPoint)+1] = math.NaN() }), &in, "defender's point, y"},
		{"infinite", with(func(p *Parry) { p.Places.Mean[0] = math.Inf(1) }), &in, "attacker's hand, x"},
		{"covariance", with(func(p *Parry) { p.Places.Cov[1] = math.NaN() }), &in, "finite"},
		{"variance", with(func(p *Parry) { p.Places.Cov[0] = -1 }), &in, "variance"},
		{"count", Parry{Places: quantity.Independent(make([]float64, 5), make([]float64, 5))}, &in, "six places"},
		{"radius", with(func(p *Parry) { p.Radius.Mean = -1 }), &in, "radius"},
		{"radius NaN", with(func(p *Parry) { p.Radius.SD = quantity.Metres(math.NaN()) }), &in, "radius"},
		{"no target", with(func(p *Parry) { p.Radius = quantity.Exactly(quantity.Metres(0)) }), &in, "margin"},
		{"margin", with(func(p *Parry) { p.Margin = -.1 }), &in, "margin"},
		{"zero blade", with(func(p *Parry) { copy(p.Places.Mean[3:6], p.Places.Mean[0:3]) }), &blade, "attacker's blade"},
		{"zero defender", with(func(p *Parry) { copy(p.Places.Mean[9:12], p.Places.Mean[6:9]) }), &blade, "defender's blade"},
		{"long blade", with(func(p *Parry) { p.Places.Mean[3] += .4 }), &blade, "0.90"},
		{"behind", with(func(p *Parry) { p.Places.Mean[12], p.Places.Mean[15] = -3, -3 }), &behind, "behind"},
		{"too close", with(func(p *Parry) { p.Places.Mean[12], p.Places.Mean[15] = -1.1, -1.1 }), &near, "earlier instant"},
	} {
		_, err := c.p.Ask(100, rand.NewPCG(1, 1))
		if err == nil || !errors.As(err, c.as) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
		if _, err := Judge(c.p, good, 100, rand.NewPCG(1, 1)); err == nil {
			t.Errorf("%s is judged", c.name)
		}
	}
	if _, err := good.Ask(1, rand.NewPCG(1, 1)); err != nil {
		t.Error(err)
	}
}
