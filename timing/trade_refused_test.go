package timing

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
)

// What a coach may well hand in by mistake: each is refused in one line that says
// where and what would do, or answered with a doubt; never silently taken.
func TestMistakesAreNamed(t *testing.T) {
	src := func() rand.Source { return rand.NewPCG(1, 1) }
	zero := movement(t, Lunge)
	zero.Arm, zero.Body = quantity.Exactly(quantity.Metres(0)), quantity.Exactly(quantity.Metres(0))
	attack := func(f func(x *Exchange)) error {
		x := lungeAt(t, 1, 1)
		f(&x)
		_, err := x.Windows(epee(), 50, src())
		return err
	}
	race := func(f func(r *Race)) error {
		r := duel(t)
		f(&r)
		_, err := r.Run(epee(), 50, src())
		return err
	}
	for _, c := range []struct {
		what  string
		err   error
		names []string
	}{
		{"reach set to zero", attack(func(x *Exchange) { x.Attack.Movement = zero }), []string{"attack travel", Lunge}},
		{"a reaction below zero, race", race(func(r *Race) { r.Runners[Right].Onset = Reacting(seconds(-.2, .02), seconds(0, 0), 1) }), []string{"right reaction", "positive"}},
		{"a reaction below zero, windows", attack(func(x *Exchange) { x.Defence.Reaction.Simple.Mean = -.2 }), []string{"reaction", "-0.2"}},
		{"a cost of choosing below zero", attack(func(x *Exchange) { x.Defence.Reaction.PerChoice.Mean = -.01 }), []string{"choice"}},
		{"a target behind the point", race(func(r *Race) { r.Runners[Left].Gap.Mean = -.3 }), []string{"left gap", "-0.3", "between 0 and"}},
		{"a target behind the point, windows", attack(func(x *Exchange) { x.Attack.Gap.Mean = -.3 }), []string{"attack gap", "-0.3"}},
		{"each reacts to the other", race(func(r *Race) { r.Runners[Left].Onset = r.Runners[Right].Onset }), []string{"react"}},
		{"an attack that is a reaction", attack(func(x *Exchange) { x.Attack.Onset = Reacting(Visual(), PerChoice(), 1) }), []string{"react"}},
		{"an attack that goes back", attack(func(x *Exchange) { x.Attack.Movement = movement(t, Retreat) }), []string{"attack body travel", "towards"}},
		{"milliseconds for seconds", race(func(r *Race) { r.Runners[Left].Onset.Time.Mean = 45_000 }), []string{"left onset", "1000 s"}},
		{"centimetres for metres", race(func(r *Race) { r.Runners[Left].Gap.Mean = 145 }), []string{"left gap", "100 m"}},
	} {
		if c.err == nil {
			t.Errorf("%s is taken", c.what)
			continue
		}
		var input *InputError
		var both *BothReactError
		if !errors.As(c.err, &input) && !errors.As(c.err, &both) {
			t.Errorf("%s: not a named error: %v", c.what, c.err)
		}
		text := c.err.Error()
		for _, n := range c.names {
			if !strings.Contains(text, n) {
				t.Errorf("%s: %q does not say %q", c.what, text, n)
			}
		}
		if strings.Contains(text, "\n") || len(text) > 200 {
			t.Errorf("%s: not one clear line: %q", c.what, text)
		}
	}
}

// Nobody with any reach: the race is answered, nobody arrives, and both are warned of.
func TestNobodyReaches(t *testing.T) {
	r := duel(t)
	for s := range r.Runners {
		r.Runners[s].Movement = movement(t, None)
	}
	got := run(t, r, 100, 1)
	if got.Neither.Mean != 1 || len(got.Warnings) != 2 || got.Warnings[0].Code != WarnOutOfMeasure || got.Warnings[1].Code != WarnOutOfMeasure {
		t.Errorf("%+v", got)
	}
	// A reach of nothing has one band only.
	if band, p := (Reach{}).Band(metres(.5, .03)); band != Out || p < .999 {
		t.Errorf("%s with %v", band, p)
	}
	// Moments that contradict each other: an attack that was over long before the
	// instant has gone what it goes, and does not arrive.
	r = duel(t)
	r.Runners[Left].Onset = Observed(seconds(-10, .01), true)
	r.Runners[Right].Onset = Simultaneous()
	if got := run(t, r, 100, 1); got.Runs[Left].Arrives.Mean > .01 || len(got.Warnings) == 0 || got.Warnings[0].Side != Left {
		t.Errorf("an attack of ten seconds ago: %+v", got)
	}
}
