package study

import (
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/timing"
)

// order notes hand and foot (common practice: the hand goes first).
func (n *noting) order() {
	if n.x.Started == nil {
		return
	}
	const reference = "the hand goes before the foot; a foot that leads by more than 40 ms is noted (common practice, no source; in elite foilists hand and leg were found to start together)"
	for _, s := range mark.Sides {
		l := n.x.Started.Lags[s]
		foot, ok := n.startOf(s, PartFrontFoot)
		if l == nil || !ok || s != n.x.Attacker {
			continue // who only answers may move the hand alone
		}
		at, who := At{foot.Take, foot.By}, called(s)
		lead := scaled(l.Time, -1)
		switch p := float64(l.FootLeads); {
		case p >= noteSure:
			n.add(NoteFootBeforeHand, s, at, p, float64(lead.Mean)/0.12,
				fmt.Sprintf("%s's front foot lifted %s before the hand started: the step shows before the point threatens", who, plusMinus(lead, inMS)), reference)
		case p >= 0.5:
			n.add(NoteFootBeforeHand, s, at, p, 0.4,
				fmt.Sprintf("%s's front foot may have lifted more than 40 ms before the hand started: by %s, in %s of 100", who, plusMinus(lead, inMS), in100(l.FootLeads)), reference)
		case l.HandFirst >= leads:
			n.add(NoteHandBeforeFoot, s, at, float64(l.HandFirst), 0.3,
				fmt.Sprintf("%s's hand started %s before the front foot lifted", who, plusMinus(l.Time, inMS)), reference)
		}
	}
}

// launch notes the step into which the attack went, and the distance it went from.
func (n *noting) launch() {
	at, l, ok := n.launchAt()
	if !ok {
		return
	}
	if l.Into != LaunchNotFollowed && l.Chance >= 0.5 {
		size := map[string]float64{LaunchIntoAdvance: 0.7, LaunchAtEndOfStep: 0.6, LaunchIntoAttack: 0.7, LaunchOnRetreat: 0.6, LaunchOnStanding: 0.3}[l.Into]
		n.add(NoteLaunch, l.Who, at, float64(l.Chance), size, l.Finding,
			"an attack into a step forward meets a body that cannot go back before its front foot is down; one into a retreat has the longer way (common practice, no source)")
	}
	in, ok := n.r.InstantAt(at.Take, at.Frame)
	if !ok {
		return
	}
	n.inReach(at, l, &in)
	n.outOfReach(at, l, &in)
}

// reachTo is how far a fencer's point goes with a movement at an instant.
func (n *noting) reachTo(s mark.Side, action string, in *Instant) (quantity.Of[quantity.Metres], bool) {
	var arm *quantity.Of[quantity.Metres]
	if in != nil {
		arm = in.Bodies[s].ArmLeft
	}
	m, err := n.r.Profiles[s].movement(action, n.t.Bout.Fencer(s), arm)
	if err != nil {
		return quantity.Of[quantity.Metres]{}, false
	}
	return m.Reach(), true
}

// nearestOf is the nearest target of a fencer's point.
func nearestOf(in *Instant, s mark.Side) (Gap, bool) {
	for _, g := range in.Gaps {
		if g.Of == s && g.Nearest {
			return g, true
		}
	}
	return Gap{}, false
}

// inReach notes a launch from where the opponent's arm alone reaches.
func (n *noting) inReach(at At, l *Launch, in *Instant) {
	opp := l.Who.Other()
	gap, ok1 := nearestOf(in, opp)
	reach, ok2 := n.reachTo(opp, timing.Extension, in)
	if !ok1 || !ok2 {
		return
	}
	if p := below(less(gap.Gap, reach), 0); p >= noteSure {
		n.add(NoteInReach, l.Who, at, p, 0.8,
			fmt.Sprintf("At the launch %s's point was %s from %s's %s, and %s's arm goes %s: an extension alone could hit, in %s of 100",
				called(opp), plusMinus(gap.Gap, inCM), called(l.Who), gap.Target.Word(), called(opp), plusMinus(reach, inCM), in100(quantity.Chance(p))),
			"an attack from where the opponent can extend meets a point that arrives first (common practice, no source)")
	}
}

// outOfReach notes a launch from beyond the reach of the movement, or near its end.
func (n *noting) outOfReach(at At, l *Launch, in *Instant) {
	action, target := timing.Lunge, mark.Target("")
	if n.x.Race != nil {
		run := n.x.Race.Runs[l.Who]
		if run.Action != "" {
			action, target = run.Action, run.Target
		}
	}
	if _, stepped := n.startOf(l.Who, PartFrontFoot); stepped && action == timing.Extension {
		action = timing.Lunge // what was done, where the distance would not have asked for it
	}
	var gap Gap
	for _, g := range in.Gaps {
		if g.Of == l.Who && (g.Target == target || target == "" && g.Nearest) {
			gap = g
		}
	}
	reach, ok := n.reachTo(l.Who, action, in)
	if gap.Target == "" || !ok {
		return
	}
	over := less(gap.Gap, reach)
	p := 1 - below(over, 0)
	who, opp := called(l.Who), called(l.Who.Other())
	how := fmt.Sprintf("At the launch %s's point was %s from %s's %s, and the %s goes %s", who, plusMinus(gap.Gap, inCM), opp, gap.Target.Word(), plain(action), plusMinus(reach, inCM))
	const reference = "most fencers can lunge further than they can hit (trade literature); beyond nine tenths of the greatest reach the point is not sure (common practice, no source)"
	if p >= noteSure {
		text := how + fmt.Sprintf(": beyond reach of a target that stays, in %s of 100", in100(quantity.Chance(p)))
		size := 0.8
		if l.Into == LaunchIntoAdvance && l.Chance >= 0.5 {
			text += fmt.Sprintf("; %s's step forward can close the rest", opp)
			size = 0.4
		}
		n.add(NoteOutOfReach, l.Who, at, p, size, text, reference)
		return
	}
	if q := 1 - below(less(gap.Gap, scaled(reach, float64(UsableShare))), 0); q >= noteSure {
		n.add(NoteLunge, l.Who, at, q, 0.5, how+fmt.Sprintf(": more than nine tenths of it, in %s of 100", in100(quantity.Chance(q))), reference)
	}
}

// bodies notes what the feet forbid, and how much piste is left.
func (n *noting) bodies() {
	for _, s := range mark.Sides {
		c := n.x.Commits[s]
		if c == nil {
			continue
		}
		back := c.Can[slotTurnBack]
		shut := 1 - float64(back.Now)
		switch {
		case shut < noteSure:
		case back.Bar == timing.BarOverFront:
			n.add(NoteOverFront, s, n.x.At, shut, 0.5, c.Finding,
				"with the catching point of the body beyond the front foot it takes one more step (extrapolated centre of mass, Hof, Gazendam and Sinke 2005; for a low guard our assumption)")
		case back.Bar == timing.BarFrontAir || back.Bar == timing.BarFlight:
			size := 0.5
			if back.Known {
				size = min(0.7, 0.2+float64(back.Next.Mean))
			}
			n.add(NoteNoWayBack, s, n.x.At, shut, size, c.Finding,
				"one can go back again only from a front foot that stands (common practice, no source)")
		}
		n.room(s, c)
	}
}

// slotTurnBack is where a Commitment says whether the body can turn back.
const slotTurnBack = 4

// leastRoom is how much piste in metres a fencer wants behind the rear foot: the zone
// that the rules mark so that fencers know where they are (its edge lies 2 m before the
// rear limit).
const leastRoom = quantity.Metres(piste.RearLimit - piste.WarningZone)

// room notes a fencer with little piste left.
func (n *noting) room(s mark.Side, c *Commit) {
	// Stance counts towards the opponent from the centre line.
	room := quantity.Normal(piste.RearLimit+c.Stance.Rear.At.Mean, c.Stance.Rear.At.SD)
	p := below(room, leastRoom)
	if p < noteSure {
		return
	}
	text := fmt.Sprintf("%s has %s of piste behind the rear foot", called(s), plusMinus(room, inM))
	if room.Mean < 0 {
		text = fmt.Sprintf("%s's rear foot is %s beyond the rear limit", called(s), plusMinus(scaled(room, -1), inM))
	}
	n.add(NoteRoom, s, n.x.At, p, 0.3+0.4*(1-math.Max(0, float64(room.Mean))/float64(leastRoom)), text,
		"within 2 m of the rear limit a retreat ends soon, and the opponent may slow down (marked by the rules; the use of it is common practice, no source)")
}
