package habit

import (
	"math"
	"slices"

	"mesure/quantity"
)

// Change is the last change of habit in a sequence.
type Change struct {
	// At is the choice with which the new habit most likely began, From and To the first
	// and the last with which it did, with 95 %.
	At, From, To int
	// Before and After are the two habits: means over all places of the change.
	Before, After Habit
}

// Last returns the last change of habit in the likeliest way to cut the sequence. The
// other cuts are kept where they are; with a the cut before it, the new habit began with
// choice s with a chance
//
//	∝ P(x_a … x_s−1)·P(x_s … x_n),   P(x) = ∫ Π θ_x dDirichlet(θ | prior)
//
// the law of one change of Smith, Biometrika 62:407 (1975) (recalled). From and To are
// its shortest range with 95 %. It is false where no cut at all is the likeliest.
// Whether there was a change is told by Any.
func (c Changing) Last() (Change, bool) {
	cuts := c.cuts()
	n := c.Len()
	at := cuts[len(cuts)-1]
	if at == 0 {
		return Change{}, false
	}
	a := 0
	if len(cuts) > 1 {
		a = cuts[len(cuts)-2]
	}
	head := c.habitFrom(a) // of the choices from a on, so many
	var places []float64
	for s := a + 1; s < n; s++ {
		tail := c.habitFrom(s)
		places = append(places, head[s-a]+tail[n-s])
	}
	top := slices.Max(places)
	for i := range places {
		places[i] = math.Exp(places[i] - top)
	}
	whole := sum(places)
	out := Change{At: at}
	from, to := 0, len(places)-1
	for p := range places {
		inside := 0.0
		for q := p; q < len(places); q++ {
			if inside += places[q]; inside >= quantity.Coverage*whole {
				if q-p < to-from {
					from, to = p, q
				}
				break
			}
		}
	}
	out.From, out.To = min(at, a+1+from), max(at, a+1+to)
	var before, after []part
	for i, w := range places {
		s := a + 1 + i
		before = append(before, c.between(a, s, w)...)
		after = append(after, c.between(s, n, w)...)
	}
	out.Before, out.After = mean(c.prior, before), mean(c.prior, after)
	return out, true
}

// habitFrom returns the logarithm of the chance that one habit makes the first 0, 1, …
// choices from a on; the first of a sequence may be that of earlier bouts.
func (c Changing) habitFrom(a int) []float64 {
	fresh := c.oneHabit(a, c.prior)
	if a > 0 || sum(c.seq.Earlier) == 0 {
		return fresh
	}
	old := c.oneHabit(a, added(c.prior, c.seq.Earlier))
	for i := range fresh {
		fresh[i] = math.Log((1-NewBout)*math.Exp(old[i]-fresh[i])+NewBout) + fresh[i]
	}
	return fresh
}

func (c Changing) oneHabit(a int, prior []float64) []float64 {
	counts, total := slices.Clone(prior), sum(prior)
	all := []float64{0}
	for _, x := range c.seq.Seen[a:] {
		all = append(all, all[len(all)-1]+math.Log(counts[x]/total))
		counts[x]++
		total++
	}
	return all
}

// between are the laws of the habit that made the choices from a up to b, as parts of w.
func (c Changing) between(a, b int, w float64) []part {
	counts := slices.Clone(c.prior)
	for _, x := range c.seq.Seen[a:b] {
		counts[x]++
	}
	fresh := part{weight: w, counts: counts, total: sum(counts)}
	if a > 0 || sum(c.seq.Earlier) == 0 {
		return []part{fresh}
	}
	old := part{counts: added(counts, c.seq.Earlier), total: fresh.total + sum(c.seq.Earlier)}
	was := (1 - NewBout) * math.Exp(c.oneHabit(0, added(c.prior, c.seq.Earlier))[b]-c.oneHabit(0, c.prior)[b])
	old.weight, fresh.weight = w*was/(was+NewBout), w*NewBout/(was+NewBout)
	return []part{old, fresh}
}

// cuts returns where habits begin in the likeliest way to cut the sequence, without the
// first that begins with it: 0 alone stands for none.
func (c Changing) cuts() []int {
	n, change := c.Len(), 1/c.seq.Every
	best, from := make([]float64, n+1), make([]int, n+1) // of the first choices, and where their last habit began
	for e := range best[1:] {
		best[e+1] = math.Inf(-1)
	}
	for s := range n {
		p := c.habitFrom(s)
		for e := s + 1; e <= n; e++ {
			v := best[s] + p[e-s] + float64(e-s-1)*math.Log1p(-change)
			if s > 0 {
				v += math.Log(change)
			}
			if v > best[e] {
				best[e], from[e] = v, s
			}
		}
	}
	var all []int
	for e := n; e > 0; e = from[e] {
		if from[e] > 0 || len(all) == 0 {
			all = append(all, from[e])
		}
	}
	slices.Reverse(all)
	if n == 0 {
		all = []int{0}
	}
	return all
}

func added(a, b []float64) []float64 {
	out := slices.Clone(a)
	for i, v := range b {
		out[i] += v
	}
	return out
}
