package motion

import (
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

// fling is a foot that leaves and strikes at speed: parabola and straight line.
func (s step) fling(t float64) []float64 {
	k := max(0, min(1, (t-s.lift)/(s.land-s.lift)))
	return []float64{s.by * k, 0.03 + s.clear*4*k*(1-k)}
}

func TestContactsOfAStep(t *testing.T) {
	for _, c := range []struct {
		name     string
		s        step
		fps, sd  float64
		toe, hee bool
		fling    bool
	}{
		{"lunge", step{0.6, 0.95, 0.75, 0.055, 0.5}, 50, 0.01, true, true, false},
		{"lunge, heel alone", step{0.6, 0.95, 0.75, 0.055, 0.5}, 50, 0.01, false, true, false},
		{"advance", step{0.6, 0.82, 0.35, 0.035, 0.2}, 50, 0.01, true, true, false},
		{"advance, 5 mm", step{0.6, 0.82, 0.35, 0.035, 0.2}, 50, 0.005, true, true, false},
		{"lunge at 200", step{0.6, 0.95, 0.75, 0.055, 0.5}, 200, 0.01, true, true, false},
		{"flung", step{0.6, 0.85, 0.75, 0.08, 0}, 50, 0.01, true, true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			const n = 40
			rng := rand.New(rand.NewPCG(3, 13))
			found := 0
			off, square, covered, sds := map[string]float64{}, map[string]float64{}, map[string]float64{}, map[string]float64{}
			for range n {
				s := c.s
				shift := 0.02 * rng.Float64()
				s.lift, s.land = s.lift+shift, s.land+shift
				var toe, heel []Sample
				if c.toe {
					f := s.toe
					if c.fling {
						f = s.fling
					}
					toe = hand(f, 1.6, c.fps, c.sd, rng)
				}
				if c.hee {
					f := s.heel
					if c.fling {
						f = s.fling
					}
					heel = hand(f, 1.6, c.fps, c.sd, rng)
				}
				got, err := Contacts(toe, heel, ContactOptions{})
				if err != nil {
					t.Fatal(err)
				}
				if len(got) != 2 || got[0].Kind != Lifts || got[1].Kind != Lands {
					continue
				}
				found++
				for i, truth := range []float64{s.lift, s.land} {
					k := got[i].Kind
					d := float64(got[i].At.Mean) - truth
					off[k] += d
					square[k] += d * d
					sds[k] += float64(got[i].At.SD)
					if got[i].At.Covers(quantity.Seconds(truth)) {
						covered[k]++
					}
				}
			}
			f := float64(found)
			for _, k := range []string{Lifts, Lands} {
				t.Logf("%s: found %d of %d, bias %+.1f ms, rms %.1f ms, SD %.1f ms, coverage %.2f", k, found, n, 1000*off[k]/f, 1000*math.Sqrt(square[k]/f), 1000*sds[k]/f, covered[k]/f)
			}
		})
	}
}
