package game

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"
)

// tolerance of the outside checks, on values and on both inequalities.
const tolerance = 1e-9

// games are testdata/games.json: named games with their sources and random ones,
// solved by SciPy 1.10.1 (HiGHS) and in exact arithmetic by GLPK 5.0, which agree.
func games(t *testing.T) map[string]struct {
	a     [][]float64
	value float64
} {
	t.Helper()
	raw, err := os.ReadFile("testdata/games.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Named []struct {
			Name  string
			A     [][]float64
			Value float64 `json:"glpk_exact_value"`
		}
		Random []struct {
			Seed  json.Number
			A     [][]float64
			Value float64
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	all := map[string]struct {
		a     [][]float64
		value float64
	}{}
	for _, g := range file.Named {
		all[g.Name] = struct {
			a     [][]float64
			value float64
		}{g.A, g.Value}
	}
	for _, g := range file.Random {
		all["random "+g.Seed.String()] = struct {
			a     [][]float64
			value float64
		}{g.A, g.Value}
	}
	if len(all) != 31 {
		t.Fatalf("%d games, want 31", len(all))
	}
	return all
}

// accept holds a solution against a value by both inequalities, never by its
// mixes: best mixes are often a whole segment.
func accept(t *testing.T, name string, a [][]float64, s Solution, v, tol float64) {
	t.Helper()
	if err := CheckMix(s.Row, len(a)); err != nil {
		t.Errorf("%s: row: %v", name, err)
		return
	}
	if err := CheckMix(s.Column, len(a[0])); err != nil {
		t.Errorf("%s: column: %v", name, err)
		return
	}
	for j := range a[0] {
		got := 0.0
		for i := range a {
			got += s.Row[i] * a[i][j]
		}
		if got < v-tol {
			t.Errorf("%s: my mix gets %.15g against column %d, less than %.15g", name, got, j, v)
		}
	}
	for i := range a {
		got := 0.0
		for j := range a[0] {
			got += a[i][j] * s.Column[j]
		}
		if got > v+tol {
			t.Errorf("%s: row %d gets %.15g against their mix, more than %.15g", name, i, got, v)
		}
	}
	if math.Abs(s.Value-v) > tol || s.Gap > 2*tol {
		t.Errorf("%s: value %.15g, gap %g; want %.15g", name, s.Value, s.Gap, v)
	}
}

func TestAgainstTwoSolvers(t *testing.T) {
	for name, g := range games(t) {
		s, err := Solve(g.a)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		accept(t, name, g.a, s, g.value, tolerance)
	}
}

// TestTheFastWaySuffices: long numbers mend what plain ones lose, and so would
// hide a fault of the fast way; it must do without them on all of these.
func TestTheFastWaySuffices(t *testing.T) {
	for name, g := range games(t) {
		lo, hi := span(g.a)
		if lo == hi {
			continue
		}
		x, y, ended := mixes(len(g.a), len(g.a[0]), func(i, j int) float64 { return 1 + (g.a[i][j]-lo)/(hi-lo) })
		s, err := verified(g.a, x, y, hi-lo)
		if err != nil || !ended {
			t.Errorf("%s: %v", name, err)
			continue
		}
		accept(t, name, g.a, s, g.value, tolerance)
	}
}

// TestKnownValues are fractions from the literature named in the checks: Ferguson,
// Game Theory, part II (odd and even 1/12; dominance 7/4), Williams, The Compleat
// Strategyst (oddments 9/2), Walker and Wooders 2001 (0.65).
func TestKnownValues(t *testing.T) {
	for _, g := range []struct {
		a [][]float64
		v float64
	}{
		{[][]float64{{-2, 3}, {3, -4}}, 1. / 12},
		{[][]float64{{2, 0, 1, 4}, {1, 2, 5, 3}, {4, 1, 3, 2}}, 7. / 4},
		{[][]float64{{3, 6}, {5, 4}}, 9. / 2},
		{[][]float64{{.58, .79}, {.73, .49}}, .65},
		{[][]float64{{7}}, 7},
		{[][]float64{{3, 3, 3}}, 3},
		{[][]float64{{1, 2, 3}}, 1},
		{[][]float64{{1}, {2}, {3}}, 3},
	} {
		s, err := Solve(g.a)
		if err != nil {
			t.Fatal(err)
		}
		accept(t, "known", g.a, s, g.v, tolerance)
	}
}

// random returns a table full of ties, of near ties, or of neither.
func random(r *rand.Rand, most int) [][]float64 {
	a := make([][]float64, 1+r.IntN(most))
	n, kind, k := 1+r.IntN(most), r.IntN(4), 1+r.IntN(4)
	for i := range a {
		a[i] = make([]float64, n)
		for j := range a[i] {
			switch kind {
			case 0:
				a[i][j] = float64(r.IntN(k + 1))
			case 1:
				a[i][j] = r.Float64()
			case 2:
				a[i][j] = float64(r.IntN(2*k+1)-k) / 7
			case 3:
				a[i][j] = float64(r.IntN(2))
				if r.IntN(5) == 0 {
					a[i][j] = 1e-9 * r.Float64()
				}
			}
		}
		if i > 0 && r.IntN(3) == 0 {
			copy(a[i], a[r.IntN(i)])
		}
	}
	return a
}

// TestTiesDoNotStopIt: thousands of degenerate tables, on which textbook simplex
// methods go round or stop.
func TestTiesDoNotStopIt(t *testing.T) {
	r := rand.New(rand.NewPCG(701, 1))
	for range 20000 {
		a := random(r, 9)
		if s, err := Solve(a); err != nil {
			t.Fatalf("%v: %v, gap %g", a, err, s.Gap)
		}
	}
}

// TestAgainstFormulas: without a saddle a 2×2 game is worth
// (ad − bc)/(a + d − b − c) (von Neumann and Morgenstern 1944, 18.2).
func TestAgainstFormulas(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	saddles, mixed := 0, 0
	for range 2000 {
		m := [][]float64{{r.Float64(), r.Float64()}, {r.Float64(), r.Float64()}}
		a, b, c, d := m[0][0], m[0][1], m[1][0], m[1][1]
		lower := max(min(a, b), min(c, d))
		v := lower
		if upper := min(max(a, c), max(b, d)); lower == upper {
			saddles++
		} else {
			mixed++
			v = (a*d - b*c) / (a + d - b - c)
		}
		s, err := Solve(m)
		if err != nil {
			t.Fatal(err)
		}
		accept(t, "2×2", m, s, v, tolerance)
	}
	if saddles < 100 || mixed < 100 {
		t.Fatalf("%d with a saddle, %d without", saddles, mixed)
	}
}

// TestAgainstGonum: gonum's simplex method on games without ties, which it solves.
func TestAgainstGonum(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for range 100 {
		m, n := 2+r.IntN(7), 2+r.IntN(7)
		a := make([][]float64, m)
		table := mat.NewDense(m, n+m, nil)
		cost, ones, slack := make([]float64, n+m), make([]float64, m), make([]int, m)
		for i := range a {
			a[i] = make([]float64, n)
			for j := range a[i] {
				a[i][j] = 1 + r.Float64()
				table.Set(i, j, a[i][j])
				cost[j] = -1
			}
			table.Set(i, n+i, 1)
			ones[i], slack[i] = 1, n+i
		}
		f, _, err := lp.Simplex(cost, table, ones, 1e-12, slack)
		if err != nil {
			t.Fatal(err)
		}
		s, err := Solve(a)
		if err != nil {
			t.Fatal(err)
		}
		accept(t, "gonum", a, s, -1/f, tolerance)
	}
}

// TestAgainstFictitiousPlay: sides that each meet what the other has done so far
// close in on the value from both sides (Brown 1951, Robinson 1951).
func TestAgainstFictitiousPlay(t *testing.T) {
	const rounds = 20000
	for name, g := range games(t) {
		a := g.a
		mine, theirs := make([]float64, len(a)), make([]float64, len(a[0]))
		i, j := 0, 0
		for range rounds {
			for k := range a {
				mine[k] += a[k][j]
			}
			for k := range theirs {
				theirs[k] += a[i][k]
			}
			for k, v := range mine {
				if v > mine[i] {
					i = k
				}
			}
			for k, v := range theirs {
				if v < theirs[j] {
					j = k
				}
			}
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, v := range theirs {
			low = min(low, v/rounds)
		}
		for _, v := range mine {
			high = max(high, v/rounds)
		}
		s, err := Solve(a)
		lo, hi := span(a)
		if err != nil || s.Value < low-tolerance || s.Value > high+tolerance || high-low > .05*(hi-lo)+tolerance {
			t.Errorf("%s: %g is not between %g and %g (%v)", name, s.Value, low, high, err)
		}
	}
}

// TestShiftScaleAndTurn: what is added to every payoff is added to the value, a
// unit multiplies it, and from the other side of the table it is its negative.
func TestShiftScaleAndTurn(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	for range 200 {
		a := random(r, 6)
		s, err := Solve(a)
		if err != nil {
			t.Fatal(err)
		}
		shifted, turned := make([][]float64, len(a)), make([][]float64, len(a[0]))
		for i, row := range a {
			shifted[i] = make([]float64, len(row))
			for j, v := range row {
				shifted[i][j] = 250*v - 40
				turned[j] = append(turned[j], -v)
			}
		}
		moved, err1 := Solve(shifted)
		other, err2 := Solve(turned)
		if err1 != nil || err2 != nil || math.Abs(moved.Value-(250*s.Value-40)) > 1e-6 || math.Abs(other.Value+s.Value) > 1e-8 {
			t.Errorf("%g, %g, %g (%v, %v)", s.Value, moved.Value, other.Value, err1, err2)
		}
	}
}

func TestBadTables(t *testing.T) {
	nan := math.NaN()
	big := make([][]float64, MaxChoices+1)
	for i := range big {
		big[i] = []float64{1}
	}
	for _, c := range []struct {
		a           [][]float64
		row, column int
	}{
		{nil, 0, 0}, {[][]float64{}, 0, 0}, {[][]float64{{}}, 0, 0}, {big, 0, 0},
		{[][]float64{{1, 2}, {3}}, 2, 0},
		{[][]float64{{1, 2}, {3, nan}}, 2, 2},
		{[][]float64{{1, math.Inf(-1)}, {3, 4}}, 1, 2},
		{[][]float64{{1, 2}, {1e10, 4}}, 2, 1},
	} {
		var bad *BadTable
		if _, err := Solve(c.a); !errors.As(err, &bad) || bad.Row != c.row || bad.Column != c.column || bad.Hint() == "" {
			t.Errorf("%v: %v", c.a, err)
		}
	}
	for _, m := range [][]float64{{1}, {.5, .4}, {1.5, -.5}, {nan, 1}} {
		var bad *BadTable
		if err := CheckMix(m, 2); !errors.As(err, &bad) {
			t.Errorf("mix %v is taken", m)
		}
	}
}

// BenchmarkDraws holds the number to reach: 8×8 choices over 500 draws in 150 ms.
func BenchmarkDraws(b *testing.B) {
	draws := drawn(500, 8)
	b.ResetTimer()
	for range b.N {
		if _, err := SolveOver(draws); err != nil {
			b.Fatal(err)
		}
	}
}

// drawn returns draws of a payoff table of chances.
func drawn(n, size int) [][][]float64 {
	r := rand.New(rand.NewPCG(4, 4))
	all := make([][][]float64, n)
	for d := range all {
		all[d] = make([][]float64, size)
		for i := range all[d] {
			all[d][i] = make([]float64, size)
			for j := range all[d][i] {
				all[d][i][j] = .2 + .1*float64((3*i+5*j)%7) + .05*r.NormFloat64()
			}
		}
	}
	return all
}
