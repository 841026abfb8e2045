package habit

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"mesure/quantity"
)

// The integral of More: by how much the variable of the double exponential rule
// goes up, and how many steps it goes each way. What lies beyond weighs less than
// 1e-15.
const (
	moreStep  = 1. / 128
	moreSteps = 410
)

// More returns how likely it is that a choice is made more often in one habit
// than in another, both independent, such as before and after a break:
//
//	P(x > y) = ∫₀¹ F_y(Q_x(u)) du
//
// with Q_x the quantiles of the first and F_y the law of the second, by the double
// exponential rule (Takahasi and Mori, Publ. RIMS 9:721, 1974), to about 1e-9
// where neither law is thirty times as wide as the other.
func More(first, second Habit, choice int) quantity.Chance {
	total, weight := 0.0, 0.0
	for n := -moreSteps; n <= moreSteps; n++ {
		t := float64(n) * moreStep
		s := math.Pi / 2 * math.Sinh(t)
		u := 1 / (1 + math.Exp(-2*s))
		w := math.Cosh(t) / (math.Cosh(s) * math.Cosh(s))
		total += w * (1 - float64(second.Above(choice, first.Quantile(choice, u))))
		weight += w
	}
	return quantity.Chance(min(1, total/weight))
}

// Likelier returns how likely it is that the first of two choices of one habit is made
// more often than the second, a mean over the parts of
//
//	P(θ_1 > θ_2) = 1 − I_½(a_1, a_2)
//
// since θ_1/(θ_1 + θ_2) is Beta(a_1, a_2) where θ is Dirichlet(a).
func (h Habit) Likelier(first, second int) quantity.Chance {
	a, b := h.betas(first), h.betas(second)
	p := 0.0
	for i := range a {
		p += a[i].weight * mathext.RegIncBeta(b[i].a, a[i].a, .5)
	}
	return quantity.Chance(min(1, p))
}
