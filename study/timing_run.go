package study

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// Streams of the draws of one instant, apart from each other.
const (
	windowStream = 0x77696e64 // "wind"
	mapStream    = 0x6d617070 // "mapp"
)

// run runs what was put: race, windows, map and the change that was asked about.
func (x *Timing) run(r *Reading, p *posed, ask TimingAsk) error {
	changed := []timing.Race(nil)
	if ask.WhatIf != nil {
		c, err := p.change(*ask.WhatIf)
		if err != nil {
			return err
		}
		other, err := c.Race(p.race)
		if err != nil {
			return &Refusal{At: "/what_if", What: err.Error(), Because: err}
		}
		changed = append(changed, other)
	}
	res, err := p.race.WhatIf(p.app, r.Draws, rand.NewPCG(r.Seed, raceStream), changed...)
	if err != nil {
		x.lack(PartRace, err.Error(), "")
		return nil
	}
	x.Race = p.told(res[0], r.Touch)
	if ask.WhatIf != nil {
		x.WhatIf = &WhatIf{Change: *ask.WhatIf, Race: p.told(res[1], r.Touch)}
	}
	e, ok := x.exchange(r, p)
	if !ok {
		return nil
	}
	if err := x.runWindows(r, p, e, ask.WhatIf); err != nil {
		return err
	}
	if ask.Map && x.Windows != nil {
		x.runMap(r, p, e)
	}
	return nil
}

// exchange is the attack and the defence of the race; false where the race does not
// hold one, with the reason.
func (x *Timing) exchange(r *Reading, p *posed) (timing.Exchange, bool) {
	a, d := x.Attacker, x.Attacker.Other()
	ra := p.race.Runners[a]
	if ra.Onset.AfterOther {
		x.lack(PartWindows, fmt.Sprintf("%v attacks, and the race says that %v reacts", a, a),
			fmt.Sprintf("let %v start with the race or as seen, or name %v as the attacker", a, d))
		return timing.Exchange{}, false
	}
	if ra.Movement.Arm.Mean <= 0 && ra.Movement.Body.Mean <= 0 {
		x.lack(PartWindows, fmt.Sprintf("%v's %s does not come forward: there is no attack to answer", a, plain(p.out.Runs[a].Action)),
			fmt.Sprintf("choose an action of %v that does, or name the other fencer as the attacker", a))
		return timing.Exchange{}, false
	}
	attack := timing.NewAttack(ra.Gap, ra.Movement)
	attack.Onset = ra.Onset
	defence := r.defence(d, p.race.Runners[d].Gap, p.in.Bodies[d].ArmLeft)
	defence.TargetOnArm = p.race.Runners[d].TargetOnArm
	defence = x.Parry.sized(defence) // by what is asked as the attack arrives, not from afar
	if rd := p.race.Runners[d]; !rd.Onset.AfterOther && rd.Movement.Body.Mean > 0 {
		defence.Coming = timing.Runner{Movement: rd.Movement, Onset: rd.Onset}
		attack.TargetOnArm = p.race.Runners[a].TargetOnArm
	}
	return timing.Exchange{Attack: attack, Defence: defence, GapCorrelation: p.race.GapCorrelation}, true
}

// runWindows finds the windows of the exchange, as it is and as it would be.
func (x *Timing) runWindows(r *Reading, p *posed, e timing.Exchange, c *Change) error {
	tell := func(e timing.Exchange, race *Race, target mark.Target) (*Windows, error) {
		w, err := r.windows(e, p.app)
		if err != nil {
			return nil, err
		}
		out := &Windows{Windows: w, Exchange: e, AttackAction: race.Runs[x.Attacker].Action, AttackTarget: race.Runs[x.Attacker].Target,
			AnswerTarget: target, Travel: race.Runs[x.Attacker].Travel}
		out.Finding = x.windowFinding(out)
		return out, nil
	}
	d := x.Attacker.Other()
	var w, other *Windows
	var errs [2]error
	var refused string
	var changed timing.Exchange
	tasks := []func(){func() { w, errs[0] = tell(e, x.Race, x.Race.Runs[d].Target) }}
	if c != nil {
		var err error
		changed, refused, err = p.changeExchange(*c, x.Attacker, e)
		if err != nil {
			return &Refusal{At: "/what_if", What: err.Error(), Because: err}
		}
		x.WhatIf.Refused = refused
		tasks = append(tasks, func() { other, errs[1] = tell(changed, x.WhatIf.Race, x.WhatIf.Race.Runs[d].Target) })
	}
	inParallel(len(tasks), func(i int) { tasks[i]() })
	if errs[0] != nil {
		x.lack(PartWindows, errs[0].Error(), "")
		return nil
	}
	x.Windows = w
	w.Deciding, w.Matters = x.deciding(r, p, w)
	if c != nil {
		if errs[1] != nil {
			return &Refusal{At: "/what_if", What: errs[1].Error(), Because: errs[1]}
		}
		x.WhatIf.Windows = other
		x.WhatIf.Finding = x.whatIfFinding()
	}
	return nil
}

// windows draws an exchange, through what is kept: a slider that moves changes one of
// two, and the other need not be drawn again.
func (r *Reading) windows(e timing.Exchange, app timing.Apparatus) (timing.Windows, error) {
	type answer struct {
		w   timing.Windows
		err error
	}
	var k keyBytes
	k.text(fmt.Sprintf("windows %d %d %+v %+v", r.Draws, r.Seed, e, app))
	a := move(r.kept, k.sum(), func() answer {
		w, err := e.Windows(app, r.Draws, rand.NewPCG(r.Seed, windowStream))
		return answer{w, err}
	})
	return a.w, a.err
}

// change is the change of the race in the words of the timing.
func (p *posed) change(c Change) (timing.Change, error) {
	out := timing.Change{Side: int(c.Who), Closer: c.Closer, Earlier: c.Earlier, Longer: c.Longer}
	if c.Target == "" {
		return out, nil
	}
	i := slices.IndexFunc(p.in.Gaps, func(g Gap) bool { return g.Of == c.Who && g.Target == c.Target })
	if i < 0 {
		return out, &Refusal{At: "/what_if/target", What: fmt.Sprintf("the gap of the %v fencer to the %s is not measured on frame %d", c.Who, c.Target, p.in.Frame), Mend: "mark it there, or ask about another target"}
	}
	out.Target = &timing.Target{Gap: p.in.Gaps[i].Gap, OnArm: onArm(c.Target)}
	return out, nil
}

// changeExchange is the change of the exchange; what has no meaning there is left out
// and said.
func (p *posed) changeExchange(c Change, attacker mark.Side, e timing.Exchange) (timing.Exchange, string, error) {
	out, err := p.change(c)
	if err != nil {
		return e, "", err
	}
	refused := ""
	out.Side = timing.Right
	if c.Who == attacker {
		out.Side = timing.Left
		if out.Earlier != 0 {
			out.Earlier = 0
			refused = "An attack that starts earlier is seen and answered earlier: it moves the race and leaves the answers as they are."
		}
	}
	e, err = out.Exchange(e)
	return e, refused, err
}

// clearly bounds the chances of an answer that is neither clearly open nor shut.
const clearly = 0.9

// deciding is the answer that lies nearest to even, and which inputs its chance hangs
// on: the difference of the chance between each input a standard deviation lower and
// higher, on equal draws; the shares are of the squares.
func (x *Timing) deciding(r *Reading, p *posed, w *Windows) (timing.Answer, []Matter) {
	best, off := -1, clearly-0.5
	for i, e := range w.Each {
		if d := float64(e.InTime.Mean) - 0.5; d < off && -d < off {
			best, off = i, max(d, -d)
		}
	}
	if best < 0 {
		return "", nil
	}
	a := w.Each[best].Answer
	return a, x.windowMatters(r, p, w, best)
}

// matterDraws is how many draws tell which input matters: equal draws make the
// difference of two chances far surer than each.
const matterDraws = 2000

// windowMatters lists what decides the chance of one answer.
func (x *Timing) windowMatters(r *Reading, p *posed, w *Windows, which int) []Matter {
	att, def := x.Attacker, x.Attacker.Other()
	var names []Matter
	var changed []timing.Exchange
	both := func(m Matter, change func(e *timing.Exchange, sign float64)) {
		lo, hi := w.Exchange, w.Exchange
		change(&lo, -1)
		change(&hi, 1)
		names = append(names, m)
		changed = append(changed, lo, hi)
	}
	num := func(q *quantity.Of[quantity.Metres], sign float64) {
		q.Mean = max(0, q.Mean+quantity.Metres(sign*float64(q.SD)))
	}
	sec := func(q *quantity.Of[quantity.Seconds], sign float64, least quantity.Seconds) {
		q.Mean = max(least, q.Mean+quantity.Seconds(sign*float64(q.SD)))
	}
	run := &p.out
	race := func(input string, s mark.Side) Matter {
		return matterOf(timing.Matter{Side: int(s), Input: input}, run, p.in, r.Touch.Bout.Fencer(s))
	}
	e := w.Exchange
	both(race(timing.InputGap, att), func(e *timing.Exchange, z float64) { num(&e.Attack.Gap, z) })
	both(race(timing.InputGap, def), func(e *timing.Exchange, z float64) { num(&e.Defence.Gap, z) })
	both(race(timing.InputArmTravel, att), func(e *timing.Exchange, z float64) { num(&e.Attack.Movement.Arm, z) })
	if e.Attack.Movement.Body.Mean > 0 {
		both(race(timing.InputBodyTravel, att), func(e *timing.Exchange, z float64) { num(&e.Attack.Movement.Body, z) })
		both(race(timing.InputBodyTime, att), func(e *timing.Exchange, z float64) { sec(&e.Attack.Movement.BodyTime, z, 0.05) })
	}
	both(race(timing.InputArmTime, att), func(e *timing.Exchange, z float64) { sec(&e.Attack.Movement.ArmTime, z, 0.05) })
	both(Matter{Name: fmt.Sprintf("when %v's attack can be seen", att), Mend: "mark the first movement that shows it"},
		func(e *timing.Exchange, z float64) {
			e.Attack.Cue.Mean = max(0.001, e.Attack.Cue.Mean+quantity.Ratio(z*float64(e.Attack.Cue.SD)))
		})
	both(race(timing.InputReaction, def), func(e *timing.Exchange, z float64) { sec(&e.Defence.Reaction.Simple, z, 0.01) })
	both(Matter{Name: fmt.Sprintf("how long %v's parry takes", def), Mend: "give the fencer's own times of the parries"}, func(e *timing.Exchange, z float64) {
		sec(&e.Defence.Lateral, z, 0.02)
		sec(&e.Defence.Semicircular, z, 0.02)
		sec(&e.Defence.Circular, z, 0.02)
		sec(&e.Defence.Opposition, z, 0.02)
	})
	both(race(timing.InputArmTime, def), func(e *timing.Exchange, z float64) { sec(&e.Defence.Extension.ArmTime, z, 0.05) })
	// A slider changes none of it, so that it is kept as the windows are.
	var k keyBytes
	k.text(fmt.Sprintf("matters %d %+v %+v", r.Seed, w.Exchange, p.app))
	all := move(r.kept, k.sum(), func() []timing.Windows {
		all, err := w.Exchange.WhatIf(p.app, matterDraws, rand.NewPCG(r.Seed, windowStream), changed...)
		if err != nil {
			return nil
		}
		return all
	})
	if all == nil {
		return nil
	}
	total := 0.0
	var out []Matter
	for i, m := range names {
		d := float64(all[2+2*i].Each[which].InTime.Mean - all[1+2*i].Each[which].InTime.Mean)
		m.Share = quantity.Ratio(d * d)
		total += d * d
		out = append(out, m)
	}
	if total == 0 {
		return nil
	}
	for i := range out {
		out[i].Share /= quantity.Ratio(total)
	}
	out = slices.DeleteFunc(out, func(m Matter) bool { return m.Share < leastShare })
	slices.SortStableFunc(out, func(a, b Matter) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return out
}

// leastShare is the least share of a matter that is told.
const leastShare = quantity.Ratio(0.01)

// runMap draws the distance map of the pair and the way of the touch through it: until
// the attack starts a stop stands where both would start at once; then the gap is that
// of the start, and the lead grows with the time that has passed.
func (x *Timing) runMap(r *Reading, p *posed, e timing.Exchange) {
	m, err := r.distanceMap(e, p.app)
	if err != nil {
		x.lack(PartMap, err.Error(), "")
		return
	}
	out := &Map{DistanceMap: m, Attacker: x.Attacker, Target: p.out.Runs[x.Attacker].Target, Here: -1,
		Reach: reachOf(r.Profiles[x.Attacker], r.Touch.Bout.Fencer(x.Attacker), p.in.Bodies[x.Attacker].ArmLeft)}
	out.Path, out.Here, err = x.path(r, m, p, e)
	if err != nil {
		x.lack(PartMap, err.Error(), "")
		return
	}
	out.Finding = x.mapFinding(out)
	x.Map = out
}

// path leads the told instants of the touch through the map, with the one that is
// pointed at, and returns which of them that is.
func (x *Timing) path(r *Reading, m timing.DistanceMap, p *posed, e timing.Exchange) ([]timing.Stop, int, error) {
	target := p.out.Runs[x.Attacker].Target
	gapOf := func(in *Instant) (quantity.Of[quantity.Metres], bool) {
		i := slices.IndexFunc(in.Gaps, func(g Gap) bool { return g.Of == x.Attacker && g.Target == target })
		if i < 0 {
			return quantity.Of[quantity.Metres]{}, false
		}
		return in.Gaps[i].Gap, true
	}
	start, sd := p.in.At.Mean+e.Attack.Onset.Time.Mean, e.Attack.Onset.Time.SD
	atStart, known := r.near(x.At.Take, start, gapOf)
	instants := slices.Clone(r.Told())
	here := func(in *Instant) bool { return in.Take == x.At.Take && in.Frame == x.At.Frame }
	if !slices.ContainsFunc(instants, func(in Instant) bool { return here(&in) }) {
		instants = append(instants, *p.in)
	}
	slices.SortStableFunc(instants, func(a, b Instant) int { return cmp.Compare(a.At.Mean, b.At.Mean) })
	var stops []timing.Instant
	at := -1
	for i := range instants {
		in := &instants[i]
		gap, ok := gapOf(in)
		if _, over := r.hitBefore(in); !ok || over {
			continue
		}
		s := timing.Instant{Name: r.nameOf(in), At: in.At, Gap: gap}
		if since := in.At.Mean - start; since > sd+launchSlack {
			if !known { // the last gap before the start is the best there is
				if n := len(stops); n > 0 {
					atStart, known = stops[n-1].Gap, true
				} else {
					continue
				}
			}
			s.Gap, s.Lead = atStart, quantity.Normal(since, sd)
		}
		if here(in) {
			at = len(stops)
		}
		stops = append(stops, s)
	}
	path, err := m.Path(stops)
	return path, at, err
}

// launchSlack is how much later than the start of the attack an instant still counts as
// the start itself: a frame at 50 a second.
const launchSlack = quantity.Seconds(0.020)

// near is the gap on the frame of a take that lies nearest to an instant, within
// launchSlack of it.
func (r *Reading) near(take string, at quantity.Seconds, gapOf func(*Instant) (quantity.Of[quantity.Metres], bool)) (quantity.Of[quantity.Metres], bool) {
	k, ok := r.Touch.Take(take)
	if !ok {
		return quantity.Of[quantity.Metres]{}, false
	}
	clock, best, off := r.clocks[take], k.From, launchSlack
	found := false
	last := k.To
	if n := mark.Frame(len(r.Clips[k.Video].Times)); last == 0 || last >= n {
		last = n - 1
	}
	for f := k.From; f <= last; f++ {
		if d := clock.at(f).Mean - at; d <= off && -d <= off {
			best, off, found = f, max(d, -d), true
		}
	}
	if !found {
		return quantity.Of[quantity.Metres]{}, false
	}
	in, ok := r.InstantAt(take, best)
	if !ok {
		return quantity.Of[quantity.Metres]{}, false
	}
	return gapOf(&in)
}

// distanceMap is the map of an exchange, through what is kept.
func (r *Reading) distanceMap(e timing.Exchange, app timing.Apparatus) (timing.DistanceMap, error) {
	type answer struct {
		m   timing.DistanceMap
		err error
	}
	var k keyBytes
	k.text(fmt.Sprintf("map %d %d %+v %+v", r.Draws, r.Seed, e, app))
	a := eachMap(r.kept, k.sum(), func() answer {
		m, err := e.Map(app, timing.DefaultGrid(), min(r.Draws, timing.MapDraws), rand.NewPCG(r.Seed, mapStream))
		return answer{m, err}
	})
	return a.m, a.err
}

// nameOf names an instant: its moment, or take and frame.
func (r *Reading) nameOf(in *Instant) string {
	for _, m := range r.Moments {
		if m.Moment.ID == in.Moment {
			if m.Moment.Name != "" {
				return m.Moment.Name
			}
			return m.Moment.ID
		}
	}
	return fmt.Sprintf("frame %d", in.Frame)
}
