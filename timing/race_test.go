package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"mesure/quantity"
)

func run(t testing.TB, r Race, draws int, seed uint64) Result {
	t.Helper()
	got, err := r.Run(epee(), draws, rand.NewPCG(seed, 1))
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestRaceSumsAndSeed(t *testing.T) {
	r := duel(t)
	a, b := run(t, r, 20000, 1), run(t, r, 20000, 1)
	if !reflect.DeepEqual(a, b) {
		t.Error("the same seed gave another result")
	}
	if c := run(t, r, 20000, 2); reflect.DeepEqual(a, c) {
		t.Error("another seed gave the same result")
	}
	approx(t, "lamps", float64(a.LeftOnly.Mean+a.RightOnly.Mean+a.Both.Mean+a.Neither.Mean), 1, 1e-12)
	approx(t, "first", float64(a.LeftFirst.Mean+a.RightFirst.Mean+a.Neither.Mean), 1, 1e-12)
	for i := 1; i < len(a.Matters); i++ {
		if a.Matters[i].Share > a.Matters[i-1].Share {
			t.Error("what matters is not sorted")
		}
	}
	if len(a.Matters) < 8 {
		t.Errorf("%d inputs matter", len(a.Matters))
	}
	total := 0.0
	for _, m := range a.Matters {
		total += float64(m.Share)
	}
	if total < .8 || total > 1.02 {
		t.Errorf("the shares sum to %g", total)
	}
	if q := a.Margin; !q.IsValid() || a.BothArrive.Mean == 0 {
		t.Errorf("margin %+v", q)
	}
}

// The result does not depend on how many processors draw.
func TestRaceSideBySide(t *testing.T) {
	r := duel(t)
	r.GapCorrelation = .3
	one := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(one)
	a := run(t, r, 3*block+17, 9)
	for _, n := range []int{2, 3, 8} {
		runtime.GOMAXPROCS(n)
		if b := run(t, r, 3*block+17, 9); !reflect.DeepEqual(a, b) {
			t.Errorf("%d processors gave another result", n)
		}
	}
	if a.Draws != 3*block+17 {
		t.Errorf("%d draws", a.Draws)
	}
}

// What the straight-line shares say is checked by freezing one input at a time.
func TestMattersBySecondRoute(t *testing.T) {
	manyDraws(t)
	r := duel(t)
	all := run(t, r, 200000, 3)
	for _, m := range all.Matters {
		if m.Share < .1 {
			break
		}
		frozen := r
		mv := &frozen.Runners[m.Side].Movement
		switch m.Input {
		case InputBodyTravel:
			mv.Body.SD = 0
		case InputBodyTime:
			mv.BodyTime.SD = 0
		case InputArmTravel:
			mv.Arm.SD = 0
		case InputArmTime:
			mv.ArmTime.SD = 0
		case InputGap:
			frozen.Runners[m.Side].Gap.SD = 0
		default:
			continue
		}
		less := run(t, frozen, 200000, 3)
		fell := 1 - less.Margin.Variance()/all.Margin.Variance()
		approx(t, m.Input, fell, float64(m.Share), .08)
	}
}

// Swapping the sides swaps the result, within the noise of the draws.
func TestRaceSymmetry(t *testing.T) {
	const draws = 100000
	r := duel(t)
	s := Race{Runners: [2]Runner{r.Runners[Right], r.Runners[Left]}}
	a, b := run(t, r, draws, 4), run(t, s, draws, 5)
	same := func(what string, p, q quantity.Of[quantity.Chance]) {
		approx(t, what, float64(p.Mean), float64(q.Mean), 4*math.Hypot(float64(p.SD), float64(q.SD)))
	}
	same("left only", a.LeftOnly, b.RightOnly)
	same("right only", a.RightOnly, b.LeftOnly)
	same("both", a.Both, b.Both)
	same("neither", a.Neither, b.Neither)
	same("first", a.LeftFirst, b.RightFirst)
	same("arrives", a.Runs[Left].Arrives, b.Runs[Right].Arrives)
	approx(t, "margin", float64(a.Margin.Mean), -float64(b.Margin.Mean), 6*float64(a.Margin.SD)/math.Sqrt(draws))
	if !reflect.DeepEqual(a.Runs[Left].Travel, b.Runs[Right].Travel) || !reflect.DeepEqual(a.Runs[Left].Closing, b.Runs[Right].Closing) {
		t.Error("the curves did not swap")
	}
}

// A greater gap never arrives earlier, with every movement on either side.
func TestGreaterGapNeverEarlier(t *testing.T) {
	checked := 0
	for _, mine := range Actions() {
		for _, theirs := range Actions() {
			last, gone := 0.0, false
			for gap := 0.0; gap < 3; gap += .013 {
				r := Race{Runners: [2]Runner{
					{Gap: quantity.Exactly(quantity.Metres(gap)), Movement: fixed(t, mine)},
					{Gap: quantity.Exactly(quantity.Metres(.4)), Movement: fixed(t, theirs), Onset: Observed(seconds(.1, 0), false)},
				}}
				r.Runners[Left].TargetOnArm = .5
				got, err := r.Run(Apparatus{Window: .045}, 1, nil)
				if err != nil {
					t.Fatal(err)
				}
				run := got.Runs[Left]
				if run.Arrives.Mean == 0 {
					gone = true
					continue
				}
				if at := float64(run.Arrival.Mean); gone || at < last-1e-9 {
					t.Fatalf("%s against %s: gap %.3f arrives at %g after %g (gone %v)", mine, theirs, gap, at, last, gone)
				} else {
					last = at
				}
				checked++
			}
		}
	}
	if checked < 1000 {
		t.Fatalf("checked %d", checked)
	}
}

// fixed is a default movement without spread.
func fixed(t testing.TB, action string) Movement {
	m := movement(t, action)
	m.Arm, m.Body = quantity.Exactly(m.Arm.Mean), quantity.Exactly(m.Body.Mean)
	m.ArmTime, m.BodyTime = quantity.Exactly(m.ArmTime.Mean), quantity.Exactly(m.BodyTime.Mean)
	m.Delay = quantity.Exactly(m.Delay.Mean)
	return m
}

// The opponent's own movement: one who comes closer is hit earlier, one who
// retreats later or not at all.
func TestOpponentMovesTheTarget(t *testing.T) {
	arrival := func(theirs string, gap float64) Run {
		r := Race{Runners: [2]Runner{
			{Gap: quantity.Exactly(quantity.Metres(gap)), Movement: fixed(t, Lunge)},
			{Gap: quantity.Exactly(quantity.Metres(2)), Movement: fixed(t, theirs)},
		}}
		got, err := r.Run(Apparatus{Window: .045}, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		return got.Runs[Left]
	}
	stands, comes, goes := arrival(None, 1.2), arrival(Lunge, 1.2), arrival(Retreat, 1.2)
	if !(comes.Arrival.Mean < stands.Arrival.Mean) || goes.Arrives.Mean != 0 {
		t.Errorf("comes %v, stands %v, goes %v", comes.Arrival, stands.Arrival, goes)
	}
	goes = arrival(Retreat, .8)
	if goes.Arrives.Mean != 1 || !(goes.Arrival.Mean > arrival(None, .8).Arrival.Mean) {
		t.Errorf("goes %v", goes)
	}
	// One who stands still is hit by one who runs onto the point.
	r := Race{Runners: [2]Runner{
		{Gap: quantity.Exactly(quantity.Metres(.3)), Movement: fixed(t, None)},
		{Gap: quantity.Exactly(quantity.Metres(5)), Movement: fixed(t, Lunge)},
	}}
	if got, _ := r.Run(Apparatus{}, 1, nil); got.LeftOnly.Mean != 1 || len(got.Warnings) != 1 || got.Warnings[0].Code != WarnOutOfMeasure || got.Warnings[0].Side != Right || got.LeftFirst.Mean != 1 || got.BothArrive.Mean != 0 {
		t.Errorf("ran onto the point: %+v", got)
	}
}

// What was travelled before the gap was measured is not counted again.
func TestOnsetBeforeTheRace(t *testing.T) {
	m := fixed(t, Extension)
	r := Race{Runners: [2]Runner{
		{Gap: quantity.Exactly(quantity.Metres(.2)), Movement: m, Onset: Observed(seconds(-.115, 0), false)}, // half-way
		{Gap: quantity.Exactly(quantity.Metres(5)), Movement: fixed(t, None)},
	}}
	got, err := r.Run(Apparatus{}, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	// 0.225 m is left of 0.45: the gap of 0.2 is closed at s = 0.425.
	want, _ := m.TimeTo(.425)
	approx(t, "arrival", float64(got.Runs[Left].Arrival.Mean), float64(want)-.115, 1e-9)
	r.Runners[Left].Gap = quantity.Exactly(quantity.Metres(.23))
	if got, _ := r.Run(Apparatus{}, 1, nil); got.Neither.Mean != 1 {
		t.Errorf("beyond what is left: %+v", got)
	}
}

// The travel curve meets the gap where the arrival says.
func TestCurvesMeetTheGap(t *testing.T) {
	r := duel(t)
	for side := range r.Runners {
		r.Runners[side].Movement = fixed(t, r.Runners[side].Movement.Name)
		r.Runners[side].Gap.SD, r.Runners[side].Onset.Time.SD = 0, 0
	}
	got, err := r.Run(Apparatus{Window: .045}, 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	for side, run := range got.Runs {
		if run.Arrives.Mean != 1 {
			t.Fatalf("side %d does not arrive", side)
		}
		at := float64(run.Arrival.Mean / CurveStep)
		i := int(at)
		f := at - float64(i)
		sum := func(i int) float64 { return float64(run.Travel[i] + run.Closing[i]) }
		approx(t, "gap", sum(i)*(1-f)+sum(i+1)*f, float64(r.Runners[side].Gap.Mean), 2e-3)
	}
}

// Gaps that go together cancel in the margin of two like runners.
func TestCorrelatedGaps(t *testing.T) {
	r := Race{Runners: [2]Runner{
		{Gap: quantity.Normal(quantity.Metres(.3), .03), Movement: fixed(t, Extension)},
		{Gap: quantity.Normal(quantity.Metres(.3), .03), Movement: fixed(t, Extension)},
	}}
	apart := run(t, r, 50000, 6)
	r.GapCorrelation = .8
	together := run(t, r, 50000, 6)
	approx(t, "variance left", together.Margin.Variance()/apart.Margin.Variance(), .2, .03)
	total := 0.0
	for _, m := range together.Matters {
		total += float64(m.Share)
	}
	approx(t, "shares", total, 1, .05)
	r.GapCorrelation = 1
	one := run(t, r, 5000, 6)
	approx(t, "one error", float64(one.Margin.SD), 0, 1e-6)
	approx(t, "double", float64(one.Both.Mean), 1, 0)
}

func TestReactionFollows(t *testing.T) {
	r := duel(t)
	r.Runners[Left].Onset = Observed(seconds(.2, .01), true)
	got := run(t, r, 20000, 8)
	approx(t, "onset", float64(got.Runs[Right].Onset.Mean), .2+.2+.05, 1e-12)
	approx(t, "spread", float64(got.Runs[Right].Onset.SD), math.Sqrt(.01*.01+.025*.025+.025*.025), 1e-12)
	approx(t, "uniform ends", float64(got.Runs[Left].Onset.Lo), .2-.95*.01*math.Sqrt(3), 1e-12)
	var names []string
	for _, m := range got.Matters {
		if m.Side == Right {
			names = append(names, m.Input)
		}
	}
	if !contains(names, InputReaction) || contains(names, InputOnset) {
		t.Errorf("the right side's inputs are %v", names)
	}
	r.Runners[Left].Onset = r.Runners[Right].Onset
	var both *BothReactError
	if _, err := r.Run(epee(), 10, rand.NewPCG(1, 1)); !errors.As(err, &both) {
		t.Errorf("both react: %v", err)
	}
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// A reaction counts from the opponent's onset, and the arrival from the reaction.
func TestArrivalAfterReaction(t *testing.T) {
	for _, reacts := range []int{Left, Right} {
		var r Race
		for side := range r.Runners {
			r.Runners[side] = Runner{Gap: quantity.Exactly(quantity.Metres(.3)), Movement: fixed(t, Extension)}
		}
		r.Runners[1-reacts].Onset = Observed(seconds(.1, 0), false)
		r.Runners[reacts].Onset = Reacting(seconds(.2, 0), seconds(.05, 0), 4)
		got, err := r.Run(Apparatus{}, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		arm, _ := r.Runners[0].Movement.TimeTo(.3)
		approx(t, "arrival", float64(got.Runs[reacts].Arrival.Mean), .1+.2+2*.05+float64(arm), 1e-9)
		approx(t, "other", float64(got.Runs[1-reacts].Arrival.Mean), .1+float64(arm), 1e-9)
	}
}

// The apparatus by itself: two arrivals a known time apart, the window and the
// contacts uniform over their band, against areas.
func TestApparatusBands(t *testing.T) {
	const draws = 200000
	lamps := func(lead float64, app Apparatus) Result {
		a, _ := still(t, seconds(.3, 0))
		b, _ := still(t, seconds(.3+lead, 0))
		got, err := Race{Runners: [2]Runner{a, b}}.Run(app, draws, rand.NewPCG(3, 3))
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	check := func(what string, got quantity.Of[quantity.Chance], want float64) {
		t.Helper()
		approx(t, what, float64(got.Mean), want, 4*math.Sqrt(want*(1-want)/draws))
	}
	// A lead of 47 ms against a window anywhere from 40 to 50.
	got := lamps(.047, Apparatus{Window: .045, Tolerance: .005})
	check("left only", got.LeftOnly, .7)
	check("both", got.Both, .3)
	// A lead of 20 ms, window 45, each contact anywhere from 0 to 100 ms: their
	// difference is triangular on ±100 ms.
	got = lamps(.020, Apparatus{Window: .045, ContactMax: .1})
	check("left only", got.LeftOnly, .75*.75/2)
	check("right only", got.RightOnly, .35*.35/2)
	approx(t, "first", float64(got.LeftFirst.Mean), 1, 0)
}

// Each input keeps its law and its bounds.
func TestInputLaws(t *testing.T) {
	rng := &stream{14}
	summary := func(in input) quantity.Of[quantity.Ratio] {
		v := make([]quantity.Ratio, 200000)
		for i := range v {
			var one [1]float64
			if v[i] = quantity.Ratio(in.draw(rng)); i%2 == 0 { // the two ways to draw
				in.fill(one[:], rng)
				v[i] = quantity.Ratio(one[0])
			}
			if float64(v[i]) < in.lo || float64(v[i]) > in.hi {
				t.Fatalf("%v outside [%v, %v]", v[i], in.lo, in.hi)
			}
		}
		return quantity.FromDraws(v)
	}
	inf := math.Inf(1)
	u := summary(input{mean: 1, sd: .1, lo: -inf, hi: inf, uniform: true})
	approx(t, "uniform low", float64(u.Lo), 1-.95*.1*math.Sqrt(3), .002)
	approx(t, "uniform sd", float64(u.SD), .1, .001)
	n := summary(input{mean: 1, sd: .1, lo: -inf, hi: inf})
	approx(t, "normal low", float64(n.Lo), 1-1.96*.1, .003)
	summary(input{mean: .1, sd: 5, lo: 0, hi: inf})

	m := movement(t, Extension)
	m.ArmTime.SD = 3 * m.ArmTime.Mean
	in, err := inputsOf("left", Runner{Gap: quantity.Normal(quantity.Metres(.01), .5), Movement: m})
	if err != nil {
		t.Fatal(err)
	}
	if in[inArmTime].lo != shortestShare*float64(m.ArmTime.Mean) || in[inGap].lo != 0 || in[inArmTravel].lo != 0 {
		t.Errorf("bounds %+v", in)
	}
	summary(in[inArmTime])
	summary(in[inGap])

	// Two inputs that go together, by their sample correlation.
	for _, r := range []float64{-.6, .3, .9} {
		a := input{mean: 2, sd: .1, lo: 0, hi: inf}
		var sab, saa, sbb float64
		for range 100000 {
			x := a.draw(rng) - 2
			y := a.drawWith(rng, x/.1, r, math.Sqrt(1-r*r)) - 2
			sab, saa, sbb = sab+x*y, saa+x*x, sbb+y*y
		}
		approx(t, "correlation", sab/math.Sqrt(saa*sbb), r, .01)
		approx(t, "spread", math.Sqrt(sbb/100000), .1, .001)
	}
}

// Every number that cannot be used is named.
func TestRaceRefusals(t *testing.T) {
	nan := math.NaN()
	for name, spoil := range map[string]func(*Race, *Apparatus){
		"left gap":                             func(r *Race, _ *Apparatus) { r.Runners[Left].Gap.Mean = quantity.Metres(nan) },
		"right gap":                            func(r *Race, _ *Apparatus) { r.Runners[Right].Gap.Mean = -1 },
		"right gap SD":                         func(r *Race, _ *Apparatus) { r.Runners[Right].Gap.SD = -1 },
		"left arm travel":                      func(r *Race, _ *Apparatus) { r.Runners[Left].Movement.Arm.Mean = 1e9 },
		"left body travel":                     func(r *Race, _ *Apparatus) { r.Runners[Left].Movement.Body.Mean = quantity.Metres(math.Inf(1)) },
		"left arm time":                        func(r *Race, _ *Apparatus) { r.Runners[Left].Movement.ArmTime.Mean = 0 },
		"left body time":                       func(r *Race, _ *Apparatus) { r.Runners[Left].Movement.BodyTime.Mean = -.1 },
		"left body delay":                      func(r *Race, _ *Apparatus) { r.Runners[Left].Movement.Delay.Mean = quantity.Seconds(nan) },
		"left onset":                           func(r *Race, _ *Apparatus) { r.Runners[Left].Onset.Time.Mean = 1e6 },
		"right reaction":                       func(r *Race, _ *Apparatus) { r.Runners[Right].Onset.Time.Mean = -.1 },
		"window":                               func(_ *Race, a *Apparatus) { a.Window = -1 },
		"tolerance of the window":              func(_ *Race, a *Apparatus) { a.Tolerance = 1 },
		"longest contact":                      func(_ *Race, a *Apparatus) { a.ContactMax = 0 },
		"correlation of the gaps":              func(r *Race, _ *Apparatus) { r.GapCorrelation = 1.5 },
		"right share of the arm in the target": func(r *Race, _ *Apparatus) { r.Runners[Right].TargetOnArm = 2 },
	} {
		r, a := duel(t), epee()
		spoil(&r, &a)
		var bad *InputError
		if _, err := r.Run(a, 100, rand.NewPCG(1, 1)); !errors.As(err, &bad) || bad.Field != name {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, n := range []int{0, -1, MaxDraws + 1} {
		if _, err := duel(t).Run(epee(), n, rand.NewPCG(1, 1)); err == nil {
			t.Errorf("%d draws were made", n)
		}
	}
}

// Whatever comes in: a result whose chances sum to 1, or a named error.
func FuzzRace(f *testing.F) {
	f.Add(1.2, .04, .45, .05, .23, .04, 1.0, .1, .8, .1, .05, .04, .2, .03, .045, uint8(1))
	f.Add(0., 0., 0., 0., 0., 0., -.4, .3, .3, .2, -.1, 1., 0., 0., 0., uint8(2))
	f.Add(math.NaN(), -1., 1e300, math.Inf(1), 1e-300, 5., 90., 99., 999., 999., -999., 999., 999., 999., 999., uint8(7))
	f.Fuzz(func(t *testing.T, gap, gapSD, arm, armSD, armTime, armTimeSD, body, bodySD, bodyTime, bodyTimeSD, delay, delaySD, onset, onsetSD, window float64, bits uint8) {
		type m = quantity.Metres
		type s = quantity.Seconds
		mine := Movement{
			Arm: quantity.Of[m]{Mean: m(arm), SD: m(armSD)}, ArmTime: quantity.Of[s]{Mean: s(armTime), SD: s(armTimeSD)},
			Body: quantity.Of[m]{Mean: m(body), SD: m(bodySD)}, BodyTime: quantity.Of[s]{Mean: s(bodyTime), SD: s(bodyTimeSD)},
			Delay: quantity.Of[s]{Mean: s(delay), SD: s(delaySD)},
		}
		theirs := movement(t, Actions()[int(bits>>4)%len(Actions())])
		r := Race{Runners: [2]Runner{
			{Gap: quantity.Of[m]{Mean: m(gap), SD: m(gapSD)}, Movement: mine, TargetOnArm: quantity.Ratio(bits&1) / 2,
				Onset: Onset{AfterOther: bits&2 > 0, Uniform: bits&4 > 0, Time: quantity.Of[s]{Mean: s(onset), SD: s(onsetSD)}}},
			{Gap: quantity.Normal(m(1), .1), Movement: theirs},
		}, GapCorrelation: quantity.Ratio(bits&8) / 8}
		got, err := r.Run(Apparatus{Window: s(window)}, 50, rand.NewPCG(uint64(bits), 1))
		if err != nil {
			var bad *InputError
			if !errors.As(err, &bad) {
				t.Fatalf("not a named error: %v", err)
			}
			return
		}
		sum := got.LeftOnly.Mean + got.RightOnly.Mean + got.Both.Mean + got.Neither.Mean
		if math.Abs(float64(sum)-1) > 1e-9 {
			t.Fatalf("the lamps sum to %v", sum)
		}
		for _, q := range []quantity.Of[quantity.Seconds]{got.Margin, got.Runs[0].Arrival, got.Runs[1].Arrival, got.Runs[0].Onset} {
			if !q.IsValid() {
				t.Fatalf("%+v", q)
			}
		}
		for _, run := range got.Runs {
			for _, v := range append(run.Travel, run.Closing...) {
				if math.IsNaN(float64(v)) {
					t.Fatal("NaN in a curve")
				}
			}
		}
	})
}
