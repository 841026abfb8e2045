package study

import (
	"errors"

	"mesure/tactics/chain"
	"mesure/tactics/payoff"
)

// How fast touches come where the clock is asked about.
const (
	// TouchesPerMinute of fencing. Derived: 20.3 phrases that end in a hit a bout to 15,
	// and 442 s of fencing (29 men's bouts of a World Cup).
	TouchesPerMinute = 2.75
	// HitShare is the part of phrases that end in a hit: up to 40 % of 1,301 phrases in
	// 29 men's bouts.
	HitShare = 0.40
)

// value says what the bout is worth after each end of the phrase, over draws of the
// rates that the touches before leave open, and of the pace where time counts.
func (p *payoffRun) value() error {
	all, left, err := p.standDraws()
	if err != nil {
		var bad *chain.BadInput
		if errors.As(err, &bad) {
			return &Refusal{At: "/bout", What: bad.Text, Mend: bad.Mend, Because: err}
		}
		return err
	}
	p.timed = left != nil
	for _, d := range all {
		p.situation.Values = append(p.situation.Values, payoff.Values{Me: d.Hit, Double: d.Double, Opponent: d.Against, Nothing: d.Nothing})
	}
	return nil
}
