package study

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// What of a followed movement is taken for one, and when it is whole. All are our choice.
const (
	// fitArmLeast is the least travel of the hand from the shoulder that is an extension:
	// more than a parry or a feint of the wrist moves it.
	fitArmLeast = 0.12
	// fitBodyLeast is the least travel of the shoulder that is a lunge; leanMost the most
	// that an extension on the spot has.
	fitBodyLeast = 0.45
	leanMost     = 0.20
	// fitSeenLeast is the share of its travel over which a movement must be followed for
	// its length and time to be used: what is left is then about a third of its time.
	fitSeenLeast = 0.80
	// fitMisfitMost is the greatest RMS of the residuals, as a share of the travel, at
	// which the curve describes the movement; fitMisfitLeast is always allowed.
	fitMisfitMost  = 0.05
	fitMisfitLeast = quantity.Metres(0.012)
	// fitOnsetSD is the spread of the true start about the start that was seen: the first
	// hundredth of a movement takes a tenth of its time.
	fitOnsetSD = 0.05
	// fitArmTimeSD is the spread of the time of an arm that the body carries: it need not
	// hurry, and may take as long as the body does.
	fitArmTimeSD = quantity.Seconds(0.12)
	// fitBefore is how long before its start a movement is looked at, to see it at rest.
	fitBefore = 0.10
	// fitSame is within which time two takes show the same movement.
	fitSame = 0.15
)

// fits fits every movement of one fencer that was followed, in the order of time, those
// that several takes show once, from the take that tells them best.
func (all *trails) fits(t *Touch, p Profile, r *Reading) []Fit {
	if all == nil {
		return nil
	}
	var out []Fit
	for _, k := range t.Takes {
		key := all.fitsKey(t, k.ID, p, r.Proposals)
		out = append(out, move(all.kept, key, func() []Fit {
			b := all.bodyOf(k.ID, p.Who)
			b.slow = r.clocks[k.ID].slowness()
			return b.fits(t, p, r.Proposals)
		})...)
	}
	return once(out)
}

// fitsKey names all that the fits of a take follow from.
func (all *trails) fitsKey(t *Touch, take string, p Profile, starts []Proposal) fitKey {
	var b keyBytes
	b.text("fits " + take + p.Who.String())
	for _, w := range [...]mark.What{mark.Guard, mark.Shoulder, mark.Hip, mark.Mask, mark.FrontToe, mark.FrontHeel, mark.RearToe, mark.RearHeel} {
		if x, ok := all.of(trackName{take, p.Who, w}); ok {
			b = append(b, x.key[:]...)
		}
		b.text(string(w))
	}
	for i := range p.Figures {
		mean, sd := p.Figures[i].number()
		b.text(p.Figures[i].From + p.Figures[i].Source)
		b.floats(mean, sd)
	}
	f := t.Bout.Fencer(p.Who)
	b.text(f.Sex + " " + f.Level)
	for _, q := range starts {
		if q.Take == take && q.Who == p.Who && q.Part == PartHand {
			b.text(q.Kind)
			b.floats(float64(q.At.Mean))
		}
	}
	for _, a := range t.Actions {
		if a.Who == p.Who && a.Take == take {
			b.text(a.Line + a.Word)
			b.floats(float64(a.From), float64(a.To))
		}
	}
	return b.sum()
}

// fits are the fits of one take.
func (b followedBody) fits(t *Touch, p Profile, starts []Proposal) (out []Fit) {
	lunges := b.trunk.advances(fitBodyLeast)
	arms := b.extensions(starts, p.Who)
	for _, body := range lunges {
		arm := -1 // the extension that begins nearest to it
		for i, a := range arms {
			if math.Abs(a.start-body.start) < fitTogether && (arm < 0 || math.Abs(a.start-body.start) < math.Abs(arms[arm].start-body.start)) {
				arm = i
			}
		}
		if arm < 0 {
			out = b.thrust(out, t, p, nil, &body)
			continue
		}
		out = b.thrust(out, t, p, &arms[arm], &body)
		arms = slices.Delete(arms, arm, arm+1)
	}
	for _, a := range arms {
		out = b.thrust(out, t, p, &a, nil)
	}
	return append(out, b.stepsBack(t, p, out)...)
}

// once keeps of each movement the fit from the take that tells it best.
func once(fits []Fit) []Fit {
	slices.SortStableFunc(fits, func(a, b Fit) int {
		return cmp.Or(cmp.Compare(len(b.Uses), len(a.Uses)), cmp.Compare(a.Onset.SD, b.Onset.SD))
	})
	var out []Fit
	for _, f := range fits {
		if !slices.ContainsFunc(out, func(g Fit) bool {
			return (g.Action == timing.Retreat) == (f.Action == timing.Retreat) && math.Abs(float64(f.Onset.Mean-g.Onset.Mean)) < fitSame
		}) {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b Fit) int {
		return cmp.Or(cmp.Compare(a.Onset.Mean, b.Onset.Mean), cmp.Compare(a.Action, b.Action))
	})
	return out
}

// fitTogether is within which time arm and body begin one movement, in seconds: three times
// the delay that was measured at the most, either way.
const fitTogether = 0.30

// extensions are the extensions of the arm from the starts that were seen.
func (b followedBody) extensions(starts []Proposal, who mark.Side) (out []forth) {
	if b.arm == nil {
		return nil
	}
	for _, q := range starts {
		if q.Take != b.take || q.Who != who || q.Part != PartHand || q.Kind != OnsetStarts {
			continue
		}
		start := float64(q.At.Mean)
		m, ok := b.arm.travels(start-0.05, start+0.40, fitArmLeast)
		if ok && m.still && !slices.ContainsFunc(out, func(o forth) bool { return m.from <= o.to && o.from <= m.to && math.Abs(o.start-m.start) < fitSame }) {
			out = append(out, m)
		}
	}
	return out
}

// thrust fits a movement of the arm, of the body, or of both together, and adds it.
func (b followedBody) thrust(out []Fit, t *Touch, p Profile, arm, body *forth) []Fit {
	action, leaning := timing.Extension, false
	var samples []timing.FitSample
	var from, to mark.Frame
	var start float64
	if body != nil {
		action = b.actionOf(t, p.Who, *body)
		samples = append(samples, b.trunk.samples(body.fitStretch, timing.OfBody)...)
		from, to = b.trunk.frames[body.from], b.trunk.frames[body.to]
		start = body.start
	} else if b.trunk != nil {
		// A body that goes along a little belongs to no movement that has a name.
		m, ok := b.trunk.travels(arm.start-0.1, b.arm.at[arm.to], leanMost)
		leaning = ok && m.start < b.arm.at[arm.to]
	}
	if arm != nil {
		samples = append(b.arm.samples(arm.fitStretch, timing.OfArm), samples...)
		if first, last := b.arm.frames[arm.from], b.arm.frames[arm.to]; body == nil {
			from, to = first, last
		} else {
			from, to = min(from, first), max(to, last)
		}
		start = arm.start
	}
	prior, err := p.movement(action, t.Bout.Fencer(p.Who), nil)
	if err != nil {
		return out
	}
	if body != nil {
		prior.ArmTime = quantity.Normal(prior.ArmTime.Mean, max(prior.ArmTime.SD, fitArmTimeSD))
	}
	f, ok := b.fit(action, prior, samples, quantity.Normal(quantity.Seconds(start), quantity.Seconds(fitOnsetSD)))
	if !ok {
		return out
	}
	f.From, f.To = from, to
	f.uses(leaning)
	return append(out, f)
}

// actionOf says what a movement with the body is: as the stave says, else by the feet.
func (b followedBody) actionOf(t *Touch, who mark.Side, body forth) string {
	from, to := b.trunk.frames[body.from], b.trunk.frames[body.to]
	for _, a := range t.Actions {
		if a.Who != who || a.Take != b.take || a.From > to || a.To < from || a.Line == "blade" {
			continue
		}
		switch word := strings.ToLower(a.Word); {
		case strings.Contains(word, "flèche") || strings.Contains(word, "fleche"):
			return timing.Fleche
		case strings.Contains(word, "lunge") && strings.Contains(word, "step"):
			return timing.StepLunge
		case strings.Contains(word, "lunge"):
			return timing.Lunge
		}
	}
	if b.rear == nil || b.front == nil {
		return timing.Lunge
	}
	at := func(l *fitLine, t float64) float64 { return l.place[min(l.first(t), len(l.at)-1)] }
	a, z := b.trunk.at[body.from], b.trunk.at[body.to]
	switch {
	case at(b.rear, z) > at(b.front, z):
		return timing.Fleche
	case at(b.rear, z)-at(b.rear, a) > 0.25:
		return timing.StepLunge
	}
	return timing.Lunge
}

// stepsBack fits the steps back that were followed before the end of the phrase, and not
// those with which a lunge is recovered.
func (b followedBody) stepsBack(t *Touch, p Profile, thrusts []Fit) (out []Fit) {
	if b.trunk == nil || b.rear == nil {
		return nil
	}
	back := *b.trunk
	back.place, back.speed = negated(back.place), negated(back.speed)
	for _, m := range back.advances(0.12) {
		recovers := slices.ContainsFunc(thrusts, func(f Fit) bool {
			return f.Take == b.take && f.Action != timing.Extension && f.Action != timing.Retreat && float64(f.Onset.Mean) < m.start && m.start < float64(f.Onset.Mean)+2
		})
		at := func(t float64) float64 { return b.rear.place[min(b.rear.first(t), len(b.rear.at)-1)] }
		if recovers || m.gain > 1 || at(back.at[m.from])-at(back.at[m.to]) < m.gain/2 {
			continue // or the body leaned back and the foot stayed
		}
		prior, err := p.movement(timing.Retreat, t.Bout.Fencer(p.Who), nil)
		if err != nil {
			return nil
		}
		f, ok := b.fit(timing.Retreat, prior, b.trunk.samples(m.fitStretch, timing.OfBody), quantity.Normal(quantity.Seconds(m.start), quantity.Seconds(fitOnsetSD)))
		if !ok {
			continue
		}
		f.From, f.To = b.trunk.frames[m.from], b.trunk.frames[m.to]
		f.uses(false)
		out = append(out, f)
	}
	return out
}

func negated(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = -v
	}
	return out
}
