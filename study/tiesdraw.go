package study

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
)

// The law of all clocks together: each used bracket says that its moment lies
// between its two frames and nothing else, so that, the instant of the moment
// integrated out, a set of clocks is as likely as the brackets of each moment
// overlap on it:
//
//	p(clocks) ∝ Π declared errors · Π over moments (right·overlap/narrowest + wrong·narrowest/wide)
//
// The second term is the chance that a hand set a bracket wrongly; without it one
// slip by a frame would leave a sliver of clocks that claims to be certain.
const (
	wrongBracket = 0.01 // no source: one slip in a hundred brackets
	wideBracket  = 0.5  // s; where a bracket that is wrong may lie
)

const (
	// clockDraws is how many equally likely sets of clocks are kept: enough for
	// the ends of an interval to a tenth of its standard deviation.
	clockDraws = 1024
	// clockStream keeps these draws apart from any others of the same seed.
	clockStream = 0x636c6f636b // "clock"
)

// drawn is a set of equally likely clocks: for each take the offset and the slope
// of each draw.
type drawn [][][2]float64

// parameter is one number of a clock that is not known exactly.
type parameter struct {
	take  int
	slope bool
	// prior of a declared number; sd 0: none
	mean, sd float64
}

// web is what the law of the clocks is computed from.
type web struct {
	parameters []parameter
	base       [][2]float64 // offset and slope of each take at the means
	moments    [][]showing  // the used brackets of moments that two takes show
}

func (k *knot) web() web {
	var w web
	for i, take := range k.touch.Takes {
		c := k.clocks[i]
		w.base = append(w.base, [2]float64{c.offset, c.slope})
		found := take.Tied && !k.loose[i]
		if found || c.vo > 0 && !k.loose[i] {
			p := parameter{take: i, mean: c.offset}
			if !found {
				p.sd = math.Sqrt(c.vo)
			}
			w.parameters = append(w.parameters, p)
		}
		if c.vs > 0 && (found || !k.loose[i]) {
			p := parameter{take: i, slope: true, mean: c.slope}
			if !found || k.kept[i] {
				p.mean, p.sd = k.set[i][0], k.set[i][1]
			}
			w.parameters = append(w.parameters, p)
		}
	}
	for m := range k.seen {
		if used := k.used(m); len(used) > 1 {
			w.moments = append(w.moments, used)
		}
	}
	return w
}

// lay writes the clocks of one set of parameters.
func (w *web) lay(x []float64, to [][2]float64) {
	copy(to, w.base)
	for i, p := range w.parameters {
		if p.slope {
			to[p.take][1] = x[i]
		} else {
			to[p.take][0] = x[i]
		}
	}
}

// overlap is what the brackets of a moment have in common on these clocks, and the
// length of the narrowest.
func overlap(seen []showing, clocks [][2]float64) (lo, hi, narrowest float64) {
	lo, hi, narrowest = math.Inf(-1), math.Inf(1), math.Inf(1)
	for _, s := range seen {
		c := clocks[s.take]
		a, b := c[0]+c[1]*s.after, c[0]+c[1]*s.by
		lo, hi, narrowest = max(lo, a), min(hi, b), min(narrowest, b-a)
	}
	return lo, hi, narrowest
}

// logLaw is the logarithm of the law of the clocks, without its constant; clocks
// is room to work in.
func (w *web) logLaw(x []float64, clocks [][2]float64) float64 {
	w.lay(x, clocks)
	sum := 0.0
	for i, p := range w.parameters {
		if p.slope && !(x[i] > 0) {
			return math.Inf(-1)
		}
		if p.sd > 0 {
			z := (x[i] - p.mean) / p.sd
			sum -= z * z / 2
		}
	}
	for _, seen := range w.moments {
		lo, hi, narrowest := overlap(seen, clocks)
		sum += math.Log((1-wrongBracket)*max(0, hi-lo)/narrowest + wrongBracket*narrowest/wideBracket)
	}
	return sum
}

// proposal is the normal law of least squares: every bracket a rectangular law
// about its middle, the instants of the moments unknown besides the clocks.
func (w *web) proposal() (quantity.Joint, bool) {
	n := len(w.parameters)
	at := map[[2]int]int{}
	for i, p := range w.parameters {
		at[[2]int{p.take, btoi(p.slope)}] = i
	}
	cols := n + len(w.moments)
	var rows, y []float64
	add := func(v, weight float64, fill func(row []float64)) {
		row := make([]float64, cols)
		fill(row)
		for i := range row {
			row[i] *= weight
		}
		rows, y = append(rows, row...), append(y, v*weight)
	}
	for i, p := range w.parameters {
		if p.sd > 0 {
			add(p.mean, 1/p.sd, func(row []float64) { row[i] = 1 })
		}
	}
	for m, seen := range w.moments {
		for _, s := range seen {
			c := w.base[s.take]
			mid := (s.after + s.by) / 2
			rest := 0.0 // what of the instant does not depend on a parameter
			add(0, math.Sqrt(12)/(c[1]*(s.by-s.after)), func(row []float64) {
				row[n+m] = -1
				if i, ok := at[[2]int{s.take, 0}]; ok {
					row[i] = 1
				} else {
					rest += c[0]
				}
				if i, ok := at[[2]int{s.take, 1}]; ok {
					row[i] = mid
				} else {
					rest += c[1] * mid
				}
			})
			y[len(y)-1] -= rest * math.Sqrt(12) / (c[1] * (s.by - s.after))
		}
	}
	if len(y) < cols {
		return quantity.Joint{}, false
	}
	sol, err := quantity.LinearFit(mat.NewDense(len(y), cols, rows), y)
	if err != nil {
		return quantity.Joint{}, false
	}
	mean, cov := make([]float64, n), make([]float64, n*n)
	for a := range n {
		mean[a] = sol.P[a]
		for b := range n {
			cov[a*n+b] = sol.Cov[a*cols+b]
		}
	}
	return quantity.NewJoint(mean, cov), true
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// sample is a set of parameters with its weight.
type sample struct {
	x      []float64
	weight float64
}

// lattice fills a cube evenly: each point is the one before plus a step whose
// coordinates are powers of the root of x^(n+1) = x + 1, from a random start, all
// modulo 1. Sums over it settle much faster than over independent draws.
//
// Source: Niederreiter, Random Number Generation and Quasi-Monte Carlo Methods,
// SIAM (1992), section 3.2, for the sequence; the steps generalise the golden
// ratio, which is theirs for n = 1.
type lattice struct{ at, step []float64 }

func newLattice(n int, rng *rand.Rand) *lattice {
	root := 2.0
	for range 60 { // converges for every n
		root = math.Pow(1+root, 1/float64(n+1))
	}
	l := &lattice{at: make([]float64, n), step: make([]float64, n)}
	for i := range n {
		l.at[i], l.step[i] = rng.Float64(), math.Pow(root, -float64(i+1))
	}
	return l
}

// next writes one point as normal numbers.
func (l *lattice) next(z []float64) {
	const edge = 1e-12 // 0 and 1 are infinitely far out
	for i := range z {
		_, l.at[i] = math.Modf(l.at[i] + l.step[i])
		z[i] = math.Sqrt2 * math.Erfinv(2*min(1-edge, max(edge, l.at[i]))-1)
	}
}

// law draws from the law of the clocks by importance sampling: first from the
// normal law of least squares, then twice from the normal law of what that found.
// It returns the samples, and their mean and covariance; false where no draw is
// possible at all.
//
// Source: Cappé, Guillin, Marin and Robert, Population Monte Carlo, J. Comput.
// Graph. Stat. 13:907 (2004).
func (w *web) law(from quantity.Joint, seed uint64) ([]sample, quantity.Joint, bool) {
	n := len(w.parameters)
	rng := rand.New(rand.NewPCG(seed, clockStream))
	clocks := make([][2]float64, len(w.base))
	var all []sample
	for pass, size := range [3]int{512, 1024, 2048} {
		root := from.Root()
		all = all[:0]
		z, points := make([]float64, n), newLattice(n, rng)
		most := math.Inf(-1)
		for range size {
			points.next(z)
			x := make([]float64, n)
			q := 0.0
			for r := range n {
				x[r] = from.Mean[r]
				for c := 0; c <= r; c++ {
					x[r] += float64(root[r*n+c] * z[c])
				}
				q -= z[r] * z[r] / 2
			}
			log := w.logLaw(x, clocks) - q
			most = max(most, log)
			all = append(all, sample{x, log})
		}
		if !(most > math.Inf(-1)) {
			return nil, from, false
		}
		sum, squares := 0.0, 0.0
		for i := range all {
			all[i].weight = math.Exp(all[i].weight - most)
			sum += all[i].weight
			squares += all[i].weight * all[i].weight
		}
		for i := range all {
			all[i].weight /= sum
		}
		found := momentsOf(all, n)
		if pass == 2 {
			return all, found, true
		}
		// A few draws with all the weight tell no covariance: go on from the wider law.
		if sum*sum/squares > float64(10*n) {
			from = found
			for i := range from.Cov {
				from.Cov[i] *= inflate * inflate
			}
		}
	}
	panic("unreachable")
}

// inflate is by how much wider than what was found the next draws are, so that
// its edges are reached.
const inflate = 1.25

func momentsOf(all []sample, n int) quantity.Joint {
	mean, cov := make([]float64, n), make([]float64, n*n)
	for _, s := range all {
		for i, v := range s.x {
			mean[i] += float64(s.weight * v)
		}
	}
	for _, s := range all {
		for i := range n {
			for j := range n {
				cov[i*n+j] += float64(s.weight * float64((s.x[i]-mean[i])*(s.x[j]-mean[j])))
			}
		}
	}
	return quantity.NewJoint(mean, cov)
}

// even picks equally likely sets of clocks out of weighted ones, each as often as
// its weight asks, at even steps of the summed weights.
func (w *web) even(all []sample, count int) drawn {
	d := make(drawn, len(w.base))
	// Sorted, the steps also fall evenly along the first parameter.
	slices.SortStableFunc(all, func(a, b sample) int { return slices.Compare(a.x, b.x) })
	at, sum := 0, all[0].weight
	clocks := make([][2]float64, len(w.base))
	for i := range count {
		for want := (float64(i) + 0.5) / float64(count); sum < want && at < len(all)-1; {
			at++
			sum += all[at].weight
		}
		w.lay(all[at].x, clocks)
		for k, c := range clocks {
			d[k] = append(d[k], c)
		}
	}
	return d
}
