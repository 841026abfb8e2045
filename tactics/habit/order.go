package habit

import (
	"fmt"
	"math/big"

	"mesure/quantity"
)

// What is asked of an order.
const (
	// MostOrdered is how many of the newest choices the order is looked at: what is
	// older than that says nothing of the fencer of today, and the exact law costs
	// the square of it.
	MostOrdered = 120
	// OrderLevel is the chance below which an order is called more than chance.
	OrderLevel quantity.Chance = 0.05
)

// Order is whether the choices of a sequence come in bunches or by turns, given
// how often each was made.
type Order struct {
	// Choices is how many were looked at, Repeats how often one was the same as the
	// one before it.
	Choices, Repeats int
	// Expected is the mean of Repeats if the order were chance: Σ n_i(n_i−1)/N.
	Expected quantity.Ratio
	// SoMany and SoFew are the chances of at least and of at most so many repeats if
	// every order of these choices were as likely as any other.
	SoMany, SoFew quantity.Chance
}

// Repeating reports whether choices repeat more than chance has it.
func (o Order) Repeating() bool { return o.SoMany < OrderLevel }

// Alternating reports whether choices change more than chance has it, as those of
// people do who want to be unpredictable (Walker and Wooders, Am. Econ. Rev.
// 91:1521, 2001, found it even in the best players of tennis). An opponent who
// sees it knows what will not come.
func (o Order) Alternating() bool { return o.SoFew < OrderLevel }

// OrderOf returns the order of the newest MostOrdered choices of a sequence, by
// the exact law of repeats over all orders of the same choices: the extension of
// the runs test to several kinds (Mood, Ann. Math. Stat. 11:367, 1940). With
// n_i of N choices,
//
//	W(B) = Σ_{b: Σb=B} B!·Π C(n_i−1, b_i−1)/b_i!
//
// counts the orders together with a way to cut them into B blocks of equals, so
// that Σ_s (orders with s repeats)·C(s, N−B) = W(B), which is solved for the
// orders. A sequence of fewer than two choices has no order: both chances are 1.
// Errors are *BadInput.
func OrderOf(choices int, seen []int) (Order, error) {
	seen = seen[max(0, len(seen)-MostOrdered):]
	counts := make(map[int]int)
	o := Order{Choices: len(seen), SoMany: 1, SoFew: 1}
	for n, c := range seen {
		if c < 0 || c >= choices {
			return Order{}, &BadInput{fmt.Sprintf("choice %d of a sequence is %d, beyond the %d choices", n+1, c, choices), "Choices are numbered from 0."}
		}
		counts[c]++
		if n > 0 && seen[n-1] == c {
			o.Repeats++
		}
	}
	if len(seen) < 2 {
		return o, nil
	}
	orders := ordersByRepeats(counts, choices)
	all, many := new(big.Int), new(big.Int)
	for s, n := range orders {
		all.Add(all, n)
		if s >= o.Repeats {
			many.Add(many, n)
		}
	}
	few := new(big.Int).Sub(all, many)
	few.Add(few, orders[o.Repeats])
	o.SoMany, o.SoFew = ratio(many, all), ratio(few, all)
	for _, n := range counts {
		o.Expected += quantity.Ratio(n * (n - 1))
	}
	o.Expected /= quantity.Ratio(len(seen))
	return o, nil
}

// ordersByRepeats returns how many orders of these choices have 0, 1, … N−1
// repeats.
func ordersByRepeats(counts map[int]int, choices int) []*big.Int {
	n := 0
	ways := []*big.Int{big.NewInt(1)} // ways[B]: W(B) of the kinds so far
	for c := range choices {
		k := counts[c]
		if k == 0 {
			continue
		}
		next := make([]*big.Int, n+k+1)
		for b := range next {
			next[b] = new(big.Int)
		}
		t := new(big.Int)
		for have, w := range ways {
			for b := 1; b <= k; b++ {
				t.Binomial(int64(have+b), int64(b))
				t.Mul(t, new(big.Int).Binomial(int64(k-1), int64(b-1)))
				next[have+b].Add(next[have+b], t.Mul(t, w))
			}
		}
		ways, n = next, n+k
	}
	orders := make([]*big.Int, n)
	t := new(big.Int)
	for s := n - 1; s >= 0; s-- {
		o := new(big.Int).Set(ways[n-s])
		for more := s + 1; more < n; more++ {
			o.Sub(o, t.Mul(orders[more], t.Binomial(int64(more), int64(s))))
		}
		orders[s] = o
	}
	return orders
}

func ratio(a, b *big.Int) quantity.Chance {
	v, _ := new(big.Rat).SetFrac(a, b).Float64()
	return quantity.Chance(v)
}
