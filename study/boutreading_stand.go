package study

import (
	"math/rand/v2"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/tactics/chain"
)

// standDraw is what the touch asked about can make of the bout, by one draw of what the
// touches before it leave open, seen from For: the chance to win now, after each end of
// the phrase and after a phrase without a hit.
type standDraw struct {
	Now, Hit, Against, Double, Nothing quantity.Chance
}

// phraseLasts is how long a phrase takes on average, by which a clock runs down where
// nobody hits.
const phraseLasts = quantity.Seconds(60 * HitShare / TouchesPerMinute)

// standDraws values the touch asked about by what was known before it: rates and pace are
// drawn from the lines above it alone, as BoutRead does from all of them, and the time is
// in it where the sheet or the ask says it: left is that time then, else nil. Nothing is
// drawn where the bout is over by then. It is drawn once a run; nobody changes it.
func (x *tacticsRun) standDraws() (all []standDraw, left *standTime, err error) {
	if x.stood == nil {
		all, left, err := x.drawStands()
		if err != nil {
			return nil, nil, err
		}
		x.stood = &stood{all, left}
	}
	return x.stood.all, x.stood.left, nil
}

// stood is what standDraws found.
type stood struct {
	all  []standDraw
	left *standTime
}

func (x *tacticsRun) drawStands() (all []standDraw, left *standTime, err error) {
	s, f := x.out.Score, chain.Format{To: x.ask.Bout.Touches, LastDoubleCounts: x.ask.Bout.LastDoubleCounts}
	if max(s.Left, s.Right) >= f.To {
		return nil, nil, nil
	}
	// Drawn from For's side: who stands on which side of the piste changes nothing.
	me := x.ask.For
	var counts chain.Counts
	lines := make([]BoutLine, 0, x.at+1)
	for _, l := range x.lines[:x.at] {
		lines = append(lines, l.BoutLine)
		switch outcomeFor(l.outcome(), me) {
		case OutcomeHit:
			counts.Me++
		case OutcomeAgainst:
			counts.Opponent++
		case OutcomeDouble:
			counts.Double++
		}
	}
	if err := f.Check(); err != nil {
		return nil, nil, err
	}
	draws := x.ask.Draws
	times, err := x.timesBefore(lines, f)
	if err != nil {
		return nil, nil, err
	}
	if times != nil && times.rule != nil {
		draws = min(draws, boutCardDraws)
	}
	rates, err := counts.Draws(draws, rand.NewPCG(x.ask.Seed, boutSeed))
	if err != nil {
		return nil, nil, err
	}
	var paces []quantity.Ratio
	if times != nil {
		times.seenFrom(me)
		paces, left = times.paces(draws), &times.stands[len(lines)]
	}
	for d, r := range rates {
		if x.ask.Bout.Weapon != bout.Epee && x.ask.Bout.Weapon != "" {
			r = withoutDoubles(r)
		}
		k, err := chain.New(f, r)
		if err != nil {
			return nil, nil, err
		}
		at := chain.Score{Me: s.Of(me), Opponent: s.Of(me.Other())}
		v := k.At(at)
		nothing := v.Win
		if left != nil {
			if v, nothing, err = timedStand(k, at, *left, times, float64(paces[d])); err != nil {
				return nil, nil, err
			}
		}
		c := func(v quantity.Chance) quantity.Chance { return min(1, max(0, v)) } // sums round
		all = append(all, standDraw{c(v.Win), c(v.AfterHit), c(v.AfterHitAgainst), c(v.AfterDouble), c(nothing)})
	}
	return all, left, nil
}

// seenFrom turns priority and seed from the left fencer's side to this one.
func (t *boutTimes) seenFrom(s mark.Side) {
	if s == mark.Left {
		return
	}
	t.priority = 1 - t.priority
	if t.rule != nil {
		t.rule.Seeded = 1 - t.rule.Seeded
	}
}

// timesBefore are the times that are known before the touch asked about; nil where that of
// the touch itself is not among them.
func (x *tacticsRun) timesBefore(lines []BoutLine, f chain.Format) (*boutTimes, error) {
	if x.ask.Bout.IsRelay() {
		return nil, nil
	}
	ask := BoutAsk{Bout: x.ask.Bout, Clock: x.ask.Clock}
	if len(lines) == 0 { // the clock of a touch that opens the sheet stands on no line above
		lines = []BoutLine{{Number: x.numberAt(0), Before: x.out.Score, After: x.out.Score}}
		ask.ClockAt = 1
		times, _, err := timesOf(ask, lines, f)
		if err != nil || times == nil || ask.Clock == nil {
			return nil, err
		}
		times.stands = times.stands[:1]
		return times, nil
	}
	times, _, err := timesOf(ask, lines, f)
	if err != nil || times == nil || !times.stands[len(lines)].known {
		return nil, err
	}
	return times, nil
}

// timedStand values one score with its time, and the same after a phrase without a hit.
func timedStand(k *chain.Chain, s chain.Score, t standTime, times *boutTimes, pace float64) (v chain.Values, nothing quantity.Chance, err error) {
	later := max(0, t.left-phraseLasts)
	clock := chain.Clock{PerMinute: pace, Left: t.left, Priority: 0.5}
	if t.extra {
		clock.Extra, clock.Priority = true, times.priority
		if v, _, err = k.AtTime(s, clock); err != nil {
			return v, 0, err
		}
		clock.Left = later
		after, _, err := k.AtTime(s, clock)
		return v, after.Win, err
	}
	clock.Unwilling = times.rule
	course, err := k.Course(s, clock)
	if err != nil {
		return v, 0, err
	}
	v = course.At(s, t.left, t.shown, t.since)
	// A card that falls within the phrase is left to what comes after it.
	since := min(t.since+t.left-later, chain.Hitless-1)
	return v, course.At(s, later, t.shown, max(t.since, since)).Win, nil
}
