package habit

import (
	"math"
	"math/rand/v2"
	"sort"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distmv"

	"mesure/quantity"
)

// part is one Dirichlet law in a mean of several.
type part struct {
	weight float64
	counts []float64 // prior and seen together
	total  float64
}

// Weight returns how much was seen: the sum of all weights.
func (h Habit) Weight() float64 { return sum(h.Seen) }

// TooLittle reports whether less was seen than anything can be said from.
func (h Habit) TooLittle() bool { return h.Weight() < LeastSeen }

// beta is the law of one choice's chance where there is one law.
type beta struct{ weight, a, b float64 }

// betas returns the law of one choice's chance as a mean of Beta laws.
func (h Habit) betas(choice int) []beta {
	if h.parts == nil {
		a := h.Prior[choice] + h.Seen[choice]
		return []beta{{1, a, sum(h.Prior) + sum(h.Seen) - a}}
	}
	all := make([]beta, len(h.parts))
	for i, p := range h.parts {
		all[i] = beta{p.weight, p.counts[choice], p.total - p.counts[choice]}
	}
	return all
}

// Of returns the chance of a choice: mean and standard deviation of its law and the
// central 95 % between its quantiles. The interval reaches down to 0 for a choice that
// was never seen and up to 1 for one that alone was.
//
// Source: Brown, Cai and DasGupta, Stat. Sci. 16:101 (2001), 4.1.2: the interval of
// Jeffreys with the ends moved.
func (h Habit) Of(choice int) quantity.Of[quantity.Chance] {
	all := h.betas(choice)
	mean, square := 0.0, 0.0
	for _, p := range all {
		m := p.a / (p.a + p.b)
		mean += p.weight * m
		square += p.weight * m * (p.a + 1) / (p.a + p.b + 1)
	}
	q := quantity.Of[quantity.Chance]{Mean: quantity.Chance(mean), SD: quantity.Chance(math.Sqrt(max(0, square-mean*mean))), Hi: 1}
	if h.Seen[choice] > 0 {
		q.Lo = quantity.Chance(quantile(all, (1-quantity.Coverage)/2, mean-2*float64(q.SD)))
	}
	if h.Seen[choice] == 0 || h.others(choice) > 0 {
		q.Hi = quantity.Chance(quantile(all, (1+quantity.Coverage)/2, mean+2*float64(q.SD)))
	}
	return q
}

// others is the weight of what was seen of all choices but one.
func (h Habit) others(choice int) float64 {
	s := 0.0
	for i, v := range h.Seen {
		if i != choice {
			s += v
		}
	}
	return s
}

// All returns the chances of all choices.
func (h Habit) All() []quantity.Of[quantity.Chance] {
	all := make([]quantity.Of[quantity.Chance], len(h.Seen))
next:
	for i := range all {
		for k := range i { // choices that were never seen have one law
			if h.Seen[i] == 0 && h.Seen[k] == 0 && h.Prior[i] == h.Prior[k] {
				all[i] = all[k]
				continue next
			}
		}
		all[i] = h.Of(i)
	}
	return all
}

// Mix returns the mean of the law: one share for each choice, for a game.
func (h Habit) Mix() []float64 {
	mix := make([]float64, len(h.Seen))
	for i := range mix {
		for _, p := range h.betas(i) {
			mix[i] += p.weight * p.a / (p.a + p.b)
		}
	}
	return mix
}

// Quantile returns the value that the chance of a choice lies below with
// probability p. It panics if p is not between 0 and 1.
func (h Habit) Quantile(choice int, p float64) quantity.Chance {
	if !(p >= 0 && p <= 1) {
		panic("habit: a quantile needs a probability")
	}
	all := h.betas(choice)
	mean := 0.0
	for _, b := range all {
		mean += b.weight * b.a / (b.a + b.b)
	}
	return quantity.Chance(quantile(all, p, mean))
}

// Above returns how likely it is that the chance of a choice is above a value,
// such as a balance point.
func (h Habit) Above(choice int, value quantity.Chance) quantity.Chance {
	above := 0.0
	for _, p := range h.betas(choice) {
		above += p.weight * mathext.RegIncBeta(p.b, p.a, 1-min(1, max(0, float64(value))))
	}
	return quantity.Chance(min(1, above))
}

// Prediction returns how likely it is that a choice is made 0, 1, … n times among
// the next n if the habit stays, the mean over the parts of the Beta-binomial law
//
//	P(k) = C(n,k)·B(k+a, n−k+b)/B(a, b)
func (h Habit) Prediction(choice, n int) []quantity.Chance {
	if n < 0 {
		panic("habit: a prediction of fewer than none")
	}
	all := make([]quantity.Chance, n+1)
	for _, p := range h.betas(choice) {
		for k := range all {
			all[k] += quantity.Chance(p.weight * math.Exp(logChoose(n, k)+mathext.Lbeta(float64(k)+p.a, float64(n-k)+p.b)-mathext.Lbeta(p.a, p.b)))
		}
	}
	return all
}

// Draws returns n draws of the chances of all choices, one mix each.
func (h Habit) Draws(n int, src rand.Source) [][]float64 {
	all := make([][]float64, n)
	if h.parts == nil {
		alpha := make([]float64, len(h.Seen))
		for i := range alpha {
			alpha[i] = h.Prior[i] + h.Seen[i]
		}
		law := distmv.NewDirichlet(alpha, src)
		for i := range all {
			all[i] = law.Rand(nil)
		}
		return all
	}
	laws, upTo, total := make([]*distmv.Dirichlet, len(h.parts)), make([]float64, len(h.parts)), 0.0
	for i, p := range h.parts {
		total += p.weight
		laws[i], upTo[i] = distmv.NewDirichlet(p.counts, src), total
	}
	r := rand.New(src)
	for i := range all {
		k := sort.SearchFloat64s(upTo, r.Float64()*total)
		all[i] = laws[min(k, len(laws)-1)].Rand(nil)
	}
	return all
}

// The last step of the search for a quantile of a mean of laws, by Newton's rule about
// the square root of what is left to miss, and how many it has at most: each halves the
// bracket where Newton's rule does not do better.
const (
	quantileClose = 1e-5
	quantileSteps = 200
)

// quantile solves F(x) = p for a mean of Beta laws by Newton's rule within a bracket,
// from about start.
func quantile(all []beta, p, start float64) float64 {
	if len(all) == 1 {
		return mathext.InvRegIncBeta(all[0].a, all[0].b, p)
	}
	if p == 0 || p == 1 {
		return p
	}
	scale := make([]float64, len(all)) // log of weight/B(a, b)
	for i, l := range all {
		scale[i] = math.Log(l.weight) - mathext.Lbeta(l.a, l.b)
	}
	lo, hi := 0.0, 1.0
	x := start
	for range quantileSteps {
		if !(x > lo && x < hi) {
			x = (lo + hi) / 2
		}
		f, slope := -p, 0.0
		lx, ly := math.Log(x), math.Log1p(-x)
		for i, l := range all {
			f += l.weight * mathext.RegIncBeta(l.a, l.b, x)
			slope += math.Exp(scale[i] + (l.a-1)*lx + (l.b-1)*ly)
		}
		if f < 0 {
			lo = x
		} else {
			hi = x
		}
		// On the logit, where the law is nearer to a straight line.
		next := 1 / (1 + math.Exp(ly-lx+f/(slope*x*(1-x))))
		if math.Abs(next-x) < quantileClose*x*(1-x) || hi-lo < quantileClose*quantileClose {
			return next
		}
		x = next
	}
	return x
}

func sum(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s
}

func logChoose(n, k int) float64 {
	f := func(k int) float64 { g, _ := math.Lgamma(float64(k) + 1); return g }
	return f(n) - f(k) - f(n-k)
}
