package study

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// riposteDue is how long after a parry, in seconds, the initiative is lost without a
// riposte (common practice, no source).
const riposteDue = quantity.Seconds(0.5)

// parry notes what an observed parry was, for its own distance, and what came of it.
func (n *noting) parry() {
	p := n.x.Parry
	if p == nil || p.Observed == nil {
		return
	}
	o := p.Observed
	j := o.Judged
	who, at := p.Defender, o.To
	name := called(who)
	chance := 0.0
	for i, s := range timing.Sizes() {
		if s == j.Size {
			chance = float64(j.Chances[i].Mean)
		}
	}
	const reference = "as small as possible but enough: past the target by the margin and at most 3 cm more, for the distance at which it was made (common practice, no source)"
	turned := fmt.Sprintf("the attacking blade turned by %s, and the least that would have served from there was %s", plusMinus(inDegrees(j.Made), inDeg), plusMinus(inDegrees(j.Asked), inDeg))
	asked := ""
	if float64(j.Asked.Mean) > float64(timing.ClosingAsked)*float64(j.AskedBefore.Mean) && j.AskedBefore.Mean > 0 {
		asked = fmt.Sprintf("; the closing distance had raised what it asked for from %s", plusMinus(inDegrees(j.AskedBefore), inDeg))
	}
	switch {
	case chance < noteSure:
	case j.Size == timing.SizeSmall:
		text := fmt.Sprintf("%s's parry was too small for its distance: %s%s", name, turned, asked)
		n.add(NoteParrySmall, who, at, chance, 0.9, text, reference)
	case j.Size == timing.SizeLarge:
		// The line's way past the target is what was more than needed; an angle that the
		// distance asked for is not.
		text := fmt.Sprintf("%s's parry went further than its distance asked: the line of the attack passed the target by %s, where %s would do%s",
			name, plusMinus(j.Clear, inCM), plusMinus(quantity.Exactly(timing.ParryMargin+timing.ParryExcess), inCM), asked)
		n.add(NoteParryLarge, who, at, chance, 0.5, text, reference)
	case j.Size == timing.SizeEnough:
		n.add(NoteParryEnough, who, at, chance, 0.5, fmt.Sprintf("%s's parry was the size its distance asked for: %s%s", name, turned, asked), reference)
	}
	n.leverage(who, at, &j)
	if a := o.RiposteAfter; a != nil {
		if q := 1 - below(*a, riposteDue); q >= noteSure {
			n.add(NoteNoRiposte, who, at, q, 0.6, fmt.Sprintf("%s's riposte started %s after the parry", name, plusMinus(*a, inMS)),
				"a parry gives nothing without a riposte within about half a second: the next initiative is the opponent's (common practice, no source)")
		}
	}
}

// leverage notes who had the stronger part of the blades, where they met.
func (n *noting) leverage(who mark.Side, at At, j *timing.Judged) {
	if float64(j.Touching.Mean) < 0.5 || !(j.Leverage.Mean > 0) {
		return
	}
	weak := below(j.Leverage, 1)
	parts := fmt.Sprintf("the %s of %s on the %s of the other, leverage %s", j.DefenderPart, called(who), j.AttackerPart, plusMinus(j.Leverage, inPlain))
	const reference = "a parry holds where the distance from the attacker's hand to the contact is the greater: forte on foible, leverage above 1 (law of the lever; common practice)"
	switch {
	case weak >= noteSure:
		n.add(NoteLeverage, who, at, weak, 0.7, "The attacker had the leverage in the parry: "+parts, reference)
	case 1-weak >= noteSure:
		n.add(NoteLeverage, who, at, 1-weak, 0.35, called(who)+" had the leverage in the parry: "+parts, reference)
	}
}

var inDeg = unitWords{1, "°", 1}

func inDegrees(q quantity.Of[quantity.Radians]) quantity.Of[quantity.Ratio] {
	const per = 57.29577951308232
	return quantity.Normal(quantity.Ratio(float64(q.Mean)*per), quantity.Ratio(float64(q.SD)*per))
}

// nearLaunch is how near in seconds an instant lies to the launch whose windows it has.
const nearLaunch = 0.06

// answer notes when the observed answer started, against when it still would serve.
// Windows are those from this instant; an answer from before the launch was one to
// something else. Where the attacker's hit was seen, the windows are moved to it: the
// attack then took the time that it took, not the time of the model.
func (n *noting) answer() {
	w := n.x.Windows
	_, launch, ok := n.launchAt()
	if w == nil || !ok || launch.Who != n.x.Attacker {
		return
	}
	d := n.x.Attacker.Other()
	start, ok := n.startOf(d, PartHand)
	if !ok || start.Time.Mean < launch.At.Mean {
		return
	}
	which, word := n.answerOf(start)
	win, ok := w.Of(which)
	since := less(start.Time, quantity.Exactly(n.x.Instant.Mean))
	if !ok || since.Mean < -nearLaunch {
		return // it was on its way at this instant already
	}
	at, who := At{start.Take, start.By}, called(d)
	if math.Abs(float64(launch.At.Mean-n.x.Instant.Mean)) <= nearLaunch {
		if p := below(less(since, w.Ready), 0); p >= 0.9 {
			n.add(NoteGuess, d, at, p, 0.5,
				fmt.Sprintf("%s's %s started %s before the attack could have been seen and answered: a guess, or the preparation was read", who, word, plusMinus(less(w.Ready, since), inMS)),
				"when the attack can be seen, plus the reaction (windows from the launch)")
		}
	}
	if win.Latest == (quantity.Of[quantity.Seconds]{}) || float64(win.Possible.Mean) < 0.5 {
		return
	}
	latest, reference := win.Latest, "latest start that still serves, by the travel of both points from this instant on; feints and the strength of the hand are not in it"
	if hit, ok := n.attackersHit(); ok {
		latest = less(hit, n.before(w, win))
		reference = fmt.Sprintf("latest start that still serves: %s before the hit as it was seen", plusMinus(n.before(w, win), inMS))
	}
	spare := less(latest, since)
	switch late := below(spare, 0); {
	case late >= noteSure:
		n.add(NoteLate, d, at, late, 0.9, fmt.Sprintf("%s's %s started %s after the last instant at which it still serves", who, word, plusMinus(scaled(spare, -1), inMS)), reference)
	case late >= 0.5:
		n.add(NoteLate, d, at, late, 0.5, fmt.Sprintf("%s's %s may have started too late: its start lay %s after the last instant at which it still serves, too late in %s of 100", who, word, plusMinus(scaled(spare, -1), inMS), in100(quantity.Chance(late))), reference)
	case 1-late >= noteSure:
		n.add(NoteInTime, d, at, 1-late, 0.4, fmt.Sprintf("%s's %s started with %s to spare", who, word, plusMinus(spare, inMS)), reference)
	}
}

// before is how long before the hit an answer must start: the spread of the hit, which
// the latest start shares, is taken out of it.
func (n *noting) before(w *Windows, win timing.Window) quantity.Of[quantity.Seconds] {
	v := win.Latest.Variance() - w.Hit.Variance()
	return quantity.Normal(w.Hit.Mean-win.Latest.Mean, max(leastBefore, quantity.Seconds(math.Sqrt(max(0, v)))))
}

// leastBefore is the least spread of the time of an answer, in seconds: no hand is
// steadier from one to the next (our choice).
const leastBefore = quantity.Seconds(0.010)

// attackersHit is when the attack hit, from the instant, where the one lamp is the
// attacker's and a moment says when.
func (n *noting) attackersHit() (quantity.Of[quantity.Seconds], bool) {
	var none quantity.Of[quantity.Seconds]
	lit := n.t.Lamps
	if lit == nil || lit.Left == lit.Right || lit.Left != (n.x.Attacker == mark.Left) {
		return none, false
	}
	p, ok := n.r.phraseAt(n.x.At, n.x.Attacker)
	if !ok || p.end == nil || p.ended != "hit" {
		return none, false
	}
	return *p.end, true
}

// answerOf is which answer a start is, by the name of its moment: a parry where it says
// so or says nothing.
func (n *noting) answerOf(s StartOf) (timing.Answer, string) {
	m, _ := n.t.Moment(s.Moment)
	switch text := strings.ToLower(m.Name); {
	case strings.Contains(text, "counter-attack"), strings.Contains(text, "stop"):
		return timing.ExtendDouble, "counter-attack"
	case strings.Contains(text, "circular") && strings.Contains(text, "semi"):
		return timing.ParrySemi, "semicircular parry"
	case strings.Contains(text, "circular"):
		return timing.ParryCircular, "circular parry"
	case strings.Contains(text, "parry"):
		return timing.ParryLateral, "parry"
	}
	return "", ""
}
