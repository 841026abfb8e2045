package study

import (
	"math"
	"reflect"
	"testing"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// A fencer of whom nothing is known has the movements and the defence of timing, whose
// defaults are tested there against their sources.
func TestProfileOfNobodyIsTheDefault(t *testing.T) {
	for _, f := range []bout.Fencer{{}, {Sex: "f", Level: "elite"}, {Sex: "m", Level: "club"}} {
		p := statedProfile(mark.Right, f)
		for i, g := range bout.OwnFigures() {
			got := p.Figures[i]
			mean, sd := got.number()
			if got.Name != g.Name || got.From != FromDefault || got.Source == "" || got.PriorMetres != nil || got.PriorSeconds != nil {
				t.Errorf("figure %d is %+v, want the default of %s", i, got, g.Name)
			}
			if (got.Metres != nil) != (g.Unit == "m") || (got.Seconds != nil) != (g.Unit == "s") || !(sd > 0) || mean < g.Least || mean > g.Most {
				t.Errorf("%s is %v ± %v %s", g.Name, mean, sd, g.Unit)
			}
		}
		if len(p.Figures) != 18 || p.Who != mark.Right {
			t.Errorf("%d figures of %v", len(p.Figures), p.Who)
		}
		for _, action := range timing.Actions() {
			want, err := timing.Default(action, f.Sex, f.Level)
			if err != nil {
				t.Fatal(err)
			}
			if got, err := p.movement(action, f, nil); err != nil || !reflect.DeepEqual(got, want) {
				t.Errorf("%s is %+v, %v, want %+v", action, got, err, want)
			}
		}
	}
	gap := quantity.Normal(quantity.Metres(0.8), 0.05)
	p := statedProfile(mark.Left, bout.Fencer{})
	got, want := p.defence(gap), timing.NewDefence(gap)
	// The intervals of the profile keep to the bounds of the figures.
	for _, q := range []*quantity.Of[quantity.Seconds]{&got.Reaction.PerChoice, &want.Reaction.PerChoice} {
		*q = quantity.Normal(q.Mean, q.SD)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("defence is\n%+v, want\n%+v", got, want)
	}
	if r := p.reaction(cueTactile, 4); r.Simple.Mean != timing.TactileReaction || r.Bits != 2 {
		t.Errorf("tactile reaction among four is %+v", r)
	}
	if d := p.disengage(); d.Mean != timing.DisengageTime || d.SD != timing.DisengageTimeSD {
		t.Errorf("disengage takes %v", d)
	}
	if _, err := p.movement("somersault", bout.Fencer{}, nil); err == nil {
		t.Error("a somersault is known")
	}
}

// What is stated stands in place of the default in everything that uses it, and nothing
// else changes.
func TestStatedFiguresAreUsed(t *testing.T) {
	f := bout.Fencer{Own: []bout.Own{
		{Name: "extension", Value: 0.50, SD: 0.01}, {Name: "extension-time", Value: 0.19},
		{Name: "lunge", Value: 1.20, SD: 0.05}, {Name: "lunge-time", Value: 0.70}, {Name: "lunge-delay", Value: -0.02},
		{Name: "fleche", Value: 1.7}, {Name: "fleche-time", Value: 0.9}, {Name: "step-lunge-time", Value: 1.1},
		{Name: "step-back", Value: 0.30}, {Name: "step-back-time", Value: 0.28},
		{Name: "visual-reaction", Value: 0.18}, {Name: "tactile-reaction", Value: 0.13}, {Name: "choice-cost", Value: 0.08},
		{Name: "parry-time", Value: 0.12, SD: 0.01}, {Name: "semicircular-parry-time", Value: 0.15}, {Name: "circular-parry-time", Value: 0.18},
		{Name: "disengage-time", Value: 0.11},
	}}
	p := statedProfile(mark.Left, f)
	get := func(action string, arm *quantity.Of[quantity.Metres]) timing.Movement {
		t.Helper()
		m, err := p.movement(action, f, arm)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	l := get(timing.Lunge, nil)
	near("arm", float64(l.Arm.Mean), 0.50)
	near("its spread", float64(l.Arm.SD), 0.01)
	near("arm time", float64(l.ArmTime.Mean), 0.19)
	near("its spread, that of the default", float64(l.ArmTime.SD), float64(timing.ArmTimeSD))
	near("body", float64(l.Body.Mean), 1.20)
	near("body time", float64(l.BodyTime.Mean), 0.70)
	near("delay", float64(l.Delay.Mean), -0.02)
	left := quantity.Normal(quantity.Metres(0.33), 0.02)
	near("arm that the marks show", float64(get(timing.Lunge, &left).Arm.Mean), 0.33)
	near("flèche", float64(get(timing.Fleche, nil).Body.Mean), 1.7)
	near("time of the flèche", float64(get(timing.Fleche, nil).BodyTime.Mean), 0.9)
	// Reach of elite fencers 2.99 m with the step and 2.23 m without (Turner and Marshall).
	near("step and lunge", float64(get(timing.StepLunge, nil).Body.Mean), 1.20+0.77)
	near("its time", float64(get(timing.StepLunge, nil).BodyTime.Mean), 1.1)
	d := p.defence(left)
	near("step back", float64(d.StepBack.Body.Mean), -0.30)
	near("its time", float64(d.StepBack.BodyTime.Mean), 0.28)
	if b := d.StepBack.Body; !(b.Lo < b.Mean && b.Mean < b.Hi) {
		t.Errorf("the interval of a step back is %v", b)
	}
	near("parry", float64(d.Lateral.Mean), 0.12)
	near("semicircular", float64(d.Semicircular.Mean), 0.15)
	near("circular", float64(d.Circular.Mean), 0.18)
	near("extension of the defence", float64(d.Extension.Arm.Mean), 0.50)
	near("reaction", float64(d.Reaction.Simple.Mean), 0.18)
	near("choice", float64(d.Reaction.PerChoice.Mean), 0.08)
	near("tactile", float64(p.reaction(cueTactile, 1).Simple.Mean), 0.13)
	near("disengage", float64(p.disengage().Mean), 0.11)
	if g := p.figure(figStepLunge); g.From != FromStated {
		t.Errorf("a step and lunge that goes with the stated lunge is %+v", g)
	}
	// The lunge that is stated by the foot: 0.9 of it for the shoulder.
	foot := bout.Fencer{Lunge: 1.0}
	m, err := statedProfile(mark.Left, foot).movement(timing.Lunge, foot, nil)
	if err != nil {
		t.Fatal(err)
	}
	near("shoulder of a stated lunge of the foot", float64(m.Body.Mean), 0.9)
}

// Own numbers reach the reading: profile, race and bands.
func TestOwnNumbersReachTheReading(t *testing.T) {
	touch := stage(9, 1.5).touch
	before := mustRead(t, touch, ReadOptions{Draws: 400})
	slow := stage(9, 1.5).touch
	for _, name := range []string{"extension-time", "lunge-time", "step-lunge-time"} {
		g, _ := bout.OwnFigureNamed(name)
		slow.Bout.Left.Own = append(slow.Bout.Left.Own, bout.Own{Name: name, Value: g.Most, SD: 0.01})
	}
	after := mustRead(t, slow, ReadOptions{Draws: 400})
	if g := after.Profiles[mark.Left].figure("extension-time"); g == nil || g.From != FromStated || g.Seconds.Mean != 2 {
		t.Fatalf("the profile has %+v", g)
	}
	if after.Profiles[mark.Right].own("extension-time") != nil {
		t.Error("the other fencer got it as well")
	}
	if before.Race == nil || after.Race == nil {
		t.Fatal("no race")
	}
	if !(after.Race.Runs[mark.Left].Arrival.Mean > before.Race.Runs[mark.Left].Arrival.Mean) || before.Inputs == after.Inputs {
		t.Errorf("a slow fencer arrives at %v, before at %v", after.Race.Runs[mark.Left].Arrival.Mean, before.Race.Runs[mark.Left].Arrival.Mean)
	}
}

// learn against the law that it stands for, by brute force: the own mean over a grid, the
// density of every movement seen, and the next movement's mean and variance.
func TestLearnAgainstAGrid(t *testing.T) {
	for _, c := range []struct {
		mean, sd, within float64
		seen             []hint
	}{
		{.23, .04, .023, []hint{{.27, .015 * .015}}},
		{.23, .04, .023, []hint{{.27, .015 * .015}, {.25, .01 * .01}, {.22, .03 * .03}}},
		{.40, .10, .032, []hint{{.28, .007 * .007}, {.22, .006 * .006}}},
		{1, .15, .08, nil},
	} {
		between := math.Sqrt(c.sd*c.sd - c.within*c.within)
		normal := func(x, m, v float64) float64 { return math.Exp(-(x-m)*(x-m)/(2*v)) / math.Sqrt(v) }
		sum, first, second := 0.0, 0.0, 0.0
		for k := -4000; k <= 4000; k++ {
			own := c.mean + 8*between*float64(k)/4000
			w := normal(own, c.mean, between*between)
			for _, x := range c.seen {
				w *= normal(x.mean, own, x.variance+c.within*c.within)
			}
			sum, first, second = sum+w, first+w*own, second+w*own*own
		}
		m, v := first/sum, second/sum-(first/sum)*(first/sum)+c.within*c.within
		gotM, gotS := learn(c.mean, c.sd, c.within, false, c.seen)
		if math.Abs(gotM-m) > 1e-6 || math.Abs(gotS-math.Sqrt(v)) > 1e-6 {
			t.Errorf("%+v: %v ± %v, by the grid %v ± %v", c, gotM, gotS, m, math.Sqrt(v))
		}
	}
}

// Where it must lead: a thousand movements leave the spread within; a prior that is sure
// stays; a fencer unlike the prior is believed before the prior is.
func TestLearnInTheLimits(t *testing.T) {
	var many []hint
	for range 1000 {
		many = append(many, hint{.30, .01 * .01})
	}
	if m, s := learn(.23, .04, .023, false, many); math.Abs(m-.30) > 1e-3 || math.Abs(s-.023) > 1e-3 {
		t.Errorf("after a thousand movements of 0.30: %v ± %v", m, s)
	}
	if m, s := learn(.23, .001, .023, true, []hint{{.30, .01 * .01}}); math.Abs(m-.23) > 0.002 || s > 0.0025 {
		t.Errorf("a number that was stated as sure moved to %v ± %v", m, s)
	}
	m, s := learn(.23, .04, .023, false, []hint{{.50, .01 * .01}})
	if m < .40 || m > .50 || s < .023 || s > .06 {
		t.Errorf("one movement of 0.50 where 0.23 ± 0.04 was expected: %v ± %v", m, s)
	}
	if m, s := learn(.23, .04, .023, false, nil); m != .23 || s != .04 {
		t.Errorf("nothing seen: %v ± %v", m, s)
	}
	// The posterior of a fit is prior times hint: taken apart and multiplied again.
	prior, data := [2]float64{.23, .04}, hint{.26, .02 * .02}
	v := 1 / (1/(prior[1]*prior[1]) + 1/data.variance)
	fitted := [2]float64{v * (prior[0]/(prior[1]*prior[1]) + data.mean/data.variance), math.Sqrt(v)}
	if got, ok := hintOf(fitted, prior); !ok || math.Abs(got.mean-data.mean) > 1e-12 || math.Abs(got.variance-data.variance) > 1e-12 {
		t.Errorf("taken apart: %+v, want %+v", got, data)
	}
	if _, ok := hintOf([2]float64{.23, .0399}, prior); ok {
		t.Error("a fit that told nothing tells something")
	}
}
