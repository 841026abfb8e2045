package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
)

func metres(mean, sd float64) quantity.Of[quantity.Metres] {
	return quantity.Normal(quantity.Metres(mean), quantity.Metres(sd))
}

func speed(mean, sd float64) quantity.Of[quantity.MetresPerSecond] {
	return quantity.Normal(quantity.MetresPerSecond(mean), quantity.MetresPerSecond(sd))
}

// guard is a fencer at rest on guard, feet half a metre apart, the hip between.
func guard() Stance {
	return Stance{
		Front: Foot{At: metres(.5, .01), OnFloor: 1}, Rear: Foot{At: metres(0, .01), OnFloor: 1},
		Hip: metres(.22, .03), Height: .85,
	}
}

func commit(t *testing.T, s Stance) map[Does]Can {
	t.Helper()
	c, err := Commit(s)
	if err != nil {
		t.Fatal(err)
	}
	m := map[Does]Can{}
	for i, can := range c.Can {
		if can.Do != Doings()[i] || can.Reason == "" || !(can.Now >= 0 && can.Now <= 1) {
			t.Errorf("entry %d: %+v", i, can)
		}
		m[can.Do] = can
	}
	return m
}

// At rest on guard everything is open; the weight by the lever.
func TestCommitAtRest(t *testing.T) {
	for do, c := range commit(t, guard()) {
		if c.Now < .999 || c.Bar != BarNone || !c.Known || c.Next.Mean != 0 {
			t.Errorf("%s: %+v", do, c)
		}
	}
	c, _ := Commit(guard())
	approx(t, "over the base", float64(c.OverBase.Mean), .44, 1e-12)
	approx(t, "its spread", float64(c.OverBase.SD), math.Sqrt(.03*.03+.56*.56*1e-4+.44*.44*1e-4)/.5, 1e-12)
	approx(t, "runs", float64(c.Runs.Mean), .22, 1e-12)
	if c.Flight != 0 {
		t.Error(c.Flight)
	}
}

// T7 (common practice, no source): one can turn back only with the front foot on the
// floor; in flight not before landing.
func TestTradeTurnBackNeedsTheFrontFoot(t *testing.T) {
	s := guard()
	s.Front.OnFloor = .02
	s.Front.Lands = seconds(.12, .01)
	m := commit(t, s)
	for _, do := range []Does{DoTurnBack, DoStepBack} {
		if c := m[do]; c.Now > .03 || c.Bar != BarFrontAir || !c.Known || c.Next.Mean != .12 {
			t.Errorf("%s with the front foot up: %+v", do, c)
		}
	}
	for _, do := range []Does{DoExtend, DoLunge, DoStepForward, DoTurnForward} {
		if m[do].Now < .99 {
			t.Errorf("%s with the rear foot down: %+v", do, m[do])
		}
	}
	s.Rear.OnFloor, s.Rear.Lands = 0, seconds(.3, .02)
	m = commit(t, s)
	for do, c := range m {
		if do == DoExtend {
			if c.Now != 1 {
				t.Errorf("the arm: %+v", c)
			}
			continue
		}
		want := .12
		if do == DoLunge || do == DoStepForward || do == DoTurnForward {
			want = .3
		}
		if c.Now > .03 || c.Bar != BarFlight || !strings.Contains(c.Reason, "both feet") || float64(c.Next.Mean) != want {
			t.Errorf("%s in flight: %+v", do, c)
		}
	}
	s.Front.Lands = quantity.Of[quantity.Seconds]{}
	if c := commit(t, s)[DoTurnBack]; c.Known {
		t.Errorf("a landing nobody saw is known: %+v", c)
	}
}

// A body that runs over its front foot cannot turn back without one more step. The
// edge by a second route: the linear inverted pendulum x″ = (g/l)(x − p) with the
// press under the front edge, stepped in time, stops or runs away.
func TestTurnBackAgainstPendulum(t *testing.T) {
	const height = .85
	edge := .5 + float64(FootHalf)
	stops := func(v float64) bool {
		x, dt := .22, 1e-4
		for range 100000 {
			v += float64(gravity) / height * (x - edge) * dt
			x += v * dt
			if v <= 0 {
				return true
			}
			if x > edge {
				return false
			}
		}
		return false
	}
	for _, v := range []float64{0, .5, 1, 1.3, 1.38, 1.44, 1.6, 2.2} {
		s := guard()
		s.Hip, s.Front.At, s.Speed = metres(.22, 0), metres(.5, 0), speed(v, 0)
		c := commit(t, s)[DoTurnBack]
		if can := c.Now > .5; can != stops(v) {
			t.Errorf("%v m/s: %+v, the pendulum stops: %v", v, c, stops(v))
		}
		if !stops(v) && (c.Bar != BarOverFront || c.Next.Mean != StepTime) {
			t.Errorf("%v m/s: %+v", v, c)
		}
	}
	// With spread the chance is that of a normal law, and more speed never opens it.
	last := quantity.Chance(1)
	for v := 0.0; v < 3; v += .1 {
		s := guard()
		s.Speed = speed(v, .1)
		c := commit(t, s)[DoTurnBack]
		root := math.Sqrt(height / float64(gravity))
		approx(t, "chance", float64(c.Now), normalCDF((edge-.22-v*root)/math.Hypot(math.Hypot(.03, .01), .1*root)), 1e-9)
		if c.Now > last {
			t.Errorf("faster is freer: %v after %v", c.Now, last)
		}
		last = c.Now
	}
	s := guard()
	s.Speed = speed(-3, .05)
	if c := commit(t, s)[DoTurnForward]; c.Bar != BarOverRear || c.Now > .01 {
		t.Errorf("running back: %+v", c)
	}
}

func TestCommitRefusals(t *testing.T) {
	for name, f := range map[string]func(s *Stance){
		"front foot place": func(s *Stance) { s.Front.At.Mean = quantity.Metres(math.NaN()) },
		"between 0 and 1":  func(s *Stance) { s.Rear.OnFloor = 1.2 },
		"chance":           func(s *Stance) { s.Rear.OnFloor = quantity.Chance(math.NaN()) },
		"landing":          func(s *Stance) { s.Front.Lands.Mean = -1 },
		"hip place":        func(s *Stance) { s.Hip.SD = -1 },
		"hip speed":        func(s *Stance) { s.Speed.Mean = quantity.MetresPerSecond(math.Inf(1)) },
		"hip height":       func(s *Stance) { s.Height = 0 },
		"which foot":       func(s *Stance) { s.Front.At, s.Rear.At = s.Rear.At, s.Front.At },
	} {
		s := guard()
		f(&s)
		var in *InputError
		if _, err := Commit(s); !errors.As(err, &in) || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The order of starts against the closed form of two normal instants, with chances
// that sum to one, and certain starts.
func TestStartOrder(t *testing.T) {
	starts := []Start{
		{Side: Right, Part: "front foot", Time: seconds(.10, .02)},
		{Side: Left, Part: "hand", Time: seconds(.06, .015)},
		{Side: Left, Part: "front foot", Time: quantity.Uniform(quantity.Seconds(.08), quantity.Seconds(.12)), Uniform: true},
	}
	o, err := StartOrder(starts, 40000, rand.NewPCG(1, 9))
	if err != nil {
		t.Fatal(err)
	}
	if o.Sequence[0] != 1 {
		t.Error(o.Sequence)
	}
	approx(t, "hand before foot", float64(o.Before[1][0]), normalCDF(.04/math.Hypot(.02, .015)), .008)
	approx(t, "equal means", float64(o.Before[0][2]), .5, .008)
	sum := 0.0
	for i := range starts {
		sum += float64(o.First[i].Mean)
		for j := range starts {
			if i != j {
				approx(t, "both ways", float64(o.Before[i][j]+o.Before[j][i]), 1, 1e-12)
			}
		}
	}
	approx(t, "first", sum, 1, 1e-12)
	approx(t, "sides", float64(o.SideFirst[Left].Mean+o.SideFirst[Right].Mean), 1, 1e-12)
	if l := float64(o.Likelihood.Mean); !(l > .3 && l < .6) {
		t.Error("likelihood", l)
	}
	same, _ := StartOrder(starts, 40000, rand.NewPCG(1, 9))
	if same.Likelihood != o.Likelihood {
		t.Error("equal seeds, different orders")
	}
	o, err = StartOrder([]Start{{Time: seconds(.2, 0)}, {Side: Right, Time: seconds(.1, 0)}, {Time: seconds(.2, 0)}}, 100, rand.NewPCG(1, 1))
	if err != nil || o.Draws != 1 || o.Sequence[0] != 1 || o.Sequence[1] != 0 || o.Likelihood.Mean != 1 || o.SideFirst[Right].Mean != 1 || o.Before[0][2] != .5 {
		t.Errorf("%v %+v", err, o)
	}
	for _, bad := range [][]Start{nil, {{Side: 2}}, {{Time: quantity.Of[quantity.Seconds]{Mean: quantity.Seconds(math.NaN())}}}} {
		if _, err := StartOrder(bad, 10, rand.NewPCG(1, 1)); err == nil {
			t.Errorf("%v is ordered", bad)
		}
	}
}

// The lag's exact laws against draws, for every pair of laws; T6 (common practice,
// no source): the hand goes first, and a foot that leads by more than 40 ms is noted.
func TestHandToFoot(t *testing.T) {
	laws := []struct {
		sd      float64
		uniform bool
	}{{0, false}, {.01, false}, {.02, true}, {.008, true}}
	for _, h := range laws {
		for _, f := range laws {
			hand := Start{Time: seconds(.10, h.sd), Uniform: h.uniform}
			foot := Start{Time: seconds(.115, f.sd), Uniform: f.uniform}
			l, err := HandToFoot(hand, foot)
			if err != nil {
				t.Fatal(err)
			}
			a, b := input{mean: .1, sd: h.sd, lo: -1, hi: 1, uniform: h.uniform}, input{mean: .115, sd: f.sd, lo: -1, hi: 1, uniform: f.uniform}
			rng := &stream{7}
			first, d := 0, make([]quantity.Seconds, 60000)
			for i := range d {
				d[i] = quantity.Seconds(b.draw(rng) - a.draw(rng))
				if d[i] > 0 {
					first++
				}
			}
			q := quantity.FromDraws(d)
			approx(t, "mean", float64(l.Time.Mean), float64(q.Mean), 4e-4)
			approx(t, "spread", float64(l.Time.SD), float64(q.SD), 4e-4)
			approx(t, "low", float64(l.Time.Lo), float64(q.Lo), 8e-4)
			approx(t, "high", float64(l.Time.Hi), float64(q.Hi), 8e-4)
			approx(t, "hand first", float64(l.HandFirst), float64(first)/60000, .008)
		}
	}
	for _, c := range []struct {
		lag   float64
		words string
	}{{.05, "hand starts before"}, {0, "together"}, {-.03, "by little"}, {-.06, "clearly before the hand"}} {
		l, err := HandToFoot(Start{Time: seconds(.1, .005)}, Start{Time: seconds(.1+c.lag, .005)})
		if err != nil || !strings.Contains(l.Reason, c.words) {
			t.Errorf("%v: %q %v", c.lag, l.Reason, err)
		}
	}
	if _, err := HandToFoot(Start{Time: quantity.Of[quantity.Seconds]{SD: -1}}, Start{}); err == nil {
		t.Error("a negative spread is accepted")
	}
}
