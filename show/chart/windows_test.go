package chart

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// epeeBox is the épée's apparatus (figures R40: 45 ± 5 ms, contact 2 to 10 ms).
func epeeBox() timing.Apparatus {
	return timing.Apparatus{Window: .045, Tolerance: .005, ContactMin: .002, ContactMax: .010}
}

// exchange is an attack over a gap, against a defender whose gap is greater by ahead.
func exchange(t testing.TB, action string, gap, ahead float64) timing.Exchange {
	t.Helper()
	m, err := timing.Default(action, "", "")
	if err != nil {
		t.Fatal(err)
	}
	return timing.Exchange{
		Attack:  timing.NewAttack(quantity.Normal(quantity.Metres(gap), .04), m),
		Defence: timing.NewDefence(quantity.Normal(quantity.Metres(gap+ahead), .05)),
	}
}

const fixtureDraws = 4000

// travelOf is the way of the point at the mean of every input.
func travelOf(x timing.Exchange) []quantity.Metres {
	var all []quantity.Metres
	on := x.Attack.Onset.Time.Mean
	for i := range 101 {
		all = append(all, x.Attack.Movement.Travel(study.TravelStep*quantity.Seconds(i)-on)-x.Attack.Movement.Travel(-on))
	}
	return all
}

// windowsOf computes the windows of an exchange as a reading has them.
func windowsOf(t testing.TB, x timing.Exchange, action string) *study.Windows {
	t.Helper()
	w, err := x.Windows(epeeBox(), fixtureDraws, rand.NewPCG(7, 7))
	if err != nil {
		t.Fatal(err)
	}
	return &study.Windows{Windows: w, Exchange: x, AttackAction: action, AttackTarget: mark.Chest, AnswerTarget: mark.Hand, Travel: travelOf(x),
		Deciding: timing.ParryCircular, Matters: []study.Matter{{Name: "right's reaction", Share: .44, Mend: "mark the moment at which the answer starts, instead of assuming a reaction"}},
		Finding: "Right can still parry and step back; a single light into the attack is even at best"}
}

// kept returns windows as they were once computed and kept, so that a golden picture
// hangs on what is drawn and not on the model; a missing file is written with -update.
func kept(t testing.TB, name string, w *study.Windows) *study.Windows {
	t.Helper()
	file := filepath.Join("testdata", "windows", name+".json")
	if _, err := os.Stat(file); *update && errors.Is(err, os.ErrNotExist) {
		b, err := json.MarshalIndent(w, "", " ")
		if err == nil {
			err = os.WriteFile(file, append(b, '\n'), 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	out := &study.Windows{}
	if err := json.Unmarshal(b, out); err != nil {
		t.Fatal(err)
	}
	return out
}

// timed is a reading with the timing of one instant: left attacks.
func timed(t testing.TB, x timing.Exchange, action string) *study.Reading {
	t.Helper()
	r := reading(t)
	r.Timing = &study.Timing{At: study.At{Take: "live", Frame: 42}, Moment: "launch", Instant: quantity.Uniform[quantity.Seconds](1.64, 1.68),
		Attacker: mark.Left, Windows: windowsOf(t, x, action)}
	return r
}

// windowsCases are readings of every kind that the picture must bear: as the model
// has them now, or as they are kept.
func windowsCases(t testing.TB, now bool) map[string]*study.Reading {
	timed := func(name string, x timing.Exchange, action string) *study.Reading {
		r := timed(t, x, action)
		if !now {
			r.Timing.Windows = kept(t, name, r.Timing.Windows)
		}
		return r
	}
	lunge := timed("lunge", exchange(t, timing.Lunge, 1.2, .1), timing.Lunge)

	near := timed("near", exchange(t, timing.Extension, .3, .1), timing.Extension)
	near.Timing.Windows.Finding = "From here nothing that waits to see the attack is in time"
	near.Timing.Windows.Deciding, near.Timing.Windows.Matters = "", nil

	far := timed("far", exchange(t, timing.Lunge, 2.4, .1), timing.Lunge)
	far.Timing.Windows.Deciding, far.Timing.Windows.Matters = "", nil
	far.Timing.Windows.Finding = "Left’s lunge falls short from here"

	// The right fencer attacks with the longest words, on the way before the instant.
	x := exchange(t, timing.StepLunge, 1.5, -.2)
	x.Attack.Onset = timing.Observed(quantity.Uniform[quantity.Seconds](-.18, -.14), true)
	long := timed("long", x, timing.StepLunge)
	long.Timing.Attacker = mark.Right
	long.Timing.Windows.AttackTarget = mark.UpperArm
	long.Timing.Windows.Deciding = timing.ParryStepBack
	start := study.StartOf{Start: timing.Start{Side: int(mark.Left), Part: "hand", Time: quantity.Normal[quantity.Seconds](1.66+.28, .012)}}
	long.Timing.Started = &study.Started{Starts: []study.StartOf{start}}

	// The defender comes to meet the attack, and more than one sentence is found.
	x = exchange(t, timing.Lunge, 1.3, .1)
	coming, err := timing.Default(timing.StepLunge, "", "")
	if err != nil {
		t.Fatal(err)
	}
	x.Defence.Coming = timing.Runner{Movement: coming, Onset: timing.Observed(quantity.Normal[quantity.Seconds](.1, .01), false)}
	meets := timed("meets", x, timing.Lunge)
	race := *meets.Race
	race.Runs[mark.Left].Closing = nil
	for i := range 80 {
		race.Runs[mark.Left].Closing = append(race.Runs[mark.Left].Closing, coming.Body.Mean*quantity.Metres(math.Min(1, math.Max(0, float64(i)*.01-.1))))
	}
	meets.Timing.Race = &race
	meets.Timing.Windows.Finding = "Left’s lunge to the chest hits in 430 ± 65 ms; 11 % of its time is gone when it can be seen. Right comes to meet it. Only the lateral parry is still in time"

	// Nothing is uncertain.
	x = exchange(t, timing.Lunge, 1.1, .1)
	exact := timed("exact", x, timing.Lunge)
	for i := range exact.Timing.Windows.Each {
		e := &exact.Timing.Windows.Each[i]
		e.Latest, e.Earliest = quantity.Exactly(e.Latest.Mean), quantity.Exactly(e.Earliest.Mean)
	}
	w := &exact.Timing.Windows.Windows
	w.Hit, w.Ready, w.Cue.At, w.ReAim = quantity.Exactly(w.Hit.Mean), quantity.Exactly(w.Ready.Mean), quantity.Exactly(w.Cue.At.Mean), quantity.Exactly(w.ReAim.Mean)
	return map[string]*study.Reading{"lunge": lunge, "near": near, "far": far, "long": long, "meets": meets, "exact": exact}
}

// drawAll draws each case in every layout and theme, and bare on the phone.
func drawAll(t testing.TB, cases map[string]*study.Reading, chart func(*study.Reading, Options) (*draw.Drawing, error)) map[string]*draw.Drawing {
	t.Helper()
	all := map[string]*draw.Drawing{}
	for name, r := range cases {
		for _, l := range plate.Layouts {
			for _, th := range []draw.Theme{draw.Paper(), draw.Night()} {
				d, err := chart(r, Options{Layout: l, Theme: th})
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				all[name+"-"+l.String()+"-"+th.Name] = d
			}
			d, err := chart(r, Options{Layout: l, Bare: true})
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			all[name+"-"+l.String()+"-bare"] = d
		}
	}
	return all
}

// golden holds drawings against the files of a folder of testdata. Of all cases only the
// first named one is kept in both themes.
func golden(t *testing.T, folder string, all map[string]*draw.Drawing, kept ...string) {
	t.Helper()
	some := map[string]*draw.Drawing{}
	for _, name := range kept {
		d, ok := all[name]
		if !ok {
			t.Fatalf("no drawing %q", name)
		}
		some[name] = d
	}
	held(t, filepath.Join("testdata", folder), some)
	if specimens := os.Getenv("MESURE_SPECIMEN"); specimens != "" {
		for name, d := range all {
			if err := os.WriteFile(filepath.Join(specimens, folder+"-"+name+".svg"), svg(t, d), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// standsFree checks that no words stand outside the sheet or on each other, and that
// a file stays small.
func standsFree(t *testing.T, all map[string]*draw.Drawing, most int) {
	t.Helper()
	n := 0
	for name, d := range all {
		lines := d.Lines()
		for i, a := range lines {
			n++
			b := a.Box()
			if b.X < 1 || b.Right() > d.W-1 || b.Y < 0 || b.Bottom() > d.H {
				t.Errorf("%s: %q stands at %v, outside the sheet", name, a.S, b)
			}
			for _, o := range lines[i+1:] {
				if b.Meets(o.Box()) {
					t.Errorf("%s: %q lies on %q", name, a.S, o.S)
				}
			}
		}
		var page bytes.Buffer
		if err := d.PageSVG(&page, "x"); err != nil {
			t.Fatal(err)
		}
		if page.Len() > most {
			t.Errorf("%s: %d bytes on a page, more than %d", name, page.Len(), most)
		}
	}
	if n == 0 {
		t.Error("no words were checked")
	}
}

func TestWindowsGolden(t *testing.T) {
	golden(t, "windows", drawAll(t, windowsCases(t, false), Windows), "lunge-wide-paper", "lunge-phone-paper", "lunge-wide-night", "near-wide-paper", "far-phone-paper", "long-phone-night", "long-wide-paper", "exact-wide-bare", "meets-wide-paper")
}

func TestWindowsStandFree(t *testing.T) {
	for _, now := range [2]bool{false, true} {
		standsFree(t, drawAll(t, windowsCases(t, now), Windows), 60_000)
	}
}

func TestNoWindowsIsANamedError(t *testing.T) {
	r := reading(t)
	if _, err := Windows(r, Options{}); !errors.Is(err, ErrNoWindows) {
		t.Errorf("without a timing: %v", err)
	}
	r.Timing = &study.Timing{}
	if _, err := Windows(r, Options{}); !errors.Is(err, ErrNoWindows) {
		t.Errorf("without windows: %v", err)
	}
	defer func() {
		if m, ok := recover().(string); !ok || !strings.HasPrefix(m, "chart: ") {
			t.Errorf("recovered %v", m)
		}
	}()
	Windows(nil, Options{})
}

func BenchmarkWindows(b *testing.B) {
	r := timed(b, exchange(b, timing.Lunge, 1.2, .1), timing.Lunge)
	for b.Loop() {
		if _, err := Windows(r, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
