package study

import (
	"cmp"
	"math"
	"slices"

	"mesure/quantity"
)

// Order is which of two moments came first. Both come from the same draws of the
// clocks, so that an error that they share (the offset of the replay in which both
// were seen) takes nothing from it.
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
