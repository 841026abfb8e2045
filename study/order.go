package study

import (
	"cmp"
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
)

// MomentReading and Order are laws of instants on the true clock. They come from
// the same draws of the clocks, so that an error that two moments share (the
// offset of the replay in which both were seen) takes nothing from their order.

// Order is which of two moments came first.
type Order struct {
	// First and Second are the names of the moments; First is the likelier to have
	// come first.
	First, Second string
	// Chance that First came first.
	Chance quantity.Chance
	// Apart is how much later Second came.
	Apart quantity.Of[quantity.Seconds]
}

// OrderWithin is how close two moments lie for their order to be in a reading:
// several times the 20 or 40 ms that a live frame leaves open.
const OrderWithin = quantity.Seconds(0.3)

// Order returns the order of two moments of the reading, First being the one that
// is likelier to have come first. It is false where they lie too far apart to be
// in doubt or are none of the reading's.
func (r *Reading) Order(a, b string) (Order, bool) {
	i := slices.IndexFunc(r.Orders, func(o Order) bool {
		return o.First == a && o.Second == b || o.First == b && o.Second == a
	})
	if i < 0 {
		return Order{}, false
	}
	return r.Orders[i], true
}

// ChanceFirst is the chance that an instant that is uniform on [a0, a1] comes
// before one that is uniform on [b0, b1], the two independent:
//
//	P(A < B) = 1/(wₐ·w_b) ∫∫ [x < y] dx dy
//
// An interval of no length is an instant; two equal instants give ½. It panics
// if an interval ends before it starts.
func ChanceFirst(a0, a1, b0, b1 quantity.Seconds) quantity.Chance {
	if !(a1 >= a0) || !(b1 >= b0) {
		panic("study: an interval must not end before it starts")
	}
	return quantity.Chance(before(interval{float64(a0), float64(a1)}, interval{float64(b0), float64(b1)}, 0))
}

// interval is where an instant lies, uniformly, in seconds.
type interval struct{ lo, hi float64 }

// before is the chance that x lies before y + shift, x uniform on a, y on b.
func before(a, b interval, shift float64) float64 {
	b.lo, b.hi = b.lo+shift, b.hi+shift
	wa, wb := a.hi-a.lo, b.hi-b.lo
	// area is ∫ max(0, y − t) dy up to y: a ramp summed twice, so that the area of
	// the part of the rectangle where x < y is a sum of four.
	area := func(y float64) float64 { y = max(0, y); return y * y / 2 }
	switch {
	case a.hi <= b.lo && (wa > 0 || wb > 0 || a.hi < b.lo):
		return 1
	case b.hi <= a.lo && (wa > 0 || wb > 0 || b.hi < a.lo):
		return 0
	case wa == 0 && wb == 0:
		return 0.5
	case wa == 0:
		return min(1, max(0, (b.hi-a.lo)/wb))
	case wb == 0:
		return min(1, max(0, (b.lo-a.lo)/wa))
	}
	p := (area(b.hi-a.lo) - area(b.lo-a.lo) - area(b.hi-a.hi) + area(b.lo-a.hi)) / (wa * wb)
	return min(1, max(0, p))
}

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

// lawOf is where a moment lies in each draw of the clocks: between the latest
// beginning and the earliest end of its brackets. Where these miss each other the
// bracket of the first take holds: one of the others was set wrongly.
func lawOf(used []showing, draws drawn) []interval {
	all := make([]interval, len(draws[used[0].take]))
	clocks := make([][2]float64, len(draws))
	for n := range all {
		for take := range draws {
			clocks[take] = draws[take][n]
		}
		lo, hi, _ := overlap(used, clocks)
		if lo > hi {
			lo, hi, _ = overlap(used[:1], clocks)
		}
		all[n] = interval{lo, hi}
	}
	return all
}

// mixed is the law of an instant that is uniform on one of these intervals, each
// as likely: mean and variance exact, the interval by bisection of its
// distribution.
func mixed(all []interval) quantity.Of[quantity.Seconds] {
	if len(all) == 1 {
		return quantity.Uniform(quantity.Seconds(all[0].lo), quantity.Seconds(all[0].hi))
	}
	mean, within, lo, hi := 0.0, 0.0, math.Inf(1), math.Inf(-1)
	n := float64(len(all))
	for _, v := range all {
		mean += (v.lo + v.hi) / 2 / n
		within += (v.hi - v.lo) * (v.hi - v.lo) / 12 / n
		lo, hi = min(lo, v.lo), max(hi, v.hi)
	}
	for _, v := range all {
		d := (v.lo+v.hi)/2 - mean
		within += d * d / n
	}
	below := func(t float64) float64 {
		sum := 0.0
		for _, v := range all {
			sum += before(v, interval{t, t}, 0)
		}
		return sum / n
	}
	return lawBy(mean, math.Sqrt(within), lo, hi, below)
}

// halvings of what is seldom more than a second leave less than a microsecond.
const halvings = 22

// lawBy finds the interval of a law from its distribution function between lo and
// hi.
func lawBy(mean, sd, lo, hi float64, below func(float64) float64) quantity.Of[quantity.Seconds] {
	quantile := func(p float64) quantity.Seconds {
		a, b := lo, hi
		for range halvings {
			if mid := (a + b) / 2; below(mid) < p {
				a = mid
			} else {
				b = mid
			}
		}
		return quantity.Seconds((a + b) / 2)
	}
	const tail = (1 - quantity.Coverage) / 2
	return quantity.Of[quantity.Seconds]{Mean: quantity.Seconds(mean), SD: quantity.Seconds(sd), Lo: quantile(tail), Hi: quantile(1 - tail)}
}

// ordersOf is the order of each pair of moments that lie close to each other, in
// the order of time.
func ordersOf(moments []MomentReading, laws [][]interval) []Order {
	var all []Order
	sorted := make([]int, len(moments))
	for i := range sorted {
		sorted[i] = i
	}
	slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(moments[a].At.Mean, moments[b].At.Mean) })
	for n, i := range sorted {
		for _, j := range sorted[n+1:] {
			if moments[j].At.Mean-moments[i].At.Mean > OrderWithin {
				break
			}
			all = append(all, orderOf(moments[i].Moment.ID, moments[j].Moment.ID, laws[i], laws[j]))
		}
	}
	return all
}

// orderOf compares two moments draw by draw.
func orderOf(a, b string, as, bs []interval) Order {
	n := float64(len(as))
	chance, mean, lo, hi := 0.0, 0.0, math.Inf(1), math.Inf(-1)
	for i := range as {
		chance += before(as[i], bs[i], 0) / n
		mean += (bs[i].lo + bs[i].hi - as[i].lo - as[i].hi) / 2 / n
		lo, hi = min(lo, bs[i].lo-as[i].hi), max(hi, bs[i].hi-as[i].lo)
	}
	v := 0.0
	for i := range as {
		wa, wb := as[i].hi-as[i].lo, bs[i].hi-bs[i].lo
		d := (bs[i].lo+bs[i].hi-as[i].lo-as[i].hi)/2 - mean
		v += (wa*wa/12 + wb*wb/12 + d*d) / n
	}
	// The second comes less than t after the first where it comes before first + t.
	below := func(t float64) float64 {
		sum := 0.0
		for i := range as {
			sum += before(bs[i], as[i], t)
		}
		return sum / n
	}
	o := Order{First: a, Second: b, Chance: quantity.Chance(chance), Apart: lawBy(mean, math.Sqrt(v), lo, hi, below)}
	if chance < 0.5 { // the later mean may belong to the likelier first
		o.First, o.Second, o.Chance = b, a, quantity.Chance(1-chance)
		o.Apart.Mean, o.Apart.Lo, o.Apart.Hi = -o.Apart.Mean, -o.Apart.Hi, -o.Apart.Lo
	}
	return o
}
