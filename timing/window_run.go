package timing

import (
	"math"
	"math/rand/v2"

	"mesure/quantity"
)

// Windows draws the exchange and returns when each answer can still be started.
//
// In each draw the attack hits a target that stays, or that comes forward with the
// defender (see Defence.Coming), at the first t ≥ 0 with travel(t) ≥ gap (as in
// Race.Run), is seen at the cue, and the defender is ready
// at cue + reaction. Each answer has a latest start that follows from its own
// draw (see Answer.Asks); InTime is the chance that the reaction ends by then,
// taken from the law of the reaction in each draw and averaged, which is smoother
// than counting. Only one answer is tried at a time, and the attack goes on as it
// began: the model knows no feint, no second intention and no second step. Unlike
// in the race, a target that runs onto a point on guard is not hit by an extension
// that has not started: the point may not have been in line.
//
// draws must lie between 1 and MaxDraws; 20,000 give chances to ±0.003. src may
// be nil only where nothing is uncertain. It returns *InputError for a number
// that cannot be used and *BothReactError for an attack said to be a reaction.
func (x Exchange) Windows(app Apparatus, draws int, src rand.Source) (Windows, error) {
	w, err := x.WhatIf(app, draws, src)
	if err != nil {
		return Windows{}, err
	}
	return w[0], nil
}

// WhatIf returns the windows of the exchange and then of each changed one, all
// from the same draws: each input of a draw is the same quantile of its law
// everywhere, so that a change of 5 cm or 30 ms shows as itself and not as luck,
// however few the draws. The first is what Windows returns for the same source.
func (x Exchange) WhatIf(app Apparatus, draws int, src rand.Source, changed ...Exchange) ([]Windows, error) {
	if draws < 1 || draws > MaxDraws {
		return nil, &InputError{"number of draws", float64(draws), "between 1 and 10 million"}
	}
	bouts, certain := make([]*bout, 1+len(changed)), true
	for i := range bouts {
		e := x
		if i > 0 {
			e = changed[i-1]
		}
		b, err := newBout(e, app)
		if err != nil {
			return nil, err
		}
		bouts[i] = b
		certain = certain && b.certain()
	}
	seed, err := seedOf(src, certain)
	if err != nil {
		return nil, err
	}
	out := make([]Windows, len(bouts))
	for i, b := range bouts {
		n := draws
		if b.certain() {
			n = 1
			b.in[wReAim].sd = 0
		}
		out[i] = sumWindows(inBlocks(n, seed, b.windows), n, b.certain())
	}
	return out, nil
}

// windowDraws has what the draws of one block gave.
type windowDraws struct {
	hit, cue, left, ready, reAim []quantity.Seconds
	gone                         []quantity.Ratio
	each                         [answers]answerDraws
}

type answerDraws struct {
	earliest, latest, spare []quantity.Seconds
	inTime                  []float64
	possible                int
}

// windows makes n draws.
func (b *bout) windows(n int, rng *stream) *windowDraws {
	w := &windowDraws{}
	for _, s := range []*[]quantity.Seconds{&w.hit, &w.cue, &w.left, &w.ready, &w.reAim} {
		*s = make([]quantity.Seconds, 0, n)
	}
	w.gone = make([]quantity.Ratio, 0, n)
	for i := range w.each {
		e := &w.each[i]
		e.earliest, e.latest, e.spare = make([]quantity.Seconds, 0, n), make([]quantity.Seconds, 0, n), make([]quantity.Seconds, 0, n)
		e.inTime = make([]float64, 0, n)
	}
	reaction := &b.in[wReaction]
	names := Answers()
	var d draw
	var latest [answers]float64
	for range n {
		b.next(&d, rng)
		d.latest(&latest)
		ready := max(d.cue+d.x[wReaction], 0) // what could have been started before is past
		w.cue = append(w.cue, quantity.Seconds(d.cue))
		w.ready = append(w.ready, quantity.Seconds(ready))
		arrives, fixed := !math.IsInf(d.hit, 1), d.hit-d.x[wReAim]
		if arrives {
			w.hit = append(w.hit, quantity.Seconds(d.hit))
			w.left = append(w.left, quantity.Seconds(d.hit-d.cue))
			w.reAim = append(w.reAim, quantity.Seconds(fixed))
			if whole := d.hit - d.x[wOnset]; whole > 0 {
				w.gone = append(w.gone, quantity.Ratio((d.cue-d.x[wOnset])/whole))
			}
		}
		for i, last := range latest {
			e := &w.each[i]
			inTime := 0.0
			if last >= 0 {
				inTime = reaction.chanceUpTo(last - d.cue)
			}
			e.inTime = append(e.inTime, inTime)
			from := ready
			if arrives && names[i].canBeLedRound() {
				from = max(ready, min(last, fixed))
			}
			e.earliest = append(e.earliest, quantity.Seconds(from))
			if math.IsInf(last, -1) {
				continue
			}
			e.possible++
			if arrives {
				e.latest = append(e.latest, quantity.Seconds(last))
				e.spare = append(e.spare, quantity.Seconds(last-ready))
			}
		}
	}
	return w
}

// canBeLedRound reports whether an attack that sees the answer early enough can
// go elsewhere.
func (a Answer) canBeLedRound() bool {
	switch a {
	case ExtendSingle, ExtendDouble, RetreatOut:
		return false
	}
	return true
}

// sumWindows sums the blocks up, in order.
func sumWindows(parts []*windowDraws, n int, certain bool) Windows {
	all := parts[0]
	for _, p := range parts[1:] {
		all.hit, all.cue, all.left = append(all.hit, p.hit...), append(all.cue, p.cue...), append(all.left, p.left...)
		all.ready, all.reAim, all.gone = append(all.ready, p.ready...), append(all.reAim, p.reAim...), append(all.gone, p.gone...)
		for i := range all.each {
			e, q := &all.each[i], &p.each[i]
			e.earliest, e.latest = append(e.earliest, q.earliest...), append(e.latest, q.latest...)
			e.spare, e.inTime = append(e.spare, q.spare...), append(e.inTime, q.inTime...)
			e.possible += q.possible
		}
	}
	share := func(k int) quantity.Of[quantity.Chance] {
		if certain {
			return quantity.Exactly(quantity.Chance(k))
		}
		return quantity.FromCounts(k, n)
	}
	w := Windows{
		Arrives: share(len(all.hit)), Hit: summary(all.hit),
		Cue:   Sight{At: summary(all.cue), Gone: summary(all.gone), Left: summary(all.left)},
		Ready: summary(all.ready), ReAim: summary(all.reAim), Draws: n,
	}
	for i, a := range Answers() {
		e := &all.each[i]
		w.Each[i] = Window{Answer: a, Asks: a.Asks(),
			Earliest: summary(e.earliest), Latest: summary(e.latest), Spare: summary(e.spare),
			Possible: share(e.possible), InTime: averageChance(e.inTime, certain)}
	}
	return w
}

// summary is quantity.FromDraws, and the zero value where there are no draws.
func summary[U quantity.Unit](draws []U) quantity.Of[U] {
	if len(draws) == 0 {
		return quantity.Of[U]{}
	}
	return quantity.FromDraws(draws)
}
