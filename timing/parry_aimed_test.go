package timing

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// An attack that is on its target sideways, against draws of the same law that are
// weighted by how far beside it they pass; heights stay as they were.
func TestAimedByWeights(t *testing.T) {
	p := certainParry(.06, .05, vec{-1.5, -.12, 1.25}, vec{-.61, -.06, 1.26}, vec{.05, .12, 1.2}, vec{-.84, .08, 1.3}, vec{.1, .13, 1.2}, vec{.35, .16, 1.1})
	n := p.Places.Len()
	for _, s := range []struct {
		place Spot
		y     float64
	}{{AttackersHand, .10}, {AttackersPoint, .12}, {DefendersHand, .10}, {DefendersPoint, .12}, {ZoneFrom, .09}, {ZoneTo, .08}} {
		i := 3*int(s.place) + 1
		p.Places.Cov[i*n+i] = s.y * s.y
	}
	// the hand of the defender and the near end of the zone are one mark
	a, b := 3*int(DefendersHand)+1, 3*int(ZoneFrom)+1
	p.Places.Cov[a*n+b], p.Places.Cov[b*n+a] = .08*.10, .08*.10
	q := p.Aimed()
	if !q.Places.IsValid() {
		t.Fatal("no covariance")
	}
	sampler := quantity.NewJoint(p.Places.Mean, p.Places.Cov).Sampler(rand.NewPCG(8, 2))
	x, m, v, ww := make([]float64, n), make([]float64, n), make([]float64, n), 0.0
	for range 300000 {
		sampler.Next(x)
		two := newPair(x)
		from := placeAt(x, ZoneFrom)
		s, k, _ := nearestOfLines(two.attacker, two.u, math.Inf(1), from, placeAt(x, ZoneTo).less(from))
		off := two.attacker.at(s, two.u).y - from.at(k, placeAt(x, ZoneTo).less(from)).y
		w := math.Exp(-3 * off * off / (.06 * .06) / 2)
		ww += w
		for i := range x {
			m[i] += w * x[i]
			v[i] += w * x[i] * x[i]
		}
	}
	for i := range x {
		m[i] /= ww
		s := math.Sqrt(max(0, v[i]/ww-m[i]*m[i]))
		approx(t, placeNames[i/3], q.Places.Mean[i], m[i], .1*s+1e-3)
		approx(t, placeNames[i/3]+", spread", q.Places.SD(i), s, .2*s+1e-3) // where along the zone is kept
		if i%3 != 1 && math.Abs(q.Places.Mean[i]-p.Places.Mean[i]) > 1e-3 {
			t.Errorf("%s moves by %v up or along", placeNames[i/3], q.Places.Mean[i]-p.Places.Mean[i])
		}
	}
	// It threatens more often for it, and what is asked is no longer a matter of luck.
	before, _ := p.Ask(4000, rand.NewPCG(1, 1))
	after, err := q.Ask(4000, rand.NewPCG(1, 1))
	if err != nil || !(after.Threatens.Mean > .9 && before.Threatens.Mean < .5) {
		t.Errorf("threatens %v, aimed %v: %v", before.Threatens.Mean, after.Threatens.Mean, err)
	}
	// Exact places, and no places, stay as they are.
	if c := p.Certain().Aimed(); c.Places.Mean[1] != p.Places.Mean[1] {
		t.Error("exact places moved")
	}
	if c := (Parry{}).Aimed(); c.Places.Len() != 0 {
		t.Error("places out of nothing")
	}
}

// The attack comes on along its own line: the distance to go falls by as much, the turn
// that is asked for never falls, and at the end the point is at the target.
func TestCarriedAttack(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	rng := rand.New(rand.NewPCG(8, 3))
	done := 0
	for range 200 {
		hand, u, from, to, r := scene(rng)
		p := certainParry(r, .02, hand, hand.at(.88, u), from.plus(vec{-.4, .1, -.1}), from.plus(vec{-1.2, .2, .1}), from, to)
		left := p.ToGo()
		if !(left > 0) {
			continue
		}
		done++
		last := -1.0
		for i := range 9 {
			by := left * quantity.Metres(i) / 8
			q := p.Carried(by)
			approx(t, "to go", float64(q.ToGo()), float64(left-by), 1e-9)
			if a, err := q.Certain().Ask(1, rand.NewPCG(1, 1)); err == nil {
				if s := float64(a.Smallest.Mean); s < last-1e-9 {
					t.Fatalf("the turn falls from %v to %v", last, s)
				} else {
					last = s
				}
			}
		}
		x := p.Carried(left).Places.Mean
		two := newPair(x)
		_, _, apart := nearestOfLines(two.attacker, two.u, two.la, from, to.less(from))
		// At its surface, or within it where the line runs along it.
		if miss, ok := LinePasses(p.Places.Mean, quantity.Metres(r)); ok && miss < 0 && apart > r+1e-6 {
			t.Errorf("the point ends %v from the middle of a target of %v", apart, r)
		}
	}
	if done < 50 {
		t.Errorf("only %d attacks", done)
	}
}
