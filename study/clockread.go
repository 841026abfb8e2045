package study

import (
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
)

// readClocks finds the clocks of all takes, the moments on them and the orders of
// those that lie close to each other, and writes them to the reading.
func readClocks(t *Touch, clips map[string]mark.Clip, r *Reading, seed uint64) map[string]clock {
	for _, k := range t.Takes {
		times := clips[k.Video].Times
		r.Clocks = append(r.Clocks, declared(k, times))
		if k.CaptureRate > 0 {
			if _, ok := fileRate(k, times); !ok {
				r.Warnings = append(r.Warnings, Warning{Code: CodeRateUnknown, About: "take " + k.ID, Doubt: 1,
					Text: "the capture rate says nothing of a take of one frame: it runs as the file does"})
			}
		}
	}
	r.Warnings = append(r.Warnings, fieldDoubts(t, clips)...)
	k := tieKnot(t, clips, r.Clocks)
	r.Warnings = append(r.Warnings, k.declaredConflicts()...)
	r.Warnings = append(r.Warnings, k.tie()...)
	draws := k.draw(r.Clocks, seed)
	clocks := make(map[string]clock, len(t.Takes))
	for i, take := range t.Takes {
		clocks[take.ID] = clockOf(take, clips[take.Video].Times, r.Clocks[i])
	}
	laws := make([][]interval, len(t.Moments))
	r.times = &timings{clocks, draws, laws}
	for i, m := range t.Moments {
		used := k.used(i)
		laws[i] = lawOf(used, draws)
		at := clocks[m.Take].between(m.After, m.By)
		if len(used) > 1 || t.Takes[used[0].take].ID != m.Take {
			at = mixed(laws[i])
		}
		r.Moments = append(r.Moments, MomentReading{Moment: m, At: at})
	}
	r.Orders = ordersOf(r.Moments, laws)
	return clocks
}

// timings is how a reading tells time: the clocks with their draws, and where each
// moment lies in each draw.
type timings struct {
	clocks map[string]clock
	draws  drawn
	laws   [][]interval
}

// since is how much later a moment of the reading lies than a frame: an error that
// both have from one clock cancels. It is false for what the reading does not have.
func (r *Reading) since(moment, take string, f mark.Frame) (quantity.Of[quantity.Seconds], bool) {
	i := slices.IndexFunc(r.Moments, func(m MomentReading) bool { return m.Moment.ID == moment })
	k := slices.IndexFunc(r.Touch.Takes, func(k mark.Take) bool { return k.ID == take })
	if r.times == nil || i < 0 || k < 0 {
		return quantity.Of[quantity.Seconds]{}, false
	}
	tau := r.times.clocks[take].elapsed(f)
	all := slices.Clone(r.times.laws[i])
	for n, c := range r.times.draws[k] {
		at := c[0] + c[1]*tau
		all[n] = interval{all[n].lo - at, all[n].hi - at}
	}
	return mixed(all), true
}

// draw draws the clocks together and writes what is found to those that moments
// tie. Where nothing is in doubt there is one draw.
func (k *knot) draw(readings []ClockReading, seed uint64) drawn {
	w := k.web()
	if len(w.parameters) == 0 {
		return w.even([]sample{{weight: 1}}, 1)
	}
	from, ok := w.proposal()
	var samples []sample
	var law quantity.Joint
	if ok {
		samples, law, ok = w.law(from, seed)
	}
	if !ok { // nothing tells one of the parameters: they stay at their means
		return w.even([]sample{{x: meansOf(w.parameters), weight: 1}}, 1)
	}
	draws := w.even(samples, clockDraws)
	for i, take := range k.touch.Takes {
		rests := k.rests(i)
		if len(rests) == 0 || !slices.ContainsFunc(w.parameters, func(p parameter) bool { return p.take == i }) {
			continue // nothing ties it, or nothing of it is open
		}
		c := &readings[i]
		c.Moments = rests
		if take.Tied && !k.loose[i] {
			c.From = ClockTied
		}
		k.write(c, i, w, law, draws[i])
	}
	return draws
}

func meansOf(all []parameter) []float64 {
	x := make([]float64, len(all))
	for i, p := range all {
		x[i] = p.mean
	}
	return x
}

// write puts the law of one clock into its reading: mean and covariance of all
// samples, intervals of the draws.
func (k *knot) write(c *ClockReading, take int, w web, law quantity.Joint, draws [][2]float64) {
	n := len(w.parameters)
	o, s := -1, -1
	for i, p := range w.parameters {
		switch {
		case p.take != take:
		case p.slope:
			s = i
		default:
			o = i
		}
	}
	if s >= 0 {
		slope, sd := law.Mean[s], math.Sqrt(law.Cov[s*n+s])
		factors := make([]quantity.Ratio, len(draws))
		for i, d := range draws {
			factors[i] = quantity.Ratio(1 / d[1])
		}
		c.Factor = quantity.FromDraws(factors)
		c.Factor.Mean, c.Factor.SD = quantity.Ratio(1/slope), quantity.Ratio(sd/(slope*slope))
	}
	if o >= 0 {
		offsets := make([]quantity.Seconds, len(draws))
		for i, d := range draws {
			offsets[i] = quantity.Seconds(d[0])
		}
		c.Offset = quantity.FromDraws(offsets)
		c.Offset.Mean, c.Offset.SD = quantity.Seconds(law.Mean[o]), quantity.Seconds(math.Sqrt(law.Cov[o*n+o]))
	}
	if s >= 0 && o >= 0 && law.Cov[s*n+s] > 0 && law.Cov[o*n+o] > 0 {
		c.Correlation = quantity.Ratio(-law.Cov[s*n+o] / math.Sqrt(law.Cov[s*n+s]*law.Cov[o*n+o]))
	}
}
