package study

import (
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// What tells the step of the opponent into which an attack is launched.
const (
	// standBody is the speed of the hip in m/s below which a fencer is taken to stand
	// (our choice: a step is taken at about 1 m/s, a body on guard sways at 0.1).
	standBody = 0.25
	// stepEnds is how near, in seconds, the last landing of a step lies to a launch at
	// its end: less than half of a simple extension (common practice, no source).
	stepEnds = 0.10
	// attackHand is the speed in m/s at which a hand goes forward from its shoulder in a
	// threat (common practice, no source: an extension averages 2 m/s, a feint 1 m/s).
	attackHand = 0.6
	// stepHolds is how long after its lift a foot that was not seen to land still
	// belongs to a step, in seconds (common practice, no source: 250 to 500 ms).
	stepHolds = 0.40
	// led and misled are the chances of going forward and back in a step whose front
	// foot lifted first, before the speed of the body is known, and the other way about
	// for the rear foot (common practice, no source: the front foot leads a step
	// forward, the rear foot one back; an appel, a check or a crossing does not).
	led, misled = 0.7, 0.1
)

// launch finds the start of the attack and what the opponent was doing then; nil where
// the start is not known. The launch is the coach's moment where there is one, else the
// first of hand and front foot.
//
// What the opponent does is the likeliest of five: an attack of the opponent's is on
// its way; a step of the opponent ends within stepEnds; else the hip, by the normal law
// of its speed, comes at more than standBody, goes back at more, or stands, weighed by
// which foot led the step where that is known.
func (r *Reading) launch(p *phrase, s *Started) *Launch {
	i := p.first()
	if i < 0 {
		return nil
	}
	e := p.all[i]
	out := &Launch{Who: p.attacker, At: later(e.since, p.now), Take: e.take, By: e.by, Into: LaunchNotFollowed}
	if p.end != nil && p.end.Mean > e.since.Mean {
		span, tempo := less(*p.end, e.since), s.Tempo[p.attacker]
		n := float64(span.Mean) / float64(tempo.Mean)
		rel := math.Hypot(float64(span.SD)/float64(span.Mean), float64(tempo.SD)/float64(tempo.Mean))
		q := quantity.Normal(quantity.Ratio(n), quantity.Ratio(n*rel))
		out.Tempi = &q
	}
	r.launchInto(p, e, out)
	out.Finding = launchFinding(out, p)
	return out
}

// launchInto weighs what the opponent was doing at the launch.
func (r *Reading) launchInto(p *phrase, e onset, out *Launch) {
	opp := p.attacker.Other()
	there := At{e.take, r.frameNear(e.take, out.At.Mean, e.by)}
	speed, seen := r.stanceAt(there).speed(opp, mark.Hip)
	if seen {
		v := scaled(speed, towards(opp))
		out.OppSpeed = &v
	}
	attack := r.oppAttacks(p, opp, e, there)
	ends, foot, known := p.stepAt(opp, e)
	if !seen && !known && attack < leastSure {
		return
	}
	come, back, stand := 1.0/3, 1.0/3, 1.0/3
	switch foot { // a step that has begun
	case PartFrontFoot:
		come, back, stand = led, misled, 1-led-misled
	case PartRearFoot:
		come, back, stand = misled, led, 1-led-misled
	}
	if seen {
		back *= below(*out.OppSpeed, -standBody)
		come *= 1 - below(*out.OppSpeed, standBody)
		stand *= below(*out.OppSpeed, standBody) - below(*out.OppSpeed, -standBody)
	}
	if sum := come + back + stand; sum > 0 {
		come, back, stand = come/sum, back/sum, stand/sum
	}
	free := (1 - attack) * (1 - ends)
	best := []struct {
		into string
		p    float64
	}{
		{LaunchIntoAttack, attack}, {LaunchAtEndOfStep, (1 - attack) * ends},
		{LaunchIntoAdvance, free * come}, {LaunchOnRetreat, free * back}, {LaunchOnStanding, free * stand},
	}
	out.Into = best[0].into
	out.Chance = quantity.Chance(best[0].p)
	for _, b := range best[1:] {
		if quantity.Chance(b.p) > out.Chance {
			out.Into, out.Chance = b.into, quantity.Chance(b.p)
		}
	}
}

// frameNear is the frame of a take whose instant lies nearest to a time; the frame
// given where the clock is not known.
func (r *Reading) frameNear(take string, t quantity.Seconds, or mark.Frame) mark.Frame {
	k, ok := r.Touch.Take(take)
	if !ok {
		return or
	}
	best, far := or, math.Inf(1)
	for f := k.From; f <= k.To || k.To == 0; f++ {
		q, ok := r.When(take, f)
		if !ok {
			break
		}
		if d := math.Abs(float64(q.Mean - t)); d < far {
			best, far = f, d
		}
	}
	return best
}

// oppAttacks is the chance that an attack of the opponent's is on its way at the
// launch: the hand started before it, by half a phraseSpan at most, and goes forward
// from the shoulder at attackHand or more. Where the hand was not followed it counts
// only if the coach's moment calls it an attack of some kind, for a hand that starts may
// also seek the blade.
func (r *Reading) oppAttacks(p *phrase, opp mark.Side, e onset, there At) float64 {
	started, threat := 0.0, 0.0
	for _, o := range p.all {
		if o.who != opp || o.part != PartHand || o.answer && !o.threat || o.sure < leastSure {
			continue
		}
		lead := less(e.since, o.since)
		if float64(lead.Mean) > phraseSpan/2 {
			continue
		}
		before := o.sure * (1 - below(lead, 0))
		started = max(started, before)
		if o.threat {
			threat = max(threat, before)
		}
	}
	if started == 0 {
		return 0
	}
	a := r.stanceAt(there)
	hand, ok1 := a.point(opp, mark.Guard)
	shoulder, ok2 := a.point(opp, mark.Shoulder)
	if !ok1 || !ok2 || hand.vx == nil || shoulder.vx == nil {
		return threat
	}
	v := scaled(less(*hand.vx, *shoulder.vx), towards(opp))
	return started * (1 - below(v, attackHand))
}

// stepAt looks at the opponent's feet at the launch: how likely it is that a step ends
// there, and which foot led the step in which the launch lies. Known is false where no
// contact of theirs is near.
func (p *phrase) stepAt(opp mark.Side, launch onset) (ends float64, led string, known bool) {
	var lastLift, lastLand *onset
	for i := range p.all {
		o := &p.all[i]
		if o.who != opp || o.part != PartFrontFoot && o.part != PartRearFoot || o.sure < leastSure {
			continue
		}
		d := float64(o.since.Mean - launch.since.Mean)
		switch {
		case o.kind == OnsetLands && math.Abs(d) < 2*stepEnds && !p.liftsWithin(opp, o):
			lastLand = o
		case o.kind == OnsetLifts && d <= 0 && d > -stepHolds:
			// The foot that lifts first leads; the other one follows within a step.
			if lastLift == nil || float64(o.since.Mean-lastLift.since.Mean) > stepHolds {
				lastLift = o
			}
		}
	}
	if lastLand != nil {
		gap := less(lastLand.since, launch.since)
		ends = lastLand.sure * (below(gap, stepEnds) - below(gap, -stepEnds))
		known = true
	}
	if lastLift != nil {
		led, known = lastLift.part, true
	}
	return ends, led, known
}

// liftsWithin reports whether the other foot is still to come after a landing: it lifts
// within a step's first third after it, or is in the air at it; the step goes on then.
func (p *phrase) liftsWithin(s mark.Side, land *onset) bool {
	other := PartRearFoot
	if land.part == PartRearFoot {
		other = PartFrontFoot
	}
	up := false
	for _, o := range p.all {
		if o.who != s || o.part != other || o.sure < leastSure {
			continue
		}
		switch d := float64(o.since.Mean - land.since.Mean); {
		case d <= 0 && o.kind == OnsetLifts && d > -stepHolds:
			up = true
		case d <= 0 && o.kind == OnsetLands:
			up = false
		case d > 0 && d < stepEnds && o.kind == OnsetLifts:
			return true
		}
	}
	return up
}

// launchFinding says the launch in one sentence.
func launchFinding(l *Launch, p *phrase) string {
	who, opp := called(l.Who), called(l.Who.Other())
	into := map[string]string{
		LaunchIntoAdvance: "into " + opp + "'s step forward",
		LaunchAtEndOfStep: "as " + opp + "'s step ended",
		LaunchOnRetreat:   "while " + opp + " went back",
		LaunchOnStanding:  "while " + opp + "'s body stood",
		LaunchIntoAttack:  "into " + opp + "'s attack",
	}[l.Into]
	text := who + "'s attack was launched"
	switch {
	case into == "":
		text += "; what " + opp + " was doing then cannot be told"
	case l.Chance >= clearChance:
		text += fmt.Sprintf(" %s, in %s of 100", into, in100(l.Chance))
	default:
		text += fmt.Sprintf(" most likely %s, in %s of 100", into, in100(l.Chance))
	}
	if l.OppSpeed != nil {
		switch v := *l.OppSpeed; {
		case l.Into == LaunchOnStanding, math.Abs(float64(v.Mean)) < float64(v.SD):
			text += fmt.Sprintf(" (%s's speed towards %s was %s)", opp, who, plusMinus(v, inSpeed))
		case v.Mean < 0:
			text += fmt.Sprintf(" (%s went back at %s)", opp, plusMinus(scaled(v, -1), inSpeed))
		default:
			text += fmt.Sprintf(" (%s came at %s)", opp, plusMinus(v, inSpeed))
		}
	}
	if l.Tempi != nil {
		text += fmt.Sprintf(", %s of %s's own tempi before the %s", plusMinus(*l.Tempi, inPlain), who, p.ended)
	}
	return text
}
