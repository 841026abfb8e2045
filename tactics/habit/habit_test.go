package habit

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"mesure/quantity"
)

// checks are testdata/proportions.json: the intervals of Jeffreys with the ends of
// Brown, Cai and DasGupta 2001, posteriors (scipy.stats.beta) and predictions
// (scipy.stats.betabinom), made with SciPy 1.10.1.
type checks struct {
	One struct {
		Rows []struct {
			X, N     int
			Jeffreys [2]float64
			Wilson   [2]float64
		}
	} `json:"one_proportion_95"`
	Jeffreys []struct {
		N, X   int
		Lo, Hi float64
	} `json:"jeffreys_table"`
	Posterior []struct {
		Prior [2]float64
		X, N  int
		Mean  float64
		Q     []float64
		Half  float64 `json:"P_gt_half"`
	} `json:"beta_posterior"`
	Prediction []struct {
		A, B float64
		N    int
		PMF  []float64
	} `json:"beta_binomial"`
	// More is by scipy.integrate.quad.
	More []struct {
		A, B [2]float64
		P    float64
	} `json:"prob_A_gt_B"`
}

func load(t *testing.T) checks {
	t.Helper()
	raw, err := os.ReadFile("testdata/proportions.json")
	if err != nil {
		t.Fatal(err)
	}
	var c checks
	if err := json.Unmarshal(raw, &c); err != nil {
		t.Fatal(err)
	}
	return c
}

func agree(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.15g, want %.15g", what, got, want)
	}
}

// of returns a sequence with x times choice 0 and n−x times choice 1.
func of(x, n int) Source {
	s := Source{Weight: ThisBout, Choices: make([]int, n)}
	for i := x; i < n; i++ {
		s.Choices[i] = 1
	}
	return s
}

func estimate(t *testing.T, choices int, prior []float64, s ...Source) Habit {
	t.Helper()
	h, err := Estimate(choices, prior, s...)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

const tolerance = 1e-9

func TestIntervalsOfJeffreys(t *testing.T) {
	c := load(t)
	n := 0
	for _, r := range c.Jeffreys {
		q := estimate(t, 2, nil, of(r.X, r.N)).Of(0)
		agree(t, "lo", float64(q.Lo), r.Lo, tolerance)
		agree(t, "hi", float64(q.Hi), r.Hi, tolerance)
		n++
	}
	for _, r := range c.One.Rows {
		q := estimate(t, 2, nil, of(r.X, r.N)).Of(0)
		agree(t, "lo", float64(q.Lo), r.Jeffreys[0], tolerance)
		agree(t, "hi", float64(q.Hi), r.Jeffreys[1], tolerance)
		w := quantity.FromCounts(r.X, r.N)
		agree(t, "Wilson lo", float64(w.Lo), r.Wilson[0], tolerance)
		agree(t, "Wilson hi", float64(w.Hi), r.Wilson[1], tolerance)
		n++
	}
	if n < 60 {
		t.Fatalf("only %d intervals", n)
	}
}

func TestPosteriors(t *testing.T) {
	at := []float64{.025, .05, .25, .5, .75, .95, .975}
	n := 0
	for _, r := range load(t).Posterior {
		h := estimate(t, 2, r.Prior[:], of(r.X, r.N))
		agree(t, "mean", float64(h.Of(0).Mean), r.Mean, tolerance)
		agree(t, "above one half", float64(h.Above(0, .5)), r.Half, tolerance)
		for i, q := range r.Q {
			agree(t, "quantile", float64(h.Quantile(0, at[i])), q, tolerance)
			n++
		}
	}
	if n != 20*7 {
		t.Fatalf("%d quantiles", n)
	}
}

func TestPredictions(t *testing.T) {
	all := load(t).Prediction
	for _, r := range all {
		h := Habit{Prior: []float64{r.A, r.B}, Seen: []float64{0, 0}}
		for k, p := range h.Prediction(0, r.N) {
			agree(t, "prediction", float64(p), r.PMF[k], tolerance)
		}
	}
	if len(all) != 4 {
		t.Fatalf("%d predictions", len(all))
	}
}

func TestMore(t *testing.T) {
	all := load(t).More
	for _, r := range all {
		a := Habit{Prior: r.A[:], Seen: []float64{0, 0}}
		b := Habit{Prior: r.B[:], Seen: []float64{0, 0}}
		agree(t, "more", float64(More(a, b, 0)), r.P, tolerance)
		agree(t, "less", float64(More(b, a, 0)), 1-r.P, tolerance)
	}
	if len(all) != 4 {
		t.Fatalf("%d comparisons", len(all))
	}
	// Uneven widths against draws.
	a := Habit{Prior: []float64{400, 600}, Seen: []float64{0, 0}}
	b := Habit{Prior: []float64{2, 3}, Seen: []float64{0, 0}}
	more := 0
	src := rand.NewPCG(9, 9)
	x, y := a.Draws(40000, src), b.Draws(40000, src)
	for i := range x {
		if x[i][0] > y[i][0] {
			more++
		}
	}
	agree(t, "uneven", float64(More(a, b, 0)), float64(more)/40000, .01)
	agree(t, "uneven, both ways", float64(More(a, b, 0)+More(b, a, 0)), 1, 1e-9)
}

// TestOldChoicesFade: by the definition, one that is HalfLife choices older weighs
// half, and an endless run of one choice weighs 1/(1 − 2^(−1/half-life)).
func TestOldChoicesFade(t *testing.T) {
	h := estimate(t, 2, nil, Source{Choices: append([]int{0}, make([]int, 12)...), Weight: 1, HalfLife: 12})
	h.Seen[0] -= estimate(t, 2, nil, Source{Choices: make([]int, 12), Weight: 1, HalfLife: 12}).Seen[0]
	agree(t, "one half", h.Seen[0], .5, 1e-12)
	long := estimate(t, 2, nil, Source{Choices: make([]int, 5000), Weight: 1, HalfLife: 8})
	agree(t, "endless", long.Weight(), 1/(1-math.Exp2(-1./8)), 1e-9)
	pooled := estimate(t, 3, nil,
		Source{Choices: []int{0, 0, 1}, Weight: ThisBout}, Source{Choices: []int{2, 2}, Weight: SameOpponent}, Source{Choices: []int{1}, Weight: OtherBouts})
	for i, want := range []float64{2, 1.2, 1} {
		agree(t, "pooled", pooled.Seen[i], want, 1e-12)
	}
}

// TestTooLittle: six the same in two choices are the fewest that chance makes less
// than one time in twenty.
func TestTooLittle(t *testing.T) {
	for n := range 12 {
		byChance := 2 * math.Pow(.5, float64(n))
		if got := estimate(t, 2, nil, of(n, n)).TooLittle(); got != (byChance >= .05) {
			t.Errorf("%d choices: too little %v, by chance %g", n, got, byChance)
		}
	}
	q := estimate(t, 4, nil).Of(2)
	if q.Lo != 0 || q.Mean != .25 || q.Hi < .8 {
		t.Errorf("nothing seen: %+v", q)
	}
}

// TestIntervalsCover: fencers with a known habit, drawn from the prior, are covered
// at the stated rate, and with fading at least so.
func TestIntervalsCover(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 5000))
	const bouts = 5000
	covered, fading := 0, 0
	for range bouts {
		truth := Habit{Prior: []float64{.5, .5, .5}, Seen: make([]float64, 3)}.Draws(1, r)[0]
		s := Source{Weight: 1}
		for range 20 {
			u, c := r.Float64(), 0
			for c < 2 && u > truth[c] {
				u -= truth[c]
				c++
			}
			s.Choices = append(s.Choices, c)
		}
		if estimate(t, 3, nil, s).Of(0).Covers(quantity.Chance(truth[0])) {
			covered++
		}
		s.HalfLife = HalfLife
		if estimate(t, 3, nil, s).Of(0).Covers(quantity.Chance(truth[0])) {
			fading++
		}
	}
	// Four standard errors of a share of 5000; moved ends can only cover more.
	if p := float64(covered) / bouts; p < .95-4*math.Sqrt(.95*.05/bouts) || p > .98 {
		t.Errorf("covered %g", p)
	}
	if p := float64(fading) / bouts; p < .95-4*math.Sqrt(.95*.05/bouts) {
		t.Errorf("with fading covered %g", p)
	}
}

// TestAChangeIsFollowed: a fencer who goes from 25 to 75 % after thirty choices. With
// fading the interval covers the new habit at the stated rate thirty choices later,
// and too seldom until then; without, not within a bout.
func TestAChangeIsFollowed(t *testing.T) {
	r := rand.New(rand.NewPCG(30, 75))
	const bouts, before = 2000, 30
	covered := func(after int, halfLife, truth float64) float64 {
		n := 0
		for range bouts {
			s := Source{Weight: 1, HalfLife: halfLife}
			for i := range before + after {
				p := .25
				if i >= before {
					p = .75
				}
				c := 1
				if r.Float64() < p {
					c = 0
				}
				s.Choices = append(s.Choices, c)
			}
			if estimate(t, 2, nil, s).Of(0).Covers(quantity.Chance(truth)) {
				n++
			}
		}
		return float64(n) / bouts
	}
	for _, c := range []struct {
		after    int
		halfLife float64
		truth    float64
		lo, hi   float64
	}{
		{0, HalfLife, .25, .95, 1},
		{10, HalfLife, .75, .28, .41}, // as the methods say: late
		{20, HalfLife, .75, .80, .89},
		{30, HalfLife, .75, .95, 1},
		{30, 0, .75, 0, .2},
	} {
		got := covered(c.after, c.halfLife, c.truth)
		if got < c.lo || got > c.hi {
			t.Errorf("%d choices after the change, half-life %g: covered %.3f", c.after, c.halfLife, got)
		}
	}
}

func TestDrawsAreTheLaw(t *testing.T) {
	h := estimate(t, 3, nil, Source{Choices: []int{0, 0, 1, 2, 0, 1}, Weight: 1})
	draws := h.Draws(20000, rand.NewPCG(1, 1))
	above, mean := 0, 0.0
	for _, d := range draws {
		mean += d[0] / float64(len(draws))
		if d[0] > .4 {
			above++
		}
	}
	agree(t, "mean", mean, h.Mix()[0], .005)
	agree(t, "above", float64(above)/20000, float64(h.Above(0, .4)), .015)
}

func TestBadInput(t *testing.T) {
	nan := math.NaN()
	for _, err := range []error{
		second(Estimate(1, nil)), second(Estimate(101, nil)),
		second(Estimate(2, []float64{1})), second(Estimate(2, []float64{1, 0})), second(Estimate(2, []float64{nan, 1})),
		second(Estimate(2, nil, Source{Choices: []int{2}, Weight: 1})), second(Estimate(2, nil, Source{Choices: []int{-1}, Weight: 1})),
		second(Estimate(2, nil, Source{Weight: nan})), second(Estimate(2, nil, Source{Weight: 2})),
		second(Estimate(2, nil, Source{Weight: 1, HalfLife: -3})), second(Estimate(2, nil, Source{Weight: 1, HalfLife: nan})),
		second(OrderOf(2, []int{0, 3})),
	} {
		var bad *BadInput
		if !errors.As(err, &bad) || bad.Hint() == "" {
			t.Errorf("%v", err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
