package motion

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// step is a foot that is thrown forward: it clears the floor between lift and land,
// the toe goes up a little earlier and comes down a little later (the foot is turned
// about the heel).
type step struct{ lift, land, by, clear, turn float64 }

func (s step) heel(t float64) []float64 {
	k := curve((t - s.lift) / (s.land - s.lift))
	return []float64{s.by * k, 0.03 + s.clear*4*k*(1-k)}
}

func (s step) toe(t float64) []float64 {
	at := s.heel(t)
	up := s.turn * (curve((t-s.lift+0.03)/0.15) - curve((t-s.land+0.08)/0.15))
	return []float64{at[0] + 0.28*math.Cos(up), at[1] + 0.28*math.Sin(up)}
}

// flung is a foot that leaves and strikes at speed: parabola and straight line.
func (s step) flung(t float64) []float64 {
	k := max(0, min(1, (t-s.lift)/(s.land-s.lift)))
	return []float64{s.by * k, 0.03 + s.clear*4*k*(1-k)}
}

// none is a point that was not marked.
func none(float64) []float64 { return nil }

func footSamples(f func(float64) []float64, fps, sd float64, rng *rand.Rand) []Sample {
	if f(0) == nil {
		return nil
	}
	return hand(f, 1.6, fps, sd, rng)
}

// TestContactsOfAStep: lift and strike of a lunge, an advance and a foot that is
// flung are found and dated within half a frame on average, and the 95 % intervals
// hold the truth.
func TestContactsOfAStep(t *testing.T) {
	lunge, advance := step{0.6, 0.95, 0.75, 0.055, 0.5}, step{0.6, 0.82, 0.35, 0.035, 0.2}
	throw := step{0.6, 0.85, 0.75, 0.08, 0}
	for _, c := range []struct {
		name      string
		s         step
		fps, sd   float64
		toe, heel func(step, float64) []float64
		runs      int
	}{
		{"lunge", lunge, 50, 0.01, step.toe, step.heel, 16},
		{"lunge, heel alone", lunge, 50, 0.01, nil, step.heel, 16},
		{"lunge, 2 cm", lunge, 50, 0.02, step.toe, step.heel, 16},
		{"advance", advance, 50, 0.01, step.toe, step.heel, 16},
		{"advance, 5 mm", advance, 50, 0.005, step.toe, step.heel, 16},
		{"lunge at 200", lunge, 200, 0.01, step.toe, step.heel, 6},
		{"flung", throw, 50, 0.01, step.flung, step.flung, 16},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(3, 13))
			var lifts, lands score
			for range c.runs {
				s, shift := c.s, 0.02*rng.Float64()
				s.lift, s.land = s.lift+shift, s.land+shift
				of := func(f func(step, float64) []float64) func(float64) []float64 {
					if f == nil {
						return none
					}
					return func(t float64) []float64 { return f(s, t) }
				}
				toe := footSamples(of(c.toe), c.fps, c.sd, rng)
				heel := footSamples(of(c.heel), c.fps, c.sd, rng)
				got, err := Contacts(toe, heel, ContactOptions{})
				if err != nil {
					t.Fatal(err)
				}
				byKind := map[string][]Onset{}
				for _, g := range got {
					byKind[g.Kind] = append(byKind[g.Kind], Onset{At: g.At})
					if g.After > g.At.Mean || g.By < g.At.Mean {
						t.Errorf("bracketed by %v and %v, at %v", g.After, g.By, g.At)
					}
				}
				lifts.add(byKind[Lifts], s.lift)
				lands.add(byKind[Lands], s.land)
			}
			t.Logf("lift: %v", &lifts)
			t.Logf("land: %v", &lands)
			for kind, s := range map[string]*score{Lifts: &lifts, Lands: &lands} {
				if s.found < 0.95*s.tries || s.extra > 0 || math.Abs(s.bias/s.found) > 0.012 || s.covered/s.found < 0.88 {
					t.Errorf("%s: %v", kind, s)
				}
			}
		})
	}
}

// TestNoContacts: a foot that stands, one that slides, one that rolls over its toe
// and one that lifts its toe only do not leave the floor.
func TestNoContacts(t *testing.T) {
	stand := func(x float64) func(float64) []float64 {
		return func(float64) []float64 { return []float64{x, 0.03} }
	}
	slide := func(x float64) func(float64) []float64 {
		return func(t float64) []float64 { return []float64{x + 0.25*curve((t-0.6)/0.3), 0.03} }
	}
	up := func(x, z, forward float64) func(float64) []float64 {
		return func(t float64) []float64 {
			k := curve((t-0.5)/0.25) - curve((t-1.0)/0.25)
			return []float64{x + forward*k, 0.03 + z*k}
		}
	}
	for name, c := range map[string]struct{ toe, heel func(float64) []float64 }{
		"stands":        {stand(0.28), stand(0)},
		"slides":        {slide(0.28), slide(0)},
		"rolls":         {stand(0.28), up(0, 0.12, 0.05)},
		"lifts its toe": {up(0.28, 0.12, -0.05), stand(0)},
	} {
		rng := rand.New(rand.NewPCG(5, 13))
		n := 0
		for range 12 {
			got, err := Contacts(hand(c.toe, 1.6, 50, 0.01, rng), hand(c.heel, 1.6, 50, 0.01, rng), ContactOptions{})
			if err != nil {
				t.Fatal(err)
			}
			n += len(got) / 2
		}
		t.Logf("%s: %d of 12", name, n)
		if n > 1 {
			t.Errorf("a foot that %s: %d flights in 12 takes", name, n)
		}
	}
}

// TestContactsCutOff: where the samples begin or end in the flight, only the other
// end is named.
func TestContactsCutOff(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 14))
	s := step{0.6, 0.95, 0.75, 0.055, 0.5}
	toe, heel := hand(s.toe, 1.6, 50, 0.005, rng), hand(s.heel, 1.6, 50, 0.005, rng)
	cut := 39 // 0.78 s
	for kind, c := range map[string][2][]Sample{
		Lifts: {toe[:cut], heel[:cut]},
		Lands: {toe[cut:], heel[cut:]},
	} {
		got, err := Contacts(c[0], c[1], ContactOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != 1 || got[0].Kind != kind {
			t.Errorf("%s: %+v", kind, got)
		}
	}
}

// TestLatest: the law of the later of two instants, against draws.
func TestLatest(t *testing.T) {
	law := func(from, to float64) change {
		c := change{at: make([]float64, 100), chance: make([]float64, 100)}
		for i := range c.at {
			c.at[i], c.chance[i] = from+(to-from)*(float64(i)+0.5)/100, 0.01
		}
		return c
	}
	a, b := law(0, 0.3), law(0.1, 0.2) // rectangular
	got := latest(a, b).instant()
	rng := rand.New(rand.NewPCG(1, 15))
	draws := make([]quantity.Seconds, 200000)
	for i := range draws {
		draws[i] = quantity.Seconds(max(0.3*rng.Float64(), 0.1+0.1*rng.Float64()))
	}
	want := quantity.FromDraws(draws)
	for name, v := range map[string][2]quantity.Seconds{"mean": {got.Mean, want.Mean}, "SD": {got.SD, want.SD}, "lo": {got.Lo, want.Lo}, "hi": {got.Hi, want.Hi}} {
		if math.Abs(float64(v[0]-v[1])) > 0.002 {
			t.Errorf("%s %v, want %v", name, v[0], v[1])
		}
	}
	if fmt.Sprint(latest(a, change{}).at) != "[]" {
		t.Error("the later of two instants of which one is not known is known")
	}
}
