package habit

import (
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"mesure/quantity"
)

// permutations calls f with every different order of a sorted sequence.
func permutations(v []int, f func([]int)) {
	for {
		f(v)
		i := len(v) - 2
		for i >= 0 && v[i] >= v[i+1] {
			i--
		}
		if i < 0 {
			return
		}
		j := len(v) - 1
		for v[j] <= v[i] {
			j--
		}
		v[i], v[j] = v[j], v[i]
		slices.Reverse(v[i+1:])
	}
}

func repeats(v []int) int {
	n := 0
	for i := 1; i < len(v); i++ {
		if v[i] == v[i-1] {
			n++
		}
	}
	return n
}

// TestOrdersByCounting counts every order one by one.
func TestOrdersByCounting(t *testing.T) {
	for _, c := range [][]int{{0, 1}, {0, 0, 0}, {0, 0, 1, 1, 1}, {0, 0, 0, 1, 1, 2, 2}, {0, 0, 0, 1, 2, 2, 2, 3}} {
		want := make([]int64, len(c))
		counts := map[int]int{}
		for _, v := range c {
			counts[v]++
		}
		permutations(slices.Clone(c), func(v []int) { want[repeats(v)]++ })
		for s, n := range ordersByRepeats(counts, 4) {
			if n.Cmp(big.NewInt(want[s])) != 0 {
				t.Errorf("%v with %d repeats: %v, counted %d", c, s, n, want[s])
			}
		}
	}
}

// TestTheRunsTest: for two kinds, P(2k runs) = 2·C(m−1,k−1)·C(n−1,k−1)/C(m+n,n)
// (Wald and Wolfowitz, Ann. Math. Stat. 11:147, 1940).
func TestTheRunsTest(t *testing.T) {
	const m, n = 11, 9
	orders := ordersByRepeats(map[int]int{0: m, 1: n}, 2)
	all := new(big.Int).Binomial(m+n, n)
	for k := int64(1); k <= n; k++ {
		want := new(big.Int).Binomial(m-1, k-1)
		want.Mul(want, new(big.Int).Binomial(n-1, k-1)).Mul(want, big.NewInt(2))
		if got := orders[m+n-2*k]; got.Cmp(want) != 0 {
			t.Errorf("%d runs: %v, want %v", 2*k, got, want)
		}
	}
	sum := new(big.Int)
	for _, o := range orders {
		sum.Add(sum, o)
	}
	if sum.Cmp(all) != 0 {
		t.Errorf("%v orders, want %v", sum, all)
	}
}

func order(t *testing.T, choices int, seen []int) Order {
	t.Helper()
	o, err := OrderOf(choices, seen)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// TestTurnsAndBunches: ten by turns are alternating, ten in two bunches repeating;
// each is the extreme of C(10,5) = 252 orders, of which two are so.
func TestTurnsAndBunches(t *testing.T) {
	turns := order(t, 2, []int{0, 1, 0, 1, 0, 1, 0, 1, 0, 1})
	bunches := order(t, 2, []int{0, 0, 0, 0, 0, 1, 1, 1, 1, 1})
	agree(t, "turns", float64(turns.SoFew), 2./252, 1e-15)
	agree(t, "bunches", float64(bunches.SoMany), 2./252, 1e-15)
	if !turns.Alternating() || turns.Repeating() || bunches.Alternating() || !bunches.Repeating() {
		t.Errorf("%+v %+v", turns, bunches)
	}
	agree(t, "expected", float64(turns.Expected), 4, 1e-15)
	for _, few := range [][]int{nil, {1}, {0, 0, 0}, {0, 1}, {0, 1, 0}} {
		if o := order(t, 2, few); o.Alternating() || o.Repeating() {
			t.Errorf("%v is called an order: %+v", few, o)
		}
	}
}

// TestChanceIsNotFlagged: of fencers who choose by chance at most a twentieth is
// flagged each way, since the law is exact; the share of changes is 2p(1−p).
func TestChanceIsNotFlagged(t *testing.T) {
	r := rand.New(rand.NewPCG(28, 28))
	const fencers, long, p = 2000, 40, .3
	turns, bunches, changes := 0, 0, 0
	for range fencers {
		v := make([]int, long)
		for i := range v {
			if r.Float64() < p {
				v[i] = 1
			}
		}
		o := order(t, 2, v)
		if o.Alternating() {
			turns++
		}
		if o.Repeating() {
			bunches++
		}
		changes += long - 1 - o.Repeats
	}
	most := .05 + 4*math.Sqrt(.05*.95/fencers)
	if a, b := float64(turns)/fencers, float64(bunches)/fencers; a > most || b > most || a < .01 || b < .01 {
		t.Errorf("flagged %g and %g", a, b)
	}
	agree(t, "changes", float64(changes)/(fencers*(long-1)), 2*p*(1-p), .006)
}

// TestLongSequences are cut to the newest, and stay exact.
func TestLongSequences(t *testing.T) {
	v := make([]int, 1000)
	for i := range v {
		v[i] = i % 5
	}
	o := order(t, 5, v)
	if o.Choices != MostOrdered || !o.Alternating() || !(o.SoFew > 0) || o.SoMany != quantity.Chance(1) {
		t.Errorf("%+v", o)
	}
}
