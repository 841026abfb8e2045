package study

import (
	"fmt"
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// TimingAt tells the timing of one instant of a reading: any frame that was marked or
// followed, or the start of the race where the ask names no take. Each part that the
// marks do not carry is nil, and Lacks says why and what would mend it. The seed and
// the number of draws are those of the reading, so that equal asks give equal answers.
//
// It returns a *Refusal for a take or a frame that the touch does not have, and for a
// change that no fencer could make.
func (r *Reading) TimingAt(ask TimingAsk) (*Timing, error) {
	x, in, posed, err := r.attackAt(ask)
	if err != nil || in == nil {
		return x, err
	}
	t := r.Touch
	var lack *Lack
	for _, s := range mark.Sides {
		x.Commits[s], lack = readCommit(t, r, x.At, s)
		x.add(lack)
	}
	x.Started, lack = readStarted(t, r, x.At, x.Attacker)
	x.add(lack)
	// The parry goes first: how large it must be says how long it takes.
	x.Parry, lack = readParry(t, r, x.At, x.Attacker, r.Draws, r.Seed)
	x.add(lack)
	if posed != nil {
		if err := x.run(r, posed, ask); err != nil {
			return nil, err
		}
	}
	x.Notes = readNotes(t, r, x)
	return x, nil
}

// ParrySeenAt is the parry that TimingAt finds observed at an instant, without all else
// that it tells and that takes far longer; nil where there is none. The errors are those
// of TimingAt.
func (r *Reading) ParrySeenAt(at At) (*ObservedParry, error) {
	x, in, _, err := r.attackAt(TimingAsk{At: at})
	if err != nil || in == nil {
		return nil, err
	}
	k, lack := parryingOf(r.Touch, r, x.At, x.Attacker, r.Draws, r.Seed)
	if lack != nil {
		return nil, nil
	}
	k.seen()
	return k.out.Observed, nil
}

// attackAt begins the timing of an instant: where it is, and who attacks. The instant is
// nil where nothing is measured on it; the pose is where no race can be put there.
func (r *Reading) attackAt(ask TimingAsk) (*Timing, *Instant, *posed, error) {
	if err := r.checkAsk(ask); err != nil {
		return nil, nil, nil, err
	}
	x := &Timing{At: ask.At}
	if ask.At.Take == "" {
		if r.Race == nil {
			x.lack(PartRace, noInstant(r), "point at a frame, or set the moment from which the race is run")
			return x, nil, nil, nil
		}
		x.At = At{r.Race.Take, r.Race.Frame}
	}
	in, fig, ok := r.figureAt(x.At)
	if !ok {
		x.lack(PartRace, fmt.Sprintf("nothing is measured on %v", view{x.At.Take, x.At.Frame}),
			"place the piste and mark both fencers on it, or follow the take")
		return x, nil, nil, nil
	}
	if own := r.Race; own != nil && own.Take == in.Take && own.Frame == in.Frame {
		in.Moment = own.Moment
	}
	x.Moment, x.Instant = in.Moment, in.At
	posed := x.pose(r, fig, &in)
	x.Attacker, x.AttackerWhy = r.attacker(posed, &in)
	return x, &in, posed, nil
}

// Bounds of a change: beyond them it is another touch.
const (
	mostCloser  = quantity.Metres(1)
	mostEarlier = quantity.Seconds(0.5)
	mostLonger  = quantity.Metres(0.3)
)

func (r *Reading) checkAsk(ask TimingAsk) error {
	if k, ok := r.Touch.Take(ask.At.Take); ask.At.Take != "" {
		if !ok {
			return &Refusal{At: "/at/take", What: fmt.Sprintf("the touch has no take %q", ask.At.Take), Mend: "name one of its takes"}
		}
		if ask.At.Frame < k.From || k.To > 0 && ask.At.Frame > k.To {
			return &Refusal{At: "/at/frame", What: fmt.Sprintf("frame %d is not in the take %q", ask.At.Frame, k.ID), Mend: fmt.Sprintf("name a frame from %d to %d", k.From, k.To)}
		}
	}
	c := ask.WhatIf
	if c == nil {
		return nil
	}
	bound := func(name string, v, most float64, unit string) error {
		if !(math.Abs(v) <= most) {
			return &Refusal{At: "/what_if/" + name, What: fmt.Sprintf("%v %s", v, unit), Mend: fmt.Sprintf("give %v to %v %s", -most, most, unit)}
		}
		return nil
	}
	for _, err := range []error{bound("closer_m", float64(c.Closer), float64(mostCloser), "m"), bound("earlier_s", float64(c.Earlier), float64(mostEarlier), "s"), bound("longer_m", float64(c.Longer), float64(mostLonger), "m")} {
		if err != nil {
			return err
		}
	}
	if c.Target != "" && !slices.Contains(mark.Targets(), c.Target) {
		return &Refusal{At: "/what_if/target", What: fmt.Sprintf("%q is not a target", c.Target), Mend: fmt.Sprintf("name one of %v", mark.Targets())}
	}
	if c.Who != mark.Left && c.Who != mark.Right {
		return &Refusal{At: "/what_if/who", What: "a side that is neither left nor right", Mend: `write "left" or "right"`}
	}
	return nil
}

func (x *Timing) add(l *Lack) {
	if l != nil {
		x.Lacks = append(x.Lacks, *l)
	}
}

func (x *Timing) lack(part, why, mend string) {
	x.Lacks = append(x.Lacks, Lack{Part: part, Both: true, Why: why, Mend: mend})
}

// noInstant is why there is no race to start from.
func noInstant(r *Reading) string {
	for _, w := range r.Warnings {
		if w.Code == codeNoRace {
			return w.Text[min(len(noRacePrefix), len(w.Text)):]
		}
	}
	return "no instant shows both fencers"
}

// pose puts the race of this instant, with what the touch asks of each fencer. A fencer
// whose hand is seen to be on its way already is taken to have started when it did.
func (x *Timing) pose(r *Reading, fig figure, in *Instant) *posed {
	if hit, ok := r.hitBefore(in); ok {
		x.lack(PartRace, fmt.Sprintf("the hit is over on this frame: it was there by frame %d", hit), "point at a frame before the hit")
		return nil
	}
	p, why, err := pose(r.Touch, fig, in, r, r.Touch.Race)
	if err != nil {
		x.lack(PartRace, err.Error(), "")
		return nil
	}
	if why != "" {
		x.lack(PartRace, why, "mark them, or follow the take")
		return nil
	}
	if own := r.Race; own != nil && own.Take == in.Take && own.Frame == in.Frame {
		return p
	}
	for _, s := range mark.Sides {
		if r.Touch.Race.Of(s).Onset.Kind == OnsetObserved {
			continue // as the coach says
		}
		since, name, ok := r.onItsWay(in, s)
		if !ok {
			continue
		}
		m, err := r.movement(s, p.out.Runs[s].Action, nil)
		if err != nil {
			continue
		}
		run, runner := &p.out.Runs[s], &p.race.Runners[s]
		runner.Movement, run.ParametersFrom = m, m.Source
		runner.Onset, run.OnsetText = timing.Observed(since, false), "is on its way: "+name
	}
	return p
}

// Limits of a movement that is on its way.
const (
	// wayLongest is how long before an instant a hand may have started.
	wayLongest = quantity.Seconds(0.8)
	// waySpeed towards the opponent below which a hand is not on its way (our choice:
	// a third of the peak of an extension of 0.45 m in 230 ms).
	waySpeed = quantity.MetresPerSecond(1.2)
)

// onItsWay is when the hand of a fencer started, from this instant, where it is seen to
// be moving towards the opponent.
func (r *Reading) onItsWay(in *Instant, s mark.Side) (since quantity.Of[quantity.Seconds], name string, ok bool) {
	v, ok := r.speedTowards(in, s, mark.Guard)
	if !ok || v.Mean-2*v.SD < waySpeed {
		return since, "", false
	}
	for _, p := range r.Proposals { // in the order of time
		if p.Take != in.Take || p.Who != s || p.Part != PartHand || p.Kind != OnsetStarts || p.Sure < float64(clearChance) {
			continue
		}
		if d := p.At.Mean - in.At.Mean; d <= 0 && d >= -wayLongest {
			since, name, ok = quantity.Normal(d, p.At.SD), p.Name, true
		}
	}
	for _, m := range r.Moments { // a proposal that was taken over is a moment
		if m.Moment.Take != in.Take || m.Moment.Name != fmt.Sprintf("%s hand %s", sideName(s), OnsetStarts) {
			continue
		}
		if q, known := r.since(m.Moment.ID, in.Take, in.Frame); known && q.Mean <= 0 && q.Mean >= -wayLongest && (name == "" || q.Mean > since.Mean) {
			since, name = q, m.Moment.Name
		}
	}
	return since, name, name != ""
}

// speedTowards is how fast a point goes towards the opponent.
func (r *Reading) speedTowards(in *Instant, s mark.Side, w mark.What) (quantity.Of[quantity.MetresPerSecond], bool) {
	st := r.trackOf(in.Take, s, w).stepAt(in.Frame)
	if st == nil || !st.seen() {
		return quantity.Of[quantity.MetresPerSecond]{}, false
	}
	if r.heads(in, s) < 0 {
		return negative(st.VX), true
	}
	return st.VX, true
}

// heads is the direction along the piste in which the opponent stands: 1 or −1. The
// left fencer of the picture need not stand at the lesser x.
func (r *Reading) heads(in *Instant, s mark.Side) float64 {
	var x [2]float64
	var n [2]int
	for _, side := range mark.Sides {
		for _, p := range in.Bodies[side].Points {
			x[side] += float64(p.Place[0].Mean)
			n[side]++
		}
		if n[side] > 0 {
			x[side] /= float64(n[side])
		}
	}
	switch {
	case n[0] == 0 || n[1] == 0:
		return towards(s)
	case x[s.Other()] > x[s]:
		return 1
	}
	return -1
}

// hitBefore says whether a moment named as the hit was over before this instant.
func (r *Reading) hitBefore(in *Instant) (mark.Frame, bool) {
	for _, m := range r.Moments {
		if m.Moment.ID != momentHit {
			continue
		}
		if q, ok := r.since(m.Moment.ID, in.Take, in.Frame); ok && q.Hi < 0 {
			return m.Moment.By, true
		}
	}
	return 0, false
}

// momentHit is the ID of the moment at which the point arrives.
const momentHit = "hit"

// attacker finds whose attack is answered.
func (r *Reading) attacker(p *posed, in *Instant) (mark.Side, string) {
	switch r.Touch.Attacker {
	case "left":
		return mark.Left, "as the coach said"
	case "right":
		return mark.Right, "as the coach said"
	}
	named, why, ok := r.attackerNamed()
	if p == nil {
		if ok {
			return named, why
		}
		return mark.Left, "not known: the left fencer is taken"
	}
	a, b := p.race.Runners[0].Onset, p.race.Runners[1].Onset
	if a.AfterOther != b.AfterOther {
		who := mark.Left
		if a.AfterOther {
			who = mark.Right
		}
		return who, fmt.Sprintf("%v answers", who.Other())
	}
	if ok {
		return named, why
	}
	if d := b.Time.Mean - a.Time.Mean; math.Abs(float64(d)) > 2*math.Hypot(float64(a.Time.SD), float64(b.Time.SD)) {
		if d > 0 {
			return mark.Left, "left starts first"
		}
		return mark.Right, "right starts first"
	}
	va, okA := r.speedTowards(in, mark.Left, mark.Guard)
	vb, okB := r.speedTowards(in, mark.Right, mark.Guard)
	if okA && okB {
		if d := va.Mean - vb.Mean; math.Abs(float64(d)) > 2*math.Hypot(float64(va.SD), float64(vb.SD)) {
			if d > 0 {
				return mark.Left, "left's hand comes forward faster"
			}
			return mark.Right, "right's hand comes forward faster"
		}
	}
	if p.out.Runs[1].Gap.Mean < p.out.Runs[0].Gap.Mean {
		return mark.Right, "right's point is nearer to its target; nothing else tells the two apart"
	}
	return mark.Left, "left's point is nearer to its target; nothing else tells the two apart"
}
