package chain

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"testing"

	"mesure/quantity"
)

// checks are testdata/bout_chain.json: the recursion and the closed form in exact
// fractions, equal to each other, made with Python's fractions module; the timed
// cases by a Poisson mixture, equal to a matrix exponential (SciPy 1.10.1), with a
// simulation of 200 000 bouts each.
type checks struct {
	Table []struct {
		N       int
		P, Q, D string
		Wins    map[string]struct {
			Float float64
			Exact string
		} `json:"P_A_wins"`
		Phrases    float64            `json:"expected_phrases"`
		Finals     map[string]float64 `json:"final_score_prob"`
		Importance map[string]float64
	}
	Doubles []struct {
		P, Q, D string
		With    float64 `json:"with_doubles"`
		Without float64 `json:"if_doubles_ignored"`
	} `json:"doubles_vs_ignored"`
	Timed struct {
		Cases []struct {
			N         int
			P, Q, D   string
			PerMinute float64 `json:"phrases_per_min"`
			Minutes   float64
			Exact     struct {
				Lead  float64 `json:"P_lead_or_15_A"`
				Tied  float64 `json:"P_tied_at_time"`
				Extra float64 `json:"P_A_wins_tiebreak_minute"`
				Win   float64 `json:"P_A_wins"`
			}
			Simulation struct {
				CI []float64 `json:"ci95"`
			}
		}
	}
}

func load(t *testing.T) checks {
	t.Helper()
	raw, err := os.ReadFile("testdata/bout_chain.json")
	if err != nil {
		t.Fatal(err)
	}
	var c checks
	if err := json.Unmarshal(raw, &c); err != nil {
		t.Fatal(err)
	}
	return c
}

func fraction(t *testing.T, s string) quantity.Chance {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no fraction", s)
	}
	f, _ := r.Float64()
	return quantity.Chance(f)
}

func rates(t *testing.T, p, q, d string) Rates {
	return Rates{fraction(t, p), fraction(t, q), fraction(t, d)}
}

func made(t *testing.T, f Format, r Rates) *Chain {
	t.Helper()
	c, err := New(f, r)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// near is the tolerance of the outside checks.
const near = 1e-12

func agree(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.15g, want %.15g", what, got, want)
	}
}

func score(t *testing.T, s string) Score {
	t.Helper()
	var v Score
	if _, err := fmt.Sscanf(s, "%d-%d", &v.Me, &v.Opponent); err != nil {
		t.Fatal(err)
	}
	return v
}

func TestAgainstExactFractions(t *testing.T) {
	n := 0
	for _, row := range load(t).Table {
		c := made(t, Format{To: row.N}, rates(t, row.P, row.Q, row.D))
		name := fmt.Sprintf("to %d, %s %s %s", row.N, row.P, row.Q, row.D)
		for s, w := range row.Wins {
			agree(t, name+" win at "+s, float64(c.Win(score(t, s))), float64(fraction(t, w.Exact)), near)
			n++
		}
		for s, w := range row.Importance {
			agree(t, name+" importance at "+s, float64(c.Importance(score(t, s))), w, near)
		}
		agree(t, name+" phrases", float64(c.Phrases(Score{})), row.Phrases, near*row.Phrases)
		sum, known := 0.0, 0
		for _, f := range c.Finals(Score{}) {
			want, ok := row.Finals[fmt.Sprintf("%d-%d", f.Me, f.Opponent)]
			if ok {
				known++
			}
			agree(t, fmt.Sprintf("%s ends %v", name, f.Score), float64(f.Chance), want, near)
			sum += float64(f.Chance)
		}
		agree(t, name+" all ends", sum, 1, near)
		if known != len(row.Finals) || known == 0 {
			t.Errorf("%s: %d of %d ends", name, known, len(row.Finals))
		}
	}
	if n < 24*9 {
		t.Fatalf("only %d scores were looked at", n)
	}
}

// TestDoublesAreNotHarmless: leaving doubles out and rescaling the rest changes
// the answer, by the outside check.
func TestDoublesAreNotHarmless(t *testing.T) {
	all := load(t).Doubles
	for _, row := range all {
		r := rates(t, row.P, row.Q, row.D)
		agree(t, "with doubles", float64(made(t, Format{To: 15}, r).Win(Score{})), row.With, near)
		r.Double = 0
		agree(t, "without", float64(made(t, Format{To: 15}, r).Win(Score{})), row.Without, near)
	}
	if len(all) < 5 {
		t.Fatal("checks are missing")
	}
}

// closedForm sums over the ways that lead to the last hit: with multinomial
// weights of ways to a score, the second route beside the recursion.
func closedForm(n int, p, q, d float64) float64 {
	fact := func(k int) float64 { g, _ := math.Lgamma(float64(k) + 1); return g }
	ways := func(a, b int) float64 {
		sum := 0.0
		for k := 0; k <= min(a, b); k++ {
			sum += math.Exp(fact(a+b-k)-fact(a-k)-fact(b-k)-fact(k)) * math.Pow(p, float64(a-k)) * math.Pow(q, float64(b-k)) * math.Pow(d, float64(k))
		}
		return sum
	}
	w := ways(n-1, n-1) * p / (p + q)
	for j := 0; j <= n-2; j++ {
		w += ways(n-1, j) * (p + d)
	}
	return w
}

func TestTheClosedFormAgrees(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 45))
	for range 50 {
		p, q, d := rng.Float64()+0.01, rng.Float64()+0.01, rng.Float64()
		s := p + q + d
		p, q, d = p/s, q/s, d/s
		for _, n := range []int{1, 2, 5, 10, 15, 45} {
			c := made(t, Format{To: n}, Rates{quantity.Chance(p), quantity.Chance(q), quantity.Chance(d)})
			agree(t, fmt.Sprintf("to %d, %.3f %.3f %.3f", n, p, q, d), float64(c.Win(Score{})), closedForm(n, p, q, d), 1e-10)
		}
	}
}

// TestKnownBouts: the problem of points (Pascal to Fermat, 29 July 1654: first to
// three, even players); G11 of the trade figures, 14–13 between equal fencers;
// the closed answer C(k+l,k)·p^k·q^(l+1) of Kürschák 2015 for what a hit at 14−k,
// 14−l adds.
func TestKnownBouts(t *testing.T) {
	even := made(t, Format{To: 3}, Rates{Me: .5, Opponent: .5})
	agree(t, "2–1", float64(even.Win(Score{2, 1})), 3./4, near)
	agree(t, "2–0", float64(even.Win(Score{2, 0})), 7./8, near)
	agree(t, "1–0", float64(even.Win(Score{1, 0})), 11./16, near)
	for _, d := range []float64{0, .2, .4} {
		r := Rates{quantity.Chance((1 - d) / 2), quantity.Chance((1 - d) / 2), quantity.Chance(d)}
		agree(t, "14–13", float64(made(t, Format{To: 15}, r).Win(Score{14, 13})), .75+.25*d, near)
	}
	c := made(t, Format{To: 15}, Rates{Me: .55, Opponent: .45})
	for _, x := range []struct {
		k, l int
		want float64
	}{{2, 3, .124044}, {5, 4, .117016}} {
		s := Score{14 - x.k, 14 - x.l}
		agree(t, "what a hit adds", float64(c.AfterHit(s)-c.Win(s)), x.want, 5e-7)
	}
}

// TestADoubleHelpsTheLeader: between equal fencers the worth of a double has the
// sign of the lead (figure T22); at 14–14 it is void.
func TestADoubleHelpsTheLeader(t *testing.T) {
	c := made(t, Format{To: 15}, Rates{.4, .4, .2})
	for i := range 15 {
		for j := range 15 {
			w := float64(c.DoubleWorth(Score{i, j}))
			if i == j && math.Abs(w) > near || i > j && w <= 0 || i < j && w >= 0 {
				t.Errorf("%d–%d: a double is worth %g", i, j, w)
			}
		}
	}
	if !c.Void(Score{14, 14}) || c.Void(Score{14, 13}) {
		t.Error("the void double is at 14–14 and there alone")
	}
}

// TestALastDoubleThatCounts ends level and goes to an even lot: p + d/2.
func TestALastDoubleThatCounts(t *testing.T) {
	c := made(t, Format{To: 15, LastDoubleCounts: true}, Rates{.2, .1, .7})
	last := Score{14, 14}
	agree(t, "win", float64(c.Win(last)), .2+.35, near)
	agree(t, "a double", float64(c.DoubleWorth(last)), .5-.55, near)
	agree(t, "phrases", float64(c.Phrases(last)), 1, near)
	sum := 0.0
	for _, f := range c.Finals(Score{}) {
		sum += float64(f.Chance)
	}
	agree(t, "ends", sum, 1, near)
}

// TestPhrasesWithoutAHit change how long a bout takes, not who wins.
func TestPhrasesWithoutAHit(t *testing.T) {
	full, half := made(t, Format{To: 15}, Rates{.4, .35, .25}), made(t, Format{To: 15}, Rates{.2, .175, .125})
	agree(t, "win", float64(half.Win(Score{})), float64(full.Win(Score{})), near)
	agree(t, "phrases", float64(half.Phrases(Score{})), 2*float64(full.Phrases(Score{})), 1e-10)
}

// TestAgainstSimulation plays bouts with a seed.
func TestAgainstSimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 15))
	r := Rates{.35, .3, .25}
	from := Score{9, 10}
	const bouts = 40000
	wins, phrases := 0, 0
	for range bouts {
		s := from
		for s.Me < 15 && s.Opponent < 15 {
			phrases++
			switch u := quantity.Chance(rng.Float64()); {
			case u < r.Me:
				s.Me++
			case u < r.Me+r.Opponent:
				s.Opponent++
			case u < r.Me+r.Opponent+r.Double && s != Score{14, 14}:
				s.Me++
				s.Opponent++
			}
		}
		if s.Me == 15 {
			wins++
		}
	}
	c := made(t, Format{To: 15}, r)
	p := float64(c.Win(from))
	agree(t, "win", float64(wins)/bouts, p, 4*math.Sqrt(p*(1-p)/bouts))
	agree(t, "phrases", float64(phrases)/bouts, float64(c.Phrases(from)), 0.1)
}

func TestTimedAgainstTheMixture(t *testing.T) {
	all := load(t).Timed.Cases
	if len(all) < 5 {
		t.Fatal("checks are missing")
	}
	for _, row := range all {
		c := made(t, Format{To: row.N}, rates(t, row.P, row.Q, row.D))
		got, err := c.Timed(Score{}, Clock{PerMinute: row.PerMinute, Left: quantity.Seconds(60 * row.Minutes), Priority: .5})
		if err != nil {
			t.Fatal(err)
		}
		agree(t, "win", float64(got.Win), row.Exact.Win, near)
		agree(t, "tied", float64(got.Tied), row.Exact.Tied, near)
		agree(t, "extra", float64(got.Extra), row.Exact.Extra, near)
		agree(t, "lead", float64(got.Win-got.Tied*got.Extra), row.Exact.Lead, near)
		if w := float64(got.Win); w < row.Simulation.CI[0]-.002 || w > row.Simulation.CI[1]+.002 {
			t.Errorf("win %g is far from the simulation %v", w, row.Simulation.CI)
		}
	}
}

// TestTheClockAtItsEnds: no time left is decided by the lead, the lot or the
// extra minute; endless time is the bout without a clock.
func TestTheClockAtItsEnds(t *testing.T) {
	c := made(t, Format{To: 15}, Rates{.4, .35, .25})
	at := func(s Score, k Clock) Timed {
		t.Helper()
		v, err := c.Timed(s, k)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	agree(t, "a lead at time", float64(at(Score{9, 8}, Clock{PerMinute: 2, Left: 0, Priority: .5}).Win), 1, 0)
	agree(t, "behind at time", float64(at(Score{8, 9}, Clock{PerMinute: 2, Left: 0, Priority: .5}).Win), 0, 0)
	h := 1 - math.Exp(-2*.75)
	agree(t, "priority", float64(at(Score{9, 9}, Clock{PerMinute: 2, Left: 0, Priority: 1}).Win), 1-h+h*.4/.75, near)
	long := at(Score{9, 10}, Clock{PerMinute: 30, Left: 3600, Priority: .5})
	agree(t, "an hour at 30 a minute", float64(long.Win), float64(c.Win(Score{9, 10})), near)
	agree(t, "decided by hits", float64(long.InTime), 1, near)
	for _, s := range []Score{{9, 10}, {14, 14}, {14, 3}} {
		v, _, err := c.AtTime(s, Clock{PerMinute: 30, Left: 3600, Priority: .5})
		if err != nil {
			t.Fatal(err)
		}
		agree(t, "importance", float64(v.Importance), float64(c.Importance(s)), near)
		agree(t, "a double", float64(v.DoubleWorth), float64(c.DoubleWorth(s)), near)
	}
	v, _, _ := c.AtTime(Score{9, 8}, Clock{PerMinute: 2, Left: 0, Priority: .5})
	agree(t, "a hit against at time", float64(v.AfterHitAgainst), float64(at(Score{9, 9}, Clock{PerMinute: 2, Left: 0, Priority: .5}).Win), near)
}

func TestOverDraws(t *testing.T) {
	k := Counts{12, 9, 6}
	draws, err := k.Draws(4000, rand.NewPCG(1, 2))
	if err != nil {
		t.Fatal(err)
	}
	e, err := Over(Format{To: 15}, draws, Score{9, 10}, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := made(t, Format{To: 15}, Rates{12. / 27, 9. / 27, 6. / 27})
	if w := c.Win(Score{9, 10}); !e.Win.Covers(w) || e.Win.Hi-e.Win.Lo < .2 {
		t.Errorf("27 phrases give %v about %v", e.Win, w)
	}
	// The mean of a Dirichlet law is its counts' share (NIST e-Handbook has the Beta
	// case): 12.5 of 28.5.
	sum := 0.0
	for _, r := range draws {
		sum += float64(r.Me)
	}
	agree(t, "mean of p", sum/4000, 12.5/28.5, 4*math.Sqrt(.44*.56/29.5/4000))
	again, _ := k.Draws(4000, rand.NewPCG(1, 2))
	if again[3999] != draws[3999] {
		t.Error("equal seeds give different draws")
	}
}

func TestBadInput(t *testing.T) {
	nan := quantity.Chance(math.NaN())
	good := Rates{.4, .35, .25}
	c := made(t, Format{To: 15}, good)
	timed := func(s Score, k Clock) error { _, err := c.Timed(s, k); return err }
	newly := func(f Format, r Rates) error { _, err := New(f, r); return err }
	for _, x := range []struct {
		field string
		err   error
	}{
		{"p", newly(Format{To: 15}, Rates{nan, .3, .3})},
		{"q", newly(Format{To: 15}, Rates{.3, -.1, .3})},
		{"d", newly(Format{To: 15}, Rates{.3, .1, 1.3})},
		{"rates", newly(Format{To: 15}, Rates{.5, .4, .2})},
		{"rates", newly(Format{To: 15}, Rates{0, 0, 1})},
		{"to", newly(Format{To: 0}, good)},
		{"to", newly(Format{To: 101}, good)},
		{"score", Format{To: 15}.CheckScore(Score{-1, 3})},
		{"score", Format{To: 15}.CheckScore(Score{16, 3})},
		{"score", timed(Score{15, 3}, Clock{PerMinute: 2, Left: 60, Priority: .5})},
		{"pace", timed(Score{}, Clock{PerMinute: 0, Left: 60, Priority: .5})},
		{"left", timed(Score{}, Clock{PerMinute: 2, Left: -1, Priority: .5})},
		{"priority", timed(Score{}, Clock{PerMinute: 2, Left: 60, Priority: nan})},
	} {
		var bad *BadInput
		if !errors.As(x.err, &bad) || bad.Field != x.field || bad.Hint() == "" {
			t.Errorf("%s: %v", x.field, x.err)
		}
	}
	if _, err := (Counts{1, math.Inf(1), 0}).Draws(3, rand.NewPCG(1, 1)); err == nil {
		t.Error("endless counts are taken")
	}
}

// BenchmarkAllScores holds the number to reach: all scores to 15 within 1 ms.
func BenchmarkAllScores(b *testing.B) {
	for range b.N {
		if _, err := New(Format{To: 15}, Rates{.4, .35, .25}); err != nil {
			b.Fatal(err)
		}
	}
}
