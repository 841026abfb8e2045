package chain

import (
	"fmt"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distmv"

	"mesure/quantity"
)

// PriorCount is what each of the three outcomes of a phrase is credited with
// before anything was seen: half a count, the prior of Jeffreys (1946) for a law
// of several outcomes.
const PriorCount = 0.5

// Counts are phrases that ended in a hit: single ones of mine, of the
// opponent's, and doubles. They may be fractions, where older ones weigh less.
type Counts struct{ Me, Opponent, Double float64 }

// Draws returns n draws of the rates that these counts leave open: the Dirichlet
// law of the counts with PriorCount added to each. It returns a *BadInput where
// a count is negative or not a number, and panics if n < 1.
func (k Counts) Draws(n int, src rand.Source) ([]Rates, error) {
	if n < 1 {
		panic("chain: at least one draw is needed")
	}
	alpha := []float64{k.Me, k.Opponent, k.Double}
	for i, v := range alpha {
		if !(v >= 0) || !finite(v) {
			return nil, &BadInput{"rates", fmt.Sprintf("%g is not a number of phrases", v), "Count single hits of each side and doubles, from 0."}
		}
		alpha[i] += PriorCount
	}
	law := distmv.NewDirichlet(alpha, src)
	all := make([]Rates, n)
	x := make([]float64, 3)
	for i := range all {
		law.Rand(x)
		all[i] = Rates{quantity.Chance(x[0]), quantity.Chance(x[1]), quantity.Chance(x[2])}
	}
	return all, nil
}

// Estimate is the value of a score by rates that are not exactly known.
type Estimate struct {
	Win         quantity.Of[quantity.Chance] `json:"win"`
	Importance  quantity.Of[quantity.Chance] `json:"importance"`
	DoubleWorth quantity.Of[quantity.Chance] `json:"double_worth"`
	Phrases     quantity.Of[quantity.Ratio]  `json:"phrases"`
}

// Over values a score over draws of the rates: mean, standard deviation and the
// central 95 % of what each draw makes of it, with a clock where there is one.
// Phrases are those of the bout without a clock, and with one each draw is valued to
// CourseTolerance. It says how little is known of
// the rates, not how far the model is from the bout. Errors are *BadInput. It
// panics if there are no draws.
func Over(f Format, draws []Rates, s Score, k *Clock) (Estimate, error) {
	if err := f.Check(); err != nil {
		return Estimate{}, err
	}
	if err := f.CheckScore(s); err != nil {
		return Estimate{}, err
	}
	win, imp, dbl := make([]quantity.Chance, len(draws)), make([]quantity.Chance, len(draws)), make([]quantity.Chance, len(draws))
	phrases := make([]quantity.Ratio, len(draws))
	for i, r := range draws {
		c, err := New(f, r)
		if err != nil {
			return Estimate{}, err
		}
		v := c.At(s)
		if k != nil {
			if v, err = c.drawAt(s, *k); err != nil {
				return Estimate{}, err
			}
		}
		win[i], imp[i], dbl[i], phrases[i] = v.Win, v.Importance, v.DoubleWorth, c.Phrases(s)
	}
	return Estimate{quantity.FromDraws(win), quantity.FromDraws(imp), quantity.FromDraws(dbl), quantity.FromDraws(phrases)}, nil
}

// drawAt is AtTime for one of many draws of the rates: by a Course.
func (c *Chain) drawAt(s Score, k Clock) (Values, error) {
	if err := k.checkAt(c.format, s); err != nil {
		return Values{}, err
	}
	if k.Extra {
		v, _, err := c.AtTime(s, k)
		return v, err
	}
	x, err := c.Course(s, k)
	if err != nil {
		return Values{}, err
	}
	shown, since := 0, quantity.Seconds(0)
	if k.Unwilling != nil {
		shown, since = k.Unwilling.Shown, k.Unwilling.Since
	}
	return x.At(s, k.Left, shown, since), nil
}
