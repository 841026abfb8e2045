package timing

import (
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// lungeAt is a lunge from this gap against a defender whose point is that far
// from the forearm behind the guard.
func lungeAt(t testing.TB, gap, own float64) Exchange {
	d := NewDefence(quantity.Normal(quantity.Metres(own), .03))
	d.TargetOnArm = .5
	return Exchange{Attack: NewAttack(quantity.Normal(quantity.Metres(gap), .03), movement(t, Lunge)), Defence: d}
}

func windows(t testing.TB, x Exchange, draws int, seed uint64) Windows {
	t.Helper()
	w, err := x.Windows(epee(), draws, rand.NewPCG(seed, 5))
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func of(t testing.TB, w Windows, a Answer) Window {
	t.Helper()
	e, ok := w.Of(a)
	if !ok {
		t.Fatalf("no window of %s", a)
	}
	return e
}

func BenchmarkWindows(b *testing.B) {
	x := lungeAt(b, 1.2, 1.3)
	for b.Loop() {
		if _, err := x.Windows(epee(), 20000, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
}

func TestWindowsPrint(t *testing.T) {
	w := windows(t, lungeAt(t, 1.2, 1.3), 20000, 1)
	t.Logf("hit %+v arrives %v\ncue %+v\nready %+v", w.Hit, w.Arrives.Mean, w.Cue, w.Ready)
	for _, e := range w.Each {
		t.Logf("%-20s earliest %.3f latest %.3f±%.3f possible %.3f in time %.4f spare %.3f", e.Answer, e.Earliest.Mean, e.Latest.Mean, e.Latest.SD, e.Possible.Mean, e.InTime.Mean, e.Spare.Mean)
	}
}
