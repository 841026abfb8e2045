package timing

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"

	"mesure/quantity"
)

// law places a standard normal number in an input. Where the race draws again
// outside the bounds, law maps the whole normal law into them by its
// distribution function: the same law, but one number in and one number out, so
// that two questions that differ in one input still share every draw (common
// random numbers), and an answer moves smoothly with its inputs.
type law struct {
	input
	below, inside float64 // share of the whole law below lo, and between lo and hi
	cut           bool
}

// farBound is how many SDs away a bound must lie to be met by holding the number
// at it instead: fewer than one draw in a hundred thousand gets there.
const farBound = 4.5

func lawOf(in input) law {
	l := law{input: in, inside: 1}
	if in.sd == 0 || in.uniform {
		return l
	}
	lo, hi := (in.lo-in.mean)/in.sd, (in.hi-in.mean)/in.sd
	l.cut = lo > -farBound || hi < farBound
	l.below = normalCDF(lo)
	l.inside = normalCDF(hi) - l.below
	return l
}

// at returns the value that belongs to the standard normal number z.
func (l *law) at(z float64) float64 {
	switch {
	case l.sd == 0:
		return l.mean
	case l.uniform:
		return l.mean + float64(l.sd*math.Sqrt(12)*(normalCDF(z)-0.5))
	case l.cut:
		p := l.below + float64(l.inside*normalCDF(z))
		z = math.Sqrt2 * math.Erfinv(float64(2*p)-1)
	}
	return max(l.lo, min(l.hi, l.mean+float64(l.sd*z)))
}

// chanceUpTo is the distribution function of the law at v.
func (l *law) chanceUpTo(v float64) float64 {
	switch {
	case v < l.lo:
		return 0
	case v >= l.hi:
		return 1
	case l.sd == 0:
		if v >= l.mean {
			return 1
		}
		return 0
	}
	return max(0, min(1, (normalCDF((v-l.mean)/l.sd)-l.below)/l.inside))
}

// seedOf takes one number from the source: all draws of a question follow from
// it, and a question asked again with other inputs shares them.
func seedOf(src rand.Source, certain bool) (uint64, error) {
	if src == nil {
		if !certain {
			panic("timing: uncertain inputs need a source of chance")
		}
		return 0, nil
	}
	return src.Uint64(), nil
}

// inBlocks makes the draws in blocks on as many processors as there are, each
// with a stream of its own that follows from seed, and returns the parts in
// order: they do not depend on how many processors there were.
func inBlocks[T any](draws int, seed uint64, work func(n int, rng *stream) T) []T {
	parts := make([]T, (draws+block-1)/block)
	seeds, root := make([]uint64, len(parts)), stream{seed}
	for i := range seeds {
		seeds[i] = root.bits()
	}
	var next atomic.Int64
	run := func() {
		for i := next.Add(1) - 1; i < int64(len(parts)); i = next.Add(1) - 1 {
			parts[i] = work(min(block, draws-int(i)*block), &stream{seeds[i]})
		}
	}
	var others sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(parts)) - 1 {
		others.Go(run)
	}
	run()
	others.Wait()
	return parts
}

// averageChance sums up chances, one for each draw: their mean, its standard
// error (never below that of half a count, as in quantity.FromCounts) and the
// normal interval cut to [0, 1].
func averageChance(p []float64, certain bool) quantity.Of[quantity.Chance] {
	n, sum, squares := float64(len(p)), 0.0, 0.0
	for _, v := range p {
		sum += v
	}
	mean := sum / n
	if certain {
		return quantity.Exactly(quantity.Chance(mean))
	}
	for _, v := range p {
		squares += float64((v - mean) * (v - mean))
	}
	half := 0.5 / n
	sd := math.Sqrt(max(squares/n, float64(half*(1-half))) / n)
	q := quantity.Normal(quantity.Chance(mean), quantity.Chance(sd))
	q.Lo, q.Hi = max(0, q.Lo), min(1, q.Hi)
	return q
}
