package timing

import (
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// uncertain is a parry with everything uncertain, as marks on a picture leave it:
// 5 cm across the piste, 2 cm along it and upwards.
func uncertain(p Parry) Parry {
	q := Parry{Places: quantity.NewJoint(p.Places.Mean, p.Places.Cov), Radius: p.Radius, Margin: p.Margin}
	n := q.Places.Len()
	for i := range n {
		sd := [3]float64{.02, .05, .02}[i%3]
		q.Places.Cov[i*n+i] = sd * sd
	}
	q.Radius.SD = .02
	return q
}

func BenchmarkParry(b *testing.B) {
	p := uncertain(facing(.2, 1.2))
	for b.Loop() {
		if _, err := p.Ask(20000, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParryJudged(b *testing.B) {
	p := uncertain(facing(.2, 1.2))
	for b.Loop() {
		if _, err := Judge(p, p, 20000, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkParryAtMeans(b *testing.B) {
	p := uncertain(facing(.2, 1.2)).Certain()
	for b.Loop() {
		if _, err := p.Ask(1, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
}
