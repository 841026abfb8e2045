package chart

import (
	"testing"

	"mesure/quantity"
)

// trusted is a trial of chances, made up.
func trusted(t testing.TB) Calibration {
	x := Calibration{Of: "lamps of 2 400 simulated touches", Source: "simulated touches, drawn from the stated spreads", Brier: 0.152, ECE: 0.0123, ECEByLuck: 0.008}
	for i, k := range []struct{ n, hits int }{{4210, 180}, {1200, 190}, {640, 150}, {420, 160}, {380, 165}, {360, 205}, {410, 260}, {520, 400}, {900, 760}, {2100, 2030}} {
		x.Bins = append(x.Bins, ReliabilityBin{Predicted: quantity.Chance(0.05 + 0.1*float64(i)), Observed: quantity.FromCounts(k.hits, k.n), N: k.n})
		x.N += k.n
	}
	return x
}
