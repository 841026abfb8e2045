package clip

import (
	"image"

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

// run is a stretch of a shot, in seconds of the clip from its start.
type run struct{ from, to float64 }

// shortRun is how long a gap must be known to be shown at all while the picture moves: a
// line that only flashes up tells nothing.
const shortRun = 0.25

// runsOf finds when the asked gap of each side is known.
func (b *bound) runsOf() (out [2][]run) {
	when := b.main.poses.when
	at := func(f mark.Frame) float64 {
		return (when[f-b.main.take.From] - when[b.From-b.main.take.From]) / float64(b.Speed)
	}
	for _, s := range mark.Sides {
		var open *run
		for f := b.main.from; f <= b.main.to; f++ {
			_, ok := gapOf(b.main.poses.on(f), study.Gap{Of: s, Target: b.asked[s]})
			if ok && open == nil {
				open = &run{at(f), at(f)}
			}
			if ok {
				open.to = at(f)
			}
			if open != nil && (!ok || f == b.main.to) {
				if f == b.main.to && ok {
					open.to = mostSeconds // it is there to the end of the shot
				}
				if open.to-open.from >= shortRun {
					out[s] = append(out[s], *open)
				}
				open = nil
			}
		}
	}
	return out
}

// there is how far the gap of a side is drawn at an instant: it grows where it begins to
// be known and goes back before it is lost.
func (b *bound) there(s mark.Side, t float64) float64 {
	for _, r := range b.runs[s] {
		if t >= r.from && t <= r.to {
			const quick = 0.2 // seconds in which it comes and goes
			return ease(min((t-r.from)/quick+0.02, (r.to-t)/quick))
		}
	}
	return 0
}
