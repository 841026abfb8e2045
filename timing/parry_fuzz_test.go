package timing

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// Any places: refused with a named error, or answered with finite numbers that keep
// the laws.
func FuzzParry(f *testing.F) {
	f.Add(uint64(1), 1.0, .1, .05, .02)
	f.Add(uint64(2), .3, .0, .05, .0)
	f.Add(uint64(3), .01, .3, .0, .3)
	f.Fuzz(func(t *testing.T, seed uint64, scale, radius, margin, sd float64) {
		if !(math.Abs(scale) < 1e3 && sd >= 0 && sd < 1) {
			return
		}
		rng := rand.New(rand.NewPCG(seed, 1))
		n := 18 + 3*int(seed%2)
		x, s := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], s[i] = scale*rng.NormFloat64(), sd*rng.Float64()
		}
		switch seed % 5 { // places that fall together, blades along each other, axes
		case 0:
			copy(x[15:18], x[12:15])
		case 1:
			copy(x[9:12], x[3:6])
		case 2:
			for i := range x {
				x[i] = math.Round(x[i])
			}
		case 3:
			x[0], x[1], x[2], x[3], x[4], x[5] = 0, 0, 0, .9, 0, 0
			x[6], x[7], x[8], x[9], x[10], x[11] = 1.5, 0, 0, .6, 0, 0
			x[12], x[13], x[14], x[15], x[16], x[17] = 2, 0, 0, 2.5, 0, 0
		}
		p := Parry{Places: quantity.Independent(x, s), Radius: quantity.Of[quantity.Metres]{Mean: quantity.Metres(radius), SD: quantity.Metres(sd / 5)}, Margin: quantity.Metres(margin)}
		a, err := p.Ask(50, rand.NewPCG(seed, 2))
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without words")
			}
			return
		}
		if !a.Threatens.IsValid() || !a.Smallest.IsValid() || !a.HandToZone.IsValid() || a.Smallest.Lo < 0 {
			t.Errorf("%+v", a)
		}
		for _, w := range a.Ways {
			if m := w.Meeting; m != nil && (!(m.Leverage > 1) || math.IsNaN(float64(m.Path)) || m.DefenderPart != Forte || m.Path < m.Travel || m.Travel < m.StillTravel-1e-9) {
				t.Errorf("%+v", m)
			}
			if math.IsNaN(float64(w.Turn)) || w.Turn < a.Ways[0].Turn-1e-9 {
				t.Errorf("way %v, smallest %v", w.Turn, a.Ways[0].Turn)
			}
		}
		if b := a.Best; b != nil && (math.IsNaN(float64(b.Path.Mean)) || math.IsNaN(float64(b.Sweep.Mean))) {
			t.Errorf("%+v", b)
		}
		if j, err := Judge(p, p, 50, rand.NewPCG(seed, 3)); err != nil || !j.Asked.IsValid() || !j.Clear.IsValid() || !j.Leverage.IsValid() || j.Reason == "" {
			t.Errorf("%v %+v", err, j)
		}
	})
}
