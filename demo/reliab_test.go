package demo

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"mesure/quantity"
	"mesure/timing"
)

// TestReliabilityReachesTheGoal holds the predictions against what the stepped
// simulation shows: ECE at most 0.03 (the goal), each kind of event no further from
// its outcomes than that and twice what luck does, and better than knowing shares.
func TestReliabilityReachesTheGoal(t *testing.T) {
	fewTouches(t)
	r := Reliable(ReliabilityOptions{Seed: 1})
	if r.Touches < 2000 || r.N != r.Touches*len(eventKinds()) || len(r.Bins) != ReliabilityBins {
		t.Fatalf("%d touches, %d chances, %d bins", r.Touches, r.N, len(r.Bins))
	}
	if !(r.ECE <= 0.03) {
		t.Errorf("expected calibration error %.4f", r.ECE)
	}
	n, held := 0, 0
	for _, b := range r.Bins {
		n += b.N
		if !(b.From <= b.Predicted && b.Predicted <= b.To && b.Lo <= b.Observed && b.Observed <= b.Hi) {
			t.Errorf("bin %+v", b)
		}
		if b.Lo <= b.Predicted && b.Predicted <= b.Hi {
			held++
		}
	}
	if n != r.N || held < ReliabilityBins/2 {
		t.Errorf("%d of %d chances are in bins, %d bins hold what was predicted", n, r.N, held)
	}
	if len(r.Kinds) != len(eventKinds()) {
		t.Fatalf("%d kinds", len(r.Kinds))
	}
	for _, k := range r.Kinds {
		if k.N != r.Touches || k.ECE > 0.03+2*k.ECEByLuck {
			t.Errorf("%s: expected calibration error %.4f of %d", k.Kind, k.ECE, k.N)
		}
		if !(k.Brier < k.BrierOfShares/1.5) {
			t.Errorf("%s: Brier score %.4f, of one who knows the shares %.4f", k.Kind, k.Brier, k.BrierOfShares)
		}
	}
}

// fewTouches leaves out what needs thousands of touches: what runs side by side is
// tried by TestReliabilitySideBySide.
func fewTouches(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of touches: run without -short")
	}
}

// What stands in reliability.json, by the names that others read.
func TestReliabilityFile(t *testing.T) {
	data, err := json.Marshal(Reliable(ReliabilityOptions{Touches: 20, Seed: 1}))
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		N, Touches *int
		Brier, ECE *float64
		Bins       []struct {
			N                                     *int
			From, To, Predicted, Observed, Lo, Hi *float64
		}
		Kinds []struct {
			Kind *string
			N    *int
		}
	}
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(&file); err != nil {
		t.Fatal(err)
	}
	if file.N == nil || file.Touches == nil || file.Brier == nil || file.ECE == nil || len(file.Bins) == 0 || len(file.Kinds) == 0 {
		t.Fatalf("%s", data)
	}
	n, off := 0, 0.0
	for _, b := range file.Bins {
		if b.N == nil || b.From == nil || b.To == nil || b.Predicted == nil || b.Observed == nil || b.Lo == nil || b.Hi == nil {
			t.Fatalf("%s", data)
		}
		n += *b.N
		off += float64(*b.N) * math.Abs(*b.Predicted-*b.Observed)
	}
	if n != *file.N || math.Abs(off/float64(n)-*file.ECE) > 2e-6 {
		t.Errorf("the bins hold %d of %d chances and give %g, the file says %g", n, *file.N, off/float64(n), *file.ECE)
	}
}

// TestReliabilityCanFail shows that the goal is missed where fencers or the camera
// are not as supposed.
func TestReliabilityCanFail(t *testing.T) {
	fewTouches(t)
	for name, d := range map[string]Difference{
		"an early peak of the speed":     {Early: .4},
		"an attack that is quicker":      {QuickAttack: .3},
		"a camera that states too small": {Noisier: 3},
	} {
		if r := Reliable(ReliabilityOptions{Seed: 1, Touches: 400, Differs: d}); r.ECE <= 0.03 {
			t.Errorf("%s: the expected calibration error is %.4f all the same", name, r.ECE)
		}
	}
}

// The same touches on any number of processors, and others with another seed.
func TestReliabilitySideBySide(t *testing.T) {
	one := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(one)
	a := Reliable(ReliabilityOptions{Touches: 40, Seed: 7})
	runtime.GOMAXPROCS(3)
	if b := Reliable(ReliabilityOptions{Touches: 40, Seed: 7}); !reflect.DeepEqual(a, b) {
		t.Error("three processors came to another result")
	}
	if b := Reliable(ReliabilityOptions{Touches: 40, Seed: 8}); reflect.DeepEqual(a.Bins, b.Bins) {
		t.Error("another seed came to the same result")
	}
}

// TestStepsAgainstTheRace: where nothing is uncertain and lines are level, stepping
// through time and the equations of the race are two routes to the same arrivals.
func TestStepsAgainstTheRace(t *testing.T) {
	arrived := 0
	for i := range uint64(200) {
		f := fence(ReliabilityOptions{Seed: 3}, i)
		for s := range f.target {
			f.target[s].z = f.point[1-s].z
		}
		w := f.world(&f.bodies[timing.Left], &f.bodies[timing.Right])
		w.play()
		r := timing.Race{}
		for s, b := range f.bodies {
			r.Runners[s] = timing.Runner{
				Gap:         quantity.Exactly(quantity.Metres(math.Abs(f.point[s].x - f.target[1-s].x))),
				Movement:    exact(b),
				Onset:       timing.Observed(quantity.Exactly(quantity.Seconds(b.onset)), false),
				TargetOnArm: quantity.Ratio(f.onArm[1-s]),
			}
		}
		app := f.app
		app.Tolerance, app.ContactMin, app.ContactMax = 0, 0, 0
		app.Window = quantity.Seconds(f.window)
		got, err := r.Run(app, 1, rand.NewPCG(1, 1))
		if err != nil {
			t.Fatal(err)
		}
		for s := range w.runs {
			at := w.runs[s].hits
			if arrives := got.Runs[s].Arrives.Mean == 1; arrives == math.IsInf(at, 1) {
				t.Errorf("touch %d, side %d: stepped to %g, the race says %v", i, s, at, got.Runs[s].Arrives)
			} else if arrives {
				arrived++
				if want := float64(got.Runs[s].Arrival.Mean); math.Abs(at-want) > 5e-4 {
					t.Errorf("touch %d, side %d: stepped to %.5f, the race says %.5f", i, s, at, want)
				}
			}
		}
		f.contact = [2]float64{}
		want := [4]quantity.Of[quantity.Chance]{kindLeft: got.LeftOnly, kindRight: got.RightOnly, kindBoth: got.Both, kindNeither: got.Neither}
		m := w.runs[0].hits - w.runs[1].hits
		if close := math.Abs(math.Abs(m)-f.window) < 1e-3; !close && want[f.raced()].Mean != 1 {
			t.Errorf("touch %d: lamps of kind %d, the race says %v", i, f.raced(), want)
		}
	}
	if arrived < 200 {
		t.Errorf("only %d arrivals were compared", arrived)
	}
}

// exact is a movement without spread.
func exact(b body) timing.Movement {
	m := func(v float64) quantity.Of[quantity.Metres] { return quantity.Exactly(quantity.Metres(v)) }
	s := func(v float64) quantity.Of[quantity.Seconds] { return quantity.Exactly(quantity.Seconds(v)) }
	return timing.Movement{Arm: m(b.arm), ArmTime: s(b.armTime), Body: m(b.body), BodyTime: s(b.bodyTime), Delay: s(b.delay)}
}

// TestScore holds the scores against sums made by hand.
func TestScore(t *testing.T) {
	s := score([]event{{0, 0, .2, true}, {1, 0, .3, false}, {0, 1, .25, false}, {1, 1, .35, true}}, 2)
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 2e-6 {
			t.Errorf("%s %g, want %g", what, got, want)
		}
	}
	near("Brier", s.Brier, (.64+.09+.0625+.4225)/4)
	near("Brier of shares", s.BrierOfShares, .25) // half of either kind came true
	// Bins .2–.3 (two, half came true, .225 predicted) and .3–.4 (two, half, .325).
	near("ECE", s.ECE, (.275+.175)/2)
	if len(s.Bins) != 2 || s.Bins[0].N != 2 || s.Bins[1].N != 2 {
		t.Fatalf("%+v", s.Bins)
	}
	near("predicted", s.Bins[1].Predicted, .325)
	if e := score([]event{{0, 0, 1, true}, {0, 1, 0, false}}, 1); e.ECE != 0 || e.Brier != 0 || len(e.Bins) != 2 || e.Bins[1].To != 1 {
		t.Errorf("certain and right: %+v", e)
	}
	if e := score(nil, 1); e.N != 0 || e.Bins != nil {
		t.Errorf("nothing: %+v", e)
	}
}

// TestLuck: if every chance is right, the ECE is about what ECEByLuck says, also
// where events of one touch come true together; and chances that are a tenth off
// show it.
func TestLuck(t *testing.T) {
	for _, together := range []bool{false, true} {
		var ece, luck, off float64
		const trials = 60
		chance := rand.New(rand.NewPCG(5, 5))
		for range trials {
			var right, wrong []event
			for touch := range 300 {
				u, p := chance.Float64(), .15+.7*chance.Float64()
				for range 4 {
					if !together {
						u, p = chance.Float64(), .15+.7*chance.Float64()
					}
					right = append(right, event{0, touch, p, u < p})
					wrong = append(wrong, event{0, touch, p - .1, u < p})
				}
			}
			a, b := score(right, 1), score(wrong, 1)
			ece, luck, off = ece+a.ECE/trials, luck+a.ECEByLuck/trials, off+b.ECE/trials
		}
		if math.Abs(ece/luck-1) > .12 {
			t.Errorf("together %v: ECE %.4f, by luck %.4f", together, ece, luck)
		}
		if math.Abs(off-.1) > .02 {
			t.Errorf("together %v: a tenth off shows as %.4f", together, off)
		}
	}
}

// Newcombe, Statistics in Medicine 17:857 (1998), table I, method 3; and the same
// as quantity.FromCounts for whole numbers.
func TestWilson(t *testing.T) {
	for _, c := range []struct {
		hits, n int
		lo, hi  float64
	}{{81, 263, .2553, .3662}, {15, 148, .0624, .1605}, {0, 20, 0, .1611}, {1, 29, .0061, .1718}} {
		lo, hi := wilson(float64(c.hits)/float64(c.n), float64(c.n))
		if math.Abs(lo-c.lo) > 5e-5 || math.Abs(hi-c.hi) > 5e-5 {
			t.Errorf("%d of %d: %.4f to %.4f", c.hits, c.n, lo, hi)
		}
		q := quantity.FromCounts(c.hits, c.n)
		if math.Abs(lo-float64(q.Lo)) > 1e-12 || math.Abs(hi-float64(q.Hi)) > 1e-12 {
			t.Errorf("%d of %d: quantity says %v", c.hits, c.n, q)
		}
	}
}

// TestStepsAgainstTheWindows: the same for every answer, also against a defender who
// comes forward: where the windows say that there is more than 2 ms to spare, the
// stepped answer serves, and where more than 2 ms are lacking, it does not.
func TestStepsAgainstTheWindows(t *testing.T) {
	span := func(v float64) quantity.Of[quantity.Seconds] { return quantity.Exactly(quantity.Seconds(v)) }
	var served, failed [9]int
	coming := 0
	for i := range uint64(250) {
		f := fence(ReliabilityOptions{Seed: 4, Differs: Difference{Level: true}}, i)
		f.contact = [2]float64{}
		a, d, x := f.bodies[f.attacker], f.bodies[1-f.attacker], f.answers
		gap := func(s int) quantity.Of[quantity.Metres] {
			return quantity.Exactly(quantity.Metres(math.Abs(f.point[s].x - f.target[1-s].x)))
		}
		e := timing.Exchange{
			Attack: timing.Attack{Gap: gap(f.attacker), Movement: exact(a), Onset: timing.Observed(span(a.onset), false), Cue: quantity.Exactly(quantity.Ratio(x.cue))},
			Defence: timing.Defence{Gap: gap(1 - f.attacker), TargetOnArm: quantity.Ratio(f.onArm[f.attacker]), Extension: exact(x.extension), StepBack: exact(x.back),
				Lateral: span(x.lateral), Semicircular: span(x.semi), Circular: span(x.circular), Opposition: span(x.opposition), Removal: span(x.removal),
				Reaction: timing.Reaction{Simple: span(x.reaction)}},
		}
		if f.coming {
			coming++
			e.Defence.Coming = timing.Runner{Movement: exact(d), Onset: timing.Observed(span(d.onset), false)}
			e.Attack.TargetOnArm = quantity.Ratio(f.onArm[1-f.attacker])
		}
		w, err := e.Windows(timing.Apparatus{Window: quantity.Seconds(f.window)}, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		for k, serves := range f.answered() {
			win := w.Each[k]
			if spare := math.Abs(float64(win.Spare.Mean)); win.Possible.Mean == 1 && w.Arrives.Mean == 1 && spare < 2e-3 {
				continue
			}
			if serves {
				served[k]++
			} else {
				failed[k]++
			}
			if (win.InTime.Mean == 1) != serves {
				t.Errorf("touch %d, %s: stepped %v, the windows say %v with %v to spare (possible %v, attack arrives %v, coming %v)",
					i, win.Answer, serves, win.InTime.Mean, win.Spare.Mean, win.Possible.Mean, w.Arrives.Mean, f.coming)
			}
		}
	}
	for k, a := range timing.Answers() {
		if served[k] < 20 || failed[k] < 20 {
			t.Errorf("%s: %d served and %d did not: too few of one kind", a, served[k], failed[k])
		}
	}
	if coming < 20 {
		t.Errorf("only %d came forward", coming)
	}
}
