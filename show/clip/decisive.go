package clip

import (
	"image"
	"math"

	"mesure/sport/mark"
	"mesure/study"
)

// stretch is a run of frames, both ends in it.
type stretch struct{ from, to mark.Frame }

// decisive is the stretch of a take that decides the touch: from its first moment to the
// end of the phrase, or to its last moment; false where the take has none.
func decisive(r *study.Reading, take string) (stretch, bool) {
	end, _, ended := r.Ending()
	var out stretch
	n := 0
	for _, m := range r.Touch.Moments {
		for _, x := range m.Brackets() {
			if x.Take != take || ended && m.ID != end.ID && later(r, m.ID, end.ID) {
				continue
			}
			if n == 0 {
				out = stretch{x.By, x.By}
			}
			out.from, out.to = min(out.from, x.By), max(out.to, x.By)
			n++
		}
	}
	return out, n > 0
}

// later says that a moment lies after another on the clock of the bout.
func later(r *study.Reading, a, b string) bool {
	var at [2]float64
	for _, m := range r.Moments {
		switch m.Moment.ID {
		case a:
			at[0] = float64(m.At.Mean)
		case b:
			at[1] = float64(m.At.Mean)
		}
	}
	return at[0] > at[1]
}

// needOf is what of a take must be seen in a shot: the fencers while it lasts, and those
// of the decisive stretch where it is in that, so that shots of one stretch are seen
// from as near.
func needOf(s *seen, about mark.Frame) image.Rectangle {
	from, to := s.from, s.to
	if d, ok := decisive(s.r, s.take.ID); ok && d.from <= to && from <= d.to {
		from, to = min(from, d.from), max(to, d.to)
	}
	return matter(s.r, s.take.ID, from, to, s.clip.Width, s.clip.Height)
}

// shortRun is how long, in seconds of the clip, a gap must be known to be shown at all
// while the picture moves: a line that only flashes up tells nothing. quick is in how
// many it comes and goes.
const (
	shortRun = 0.25
	quick    = 0.2
)

// there is how far the gap of a side is drawn at an instant of the shot: it grows where
// it begins to be known, or with the shot, and goes back before it is lost. Only frames
// near the instant are asked for.
func (b *bound) there(s mark.Side, t float64) float64 {
	when := b.main.poses.when
	at := func(f mark.Frame) float64 {
		return (when[f-b.main.take.From] - when[b.From-b.main.take.From]) / float64(b.Speed)
	}
	known := func(f mark.Frame) bool {
		_, ok := gapOf(b.main.poses.on(f), study.Gap{Of: s, Target: b.targets()[s]})
		return ok
	}
	f := mark.Frame(math.Floor(b.main.posAfter(b.From, t*float64(b.Speed))))
	if !known(f) {
		return 0
	}
	first, last := f, f
	for first > b.main.from && t-at(first) < shortRun && known(first-1) {
		first--
	}
	for last < b.main.to && at(last)-t < shortRun && known(last+1) {
		last++
	}
	from, to := at(first), at(last)
	if last == b.main.to {
		to = mostSeconds // it is there to the end of the shot
	}
	if to-from < shortRun || t > to {
		return 0
	}
	return ease(min((t-from)/quick+0.02, (to-t)/quick))
}
