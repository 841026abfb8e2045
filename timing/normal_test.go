package timing

import (
	"math"
	"testing"
)

// The layers have equal areas and end at the top of the curve.
func TestZigguratCloses(t *testing.T) {
	f := func(x float64) float64 { return math.Exp(-x * x / 2) }
	tail := math.Sqrt(math.Pi/2) * math.Erfc(tailStart/math.Sqrt2)
	approx(t, "lowest layer", tailStart*f(tailStart)+tail, layerArea, 1e-13)
	last := ziggurat.edge[layers-1]
	approx(t, "top", layerArea/last+f(last), 1, 1e-7)
	for i := 1; i < layers-1; i++ {
		approx(t, "area", ziggurat.edge[i]*(ziggurat.height[i+1]-ziggurat.height[i]), layerArea, 1e-13)
		if ziggurat.edge[i+1] >= ziggurat.edge[i] {
			t.Fatalf("layer %d is not narrower than the one below", i)
		}
	}
}

// Four million numbers against the normal law, bin by bin and beyond the start of
// the tail; drawn alone and by the column.
func TestNormalLaw(t *testing.T) {
	manyDraws(t)
	const n, width, half = 4_000_000, 0.02, 200
	in := input{sd: 1, lo: math.Inf(-1), hi: math.Inf(1)}
	for name, draw := range map[string]func(*stream) float64{
		"alone":  func(s *stream) float64 { return s.normal() },
		"column": func(s *stream) float64 { var v [1]float64; in.fill(v[:], s); return v[0] },
	} {
		s := &stream{77}
		bins := map[int]int{}
		tails := [2]int{}
		var sum, squares, with, before float64
		for range n {
			z := draw(s)
			bins[int(math.Floor(z/width))]++
			if z > tailStart {
				tails[1]++
			} else if z < -tailStart {
				tails[0]++
			}
			sum += z
			squares += z * z
			with += z * before
			before = z
		}
		check := func(what string, hits int, p float64) {
			t.Helper()
			approx(t, name+" "+what, float64(hits)/n, p, 4.5*math.Sqrt(p/n))
		}
		// χ² over the bins: mean 2·half, SD √(4·half).
		chi := 0.0
		for b := -half; b < half; b++ {
			want := n * (normalCDF(float64(b+1)*width) - normalCDF(float64(b)*width))
			chi += (float64(bins[b]) - want) * (float64(bins[b]) - want) / want
		}
		if chi > 2*half+4.5*math.Sqrt(4*half) {
			t.Errorf("%s: χ² is %.0f over %d bins", name, chi, 2*half)
		}
		check("left tail", tails[0], normalCDF(-tailStart))
		check("right tail", tails[1], normalCDF(-tailStart))
		approx(t, name+" mean", sum/n, 0, 4/math.Sqrt(n))
		approx(t, name+" variance", squares/n, 1, 4*math.Sqrt(2.0/n))
		approx(t, name+" lag 1", with/n, 0, 4/math.Sqrt(n))
	}
}

// SplitMix64 against its published first outputs for the seed 1234567 (Vigna's
// reference code; recalled, and equal to java.util.SplittableRandom's mixing).
func TestStreamBits(t *testing.T) {
	s := &stream{1234567}
	for i, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423} {
		if got := s.bits(); got != want {
			t.Errorf("number %d: %d, want %d", i, got, want)
		}
	}
	for range 1000 {
		if u := s.unit(); !(u > 0 && u < 1) {
			t.Fatalf("%g is not between 0 and 1", u)
		}
	}
}

// manyDraws leaves a test of a million draws out of the short run, which looks
// for data races and needs no such numbers.
func manyDraws(t *testing.T) {
	if testing.Short() {
		t.Skip("a million draws: run without -short")
	}
}
