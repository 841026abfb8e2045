package timing

import "math"

// bothGo is two who go by a decision of their own: when their points register, and
// whether the left one was first.
func (p *phrase) bothGo(left, right Plan) (a, b float64, leftFirst bool) {
	plans := [2]Plan{left, right}
	start := [2]float64{p.s[Left].x[mMoment], p.s[Right].x[mMoment]}
	first := min(start[Left], start[Right])
	var at [2]attack
	for side := range 2 {
		start[side] -= first
		at[side] = p.attackOf(side, plans[side], start[side])
	}
	var hit [2]float64
	switch l, r := left == Drawing, right == Drawing; {
	case l && r:
		return never, never, false
	case l:
		hit[Left], hit[Right] = p.drawnAttack(Left, plans, start, at)
	case r:
		hit[Right], hit[Left] = p.drawnAttack(Right, plans, start, at)
	default:
		hit = p.race(plans, start, at)
	}
	return hit[Left], hit[Right], hit[Left] < hit[Right]
}

// arrives is when the point of one side comes to the other's body, which comes nearer
// itself. Who loses a tempo loses it here too: until it is over the point is elsewhere,
// however near the other comes.
func (p *phrase) arrives(side int, at [2]attack) float64 {
	var c course
	a := at[side]
	a.bodyFrom -= a.tempo
	a.armFrom = a.shown
	a.add(&c)
	c.add(at[1-side].body, at[1-side].bodyFrom, at[1-side].bodyTime)
	return c.reached(p.s[side].x[mGap]) + a.tempo
}

// race is two attacks that are meant.
func (p *phrase) race(plans [2]Plan, start [2]float64, at [2]attack) [2]float64 {
	arrives := [2]float64{p.arrives(Left, at), p.arrives(Right, at)}
	met := [2]float64{never, never}
	for side := range 2 {
		if plans[side] != Taking || p.s[side].roll[rollFinds] >= p.s[side].x[mFinding] {
			continue
		}
		t := start[side] + p.meets(side, p.attackOf(side, Taking, 0))
		if t < arrives[1-side] && !p.deceived(1-side, plans[1-side], start[1-side], t, p.s[side].x[mParry]) {
			met[side] = t
		}
	}
	taker := Left
	if met[Right] < met[Left] {
		taker = Right
	}
	var hit [2]float64
	for side := range 2 {
		s := &p.s[side]
		hit[side] = s.hits(arrives[side], rollBody, mOnBody)
		if o := &p.s[1-side]; side != taker && !math.IsInf(met[taker], 1) {
			hit[side] = never
			if s.roll[rollGoesOn] < s.x[mRemising] {
				free := met[taker]
				if o.roll[rollHolds] < o.x[mHolding] {
					free += s.x[mTouch] + s.x[mDisengage]
				}
				hit[side] = s.hits(max(free+s.x[mRemise], arrives[side]), rollRemise, mOnBody)
			}
		}
	}
	return hit
}

// deceived reports whether a feint goes round a blade that comes to meet its own within
// this time before the contact.
func (p *phrase) deceived(side int, plan Plan, start, contact, moving float64) bool {
	if plan != Feinting {
		return false
	}
	turned := start + p.s[side].plannedParry
	return turned >= contact-moving && turned <= contact
}

// drawnAttack is one who shows an attack to draw a counter, against one who attacks in
// earnest.
func (p *phrase) drawnAttack(side int, plans [2]Plan, start [2]float64, at [2]attack) (mine, theirs float64) {
	g, w := &p.s[side], &p.s[1-side]
	came := p.arrives(1-side, at)
	take := start[side] + g.plannedCounter
	lost := plans[1-side] == Taking && w.roll[rollFinds] < w.x[mFinding] && start[1-side]+p.meets(1-side, p.attackOf(1-side, Taking, 0)) < take
	if !lost && take <= came && !p.deceived(1-side, plans[1-side], start[1-side], take, g.x[mParry]) {
		return p.taken(side, at[side], take, came)
	}
	theirs = w.hits(came, rollBody, mOnBody)
	return g.hits(p.after(side, at[side], max(take, min(came, take+1))), rollBody, mOnBody), theirs
}
