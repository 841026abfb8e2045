package timing

import "math"

// meetEnd is how a phrase ends.
type meetEnd int

const (
	endLeft meetEnd = iota
	endBoth
	endRight
	endNothing
)

// What is left to chance in a phrase once everything has its time, one roll each.
const (
	rollBody   = iota // the attack hits
	rollHand          // the counter hits
	rollAgain         // the riposte, or the hit after a taking, hits
	rollRemise        // the remise hits
	rollHolds
	rollFinds
	rollGoesOn // the remise is made
	rolls
)

// fighter is one side in one phrase, its numbers drawn. Times are seconds from the start
// of the phrase, +Inf for what does not come.
type fighter struct {
	x                            [mInputs]float64
	goes                         int
	body                         [4][3]float64 // travel, time and delay by going
	circular, oppose             float64
	cueTau                       float64 // share of the other's time at which it is seen
	plannedParry, plannedCounter float64
	contact                      float64
	roll                         [rolls]float64
}

// phrase is both sides and the window of the apparatus.
type phrase struct {
	s      [2]fighter
	window float64
}

var never = math.Inf(1)

// attack is one side going: its parts in time.
type attack struct {
	shown                    float64 // when the arm begins to show
	arm, armFrom, armTime    float64
	body, bodyFrom, bodyTime float64
	tempo                    float64 // lost between what is shown and what is meant
}

// attackOf is the attack of a side that starts at an instant and loses a tempo between
// what it shows and what it means.
func (p *phrase) attackOf(side int, plan Plan, start float64) attack {
	s := &p.s[side]
	if plan == Drawing {
		lead := min(0, s.body[1][2])
		return attack{start - lead, float64(float64(ShownArm) * s.x[mArm]), start - lead, s.x[mArmTime], s.x[mIn], start - lead + s.body[1][2], s.x[mInTime], 0}
	}
	k := s.goes
	if plan == Running {
		k = 3
	}
	tempo := 0.0
	switch plan {
	case Feinting:
		tempo = s.x[mDisengage]
	case Taking:
		tempo = s.x[mParry]
	}
	b := s.body[k]
	start -= min(0, b[2]) // where the foot goes first, the attack begins with it
	a := attack{start, s.x[mArm], start, s.x[mArmTime], b[0], start + b[2] + tempo, b[1], tempo}
	if k == 0 { // the arm alone goes twice: what it shows counts for nothing
		a.armFrom += tempo
		a.body = 0
	}
	return a
}

// add puts the attack into a course that it closes.
func (a attack) add(c *course) {
	c.add(a.arm, a.armFrom, a.armTime)
	c.add(a.body, a.bodyFrom, a.bodyTime)
}

// seen is when the other notices the attack.
func (a attack) seen(tau float64) float64 {
	t := a.shown + float64(tau*a.armTime)
	if a.body != 0 {
		t = min(t, a.bodyFrom+float64(tau*a.bodyTime))
	}
	return t
}

func (c *course) reached(gap float64) float64 {
	if t, ok := c.first(gap, math.NaN()); ok {
		return t
	}
	return never
}

// lands is when an attack arrives at the body of one who stands, or moves by more terms.
func (p *phrase) lands(side int, a attack, more ...term) float64 {
	var c course
	a.add(&c)
	for _, t := range more {
		c.add(t.length, t.start, t.end-t.start)
	}
	return c.reached(p.s[side].x[mGap])
}

// hits is when a point that arrives at an instant registers; never where it misses.
func (s *fighter) hits(at float64, roll, chance int) float64 {
	if s.roll[roll] >= s.x[chance] {
		return never
	}
	return at + s.contact
}

// countersAt is when a counter registers.
func (s *fighter) countersAt(at float64, plan Plan) float64 {
	if plan == Countering {
		return s.hits(at, rollHand, mOnHand)
	}
	return s.hits(at, rollHand, mOnBody)
}

// lamps says who lights, by the instants at which the points register.
func (p *phrase) lamps(left, right float64) meetEnd {
	switch {
	case math.IsInf(left, 1) && math.IsInf(right, 1):
		return endNothing
	case right-left > p.window:
		return endLeft
	case left-right > p.window:
		return endRight
	}
	return endBoth
}

// meet lets a plan of the left fencer meet one of the right one. served is whether the
// answer was in time, see Meets.Served.
func (p *phrase) meet(left, right Plan) (end meetEnd, served bool) {
	var a, b float64
	switch {
	case left.Goes() && right.Goes():
		a, b, served = p.bothGo(left, right)
	case left.Goes():
		a, b, served = p.answered(Left, left, right)
	case right.Goes():
		b, a, served = p.answered(Right, right, left)
	default:
		return endNothing, false
	}
	return p.lamps(a, b), served
}

// answered is one who goes against one who waits: when the points of both register.
func (p *phrase) answered(side int, goes, waits Plan) (mine, theirs float64, served bool) {
	g, w := &p.s[side], &p.s[1-side]
	a := p.attackOf(side, goes, 0)
	ready := a.seen(w.cueTau) + w.x[mVisual]
	if goes == Drawing {
		if !waits.counters() {
			return never, never, waits == GoingBack
		}
		return p.drawn(side, a, ready, waits)
	}
	switch {
	case waits == GoingBack:
		back := term{length: w.x[mBack], start: ready, end: ready + w.x[mBackTime]}
		at := p.lands(side, a, back)
		return g.hits(at, rollBody, mOnBody), never, math.IsInf(at, 1)
	case waits == Parrying:
		return p.parried(side, goes, a, ready)
	}
	return p.countered(side, goes, waits, a, ready)
}

// counter is when an extension that starts at an instant arrives: at the hand of the
// attacker, which comes along with the arm, or at the body.
func (p *phrase) counter(side int, a attack, start float64, plan Plan) float64 {
	w := &p.s[side]
	var c course
	c.add(w.x[mArm], start, w.x[mArmTime])
	gap := w.x[mGap]
	if plan == Countering {
		gap -= p.s[1-side].x[mLead]
	} else {
		a.arm = 0
	}
	a.add(&c)
	if plan == CounteringBack {
		c.add(w.x[mBack], start, w.x[mBackTime])
	}
	// A point on guard may not be in line: it counts from when it starts.
	return max(start, c.reached(gap))
}

// countered is an attack against an extension into it.
func (p *phrase) countered(side int, goes, waits Plan, a attack, ready float64) (mine, theirs float64, served bool) {
	g, w := &p.s[side], &p.s[1-side]
	at := p.lands(side, a)
	if waits == CounteringBack {
		at = p.lands(side, a, term{length: w.x[mBack], start: ready, end: ready + w.x[mBackTime]})
	}
	start := ready
	if goes == Taking {
		if met := p.meets(side, a); met < ready && g.roll[rollFinds] < g.x[mFinding] {
			if g.roll[rollHolds] < g.x[mHolding] && met < at {
				return g.hits(at, rollBody, mOnBody), never, false
			}
			start = met + w.x[mTouch] + w.x[mDisengage]
		}
	}
	came := p.counter(1-side, a, start, waits)
	if waits == CounteringClosed && start+w.oppose <= at && w.roll[rollHolds] < w.x[mHolding] {
		at = never // the line is closed: the point goes by
	}
	return g.hits(at, rollBody, mOnBody), w.countersAt(came, waits), came+w.contact < at+g.contact
}

// meets is when one who looks for the other blade comes to it.
func (p *phrase) meets(side int, a attack) float64 {
	s := &p.s[side]
	var c course
	c.add(s.x[mArm], a.armFrom, s.x[mArmTime])
	c.add(a.body, a.bodyFrom-s.x[mParry], a.bodyTime) // on the way from the start
	return max(s.x[mParry], c.reached(s.x[mGap]-float64(CrossingGap)))
}

// parried is an attack against a parry.
func (p *phrase) parried(side int, goes Plan, a attack, ready float64) (mine, theirs float64, served bool) {
	g, w := &p.s[side], &p.s[1-side]
	at := p.lands(side, a)
	there := ready + w.x[mParry] + p.size(side, a, ready)
	switch goes {
	case Feinting:
		turned := g.plannedParry // the disengage is over
		switch {
		case turned < ready: // the true line is seen
			ready = max(ready, turned+w.x[mSimple])
			there = ready + w.x[mParry] + p.size(side, a, ready)
		case turned <= there: // into the line that was left
			there = max(there, turned+w.x[mSimple]) + w.circular
		}
	case Taking:
		if met := p.meets(side, a); g.roll[rollFinds] < g.x[mFinding] && met < there {
			there = met + w.x[mTouch] + w.circular // pushed out, it comes back round
		}
	}
	if there <= at {
		mine, theirs = p.riposte(side, a, at, there, true)
		return mine, theirs, true
	}
	if mine = g.hits(at, rollBody, mOnBody); !math.IsInf(mine, 1) || math.IsInf(at, 1) {
		return mine, never, false
	}
	mine, theirs = p.riposte(side, a, at, max(at, there), false)
	return mine, theirs, false
}

// size is by how much longer than usual a parry takes because the hand is near: its way
// goes with the angle atan(w/D), D from the attacker's hand to the body.
func (p *phrase) size(side int, a attack, when float64) float64 {
	const blade, usual, half, least = 0.90, 1.3, 0.20, 0.60
	var c course
	a.add(&c)
	gone, _ := c.at(when)
	d := max(least, blade+p.s[side].x[mGap]-gone)
	return float64(AimPerBit) * math.Log2(math.Atan(half/d)/math.Atan(half/usual))
}

// riposte is what comes after a parry, or after an attack that missed: the riposte of
// the other side against the remise, which waits for its blade where it is held. The
// attack would have arrived at the instant at.
func (p *phrase) riposte(side int, a attack, at, parry float64, met bool) (mine, theirs float64) {
	g, w := &p.s[side], &p.s[1-side]
	goesOn := g.roll[rollGoesOn] < g.x[mRemising]
	start := parry + w.x[mHold]
	var c course
	c.add(a.body, a.bodyFrom, a.bodyTime)
	near, _ := c.at(start)
	left := w.x[mGap] - near
	c.add(w.x[mArm], start, w.x[mArmTime])
	if left > w.x[mArm] {
		c.add(w.body[1][0], start, w.body[1][1])
	}
	if !goesOn {
		c.add(g.x[mBack], parry, g.x[mBackTime])
	}
	theirs = w.hits(max(start, c.reached(w.x[mGap])), rollAgain, mOnBody)
	mine = never
	if goesOn {
		free := parry
		if met && w.roll[rollHolds] < w.x[mHolding] {
			free += g.x[mTouch] + g.x[mDisengage]
		}
		// Before the attack would have arrived the body has not brought the point there.
		mine = g.hits(max(free+g.x[mRemise], at), rollRemise, mOnBody)
	}
	return mine, theirs
}

// drawn is an attack that is only shown against the counter that it draws.
func (p *phrase) drawn(side int, a attack, ready float64, waits Plan) (mine, theirs float64, served bool) {
	g, w := &p.s[side], &p.s[1-side]
	came := p.counter(1-side, a, ready, waits)
	onSight := ready + float64(g.cueTau*w.x[mArmTime]) + g.x[mSimple] + g.x[mParry]
	take := g.plannedCounter
	if take < ready {
		take = onSight
	}
	if take <= came {
		mine, theirs = p.taken(side, a, take, ready+w.x[mArmTime])
		return mine, theirs, true
	}
	theirs = w.countersAt(came, waits)
	return g.hits(p.after(side, a, max(came, take)), rollBody, mOnBody), theirs, false
}

// after is when one who showed an attack arrives with the true one that starts later.
func (p *phrase) after(side int, a attack, start float64) float64 {
	g := &p.s[side]
	var c course
	a.add(&c)
	near, _ := c.at(start)
	c.add(g.x[mArm]-a.arm, start, g.x[mArmTime])
	if g.x[mGap]-near > g.x[mArm]-a.arm {
		c.add(g.body[1][0], start, g.body[1][1])
	}
	return max(start, c.reached(g.x[mGap]))
}

// taken is the hit of one whose blade has taken the other's at an instant, against the
// remise of the other, whose point would else have arrived at the instant at.
func (p *phrase) taken(side int, a attack, take, at float64) (mine, theirs float64) {
	g, w := &p.s[side], &p.s[1-side]
	mine, theirs = g.hits(p.after(side, a, take), rollAgain, mOnBody), never
	if w.roll[rollGoesOn] < w.x[mRemising] {
		free := take
		if g.roll[rollHolds] < g.x[mHolding] {
			free += w.x[mTouch] + w.x[mDisengage]
		}
		theirs = w.hits(max(free+w.x[mRemise], at), rollRemise, mOnBody)
	}
	return mine, theirs
}
