package timing

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// epee is the apparatus of épée as the rules state it.
func epee() Apparatus {
	return Apparatus{Window: .045, Tolerance: .005, ContactMin: .002, ContactMax: .010}
}

// duel is a lunge against an extension to the hand that reacts to it, everything
// uncertain: the race that race_numpy.py runs as well.
func duel(t testing.TB) Race {
	return Race{Runners: [2]Runner{
		{Gap: quantity.Normal(quantity.Metres(.95), .04), Movement: movement(t, Lunge)},
		{Gap: quantity.Normal(quantity.Metres(1.15), .04), Movement: movement(t, Extension),
			Onset: Reacting(Visual(), PerChoice(), 2), TargetOnArm: 1},
	}}
}

func movement(t testing.TB, action string) Movement {
	t.Helper()
	m, err := Default(action, "", "")
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func BenchmarkRace(b *testing.B) {
	for _, draws := range []int{20000, 100000} {
		b.Run(fmt.Sprint(draws), func(b *testing.B) {
			r := duel(b)
			for b.Loop() {
				if _, err := r.Run(epee(), draws, rand.NewPCG(1, 1)); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(draws)*float64(b.N)/b.Elapsed().Seconds(), "draws/s")
		})
	}
	b.Run("retreating", func(b *testing.B) {
		r := duel(b)
		r.Runners[Right].Movement = movement(b, Retreat)
		for b.Loop() {
			r.Run(epee(), 100000, rand.NewPCG(1, 1))
		}
	})
}
