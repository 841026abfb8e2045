package script

import (
	"fmt"
	"strings"

	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// opening says which touch it is and how it ended.
func (d *draft) opening() {
	t := d.r.Touch
	if t.Number > 0 {
		event := d.call.hide(plate.OneName(t.Bout.Event))
		claim := "alone"
		if event != "" && d.o.Names != Anonymous {
			claim = "event"
		}
		w := d.facts.who(mark.Left)
		w["event"] = event
		d.say(PartOpening, "which", "which", claim, w, nums{"number": "touch/number", "before": "touch/before"}, nil)
	}
	if d.call.full[0] != d.call.full[1] && d.o.Names != Anonymous && d.call.full != [2]string{plate.Name(mark.Left), plate.Name(mark.Right)} {
		d.say(PartOpening, "fencers", "fencers", "", words{"left": d.call.full[0], "right": d.call.full[1]}, nil, nil)
	}
	if l := t.Lamps; l != nil {
		if hit, alone := d.hit(); alone {
			d.say(PartOpening, "lamps", "lamps", "one", d.facts.who(hit), nil, nil)
		} else if l.Left {
			d.say(PartOpening, "lamps", "lamps", "both", d.facts.who(mark.Left), nil, nil)
		}
	}
	d.why()
}

// why asks what the rest explains, where the touch went to the one who was not first.
func (d *draft) why() {
	x := raceOf(d.r)
	hit, alone := d.hit()
	if x == nil || !alone {
		return
	}
	s := hit.Other()
	switch claim := raceClaim(x, s); {
	case !claimsFirst(claim):
	case claim == claimLikely || strings.HasSuffix(claim, hedged):
		d.say(PartOpening, "why", "why", hedged, d.facts.who(s), nil, nil)
	default:
		d.say(PartOpening, "why", "why", "", d.facts.who(s), nil, nil)
	}
}

// technique says how far the points were, how each body moved and what the parry did.
func (d *draft) technique() {
	if x := raceOf(d.r); x != nil {
		for _, s := range mark.Sides {
			d.gap(x, s)
		}
	}
	x := d.r.Timing
	if x == nil {
		return
	}
	if x.Started != nil {
		for _, s := range mark.Sides {
			if l := x.Started.Lags[s]; l != nil {
				d.say(PartTechnique, "lag/"+s.String(), "lag", lagClaim(l), d.facts.who(s), nums{"hand": "lag/hand-first/" + s.String(), "foot": "lag/foot-first/" + s.String()}, nil)
			}
		}
	}
	for _, s := range mark.Sides {
		if c := x.Commits[s]; c != nil {
			claim, ref := commitClaim(c)
			d.say(PartTechnique, "commit/"+s.String(), "commit", claim, d.facts.who(s), nums{"next": fmt.Sprintf("commit/%s/%s", s, ref)}, nil)
		}
	}
	if p := x.Parry; p != nil {
		d.parry(p)
	}
	d.told(PartTechnique, toldNotes, deepNotes, "")
}

func (d *draft) gap(x *study.Race, s mark.Side) {
	run := x.Runs[s]
	band := study.Gap{}
	for _, in := range d.r.Instants {
		if in.Take != x.Take || in.Frame != x.Frame {
			continue
		}
		for _, g := range in.Gaps {
			if g.Of == s && g.Target == run.Target {
				band = g
			}
		}
	}
	claim := "unbanded"
	switch {
	case band.Band == "":
	case band.Chance >= Clear:
		claim = claimClear
	case band.Chance >= Likely:
		claim = claimLikely
	}
	w := d.facts.who(s)
	w["target"], w["band"] = d.lang.Target(run.Target), d.lang.Band(band.Band)
	d.say(PartTechnique, "gap/"+s.String(), "gap", claim, w, nums{"gap": fmt.Sprintf("gap/%s/%s", s, run.Target)}, nil)
	if run.Target != mark.Chest {
		d.say(PartTechnique, "chest/"+s.String(), "chest", "", d.facts.who(s), nums{"gap": fmt.Sprintf("gap/%s/%s", s, mark.Chest)}, nil)
	}
}

func lagClaim(l *timing.Lag) string {
	switch {
	case l.HandFirst >= Clear:
		return "hand"
	case l.HandFirst <= 1-Clear:
		return "foot"
	}
	return claimOpen
}

// commitClaim is what is said of a body, and for which movement the wait is printed.
func commitClaim(c *study.Commit) (claim string, waits timing.Does) {
	can := map[timing.Does]timing.Can{}
	for _, x := range c.Can {
		can[x.Do] = x
	}
	back, hasBack := can[timing.DoTurnBack]
	lunge, hasLunge := can[timing.DoLunge]
	shut := func(x timing.Can, has bool) bool { return has && x.Now <= 1-Likely }
	until := func(claim string, x timing.Can) string {
		if !(x.Known && x.Next.Mean > 0) {
			claim += "-unseen"
		}
		return sure(claim, 1-x.Now)
	}
	switch {
	case c.Flight >= Likely:
		return sure("flight", c.Flight), timing.DoLunge
	case shut(back, hasBack) && back.Bar == timing.BarFrontAir:
		return until("front-air", back), timing.DoTurnBack
	case shut(lunge, hasLunge) && lunge.Bar == timing.BarRearAir:
		return until("rear-air", lunge), timing.DoLunge
	case shut(back, hasBack):
		return until("no-back", back), timing.DoTurnBack
	case hasBack && hasLunge && back.Now >= Likely && lunge.Now >= Likely:
		return sure("free", min(back.Now, lunge.Now)), timing.DoTurnBack
	}
	return claimOpen, timing.DoTurnBack
}

func (d *draft) parry(p *study.ParryReading) {
	w := d.facts.who(p.Defender)
	w["target"] = d.lang.Target(p.Zone)
	if o := p.Observed; o != nil {
		w["size"] = d.lang.Size(o.Judged.Size)
		n := nums{"asked": "parry/asked", "made": "parry/made", "chance": "parry/size/" + string(o.Judged.Size)}
		d.say(PartTechnique, "parry", "parry", strength(sizeChance(o)), w, n, nil)
	} else if q := p.Asked.Needed; isOpen(p.Asked.Threatens) && q.IsValid() && q.Mean > 0 {
		d.say(PartTechnique, "parry", "parry", "asked", w, nums{"needed": "parry/needed"}, nil)
	}
	if p.Riposte != nil {
		claim := "computed"
		if p.Riposte.Seen {
			claim = "seen"
		}
		d.say(PartTechnique, "riposte", "riposte", claim, w, nums{"only": "riposte/only"}, nil)
	}
}

func sizeChance(o *study.ObservedParry) quantity.Of[quantity.Chance] {
	for i, s := range timing.Sizes() {
		if s == o.Judged.Size {
			return o.Judged.Chances[i]
		}
	}
	return quantity.Of[quantity.Chance]{}
}
