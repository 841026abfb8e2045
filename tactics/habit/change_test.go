package habit

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mathext"

	"mesure/quantity"
)

func changeOf(t testing.TB, q Sequence) Changing {
	t.Helper()
	c, err := ChangeOf(q)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// oneHabit is the logarithm of the chance of choices that one habit makes, in closed
// form: the Dirichlet-multinomial law of an ordered sequence.
func oneHabit(prior []float64, seen []int) float64 {
	l := func(v float64) float64 { g, _ := math.Lgamma(v); return g }
	counts := slices.Clone(prior)
	for _, x := range seen {
		counts[x]++
	}
	s := l(sum(prior)) - l(sum(counts))
	for i := range counts {
		s += l(counts[i]) - l(prior[i])
	}
	return s
}

// TestChangesByAllCuts: the recursion against the sum over every way to cut a short
// sequence into habits, each in closed form.
func TestChangesByAllCuts(t *testing.T) {
	const every = 7.
	r := rand.New(rand.NewPCG(5, 6))
	n := 0
	for trial := range 6 {
		q := Sequence{Choices: 2 + trial%3, Every: every, Prior: make([]float64, 2+trial%3)}
		for i := range q.Prior {
			q.Prior[i] = 0.2 + r.Float64()
		}
		first := slices.Clone(q.Prior)
		if trial >= 3 {
			q.Earlier = make([]float64, q.Choices)
			for i := range first {
				q.Earlier[i] = 4 * r.Float64()
				first[i] += q.Earlier[i]
			}
		}
		for range 9 {
			q.Seen = append(q.Seen, r.IntN(q.Choices))
		}
		c := changeOf(t, q)
		whole, began := 0.0, make([]float64, 10) // began: −1 first
		changed, best, likeliest := 0.0, 0.0, 0
		for cuts := range 1 << 8 {
			p, start := 0.0, 0
			old := math.Inf(-1) // the first habit is that of earlier bouts, alone
			for end := 1; end <= 9; end++ {
				if end < 9 && cuts>>(end-1)&1 == 0 {
					p += math.Log(1 - 1/every)
					continue
				}
				if end < 9 {
					p += math.Log(1 / every)
				}
				switch s := q.Seen[start:end]; {
				case start > 0 || q.Earlier == nil:
					p += oneHabit(q.Prior, s)
				case end == 9: // one habit throughout
					old = p + math.Log(1-NewBout) + oneHabit(first, s)
					p += math.Log(NewBout) + oneHabit(q.Prior, s)
				default:
					p += math.Log((1-NewBout)*math.Exp(oneHabit(first, s)) + NewBout*math.Exp(oneHabit(q.Prior, s)))
				}
				if end < 9 {
					start = end
				}
			}
			w := math.Exp(p)
			whole += w + math.Exp(old)
			began[start+1] += w
			began[0] += math.Exp(old)
			if start > 0 {
				changed += w
			}
			if w+math.Exp(old) > best {
				best, likeliest = w+math.Exp(old), start
			}
		}
		agree(t, "evidence", c.Evidence(), math.Log(whole), 1e-12)
		for s := range began {
			agree(t, "began", c.runs[9][s], began[s]/whole, 1e-13)
			n++
		}
		agree(t, "changed at all", float64(c.Any()), changed/whole, 1e-13)
		if at := c.cuts(); at[len(at)-1] != likeliest {
			t.Errorf("the likeliest cuts end at %v, want %d", at, likeliest)
		}
	}
	if n != 60 {
		t.Fatalf("%d beginnings", n)
	}
}

// TestChangesBySecondRoute: testdata/change_numpy.py, forwards over the cuts in closed
// form, with quantiles by the trapezium rule.
func TestChangesBySecondRoute(t *testing.T) {
	raw, err := os.ReadFile("testdata/change.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []struct {
		Choices   int
		Seen      []int
		Earlier   []float64
		Every     float64
		Evidence  float64
		Began     []float64 // −1 first
		Mean      []float64
		Quantiles [][3]float64
	}
	if err := json.Unmarshal(raw, &all); err != nil || len(all) != 6 {
		t.Fatalf("%d cases, %v", len(all), err)
	}
	for _, q := range all {
		c := changeOf(t, Sequence{Choices: q.Choices, Seen: q.Seen, Earlier: q.Earlier, Every: q.Every})
		agree(t, "evidence", c.Evidence(), q.Evidence, 1e-10)
		for s, w := range q.Began {
			agree(t, "began", c.runs[c.Len()][s], w, 1e-12)
		}
		exact := Habit{Prior: c.prior, Seen: make([]float64, q.Choices), parts: slices.DeleteFunc(c.partsAt(c.Len(), nil, nil, 1), func(p part) bool { return p.weight == 0 })}
		said := c.Habit(c.Len(), nil, nil)
		for k := range q.Choices {
			agree(t, "mean", exact.Mix()[k], q.Mean[k], 1e-12)
			agree(t, "mean without the least likely", float64(said.Of(k).Mean), q.Mean[k], Pruned)
			for i, p := range []float64{.025, .5, .975} {
				agree(t, "quantile", float64(exact.Quantile(k, p)), q.Quantiles[k][i], 2e-6)
				// What is left out moves the level of a quantile by less than it weighs.
				agree(t, "level", 1-float64(said.Above(k, quantity.Chance(q.Quantiles[k][i]))), p, Pruned)
			}
		}
	}
}

// TestOneHabitForLife: where changes are as good as impossible the law is that of plain
// counts, and the chance of x of one choice among n is 1/(n+1) by an even prior,
// whatever x (Bayes 1763).
func TestOneHabitForLife(t *testing.T) {
	seen := []int{0, 1, 1, 0, 1, 1, 1, 0, 1}
	c := changeOf(t, Sequence{Choices: 2, Seen: seen, Prior: []float64{1, 1}, Every: 1e15})
	agree(t, "chance of three of nine", math.Exp(c.Evidence()+logChoose(9, 3)), .1, 1e-12)
	agree(t, "no change", float64(c.Any()), 0, 1e-12)
	h, plain := c.Habit(9, nil, nil), estimate(t, 2, []float64{1, 1}, Source{Choices: seen, Weight: 1})
	a, b := h.Of(0), plain.Of(0)
	for i, v := range []quantity.Chance{a.Mean - b.Mean, a.SD - b.SD, a.Lo - b.Lo, a.Hi - b.Hi} {
		agree(t, [...]string{"mean", "SD", "lo", "hi"}[i]+" of plain counts", float64(v), 0, 1e-12)
	}
	// Where every choice is a new habit, only the last one counts.
	now := changeOf(t, Sequence{Choices: 2, Seen: seen, Every: 1 + 1e-12})
	agree(t, "the last choice alone", now.Habit(9, nil, nil).Mix()[1], 1.5/2, 1e-9)
}

// TestNothingIsKnownBefore: what is said after t choices is what t choices alone say.
func TestNothingIsKnownBefore(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	var seen []int
	for range 20 {
		seen = append(seen, r.IntN(3))
	}
	earlier := []float64{3, 0, 1}
	all := changeOf(t, Sequence{Choices: 3, Seen: seen, Earlier: earlier})
	for n := range 21 {
		part := changeOf(t, Sequence{Choices: 3, Seen: seen[:n], Earlier: earlier})
		a, b := all.Habit(n, nil, nil), part.Habit(n, nil, nil)
		if !slices.Equal(a.Mix(), b.Mix()) || a.Weight() != b.Weight() {
			t.Errorf("after %d: %v, %v", n, a.Mix(), b.Mix())
		}
	}
}

// TestEarlierBoutsGiveWay: a habit of earlier bouts that goes on is believed, one that
// does not is dropped.
func TestEarlierBoutsGiveWay(t *testing.T) {
	earlier := []float64{9, 1}
	same := changeOf(t, Sequence{Choices: 2, Seen: make([]int, 8), Earlier: earlier})
	other := changeOf(t, Sequence{Choices: 2, Seen: slices.Repeat([]int{1}, 8), Earlier: earlier})
	if b := same.runs[8][0]; !(b > 0.6) {
		t.Errorf("goes on: %g", b)
	}
	if b := other.runs[8][0]; !(b < 0.02) {
		t.Errorf("does not: %g", b)
	}
	none := changeOf(t, Sequence{Choices: 2, Earlier: earlier}).Habit(0, nil, nil)
	agree(t, "before the first touch", none.Mix()[0], (1-NewBout)*9.5/11+NewBout*.5, 1e-12)
}

// TestALawOfSeveral: quantiles, draws and predictions of a mean of laws against its
// distribution function.
func TestALawOfSeveral(t *testing.T) {
	c := changeOf(t, Sequence{Choices: 3, Seen: []int{0, 0, 0, 1, 0, 0, 0, 0, 2, 1, 2, 1, 1}})
	h := c.Next(13, nil, nil)
	if len(h.parts) < 5 {
		t.Fatalf("%d laws", len(h.parts))
	}
	for k := range 3 {
		for _, p := range []float64{0, .001, .025, .3, .975, .999, 1} {
			agree(t, "level of a quantile", 1-float64(h.Above(k, h.Quantile(k, p))), p, 1e-6)
		}
		q := h.Of(k)
		agree(t, "the ends", 1-float64(h.Above(k, q.Hi))+float64(h.Above(k, q.Lo)), 2*.975, 1e-7)
		whole, mean := 0.0, 0.0
		for n, p := range h.Prediction(k, 7) {
			whole += float64(p)
			mean += float64(n) * float64(p)
		}
		agree(t, "predictions", whole, 1, 1e-12)
		agree(t, "predicted", mean, 7*float64(q.Mean), 1e-12)
	}
	const n = 20000
	above, mean, square := 0, 0.0, 0.0
	for _, d := range h.Draws(n, rand.NewPCG(3, 1)) {
		mean += d[0] / n
		square += d[0] * d[0] / n
		if d[0] > .4 {
			above++
		}
	}
	agree(t, "mean of draws", mean, h.Mix()[0], 4*float64(h.Of(0).SD)/math.Sqrt(n))
	agree(t, "SD of draws", math.Sqrt(square-mean*mean), float64(h.Of(0).SD), .005)
	agree(t, "draws above", float64(above)/n, float64(h.Above(0, .4)), 4*.5/math.Sqrt(n))
	likelier, m := 0, 0
	for _, d := range h.Draws(n, rand.NewPCG(3, 2)) {
		m++
		if d[0] > d[1] {
			likelier++
		}
	}
	agree(t, "likelier", float64(h.Likelier(0, 1)), float64(likelier)/float64(m), 4*.5/math.Sqrt(n))
	agree(t, "likelier, both ways", float64(h.Likelier(0, 1)+h.Likelier(1, 0)), 1, 1e-12)
	other := c.Habit(7, nil, nil)
	agree(t, "more, both ways", float64(More(h, other, 0)+More(other, h, 0)), 1, 1e-5)
}

// TestSituationsWeigh: choices of another situation count less in each law.
func TestSituationsWeigh(t *testing.T) {
	seen := []int{0, 0, 0, 1, 1, 1}
	c := changeOf(t, Sequence{Choices: 2, Seen: seen, Every: 1e15})
	like := []float64{1, 1, 1, .6, .6, .6}
	agree(t, "mean", c.Habit(6, like, nil).Mix()[0], 3.5/(4+1.8), 1e-12)
	agree(t, "weight", c.Habit(6, like, nil).Weight(), 4.8, 1e-12)
	agree(t, "as Estimate", estimate(t, 2, nil, Source{Choices: seen, Weight: 1, Like: like}).Mix()[0], 3.5/(4+1.8), 1e-12)
}

// TestTheLastChange: where a fencer goes over from one choice to another, and comes
// back. The place by the sum over all places in closed form, the law of Smith
// (Biometrika 62:407, 1975) for one change.
func TestTheLastChange(t *testing.T) {
	seen := append(slices.Repeat([]int{0, 0, 1}, 4), slices.Repeat([]int{2, 2, 1}, 4)...)
	c := changeOf(t, Sequence{Choices: 3, Seen: seen})
	got, ok := c.Last()
	if !ok || c.Any() < ChangeLevel {
		t.Fatalf("no change: %v", c.Any())
	}
	var law []float64
	prior := []float64{.5, .5, .5}
	for s := 1; s < len(seen); s++ {
		law = append(law, math.Exp(oneHabit(prior, seen[:s])+oneHabit(prior, seen[s:])))
	}
	inside := sum(law[got.From-1:got.To]) / sum(law)
	if slices.Max(law) != law[got.At-1] && math.Abs(slices.Max(law)/law[got.At-1]-1) > 1e-9 || inside < .95 || got.To-got.From > 4 {
		t.Errorf("changed at %d, from %d to %d, which holds %g", got.At, got.From, got.To, inside)
	}
	before, after := got.Before.Of(0), got.After.Of(0)
	if !(before.Covers(2./3) && after.Lo < 1e-3 && before.Lo > after.Hi) {
		t.Errorf("from %+v to %+v", before, after)
	}
	back := append(slices.Clone(seen), slices.Repeat([]int{0, 0, 1}, 4)...)
	again, ok := changeOf(t, Sequence{Choices: 3, Seen: back}).Last()
	if !ok || again.From < 20 || !again.After.Of(0).Covers(2./3) || again.Before.Of(0).Hi > .5 {
		t.Errorf("and back: %+v", again)
	}
	if _, ok := changeOf(t, Sequence{Choices: 2, Seen: []int{1}}).Last(); ok {
		t.Error("one choice has no change")
	}
	if at, ok := changeOf(t, Sequence{Choices: 2, Seen: make([]int, 20)}).Last(); ok {
		t.Errorf("a fencer who never varies changed at %d", at.At)
	}
}

func TestBadSequences(t *testing.T) {
	for _, q := range []Sequence{
		{Choices: 1}, {Choices: 2, Seen: []int{2}}, {Choices: 2, Every: 1}, {Choices: 2, Every: math.NaN()},
		{Choices: 2, Earlier: []float64{1}}, {Choices: 2, Earlier: []float64{1, -1}}, {Choices: 2, Earlier: []float64{math.NaN(), 1}},
		{Choices: 2, Prior: []float64{0, 1}}, {Choices: 2, Seen: make([]int, MostChanging+1)},
	} {
		_, err := ChangeOf(q)
		var bad *BadInput
		if !errors.As(err, &bad) || bad.Hint() == "" {
			t.Errorf("%+v: %v", q, err)
		}
	}
}

// TestExactBinomial: the one-sided exact test of a share is the law of a choice that
// was credited with nothing, P(X ≥ k) = I_p(k, n−k+1), so that the cases of
// proportions.json (scipy.stats.binomtest) hold the incomplete beta function too.
func TestExactBinomial(t *testing.T) {
	raw, err := os.ReadFile("testdata/proportions.json")
	if err != nil {
		t.Fatal(err)
	}
	var c struct {
		Binom []struct {
			K, N    int
			P0      float64 `json:"p0"`
			Greater float64 `json:"p_greater"`
		} `json:"binom_test"`
	}
	if err := json.Unmarshal(raw, &c); err != nil || len(c.Binom) != 6 {
		t.Fatalf("%d cases, %v", len(c.Binom), err)
	}
	for _, b := range c.Binom {
		if b.K == 0 {
			continue // it is 1 by definition
		}
		h := Habit{Prior: []float64{float64(b.K), float64(b.N - b.K + 1)}, Seen: []float64{0, 0}}
		agree(t, "exact binomial", 1-float64(h.Above(0, quantity.Chance(b.P0))), b.Greater, tolerance)
		agree(t, "itself", mathext.RegIncBeta(float64(b.K), float64(b.N-b.K+1), b.P0), b.Greater, tolerance)
	}
}

func BenchmarkChange(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 29))
	var seen []int
	for range 29 {
		seen = append(seen, int(7*r.Float64()*r.Float64()))
	}
	for b.Loop() { // the course of one side over a bout of 29 phrases
		c, err := ChangeOf(Sequence{Choices: 7, Seen: seen})
		if err != nil {
			b.Fatal(err)
		}
		for n := range 30 {
			c.Habit(n, nil, nil).All()
		}
	}
}
