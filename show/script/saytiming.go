package script

import (
	"cmp"
	"slices"

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

// race says who arrives first. Ahead without "likely" asks that the whole interval of
// the margin lies on one side of nothing.
func (d *draft) race(x *study.Race) {
	s, first, margin := mark.Left, x.LeftFirst, x.Margin
	if x.LeftFirst.Mean < 0.5 {
		s, first, margin = mark.Right, not(first), negated(margin)
	}
	claim := raceClaim(first, margin)
	w := d.facts.who(s)
	w["action"], w["answer"] = d.lang.Action(x.Runs[s].Action), d.lang.Action(x.Runs[s.Other()].Action)
	side := s.String()
	n := nums{"first": "race/first/" + side, "margin": "race/margin/" + side, "between": "race/between/" + side}
	d.say(PartTiming, "race", "race", claim, w, n, nil)
	d.say(PartTiming, "lights", "lights", "", w, nums{"only": "race/only/" + side, "only2": "race/only/" + s.Other().String(), "both": "race/both", "window": "race/window"}, nil)
}

func raceClaim(first quantity.Of[quantity.Chance], margin quantity.Of[quantity.Seconds]) string {
	claim := strength(first)
	if claim == claimClear && !(margin.IsValid() && margin.Lo > 0) {
		claim = claimLikely
	}
	return claim
}

// windows says which answers were open, which shut, and which cannot be told: an answer
// that starts as soon as the attack is seen and the reaction is over.
func (d *draft) windows(x *study.Timing) {
	w := d.facts.who(x.Attacker.Other())
	open, shut, even := sorted(x.Windows)
	most := deepAnswers.at(d.o.Level)
	n := nums{"ready": "windows/ready", "hit": "windows/hit"}
	d.say(PartTiming, "clock", "clock", "", w, n, nil)
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

// sorted are the answers that were open, the surest first, those that were shut, the
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
	slices.SortStableFunc(open, func(a, b timing.Window) int { return cmp.Compare(b.InTime.Mean, a.InTime.Mean) })
	slices.SortStableFunc(shut, func(a, b timing.Window) int { return cmp.Compare(a.InTime.Mean, b.InTime.Mean) })
	return open, shut, even
}

// takeAway repeats what can be used: the answer that was open, the parry that would have
// served, and what to do next as the tactics have it.
func (d *draft) takeAway() {
	x := d.r.Timing
	if x != nil && x.Windows != nil {
		w := d.facts.who(x.Attacker.Other())
		if open, _, even := sorted(x.Windows); len(open) > 0 {
			w["answer"] = d.lang.Answer(open[0].Answer)
			d.say(PartTakeAway, "keep-answer", "keep-answer", sure("open", open[0].InTime.Lo), w, nums{"chance": "windows/in-time/" + string(open[0].Answer)}, nil)
		} else if len(even) == 0 {
			d.say(PartTakeAway, "keep-answer", "keep-answer", "none", w, nil, nil)
		}
	}
	if x != nil && x.Parry != nil && x.Parry.Observed != nil {
		o := x.Parry.Observed
		if size := o.Judged.Size; isOpen(sizeChance(o)) && (size == timing.SizeSmall || size == timing.SizeLarge) {
			d.say(PartTakeAway, "keep-parry", "keep-parry", sure(string(size), sizeChance(o).Lo), d.facts.who(x.Parry.Defender), nums{"asked": "parry/asked"}, nil)
		}
	}
	if d.r.Tactics != nil {
		d.told(PartTakeAway, toldNext, deepNext.at(d.o.Level))
	}
}
