package picture

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/demo/scene"
)

// TestAimedMeetsAsTheSolidDoes compares both routes to the same surface on the
// solids of a figure.
func TestAimedMeetsAsTheSolidDoes(t *testing.T) {
	film := scene.Films()[0]
	eye := film.Camera(&film.Shots[0], 1).At
	figs := film.At(1)
	chance := rand.New(rand.NewPCG(1, 2))
	hits := 0
	for _, s := range figs[0].Solids() {
		a := aim(&s, eye)
		for range 300 {
			aside := vec{X: chance.NormFloat64(), Y: chance.NormFloat64(), Z: chance.NormFloat64()}
			d := s.A.Mix(s.B, 0.5*chance.Float64()).Add(aside.Mul(0.06)).Sub(eye).Unit()
			if s.Kind != scene.Cone {
				d = s.A.Add(aside.Mul(0.1)).Sub(eye).Unit()
			}
			t1, n1, ok1 := s.Hit(eye, d)
			t2, n2, ok2 := a.hit(eye, d)
			if ok1 != ok2 || math.Abs(t1-t2) > 1e-9 || n1.Sub(n2).Len() > 1e-6 {
				t.Fatalf("kind %d: %v %v %v, aimed %v %v %v", s.Kind, t1, n1, ok1, t2, n2, ok2)
			}
			if ok1 {
				hits++
			}
		}
	}
	if hits < 2000 {
		t.Fatalf("only %d rays hit", hits)
	}
}
