package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// startStream keeps the draws of the order of starts apart from others of one seed.
const startStream = 0x73746172 // "star"

// readStarted reads who started what, when, in the phrase that leads to an instant
// (see phraseAt for the rule), the lag from hand to front foot of each fencer, and in
// which step of the opponent the attack was launched.
//
// Times count on the clock of the bout; the doubt of that clock, which all starts of a
// take share, is not in their ±. It returns a Lack without a Started where nothing is
// known to start, and beside one where the attack's start is not known.
func readStarted(t *Touch, r *Reading, at At, attacker mark.Side) (*Started, *Lack) {
	p, ok := r.phraseAt(at, attacker)
	if !ok {
		return nil, &Lack{Part: PartStarted, Both: true, Why: fmt.Sprintf("the time of frame %d of the take %q is not known", at.Frame, at.Take), Mend: "name a frame of a take of the touch"}
	}
	out := &Started{}
	for _, s := range mark.Sides {
		out.Tempo[s] = r.tempoOf(s)
	}
	var picked []int
	for _, s := range mark.Sides {
		hand, foot := p.partStarts(s)
		rest := []int{hand}
		for _, i := range []int{foot, p.last(s, PartRearFoot), p.last(s, PartBlade)} {
			if i >= 0 && !p.before(i) {
				rest = append(rest, i)
			}
		}
		if s == attacker {
			rest = append(rest, p.launch, p.feint())
		}
		for _, i := range rest {
			if i >= 0 && !slices.Contains(picked, i) {
				picked = append(picked, i)
			}
		}
		// The hand of a parry goes without a foot.
		if hand >= 0 && foot >= 0 && !(p.all[hand].answer && !p.all[hand].threat) && math.Abs(float64(p.all[hand].since.Mean-p.all[foot].since.Mean)) <= withFoot {
			if lag, err := timing.HandToFoot(p.start(hand), p.start(foot)); err == nil {
				out.Lags[s] = &lag
			}
		}
	}
	if len(picked) == 0 {
		return nil, &Lack{Part: PartStarted, Both: true, Why: "no start of a hand, a foot or a blade is known before this instant",
			Mend: "set the moments at which a hand starts or a foot lifts (say whose in the name), or follow the take and take over what it proposes"}
	}
	slices.Sort(picked) // in order of time
	starts := make([]timing.Start, len(picked))
	for k, i := range picked {
		starts[k] = p.start(i)
		e := p.all[i]
		shown := starts[k]
		shown.Time = later(e.since, p.now)
		out.Starts = append(out.Starts, StartOf{Start: shown, Moment: e.moment, Proposal: e.proposal, Take: e.take, By: e.by, Kind: e.kind})
	}
	order, err := timing.StartOrder(starts, max(r.Draws, MinDraws), rand.NewPCG(r.Seed, startStream))
	if err != nil {
		return nil, &Lack{Part: PartStarted, Both: true, Why: err.Error(), Mend: "look at the moments of the touch: one of them has no time"}
	}
	out.Order = order
	out.Launch = r.launch(&p, out)
	out.Finding = startedFinding(out, &p)
	if out.Launch == nil {
		return out, &Lack{Part: PartStarted, Side: attacker, Why: fmt.Sprintf("when %s's attack was launched is not known", called(attacker)),
			Mend: fmt.Sprintf("set the moment at which %s's hand starts or the front foot lifts", called(attacker))}
	}
	return out, nil
}

// partStarts are the starts of hand and front foot of one fencer.
func (p *phrase) partStarts(s mark.Side) (hand, foot int) {
	if s == p.attacker {
		return p.hand, p.foot
	}
	return p.last(s, PartHand), p.last(s, PartFrontFoot)
}

// start is an onset as timing takes it, counted from the instant.
func (p *phrase) start(i int) timing.Start {
	e := p.all[i]
	return timing.Start{Side: int(e.who), Part: plain(e.part), Time: e.since, Uniform: e.uniform}
}

func later(q quantity.Of[quantity.Seconds], by quantity.Seconds) quantity.Of[quantity.Seconds] {
	q.Mean, q.Lo, q.Hi = q.Mean+by, q.Lo+by, q.Hi+by
	return q
}

// tempoOf is the time of one simple extension of a fencer: of the profile where there
// is one, else the default.
func (r *Reading) tempoOf(s mark.Side) quantity.Of[quantity.Seconds] {
	for _, f := range r.Profiles[s].Figures {
		if f.Name == "extension-time" && f.Seconds != nil {
			return *f.Seconds
		}
	}
	return quantity.Normal(timing.ArmTime, timing.ArmTimeSD)
}

// startedFinding says in one or two sentences who started and how.
func startedFinding(s *Started, p *phrase) string {
	var parts []string
	if len(s.Starts) > 0 && hasBoth(s.Starts) {
		first, chance := mark.Left, s.Order.SideFirst[mark.Left].Mean
		if s.Order.SideFirst[mark.Right].Mean > chance {
			first, chance = mark.Right, s.Order.SideFirst[mark.Right].Mean
		}
		if chance >= clearChance {
			parts = append(parts, fmt.Sprintf("%s started first, in %s of 100", called(first), in100(chance)))
		} else {
			parts = append(parts, fmt.Sprintf("Who started first cannot be told: %s, in %s of 100", called(first), in100(chance)))
		}
	}
	if l := s.Lags[p.attacker]; l != nil {
		parts = append(parts, lagWords(called(p.attacker), l))
	}
	if s.Launch != nil && s.Launch.Finding != "" {
		parts = append(parts, s.Launch.Finding)
	}
	if len(parts) == 0 {
		e := s.Starts[0]
		parts = append(parts, fmt.Sprintf("%s's %s is the one start that is known", called(mark.Side(e.Side)), e.Part))
	}
	return strings.Join(parts, ". ")
}

func hasBoth(all []StartOf) bool {
	var there [2]bool
	for _, s := range all {
		there[s.Side] = true
	}
	return there[0] && there[1]
}

// leads is the chance from which one of hand and foot is said to have gone first, as in
// timing.Lag.
const leads = quantity.Chance(0.95)

// lagWords says a lag in words.
func lagWords(who string, l *timing.Lag) string {
	q := l.Time
	switch {
	case l.HandFirst >= leads:
		return fmt.Sprintf("%s's hand started %s before the front foot", who, plusMinus(q, inMS))
	case l.HandFirst <= 1-leads:
		return fmt.Sprintf("%s's front foot lifted %s before the hand started", who, plusMinus(scaled(q, -1), inMS))
	}
	return fmt.Sprintf("%s's hand and front foot started together as far as the picture tells (foot after hand by %s)", who, plusMinus(q, inMS))
}
