package script

import (
	"mesure/sport/mark"
	"mesure/study"
)

// tactics says what the earlier touches taught, how each fencer chooses and what the
// choices are worth.
func (d *draft) tactics() {
	x := d.r.Tactics
	if x == nil {
		return
	}
	if len(x.Story) == 0 && (x.At != d.r.Touch.Number || x.Score != d.r.Touch.Before) { // else the story or the opening has it
		d.say(PartTactics, "before", "before", "", nil, nums{"number": "tactics/at", "score": "tactics/score"}, nil)
	}
	d.told(PartTactics, toldStory, deepStory, "")
	there := func(s mark.Side) bool { h := x.Habits[s]; return h != nil && len(h.Choices) > 0 }
	little := there(mark.Left) && there(mark.Right) && x.Habits[mark.Left].TooLittle && x.Habits[mark.Right].TooLittle
	for _, s := range []mark.Side{x.For.Other(), x.For} {
		if h := x.Habits[s]; there(s) {
			if little {
				d.say(PartTactics, "habit/"+s.String(), "habit-opponent", "little-both", d.facts.who(s), nil, nil)
				break
			}
			about := "opponent"
			if s == x.For {
				about = "own"
			}
			d.habit(h, s, about)
		}
	}
	if p := x.Payoff; p != nil {
		d.payoff(x, p)
	}
}

// habit says the likeliest choice of a fencer. It is a favourite only where its interval
// lies above that of the next one.
func (d *draft) habit(h *study.Habit, s mark.Side, about string) {
	side, c := s.String(), h.Choices[0]
	w := d.facts.who(s)
	w["choice"] = d.facts.choice(c.Kind)
	n := nums{"share": "habit/" + side + "/share/" + c.Kind, "count": "habit/" + side + "/count/" + c.Kind}
	claim := habitClaim(h)
	if len(h.Choices) > 1 {
		w["second"] = d.facts.choice(h.Choices[1].Kind)
		n["share2"] = "habit/" + side + "/share/" + h.Choices[1].Kind
	}
	d.say(PartTactics, "habit/"+side, "habit-"+about, claim, w, n, nil)
	if ch := h.Change; ch != nil && !h.TooLittle {
		if claim := strength(ch.Sure); claim != claimOpen {
			w["choice"] = d.facts.choice(ch.Kind)
			base := "habit/" + side + "/"
			d.say(PartTactics, "change/"+side, "change-"+about, claim, w, nums{"from": base + "change/from", "to": base + "change/to", "sure": base + "change/sure",
				"was": base + "before/" + ch.Kind, "is": base + "after/" + ch.Kind}, nil)
		}
	}
}

func habitClaim(h *study.Habit) string {
	switch {
	case h.TooLittle:
		return "little"
	case len(h.Choices) == 1 || h.Choices[0].Share.Lo > h.Choices[1].Share.Hi:
		return claimClear
	}
	return claimOpen
}

// payoff says which choice pays, where one stands apart from the next one.
func (d *draft) payoff(x *study.Tactics, p *study.Payoff) {
	best, second := p.Reply.Choice, p.Reply.Second
	if best < 0 || second < 0 || max(best, second) >= min(len(p.Mine), len(p.Standings)) {
		return
	}
	claim := claimOpen
	switch {
	case p.TooLittle:
		claim = "little"
	case p.Reply.Apart:
		claim = claimClear
	}
	w := d.facts.who(x.For)
	w["choice"], w["second"] = d.facts.choice(p.Mine[best]), d.facts.choice(p.Mine[second])
	d.say(PartTactics, "payoff", "payoff", claim, w, nums{"worth": "worth/" + p.Mine[best], "worth2": "worth/" + p.Mine[second]}, nil)
}
