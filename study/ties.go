package study

import (
	"fmt"
	"math"
	"slices"

	"mesure/sport/mark"
)

// Codes of the warnings about clocks.
const (
	// CodeTakeNotTied: the clock of a tied take does not follow from the moments
	// that it shares; it runs as declared. Doubt is how many moments are missing.
	CodeTakeNotTied = "take-not-tied"
	// CodeTieConflict: a moment is bracketed in two takes so that no one clock
	// serves both. Doubt is by how many milliseconds the brackets miss each other.
	CodeTieConflict = "tie-conflict"
	// CodeRateUnknown: the take has no two frames to which a capture rate applies.
	CodeRateUnknown = "capture-rate-unused"
)

// showing is one moment as one take shows it: file times from the first frame
// of the take between which it lies. Off says that it is not used.
type showing struct {
	take  int
	after float64
	by    float64
	off   bool
}

// knot is what the ties of a touch are made of.
type knot struct {
	touch  *Touch
	clocks []clock
	// kept says that the factor of a tied take is not looked for; set are the
	// declared slopes with their standard deviations.
	kept []bool
	set  [][2]float64
	// known are the takes whose clock is declared or found; loose are tied takes
	// whose clock does not follow.
	known, loose []bool
	seen         [][]showing // by moment; its own take first
}

// tieKnot collects what the touch says of its clocks.
func tieKnot(t *Touch, clips map[string]mark.Clip, base []ClockReading) *knot {
	n := len(t.Takes)
	k := &knot{touch: t, clocks: make([]clock, n), kept: make([]bool, n), known: make([]bool, n), loose: make([]bool, n)}
	index := make(map[string]int, n)
	for i, take := range t.Takes {
		k.clocks[i] = clockOf(take, clips[take.Video].Times, base[i])
		k.set = append(k.set, [2]float64{k.clocks[i].slope, math.Sqrt(k.clocks[i].vs)})
		vague := math.Sqrt(k.clocks[i].vs) > weakSlope*k.clocks[i].slope
		k.kept[i] = (take.Factor != 0 || take.CaptureRate != 0) && !vague
		k.known[i] = !take.Tied
		k.loose[i] = !take.Tied && vague // nothing can be tied to it
		index[take.ID] = i
	}
	for _, m := range t.Moments {
		var all []showing
		for _, b := range m.Brackets() {
			i := index[b.Take]
			if slices.ContainsFunc(all, func(s showing) bool { return s.take == i }) {
				continue // a take shows an instant once
			}
			c := k.clocks[i]
			all = append(all, showing{take: i, after: c.elapsed(b.After), by: c.elapsed(b.By)})
		}
		k.seen = append(k.seen, all)
	}
	return k
}

// span is where a showing lies on the clock of the bout as it now stands.
func (k *knot) span(s showing) (lo, hi float64) {
	c := k.clocks[s.take]
	return c.offset + c.slope*s.after, c.offset + c.slope*s.by
}

// slack is how far two brackets may miss each other because of their clocks.
func (k *knot) slack(s showing) float64 {
	c := k.clocks[s.take]
	tau := (s.after + s.by) / 2
	const sds = 3
	return sds * math.Sqrt(max(0, c.vo+2*tau*c.cov+tau*tau*c.vs))
}

// conflict says that a moment is bracketed in two takes so that they miss.
func (k *knot) conflict(moment, take int, miss float64, few bool) Warning {
	m := k.touch.Moments[moment]
	text := fmt.Sprintf("the frames that bracket %q in the take %s miss what the other takes show by %.0f ms and are not used: look at both again",
		nameOr(m), k.touch.Takes[take].ID, miss*1000)
	if few {
		text += "; with so few moments it may as well be another one of them that is wrong: set one more in both takes"
	}
	return Warning{Code: CodeTieConflict, About: "moment " + m.ID + ", take " + k.touch.Takes[take].ID, Doubt: miss * 1000, Text: text}
}

func nameOr(m mark.Moment) string {
	if m.Name != "" {
		return m.Name
	}
	return m.ID
}

// declaredConflicts puts aside the brackets of takes with declared clocks that
// miss the first bracket of their moment.
func (k *knot) declaredConflicts() (all []Warning) {
	for m, seen := range k.seen {
		first := slices.IndexFunc(seen, func(s showing) bool { return k.known[s.take] })
		if first < 0 {
			continue
		}
		lo, hi := k.span(seen[first])
		for i := first + 1; i < len(seen); i++ {
			if !k.known[seen[i].take] {
				continue
			}
			a, b := k.span(seen[i])
			miss := max(a-hi, lo-b)
			if miss <= math.Hypot(k.slack(seen[first]), k.slack(seen[i])) {
				continue
			}
			seen[i].off = true
			all = append(all, k.conflict(m, seen[i].take, miss, false))
		}
	}
	return all
}

// shared are the moments that tie this take to takes whose clocks are known.
func (k *knot) shared(take int) (all []link) {
	for m, seen := range k.seen {
		l := link{moment: m, lo: math.Inf(-1), hi: math.Inf(1)}
		here, there := false, false
		for i, s := range seen {
			switch {
			case s.off:
			case s.take == take:
				l.after, l.by, l.at, here = s.after, s.by, i, true
			case k.known[s.take] && !k.loose[s.take]:
				lo, hi := k.span(s)
				l.lo, l.hi, there = max(l.lo, lo), min(l.hi, hi), true
				l.slack = max(l.slack, k.slack(s))
			}
		}
		if here && there && l.hi > l.lo {
			all = append(all, l)
		}
	}
	return all
}

// needs is how many moments a tied take must share at the least.
func (k *knot) needs(take int) int {
	if k.kept[take] {
		return 1
	}
	return 2
}

// tie finds the clocks of the tied takes one after the other, that with most ties
// first: a replay may be tied to the live picture through another replay.
func (k *knot) tie() (all []Warning) {
	for {
		best, most := -1, 0
		for i := range k.touch.Takes {
			if k.known[i] {
				continue
			}
			if n := len(k.shared(i)); n > most {
				best, most = i, n
			}
		}
		if best < 0 || most < k.needs(best) {
			break
		}
		all = append(all, k.tieOne(best)...)
	}
	for i := range k.touch.Takes {
		if !k.known[i] {
			all = append(all, k.letLoose(i, k.needs(i)-len(k.shared(i)), ""))
		}
	}
	return all
}

// letLoose lets a tied take run as declared.
func (k *knot) letLoose(take, missing int, why string) Warning {
	k.known[take], k.loose[take] = true, true
	id := k.touch.Takes[take].ID
	if why == "" {
		why = fmt.Sprintf("it shares too few moments with takes whose clocks are known: set %d more that both show", max(1, missing))
	}
	return Warning{Code: CodeTakeNotTied, About: "take " + id, Doubt: float64(max(1, missing)),
		Text: "the clock of the take " + id + " does not follow from its ties and runs as declared: " + why}
}

// weakSlope is from which relative error on a slope of a clock tells nothing: a
// factor of 4 would be somewhere between 2.7 and 8.
const weakSlope = 0.25

// tieOne finds the clock of one take from the moments that it shares.
func (k *knot) tieOne(take int) []Warning {
	links := k.shared(take)
	c := &k.clocks[take]
	agreed := agreeing(links, c.slope, math.Sqrt(c.vs), k.kept[take])
	var in []link
	for i, l := range links {
		if agreed[i] {
			in = append(in, l)
		}
	}
	if len(in) < k.needs(take) {
		return []Warning{k.letLoose(take, k.needs(take), "the moments that it shares with other takes contradict each other: look at them again")}
	}
	fit, ok := leastSquares(in, c.slope, math.Sqrt(c.vs), k.kept[take])
	if !ok || !(fit.slope > 0) || math.Sqrt(fit.vs) > weakSlope*fit.slope {
		return []Warning{k.letLoose(take, 1, "the moments that it shares with other takes lie too close together to tell its factor: set one more, as far from them as can be")}
	}
	c.offset, c.slope, c.vo, c.vs, c.cov = fit.offset, fit.slope, fit.vo, fit.vs, fit.cov
	k.known[take] = true
	var all []Warning
	for i, l := range links {
		if agreed[i] {
			continue
		}
		s := &k.seen[l.moment][l.at]
		s.off = true
		lo, hi := k.span(*s)
		all = append(all, k.conflict(l.moment, take, max(0, l.lo-hi, lo-l.hi), !k.kept[take] && len(in) == 2))
	}
	return all
}

// rests are the names of the moments whose brackets tie a take to another.
func (k *knot) rests(take int) (all []string) {
	for m := range k.seen {
		if used := k.used(m); len(used) > 1 && slices.ContainsFunc(used, func(s showing) bool { return s.take == take }) {
			all = append(all, k.touch.Moments[m].ID)
		}
	}
	return all
}

// used are the brackets from which a moment follows: of takes whose clocks are
// known where there is one, else of the first take alone.
func (k *knot) used(moment int) []showing {
	var all []showing
	for _, s := range k.seen[moment] {
		if !s.off && !k.loose[s.take] {
			all = append(all, s)
		}
	}
	if all == nil {
		return k.seen[moment][:1]
	}
	return all
}
