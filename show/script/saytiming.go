package script

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// timing says who started, who arrives first and which answers were open.
func (d *draft) timing() {
	x := d.r.Timing
	if x != nil && x.Started != nil {
		d.started(x.Started)
	}
	if race := raceOf(d.r); race != nil {
		d.race(race)
	}
	if x != nil && x.Windows != nil {
		d.windows(x)
	}
}

func (d *draft) started(x *study.Started) {
	if startsOfBoth(x) {
		s := mark.Left
		if x.Order.SideFirst[mark.Right].Mean > x.Order.SideFirst[mark.Left].Mean {
			s = mark.Right
		}
		d.say(PartTiming, "started", "started", strength(x.Order.SideFirst[s]), d.facts.who(s), nums{"chance": "started/" + s.String()}, nil)
	}
	l := x.Launch
	if l == nil || l.Into == study.LaunchNotFollowed || l.Chance < Rather {
		return
	}
	claim := claimOpen
	switch {
	case l.Chance >= Clear:
		claim = claimClear
	case l.Chance >= Likely:
		claim = claimLikely
	}
	w := d.facts.who(l.Who)
	w["into"] = d.lang.Launched(l.Into)
	d.say(PartTiming, "launch", "launch", claim, w, nums{"chance": "launch/chance"}, nil)
	d.say(PartTiming, "tempi", "tempi", "", w, nums{"tempi": "launch/tempi"}, nil)
}

// race says who arrives first, or that one alone does, or most likely nobody.
func (d *draft) race(x *study.Race) {
	s := likelier(x)
	w := d.facts.who(s)
	w["action"], w["answer"] = d.lang.Action(x.Runs[s].Action), d.lang.Action(x.Runs[s.Other()].Action)
	side := s.String()
	n := nums{"first": "race/first/" + side, "margin": "race/margin/" + side, "between": "race/between/" + side, "neither": "race/neither"}
	claim := raceClaim(x, s)
	d.say(PartTiming, "race", "race", claim, w, n, nil)
	d.say(PartTiming, "lights", "lights", "", w, nums{"only": "race/only/" + side, "only2": "race/only/" + s.Other().String(), "both": "race/both", "window": "race/window"}, nil)
	if hit, alone := d.hit(); alone && hit != s && claimsFirst(claim) {
		// Left alone, what was said would stand against what everybody saw.
		d.say(PartTiming, "race-came", "race-came", "", d.facts.who(hit), nil, nil)
	}
}

// hit is who hit, where the lamps show one fencer alone.
func (d *draft) hit() (s mark.Side, alone bool) {
	l := d.r.Touch.Lamps
	if l == nil || l.Left == l.Right {
		return 0, false
	}
	if l.Right {
		return mark.Right, true
	}
	return mark.Left, true
}

// likelier is who arrives first in more draws of a race.
func likelier(x *study.Race) mark.Side {
	if rightFirst(x).Mean > x.LeftFirst.Mean {
		return mark.Right
	}
	return mark.Left
}

// raceClaim is what is said of the one who is likelier first. "Neither" goes before,
// since a race in which nobody arrives has no winner; a lead needs races in which both
// do, and is flat only where all of its interval is a lead.
func raceClaim(x *study.Race, s mark.Side) string {
	first, margin := firstOf(x, s), x.Margin
	if s == mark.Right {
		margin = negated(margin)
	}
	alone := margin.SD == 0 || x.BothArrive.SD > 0 && x.BothArrive.Hi <= 1-Likely
	switch claim := strength(first); {
	case isOpen(x.Neither):
		return sure("neither", x.Neither.Lo)
	case x.Neither.Lo >= Rather:
		return "mostly-neither"
	case claim == claimOpen:
		return claim
	case alone:
		return sure("alone", first.Lo)
	case claim == claimClear && !(margin.IsValid() && margin.Lo > 0):
		return claimLikely
	default:
		return claim
	}
}

// claimsFirst reports whether a claim of the race names one who arrives first.
func claimsFirst(claim string) bool {
	switch strings.TrimSuffix(claim, hedged) {
	case claimClear, claimLikely, "alone":
		return true
	}
	return false
}

func firstOf(x *study.Race, s mark.Side) quantity.Of[quantity.Chance] {
	if s == mark.Left {
		return x.LeftFirst
	}
	return rightFirst(x)
}

// rightFirst is the chance that the right point arrives first: neither left's nor that of
// nobody. The ends of both intervals are taken together, which is wider than 95 %.
func rightFirst(x *study.Race) quantity.Of[quantity.Chance] {
	l, n := x.LeftFirst, x.Neither
	in := func(v quantity.Chance) quantity.Chance { return min(max(v, 0), 1) }
	return quantity.Of[quantity.Chance]{Mean: in(1 - l.Mean - n.Mean), SD: quantity.Chance(math.Hypot(float64(l.SD), float64(n.SD))), Lo: in(1 - l.Hi - n.Hi), Hi: in(1 - l.Lo - n.Lo)}
}

// windows says which answers were open, which shut, and which cannot be told: an answer
// that starts as soon as the attack is seen and the reaction is over.
func (d *draft) windows(x *study.Timing) {
	w := d.facts.who(x.Attacker.Other())
	open, shut, even := sorted(x.Windows)
	most := deepAnswers.at(d.o.Level)
	n := nums{"ready": "windows/ready", "hit": "windows/hit"}
	if isOpen(x.Windows.Arrives) {
		d.say(PartTiming, "clock", "clock", "", w, n, nil)
	} else if fallsShort(x.Windows) {
		d.say(PartTiming, "short", "short", sure("falls", 1-x.Windows.Arrives.Hi), d.facts.who(x.Attacker), nums{"arrives": "windows/arrives"}, nil)
	}
	for _, g := range []struct {
		key string
		all []timing.Window
	}{{"open", open}, {"shut", shut}, {"even", even}} {
		if len(g.all) == 0 {
			continue
		}
		var refs, names []string
		for _, a := range g.all {
			refs, names = append(refs, "windows/in-time/"+string(a.Answer)), append(names, d.lang.Answer(a.Answer))
		}
		d.say(PartTiming, "windows-"+g.key, "windows", g.key, w, nil, map[string][]Piece{"list": d.list(refs, names, most)})
	}
}

// fallsShort says that the attack most likely does not reach a target that stays: then
// answers that only defend are in time for no reason of their own.
func fallsShort(w *study.Windows) bool { return isShut(w.Arrives) }

// sorted are the answers that were open, the surest first and a double last, those that were shut, the
// surest first, and the others in their order.
func sorted(x *study.Windows) (open, shut, even []timing.Window) {
	for _, a := range x.Each {
		switch {
		case a.Answer == "" || !a.InTime.IsValid():
		case isOpen(a.InTime):
			open = append(open, a)
		case isShut(a.InTime):
			shut = append(shut, a)
		default:
			even = append(even, a)
		}
	}
	// A double comes last of the open ones: nobody goes for it while another answer is open.
	double := func(w timing.Window) int {
		if w.Answer == timing.ExtendDouble {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(open, func(a, b timing.Window) int {
		return cmp.Or(cmp.Compare(double(a), double(b)), cmp.Compare(b.InTime.Mean, a.InTime.Mean))
	})
	slices.SortStableFunc(shut, func(a, b timing.Window) int { return cmp.Compare(a.InTime.Mean, b.InTime.Mean) })
	return open, shut, even
}

// takeAway repeats what can be used: the answer that was open, the parry that would have
// served, and what to do next as the tactics have it.
func (d *draft) takeAway() {
	x := d.r.Timing
	if x != nil && x.Windows != nil {
		d.keepAnswer(x)
	}
	if x != nil && x.Parry != nil && x.Parry.Observed != nil {
		o := x.Parry.Observed
		if size := o.Judged.Size; isOpen(sizeChance(o)) && (size == timing.SizeSmall || size == timing.SizeLarge) {
			d.say(PartTakeAway, "keep-parry", "keep-parry", sure(string(size), sizeChance(o).Lo), d.facts.who(x.Parry.Defender), nums{"asked": "parry/asked"}, nil)
		}
	}
	if d.r.Tactics != nil {
		d.next(d.r.Tactics.For)
	}
}

// keepAnswer says which answer there was time for, as the touch came out: where the
// attacker hit alone, time for an answer is no advice to make it.
func (d *draft) keepAnswer(x *study.Timing) {
	const key = "keep-answer"
	hit, alone := d.hit()
	attacker, defender := alone && hit == x.Attacker, alone && hit != x.Attacker
	if fallsShort(x.Windows) {
		claim := "short"
		if attacker {
			claim = "short-hit"
		}
		d.say(PartTakeAway, key, key, sure(claim, 1-x.Windows.Arrives.Hi), d.facts.who(x.Attacker), nil, nil)
		return
	}
	w := d.facts.who(x.Attacker.Other())
	open, _, even := sorted(x.Windows)
	switch {
	case len(open) > 0:
		best := open[0]
		claim := claimOpen
		switch {
		case attacker:
			claim = "lost"
		case defender:
			claim = "won"
		}
		w["answer"] = d.lang.Answer(best.Answer)
		d.say(PartTakeAway, key, key, sure(claim, best.InTime.Lo), w, nums{"chance": "windows/in-time/" + string(best.Answer)}, nil)
	case len(even) > 0:
	case defender:
		d.say(PartTakeAway, key, key, "none-known", w, nil, nil)
	default:
		d.say(PartTakeAway, key, key, "none", w, nil, nil)
	}
}
