package timing

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// T17 (common practice): the straight line is the fastest, each feint costs a tempo.
func TestTradeEachFeintCostsATempo(t *testing.T) {
	for _, action := range []string{Extension, Lunge, StepLunge} {
		m := movement(t, action)
		at, ok := m.TimeTo(m.Reach().Mean * .8)
		if !ok {
			t.Fatal(action)
		}
		simple := quantity.Normal(at, .04)
		last := simple
		for feints := range 4 {
			c := Compound(simple, feints, quantity.Normal(DisengageTime, DisengageTimeSD))
			approx(t, "compound", float64(c.Mean), float64(at)+.150*float64(feints), 1e-12)
			if c.Mean < last.Mean || c.SD < last.SD {
				t.Errorf("%s with %d feints is quicker or surer: %v after %v", action, feints, c, last)
			}
			last = c
		}
	}
	if Compound(seconds(.5, .1), -2, seconds(.15, .03)).Mean != .5 {
		t.Error("fewer feints than none")
	}
}

// T18 (common practice): the disengage must start one disengage time before the
// predicted contact of the blades; with spread, against counted draws.
func TestTradeDisengageBeforeContact(t *testing.T) {
	contact := seconds(.400, 0)
	for _, c := range []struct{ start, want float64 }{{.250 - 1e-9, 1}, {.250 + 1e-9, 0}} {
		e := Evade(seconds(c.start, 0), quantity.Exactly(DisengageTime), contact)
		approx(t, "latest", float64(e.Latest.Mean), .250, 1e-12)
		approx(t, "in time", float64(e.InTime), c.want, 0)
	}
	rng := rand.New(rand.NewPCG(1, 18))
	start, takes, meets := seconds(.24, .02), seconds(.15, .03), seconds(.40, .015)
	e := Evade(start, takes, meets)
	n, hits := 200000, 0
	draw := func(q quantity.Of[quantity.Seconds]) float64 {
		return float64(q.Mean) + float64(q.SD)*rng.NormFloat64()
	}
	for range n {
		if draw(start)+draw(takes) <= draw(meets) {
			hits++
		}
	}
	p := float64(hits) / float64(n)
	approx(t, "chance", float64(e.InTime), p, 5*math.Sqrt(p*(1-p)/float64(n)))
}
