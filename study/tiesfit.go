package study

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
)

// link is one moment that a take shares with takes whose clocks are known: it lies
// between lo and hi on the clock of the bout, and between after and by in the
// file of the take.
type link struct {
	moment    int
	at        int // which of the moment's showings is that of the take
	after, by float64
	lo, hi    float64
	slack     float64 // by how much lo and hi may be off
}

// line is a clock: offset + slope·τ with variances and covariance.
type line struct{ offset, slope, vo, vs, cov float64 }

// fits reports whether a clock puts some instant between both pairs of frames.
func (l link) fits(offset, slope float64) bool {
	const hair = 1e-9 // a corner of what fits is still in it
	return offset+slope*l.after < l.hi+l.slack+hair && offset+slope*l.by > l.lo-l.slack-hair
}

// miss is how far a clock puts the middles of both brackets apart, in half their
// widths together.
func (l link) miss(offset, slope float64) float64 {
	mid := offset + slope*(l.after+l.by)/2 - (l.lo+l.hi)/2
	return 2 * math.Abs(mid) / (l.hi - l.lo + slope*(l.by-l.after))
}

// agreeing says which moments the clock agrees with that agrees with most of
// them. Each moment bounds the line offset + slope·τ from above at one end of its
// bracket and from below at the other; a clock that fits as many of these bounds
// as can be fitted is among the crossings of two of them, so that all are tried:
// exact, and no wrong moment can pull it. Among sets of equally many moments that is
// taken whose brackets lie nearest to each other by their middles. Kept says that
// the slope is known, with its standard deviation.
func agreeing(links []link, slope, sd float64, kept bool) []bool {
	type bound struct{ at, value float64 } // offset + slope·at meets value
	var bounds []bound
	for _, l := range links {
		bounds = append(bounds, bound{l.after, l.hi + l.slack}, bound{l.by, l.lo - l.slack})
	}
	most := 0
	var sets [][]bool
	try := func(o, s float64) {
		if !(s > 0) || math.IsInf(s, 0) || kept && math.Abs(s-slope) > 4*sd+1e-12*slope {
			return
		}
		n, set := 0, make([]bool, len(links))
		for i, l := range links {
			if set[i] = l.fits(o, s); set[i] {
				n++
			}
		}
		if n > most {
			most, sets = n, nil
		}
		if n == most && n > 0 && len(sets) < mostSets && !slices.ContainsFunc(sets, func(other []bool) bool { return slices.Equal(set, other) }) {
			sets = append(sets, set)
		}
	}
	for i, p := range bounds {
		try(p.value-slope*p.at, slope) // where all lie close together nothing crosses
		for _, q := range bounds[:i] {
			if kept && sd == 0 {
				break
			}
			s := (p.value - q.value) / (p.at - q.at)
			try(p.value-s*p.at, s)
		}
	}
	agreed, least := make([]bool, len(links)), math.Inf(1)
	for i, set := range sets {
		if off := strain(links, set, slope, sd, kept); i == 0 || off < least {
			agreed, least = set, off
		}
	}
	return agreed
}

// mostSets bounds how many sets of moments that agree are compared.
const mostSets = 64

// strain is how far the middles of the brackets of a set of moments miss each other
// on the clock that fits them best.
func strain(links []link, set []bool, slope, sd float64, kept bool) float64 {
	var in []link
	for i, l := range links {
		if set[i] {
			in = append(in, l)
		}
	}
	fit, ok := leastSquares(in, slope, sd, kept)
	if !ok {
		return math.Inf(1)
	}
	sum := 0.0
	for _, l := range in {
		miss := l.miss(fit.offset, fit.slope)
		sum += miss * miss
	}
	return sum
}

// leastSquares is the clock whose middles of brackets lie nearest to those of the
// other takes: offset + slope·τᵢ = mᵢ with the variance of two rectangular laws,
// ((hi−lo)² + slope²(by−after)²)/12. A kept slope is one more equation. It is the
// first route; the law of the brackets, which is tighter, is drawn from it.
//
// Source: JCGM 100:2008, 4.3.7 for the rectangular law; Draper and Smith, Applied
// Regression Analysis (1998), chapter 5, for the straight line with weights.
func leastSquares(links []link, slope, sd float64, kept bool) (line, bool) {
	s := slope
	if !kept { // the weights want a slope: that between the outermost moments
		first, last := links[0], links[0]
		for _, l := range links {
			if l.after < first.after {
				first = l
			}
			if l.after > last.after {
				last = l
			}
		}
		s = (last.lo + last.hi - first.lo - first.hi) / (last.after + last.by - first.after - first.by)
		if !(s > 0) || math.IsInf(s, 0) {
			return line{}, false
		}
	}
	var rows, y []float64
	add := func(o, k, v, w float64) {
		rows, y = append(rows, o*w, k*w), append(y, v*w)
	}
	for _, l := range links {
		w := math.Sqrt(12) / math.Hypot(l.hi-l.lo, s*(l.by-l.after))
		add(1, (l.after+l.by)/2, (l.lo+l.hi)/2, w)
	}
	if kept {
		add(0, 1, slope, 1/max(sd, 1e-9*slope))
	}
	if len(y) < 2 {
		return line{}, false
	}
	sol, err := quantity.LinearFit(mat.NewDense(len(y), 2, rows), y)
	if err != nil {
		return line{}, false
	}
	fit := line{offset: sol.P[0], slope: sol.P[1], vo: sol.Cov[0], vs: sol.Cov[3], cov: sol.Cov[1]}
	if kept && sd == 0 { // exactly, not nearly
		fit.slope, fit.vs, fit.cov = slope, 0, 0
	}
	return fit, true
}
