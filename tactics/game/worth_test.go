package game

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestWalkerWooders: the balance of [.58 .79; .73 .49] is the published mix of the
// receiver, 2/3 (Walker and Wooders, Am. Econ. Rev. 91:1521, 2001, figure 1).
func TestWalkerWooders(t *testing.T) {
	a := [][]float64{{.58, .79}, {.73, .49}}
	all := BalancePoints(a, []float64{.5, .5}, 0)
	if len(all) != 1 {
		t.Fatalf("%v", all)
	}
	b := all[0]
	if math.Abs(float64(b.Share)-2./3) > 1e-12 || math.Abs(b.Worth-.65) > 1e-12 || b.Below != 0 || b.Above != 1 || !b.Best {
		t.Errorf("%+v", b)
	}
	if r := BestReply(a, []float64{.6, .4}); !slices.Equal(r.Choices, []int{0}) || math.Abs(r.Worth-.664) > 1e-12 {
		t.Errorf("below the balance: %+v", r)
	}
	if r := BestReply(a, []float64{.7, .3}); !slices.Equal(r.Choices, []int{1}) {
		t.Errorf("above the balance: %+v", r)
	}
	if r := BestReply(a, []float64{2. / 3, 1. / 3}); !slices.Equal(r.Choices, []int{0, 1}) {
		t.Errorf("at the balance: %+v", r)
	}
	if v := Regret(a, []float64{1, 0}, []float64{.7, .3}); math.Abs(v-(.658-.643)) > 1e-12 {
		t.Errorf("regret %g", v)
	}
}

// TestBalancePointsBySearch walks the share in small steps and looks for changes
// of order, which is the second route.
func TestBalancePointsBySearch(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	found := 0
	for range 200 {
		m, n := 2+r.IntN(3), 2+r.IntN(3)
		a, y := make([][]float64, m), make([]float64, n)
		for i := range a {
			for range n {
				a[i] = append(a[i], r.Float64())
			}
		}
		for j := range y {
			y[j] = r.Float64()
		}
		share(y)
		k := r.IntN(n)
		crossings := 0
		var before []float64
		const steps = 4000
		for s := 0; s <= steps; s++ {
			at := slices.Clone(y)
			for j := range at {
				at[j] *= (1 - float64(s)/steps) / (1 - y[k])
			}
			at[k] = float64(s) / steps
			w := Worth(a, at)
			for i := range w {
				for o := i + 1; before != nil && o < m; o++ {
					if (w[i] > w[o]) != (before[i] > before[o]) {
						crossings++
					}
				}
			}
			before = w
		}
		all := BalancePoints(a, y, k)
		found += len(all)
		if len(all) != crossings {
			t.Errorf("%d balance points, %d found by search", len(all), crossings)
		}
		for _, b := range all {
			at := slices.Clone(y)
			for j := range at {
				at[j] *= (1 - float64(b.Share)) / (1 - y[k])
			}
			at[k] = float64(b.Share)
			w := Worth(a, at)
			if math.Abs(w[b.Below]-w[b.Above]) > 1e-12 || math.Abs(w[b.Below]-b.Worth) > 1e-12 || b.Best != (slices.Max(w) < b.Worth+1e-12) {
				t.Errorf("%+v: %v", b, w)
			}
			none := slices.Clone(y)
			for j := range none {
				none[j] /= 1 - y[k]
			}
			none[k] = 0
			if w := Worth(a, none); w[b.Below] < w[b.Above] {
				t.Errorf("%+v: without their choice, %v", b, w)
			}
		}
	}
	if found < 100 {
		t.Fatalf("only %d balance points", found)
	}
}

func TestBalancePointsAtTheEdge(t *testing.T) {
	if all := BalancePoints([][]float64{{1, 0}, {1, 0}}, []float64{.5, .5}, 0); len(all) != 0 {
		t.Errorf("equal choices cross: %v", all)
	}
	if all := BalancePoints([][]float64{{1}, {0}}, []float64{1}, 0); len(all) != 0 {
		t.Errorf("one column: %v", all)
	}
	// A habit of one choice alone: the rest is taken evenly.
	all := BalancePoints([][]float64{{1, 0, 0}, {0, 1, 0}}, []float64{1, 0, 0}, 0)
	if len(all) != 1 || math.Abs(float64(all[0].Share)-1./3) > 1e-12 {
		t.Errorf("%v", all)
	}
}

// TestTheBestMixHasNoBetterReply: against the equilibrium nobody gains, and a
// habit away from it never costs the best reply anything.
func TestTheBestMixHasNoBetterReply(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for range 300 {
		a := random(r, 6)
		s, err := Solve(a)
		if err != nil {
			t.Fatal(err)
		}
		if v := BestReply(a, s.Column).Worth; math.Abs(v-s.Value) > 1e-8 {
			t.Errorf("best reply to their mix %g, value %g", v, s.Value)
		}
		if v := TheirBestReply(a, s.Row).Worth; math.Abs(v-s.Value) > 1e-8 {
			t.Errorf("their best reply to my mix %g, value %g", v, s.Value)
		}
		habit := make([]float64, len(a[0]))
		for j := range habit {
			habit[j] = r.Float64() + 1e-3
		}
		share(habit)
		if v := BestReply(a, habit).Worth; v < s.Value-1e-8 {
			t.Errorf("a habit brings the best reply %g, less than the value %g", v, s.Value)
		}
		if g := Regret(a, s.Row, habit); g < 0 {
			t.Errorf("regret %g", g)
		}
	}
}

func TestOverDraws(t *testing.T) {
	draws := drawn(300, 3)
	o, err := SolveOver(draws)
	if err != nil {
		t.Fatal(err)
	}
	mean := make([][]float64, 3)
	for i := range mean {
		mean[i] = make([]float64, 3)
		for j := range mean[i] {
			for _, d := range draws {
				mean[i][j] += d[i][j] / float64(len(draws))
			}
		}
	}
	s, err := Solve(mean)
	if err != nil {
		t.Fatal(err)
	}
	if float64(o.Value.Lo) > s.Value || float64(o.Value.Hi) < s.Value || o.Value.SD <= 0 || o.Value.SD > .05 {
		t.Errorf("%+v leaves out %g", o.Value, s.Value)
	}
	sum := 0.0
	for _, v := range o.Row {
		sum += float64(v.Mean)
	}
	if math.Abs(sum-1) > 1e-9 || o.Gap > 1e-9 {
		t.Errorf("shares add up to %g, gap %g", sum, o.Gap)
	}
	draws[7] = draws[7][:2]
	if _, err := SolveOver(draws); err == nil {
		t.Error("draws of different sizes are taken")
	}
}

// TestToldApart: differences of 0.3 and 0.005 under a spread of 0.05·√2·√(½) = 0.05
// (two columns at one half) can and cannot be told apart.
func TestToldApart(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	var draws [][][]float64
	for range 2000 {
		n := func(v float64) float64 { return v + .05*r.NormFloat64() }
		draws = append(draws, [][]float64{{n(.6), n(.6)}, {n(.3), n(.3)}, {n(.595), n(.595)}})
	}
	habit := [][]float64{{.5, .5}}
	far, close := Compare(draws, habit, 0, 1), Compare(draws, habit, 0, 2)
	if !far.Apart || far.First.Mean < .999 {
		t.Errorf("%+v", far)
	}
	// P(first better) = Φ(0.005/0.05) = 0.540.
	if close.Apart || math.Abs(float64(close.First.Mean)-.540) > .045 || math.Abs(float64(close.Difference.SD)-.05) > .003 {
		t.Errorf("%+v", close)
	}
}
