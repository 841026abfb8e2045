package game

import (
	"cmp"
	"math"
	"slices"

	"mesure/quantity"
)

// Worth returns what each of my choices is worth against a mix of the opponent,
// Σ_j a_ij·y_j, in the unit of the payoffs. The table and the mix must have
// passed Check and CheckMix, as for everything in this file; it panics where
// their sizes differ.
func Worth(a [][]float64, y []float64) []float64 {
	w := make([]float64, len(a))
	for i, row := range a {
		if len(row) != len(y) {
			panic("game: a mix of another size than the table")
		}
		for j, v := range row {
			w[i] += float64(v * y[j])
		}
	}
	return w
}

// Against returns what each of the opponent's choices leaves me with against my
// mix, Σ_i x_i·a_ij: the opponent's best reply is the least.
func Against(a [][]float64, x []float64) []float64 {
	if len(x) != len(a) {
		panic("game: a mix of another size than the table")
	}
	w := make([]float64, len(a[0]))
	for i, row := range a {
		for j, v := range row {
			w[j] += float64(x[i] * v)
		}
	}
	return w
}

// Reply is the answer to a mix of the other side.
type Reply struct {
	// Choices are those that are worth the most, in order; more than one where they
	// are worth the same.
	Choices []int
	// Worth is what they bring me.
	Worth float64
}

// BestReply returns my best answers to the opponent's mix, such as a habit.
func BestReply(a [][]float64, y []float64) Reply {
	w := Worth(a, y)
	return best(w, slices.Max(w), a)
}

// TheirBestReply returns the opponent's best answers to my mix: what they can
// bring me down to once they have seen it.
func TheirBestReply(a [][]float64, x []float64) Reply {
	w := Against(a, x)
	return best(w, slices.Min(w), a)
}

func best(w []float64, v float64, a [][]float64) Reply {
	lo, hi := span(a)
	r := Reply{Worth: v}
	for i, u := range w {
		if math.Abs(u-v) <= Same*(hi-lo) {
			r.Choices = append(r.Choices, i)
		}
	}
	return r
}

// Regret returns what my mix leaves on the table against a mix of the opponent:
// the worth of the best reply less that of the mix, never below 0.
func Regret(a [][]float64, x, y []float64) float64 {
	if len(x) != len(a) {
		panic("game: a mix of another size than the table")
	}
	own, w := 0.0, Worth(a, y)
	for i, v := range w {
		own += float64(x[i] * v)
	}
	return max(0, slices.Max(w)-own)
}

// Balance is a share of one choice of the opponent at which two of mine are worth
// the same.
type Balance struct {
	// Below is the choice of mine that is worth more at smaller shares, Above the one
	// at larger shares.
	Below, Above int
	// Share is that of the opponent's choice.
	Share quantity.Chance
	// Worth is that of both, in the unit of the payoffs.
	Worth float64
	// Best is whether no third choice is worth more there: the answer tips here.
	Best bool
}

// BalancePoints returns where my choices cross as the opponent makes one choice
// more or less often, the others keeping their proportions in the habit (equal
// ones where the habit is that choice alone):
//
//	worth_i(s) = s·a_ik + (1−s)·r_i,  r_i = Σ_{j≠k} a_ij·y_j / (1−y_k)
//
// in order of the share. Crossings at 0 and 1 count; two choices that are worth
// the same at every share have none. A table with one column has none.
func BalancePoints(a [][]float64, y []float64, choice int) []Balance {
	if choice < 0 || choice >= len(y) {
		panic("game: no such choice of the opponent")
	}
	if len(y) == 1 {
		return nil
	}
	rest := slices.Clone(y)
	rest[choice] = 0
	if !share(rest) {
		for j := range rest {
			rest[j] = 1 / float64(len(rest)-1)
		}
		rest[choice] = 0
	}
	lo, hi := span(a)
	tiny := Same * (hi - lo)
	without := Worth(a, rest)
	var all []Balance
	for i := range a {
		for k := i + 1; k < len(a); k++ {
			at0, at1 := without[i]-without[k], a[i][choice]-a[k][choice]
			if math.Abs(at1-at0) <= tiny {
				continue // parallel
			}
			s := at0 / (at0 - at1)
			if !(s >= 0 && s <= 1) {
				continue
			}
			b := Balance{Below: i, Above: k, Share: quantity.Chance(s), Worth: float64(s*a[i][choice]) + float64((1-s)*without[i])}
			if at1 > at0 {
				b.Below, b.Above = k, i
			}
			b.Best = true
			for o := range a {
				b.Best = b.Best && float64(s*a[o][choice])+float64((1-s)*without[o]) <= b.Worth+tiny
			}
			all = append(all, b)
		}
	}
	slices.SortFunc(all, func(p, q Balance) int {
		return cmp.Or(cmp.Compare(p.Share, q.Share), cmp.Compare(p.Below, q.Below), cmp.Compare(p.Above, q.Above))
	})
	return all
}
