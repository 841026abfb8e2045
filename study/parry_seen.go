package study

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// isParry says whether the trade's word for an action is that of a parry. The numbered
// ones are parries where they stand on the line of the hand.
func isParry(line, word string) bool {
	word = strings.ToLower(strings.TrimSpace(word))
	if strings.Contains(word, "parry") {
		return true
	}
	switch word {
	case "prime", "seconde", "tierce", "quarte", "quinte", "sixte", "septime", "octave":
		return line != "feet"
	case "opposition":
		return line == "blade"
	}
	return false
}

// seenParry is a parry to be measured, between two frames of a take.
type seenParry struct {
	action, word string // ID and word of the action; empty where by moments
	take         string
	from, to     mark.Frame
	away         float64 // seconds from the instant that is read
}

// Limits of what is looked at about an observed parry.
const (
	// parrySlack is how many frames beside its own an end of it is measured on, where
	// its own cannot be.
	parrySlack = mark.Frame(3)
	// parryHold is how long after the blades have met, at the most, the end of a parry
	// that moments bracket is looked for: until the riposte is well on its way (our
	// choice: half of the least remise).
	parryHold = quantity.Seconds(0.060)
)

// seenParries lists what the coach wrote of parries of the defender, the nearest to the
// instant first.
func (k *parrying) seenParries() []seenParry {
	var all []seenParry
	here := k.in.At.Mean
	put := func(s seenParry) {
		from, ok := k.r.When(s.take, s.from)
		to, ok2 := k.r.When(s.take, s.to)
		if !ok || !ok2 || s.to <= s.from {
			return
		}
		s.away = max(0, float64(from.Mean-here), float64(here-to.Mean))
		all = append(all, s)
	}
	for _, a := range k.t.Actions {
		if a.Who == k.defender && isParry(a.Line, a.Word) {
			put(seenParry{action: a.ID, word: strings.TrimSpace(a.Word), take: a.Take, from: a.From, to: a.To})
		}
	}
	if len(all) == 0 {
		k.byMoments(put)
	}
	slices.SortStableFunc(all, func(a, b seenParry) int { return cmp.Compare(a.away, b.away) })
	return all
}

// byMoments is the parry between a moment that names one and the next at which the
// blades meet, in the same take.
func (k *parrying) byMoments(put func(seenParry)) {
	start, meet := -1, -1
	for i, m := range k.r.Moments {
		name := strings.ToLower(m.Moment.Name)
		switch {
		case isContact(name):
			if start >= 0 && meet < 0 && m.Moment.Take == k.r.Moments[start].Moment.Take && m.At.Mean > k.r.Moments[start].At.Mean {
				meet = i
			}
		case strings.Contains(name, "parry") && !strings.Contains(name, k.attacker.String()):
			start, meet = i, -1
		}
	}
	if start < 0 || meet < 0 {
		return
	}
	take := k.r.Moments[start].Moment.Take
	to := k.r.Moments[meet].Moment.By
	until := k.r.Moments[meet].At.Mean + parryHold
	for f := to + 1; ; f++ { // the last frame on which the attack's line is seen turned
		if q, ok := k.r.When(take, f); !ok || q.Mean > until {
			break
		}
		if _, _, ok := k.measured(take, f); ok {
			to = f
		}
	}
	put(seenParry{take: take, from: k.r.Moments[start].Moment.By, to: to})
}

// isContact says whether a moment is named as one at which the blades meet.
func isContact(name string) bool {
	return strings.Contains(name, "contact") || strings.Contains(name, "blade") && strings.Contains(name, "meet")
}

// measured is the figure of a frame that carries both blades and the zone.
func (k *parrying) measured(take string, f mark.Frame) (figure, Instant, bool) {
	in, fig, ok := k.r.figureAt(At{take, f})
	if !ok {
		return fig, in, false
	}
	for _, s := range mark.Sides {
		for _, w := range [2]mark.What{mark.Guard, mark.Point} {
			if _, there := fig.index[s][w]; !there {
				return fig, in, false
			}
		}
	}
	_, there := zoneOf(k.target).in(fig, k.defender)
	return fig, in, there
}

// nearby is the measured frame nearest to one, the one on the side of step first.
func (k *parrying) nearby(take string, f, step mark.Frame) (mark.Frame, figure, Instant, bool) {
	for d := mark.Frame(0); d <= parrySlack; d++ {
		for _, g := range [2]mark.Frame{f + step*d, f - step*d} {
			if fig, in, ok := k.measured(take, g); ok {
				return g, fig, in, true
			}
			if d == 0 {
				break
			}
		}
	}
	return 0, figure{}, Instant{}, false
}

// seen measures the parry that the coach wrote down. Where it cannot be measured, the
// lack says why; without any there is none.
func (k *parrying) seen() *Lack {
	all := k.seenParries()
	var lack *Lack
	for _, s := range all {
		what := "the parry between the moments"
		if s.action != "" {
			what = fmt.Sprintf("the %s on the stave", s.word)
		}
		from, before, was, ok := k.nearby(s.take, s.from, -1)
		to, after, in, ok2 := k.nearby(s.take, s.to, 1)
		if !ok || !ok2 || to <= from {
			if lack == nil {
				lack = &Lack{Part: PartParry, Both: true, Why: fmt.Sprintf("%s is not measured: both blades and the %s must be known at its start and at its end", what, targetWords(k.target)),
					Mend: fmt.Sprintf("mark guard and point of both fencers on the frames %d and %d of %s, or follow them", s.from, s.to, s.take)}
			}
			continue
		}
		type pair struct{ before, after timing.Parry }
		states := pair{k.state(before, was), k.parried(after, in)}
		j, err := keptOf(k, "parry seen", k.draws, states, func() (timing.Judged, error) {
			return timing.JudgeAttack(states.before, states.after, k.draws, rand.NewPCG(k.seed, parryStream+1))
		})
		if err != nil {
			if lack == nil {
				lack = parryRefused(err, k.attacker)
				lack.Why = what + " is not measured: " + lack.Why
			}
			continue
		}
		o := &ObservedParry{Action: s.action, From: At{s.take, from}, To: At{s.take, to}, Judged: j,
			HandPath: k.handPath(s.take, from, to), RiposteAfter: k.riposteAfter(s.take, to)}
		o.Finding = k.seenFinding(s, o)
		k.out.Observed, k.after, k.afterIn = o, &after, in
		return nil
	}
	return lack
}

// handPath is how far the hand went, along the smoothed movement of the guard through
// every frame; zero where it was not followed over all of them. Its spread is that of
// the two ends, as of a straight way: what lies between goes with them.
func (k *parrying) handPath(take string, from, to mark.Frame) (q quantity.Of[quantity.Metres]) {
	for i := range k.r.Tracks {
		x := &k.r.Tracks[i]
		if x.Take != take || x.Who != k.defender || x.What != mark.Guard {
			continue
		}
		a := slices.IndexFunc(x.Steps, func(s TrackStep) bool { return s.Frame == from })
		b := slices.IndexFunc(x.Steps, func(s TrackStep) bool { return s.Frame == to })
		if a < 0 || b <= a || b-a != int(to-from) {
			return q
		}
		length := 0.0
		for j := a + 1; j <= b; j++ {
			length += math.Hypot(float64(x.Steps[j].X.Mean-x.Steps[j-1].X.Mean), float64(x.Steps[j].Z.Mean-x.Steps[j-1].Z.Mean))
		}
		one := func(s TrackStep) float64 { return math.Hypot(float64(s.X.SD), float64(s.Z.SD)) / math.Sqrt2 }
		q = quantity.Normal(quantity.Metres(length), quantity.Metres(math.Hypot(one(x.Steps[a]), one(x.Steps[b]))))
		q.Lo = max(0, q.Lo)
		return q
	}
	return q
}

// riposteAfter is the time from the end of the parry to the defender's next thrust: a
// riposte on the stave, else the next start of the hand that was proposed or set as a
// moment; nil where none is known.
func (k *parrying) riposteAfter(take string, to mark.Frame) *quantity.Of[quantity.Seconds] {
	end, ok := k.r.When(take, to)
	if !ok {
		return nil
	}
	var best *quantity.Of[quantity.Seconds]
	put := func(q quantity.Of[quantity.Seconds]) {
		d := quantity.Normal(q.Mean-end.Mean, quantity.Seconds(math.Hypot(float64(q.SD), float64(end.SD))))
		if d.Mean >= -riposteEarly && d.Mean <= timing.RiposteWithin*2 && (best == nil || d.Mean < best.Mean) {
			best = &d
		}
	}
	for _, a := range k.t.Actions {
		if a.Who != k.defender || !strings.Contains(strings.ToLower(a.Word), "riposte") {
			continue
		}
		if q, ok := k.r.When(a.Take, a.From); ok {
			if a.Take == take { // one clock: only the frames count
				q.SD, end.SD = 0, 0
			}
			put(q)
		}
	}
	if best != nil {
		return best
	}
	for _, p := range k.r.Proposals {
		if p.Who == k.defender && p.Part == PartHand && p.Kind == OnsetStarts && p.Sure >= float64(clearChance) {
			put(p.At)
		}
	}
	for _, m := range k.r.Moments {
		name := strings.ToLower(m.Moment.Name)
		if strings.Contains(name, "riposte") && strings.Contains(name, "start") && !strings.Contains(name, k.attacker.String()) {
			put(m.At)
		}
	}
	return best
}

// riposteEarly is by how much a riposte may start before the end of the parry as it was
// written, and still be the one after it: the hand goes on from the one into the other.
const riposteEarly = quantity.Seconds(0.08)

// seenFinding says what the parry was against what its own distance asked for.
func (k *parrying) seenFinding(s seenParry, o *ObservedParry) string {
	word := "parry"
	if s.word != "" {
		word = s.word
	}
	j := o.Judged
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s ", sideName(k.defender), word)
	zone := targetWords(k.target)
	if j.Size == timing.SizeNone && j.Chances[0].Mean >= clearChance {
		fmt.Fprintf(&b, "answered a line that passed the %s: nothing was asked of it", zone)
	} else {
		fmt.Fprintf(&b, "turned the other blade by %s where %s would have done", degreesOf(j.Made), degreesOf(j.Asked))
		if i := slices.Index(sizesOf(), j.Size); j.Chances[i].Mean >= clearChance {
			fmt.Fprintf(&b, ": %s; the line then %s", sizeWords[j.Size], passes(j.Clear, zone))
		} else {
			b.WriteString(". Whether that was enough this picture cannot tell, since a turn towards the camera hardly shows: ")
			var parts []string
			for i, s := range sizesOf() {
				if c := j.Chances[i].Mean; c >= leastThreat {
					parts = append(parts, fmt.Sprintf("%s in %s", sizeWords[s], in100(c)))
				}
			}
			b.WriteString(listed(parts) + " of 100")
		}
		if j.Asked.Mean > j.AskedBefore.Mean*quantity.Radians(timing.ClosingAsked) {
			fmt.Fprintf(&b, ". The distance had closed: at its start %s would have done", degreesOf(j.AskedBefore))
		}
	}
	if 2*j.Touching.Mean >= 1 {
		fmt.Fprintf(&b, ". The %s held the %s, %s", j.DefenderPart, j.AttackerPart, leverageWords(j.Leverage))
	}
	switch d := o.RiposteAfter; {
	case d == nil:
	case d.Mean > timing.RiposteWithin:
		fmt.Fprintf(&b, ". The riposte came %s later: by then the initiative was the opponent's again", spreadMS(*d))
	case d.Mean <= 0:
		fmt.Fprintf(&b, ". The hand went on into the riposte without a stop")
	default:
		fmt.Fprintf(&b, ". The riposte started %s later", spreadMS(*d))
	}
	return b.String()
}

func sizesOf() []timing.Size { s := timing.Sizes(); return s[:] }

var sizeWords = map[timing.Size]string{timing.SizeNone: "nothing asked", timing.SizeSmall: "too small", timing.SizeEnough: "enough", timing.SizeLarge: "larger than needed"}

// passes says where the line of a point goes after the parry.
func passes(clear quantity.Of[quantity.Metres], zone string) string {
	if clear.Mean < 0 {
		return fmt.Sprintf("still met the %s", zone)
	}
	return fmt.Sprintf("passed the %s by %s", zone, centimetresOf(clear))
}
