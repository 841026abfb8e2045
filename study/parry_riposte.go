package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// riposteStream keeps the draws of the riposte apart from those of the parry.
const riposteStream = 0x7269706f // "ripo"

// leastRiposte is the gap below which a point has no way to go: it is beside or behind
// its target, and would have to be drawn back first.
const leastRiposte = quantity.Metres(0.05)

// riposte runs the race after the parry: from the end of the one that was seen, else
// from the least one, made as the attack arrives.
func (k *parrying) riposte() {
	weapon := k.t.Bout.Weapon
	if weapon == "" {
		weapon = bout.Epee
	}
	rule, ok := bout.ApparatusOf(weapon)
	if !ok {
		return
	}
	app := timing.Apparatus{Window: seconds(rule.WindowMS), Tolerance: seconds(rule.ToleranceMS),
		ContactMin: seconds(rule.ContactMinMS), ContactMax: seconds(rule.ContactMaxMS)}
	state, target, ok := k.afterSeen()
	seen := ok
	if !ok {
		if state, target, ok = k.afterLeast(); !ok {
			return
		}
	}
	res, err := keptOf(k, "riposte", k.draws, []any{state, app}, func() (timing.Riposte, error) {
		return state.Race(app, k.draws, rand.NewPCG(k.seed, riposteStream))
	})
	if err != nil {
		return
	}
	k.out.Riposte = &Riposte{State: state, Seen: seen, Target: target, Result: res}
	k.out.Riposte.Finding = k.riposteFinding(k.out.Riposte)
}

// riposteTarget is where the riposte goes: the target that the race asks of the
// defender, else the nearest.
func (k *parrying) riposteTarget(in Instant) (mark.Target, quantity.Of[quantity.Metres], bool) {
	ask := k.t.Race.Of(k.defender).Target
	i := slices.IndexFunc(in.Gaps, func(g Gap) bool {
		return g.Of == k.defender && (g.Target == ask || ask == "" && g.Nearest)
	})
	if i < 0 {
		return "", quantity.Of[quantity.Metres]{}, false
	}
	return in.Gaps[i].Target, in.Gaps[i].Gap, true
}

// afterSeen is the state at the end of the parry that was seen.
func (k *parrying) afterSeen() (timing.AfterParry, mark.Target, bool) {
	if k.after == nil {
		return timing.AfterParry{}, "", false
	}
	target, gap, ok := k.riposteTarget(k.afterIn)
	if !ok || gap.Mean < leastRiposte {
		return timing.AfterParry{}, "", false
	}
	i := slices.IndexFunc(k.afterIn.Gaps, func(g Gap) bool { return g.Of == k.attacker && g.Target == k.target })
	remise := k.besideTheTarget()
	if i >= 0 {
		remise = k.afterIn.Gaps[i].Gap
	}
	j := k.out.Observed.Judged
	// A parry is made with the weapon (t.9.2 of the technical rules): that the blades met
	// needs no picture, who had the leverage does.
	holds := above(j.Leverage, float64(timing.HoldsFrom))
	return k.stateAfter(gap, remise, holds, k.afterIn), target, true
}

// afterLeast is the state when the least parry is made as the attack arrives: the
// defender's point is where that parry leaves it, and the attacker's target has come
// nearer with the body.
func (k *parrying) afterLeast() (timing.AfterParry, mark.Target, bool) {
	target, gap, ok := k.riposteTarget(k.in)
	asked := &k.out.Asked
	if k.out.AtHit != nil {
		asked = k.out.AtHit
	}
	if !ok || asked.Best == nil || asked.Best.Meeting == nil {
		return timing.AfterParry{}, "", false
	}
	came := k.bodyByTheHit(target)
	ends, _, ok := k.fig.ends(k.fig.index[k.defender][mark.Point], k.attacker, target)
	if !ok {
		return timing.AfterParry{}, "", false
	}
	heads := k.r.heads(&k.in, k.attacker)
	d := [3]float64{}
	for c, at := range asked.Best.Meeting.Point {
		d[c] = ends.Mean[3+c] - float64(at)
	}
	d[0] += heads * float64(came.Mean)
	mean := quantity.Metres(math.Sqrt(d[0]*d[0] + d[1]*d[1] + d[2]*d[2]))
	if d[0]*heads > -float64(leastRiposte) { // the target has come past the point
		return timing.AfterParry{}, "", false
	}
	after := quantity.Normal(mean, quantity.Metres(math.Hypot(float64(gap.SD), float64(came.SD))))
	return k.stateAfter(after, k.besideTheTarget(), above(asked.Best.Leverage, float64(timing.HoldsFrom)), k.in), target, true
}

// bodyByTheHit is how much nearer a target of the attacker has come when the attack
// arrives: with the body, and with the arm as far as the target goes along.
func (k *parrying) bodyByTheHit(target mark.Target) quantity.Of[quantity.Metres] {
	i := slices.IndexFunc(k.in.Gaps, func(g Gap) bool { return g.Of == k.attacker && g.Target == k.target })
	if i < 0 {
		return quantity.Of[quantity.Metres]{}
	}
	g := k.in.Gaps[i]
	action := k.t.Race.Of(k.attacker).Action
	if action == "" {
		action = actionFor(timing.Band(g.Band))
	}
	m, err := k.r.movement(k.attacker, action, k.in.Bodies[k.attacker].ArmLeft)
	if err != nil {
		return quantity.Of[quantity.Metres]{}
	}
	at, ok := m.TimeTo(g.Gap.Mean)
	if !ok { // the attack falls short: all of it
		at = m.BodyTime.Mean + max(0, m.Delay.Mean)
	}
	carried := m
	carried.Arm = quantity.Of[quantity.Metres]{Mean: m.Arm.Mean * quantity.Metres(onArm(target))}
	far := carried.Travel(at)
	// The spread of the way is that of the gap to be closed, shared as the travel is.
	share := 0.0
	if all := m.Travel(at); all > 0 {
		share = float64(far / all)
	}
	return quantity.Normal(far, quantity.Metres(share*float64(g.Gap.SD)))
}

// besideTheTarget is how far a point is from the middle of its target that the least
// parry has just put beside it.
func (k *parrying) besideTheTarget() quantity.Of[quantity.Metres] {
	p := k.out.Parry
	return quantity.Normal(p.Radius.Mean+p.Margin, p.Radius.SD)
}

// stateAfter is the state with what is known of both fencers.
func (k *parrying) stateAfter(gap, remise quantity.Of[quantity.Metres], holds quantity.Chance, in Instant) timing.AfterParry {
	q := timing.NewAfterParry(gap, remise)
	// The arm where it reaches, else the lunge.
	for _, action := range [2]string{timing.Extension, timing.Lunge} {
		m, err := k.r.movement(k.defender, action, in.Bodies[k.defender].ArmLeft)
		if err != nil || !(m.Arm.Mean+m.Body.Mean > 0) {
			continue
		}
		if q.Movement = m; m.Reach().Mean > gap.Mean {
			break
		}
	}
	q.Disengage = k.r.Profiles[k.defender].disengage()
	felt, away := k.r.Profiles[k.attacker].reaction(cueTactile, 1).Law(), k.r.Profiles[k.attacker].disengage()
	q.Escape = quantity.Normal(felt.Mean+away.Mean, quantity.Seconds(math.Hypot(float64(felt.SD), float64(away.SD))))
	q.Holds = holds
	return q
}

// above is the chance that a number lies above a bound, by the normal law of its mean
// and spread.
func above(q quantity.Of[quantity.Ratio], bound float64) quantity.Chance {
	if q.SD == 0 {
		if float64(q.Mean) > bound {
			return 1
		}
		return 0
	}
	return quantity.Chance(math.Erfc((bound-float64(q.Mean))/float64(q.SD)/math.Sqrt2) / 2)
}

// riposteFinding says which way to riposte lights alone, and until when.
func (k *parrying) riposteFinding(x *Riposte) string {
	r, def := x.Result, called(k.defender)
	when := "After the least parry, as the attack arrives"
	if x.Seen {
		when = "From the end of the parry"
	}
	s := fmt.Sprintf("%s, %s has %s to the %s: ", when, lower(def), metresOf(x.State.Gap), targetWords(x.Target))
	if r.Direct.Arrives.Mean < timing.OutOfMeasureBelow {
		return s + "the riposte does not reach it without a longer movement"
	}
	how := "direct"
	if x.State.Movement.Body.Mean > 0 {
		how = "direct, with a lunge,"
	}
	s += fmt.Sprintf("%s it lights alone in %s of 100 against a remise at once", how, in100(r.Direct.RiposteOnly.Mean))
	if d := r.AlongTheBlade.RiposteOnly.Mean - r.Direct.RiposteOnly.Mean; d >= leastDifference {
		s += fmt.Sprintf(", along the blade in %s, since a held blade does not come", in100(r.AlongTheBlade.RiposteOnly.Mean))
	}
	s += fmt.Sprintf("; with a disengage in %s", in100(r.Indirect.RiposteOnly.Mean))
	switch best := max(r.Direct.Delay.Mean, r.AlongTheBlade.Delay.Mean); {
	case best >= timing.RiposteWithin:
		s += ". There is time: the remise hardly threatens"
	case best > 0:
		way := "direct"
		if r.AlongTheBlade.Delay.Mean > r.Direct.Delay.Mean {
			way = "along the blade"
		}
		s += fmt.Sprintf(". Held for longer than %.0f ms, even %s it no longer does so as often as not", roundTo(best.Milliseconds(), 5), way)
	default:
		s += ". However quick, it seldom lights alone: a parry that goes on into opposition, or a step back, is safer"
	}
	return s
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]|0x20) + s[1:]
}
