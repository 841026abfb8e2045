package timing

import (
	"math"

	"mesure/quantity"
)

// tally counts the outcomes of draws.
type tally struct {
	n                          int
	certain                    bool // nothing is uncertain
	leftOnly, rightOnly, both  int
	neither                    int
	leftFirst, rightFirst, tie int
	arrival                    [2][]quantity.Seconds
	margin                     []quantity.Seconds
	active                     []activeInput
	learned                    int     // draws that the sums are over
	sumM, sumMM                float64 // of the margin less its value at the means
	gapGap                     float64
	m0                         float64
	gapAt                      [2]int // index in active, −1 if not there
}

// activeInput accumulates one uncertain input, the columns of a batch in the same
// order, over learned draws in which both
// arrive: the sums of x − mean, its square and its product with the margin.
type activeInput struct {
	side, input  int
	mean         float64
	sx, sxx, sxm float64
}

func newTally(d *drawer, draws int) *tally {
	t := &tally{gapAt: [2]int{-1, -1}, certain: d.certain()}
	for side := range 2 {
		t.arrival[side] = make([]quantity.Seconds, 0, draws)
		for i := range inputs {
			if d.in[side][i].sd == 0 {
				continue
			}
			if i == inGap {
				t.gapAt[side] = len(t.active)
			}
			t.active = append(t.active, activeInput{side: side, input: i, mean: d.in[side][i].mean})
		}
	}
	t.margin = make([]quantity.Seconds, 0, draws)
	if m := d.mean[Right] - d.mean[Left]; !math.IsNaN(m) {
		t.m0 = m
	}
	return t
}

// sum adds tallies of the same race up, in order.
func sum(parts []*tally, d *drawer, draws int) *tally {
	if len(parts) == 1 {
		return parts[0]
	}
	t := newTally(d, draws)
	for _, p := range parts {
		t.n += p.n
		t.leftOnly += p.leftOnly
		t.rightOnly += p.rightOnly
		t.both += p.both
		t.neither += p.neither
		t.leftFirst += p.leftFirst
		t.rightFirst += p.rightFirst
		t.tie += p.tie
		t.margin = append(t.margin, p.margin...)
		for side := range 2 {
			t.arrival[side] = append(t.arrival[side], p.arrival[side]...)
		}
		t.learned += p.learned
		t.sumM += p.sumM
		t.sumMM += p.sumMM
		t.gapGap += p.gapGap
		for i := range t.active {
			a, b := &t.active[i], &p.active[i]
			a.sx += b.sx
			a.sxx += b.sxx
			a.sxm += b.sxm
		}
	}
	return t
}

// count adds k draws of a batch, whose arrivals are NaN for none.
func (t *tally) count(b *batch, k int) {
	var both [batchSize]int32 // the draws in which both arrive
	n := 0
	for j := range k {
		l, r := b.at[Left][j], b.at[Right][j]
		left, right := !math.IsNaN(l), !math.IsNaN(r)
		if left {
			t.arrival[Left] = append(t.arrival[Left], quantity.Seconds(l))
		}
		if right {
			t.arrival[Right] = append(t.arrival[Right], quantity.Seconds(r))
		}
		switch {
		case left && right:
			m := r - l
			t.first(m)
			t.lamps(m+b.contact[Right][j]-b.contact[Left][j], b.window[j])
			t.margin = append(t.margin, quantity.Seconds(m))
			both[n] = int32(j)
			n++
		case left:
			t.leftFirst++
			t.leftOnly++
		case right:
			t.rightFirst++
			t.rightOnly++
		default:
			t.neither++
		}
	}
	t.n += k
	if t.learned < learnPerBlock {
		t.learn(b, both[:n])
	}
}

// first counts who arrives first, given how much earlier the left point is.
func (t *tally) first(m float64) {
	switch {
	case m > 0:
		t.leftFirst++
	case m < 0:
		t.rightFirst++
	default:
		t.tie++
	}
}

// lamps counts which lamps light, given how much earlier the left hit registers.
func (t *tally) lamps(m, window float64) {
	switch {
	case m > window:
		t.leftOnly++
	case -m > window:
		t.rightOnly++
	default:
		t.both++
	}
}

// learn adds the draws in which both arrive to the sums.
func (t *tally) learn(b *batch, both []int32) {
	var margin [batchSize]float64
	for i, j := range both {
		m := b.at[Right][j] - b.at[Left][j] - t.m0
		margin[i] = m
		t.sumM += m
		t.sumMM += float64(m * m)
	}
	t.learned += len(both)
	for i := range t.active {
		a, v := &t.active[i], &b.columns[i].v
		var sx, sxx, sxm float64
		for i, j := range both {
			x := v[j] - a.mean
			sx += x
			sxx += float64(x * x)
			sxm += float64(x * margin[i])
		}
		a.sx, a.sxx, a.sxm = a.sx+sx, a.sxx+sxx, a.sxm+sxm
	}
	if l, r := t.gapAt[Left], t.gapAt[Right]; l >= 0 && r >= 0 {
		for _, j := range both {
			t.gapGap += float64((b.columns[l].v[j] - t.active[l].mean) * (b.columns[r].v[j] - t.active[r].mean))
		}
	}
}

// chance is the share of the draws in which something came true.
func (t *tally) chance(hits int) quantity.Of[quantity.Chance] {
	if t.certain {
		return quantity.Exactly(quantity.Chance(hits))
	}
	return quantity.FromCounts(hits, t.n)
}

// firstChance counts a dead heat half.
func (t *tally) firstChance(hits int) quantity.Of[quantity.Chance] {
	if t.certain {
		return quantity.Exactly(quantity.Chance(hits) + quantity.Chance(t.tie)/2)
	}
	q := quantity.FromCounts(hits+t.tie/2, t.n)
	q.Mean = quantity.Chance((float64(hits) + float64(t.tie)/2) / float64(t.n))
	q.Lo, q.Hi = min(q.Lo, q.Mean), max(q.Hi, q.Mean)
	return q
}

// result sums up.
func (t *tally) result(r Race, d *drawer) Result {
	out := Result{
		LeftOnly: t.chance(t.leftOnly), RightOnly: t.chance(t.rightOnly),
		Both: t.chance(t.both), Neither: t.chance(t.neither),
		LeftFirst: t.firstChance(t.leftFirst), RightFirst: t.firstChance(t.rightFirst),
		BothArrive: t.chance(len(t.margin)),
		Draws:      t.n,
	}
	if len(t.margin) > 0 {
		out.Margin = quantity.FromDraws(t.margin)
	}
	for side := range 2 {
		run := &out.Runs[side]
		run.Arrives = t.chance(len(t.arrival[side]))
		if len(t.arrival[side]) > 0 {
			run.Arrival = quantity.FromDraws(t.arrival[side])
		}
		run.Onset = onsetOf(r, side)
	}
	d.curves(r, &out)
	out.Matters = t.matters(r)
	out.Warnings = warnings(out.Runs)
	return out
}
