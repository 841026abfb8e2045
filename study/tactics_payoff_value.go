package study

import (
	"errors"
	"math/rand/v2"

	"mesure/quantity"
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
	// payoffValues is how many draws of what the bout is worth are made; with a clock
	// each takes a hundred times as long.
	payoffValues      = 250
	payoffTimedValues = 60
)

// value says what the bout is worth after each end of the phrase, over draws of the
// rates that the touches before leave open.
func (p *payoffRun) value() error {
	b, me := p.ask.Bout, p.ask.For
	var c chain.Counts
	for _, l := range p.lines[:p.at] {
		switch outcomeFor(l.outcome(), me) {
		case OutcomeHit:
			c.Me++
		case OutcomeAgainst:
			c.Opponent++
		case OutcomeDouble:
			c.Double++
		}
	}
	refused := func(err error) error {
		var bad *chain.BadInput
		if errors.As(err, &bad) {
			return &Refusal{At: "/bout", What: bad.Text, Mend: bad.Mend, Because: err}
		}
		return &Refusal{At: "/bout", What: err.Error(), Because: err}
	}
	n := payoffValues
	if p.ask.Clock != nil {
		n = payoffTimedValues
	}
	rates, err := c.Draws(n, rand.NewPCG(p.ask.Seed, payoffStream+2))
	if err != nil {
		return refused(err)
	}
	format := chain.Format{To: b.Touches, LastDoubleCounts: b.LastDoubleCounts}
	s := chain.Score{Me: p.tacticsRun.out.Score.Of(me), Opponent: p.tacticsRun.out.Score.Of(me.Other())}
	if err := format.CheckScore(s); err != nil {
		return refused(err)
	}
	for _, r := range rates {
		v, err := p.valuesOf(format, r, s)
		if err != nil {
			return refused(err)
		}
		p.situation.Values = append(p.situation.Values, v)
	}
	return nil
}

// valuesOf values the four ends by one draw of the rates.
func (p *payoffRun) valuesOf(f chain.Format, r chain.Rates, s chain.Score) (payoff.Values, error) {
	if p.ask.Clock == nil {
		k, err := chain.New(f, r)
		if err != nil {
			return payoff.Values{}, err
		}
		return payoff.ValuesOf(k.At(s)), nil
	}
	clock, phrase := p.clock(), quantity.Seconds(60*HitShare/TouchesPerMinute)
	// Of all phrases, those without a hit among them.
	all := chain.Rates{Me: HitShare * r.Me, Opponent: HitShare * r.Opponent, Double: HitShare * r.Double}
	if clock.Extra {
		return payoff.ValuesExtra(all, clock, phrase)
	}
	k, err := chain.New(f, all)
	if err != nil {
		return payoff.Values{}, err
	}
	return payoff.ValuesAt(k, s, clock, phrase)
}

// clock is what was asked of the time, seen from For.
func (p *payoffRun) clock() chain.Clock {
	a := p.ask.Clock
	k := chain.Clock{PerMinute: TouchesPerMinute / HitShare, Left: a.Left, Priority: 0.5, Extra: a.Priority != ""}
	holds := func(side string) quantity.Chance {
		switch side {
		case p.ask.For.String():
			return 1
		case "":
			return 0.5
		}
		return 0
	}
	k.Priority = holds(a.Priority)
	if a.Unwillingness && !k.Extra {
		k.Unwilling = &chain.Unwilling{Seeded: holds(a.Seeded)}
	}
	return k
}
