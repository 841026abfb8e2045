package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/timing"
)

// answerWords are the answers as a coach says them, within a sentence.
var answerWords = map[timing.Answer]string{
	timing.ExtendSingle:    "a stop hit for the single light",
	timing.ExtendDouble:    "an extension for the double",
	timing.ParryLateral:    "a lateral parry",
	timing.ParrySemi:       "a semicircular parry",
	timing.ParryCircular:   "a circular parry",
	timing.ParryStepBack:   "a parry with a step back",
	timing.RetreatOut:      "a step out of reach",
	timing.RemoveTarget:    "taking the target away",
	timing.OpposeInTheLine: "an opposition that closes the line",
}

// windowFinding says in a few plain sentences when the attack arrives and can be seen,
// which answers are open, and which are not.
func (x *Timing) windowFinding(w *Windows) string {
	a, d := x.Attacker, x.Attacker.Other()
	what := fmt.Sprintf("%s %s to the %s", sideName(a), plain(w.AttackAction), plain(string(w.AttackTarget)))
	stays := "a target that stays"
	if w.Exchange.Defence.Coming.Movement.Body.Mean > 0 {
		stays = "the target that comes towards it"
	}
	if w.Arrives.Mean < timing.OutOfMeasureBelow {
		return fmt.Sprintf("%s reaches %s in %s of 100: %v need not answer yet", what, stays, in100(w.Arrives.Mean), d)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s hits in %s; %s of its time is gone when it can be seen", what, spreadMS(w.Hit), percent(w.Cue.Gone.Mean))
	if w.Cue.At.Mean < -leastAgo {
		fmt.Fprintf(&b, ", which was %.0f ms ago", roundTo(-w.Cue.At.Mean.Milliseconds(), 5))
	}
	each := slices.Clone(w.Each[:])
	slices.SortStableFunc(each, func(a, b timing.Window) int { return cmp.Compare(b.InTime.Mean, a.InTime.Mean) })
	var open, shut []string
	for _, e := range each {
		switch c := e.InTime.Mean; {
		case c >= clearChance:
			open = append(open, fmt.Sprintf("%s (%s of 100)", answerWords[e.Answer], in100(c)))
		case c < 1-clearChance:
			shut = append(shut, answerWords[e.Answer])
		}
	}
	switch {
	case len(shut) == len(each):
		fmt.Fprintf(&b, ". After the reaction every answer of %v comes too late", d)
	case len(open) == len(each):
		fmt.Fprintf(&b, ". After the reaction every answer of %v is still open, from %s to %s", d, open[0], open[len(open)-1])
	case len(open) == 0:
		fmt.Fprintf(&b, ". After the reaction no answer of %v is clearly in time; the best is %s (%s of 100)", d, answerWords[each[0].Answer], in100(each[0].InTime.Mean))
	default:
		fmt.Fprintf(&b, ". After the reaction %v is in time for %s", d, listed(fewest(open)))
	}
	if len(shut) > 0 && len(shut) < len(each) {
		fmt.Fprintf(&b, "; too late for %s", listed(fewest(shut)))
	}
	return b.String()
}

// mapFinding says where this instant stands on the distance map.
func (x *Timing) mapFinding(m *Map) string {
	if m.Here < 0 {
		return ""
	}
	a, d := m.Attacker, m.Attacker.Other()
	s := m.Path[m.Here]
	where := "At this gap of " + plusMinus(s.Gap, inM)
	if s.Lead.Mean > 0 {
		where = "From this gap of " + plusMinus(s.Gap, inM) + ", with a lead of " + plusMinus(s.Lead, inMS)
	}
	if !s.Inside {
		where += " (beyond the edge of the map)"
	}
	switch s.Cell.Zone {
	case timing.ZoneNobody:
		return fmt.Sprintf("%s nobody threatens: %v's action falls short and so does %v's extension", where, a, d)
	case timing.ZoneDefender:
		return fmt.Sprintf("%s only %v hits by extending: %v's attack is answered by the point", where, d, a)
	case timing.ZoneBoth:
		return fmt.Sprintf("%s both hit: an extension of %v into the attack gives a double", where, d)
	case timing.ZoneParry:
		return fmt.Sprintf("%s an extension of %v comes too late, and a lateral parry is in time", where, d)
	}
	return fmt.Sprintf("%s the straight attack outruns the lateral parry in %s of 100", where, in100(s.Cell.Outruns.Mean))
}

// whatIfFinding says what the change does: to who arrives first, and to the answers that
// it moves most.
func (x *Timing) whatIfFinding() string {
	w := x.WhatIf
	var parts []string
	if a, b := x.Race, w.Race; a != nil && b != nil {
		who, now, then := "left", a.LeftFirst.Mean, b.LeftFirst.Mean
		if then < now {
			who, now, then = "right", 1-now-a.Neither.Mean, 1-then-b.Neither.Mean
		}
		if math.Abs(float64(then-now)) < leastDifference {
			parts = append(parts, "who arrives first hardly changes")
		} else {
			parts = append(parts, fmt.Sprintf("%s arrives first in %s of 100 instead of %s", who, in100(then), in100(now)))
		}
	}
	if a, b := x.Windows, w.Windows; a != nil && b != nil {
		best, by := -1, leastDifference
		for i := range a.Each {
			if d := math.Abs(float64(b.Each[i].InTime.Mean - a.Each[i].InTime.Mean)); d > by {
				best, by = i, d
			}
		}
		if best >= 0 {
			parts = append(parts, fmt.Sprintf("%s is in time in %s of 100 instead of %s", answerWords[a.Each[best].Answer], in100(b.Each[best].InTime.Mean), in100(a.Each[best].InTime.Mean)))
		} else {
			parts = append(parts, "no answer changes by more than a few in 100")
		}
	}
	if len(parts) == 0 {
		return ""
	}
	s := strings.Join(parts, "; ")
	return strings.ToUpper(s[:1]) + s[1:]
}

// leastAgo is how long ago a cue must lie to be told as past.
const leastAgo = quantity.Seconds(0.02)

// leastDifference of two chances that is worth a word.
const leastDifference = 0.02

// spreadMS prints a time as 540 ± 60 ms, to 5 ms.
func spreadMS(q quantity.Of[quantity.Seconds]) string {
	if q.SD == 0 {
		return fmt.Sprintf("%.0f ms", roundTo(q.Mean.Milliseconds(), 5))
	}
	return fmt.Sprintf("%.0f ± %.0f ms", roundTo(q.Mean.Milliseconds(), 5), max(5, roundTo(q.SD.Milliseconds(), 5)))
}

func percent(share quantity.Ratio) string { return fmt.Sprintf("%.0f %%", 100*float64(share)) }

// fewest keeps the first of a list that a sentence can carry, and counts the others.
func fewest(all []string) []string {
	const most = 3
	if len(all) <= most+1 {
		return all
	}
	return append(slices.Clone(all[:most]), fmt.Sprintf("%d others", len(all)-most))
}

// listed writes a list as words: a, b and c.
func listed(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " and " + all[len(all)-1]
}
