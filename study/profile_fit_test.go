package study

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"mesure/measure/motion"
	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// acted is a fencer who moves as the model says, followed with errors: lines of guard,
// shoulder and feet towards the opponent over the time in seconds.
type acted struct {
	guard, shoulder, front, rear func(t float64) float64
}

// follow makes trails of one take out of what a fencer did, 50 frames a second over this
// many seconds, marked on one frame in twelve and followed between with errors of 5 mm.
func (a acted) follow(take string, who mark.Side, seconds float64, rng *rand.Rand) *trails {
	all := &trails{at: map[trackName]*trail{}}
	for i, of := range []struct {
		what mark.What
		x    func(float64) float64
		high float64
	}{{mark.Guard, a.guard, 1.2}, {mark.Shoulder, a.shoulder, 1.4}, {mark.FrontToe, a.front, 0}, {mark.RearToe, a.rear, 0}} {
		n := trackName{take, who, of.what}
		x := &trail{name: n, seen: map[mark.Frame]sighting{}, common: make([]float64, 4)}
		const sd = 0.005
		for f := range int(50 * seconds) {
			at := float64(f) / 50
			place := []float64{towards(who)*of.x(at) + sd*rng.NormFloat64(), of.high + sd*rng.NormFloat64()}
			x.frames = append(x.frames, mark.Frame(f))
			x.samples = append(x.samples, motion.Sample{At: quantity.Seconds(at), Where: quantity.NewJoint(place, []float64{sd * sd, 0, 0, sd * sd})})
			x.marked = append(x.marked, f%12 == 0)
			x.seen[mark.Frame(f)] = sighting{state: StateFollowed}
		}
		x.key = fitKey{byte(i), byte(len(take)), byte(rng.Uint64()), byte(rng.Uint64())}
		all.list, all.at[n] = append(all.list, x), x
	}
	return all
}

// truly is what a fencer truly does.
type truly struct{ onset, arm, armTime, body, bodyTime, delay float64 }

func (m truly) act(foot bool) acted {
	curve := func(by, start, took float64) func(float64) float64 {
		return func(t float64) float64 { return by * timing.MinimumJerk((t-start)/took) }
	}
	arm, body := curve(m.arm, m.onset, m.armTime), curve(m.body, m.onset+m.delay, m.bodyTime)
	a := acted{shoulder: body, guard: func(t float64) float64 { return .48 + arm(t) + body(t) }}
	a.front = func(t float64) float64 { return .3 }
	a.rear = func(t float64) float64 { return -.5 }
	if foot { // both feet go along
		a.front = func(t float64) float64 { return .3 + body(t) }
		a.rear = func(t float64) float64 { return -.5 + body(t) }
	} else if m.body > 0 {
		a.front = func(t float64) float64 { return .3 + 1.1*body(t) }
	}
	return a
}

// read finds the fits of what was followed, as a reading does.
func read(all *trails, who mark.Side, f bout.Fencer) Profile {
	t := &Touch{Takes: []mark.Take{}}
	seen := map[string]bool{}
	for _, x := range all.list {
		if !seen[x.name.take] {
			seen[x.name.take] = true
			t.Takes = append(t.Takes, mark.Take{ID: x.name.take, To: 1000})
		}
	}
	if who == mark.Left {
		t.Bout.Left = f
	} else {
		t.Bout.Right = f
	}
	r := &Reading{clocks: map[string]clock{}}
	for _, k := range t.Takes {
		r.clocks[k.ID] = clock{slope: 1}
		r.Proposals = append(r.Proposals, all.begins(k.ID, who, PartHand)...)
	}
	p := profileOf(t, who)
	p.Fits = all.fits(t, p, r)
	p.learned()
	return p
}

// The movement of a simulated fencer is found and fitted whichever side it is on: over 60
// seeds, with numbers drawn about the defaults of a lunge whose hand starts with the body
// or before it, the 95 % intervals hold the truth in at least 0.88 of the cases (0.95 less
// three standard errors of a share of 60) and the fit is used.
func TestFollowedLungesAreFitted(t *testing.T) {
	if testing.Short() {
		t.Skip("counts one thing after the other")
	}
	const tries = 60
	var held, used [6]int
	found := 0
	for seed := range uint64(tries) {
		rng := rand.New(rand.NewPCG(seed, 4))
		who := mark.Sides[seed%2]
		draw := func(mean, sd float64) float64 { return mean + sd*max(-2, min(2, rng.NormFloat64())) }
		m := truly{onset: draw(.5, .05), arm: draw(.40, .04), armTime: draw(.26, .03), body: draw(1.0, .12), bodyTime: draw(.78, .06), delay: draw(.05, .03)}
		p := read(m.act(false).follow("live", who, 2.2, rng), who, bout.Fencer{})
		i := slices.IndexFunc(p.Fits, func(f Fit) bool { return f.Action == timing.Lunge })
		if i < 0 {
			t.Errorf("seed %d: of a lunge of %+v nothing was found, only %d fits", seed, m, len(p.Fits))
			continue
		}
		found++
		f := p.Fits[i]
		for k, ok := range [6]bool{
			f.Fitted.Arm.Covers(quantity.Metres(m.arm)), f.Fitted.ArmTime.Covers(quantity.Seconds(m.armTime)), f.Fitted.Body.Covers(quantity.Metres(m.body)),
			f.Fitted.BodyTime.Covers(quantity.Seconds(m.bodyTime)), f.Fitted.Delay.Covers(quantity.Seconds(m.delay)), f.Onset.Covers(quantity.Seconds(m.onset)),
		} {
			if ok {
				held[k]++
			}
		}
		for k, name := range []string{usesArm, figLunge, figLungeTime, figLungeDelay} {
			if slices.Contains(f.Uses, name) {
				used[k]++
			}
		}
		if f.RMS > 0.012 || len(f.Data) < 10 || len(f.Curve) < 10 || f.Take != "live" || f.From >= f.To {
			t.Errorf("seed %d: %v residual, %d data, %d points of the curve, %v %v to %v", seed, f.RMS, len(f.Data), len(f.Curve), f.Take, f.From, f.To)
		}
	}
	t.Logf("%d found; held: arm %d, time %d, body %d, time %d, delay %d, onset %d; used %v", found, held[0], held[1], held[2], held[3], held[4], held[5], used[:4])
	for k, n := range held {
		if n < 53 {
			t.Errorf("number %d is held by %d of %d intervals", k, n, tries)
		}
	}
	for k, n := range used[:4] {
		if n < 54 {
			t.Errorf("figure %d is used in %d of %d", k, n, tries)
		}
	}
}

// An extension on the spot tells the extension; a step back the step back, unless the foot
// stays; and neither is taken for the other.
func TestFollowedExtensionsAndStepsBackAreFitted(t *testing.T) {
	for seed := range uint64(10) {
		rng := rand.New(rand.NewPCG(seed, 5))
		who := mark.Sides[seed%2]
		p := read(truly{onset: .6, arm: .42, armTime: .30, bodyTime: 1}.act(false).follow("live", who, 1.6, rng), who, bout.Fencer{})
		if len(p.Fits) != 1 || p.Fits[0].Action != timing.Extension || !slices.Equal(p.Fits[0].Uses, []string{figExtension, figExtensionTime}) {
			t.Fatalf("seed %d: an extension gives %+v", seed, p.Fits)
		}
		g := p.figure(figExtensionTime)
		if g.From != FromFitted || g.PriorSeconds == nil || g.PriorSeconds.Mean != timing.ArmTime || !(g.Seconds.Mean > .24 && g.Seconds.Mean < .31) || g.Seconds.SD >= timing.ArmTimeSD {
			t.Errorf("seed %d: of an extension of 0.30 s the profile has %+v", seed, g.Seconds)
		}
		// It was shorter than the default: that says nothing of how far the arm can go.
		if g := p.figure(figExtension); g.From != FromDefault || g.Metres.Mean != timing.ArmTravel {
			t.Errorf("seed %d: a short extension changed the reach to %+v", seed, g.Metres)
		}
		p = read(truly{onset: .6, armTime: 1, body: -.30, bodyTime: .40}.act(true).follow("live", who, 1.6, rng), who, bout.Fencer{})
		if len(p.Fits) != 1 || p.Fits[0].Action != timing.Retreat || !p.Fits[0].Fitted.Body.Covers(-.30) || !p.Fits[0].Fitted.BodyTime.Covers(.40) {
			t.Fatalf("seed %d: a step back gives %+v", seed, p.Fits)
		}
		if g := p.figure(figStepBack); g.From != FromFitted || !(g.Metres.Mean > .29 && g.Metres.Mean < .40) {
			t.Errorf("seed %d: of a step back of 0.30 m the profile has %+v", seed, g.Metres)
		}
		p = read(truly{onset: .6, armTime: 1, body: -.30, bodyTime: .40}.act(false).follow("live", who, 1.6, rng), who, bout.Fencer{})
		if len(p.Fits) != 0 {
			t.Errorf("seed %d: who leans back while the feet stay steps back: %+v", seed, p.Fits)
		}
	}
}

// A longer lunge than the usual one raises the reach, and the step and lunge with it; one
// movement that two takes show counts once.
func TestLongLungeRaisesTheReach(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 6))
	m := truly{onset: .5, arm: .45, armTime: .25, body: 1.4, bodyTime: .85, delay: .05}
	all := m.act(false).follow("live", mark.Left, 2.2, rng)
	again := m.act(false).follow("other", mark.Left, 2.2, rng)
	all.list = append(all.list, again.list...)
	for n, x := range again.at {
		all.at[n] = x
	}
	p := read(all, mark.Left, bout.Fencer{})
	if len(p.Fits) != 1 {
		t.Fatalf("one lunge in two takes gives %d fits", len(p.Fits))
	}
	g, s := p.figure(figLunge), p.figure(figStepLunge)
	was, _ := timing.Default(timing.Lunge, "", "")
	if g.From != FromFitted || g.Metres.Mean < was.Body.Mean+.1 || g.Metres.Mean > 1.4 {
		t.Errorf("after a lunge of 1.40 m the profile has %+v, before %+v", g.Metres, was.Body)
	}
	if s.From != FromFitted || math.Abs(float64(s.Metres.Mean-g.Metres.Mean-timing.StepReach)) > 1e-9 || s.PriorMetres == nil {
		t.Errorf("step and lunge is %+v", s)
	}
	// In the race that follows: this arm and this body.
	move, err := p.movement(timing.Lunge, bout.Fencer{}, nil)
	if err != nil || move.Body != *g.Metres || move.BodyTime != *p.figure(figLungeTime).Seconds || move.Source == was.Source {
		t.Errorf("the lunge of the race is %+v, %v", move, err)
	}
}

// Fits of one touch go into another: what was followed there is known here, by its name,
// counts as one movement, and changes the name of the inputs.
func TestKnownFitsOfAnotherTouch(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 7))
	other := &Reading{Touch: &Touch{Number: 3}}
	other.Profiles[mark.Left] = read(truly{onset: .6, arm: .48, armTime: .33, bodyTime: 1}.act(false).follow("live", mark.Left, 1.6, rng), mark.Left, bout.Fencer{})
	known := FitsOf(other, mark.Left)
	if len(known) != 1 || known[0].Touch != "touch 3" || other.Profiles[mark.Left].Fits[0].Touch != "" {
		t.Fatalf("known are %+v", known)
	}
	if len(FitsOf(other, mark.Right)) != 0 || FitsOf(nil, mark.Left) != nil {
		t.Error("fits out of nothing")
	}
	touch := stage(9, 1.5).touch
	bare := mustRead(t, touch, ReadOptions{Draws: 100})
	r := mustRead(t, touch, ReadOptions{Draws: 100, Known: [2][]Fit{known, nil}})
	got, was := r.Profiles[mark.Left].figure(figExtensionTime), bare.Profiles[mark.Left].figure(figExtensionTime)
	if got.From != FromFitted || !(got.Seconds.Mean > was.Seconds.Mean+.02) || got.Source != "one movement followed in other touches; before: "+was.Source {
		t.Errorf("the profile has %+v", got)
	}
	if len(FitsOf(r, mark.Left)) != 0 {
		t.Error("a fit of another touch is handed on as this one's")
	}
	if r.Inputs == bare.Inputs {
		t.Error("what is known of other touches does not change the name of the inputs")
	}
	// Two movements leave less doubt than one.
	two := mustRead(t, touch, ReadOptions{Draws: 100, Known: [2][]Fit{append(known, known...), nil}})
	if a, b := two.Profiles[mark.Left].figure(figExtensionTime).Seconds.SD, got.Seconds.SD; a >= b {
		t.Errorf("± %v after two movements, ± %v after one", a, b)
	}
}

// Kept fits are those that would be made anew, and what they follow from names them.
func TestKeptFits(t *testing.T) {
	act := truly{onset: .5, arm: .45, armTime: .25, body: 1.0, bodyTime: .8, delay: .05}.act(false)
	all := act.follow("live", mark.Left, 2.2, rand.New(rand.NewPCG(1, 8)))
	fresh := read(all, mark.Left, bout.Fencer{})
	all.kept = &Cameras{}
	for range 2 {
		if got := read(all, mark.Left, bout.Fencer{}); !reflect.DeepEqual(got, fresh) {
			t.Errorf("kept fits differ")
		}
	}
	slow := read(all, mark.Left, bout.Fencer{Own: []bout.Own{{Name: figLungeTime, Value: 1.2, SD: 0.01}}})
	if slow.Fits[0].Prior.BodyTime.Mean != 1.2 {
		t.Error("a stated number does not become the prior of the fit")
	}
}

// A slow replay whose time factor is doubtful leaves the times as doubtful.
func TestDoubtfulClockDoubtsTheTimes(t *testing.T) {
	all := truly{onset: .6, arm: .42, armTime: .30, bodyTime: 1}.act(false).follow("live", mark.Left, 1.6, rand.New(rand.NewPCG(3, 5)))
	b := all.bodyOf("live", mark.Left)
	touch := &Touch{Takes: []mark.Take{{ID: "live", To: 1000}}}
	p := profileOf(touch, mark.Left)
	starts := all.begins("live", mark.Left, PartHand)
	sure := b.fits(touch, p, starts)
	b.slow = 0.10
	doubtful := b.fits(touch, p, starts)
	if len(sure) != 1 || len(doubtful) != 1 {
		t.Fatal(len(sure), len(doubtful))
	}
	s, d := sure[0].Fitted.ArmTime, doubtful[0].Fitted.ArmTime
	if want := math.Hypot(float64(s.SD), 0.10*float64(s.Mean)); math.Abs(float64(d.SD)-want) > 1e-9 {
		t.Errorf("± %v with a clock known to a tenth, want ± %v", d.SD, want)
	}
}

// Nothing, too little, and what is no movement give no fits and change nothing.
func TestNoFits(t *testing.T) {
	still := truly{onset: .6, armTime: 1, bodyTime: 1}.act(false)
	for name, all := range map[string]*trails{
		"nothing was followed": nil,
		"nobody moves":         still.follow("live", mark.Left, 1.5, rand.New(rand.NewPCG(1, 9))),
		"four frames":          still.follow("live", mark.Left, 0.09, rand.New(rand.NewPCG(1, 9))),
	} {
		p := profileOf(&Touch{}, mark.Left)
		if all != nil {
			p = read(all, mark.Left, bout.Fencer{})
		} else if got := all.fits(&Touch{}, p, &Reading{}); got != nil {
			t.Errorf("%s: %v", name, got)
		}
		if len(p.Fits) != 0 || !reflect.DeepEqual(p.Figures, profileOf(&Touch{}, mark.Left).Figures) {
			t.Errorf("%s: %d fits", name, len(p.Fits))
		}
	}
	// An attack out of a walk began from no rest: the body tells nothing.
	walk := truly{onset: .5, arm: .45, armTime: .25, body: 1.0, bodyTime: .8, delay: .05}.act(false)
	body := walk.shoulder
	walk.shoulder = func(t float64) float64 { return 1.0*t + body(t) }
	guard := walk.guard
	walk.guard = func(t float64) float64 { return 1.0*t + guard(t) }
	p := read(walk.follow("live", mark.Left, 1.6, rand.New(rand.NewPCG(1, 10))), mark.Left, bout.Fencer{})
	for _, f := range p.Fits {
		if slices.Contains(f.Uses, figLunge) || slices.Contains(f.Uses, figExtension) || len(f.Uses) == 0 && f.Unused == "" {
			t.Errorf("out of a walk: %s uses %v, %q", f.Action, f.Uses, f.Unused)
		}
	}
}

// What a fit may tell: nothing where the curve misses what was followed, nothing beyond the
// bounds of a figure, and the profile keeps to them.
func TestFitsThatTellNothing(t *testing.T) {
	arm := timing.Movement{Name: timing.Extension, Arm: quantity.Normal(quantity.Metres(.4), .01), ArmTime: quantity.Normal(quantity.Seconds(.3), .01)}
	for _, c := range []struct {
		rms  quantity.Metres
		seen quantity.Ratio
		took quantity.Seconds
		uses int
	}{{.004, 1, .3, 2}, {.03, 1, .3, 0}, {.004, .79, .3, 0}, {.004, 1, .04, 1}} {
		arm.ArmTime.Mean = c.took
		f := Fit{Action: timing.Extension, SeenArm: c.seen, RMS: c.rms, Fitted: arm, Prior: arm}
		f.uses(false)
		if len(f.Uses) != c.uses || (f.Unused == "") != (c.uses > 0) {
			t.Errorf("%+v: uses %v, %q", c, f.Uses, f.Unused)
		}
	}
	far := Fit{Action: timing.Lunge, Uses: []string{figLungeDelay}, Fitted: timing.Movement{Delay: quantity.Normal(quantity.Seconds(-3), .01)}, Prior: timing.Movement{Delay: quantity.Normal(quantity.Seconds(.05), .04)}}
	p := statedProfile(mark.Left, bout.Fencer{})
	p.Fits = []Fit{far}
	p.learned()
	if g := p.figure(figLungeDelay).Seconds; g.Mean != -0.5 || g.Lo < -0.5 {
		t.Errorf("a delay beyond its bounds made the profile %v", g)
	}
}

// Who recovers from a lunge takes no step back.
func TestRecoveryIsNoStepBack(t *testing.T) {
	a := truly{onset: .4, arm: .45, armTime: .25, body: 1.0, bodyTime: .7, delay: .05}.act(false)
	back := func(t float64) float64 { return -.5 * timing.MinimumJerk((t-1.6)/.6) }
	for _, of := range []*func(float64) float64{&a.guard, &a.shoulder, &a.front, &a.rear} {
		forth := *of
		*of = func(t float64) float64 { return forth(t) + back(t) }
	}
	p := read(a.follow("live", mark.Left, 2.6, rand.New(rand.NewPCG(2, 9))), mark.Left, bout.Fencer{})
	if len(p.Fits) != 1 || p.Fits[0].Action != timing.Lunge || p.figure(figStepBack).From != FromDefault {
		t.Errorf("%d fits, the step back is from %s", len(p.Fits), p.figure(figStepBack).From)
	}
}
