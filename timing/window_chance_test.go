package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
)

const windowDrawsTested = 20000

// The chances of a counter against the closed form of race_model.json (Gaussian
// arrivals): an attack whose arrival is normal, an extension that is not uncertain
// and a reaction that is.
func TestCounterAgainstGaussianRace(t *testing.T) {
	checked := 0
	for _, row := range readModel(t).Gaussian {
		x := lungeAt(t, .3, .3)
		x.Attack.Gap, x.Defence.Gap = quantity.Exactly(quantity.Metres(.3)), quantity.Exactly(quantity.Metres(.3))
		x.Defence.TargetOnArm = 0
		tau := MinimumJerkTime(.3 / .45)
		x.Attack.Movement = fixed(t, Extension)
		x.Attack.Movement.ArmTime = seconds(row.MuA/tau, row.SA/tau)
		x.Attack.Cue = quantity.Exactly(quantity.Ratio(0))
		x.Defence.Extension = fixed(t, Extension)
		const own = .02
		x.Defence.Extension.ArmTime = seconds(own/tau, 0)
		x.Defence.Reaction = Reaction{Simple: seconds(row.MuB-own, row.SB)}
		w, err := x.Windows(Apparatus{Window: quantity.Seconds(row.Lockout)}, windowDrawsTested, rand.NewPCG(1, 1))
		if err != nil {
			t.Fatal(err)
		}
		single, double := of(t, w, ExtendSingle).InTime, of(t, w, ExtendDouble).InTime
		approx(t, "single", float64(single.Mean), row.BOnly, 4*float64(single.SD)+1e-5)
		approx(t, "double or better", float64(double.Mean), row.BOnly+row.Both, 4*float64(double.SD)+1e-5)
		checked++
	}
	if checked < 6 {
		t.Fatalf("%d rows", checked)
	}
}

// A counter against the race itself: an attack that shows at once, so that the
// defender reacts to its onset.
func TestCounterAgainstRace(t *testing.T) {
	for _, own := range []float64{1.0, 1.1, 1.2} {
		x := lungeAt(t, 1.1, own)
		x.Attack.Cue = quantity.Exactly(quantity.Ratio(0))
		x.Attack.Movement.Delay = seconds(.05, 0)
		// Wide gaps that go together, so that their correlation shows.
		x.Attack.Gap.SD, x.Defence.Gap.SD, x.GapCorrelation = .12, .12, .9
		w := windows(t, x, windowDrawsTested, 2)
		race := Race{GapCorrelation: .9, Runners: [2]Runner{
			{Gap: x.Attack.Gap, Movement: x.Attack.Movement},
			{Gap: x.Defence.Gap, Movement: x.Defence.Extension, TargetOnArm: x.Defence.TargetOnArm,
				Onset: Reacting(Visual(), PerChoice(), 2)},
		}}
		got := run(t, race, windowDrawsTested, 3)
		near := func(what string, p, q quantity.Of[quantity.Chance]) {
			t.Helper()
			approx(t, what, float64(p.Mean), float64(q.Mean), 4*math.Hypot(float64(p.SD), float64(q.SD)))
		}
		near("single", of(t, w, ExtendSingle).InTime, got.RightOnly)
		double := got.Both
		double.Mean += got.RightOnly.Mean
		double.SD = quantity.Chance(math.Sqrt(float64(double.Mean*(1-double.Mean)) / windowDrawsTested))
		near("double or better", of(t, w, ExtendDouble).InTime, double)
		near("arrives", w.Arrives, got.Runs[Left].Arrives)
		approx(t, "hit", float64(w.Hit.Mean), float64(got.Runs[Left].Arrival.Mean), .005)
	}
}

// The other chances against plain counting with another generator, other draws
// and the movement's own search.
func TestInTimeAgainstCounting(t *testing.T) {
	const n = windowDrawsTested
	x := lungeAt(t, 1.1, 1.2)
	r := rand.New(rand.NewPCG(77, 1))
	normal := func(q quantity.Of[quantity.Seconds]) float64 {
		return float64(q.Mean) + float64(q.SD)*r.NormFloat64()
	}
	length := func(q quantity.Of[quantity.Metres]) quantity.Of[quantity.Metres] {
		return quantity.Exactly(max(1e-6, q.Mean+q.SD*quantity.Metres(r.NormFloat64())))
	}
	count := map[Answer]int{}
	arrives := 0
	for range n {
		m := x.Attack.Movement
		m.Arm, m.Body = length(m.Arm), length(m.Body)
		m.ArmTime = seconds(max(.01, normal(m.ArmTime)), 0)
		m.BodyTime = seconds(max(.01, normal(m.BodyTime)), 0)
		m.Delay = seconds(normal(m.Delay), 0)
		hit, ok := m.TimeTo(length(x.Attack.Gap).Mean)
		if !ok {
			hit = quantity.Seconds(math.Inf(1))
		} else {
			arrives++
		}
		cue, _ := m.CueTime(quantity.Ratio(.05 + .05*r.Float64()))
		ready := float64(cue) + normal(x.Defence.Reaction.Simple) + normal(x.Defence.Reaction.PerChoice)
		for a, q := range map[Answer]quantity.Of[quantity.Seconds]{ParryLateral: x.Defence.Lateral, ParrySemi: x.Defence.Semicircular,
			ParryCircular: x.Defence.Circular, RemoveTarget: x.Defence.Removal} {
			// Each answer is counted on its own; that they share a draw is no matter.
			if ready+float64(q.Mean)+float64(q.SD)*r.NormFloat64() <= float64(hit) {
				count[a]++
			}
		}
	}
	w := windows(t, x, n, 9)
	for a, k := range count {
		got, plain := of(t, w, a).InTime, quantity.FromCounts(k, n)
		approx(t, string(a), float64(got.Mean), float64(plain.Mean), 4*math.Hypot(float64(got.SD), float64(plain.SD)))
		if got.Mean < .3 || got.Mean > .99 {
			t.Errorf("%s in time %v: nothing is tested", a, got.Mean)
		}
	}
	approx(t, "arrives", float64(w.Arrives.Mean), float64(arrives)/n, .015)
}

// A parry against a hit at a known instant, in closed form.
func TestParryClosedForm(t *testing.T) {
	x := sharp(lungeAt(t, .9, 1))
	x.Defence.Reaction, x.Defence.Lateral = VisualAmong(2), seconds(.16, .03)
	w := windows(t, x, windowDrawsTested, 1)
	hit, _ := x.Attack.Movement.TimeTo(.9)
	cue, _ := x.Attack.Movement.CueTime(x.Attack.Cue.Mean)
	law := x.Defence.Reaction.Law()
	for _, later := range []float64{-.1, -.05, 0} { // the defender's reaction
		x.Defence.Reaction.Simple.Mean = VisualReaction - quantity.Seconds(later)
		w = windows(t, x, windowDrawsTested, 1)
		got := of(t, w, ParryLateral)
		z := (float64(hit-cue-law.Mean) + later - .16) / math.Hypot(float64(law.SD), .03)
		approx(t, "in time", float64(got.InTime.Mean), normalCDF(z), 4*float64(got.InTime.SD)+1e-5)
		approx(t, "latest", float64(got.Latest.Mean), float64(hit)-.16, .001)
	}
	approx(t, "cue", float64(w.Cue.At.Mean), float64(cue), 1e-9)
	approx(t, "gone", float64(w.Cue.Gone.Mean), float64(cue/hit), 1e-6)
	approx(t, "left", float64(w.Cue.Left.Mean), float64(hit-cue), 1e-6)
}

func TestWindowLimits(t *testing.T) {
	// Without spread everything is exact and one draw will do.
	w, err := sharp(lungeAt(t, .9, 1)).Windows(Apparatus{Window: .045}, 5000, nil)
	if err != nil {
		t.Fatal(err)
	}
	if w.Draws != 1 {
		t.Errorf("%d draws", w.Draws)
	}
	for _, e := range w.Each {
		if p := e.InTime; p.SD != 0 || p.Mean != 0 && p.Mean != 1 {
			t.Errorf("%s: %v", e.Answer, p)
		}
		if want := e.Spare.Mean >= 0 && e.Possible.Mean == 1; want != (e.InTime.Mean == 1) {
			t.Errorf("%s: in time %v with %v to spare", e.Answer, e.InTime.Mean, e.Spare.Mean)
		}
	}
	// No distance: the point is there already, and nothing serves.
	x := sharp(lungeAt(t, 0, 1))
	if w = windows(t, x, 1, 1); w.Hit.Mean != 0 || w.Arrives.Mean != 1 {
		t.Errorf("at no distance: %+v", w.Hit)
	}
	for _, e := range w.Each {
		if e.InTime.Mean != 0 {
			t.Errorf("%s serves at no distance", e.Answer)
		}
	}
	// Out of measure: defence has nothing to fear, a hit is out of reach.
	w = windows(t, sharp(lungeAt(t, 9, 9)), 1, 1)
	for _, e := range w.Each {
		hits := e.Answer == ExtendSingle || e.Answer == ExtendDouble || e.Answer == OpposeInTheLine
		if want := !hits; want != (e.InTime.Mean == 1) || w.Arrives.Mean != 0 || w.Hit.IsValid() && w.Hit.Mean != 0 {
			t.Errorf("%s out of measure: %+v", e.Answer, e)
		}
	}
	// A defender who never wakes up is in time only where the attack falls short.
	x = lungeAt(t, 1, .9)
	x.Defence.Reaction.Simple = seconds(900, 1)
	w = windows(t, x, 2000, 1)
	short := 1 - float64(w.Arrives.Mean)
	for _, e := range w.Each {
		if p := float64(e.InTime.Mean); p > short+1e-12 {
			t.Errorf("%s is in time after 15 minutes: %g", e.Answer, p)
		}
	}
	// An attacker without arm or a defender without step.
	x = lungeAt(t, .8, .9)
	x.Attack.Movement.Arm = quantity.Exactly(quantity.Metres(0))
	x.Defence.StepBack = movement(t, None)
	w = windows(t, x, 2000, 1)
	if p, q := inTime(t, w, ParryLateral), inTime(t, w, ParryStepBack); p != q {
		t.Errorf("a parry with no step %g, without step %g", q, p)
	}
	if p := of(t, w, RetreatOut).Possible.Mean; math.Abs(float64(p)-(1-float64(w.Arrives.Mean))) > 1e-12 {
		t.Errorf("a retreat without a step: %g", p)
	}
}

// Whatever the exchange: a longer reaction never opens a window, a smaller gap of
// the attack never helps the defender, a smaller own gap never hurts; and some
// answers are never later than others. Exact, because the draws are shared.
func TestWindowProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 40 {
		x := someExchange(t, r)
		x.Defence.Semicircular.SD, x.Defence.Circular.SD = x.Defence.Lateral.SD, x.Defence.Lateral.SD
		slow, close, near := x, x, x
		slow.Defence.Reaction.Simple.Mean += .03
		close.Attack.Gap = quantity.Normal(max(0, x.Attack.Gap.Mean-.05), x.Attack.Gap.SD)
		near.Defence.Gap = quantity.Normal(max(0, x.Defence.Gap.Mean-.05), x.Defence.Gap.SD)
		w, err := x.WhatIf(epee(), 400, rand.NewPCG(1, 1), slow, close, near)
		if err != nil {
			t.Fatal(err)
		}
		for i, e := range w[0].Each {
			if p, q := e.InTime.Mean, w[1].Each[i].InTime.Mean; q > p+1e-12 {
				t.Errorf("%s: a longer reaction made %g of %g", e.Answer, q, p)
			}
			if p, q := e.InTime.Mean, w[2].Each[i].InTime.Mean; q > p+1e-12 {
				t.Errorf("%s: a closer attack made %g of %g", e.Answer, q, p)
			}
			if p, q := e.InTime.Mean, w[3].Each[i].InTime.Mean; q < p-1e-12 {
				t.Errorf("%s: a nearer own target made %g of %g", e.Answer, q, p)
			}
			if !e.InTime.IsValid() || e.InTime.Mean < 0 || e.InTime.Mean > e.Possible.Mean+1e-9 || !e.Earliest.IsValid() {
				t.Errorf("%s: %+v", e.Answer, e)
			}
			if e.Earliest.Mean < w[0].Ready.Mean-1e-12 {
				t.Errorf("%s starts before the reaction", e.Answer)
			}
		}
		if w[2].Arrives.Mean < w[0].Arrives.Mean {
			t.Error("from closer the attack arrives less often")
		}
		for _, pair := range [][2]Answer{{ExtendSingle, ExtendDouble}, {ParryCircular, ParrySemi}, {ParrySemi, ParryLateral}, {ParryLateral, ParryStepBack}} {
			if a, b := inTime(t, w[0], pair[0]), inTime(t, w[0], pair[1]); a > b+1e-12 {
				t.Errorf("%s %g is easier than %s %g", pair[0], a, pair[1], b)
			}
		}
	}
}

// Bad input is refused with the field and what would do.
func TestWindowRefusals(t *testing.T) {
	nan := quantity.Metres(math.NaN())
	for want, spoil := range map[string]func(*Exchange){
		"attack gap":                              func(x *Exchange) { x.Attack.Gap.Mean = nan },
		"attack gap is -0.1":                      func(x *Exchange) { x.Attack.Gap.Mean = -.1 },
		"attack arm travel":                       func(x *Exchange) { x.Attack.Movement.Arm.Mean = -.2 },
		"attack body travel":                      func(x *Exchange) { x.Attack.Movement.Body.Mean = -.2 },
		"attack travel":                           func(x *Exchange) { x.Attack.Movement = Movement{} },
		"defence gap":                             func(x *Exchange) { x.Defence.Gap.SD = -1 },
		"run a Race":                              func(x *Exchange) { x.Defence.Extension.Body.Mean = 1; x.Defence.Extension.BodyTime.Mean = 1 },
		"step back body travel":                   func(x *Exchange) { x.Defence.StepBack.Body.Mean = .4 },
		"step back arm travel":                    func(x *Exchange) { x.Defence.StepBack.Arm.Mean = .4; x.Defence.StepBack.ArmTime.Mean = 1 },
		"time of the lateral parry":               func(x *Exchange) { x.Defence.Lateral.Mean = 0 },
		"time to remove the target":               func(x *Exchange) { x.Defence.Removal.Mean = quantity.Seconds(math.Inf(1)) },
		"reaction is -0.2":                        func(x *Exchange) { x.Defence.Reaction.Simple.Mean = -.2 },
		"share of the attack that shows":          func(x *Exchange) { x.Attack.Cue.Mean = 1.5 },
		"correlation of the gaps":                 func(x *Exchange) { x.GapCorrelation = 2 },
		"react to the other":                      func(x *Exchange) { x.Attack.Onset = Reacting(Visual(), PerChoice(), 1) },
		"defence share of the arm in the target":  func(x *Exchange) { x.Defence.TargetOnArm = -1 },
		"attack body time is 0: it must be at le": func(x *Exchange) { x.Attack.Movement.BodyTime.Mean = 0 },
	} {
		x := lungeAt(t, 1, 1)
		spoil(&x)
		_, err := x.Windows(epee(), 100, rand.NewPCG(1, 1))
		var input *InputError
		var both *BothReactError
		if !errors.As(err, &input) && !errors.As(err, &both) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", want, err)
		}
		if _, err := x.Map(epee(), DefaultGrid(), 100, rand.NewPCG(1, 1)); err == nil {
			t.Errorf("%s: a map was drawn", want)
		}
	}
	x := lungeAt(t, 1, 1)
	for _, draws := range []int{0, -1, MaxDraws + 1} {
		if _, err := x.Windows(epee(), draws, rand.NewPCG(1, 1)); err == nil {
			t.Errorf("%d draws", draws)
		}
	}
	if _, err := x.Windows(Apparatus{Window: -1}, 10, rand.NewPCG(1, 1)); err == nil {
		t.Error("a window of less than nothing")
	}
}
