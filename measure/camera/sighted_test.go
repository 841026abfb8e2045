package camera

import (
	"math/rand/v2"
	"testing"

	"mesure/sport/mark"
)

// A place taken apart adds up to the one that Locate gives (second route), and a point
// seen without error lies on the plane.
func TestSighted(t *testing.T) {
	s := sideOn()
	rng := rand.New(rand.NewPCG(3, 9))
	p, err := Place(s.picture(rng, 1.5, 1), Options{Distortion: true})
	if err != nil {
		t.Fatal(err)
	}
	feet := []Sighting{{At: s.see(rng, 1, vec{-1, 0.1, 0.02})}, {At: s.see(rng, 1, vec{1.3, 0.05, 0.02})}}
	fitted, err := FitPlane(p, feet)
	if err != nil {
		t.Fatal(err)
	}
	for _, plane := range []Plane{AxisPlane(), fitted, MeanPlane([]Plane{fitted, fitted})} {
		g := Sighting{At: mark.Pixel{U: 700, V: 310}, SD: 2, Off: -0.1, OffSD: 0.08}
		got, err := p.Sighter(plane).Sighted(g)
		if err != nil {
			t.Fatal(err)
		}
		want, err := p.Locate(plane, []Sighting{g})
		if err != nil {
			t.Fatal(err)
		}
		for a := range 3 {
			near(t, "place", got.At[a], want.Mean[a], 1e-12)
			for b := range 3 {
				sum := got.Own[a][b] + got.Off[a]*got.Off[b]
				for _, c := range got.Shared {
					sum += c[a] * c[b]
				}
				near(t, "covariance", sum, want.Covariance(a, b), 1e-9)
			}
		}
		near(t, "plane", got.At[1], plane.Across(got.At[0])-0.1, 1e-9)
	}
	mean := MeanPlane([]Plane{fitted, fitted})
	near(t, "mean plane", float64(mean.At0.Mean), float64(fitted.At0.Mean), 1e-12)
	near(t, "its spread", float64(mean.At0.SD), float64(fitted.At0.SD), 1e-9)
}
