package habit

import (
	"cmp"
	"math"
	"slices"

	"mesure/quantity"
)

// Counts are how often a choice was made in a situation and otherwise.
type Counts struct {
	Here, HereOf   int // times chosen, of so many in the situation
	Other, OtherOf int // and out of it
}

// certainTies is how much likelier than what was seen another table may come out and
// still count as no likelier: rounding of logarithms.
const certainTies = 1e-7

// ByChance returns how likely a difference as great as this comes about, either way, if
// the situation plays no part: the exact test of Fisher (1935), the sum over all tables
// with the same margins that are no likelier than the one that was seen, with
//
//	P(k) = C(n₁, k)·C(n₂, m−k)/C(n₁+n₂, m)
//
// It takes choices as independent but for the situation. It panics if a count is
// negative or more than its whole.
func (c Counts) ByChance() quantity.Chance {
	if c.Here < 0 || c.Other < 0 || c.Here > c.HereOf || c.Other > c.OtherOf {
		panic("habit: counts beyond what was seen")
	}
	m := c.Here + c.Other
	log := func(k int) float64 {
		return logChoose(c.HereOf, k) + logChoose(c.OtherOf, m-k) - logChoose(c.HereOf+c.OtherOf, m)
	}
	seen, p := log(c.Here), 0.0
	for k := max(0, m-c.OtherOf); k <= min(m, c.HereOf); k++ {
		if l := log(k); l <= seen+certainTies {
			p += math.Exp(l)
		}
	}
	return quantity.Chance(min(1, p))
}

// Difference returns by how much more often the choice was made in the situation than
// otherwise, from −1 to 1, with the interval that the score intervals of the two shares
// make. It panics where one of the two was never seen.
//
// Source: Newcombe, Statistics in Medicine 17:873 (1998), method 10.
func (c Counts) Difference() quantity.Of[quantity.Ratio] {
	a, b := quantity.FromCounts(c.Here, c.HereOf), quantity.FromCounts(c.Other, c.OtherOf)
	d := float64(a.Mean - b.Mean)
	return quantity.Of[quantity.Ratio]{
		Mean: quantity.Ratio(d), SD: quantity.Ratio(math.Hypot(float64(a.SD), float64(b.SD))),
		Lo: quantity.Ratio(d - math.Hypot(float64(a.Mean-a.Lo), float64(b.Hi-b.Mean))),
		Hi: quantity.Ratio(d + math.Hypot(float64(a.Hi-a.Mean), float64(b.Mean-b.Lo))),
	}
}

// OfMany returns what each chance of a coincidence comes to where so many were looked
// at: the least of n times n as likely, the next n − 1 times, and none less than the one
// before it.
//
// Source: Holm, Scand. J. Statist. 6:65 (1979).
func OfMany(chances []quantity.Chance) []quantity.Chance {
	order := make([]int, len(chances))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(chances[a], chances[b]) })
	out := make([]quantity.Chance, len(chances))
	least := quantity.Chance(0)
	for rank, i := range order {
		least = max(least, min(1, quantity.Chance(len(chances)-rank)*chances[i]))
		out[i] = least
	}
	return out
}
