package payoff

import (
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
	"mesure/tactics/game"
)

// Draws of a model that is worth fewer phrases than their spread tells are spread until
// they are worth so many: by the law of total variance the four ends together vary as
// those of Dirichlet(k·m) do, Σ m(1−m)/(k+1).
func TestDrawsTellNoMoreThanTheModelIsWorth(t *testing.T) {
	r := rand.New(seed(21))
	m := [4]float64{.4, .2, .3, .1}
	var draws []Shares
	for range 400 {
		p := dirichlet([4]float64{80, 40, 60, 20}, r) // worth 200
		draws = append(draws, Shares{quantity.Chance(p[0]), quantity.Chance(p[1]), quantity.Chance(p[2]), quantity.Chance(p[3])})
	}
	if w := WorthOf(draws); w < 170 || w > 235 {
		t.Fatalf("draws of Dirichlet(200·m) are worth %.0f", w)
	}
	l := Cell{Draws: draws, Sure: 20}.blend(1)
	sum, within := 0.0, 0.0
	const n = 8000
	for _, v := range m {
		within += v * (1 - v)
	}
	for d := range n {
		p := l.draw(d, r)
		for o, v := range p {
			sum += (v - m[o]) * (v - m[o]) / n
		}
	}
	if k := within/sum - 1; math.Abs(k-20) > 1.2 { // 5 % of a variance over 8,000 draws
		t.Errorf("the draws tell as much as %.1f phrases, not 20", k)
	}
}

// How the bout stands moves all choices alike: draws of values that differ in nothing
// else change no worth, no interval and no comparison.
func TestStandingMovesAllAlike(t *testing.T) {
	s := wrist()
	one := Values{Me: 0.58, Double: 0.51, Opponent: 0.43, Nothing: 0.5}
	s.Values = []Values{one}
	a := advise(t, s, 120)
	s.Values = nil
	for k := range 120 {
		by := quantity.Chance(0.003 * float64(k-60)) // mean −0.0015
		s.Values = append(s.Values, Values{one.Me + by, one.Double + by, one.Opponent + by, one.Nothing + by})
	}
	b := advise(t, s, 120)
	for i := range a.Standings {
		x, y := a.Standings[i].Worth, b.Standings[i].Worth
		near(t, "worth", float64(y.Mean-x.Mean), -0.0015, 1e-12)
		near(t, "interval", float64(y.Hi-y.Lo), float64(x.Hi-x.Lo), 1e-9)
	}
	near(t, "lead", float64(b.Reply.Ahead.SD), float64(a.Reply.Ahead.SD), 1e-12)
	if w := b.After.Nothing; w.Hi-w.Lo < 0.3 {
		t.Errorf("what is not known of the standing is told nowhere: %v", w)
	}
}

// A phrase on which next to nothing hangs still has its game solved.
func TestLittleHangsOnThePhrase(t *testing.T) {
	s := wrist()
	s.Values = []Values{{Me: 1 - 1e-11, Double: 1 - 2e-11, Opponent: 1 - 5e-11, Nothing: 1 - 3e-11}}
	a := advise(t, s, 40)
	if game.CheckMix([]float64{float64(a.Play.Even[0]), float64(a.Play.Even[1]), float64(a.Play.Even[2])}, 3) != nil {
		t.Errorf("%v", a.Play.Even)
	}
}
