package payoff

import (
	"math"

	"mesure/quantity"
	"mesure/tactics/chain"
)

// Values are what the bout is worth to me, as a chance to win, after each end of
// the phrase.
type Values struct{ Me, Double, Opponent, Nothing quantity.Chance }

// ValuesOf returns the values of a score without a clock, those of Chain.At:
// nothing leaves the bout as it stands.
func ValuesOf(v chain.Values) Values {
	// Rounding over the many scores of a relay passes 1 by some 1e-15.
	in := func(c quantity.Chance) quantity.Chance { return min(max(c, 0), 1) }
	return Values{in(v.AfterHit), in(v.AfterDouble), in(v.AfterHitAgainst), in(v.Win)}
}

// ValuesAt returns the values of a score that time may end, those of Chain.AtTime
// with what is left once the phrase has taken its time: nothing then helps whoever
// leads. Errors are those of Chain.AtTime.
func ValuesAt(c *chain.Chain, s chain.Score, k chain.Clock, phrase quantity.Seconds) (Values, error) {
	k.Left = max(0, k.Left-phrase)
	v, _, err := c.AtTime(s, k)
	if err != nil {
		return Values{}, err
	}
	return ValuesOf(v), nil
}

// ValuesExtra returns the values in the extra minute, of which k.Left is left
// before the phrase: a single hit ends the bout, a double does not count, and
// without a hit the priority wins (t.38.2b and t.40.3 of the FIE's Technical
// Rules):
//
//	W(nothing) = (1−h)·priority + h·p/(p+q),  h = 1 − e^−(pace·left·(p+q))
//
// as in Chain.Timed. Errors are *chain.BadInput.
func ValuesExtra(r chain.Rates, k chain.Clock, phrase quantity.Seconds) (Values, error) {
	if err := r.Check(); err != nil {
		return Values{}, err
	}
	if err := k.Check(); err != nil {
		return Values{}, err
	}
	single := float64(r.Me) + float64(r.Opponent)
	h := -math.Expm1(-k.PerMinute * float64(max(0, k.Left-phrase)) / 60 * single)
	on := quantity.Chance(float64((1-h)*float64(k.Priority)) + h*float64(r.Me)/single)
	return Values{Me: 1, Double: on, Opponent: 0, Nothing: on}, nil
}

func (v Values) list() [4]float64 {
	return [4]float64{float64(v.Me), float64(v.Double), float64(v.Opponent), float64(v.Nothing)}
}
