package timing

import (
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"mesure/quantity"
)

// lungeAt is a lunge from this gap against a defender whose point is that far
// from the forearm behind the guard.
func lungeAt(t testing.TB, gap, own float64) Exchange {
	d := NewDefence(quantity.Normal(quantity.Metres(own), .03))
	d.TargetOnArm = .5
	return Exchange{Attack: NewAttack(quantity.Normal(quantity.Metres(gap), .03), movement(t, Lunge)), Defence: d}
}

func windows(t testing.TB, x Exchange, draws int, seed uint64) Windows {
	t.Helper()
	w, err := x.Windows(epee(), draws, rand.NewPCG(seed, 5))
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func of(t testing.TB, w Windows, a Answer) Window {
	t.Helper()
	e, ok := w.Of(a)
	if !ok || e.Asks == "" {
		t.Fatalf("no window of %s", a)
	}
	return e
}

func inTime(t testing.TB, w Windows, a Answer) float64 {
	t.Helper()
	return float64(of(t, w, a).InTime.Mean)
}

// sharp takes every spread out of an exchange.
func sharp(x Exchange) Exchange {
	var strip func(v reflect.Value)
	strip = func(v reflect.Value) {
		if v.Kind() != reflect.Struct {
			return
		}
		if mean := v.FieldByName("Mean"); mean.IsValid() {
			v.FieldByName("SD").SetFloat(0)
			v.FieldByName("Lo").SetFloat(mean.Float())
			v.FieldByName("Hi").SetFloat(mean.Float())
			return
		}
		for i := range v.NumField() {
			strip(v.Field(i))
		}
	}
	strip(reflect.ValueOf(&x).Elem())
	return x
}

// someExchange is an exchange of any kind within what people do.
func someExchange(t testing.TB, r *rand.Rand) Exchange {
	m := movement(t, []string{Extension, Lunge, StepLunge, Fleche}[r.IntN(4)])
	gap := float64(m.Reach().Mean) * (.1 + r.Float64())
	x := lungeAt(t, gap, gap*(.3+.9*r.Float64()))
	m.Delay.Mean = quantity.Seconds(.3*r.Float64() - .15)
	m.ArmTime.Mean = quantity.Seconds(.15 + .4*r.Float64())
	x.Attack.Movement = m
	x.Attack.Onset = Observed(quantity.Normal(quantity.Seconds(.3*r.Float64()-.2), .01), r.IntN(2) == 0)
	x.Attack.Cue = quantity.Uniform[quantity.Ratio](.02, .1)
	x.Defence.TargetOnArm = quantity.Ratio(r.Float64())
	x.Defence.StepBack.Body.Mean = quantity.Metres(-.1 - .9*r.Float64())
	x.Defence.StepBack.BodyTime.Mean = quantity.Seconds(.15 + .4*r.Float64())
	x.Defence.StepBack.Delay.Mean = quantity.Seconds(.05 * r.Float64())
	x.Defence.Reaction.Simple.Mean = quantity.Seconds(.1 + .2*r.Float64())
	x.GapCorrelation = quantity.Ratio(r.Float64())
	return x
}

// The windows of certain exchanges against a simulation in small steps of time,
// written from the requirements in words: a start a little before the latest one
// serves, one a little after does not.
func TestLatestAgainstSimulation(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 2))
	app := Apparatus{Window: .045, ContactMin: .006, ContactMax: .006}
	checked, never, open := 0, 0, 0
	for range 150 {
		x := sharp(someExchange(t, r))
		w, err := x.Windows(app, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		s := simulation{x: x}
		s.hit = s.firstAbove(func(t float64) float64 { return s.travel(t) - float64(x.Attack.Gap.Mean) }, 0)
		if arrives := w.Arrives.Mean == 1; arrives != !math.IsInf(s.hit, 1) {
			t.Fatalf("arrives %v, simulated %v", arrives, s.hit)
		} else if arrives {
			approx(t, "hit", float64(w.Hit.Mean), s.hit, 1e-6)
		}
		const near = 1e-4
		for _, e := range w.Each {
			switch {
			case e.Possible.Mean == 0:
				never++
				if s.serves(e.Answer, -1.5) {
					t.Errorf("%s serves when early, said never: %+v", e.Answer, x)
				}
			case w.Arrives.Mean == 0:
				open++
				if !s.serves(e.Answer, 3) {
					t.Errorf("%s does not serve against an attack that falls short", e.Answer)
				}
			default:
				checked++
				last := float64(e.Latest.Mean)
				if !s.serves(e.Answer, last-near) {
					t.Errorf("%s does not serve just before %.4f (hit %.4f): %+v", e.Answer, last, s.hit, x)
				}
				if s.serves(e.Answer, last+near) {
					t.Errorf("%s serves just after %.4f (hit %.4f): %+v", e.Answer, last, s.hit, x)
				}
			}
		}
	}
	if checked < 600 || never < 50 || open < 30 {
		t.Errorf("checked %d, never %d, open %d", checked, never, open)
	}
}

const tick = .0005

// simulation steps through an exchange without spread.
type simulation struct {
	x   Exchange
	hit float64
}

func (s simulation) travel(t float64) float64 {
	o := float64(s.x.Attack.Onset.Time.Mean)
	m := s.x.Attack.Movement
	return float64(m.Travel(quantity.Seconds(t-o)) - m.Travel(quantity.Seconds(-o)))
}

func (s simulation) closing(t float64) float64 {
	o, m := float64(s.x.Attack.Onset.Time.Mean), s.x.Attack.Movement
	at := func(t float64) float64 {
		return float64(m.body(quantity.Seconds(t))) + float64(s.x.Defence.TargetOnArm)*float64(m.arm(quantity.Seconds(t)))
	}
	return at(t-o) - at(-o)
}

func (s simulation) firstAbove(f func(float64) float64, from float64) float64 {
	for t := from; t < 4; t += tick {
		if f(t) >= 0 {
			lo, hi := t-tick, t
			for range 30 {
				if mid := (lo + hi) / 2; f(mid) >= 0 {
					hi = mid
				} else {
					lo = mid
				}
			}
			return max(from, hi)
		}
	}
	return math.Inf(1)
}

func (s simulation) serves(a Answer, start float64) bool {
	d := s.x.Defence
	own := func() float64 {
		t := s.firstAbove(func(t float64) float64 {
			return float64(d.Extension.Travel(quantity.Seconds(t-start))) + s.closing(t) - float64(d.Gap.Mean)
		}, min(start, 0))
		return max(t, start) // nobody answers before the start
	}
	stepped := func(t float64) float64 {
		return s.travel(t) + float64(d.StepBack.Travel(quantity.Seconds(t-start))) - float64(s.x.Attack.Gap.Mean)
	}
	parry := func(q quantity.Of[quantity.Seconds]) bool { return start+float64(q.Mean) <= s.hit }
	switch a {
	case ExtendSingle:
		at := own()
		return !math.IsInf(at, 1) && at+.045 <= s.hit
	case ExtendDouble:
		at := own()
		return !math.IsInf(at, 1) && at-.045 <= s.hit
	case ParryLateral:
		return parry(d.Lateral)
	case ParrySemi:
		return parry(d.Semicircular)
	case ParryCircular:
		return parry(d.Circular)
	case ParryStepBack:
		return start+float64(d.Lateral.Mean) <= s.firstAbove(stepped, 0)
	case RetreatOut:
		return math.IsInf(s.firstAbove(stepped, 0), 1)
	case RemoveTarget:
		return parry(d.Removal)
	case OpposeInTheLine:
		return parry(d.Opposition) && !math.IsInf(own(), 1)
	}
	panic(a)
}

// Nothing depends on how many processors draw, and a seed gives one result.
func TestWindowsSideBySide(t *testing.T) {
	x := lungeAt(t, 1.2, 1.3)
	one := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(one)
	a := windows(t, x, 2*block+9, 4)
	for _, n := range []int{2, 5} {
		runtime.GOMAXPROCS(n)
		if b := windows(t, x, 2*block+9, 4); !reflect.DeepEqual(a, b) {
			t.Errorf("%d processors gave another result", n)
		}
	}
	if b := windows(t, x, 2*block+9, 5); reflect.DeepEqual(a, b) {
		t.Error("another seed gave the same result")
	}
	if a.Draws != 2*block+9 {
		t.Errorf("%d draws", a.Draws)
	}
	if _, ok := a.Of("turn away"); ok || Answer("turn away").Asks() != "" {
		t.Error("an answer that nobody knows has a window")
	}
}

func BenchmarkWindows(b *testing.B) {
	x := lungeAt(b, 1.2, 1.3)
	for b.Loop() {
		if _, err := x.Windows(epee(), 20000, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
}
