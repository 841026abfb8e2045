package motion

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// curve is the minimum-jerk curve 10s³ − 15s⁴ + 6s⁵ and rise its slope (Flash and
// Hogan, J. Neurosci. 5:1688, 1985).
func curve(s float64) float64 {
	s = max(0, min(1, s))
	return s * s * s * (10 - 15*s + 6*s*s)
}

func rise(s float64) float64 {
	s = max(0, min(1, s))
	return 30 * s * s * (1 - s) * (1 - s)
}

// lunge is a hand that goes D metres along the piste in T seconds from On, and a
// little upward.
type lunge struct{ D, T, On, Ends float64 }

func (l lunge) place(t float64) []float64 {
	return []float64{l.D * curve((t-l.On)/l.T), 1.2 + 0.1*l.D*curve((t-l.On)/l.T)}
}

func (l lunge) speed(t float64) []float64 {
	v := l.D / l.T * rise((t-l.On)/l.T)
	return []float64{v, 0.1 * v}
}

func (l lunge) peak() float64 { return 1.875 * l.D / l.T * math.Hypot(1, 0.1) }

// seen samples a lunge as it is followed: a mark every twelfth frame, in between
// places that were followed from it. Half of the variance of a followed place is
// its own, half is a walk away from one mark and back to the next.
func (l lunge) seen(fps, sd float64, rng *rand.Rand) []Sample {
	const every = 12
	var all []Sample
	n := int(l.Ends*fps) + 1
	walk := make([][2]float64, n)
	for from := 0; from < n; from += every { // a Brownian bridge between two marks
		for i := from + 1; i < min(n, from+every); i++ {
			left := float64(from + every - i)
			for a := range 2 {
				walk[i][a] = walk[i-1][a]*left/(left+1) + math.Sqrt(left/(left+1))*rng.NormFloat64()
			}
		}
	}
	for i := range n {
		t := float64(i) / fps
		where := l.place(t)
		own := sd
		if k := i % every; k != 0 {
			spread := math.Sqrt(float64(k*(every-k)) / every)
			own = sd * math.Sqrt(0.5)
			for a := range where {
				where[a] += sd * math.Sqrt(0.5) * walk[i][a] / spread
			}
		}
		for a := range where {
			where[a] += own * rng.NormFloat64()
		}
		all = append(all, Sample{At: quantity.Seconds(t), Where: quantity.Independent(where, []float64{sd, sd})})
	}
	return all
}

// followed says of samples that every twelfth is a mark and the rest followed.
func followed(samples []Sample) []Sample {
	marked := make([]bool, len(samples))
	for i := range marked {
		marked[i] = i%12 == 0
	}
	return Walked(samples, marked, WalkShare)
}

// lunges reach 3 to 4 m/s within 0.3 to 0.4 s of movement (tip and hand in a lunge,
// derived from extensions of 0.45 m in 0.25 s).
var lunges = []lunge{{0.56, 0.30, 0.5, 1.2}, {0.65, 0.35, 0.5, 1.2}, {0.7, 0.4, 0.5, 1.4}, {0.65, 0.35, 2.5, 5}}

// TestPeakOfALunge: the greatest speed of a hand comes out within 5 % on average,
// at 50 frames a second with 1 and 2 cm of noise, whatever time it rested before.
func TestPeakOfALunge(t *testing.T) {
	for _, sd := range []float64{0.01, 0.02} {
		for k, l := range lunges {
			t.Run(fmt.Sprintf("%v m in %v s, %v cm", l.D, l.T, 100*sd), func(t *testing.T) {
				const n = 40
				rng := rand.New(rand.NewPCG(uint64(k), 5))
				var bias, foretold, z float64
				for range n {
					l.On += 0.02 / n // the frames fall differently each time
					samples := l.seen(50, sd, rng)
					p, err := Smooth(followed(samples), Options{Jerk: JerkOf(samples)})
					if err != nil {
						t.Fatal(err)
					}
					peak := p.Peak()
					off := float64(peak.Speed.Mean) - l.peak()
					bias += off / l.peak() / n
					z += off * off / peak.Speed.Variance() / n
					b, err := p.PeakBias(20, rng)
					if err != nil {
						t.Fatal(err)
					}
					foretold += float64(b.Mean) / l.peak() / n
				}
				t.Logf("bias %+.3f, foretold %+.3f, rms error %.2f SD", bias, foretold, math.Sqrt(z))
				if math.Abs(bias) > 0.05 {
					t.Errorf("the peak is off by %.1f %%", 100*bias)
				}
				if math.Sqrt(z) > 1.5 {
					t.Errorf("the peak is off by %.2f of its SD", math.Sqrt(z))
				}
			})
		}
	}
}

// TestIntervalsOfALunge: with the jerk that the samples speak for, the 95 %
// intervals of place and velocity hold the truth as often as they say, in rest and
// in movement.
func TestIntervalsOfALunge(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	in, all := map[string]int{}, map[string]int{}
	outliers, samplesSeen := 0, 0
	for k := range 60 {
		l := lunges[k%len(lunges)]
		l.On += 0.02 * rng.Float64()
		samples := l.seen(50, 0.01, rng)
		p, err := Smooth(followed(samples), Options{Jerk: JerkOf(samples)})
		if err != nil {
			t.Fatal(err)
		}
		outliers, samplesSeen = outliers+len(p.Outliers()), samplesSeen+len(samples)
		for at := 0.0; at < l.Ends; at += 0.011 {
			s := p.At(quantity.Seconds(at))
			phase := "rest"
			if at > l.On && at < l.On+l.T {
				phase = "lunge"
			}
			for c := range 2 {
				x, v, _ := s.Coordinate(c)
				for name, ok := range map[string]bool{
					phase + ", place": x.Covers(quantity.Metres(l.place(at)[c])),
					phase + ", speed": v.Covers(quantity.MetresPerSecond(l.speed(at)[c])),
				} {
					all[name]++
					if ok {
						in[name]++
					}
				}
			}
		}
	}
	if share := float64(outliers) / float64(samplesSeen); share > 2*DefaultGate {
		t.Errorf("%.4f of sound samples are turned away, want %v", share, DefaultGate)
	}
	for name, n := range all {
		share := float64(in[name]) / float64(n)
		t.Logf("%s: %.3f", name, share)
		if share < 0.88 {
			t.Errorf("%s: %.3f of the intervals hold the truth", name, share)
		}
	}
}
