package motion

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// hand samples a movement at a frame rate with white noise.
func hand(place func(t float64) []float64, ends, fps, sd float64, rng *rand.Rand) []Sample {
	var all []Sample
	for i := 0; float64(i)/fps <= ends; i++ {
		t := float64(i) / fps
		where := place(t)
		spread := make([]float64, len(where))
		for a := range where {
			where[a] += sd * rng.NormFloat64()
			spread[a] = sd
		}
		all = append(all, Sample{At: quantity.Seconds(t), Where: quantity.Independent(where, spread)})
	}
	return all
}

func TestOnsetOfALunge(t *testing.T) {
	for _, c := range []struct {
		fps, sd float64
	}{{50, 0.01}, {50, 0.02}, {200, 0.01}, {200, 0.02}} {
		for k, l := range []lunge{{0.45, 0.25, 0.6, 1.4}, {0.65, 0.35, 0.6, 1.4}, {1.2, 0.6, 0.6, 1.8}} {
			t.Run(fmt.Sprintf("%v m in %v s at %v, %v cm", l.D, l.T, c.fps, 100*c.sd), func(t *testing.T) {
				const n = 60
				rng := rand.New(rand.NewPCG(uint64(k), 11))
				var bias, square, covered, spread float64
				found := 0
				for range n {
					on := 0.6 + 0.02*rng.Float64()
					l.On = on
					got, err := Onsets(hand(l.place, l.Ends, c.fps, c.sd, rng), OnsetOptions{Toward: []float64{1, 0}})
					if err != nil {
						t.Fatal(err)
					}
					if len(got) != 1 {
						continue
					}
					found++
					off := float64(got[0].At.Mean) - on
					bias += off
					square += off * off
					spread += float64(got[0].At.SD)
					if got[0].At.Covers(quantity.Seconds(on)) {
						covered++
					}
				}
				f := float64(found)
				t.Logf("found %d of %d, bias %+.1f ms, rms %.1f ms, SD %.1f ms, coverage %.2f", found, n, 1000*bias/f, 1000*math.Sqrt(square/f), 1000*spread/f, covered/f)
			})
		}
	}
}

func TestRestDoesNotBegin(t *testing.T) {
	for _, sd := range []float64{0.01, 0.02} {
		for _, fps := range []float64{50, 200} {
			rng := rand.New(rand.NewPCG(4, 12))
			still := func(float64) []float64 { return []float64{1, 1.2} }
			n := 0
			for range 10 {
				got, err := Onsets(hand(still, 10, fps, sd, rng), OnsetOptions{})
				if err != nil {
					t.Fatal(err)
				}
				n += len(got)
			}
			t.Log(sd, fps, n)
		}
	}
}
