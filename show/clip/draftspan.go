package clip

import (
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// playable says that a take can be shown.
func (d *drafter) playable(k mark.Take) bool {
	c := d.r.Clips[k.Video]
	return timesOf(d.r, k) != nil && c.Width > 1 && c.Height > 1
}

// takes are the one at speed and the one that is shown slowly: the live picture, and that
// which shows what decides with the most frames a second of the bout. Nil where there is
// none.
func (d *drafter) takes() (live, slow *mark.Take) {
	best := 0.0
	for _, k := range d.r.Touch.Takes {
		if !d.playable(k) {
			continue
		}
		if live == nil || live.Slow() > 1 && k.Slow() == 1 {
			live = &k
		}
		if span, ok := decisive(d.r, k.ID); ok && span.to > span.from {
			when := timesOf(d.r, k)
			if fine := float64(len(when)-1) / when[len(when)-1]; fine > best && !math.IsInf(fine, 0) {
				best, slow = fine, &k
			}
		}
	}
	if slow == nil {
		slow = live
	}
	return live, slow
}

// frameAt is the frame of a take nearest to so many seconds of the bout after another.
func (d *drafter) frameAt(k mark.Take, f mark.Frame, after float64) mark.Frame {
	when := timesOf(d.r, k)
	want := when[f-k.From] + after
	best := 0
	for i := range when {
		if math.Abs(when[i]-want) < math.Abs(when[best]-want) {
			best = i
		}
	}
	return k.From + mark.Frame(best)
}

// liveSpan is the whole take, or where that is long what lies about the decisive stretch.
func (d *drafter) liveSpan(k mark.Take) (from, to mark.Frame) {
	when := timesOf(d.r, k)
	if when[len(when)-1] <= liveLong {
		return k.From, k.To
	}
	span, ok := decisive(d.r, k.ID)
	if !ok {
		if in := d.toldOn(k.ID); in != nil {
			span = stretch{*in, *in}
		} else {
			return k.From, d.frameAt(k, k.From, liveLong)
		}
	}
	to = d.frameAt(k, span.to, 1)
	return max(k.From, d.frameAt(k, to, -liveLong)), to
}

// toldOn is the first instant that is told of a take.
func (d *drafter) toldOn(take string) *mark.Frame {
	for _, in := range d.r.Told() {
		if in.Take == take {
			return &in.Frame
		}
	}
	return nil
}

// slowSpan is what decides, with a little before and after it.
func (d *drafter) slowSpan(k mark.Take) (from, to mark.Frame) {
	span, ok := decisive(d.r, k.ID)
	if !ok || span.from == span.to {
		from, to = d.liveSpan(k)
		return max(from, d.frameAt(k, to, -2)), to
	}
	return d.frameAt(k, span.from, -0.15), d.frameAt(k, span.to, 0.2)
}

// slowSpeed is the fastest of the usual ones at which the stretch takes at least
// slowLong seconds.
func (d *drafter) slowSpeed(k mark.Take, from, to mark.Frame) quantity.Ratio {
	const slowLong = 3.0
	when := timesOf(d.r, k)
	t := when[to-k.From] - when[from-k.From]
	for _, v := range []float64{0.5, 0.25} {
		if t/v >= slowLong {
			return quantity.Ratio(v)
		}
	}
	return 0.125
}

// launch is the frame on which the gaps are built: that of the race, else of the timing,
// else the first one that is told and has gaps.
func (d *drafter) launch() (take string, f mark.Frame, ok bool) {
	try := func(t string, at mark.Frame) bool {
		k, known := d.r.Touch.Take(t)
		if !known || !d.playable(k) || at < k.From || at > k.To {
			return false
		}
		take, f = t, at
		return true
	}
	if x := d.r.Race; x != nil && try(x.Take, x.Frame) {
		return take, f, true
	}
	if x := d.r.Timing; x != nil && try(x.At.Take, x.At.Frame) {
		return take, f, true
	}
	for _, in := range d.r.Told() {
		if len(in.Gaps) > 0 && try(in.Take, in.Frame) {
			return take, f, true
		}
	}
	return "", 0, false
}

// ending is the frame of the end of the phrase on the take that is shown slowly, else the
// last frame of that take.
func (d *drafter) ending(slow *mark.Take) (take string, f mark.Frame, ok bool) {
	if slow == nil {
		return "", 0, false
	}
	if m, _, has := d.r.Ending(); has {
		for _, x := range m.Brackets() {
			if x.Take == slow.ID && x.By >= slow.From && x.By <= slow.To {
				return x.Take, x.By, true
			}
		}
	}
	return slow.ID, slow.To, true
}

// beside plays the other take next to the one that is shown slowly, by true time.
func (d *drafter) beside(live, slow *mark.Take) (Shot, bool) {
	if live == nil || slow == nil {
		return Shot{}, false
	}
	var other *mark.Take
	for _, k := range d.r.Touch.Takes {
		if k.ID != slow.ID && d.playable(k) && (other == nil || k.ID == live.ID) {
			other = &k
		}
	}
	span, ok := decisive(d.r, slow.ID)
	if other == nil || !ok || span.from >= span.to {
		return Shot{}, false
	}
	from, to := d.slowSpan(*slow)
	meets := span.to
	at, okA := d.r.When(slow.ID, meets)
	start, okB := d.r.When(other.ID, other.From)
	if !okA || !okB {
		return Shot{}, false
	}
	when := timesOf(d.r, *other)
	after := float64(at.Mean - start.Mean)
	if after < 0 || after > when[len(when)-1] {
		return Shot{}, false // the other take does not show it
	}
	return Shot{Kind: Beside, Take: slow.ID, From: from, To: to, Speed: d.slowSpeed(*slow, from, to),
		Other: &Other{Take: other.ID, At: d.frameAt(*other, other.From, after), Meets: meets}}, true
}
