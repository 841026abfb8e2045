package demo

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"mesure/timing"
)

// Sizes of the trial of the predictions.
const (
	// ReliabilityTouches is how many touches are simulated where nothing else is
	// asked for.
	ReliabilityTouches = 2400
	// ReliabilityBins is into how many bins of equal width chances are sorted.
	ReliabilityBins = 10
)

// Reliability is how chances that were predicted agree with what came of it, over
// many simulated touches.
type Reliability struct {
	// Scored is over all kinds of events together. Its events of one touch go
	// together, so that its intervals rest on fewer than N of them.
	Scored
	Touches int    `json:"touches"`
	Seed    uint64 `json:"seed"`
	// Kinds are the same for each kind of event by itself; events of one kind are
	// independent of each other.
	Kinds []KindReliability `json:"kinds"`
}

// KindReliability is the Reliability of one kind of event.
type KindReliability struct {
	// Kind is one of "left-only", "right-only", "both" and "neither" (the lamps of a
	// race), or a timing.Answer (a start at the end of the reaction was in time).
	Kind string `json:"kind"`
	Scored
}

// Scored is how well chances of events fit their outcomes.
type Scored struct {
	// N is how many chances were predicted.
	N int `json:"n"`
	// Brier is the mean of (p − o)², o being 1 where the event came true and 0 where
	// not: 0 is perfect, ¼ is what a coin says. BrierOfShares is what somebody scores
	// who knows nothing but how often each kind of event comes true.
	//
	// Source: Brier, Monthly Weather Review 78:1 (1950), for one of the two outcomes.
	Brier         float64 `json:"brier"`
	BrierOfShares float64 `json:"brier_of_shares"`
	// ECE is the expected calibration error Σ n/N·|mean predicted − share that came
	// true| over the bins. ECEByLuck is about what it would be if every chance were
	// right, since the outcomes are drawn.
	//
	// Source: Naeini, Cooper and Hauskrecht, AAAI 2015.
	ECE       float64 `json:"ece"`
	ECEByLuck float64 `json:"ece_by_luck"`
	// Bins in which there are chances, in order.
	Bins []ReliabilityBin `json:"bins"`
}

// ReliabilityBin is one bin of predicted chances: From ≤ p < To, and 1 in the last.
type ReliabilityBin struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	N    int     `json:"n"`
	// Predicted is the mean chance, Observed the share that came true, with Wilson's
	// 95 % interval.
	Predicted float64 `json:"predicted"`
	Observed  float64 `json:"observed"`
	Lo        float64 `json:"lo"`
	Hi        float64 `json:"hi"`
}

// ReliabilityOptions are the settings of Reliable. The zero value is the trial of
// the demo.
type ReliabilityOptions struct {
	// Touches; zero means ReliabilityTouches.
	Touches int
	Seed    uint64
	// Differs lets the simulated fencers differ from what the predictions suppose.
	Differs Difference
}

// Reliable simulates touches and holds the chances that timing predicts against
// what comes of them.
//
// Each touch draws an attack and what the other fencer does, the body of each
// from the default spreads, where points and targets are, and when each starts. A
// camera then measures one frame, with errors as large as the ± that it states;
// starts are seen between two frames. Predicted are the four lamps of the race
// (timing.Race) and each answer started at the end of the reaction
// (timing.Exchange.Windows), from what was measured and the default spreads. What
// comes of it is found by moving points and targets through the plane of action in
// steps of a millisecond: no formula of the race, and a point that follows its
// target on slanting lines, which the race does not know.
//
// The same options give the same result on any number of processors.
func Reliable(o ReliabilityOptions) Reliability {
	if o.Touches == 0 {
		o.Touches = ReliabilityTouches
	}
	all := make([][]event, o.Touches)
	var next atomic.Int64
	work := func() {
		for i := next.Add(1) - 1; i < int64(len(all)); i = next.Add(1) - 1 {
			all[i] = simulate(o, uint64(i))
		}
	}
	var others sync.WaitGroup
	for range runtime.GOMAXPROCS(0) - 1 {
		others.Go(work)
	}
	work()
	others.Wait()

	kinds := eventKinds()
	by := make([][]event, len(kinds))
	var pooled []event
	for _, events := range all {
		for _, e := range events {
			by[e.kind] = append(by[e.kind], e)
		}
		pooled = append(pooled, events...)
	}
	r := Reliability{Scored: score(pooled, len(kinds)), Touches: o.Touches, Seed: o.Seed}
	for k, name := range kinds {
		r.Kinds = append(r.Kinds, KindReliability{name, score(by[k], len(kinds))})
	}
	return r
}

// Kinds of events of a race, before those of the answers.
const (
	kindLeft = iota
	kindRight
	kindBoth
	kindNeither
	kindAnswers
)

func eventKinds() []string {
	names := []string{"left-only", "right-only", "both", "neither"}
	for _, a := range timing.Answers() {
		names = append(names, string(a))
	}
	return names
}

// event is a predicted chance and whether it came true.
type event struct {
	kind  int
	touch int
	p     float64
	came  bool
}

func (e event) outcome() float64 {
	if e.came {
		return 1
	}
	return 0
}

// score sums events up; those of one touch stand together.
func score(events []event, kinds int) Scored {
	s := Scored{N: len(events)}
	if s.N == 0 {
		return s
	}
	share, count := make([]float64, kinds), make([]float64, kinds)
	for _, e := range events {
		share[e.kind] += e.outcome()
		count[e.kind]++
	}
	var bins [ReliabilityBins]binSum
	for _, e := range events {
		o := e.outcome()
		s.Brier += (e.p - o) * (e.p - o)
		base := share[e.kind] / count[e.kind]
		s.BrierOfShares += (base - o) * (base - o)
		bins[min(ReliabilityBins-1, int(e.p*ReliabilityBins))].add(e)
	}
	n := float64(s.N)
	s.Brier, s.BrierOfShares = sixDigits(s.Brier/n), sixDigits(s.BrierOfShares/n)
	for i := range bins {
		b := &bins[i]
		if b.n == 0 {
			continue
		}
		b.close()
		out := ReliabilityBin{From: float64(i) / ReliabilityBins, To: float64(i+1) / ReliabilityBins,
			N: int(b.n), Predicted: b.p / b.n, Observed: b.o / b.n}
		// Events of one touch tell less than as many of different touches: the
		// interval is that of as many independent ones as would spread alike.
		alone := 1.0
		if b.independent > 0 {
			alone = max(1, b.together/b.independent)
		}
		out.Lo, out.Hi = wilson(out.Observed, b.n/alone)
		s.ECE += b.n / n * math.Abs(out.Predicted-out.Observed)
		// The mean of |x| of a normal number is √(2/π) of its SD.
		s.ECEByLuck += math.Sqrt(2/math.Pi*b.independent*alone) / n
		for _, v := range []*float64{&out.Predicted, &out.Observed, &out.Lo, &out.Hi} {
			*v = sixDigits(*v)
		}
		s.Bins = append(s.Bins, out)
	}
	s.ECE, s.ECEByLuck = sixDigits(s.ECE), sixDigits(s.ECEByLuck)
	return s
}

// sixDigits rounds to the sixth digit after the point: the same on every machine.
func sixDigits(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// binSum adds up the events of one bin.
type binSum struct {
	n, p, o float64
	// independent is the variance of the count if all events were independent,
	// together that of the events as they go together in a touch.
	independent, together float64
	touch                 int
	left                  float64 // what came true beyond the predicted, in this touch
}

func (b *binSum) add(e event) {
	if e.touch != b.touch {
		b.close()
		b.touch = e.touch
	}
	b.n++
	b.p += e.p
	b.o += e.outcome()
	b.independent += e.p * (1 - e.p)
	b.left += e.outcome() - e.p
}

// close ends a touch.
func (b *binSum) close() {
	b.together += b.left * b.left
	b.left = 0
}

// wilson returns Wilson's 95 % score interval of a share of n, which need not be a
// whole number here.
//
// Source: Newcombe, Statistics in Medicine 17:857 (1998), method 3.
func wilson(share, n float64) (lo, hi float64) {
	const z = 1.959963984540054
	mid := (share + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(share*(1-share)/n+z*z/(4*n*n))
	return max(0, min(share, mid-half)), min(1, max(share, mid+half))
}
