package chart

import (
	"errors"
	"math"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/plate"
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

func TestReliabilityIsSaid(t *testing.T) {
	x := trusted(t)
	d, err := Reliability(x, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := strings.Join(linesOf(d), "\n")
	for _, want := range []string{"1.2\u00a0%", "0.8\u00a0%", "0.152", plate.Count(x.N), plate.Count(x.Bins[0].N), "of 10"} {
		if !strings.Contains(s, want) {
			t.Errorf("%q is not said", want)
		}
	}
	if !strings.Contains(d.Desc, plate.Percent(x.Bins[3].Observed)) {
		t.Errorf("the description lacks a bin: %s", d.Desc)
	}
	if _, err := Reliability(Calibration{Bins: []ReliabilityBin{{Predicted: 0.5}}}, Options{}); !errors.Is(err, ErrNoReliability) {
		t.Errorf("without a count: %v", err)
	}
	x.Bins[2].Observed.Mean = quantity.Chance(math.NaN())
	x.Bins[4].Predicted = quantity.Chance(math.NaN())
	if _, err := Reliability(x, Options{}); err != nil {
		t.Errorf("a share that is none: %v", err)
	}
}
