package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"mesure/quantity"
)

func riposte(t testing.TB, q AfterParry, draws int, seed uint64) Riposte {
	t.Helper()
	r, err := q.Race(epee(), draws, rand.NewPCG(seed, 3))
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range []RiposteWay{r.Direct, r.AlongTheBlade, r.Indirect} {
		approx(t, "lamps", float64(w.RiposteOnly.Mean+w.RemiseOnly.Mean+w.Both.Mean+w.Neither.Mean), 1, 1e-12)
		if !w.Delay.IsValid() || w.Delay.Mean < -RiposteWithin || w.Delay.Mean > RiposteWithin {
			t.Fatalf("delay %v", w.Delay)
		}
	}
	return r
}

// sharpRiposte is an exchange after a parry without spread, the riposte with the whole arm.
func sharpRiposte() AfterParry {
	q := NewAfterParry(quantity.Exactly(quantity.Metres(.45)), quantity.Exactly(quantity.Metres(.25)))
	q.Movement.Arm, q.Movement.ArmTime = quantity.Exactly(quantity.Metres(.45)), seconds(.230, 0)
	q.Disengage, q.Remise, q.Escape = seconds(.150, 0), seconds(.160, 0), seconds(.300, 0)
	q.RemiseReach = quantity.Exactly(quantity.Metres(.45))
	return q
}

// T19 (common practice): the remise takes 120 to 200 ms, and beats a riposte that is
// held or indirect; T12: a blade that is held does not arrive. Without spread, against
// the arithmetic of the times by hand: window 45 ms, contacts alike.
func TestTradeRemiseBeatsSlowRiposte(t *testing.T) {
	app := Apparatus{Window: .045}
	run := func(q AfterParry) Riposte {
		r, err := q.Race(app, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	q := sharpRiposte()
	r := run(q)
	// The curve is flat at its end, so that an arrival there is found to a microsecond.
	// direct: 230 ms against 160: 70 later, the remise alone. Indirect: 380.
	if r.Direct.RemiseOnly.Mean != 1 || r.Indirect.RemiseOnly.Mean != 1 {
		t.Errorf("a slow riposte against the remise: %+v, %+v", r.Direct, r.Indirect)
	}
	approx(t, "direct", float64(r.Direct.Hit.Mean), .230, 1e-6)
	approx(t, "indirect", float64(r.Indirect.Hit.Mean), .380, 1e-6)
	approx(t, "remise", float64(r.Direct.Remise.Mean), .160, 1e-12)
	// along the blade: the remise is held until 300, and then takes its time.
	approx(t, "held", float64(r.AlongTheBlade.Remise.Mean), .460, 1e-12)
	if r.AlongTheBlade.RiposteOnly.Mean != 1 {
		t.Errorf("T12: along the blade: %+v", r.AlongTheBlade)
	}
	approx(t, "hold along the blade", float64(r.AlongTheBlade.Delay.Mean), .460-.045-.230, 1e-6)
	approx(t, "hold direct", float64(r.Direct.Delay.Mean), .160-.045-.230, 1e-6)
	approx(t, "hold indirect", float64(r.Indirect.Delay.Mean), .160-.045-.380, 1e-6)
	// A short riposte at once: both lamps or the riposte alone; held for longer than its
	// Delay it does not light alone, a little less and it does.
	q.Gap = quantity.Exactly(quantity.Metres(.05))
	r = run(q)
	at := r.Direct.Delay
	if at.Mean <= 0 || r.Direct.RiposteOnly.Mean != 1 {
		t.Fatalf("a riposte from 5 cm: %+v", r.Direct)
	}
	for _, c := range []struct{ off, want float64 }{{-1e-6, 1}, {1e-6, 0}} {
		q.Hold = quantity.Exactly(at.Mean + quantity.Seconds(c.off))
		approx(t, "alone", float64(run(q).Direct.RiposteOnly.Mean), c.want, 0)
	}
	// The default law of the remise is the trade's range: nine tenths in 120 to 200 ms.
	d := NewAfterParry(quantity.Exactly(quantity.Metres(.3)), quantity.Exactly(quantity.Metres(.25))).Remise
	approx(t, "T19", normalCDF(float64((.200-d.Mean)/d.SD))-normalCDF(float64((.120-d.Mean)/d.SD)), .90, .002)
	// A parry without hold is a direct riposte.
	q = sharpRiposte()
	q.Holds = 0
	r = run(q)
	if !slices.Equal([]RiposteWay{r.Direct}, []RiposteWay{r.AlongTheBlade}) {
		t.Errorf("without hold: %+v, %+v", r.Direct, r.AlongTheBlade)
	}
	// A remise whose gap is larger than its reach does not arrive.
	q.RemiseGap = quantity.Exactly(quantity.Metres(.46))
	if r = run(q); r.Direct.RiposteOnly.Mean != 1 || r.Direct.RemiseArrives.Mean != 0 {
		t.Errorf("out of reach: %+v", r.Direct)
	}
}

// The draws against the closed form of two normal arrivals, where the riposte takes a
// normal time: the arm goes exactly its length, so that the hit is its whole time.
func TestRiposteAgainstClosedForm(t *testing.T) {
	q := sharpRiposte()
	q.Movement.ArmTime, q.Remise, q.Disengage = seconds(.230, .030), seconds(.260, .025), seconds(.060, .020)
	const n = 60000
	r, err := q.Race(Apparatus{Window: .045}, n, rand.NewPCG(4, 4))
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		way      RiposteWay
		mean, sd float64
	}{"direct": {r.Direct, .230, .030}, "indirect": {r.Indirect, .290, math.Hypot(.030, .020)}} {
		want := GaussianRace(seconds(c.mean, c.sd), seconds(.260, .025), .045)
		approx(t, name+" alone", float64(c.way.RiposteOnly.Mean), float64(want.LeftOnly), 5*float64(c.way.RiposteOnly.SD))
		approx(t, name+" remise", float64(c.way.RemiseOnly.Mean), float64(want.RightOnly), 5*float64(c.way.RemiseOnly.SD))
		approx(t, name+" both", float64(c.way.Both.Mean), float64(want.Both), 5*float64(c.way.Both.SD))
		approx(t, name+" delay", float64(c.way.Delay.Mean), .260-.045-c.mean, .001)
		approx(t, name+" spread of the delay", float64(c.way.Delay.SD), math.Hypot(c.sd, .025), .001)
	}
}

// What must hold in any exchange: a longer hold never makes the riposte better, a
// disengage never earlier, a larger gap never earlier, a held blade never worse; and
// equal seeds give equal answers.
func TestRiposteOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for range 60 {
		q := NewAfterParry(quantity.Normal(quantity.Metres(.1+.4*rng.Float64()), .03), quantity.Normal(quantity.Metres(.1+.3*rng.Float64()), .03))
		q.Holds, q.Recovers = quantity.Chance(rng.Float64()), quantity.Chance(rng.IntN(2))*quantity.Chance(rng.Float64())
		r := riposte(t, q, 800, 1)
		if again := riposte(t, q, 800, 1); again != r {
			t.Fatal("equal seeds, other answers")
		}
		if r.Indirect.RiposteOnly.Mean > r.Direct.RiposteOnly.Mean || r.Direct.RiposteOnly.Mean > r.AlongTheBlade.RiposteOnly.Mean {
			t.Errorf("indirect %v, direct %v, along the blade %v", r.Indirect.RiposteOnly.Mean, r.Direct.RiposteOnly.Mean, r.AlongTheBlade.RiposteOnly.Mean)
		}
		held := q
		held.Hold.Mean += .05
		if h := riposte(t, held, 800, 1); h.Direct.RiposteOnly.Mean > r.Direct.RiposteOnly.Mean || h.Direct.RemiseOnly.Mean < r.Direct.RemiseOnly.Mean {
			t.Errorf("a hold of 50 ms makes it better: %+v, %+v", r.Direct, h.Direct)
		}
		far := q
		far.Gap.Mean += .05
		if f := riposte(t, far, 800, 1); f.Direct.Arrives.Mean > r.Direct.Arrives.Mean || f.Direct.RiposteOnly.Mean > r.Direct.RiposteOnly.Mean {
			t.Errorf("from further off it is better: %+v, %+v", r.Direct, f.Direct)
		}
	}
}

// An attacker who goes back: the riposte must reach a target that leaves, by brute
// force over time; and the longest hold is where it no longer does.
func TestRiposteAgainstRecovery(t *testing.T) {
	q := sharpRiposte()
	q.Gap, q.Recovers = quantity.Exactly(quantity.Metres(.30)), 1
	q.Recovery = Movement{Body: quantity.Exactly(quantity.Metres(-.4)), BodyTime: seconds(.35, 0)}
	q.RecoveryOnset = seconds(.05, 0)
	brute := func(hold float64) (float64, bool) {
		for at := 0.0; at < 2; at += 1e-5 {
			if .45*MinimumJerk((at-hold)/.23)-.4*MinimumJerk((at-.05)/.35) >= .30 {
				return at, true
			}
		}
		return 0, false
	}
	for _, hold := range []float64{0, .02, .05} {
		q.Hold = seconds(hold, 0)
		r, err := q.Race(Apparatus{Window: .045}, 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		at, ok := brute(hold)
		if (r.Direct.Arrives.Mean == 1) != ok || ok && math.Abs(float64(r.Direct.Hit.Mean)-at) > 2e-5 {
			t.Errorf("hold %v: %+v, by steps %v %v", hold, r.Direct, at, ok)
		}
		if r.Direct.RemiseArrives.Mean != 0 {
			t.Error("who recovers does not remise")
		}
		if d := float64(r.Direct.Delay.Mean); d > 0 {
			_, before := brute(d - .002)
			_, after := brute(d + .002)
			if !before || after {
				t.Errorf("longest hold %v: reached before %v, after %v", d, before, after)
			}
		}
	}
}

// Numbers that are none are refused, and nothing panics.
func TestRiposteRefusals(t *testing.T) {
	good := sharpRiposte()
	for name, f := range map[string]func(q *AfterParry){
		"gap":      func(q *AfterParry) { q.Gap.Mean = -.1 },
		"NaN":      func(q *AfterParry) { q.Remise.Mean = quantity.Seconds(math.NaN()) },
		"hold":     func(q *AfterParry) { q.Hold.Mean = -.1 },
		"no way":   func(q *AfterParry) { q.Movement = Movement{} },
		"back":     func(q *AfterParry) { q.Movement.Arm.Mean = -.2 },
		"holds":    func(q *AfterParry) { q.Holds = 1.2 },
		"recovers": func(q *AfterParry) { q.Recovers = quantity.Chance(math.NaN()) },
		"recovery": func(q *AfterParry) { q.Recovers, q.Recovery.Body.Mean = 1, .3 },
		"reach":    func(q *AfterParry) { q.RemiseReach.Mean = -1 },
	} {
		q := good
		f(&q)
		var in *InputError
		if _, err := q.Race(epee(), 10, rand.NewPCG(1, 1)); !errors.As(err, &in) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := good.Race(epee(), 0, nil); err == nil {
		t.Error("no draws were made")
	}
}

func BenchmarkRiposte(b *testing.B) {
	q := NewAfterParry(quantity.Normal(quantity.Metres(.35), .03), quantity.Normal(quantity.Metres(.25), .03))
	for b.Loop() {
		if _, err := q.Race(epee(), 20000, rand.NewPCG(1, 1)); err != nil {
			b.Fatal(err)
		}
	}
}
