package camera

import (
	"math/rand/v2"
	"testing"
)

func BenchmarkPlace(b *testing.B) {
	pic := sideOn().picture(rand.New(rand.NewPCG(1, 1)), 1.5, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Place(pic, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPlaceLines has marks on five lines and no crossing.
func BenchmarkPlaceLines(b *testing.B) {
	s := sideOn()
	pic := Picture{Width: s.width, Height: s.height, Lines: s.lines(rand.New(rand.NewPCG(1, 1)), 1.5,
		"near-edge", .3, .5, .65, "far-edge", .3, .45, .7, "left-on-guard", .2, .8, "right-on-guard", .3, .9, "centre", .4)}
	for b.Loop() {
		if _, err := Place(pic, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPlaceTogether(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	var pics []Picture
	for k := range 5 {
		pics = append(pics, panning(k).picture(rng, 1.5, 1))
	}
	for b.Loop() {
		if _, err := PlaceTogether(pics, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLocate is one instant: eleven points of each fencer.
func BenchmarkLocate(b *testing.B) {
	s := sideOn()
	rng := rand.New(rand.NewPCG(1, 1))
	p, err := Place(s.picture(rng, 1.5, 1), Options{})
	if err != nil {
		b.Fatal(err)
	}
	var seen []Sighting
	for range 22 {
		seen = append(seen, Sighting{At: s.see(rng, 1.5, vec{rng.Float64()*5 - 2.5, 0, 1.8 * rng.Float64()})})
	}
	plane, err := FitPlane(p, seen[:8])
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Locate(plane, seen); err != nil {
			b.Fatal(err)
		}
	}
}
