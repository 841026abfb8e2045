package habit

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"mesure/quantity"
)

// TestDependsByPublishedTables: testdata/proportions.json. Fisher's tea and convictions
// and a table of 11, 3, 1 and 9 (scipy.stats.fisher_exact), the eight differences of
// Newcombe 1998, table II, method 10, to the four digits printed there, and Holm's
// example.
func TestDependsByPublishedTables(t *testing.T) {
	raw, err := os.ReadFile("testdata/proportions.json")
	if err != nil {
		t.Fatal(err)
	}
	var c struct {
		Fisher []struct {
			Table       [2][2]int
			Alternative string
			P           float64
		}
		Differences []struct {
			X1, N1, X2, N2 int
			Diff           float64
			Interval       [2]float64
			Published      [2]float64
		} `json:"newcombe_difference"`
		Holm struct{ P, Adjusted []quantity.Chance }
	}
	if err := json.Unmarshal(raw, &c); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, f := range c.Fisher {
		if f.Alternative != "two-sided" {
			continue
		}
		a, b := f.Table[0], f.Table[1]
		agree(t, "Fisher", float64(Counts{a[0], a[0] + a[1], b[0], b[0] + b[1]}.ByChance()), f.P, tolerance)
		n++
	}
	for _, d := range c.Differences {
		q := Counts{d.X1, d.N1, d.X2, d.N2}.Difference()
		agree(t, "difference", float64(q.Mean), d.Diff, tolerance)
		for i, v := range []quantity.Ratio{q.Lo, q.Hi} {
			agree(t, "end", float64(v), d.Interval[i], tolerance)
			agree(t, "published end", float64(v), d.Published[i], 5.1e-5)
		}
		n++
	}
	for i, p := range OfMany(c.Holm.P) {
		agree(t, "Holm", float64(p), float64(c.Holm.Adjusted[i]), 1e-12)
		n++
	}
	if n != 3+8+4 {
		t.Fatalf("%d checks", n)
	}
}

// TestNoSituationIsSeldomSeen: where the situation plays no part, the chance of a
// coincidence is below one in twenty at most one time in twenty, one situation or eight.
func TestNoSituationIsSeldomSeen(t *testing.T) {
	r := rand.New(rand.NewPCG(1935, 1979))
	const fencers = 1000
	one, any := 0, 0
	for range fencers {
		var all []quantity.Chance
		for range 8 {
			c := Counts{HereOf: 6 + r.IntN(10), OtherOf: 6 + r.IntN(20)}
			p := r.Float64()
			for i := range c.HereOf + c.OtherOf {
				if r.Float64() < p && i < c.HereOf {
					c.Here++
				} else if i >= c.HereOf && r.Float64() < p {
					c.Other++
				}
			}
			all = append(all, c.ByChance())
		}
		if all[0] < .05 {
			one++
		}
		for _, p := range OfMany(all) {
			if p < .05 {
				any++
				break
			}
		}
	}
	if most := fencers * (.05 + 4*math.Sqrt(.05*.95/fencers)); float64(one) > most || float64(any) > most || one == 0 {
		t.Errorf("%d and %d of %d", one, any, fencers)
	}
}
