package study

import (
	"cmp"
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
)

// sameStart is how near, in seconds, a proposal lies to a moment of the coach's that
// is the same start: the coach's word then stands alone (our choice: four frames at
// 25 a second hold both errors).
const sameStart = 0.10

// onset is one start, lift or landing, with where it comes from.
type onset struct {
	who        mark.Side
	part, kind string
	// since is its time from the instant asked about, in seconds: what it shares of
	// the clock's error with the instant is not in it.
	since   quantity.Of[quantity.Seconds]
	uniform bool
	// sure is how likely it is that something began at all: 1 for a moment.
	sure             float64
	moment, proposal string
	take             string
	by               mark.Frame
	feint            bool
	answer, threat   bool
}

// onsetsFrom are all starts of a reading in order of time, counted from a frame: the
// moments that name one, and the proposals that are none of these.
func (r *Reading) onsetsFrom(at At, attacker *mark.Side) []onset {
	var out []onset
	for _, m := range r.Moments {
		n, ok := nameOf(m.Moment)
		if !ok {
			continue
		}
		who, ok := n.by(attacker)
		if !ok {
			continue
		}
		since, ok := r.sinceFrame(m, at)
		if !ok {
			continue
		}
		out = append(out, onset{who: who, part: n.part, kind: n.kind, since: since, uniform: rectangular(since), sure: 1,
			moment: m.Moment.ID, take: m.Moment.Take, by: m.Moment.By, feint: n.feint, answer: n.answer, threat: n.threat})
	}
	said := slices.Clone(out)
	now, ok := r.When(at.Take, at.Frame)
	if !ok {
		return out
	}
	for _, p := range r.Proposals {
		since := quantity.Of[quantity.Seconds]{Mean: p.At.Mean - now.Mean, SD: p.At.SD, Lo: p.At.Lo - now.Mean, Hi: p.At.Hi - now.Mean}
		uniform := rectangular(p.At)
		if p.Take != at.Take {
			then, ok := r.When(p.Take, p.By)
			if !ok {
				continue
			}
			since = quantity.Normal(since.Mean, quantity.Seconds(math.Hypot(float64(since.SD), math.Hypot(float64(now.SD), float64(then.SD)))))
			uniform = false
		}
		same := func(e onset) bool {
			near := math.Abs(float64(e.since.Mean-since.Mean)) < sameStart
			return e.who == p.Who && near && (e.part == p.Part && e.kind == p.Kind || e.part == PartLaunch && p.Part == PartHand)
		}
		if slices.ContainsFunc(said, same) {
			continue
		}
		// The same start in another take of the touch is the same start.
		if i := slices.IndexFunc(out, func(e onset) bool { return e.proposal != "" && e.take != p.Take && same(e) }); i >= 0 {
			if since.SD < out[i].since.SD {
				out[i].since, out[i].uniform = since, uniform
				out[i].proposal, out[i].take, out[i].by, out[i].sure = p.ID, p.Take, p.By, p.Sure
			}
			continue
		}
		out = append(out, onset{who: p.Who, part: p.Part, kind: p.Kind, since: since, uniform: uniform, sure: p.Sure,
			proposal: p.ID, take: p.Take, by: p.By})
	}
	slices.SortStableFunc(out, func(a, b onset) int { return cmp.Compare(a.since.Mean, b.since.Mean) })
	return out
}

// sinceFrame is how much later than a frame a moment lies.
func (r *Reading) sinceFrame(m MomentReading, at At) (quantity.Of[quantity.Seconds], bool) {
	if q, ok := r.since(m.Moment.ID, at.Take, at.Frame); ok {
		return q, true
	}
	now, ok := r.When(at.Take, at.Frame)
	if !ok {
		return quantity.Of[quantity.Seconds]{}, false
	}
	q := m.At
	q.Mean, q.Lo, q.Hi = q.Mean-now.Mean, q.Lo-now.Mean, q.Hi-now.Mean
	return q, true
}

// phrase is what led to an instant.
type phrase struct {
	at       At
	attacker mark.Side
	now      quantity.Seconds // of the instant, on the clock of the bout
	all      []onset
	// end is the hit (or the lamp, or the halt), from the instant; nil where none is set.
	end *quantity.Of[quantity.Seconds]
	// ended says what the end is: "hit", "lamp" or "halt".
	ended string
	// until is up to where starts count: the end, else the instant.
	until float64
	// hand, foot and launch are the attack's, by their places in all; −1 where not seen.
	hand, foot, launch int
}

// Limits of a phrase.
const (
	// withFoot is how far, in seconds, the hand of an attack may start from the lift of
	// its front foot and be of the same attack: less than a step lasts.
	withFoot = 0.35
	// followsIn is how soon after the leading foot of a step the other one lifts at the
	// latest, in seconds (common practice, no source: a step lasts 250 to 500 ms).
	followsIn = 0.25
	// phraseSpan is how long before its end the starts of a phrase are looked for: three
	// steps, or six simple extensions.
	phraseSpan = 1.5
	// endsBefore is how long after a hit an instant still belongs to its phrase, in
	// seconds: the fencers recover.
	endsBefore = 0.5
	// leastSure is how likely a proposal must be to be a start at all.
	leastSure = 0.5
)

// phraseAt finds the phrase that leads to an instant. The rule: it ends with the first
// hit, lamp or halt at or after the instant, else with the last one at most endsBefore
// earlier, else at the instant. Of each part of each fencer the last start before the
// end counts, the coach's moments before the proposals; of the attacker's hand that
// start which lies nearest to the last lift of the front foot, so that neither a feint
// before nor a remise after the lunge is taken for its hand. Feet start where they lift.
func (r *Reading) phraseAt(at At, attacker mark.Side) (phrase, bool) {
	now, ok := r.When(at.Take, at.Frame)
	if !ok {
		return phrase{}, false
	}
	p := phrase{at: at, attacker: attacker, now: now.Mean, all: r.onsetsFrom(at, &attacker), hand: -1, foot: -1, launch: -1}
	for _, m := range r.Moments {
		what, ok := endsPhrase(m.Moment)
		if !ok {
			continue
		}
		q, ok := r.sinceFrame(m, at)
		if !ok || q.Mean < -endsBefore {
			continue
		}
		// An end whose bracket reaches to the instant is at it, not before.
		ahead := q.Hi+q.SD >= 0
		switch had := p.end != nil && p.end.Hi+p.end.SD >= 0; {
		case p.end == nil, ahead && !had, ahead && q.Mean < p.end.Mean, !ahead && !had && q.Mean > p.end.Mean:
			p.end, p.ended = &q, what
		}
	}
	if p.end != nil {
		p.until = float64(p.end.Mean)
	}
	p.foot = p.lastWhere(attacker, PartFrontFoot, func(e onset) bool { return !p.stepsBack(e) })
	p.hand = p.last(attacker, PartHand)
	if p.foot >= 0 {
		p.hand = p.nearest(attacker, PartHand, float64(p.all[p.foot].since.Mean))
	}
	p.launch = p.last(attacker, PartLaunch)
	if p.launch >= 0 && p.foot >= 0 && math.Abs(float64(p.all[p.launch].since.Mean-p.all[p.foot].since.Mean)) > withFoot {
		p.launch = -1 // of an earlier attack
	}
	return p, true
}

// counts reports whether an onset may be the start of its part in this phrase.
func (p *phrase) counts(e onset) bool {
	t := float64(e.since.Mean)
	return e.kind != OnsetLands && e.sure >= leastSure && t <= p.until && t >= p.until-phraseSpan
}

// last is the last start of a part; −1 where there is none.
func (p *phrase) last(s mark.Side, part string) int {
	return p.lastWhere(s, part, func(onset) bool { return true })
}

// stepsBack reports whether a front foot lifts in a step back: the rear foot lifted
// shortly before it, and not to follow the front foot in a step forward.
func (p *phrase) stepsBack(front onset) bool {
	since := func(part string, e onset) float64 { // the lift of a part before a start; NaN for none
		last := math.NaN()
		for _, o := range p.all {
			if o.who == front.who && o.part == part && o.kind == OnsetLifts && o.sure >= leastSure && o.since.Mean < e.since.Mean {
				last = float64(e.since.Mean - o.since.Mean)
			}
		}
		return last
	}
	rear := since(PartRearFoot, front)
	if !(rear < followsIn) || front.moment != "" {
		return false
	}
	led := since(PartFrontFoot, onset{who: front.who, since: later(front.since, -quantity.Seconds(rear))})
	return !(led < followsIn)
}

// lastWhere is the last start of a part that fits.
func (p *phrase) lastWhere(s mark.Side, part string, fits func(onset) bool) int {
	best := -1
	for i, e := range p.all {
		if e.who != s || e.part != part || !p.counts(e) || !fits(e) {
			continue
		}
		if best < 0 || (e.moment != "") == (p.all[best].moment != "") || e.moment != "" {
			best = i
		}
	}
	return best
}

// nearest is the start of a part nearest to a time, within withFoot of it.
func (p *phrase) nearest(s mark.Side, part string, t float64) int {
	best := -1
	far := func(i int) float64 { return math.Abs(float64(p.all[i].since.Mean) - t) }
	for i, e := range p.all {
		if e.who != s || e.part != part || !p.counts(e) || far(i) > withFoot {
			continue
		}
		switch {
		case best < 0, e.moment != "" && p.all[best].moment == "":
			best = i
		case e.moment == "" && p.all[best].moment != "":
		case far(i) < far(best):
			best = i
		}
	}
	return best
}

// first is the start of the attack: the coach's moment where there is one, else the
// first of hand and front foot; −1 where it is not known.
func (p *phrase) first() int {
	switch {
	case p.launch >= 0:
		return p.launch
	case p.hand < 0:
		return p.foot
	case p.foot < 0 || p.all[p.hand].since.Mean <= p.all[p.foot].since.Mean:
		return p.hand
	}
	return p.foot
}

// before reports whether a start lies so long before the attack that it is of an
// earlier step: the rear foot of the step before the lunge starts nothing of the lunge.
func (p *phrase) before(i int) bool {
	f := p.first()
	return f >= 0 && float64(p.all[f].since.Mean-p.all[i].since.Mean) > withFoot
}

// feint is the attacker's last feint before the attack, as the coach named it; −1 where
// there is none.
func (p *phrase) feint() int {
	best := -1
	for i, e := range p.all {
		if f := p.first(); e.who == p.attacker && e.feint && p.counts(e) && (f < 0 || e.since.Mean <= p.all[f].since.Mean) {
			best = i
		}
	}
	return best
}
