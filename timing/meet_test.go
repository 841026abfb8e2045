package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/quantity"
)

// guards are two fencers alike at one gap, known to a centimetre.
func guards(gap quantity.Metres, level string) OnGuard {
	a := NewAbility(quantity.Normal(gap, 0.01), "", level)
	return OnGuard{Fencers: [2]Ability{a, a}, GapCorrelation: 1}
}

func meetOf(t *testing.T, o OnGuard, left, right Plan) (PhraseEnds, quantity.Chance) {
	t.Helper()
	m, err := o.Meet(epee(), []Plan{left}, []Plan{right}, 200, 16, rand.NewPCG(3, 4))
	if err != nil {
		t.Fatal(err)
	}
	return m.Mean[0][0], m.Served[0][0]
}

// deadly lets every point that arrives hit, and nothing be held, found or remised.
func deadly(o OnGuard) OnGuard {
	for i := range o.Fencers {
		a := &o.Fencers[i]
		one, nought := quantity.Exactly[quantity.Chance](1), quantity.Exactly[quantity.Chance](0)
		a.OnBody, a.OnHand, a.Holding, a.Finding, a.Remising = one, one, nought, nought, nought
	}
	return o
}

// The tactical wheel as order relations: what beats hits alone more often than what is
// beaten, at lunging measure. Source: the teaching model of the trade (figures 2d).
func TestMeetTacticalWheel(t *testing.T) {
	for _, level := range []string{"elite", "club"} {
		for _, e := range []struct{ beaten, beats Plan }{{Straight, Parrying}, {Parrying, Feinting}, {Feinting, Countering}, {Countering, Drawing}} {
			m, _ := meetOf(t, guards(1.15, level), e.beaten, e.beats)
			if m.Right <= m.Left {
				t.Errorf("%s: %s against %s ends %.2f, that is not beaten", level, e.beaten, e.beats, m)
			}
		}
	}
}

// Rules of thumb of the trade (figures section 6; common practice, no source unless
// noted).
func TestMeetTradeRules(t *testing.T) {
	at := func(gap quantity.Metres) OnGuard { return guards(gap, "elite") }
	t.Run("T8 a straight flèche from 3 m does not beat a parry, T9 from 1 m it may", func(t *testing.T) {
		far, _ := meetOf(t, at(3.0), Running, Parrying)
		near, _ := meetOf(t, at(1.0), Running, Parrying)
		if far.Left > 0.02 || near.Left < 0.2 {
			t.Errorf("from 3 m %.3f, from 1 m %.3f", far.Left, near.Left)
		}
	})
	t.Run("T10 a parry may be later than a counter for a single light", func(t *testing.T) {
		o := deadly(at(1.2))
		o.Fencers[Right].Visual.Simple.Mean += 0.06
		_, parried := meetOf(t, o, Straight, Parrying)
		single, _ := meetOf(t, o, Straight, CounteringBody)
		if parried <= single.Right {
			t.Errorf("the parry is in time in %.2f, the counter alone in %.2f", parried, single.Right)
		}
	})
	t.Run("T11 a counter for a single light needs the nearer target or a step back", func(t *testing.T) {
		o := deadly(at(1.2))
		hand, _ := meetOf(t, o, Straight, Countering)
		body, _ := meetOf(t, o, Straight, CounteringBody)
		back, _ := meetOf(t, o, Straight, CounteringBack)
		// A step back takes the own point away as much as the target: what it buys is that
		// the attack arrives less often.
		if hand.Right < body.Right+0.2 || back.Right < body.Right || back.Left+back.Both > body.Left+body.Both-0.1 {
			t.Errorf("to the hand %.2f, to the body %.2f, with a step back %.2f", hand, body, back)
		}
	})
	t.Run("T12 opposition lets the counter be late", func(t *testing.T) {
		o := deadly(at(1.2))
		for i := range o.Fencers {
			o.Fencers[i].Holding = quantity.Exactly[quantity.Chance](1)
		}
		open, _ := meetOf(t, o, Straight, CounteringBody)
		closed, _ := meetOf(t, o, Straight, CounteringClosed)
		if closed.Right < open.Right+0.2 {
			t.Errorf("alone: closed %.2f, open %.2f", closed.Right, open.Right)
		}
	})
	t.Run("T19 a remise beats a riposte that waits", func(t *testing.T) {
		o := at(1.2)
		now, _ := meetOf(t, o, Straight, Parrying)
		o.Fencers[Right].Hold = quantity.Exactly[quantity.Seconds](0.3)
		late, _ := meetOf(t, o, Straight, Parrying)
		if late.Right >= now.Right-0.05 || late.Left <= now.Left {
			t.Errorf("at once %.2f, late %.2f", now, late)
		}
	})
	t.Run("a blade that is held does not remise in time", func(t *testing.T) {
		o := at(1.2)
		hits := func(holding quantity.Chance) quantity.Chance {
			o.Fencers[Right].Holding = quantity.Exactly(holding)
			m, _ := meetOf(t, o, Straight, Parrying)
			return m.Left + m.Both
		}
		if free, held := hits(0), hits(1); held > free-0.04 {
			t.Errorf("the attack hits in %.2f where it is held, in %.2f where it is free", held, free)
		}
	})
	t.Run("T17 a feint costs a tempo against an attack too", func(t *testing.T) {
		o := at(1.2)
		if m, _ := meetOf(t, o, Straight, Feinting); m.Left < m.Right+0.1 {
			t.Errorf("a straight attack into a feint ends %.2f", m)
		}
	})
	t.Run("T20 the longer one lunges from where the shorter needs a step", func(t *testing.T) {
		o := at(1.6)
		o.Fencers[Left].Lunge.Body.Mean += 0.30
		m, err := o.Meet(epee(), []Plan{Straight}, []Plan{Straight}, 50, 2, rand.NewPCG(1, 1))
		if err != nil || m.Goes != [2]string{Lunge, StepLunge} {
			t.Errorf("%v, %v", m.Goes, err)
		}
	})
	t.Run("T21 never lunge from where the other can extend", func(t *testing.T) {
		if _, first := meetOf(t, at(0.85), Straight, Countering); first < 0.75 {
			t.Errorf("the counter is first in %.2f", first)
		}
	})
	t.Run("at long measure nothing is likelier", func(t *testing.T) {
		for _, g := range []Plan{Straight, Feinting, Taking} {
			for _, w := range []Plan{Countering, Parrying, GoingBack} {
				near, _ := meetOf(t, at(1.2), g, w)
				far, _ := meetOf(t, at(2.6), g, w)
				if far.Nothing <= near.Nothing {
					t.Errorf("%s against %s: %.2f, from far %.2f", g, w, near.Nothing, far.Nothing)
				}
			}
		}
	})
}

// T17 and T18: a feint costs a disengage, and one that ends after the blades have met is
// met.
func TestMeetFeint(t *testing.T) {
	o := guards(1.2, "elite")
	m, err := newMeeter(o, epee())
	if err != nil {
		t.Fatal(err)
	}
	rng, p := &stream{7}, phrase{}
	for range 200 {
		m.know(rng)
		m.next(&p, rng)
		s := &p.s[Left]
		plain, feint := p.lands(Left, p.attackOf(Left, Straight, 0)), p.lands(Left, p.attackOf(Left, Feinting, 0))
		if arm := s.x[mArmTime]; !math.IsInf(plain, 1) && plain > arm && feint < plain+s.x[mDisengage]-1e-7 {
			t.Fatalf("straight at %v, with a disengage of %v at %v", plain, s.x[mDisengage], feint)
		}
		s.plannedParry = 5 // far too late
		_, served := p.meet(Feinting, Parrying)
		w := &p.s[Right]
		a := p.attackOf(Left, Feinting, 0)
		ready := a.seen(w.cueTau) + w.x[mVisual]
		if there := ready + w.x[mParry] + p.size(Left, a, ready); served != (there <= feint) {
			t.Fatal("a feint whose disengage is late is not met like a straight attack")
		}
	}
}

// A second route for two who both attack with the arm: their arrivals are independent
// and normal, and the closed form of the race holds (figures G15).
func TestMeetClosedForm(t *testing.T) {
	o := deadly(guards(0.3, ""))
	for i := range o.Fencers {
		o.Fencers[i].Gap.SD = 0
		o.Fencers[i].Extension.Arm.SD, o.Fencers[i].Extension.ArmTime.SD = 0, 0
	}
	m, err := o.Meet(Apparatus{Window: 0.045}, []Plan{Straight}, []Plan{Straight}, 400, 64, rand.NewPCG(5, 6))
	if err != nil {
		t.Fatal(err)
	}
	moment := quantity.Normal(quantity.Seconds(0), MomentSD)
	want := GaussianRace(moment, moment, 0.045)
	got := m.Mean[0][0]
	approx(t, "left", float64(got.Left), float64(want.LeftOnly), 0.01) // three standard errors of 25,600
	approx(t, "right", float64(got.Right), float64(want.RightOnly), 0.01)
	approx(t, "both", float64(got.Both), float64(want.Both), 0.01)
}

// A second route for two who both lunge: Race.Run draws the same race by its own runner.
func TestMeetAgreesWithTheRace(t *testing.T) {
	o := deadly(guards(1.2, "elite"))
	o.Fencers[Right].Gap.Mean = 1.3
	var r Race
	for i := range o.Fencers {
		a := &o.Fencers[i]
		a.Gap.SD, a.StepLunge = 0, a.Lunge
		a.Lunge.Delay.SD, a.StepLunge.Delay.SD = 0, 0 // Race leaves out what is over before it starts
		r.Runners[i] = Runner{Gap: a.Gap, Movement: a.Lunge, Onset: Observed(quantity.Normal(0.5, MomentSD), false)}
	}
	want, err := r.Run(epee(), 40_000, rand.NewPCG(1, 7))
	if err != nil {
		t.Fatal(err)
	}
	m, err := o.Meet(epee(), []Plan{Straight}, []Plan{Straight}, 1000, 16, rand.NewPCG(1, 8))
	if err != nil {
		t.Fatal(err)
	}
	got := m.Mean[0][0]
	approx(t, "left alone", float64(got.Left), float64(want.LeftOnly.Mean), 0.015)
	approx(t, "right alone", float64(got.Right), float64(want.RightOnly.Mean), 0.015)
	approx(t, "both", float64(got.Both), float64(want.Both.Mean), 0.015)
}

// A second route for an attack: Exchange.Windows draws the same exchange by the latest
// start of each answer, this model by running it.
func TestMeetAgreesWithWindows(t *testing.T) {
	o := deadly(guards(1.2, "elite"))
	for i := range o.Fencers {
		o.Fencers[i].Gap.SD, o.Fencers[i].Lead.SD = 0, 0
	}
	for i := range o.Fencers {
		o.Fencers[i].StepLunge = o.Fencers[i].Lunge // who thinks the lunge too short lunges all the same
	}
	a := o.Fencers[Left]
	d := NewDefence(quantity.Exactly(a.Gap.Mean - a.Lead.Mean))
	d.TargetOnArm = 1
	x := Exchange{Attack: NewAttack(a.Gap, a.Lunge), Defence: d}
	w, err := x.Windows(epee(), 20_000, rand.NewPCG(8, 8))
	if err != nil {
		t.Fatal(err)
	}
	in := map[Answer]float64{}
	for _, e := range w.Each {
		in[e.Answer] = float64(e.InTime.Mean)
	}
	run := func(p Plan) PhraseEnds {
		m, err := o.Meet(epee(), []Plan{Straight}, []Plan{p}, 800, 16, rand.NewPCG(2, 2))
		if err != nil {
			t.Fatal(err)
		}
		return m.Mean[0][0]
	}
	counter, back := run(Countering), run(GoingBack)
	approx(t, "counter alone", float64(counter.Right), in[ExtendSingle], 0.015)
	approx(t, "counter at all", float64(counter.Right+counter.Both), in[ExtendDouble], 0.015)
	approx(t, "falls short", float64(back.Nothing), in[RetreatOut], 0.02)
	// The parry is sized by the distance of the hand here: at most 40 ms either way.
	_, parried := meetOf(t, o, Straight, Parrying)
	bound := func(by quantity.Seconds) float64 {
		y := x
		y.Defence.Lateral.Mean += by
		w, err := y.Windows(epee(), 5000, rand.NewPCG(8, 8))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range w.Each {
			if e.Answer == ParryLateral {
				return float64(e.InTime.Mean)
			}
		}
		return math.NaN()
	}
	if lo, hi := bound(0.04), bound(-0.04); float64(parried) < lo || float64(parried) > hi {
		t.Errorf("parried in %.3f, windows say %.3f to %.3f", parried, lo, hi)
	}
}

// Swapping sides swaps ends, phrase by phrase.
func TestMeetMirrored(t *testing.T) {
	o := guards(1.2, "elite")
	o.Fencers[Right] = NewAbility(quantity.Normal[quantity.Metres](1.1, 0.2), "f", "club")
	m, err := newMeeter(o, epee())
	if err != nil {
		t.Fatal(err)
	}
	rng := &stream{11}
	var p phrase
	for range 60 {
		m.know(rng)
		m.next(&p, rng)
		q := phrase{s: [2]fighter{p.s[Right], p.s[Left]}, window: p.window}
		for _, l := range Plans() {
			for _, r := range Plans() {
				a, _ := p.meet(l, r)
				b, _ := q.meet(r, l)
				if want := [4]meetEnd{endRight, endBoth, endLeft, endNothing}[a]; b != want {
					t.Fatalf("%s against %s ends %d, mirrored %d", l, r, a, b)
				}
			}
		}
	}
}

// The draws vary as the chances do and not as counts of few trials: as much with 4
// trials as with thirty times as many, within what 400 draws tell of a spread.
func TestMeetNoiseIsTakenOff(t *testing.T) {
	o := guards(1.2, "")
	spread := func(trials int) float64 {
		m, err := o.Meet(epee(), []Plan{Straight}, []Plan{Parrying}, 400, trials, rand.NewPCG(9, 1))
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, d := range m.Draws[0][0] {
			if s := d.Left + d.Both + d.Right + d.Nothing; math.Abs(float64(s)-1) > 1e-12 {
				t.Fatalf("the ends add up to %v", s)
			}
			sum += math.Pow(float64(d.Right-m.Mean[0][0].Right), 2)
		}
		return math.Sqrt(sum / 400)
	}
	few, many := spread(4), spread(120)
	if few < 0.8*many || few > 1.25*many {
		t.Errorf("standard deviation %.4f with 4 trials, %.4f with 120", few, many)
	}
}

func TestMeetRefuses(t *testing.T) {
	good := guards(1.2, "")
	for name, break_ := range map[string]func(o *OnGuard) ([]Plan, int){
		"gap": func(o *OnGuard) ([]Plan, int) { o.Fencers[0].Gap.Mean = -1; return Plans(), 10 },
		"no number": func(o *OnGuard) ([]Plan, int) {
			o.Fencers[1].Gap.Mean = quantity.Metres(math.NaN())
			return Plans(), 10
		},
		"chance":      func(o *OnGuard) ([]Plan, int) { o.Fencers[1].OnBody.Mean = 1.5; return Plans(), 10 },
		"lunge back":  func(o *OnGuard) ([]Plan, int) { o.Fencers[0].Lunge.Body.Mean = -1; return Plans(), 10 },
		"step in":     func(o *OnGuard) ([]Plan, int) { o.Fencers[0].StepIn.Body.Mean = -0.4; return Plans(), 10 },
		"cue":         func(o *OnGuard) ([]Plan, int) { o.Fencers[0].Cue.Mean = 2; return Plans(), 10 },
		"plan":        func(o *OnGuard) ([]Plan, int) { return []Plan{"somersault"}, 10 },
		"draws":       func(o *OnGuard) ([]Plan, int) { return Plans(), 1 },
		"correlation": func(o *OnGuard) ([]Plan, int) { o.GapCorrelation = 2; return Plans(), 10 },
	} {
		o := good
		plans, n := break_(&o)
		var in *InputError
		if _, err := o.Meet(epee(), plans, Plans(), n, 4, rand.NewPCG(1, 1)); !errors.As(err, &in) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Numbers of any kind leave four chances that add up to one, or a refusal.
func FuzzMeet(f *testing.F) {
	f.Add(1.2, 0.05, 0.45, 0.23, 1.0, 0.7, 0.2, 0.16, uint64(1))
	f.Add(0.0, 0.0, 0.01, 5.0, 3.0, 0.002, 0.0, 2.0, uint64(2))
	f.Fuzz(func(t *testing.T, gap, sd, arm, armTime, body, bodyTime, reaction, parry float64, seed uint64) {
		o := guards(1.2, "")
		a := &o.Fencers[0]
		a.Gap.Mean, a.Gap.SD = quantity.Metres(gap), quantity.Metres(sd)
		a.Extension.Arm.Mean, a.Extension.ArmTime.Mean = quantity.Metres(arm), quantity.Seconds(armTime)
		a.Lunge.Body.Mean, a.Lunge.BodyTime.Mean = quantity.Metres(body), quantity.Seconds(bodyTime)
		a.Visual.Simple.Mean, a.Lateral.Mean = quantity.Seconds(reaction), quantity.Seconds(parry)
		m, err := o.Meet(epee(), Plans(), Plans(), 2, 2, rand.NewPCG(seed, 1))
		var in *InputError
		if err != nil {
			if !errors.As(err, &in) {
				t.Fatal(err)
			}
			return
		}
		for _, row := range m.Mean {
			for _, e := range row {
				if s := float64(e.Left + e.Both + e.Right + e.Nothing); !(math.Abs(s-1) < 1e-9) || e.Left < 0 || e.Right < 0 || e.Both < 0 || e.Nothing < 0 {
					t.Fatalf("%+v", e)
				}
			}
		}
	})
}
