package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
)

// twoTakes is a live take of 50 frames a second and a replay of it, with moments
// that both show; the truth is known.
type twoTakes struct {
	touch          *Touch
	clips          map[string]mark.Clip
	instants       []float64
	factor, offset float64
	shift          float64 // of the replay's frames against the live ones
}

// world makes one: n moments spread over the span of the touch, each bracketed by
// one frame of both takes, as a careful coach would.
func world(rng *rand.Rand, n int, factor float64) twoTakes {
	const fps, span = 50, 2.0
	w := twoTakes{factor: factor, offset: 0.3 * rng.Float64(), shift: rng.Float64() / fps}
	live, slow := mark.Clip{Width: 640, Height: 360}, mark.Clip{Width: 640, Height: 360}
	for f := 0; f <= fps*(span+1); f++ {
		live.Times = append(live.Times, mark.FileTime(float64(f)/fps))
	}
	for f := 0; f <= int(fps*(span+1)*factor); f++ {
		slow.Times = append(slow.Times, mark.FileTime(7+float64(f)/fps))
	}
	w.clips = map[string]mark.Clip{"a": live, "b": slow}
	w.touch = &Touch{
		Videos: []Video{{ID: "a"}, {ID: "b"}},
		Takes: []mark.Take{
			{ID: "live", Video: "a", To: mark.Frame(live.Frames() - 1)},
			{ID: "replay", Video: "b", To: mark.Frame(slow.Frames() - 1), Tied: true},
		},
	}
	for i := range n {
		t := 0.35 + span*(float64(i)+rng.Float64())/float64(n)
		w.instants = append(w.instants, t)
		lf := mark.Frame(math.Ceil(t * fps))
		rf := mark.Frame(math.Ceil((t - w.offset) * factor * fps))
		w.touch.Moments = append(w.touch.Moments, mark.Moment{ID: fmt.Sprintf("m%d", i), Take: "live", After: lf - 1, By: lf,
			Also: []mark.Bracket{{Take: "replay", After: rf - 1, By: rf}}})
	}
	return w
}

func (w twoTakes) read(seed uint64) *Reading {
	r := &Reading{Touch: w.touch, Clips: w.clips}
	readClocks(w.touch, w.clips, r, seed)
	return r
}

// TestTiesAreSharpAndHonest: six moments bracketed by one frame of both takes. What
// is stated must hold in a share of worlds that 95 % allow (binomial, three
// standard deviations), and the errors must be as large as stated, no larger.
func TestTiesAreSharpAndHonest(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	const runs = 200
	var factorIn, offsetIn, momentIn, moments int
	var sdF, sdO, errF, errO, least float64
	for i := range runs {
		w := world(rng, 6, 4+0.2*rng.NormFloat64())
		r := w.read(uint64(i))
		c := r.Clocks[1]
		if c.From != ClockTied || len(c.Moments) != 6 || len(r.Warnings) > 0 {
			t.Fatalf("world %d: %+v %v", i, c, r.Warnings)
		}
		if c.Factor.Covers(quantity.Ratio(w.factor)) {
			factorIn++
		}
		if c.Offset.Covers(quantity.Seconds(w.offset)) {
			offsetIn++
		}
		ef, eo := float64(c.Factor.Mean)/w.factor-1, float64(c.Offset.Mean)-w.offset
		sdF += float64(c.Factor.SD) / w.factor / runs
		sdO += float64(c.Offset.SD) / runs
		errF += ef * ef / runs
		errO += eo * eo / runs
		for j, m := range r.Moments {
			moments++
			if m.At.Covers(quantity.Seconds(w.instants[j])) {
				momentIn++
			}
		}
		k := tieKnot(w.touch, w.clips, []ClockReading{declared(w.touch.Takes[0], nil), declared(w.touch.Takes[1], nil)})
		first, ok := leastSquares(k.shared(1), 1, 0, false)
		if !ok {
			t.Fatal("no least squares")
		}
		least += math.Sqrt(first.vs) / first.slope / runs
	}
	held := func(what string, in, of int) {
		if d := float64(in) - 0.95*float64(of); math.Abs(d) > 3*math.Sqrt(0.95*0.05*float64(of)) {
			t.Errorf("the interval of the %s held in %d of %d", what, in, of)
		}
	}
	held("factor", factorIn, runs)
	held("offset", offsetIn, runs)
	held("moments", momentIn, moments)
	t.Logf("factor: rms error %.2f %%, stated %.2f %% (least squares %.2f %%); offset: %.1f ms, stated %.1f ms", 100*math.Sqrt(errF), 100*sdF, 100*least, 1000*math.Sqrt(errO), 1000*sdO)
	if f := math.Sqrt(errF); f > 0.005 || math.Abs(f/sdF-1) > 0.2 {
		t.Errorf("the factor is off by %.2f %% and says %.2f %%", 100*f, 100*sdF)
	}
	if o := math.Sqrt(errO); o > 0.010 || math.Abs(o/sdO-1) > 0.2 {
		t.Errorf("the offset is off by %.1f ms and says %.1f ms", 1000*o, 1000*sdO)
	}
	if sdF > least {
		t.Errorf("the law of the brackets (%.2f %%) is less sharp than least squares (%.2f %%)", 100*sdF, 100*least)
	}
}

// TestTieAgainstBruteForce: the second route throws lines at random over a wide
// field, and an instant for each moment uniformly into its live bracket; it keeps
// those that the replay's brackets hold.
func TestTieAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	w := world(rng, 4, 4)
	c := w.read(3).Clocks[1]
	slope, offset := 1/float64(c.Factor.Mean), float64(c.Offset.Mean)
	ss := float64(c.Factor.SD) * slope * slope
	// Thrown about the middle of the ties, where offset and slope hardly hang together.
	const tau = 5.0
	var n float64
	var sum, square, cross [2]float64
	for range 16_000_000 {
		s := slope + 4*ss*(2*rng.Float64()-1)
		mid := offset + slope*tau + 0.02*(2*rng.Float64()-1)
		o := mid - s*tau
		ok := true
		for _, m := range w.touch.Moments {
			at := (float64(m.After) + rng.Float64()) / 50
			b := m.Also[0]
			if lo, hi := o+s*float64(b.After)/50, o+s*float64(b.By)/50; at <= lo || at > hi {
				ok = false
				break
			}
		}
		if !ok {
			continue
		}
		n++
		for i, v := range [2]float64{s - slope, o - offset} {
			sum[i] += v
			square[i] += v * v
		}
		cross[0] += (s - slope) * (o - offset)
	}
	if n < 2000 {
		t.Fatalf("%v lines were kept", n)
	}
	vs, vo := square[0]/n-sum[0]*sum[0]/n/n, square[1]/n-sum[1]*sum[1]/n/n
	corr := (cross[0]/n - sum[0]*sum[1]/n/n) / math.Sqrt(vs*vo)
	t.Logf("%.0f kept: slope %+.3f SD off, SD ratio %.3f; offset %+.3f, %.3f; correlation %.4f against %.4f",
		n, sum[0]/n/ss, ss/math.Sqrt(vs), sum[1]/n/float64(c.Offset.SD), float64(c.Offset.SD)/math.Sqrt(vo), -corr, c.Correlation)
	if math.Abs(sum[0]/n) > 0.1*ss || math.Abs(ss/math.Sqrt(vs)-1) > 0.06 {
		t.Errorf("slope off by %.3f SD, SD ratio %.3f", sum[0]/n/ss, ss/math.Sqrt(vs))
	}
	so := float64(c.Offset.SD)
	if math.Abs(sum[1]/n) > 0.1*so || math.Abs(so/math.Sqrt(vo)-1) > 0.06 {
		t.Errorf("offset off by %.3f SD, SD ratio %.3f", sum[1]/n/so, so/math.Sqrt(vo))
	}
	if math.Abs(corr+float64(c.Correlation)) > 0.02 {
		t.Errorf("correlation %.4f, thrown %.4f", c.Correlation, -corr)
	}
}

// TestLeastSquaresByHand: three moments at 0, 1 and 2 s of the file with live
// middles 1.0, 1.3 and 1.5 s and equal weights. By hand: slope = Σ(τ−1)m/2 =
// (1.5−1.0)/2 = 0.25, offset = mean − slope = 1.2667 − 0.25 = 1.01667; with brackets
// of 0.06 s live and 0.08 s of file (0.02 s live) the variance of one is
// (0.06² + (s·0.08)²)/12 with s = 0.25 from the outermost.
func TestLeastSquaresByHand(t *testing.T) {
	var links []link
	for i, m := range []float64{1.0, 1.3, 1.5} {
		links = append(links, link{after: float64(i) - 0.04, by: float64(i) + 0.04, lo: m - 0.03, hi: m + 0.03})
	}
	fit, ok := leastSquares(links, 1, 0, false)
	v := (0.06*0.06 + 0.02*0.02) / 12
	for what, pair := range map[string][2]float64{
		"slope": {fit.slope, 0.25}, "offset": {fit.offset, 3.8/3 - 0.25},
		"variance of the slope": {fit.vs, v / 2}, "of the offset": {fit.vo, v/3 + v/2}, "covariance": {fit.cov, -v / 2},
	} {
		if !ok || math.Abs(pair[0]-pair[1]) > 1e-12 {
			t.Errorf("%s: %v, by hand %v", what, pair[0], pair[1])
		}
	}
	// The slope known: the offset is the mean of m − τ/4.
	fit, ok = leastSquares(links, 0.25, 0, true)
	if want := (1.0 + 1.05 + 1.0) / 3; !ok || math.Abs(fit.offset-want) > 1e-9 || fit.slope != 0.25 || fit.vs != 0 {
		t.Errorf("%+v, offset by hand %v", fit, want)
	}
}

// TestClockIsSurestAmongItsTies: the error of the factor grows from the middle of
// the ties, not from the first frame.
func TestClockIsSurestAmongItsTies(t *testing.T) {
	w := world(rand.New(rand.NewPCG(2, 2)), 6, 4)
	r := w.read(1)
	sd := func(f mark.Frame) float64 {
		at, ok := r.When("replay", f)
		if !ok {
			t.Fatal("no instant")
		}
		return float64(at.SD)
	}
	middle := w.touch.Moments[3].Also[0].By
	if first, mid, last := sd(0), sd(middle), sd(599); !(mid < first/2 && mid < last/2) || mid > 0.004 {
		t.Errorf("SD %.2f ms at the start, %.2f among the ties, %.2f at the end", 1000*first, 1000*mid, 1000*last)
	}
}

// TestMomentThatDisagreesIsNamed: one bracket set ten frames late is named with its
// milliseconds, and the others tie the replay as if it were not there.
func TestMomentThatDisagreesIsNamed(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	for range 30 {
		w := world(rng, 6, 4)
		bad := rng.IntN(6)
		b := &w.touch.Moments[bad].Also[0]
		b.After, b.By = b.After+60, b.By+60 // 300 ms of the bout
		r := w.read(1)
		if len(r.Warnings) != 1 || r.Warnings[0].Code != CodeTieConflict || r.Warnings[0].About != fmt.Sprintf("moment m%d, take replay", bad) {
			t.Fatalf("moment %d: %v", bad, r.Warnings)
		}
		if d := r.Warnings[0].Doubt; d < 240 || d > 330 {
			t.Errorf("it misses by %.0f ms, set 300 ms late", d)
		}
		if c := r.Clocks[1]; slices.Contains(c.Moments, fmt.Sprintf("m%d", bad)) || math.Abs(float64(c.Factor.Mean)/4-1) > 0.03 {
			t.Errorf("%+v", c)
		}
		// Its own take still says when it was.
		if at := r.Moments[bad].At; math.Abs(float64(at.Mean)-w.instants[bad]) > 0.01 || at.SD < 0.005 {
			t.Errorf("the moment is at %+v, was at %v", at, w.instants[bad])
		}
	}
}

// TestTooFewMomentsAreSaid: a tied take falls back on what is declared, aloud.
func TestTooFewMomentsAreSaid(t *testing.T) {
	for n, missing := range map[int]float64{0: 2, 1: 1} {
		w := world(rand.New(rand.NewPCG(1, 1)), n, 4)
		w.touch.Takes[1].Offset = 0.25
		r := w.read(1)
		if len(r.Warnings) != 1 || r.Warnings[0].Code != CodeTakeNotTied || r.Warnings[0].Doubt != missing || r.Warnings[0].About != "take replay" {
			t.Errorf("%d moments: %v", n, r.Warnings)
		}
		if c := r.Clocks[1]; c.From != ClockDeclared || c.Factor.Mean != 1 || c.Offset.Mean != 0.25 {
			t.Errorf("%d moments: %+v", n, c)
		}
		for i, m := range r.Moments { // the unknown clock says nothing of the moment
			if live := r.Clocks[0]; live.From != ClockDeclared || m.At != clockOf(w.touch.Takes[0], w.clips["a"].Times, live).between(m.Moment.After, m.Moment.By) {
				t.Errorf("moment %d is at %+v", i, m.At)
			}
		}
	}
	// Two moments within a few frames of each other tell no factor.
	w := world(rand.New(rand.NewPCG(1, 1)), 2, 4)
	w.touch.Moments[1] = w.touch.Moments[0]
	w.touch.Moments[1].ID = "again"
	if r := w.read(1); len(r.Warnings) != 1 || r.Warnings[0].Code != CodeTakeNotTied || !strings.Contains(r.Warnings[0].Text, "too close together") {
		t.Errorf("%v", r.Warnings)
	}
}

// TestKeptFactor: a factor set by hand without doubt is kept, and one moment finds
// the offset to the width that two brackets leave: the variance of the difference
// of two uniform instants.
func TestKeptFactor(t *testing.T) {
	w := world(rand.New(rand.NewPCG(4, 4)), 1, 4)
	w.touch.Takes[1].Factor, w.touch.Takes[1].Offset = 4, 99
	r := w.read(1)
	c := r.Clocks[1]
	if c.Factor != quantity.Exactly[quantity.Ratio](4) || c.From != ClockTied || c.Correlation != 0 || len(r.Warnings) > 0 {
		t.Fatalf("%+v %v", c, r.Warnings)
	}
	if want := math.Sqrt((0.02*0.02 + 0.005*0.005) / 12); math.Abs(float64(c.Offset.SD)/want-1) > 0.04 || !c.Offset.Covers(quantity.Seconds(w.offset)) {
		t.Errorf("offset %+v, want SD %v about %v", c.Offset, want, w.offset)
	}
	// A doubtful factor is sharpened by the moments.
	w = world(rand.New(rand.NewPCG(4, 5)), 5, 4)
	w.touch.Takes[1].Factor, w.touch.Takes[1].FactorSD = 4.02, 0.04
	if c := w.read(1).Clocks[1]; c.Factor.SD >= 0.02 || !c.Factor.Covers(4) {
		t.Errorf("%+v", c)
	}
}

// TestChainOfReplays: a second replay shares moments with the first one alone, and
// runs on the clock of the bout all the same.
func TestChainOfReplays(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	w := world(rng, 8, 4)
	w.touch.Takes = append(w.touch.Takes, mark.Take{ID: "again", Video: "b", To: 500, Tied: true})
	const factor, offset = 2.5, 0.2
	for i, m := range w.touch.Moments {
		f := mark.Frame(math.Ceil((w.instants[i] - offset) * factor * 50))
		if i%2 == 0 { // seen in both replays, not live
			m.Take, m.After, m.By = "replay", m.Also[0].After, m.Also[0].By
			m.Also = []mark.Bracket{{Take: "again", After: f - 1, By: f}}
			w.touch.Moments[i] = m
		}
	}
	r := w.read(1)
	c := r.Clocks[2]
	if len(r.Warnings) > 0 || c.From != ClockTied || !c.Factor.Covers(factor) || !c.Offset.Covers(offset) || c.Factor.SD > 0.1 {
		t.Errorf("%+v %v", c, r.Warnings)
	}
	for i, m := range r.Moments {
		if d := float64(m.At.Mean) - w.instants[i]; math.Abs(d) > 4*float64(m.At.SD) {
			t.Errorf("%s is off by %.1f ms, says ± %.1f", m.Moment.ID, 1000*d, 1000*m.At.SD)
		}
	}
}

// TestConflictAmongThree: with three moments any two make a clock, so which one is
// wrong cannot be told; one is named, and that it may be another is said.
func TestConflictAmongThree(t *testing.T) {
	w := world(rand.New(rand.NewPCG(6, 1)), 3, 4)
	b := &w.touch.Moments[1].Also[0]
	b.After, b.By = b.After+60, b.By+60
	r := w.read(1)
	if len(r.Warnings) != 1 || r.Warnings[0].Code != CodeTieConflict || !strings.Contains(r.Warnings[0].Text, "set one more in both takes") {
		t.Fatalf("%v", r.Warnings)
	}
	if c := r.Clocks[1]; c.From != ClockTied || len(c.Moments) != 2 {
		t.Errorf("%+v", c)
	}
}

// TestCloserMomentsWin: where two sets of equally many moments fit, the one whose
// brackets lie with their middles together is taken.
func TestCloserMomentsWin(t *testing.T) {
	at := func(tau, m float64) link {
		return link{after: tau - 0.01, by: tau + 0.01, lo: m - 0.01, hi: m + 0.01}
	}
	// Both moments at 2 s fit the line through the outer two, 1.5 s there: the one 20 ms
	// late just so, the other 10 ms early better. They miss each other by 5 ms.
	links := []link{at(0, 1), at(2, 1.52), at(2, 1.49), at(4, 2)}
	agreed := agreeing(links, 1, 0, false)
	if !slices.Equal(agreed, []bool{true, false, true, true}) {
		t.Errorf("%v", agreed)
	}
}
