package motion

import (
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// BenchmarkBout smooths what a touch has: 22 points on 500 frames with a mark on
// every twelfth, two coordinates whose errors hang together, three errors shared by
// all samples, the jerk as the samples speak for it.
func BenchmarkBout(b *testing.B) {
	rng := rand.New(rand.NewPCG(7, 7))
	var samples []Sample
	for i := range 500 {
		samples = append(samples, Sample{
			At:     quantity.Seconds(float64(i) / 50),
			Where:  quantity.NewJoint([]float64{rng.NormFloat64() * 0.01, rng.NormFloat64() * 0.01}, []float64{1e-4, 2e-5, 2e-5, 1e-4}),
			Shared: []float64{0.01, 0, 0.001 * float64(i), 0, 0.01, 0.002},
		})
	}
	walked := followed(samples)
	b.ReportAllocs()
	for b.Loop() {
		for range 22 {
			p, err := Smooth(walked, Options{Jerk: JerkOf(samples)})
			if err != nil {
				b.Fatal(err)
			}
			for _, s := range samples {
				p.At(s.At)
			}
		}
	}
}
