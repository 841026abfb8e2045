package timing

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"mesure/quantity"
)

// The inverse of the curve, to the digits of the table that is derived from Flash
// and Hogan's equation by halving.
// TestNearCbrt holds the quick cube root to the exact one of the standard library.
func TestNearCbrt(t *testing.T) {
	for x := 1e-300; x < 1e3; x *= 1.37 {
		if got, want := nearCbrt(x), math.Cbrt(x); math.Abs(got/want-1) > 3e-5 {
			t.Fatalf("the cube root of %g is %g, want %g", x, got, want)
		}
	}
}

func TestMinimumJerkTime(t *testing.T) {
	for done, tau := range map[float64]float64{.01: .1056, .02: .1353, .05: .1893, .10: .2466, .90: .7534, .95: .8107} {
		approx(t, "share of the time", MinimumJerkTime(done), tau, 5e-5)
	}
	for i := range 2001 { // there and back, and never earlier for more
		done := float64(i) / 2000
		approx(t, "there and back", MinimumJerk(MinimumJerkTime(done)), done, 1e-11)
	}
	for _, done := range []float64{1e-300, 1e-20, 1e-12, 1e-9, 1e-6, 1e-4} {
		approx(t, "near the start", MinimumJerk(MinimumJerkTime(done))/done, 1, .005)
		approx(t, "mirrored", MinimumJerkTime(1-done), 1-MinimumJerkTime(1-(1-done)), 1e-12)
	}
	for _, c := range [][2]float64{{-1, 0}, {0, 0}, {1, 1}, {2, 1}, {math.NaN(), 0}} {
		if got := MinimumJerkTime(c[0]); got != c[1] {
			t.Errorf("at %g: %g", c[0], got)
		}
	}
}

// A defender who notices the hand after 5 % of its travel has lost 19 % of the
// time, after 10 % a quarter (derived from the curve).
func TestCueTime(t *testing.T) {
	m := fixed(t, Extension)
	for share, lost := range map[quantity.Ratio]float64{.05: .19, .10: .25} {
		at, ok := m.CueTime(share)
		if !ok {
			t.Fatal("no cue")
		}
		approx(t, "lost", float64(at/m.ArmTime.Mean), lost, .005)
	}
	// The foot may give it away first.
	foot := fixed(t, Lunge)
	foot.Delay = quantity.Exactly(quantity.Seconds(-.3))
	at, _ := foot.CueTime(.05)
	approx(t, "foot first", float64(at), -.3+.1893*float64(foot.BodyTime.Mean), 1e-4)
	if _, ok := movement(t, None).CueTime(.05); ok {
		t.Error("one who stands still shows an attack")
	}
}

// Hick 1952 and Hyman 1953: bits of choice.
func TestChoiceBits(t *testing.T) {
	for _, c := range []struct {
		p    []quantity.Chance
		want float64
	}{
		{[]quantity.Chance{.5, .25, .125, .125}, 1.75},
		{[]quantity.Chance{.8, .2}, .7219281},
		{[]quantity.Chance{.25, .25, .25, .25}, 2},
		{[]quantity.Chance{1, 0}, 0},
	} {
		got, err := ChoiceBits(c.p)
		if err != nil {
			t.Fatal(err)
		}
		approx(t, "bits", float64(got), c.want, 5e-8)
	}
	four := VisualAmong(4).Law()
	approx(t, "four answers", float64(four.Mean), .200+2*.050, 1e-12)
	if old := Reacting(Visual(), PerChoice(), 4).Time; old != four {
		t.Errorf("the race reacts by another law: %v, %v", old, four)
	}
	if a, b := TactileAmong(2).Law(), VisualAmong(2).Law(); a.Mean >= b.Mean {
		t.Error("touch is not quicker than sight")
	}
	// Trained reaction among up to four answers: 280 to 350 ms (recalled, not
	// verified).
	if m := four.Mean; m < .280 || m > .350 {
		t.Errorf("reaction among four %v", m)
	}
	for _, p := range [][]quantity.Chance{{.5, .4}, {1.2, -.2}, {}, {quantity.Chance(math.NaN()), 1}} {
		var bad *InputError
		if _, err := ChoiceBits(p); !errors.As(err, &bad) {
			t.Errorf("%v: %v", p, err)
		}
	}
}

// Reaction and lateral parry together take what elite fencers took to defend:
// 353 ± 28 ms (Gutiérrez-Dávila, J. Appl. Biomech. 32:548, 2016), within two
// spreads; whether that time holds the reaction is not sure.
func TestDefenceTakesAsLongAsMeasured(t *testing.T) {
	approx(t, "defence", float64(VisualAmong(1).Law().Mean+ParryTime), .353, 2*.028)
}

func TestReactionDraws(t *testing.T) {
	const n = 40000
	r := VisualAmong(2)
	got, err := r.Draws(n, rand.NewPCG(1, 1))
	if err != nil {
		t.Fatal(err)
	}
	q := quantity.FromDraws(got)
	approx(t, "mean", float64(q.Mean), float64(r.Law().Mean), 4*float64(q.SD)/math.Sqrt(n))
	approx(t, "SD", float64(q.SD), float64(r.Law().SD), 4*float64(q.SD)/math.Sqrt(2*n))
	// A spread as wide as the mean is cut at zero: the mean of that law by hand,
	// μ + σ·φ(μ/σ)/Φ(μ/σ).
	r = Reaction{Simple: quantity.Normal(quantity.Seconds(.2), .2)}
	if got, err = r.Draws(n, rand.NewPCG(2, 1)); err != nil {
		t.Fatal(err)
	}
	for _, v := range got {
		if v < 0 {
			t.Fatal("a reaction before its cue")
		}
	}
	density := math.Exp(-.5) / math.Sqrt(2*math.Pi)
	q = quantity.FromDraws(got)
	approx(t, "mean of the cut law", float64(q.Mean), .2+.2*density/normalCDF(1), 4*float64(q.SD)/math.Sqrt(n))
	for _, bad := range []Reaction{
		{Simple: quantity.Exactly(quantity.Seconds(-.1))},
		{Simple: Visual(), Bits: -1},
		{Simple: Visual(), PerChoice: quantity.Exactly(quantity.Seconds(-.1)), Bits: 1},
		{Simple: quantity.Exactly(quantity.Seconds(math.NaN()))},
		{Simple: Visual(), Bits: quantity.Ratio(math.Inf(1))},
	} {
		var e *InputError
		if _, err := bad.Draws(10, rand.NewPCG(1, 1)); !errors.As(err, &e) || e.Want == "" {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	if _, err := r.Draws(0, nil); err == nil {
		t.Error("no draws were made")
	}
}

// law gives the same law as drawing again outside the bounds, and its
// distribution function undoes it.
func TestLawAgainstDrawingAgain(t *testing.T) {
	const n = 60000
	for _, in := range []input{
		{mean: .1, sd: .1, lo: 0, hi: math.Inf(1)}, {mean: -.1, sd: .05, lo: math.Inf(-1), hi: 0},
		{mean: 1, sd: .2, lo: .2, hi: math.Inf(1)}, {mean: 0, sd: 1, lo: -1, hi: 1},
		{mean: .05, sd: .01, lo: 0, hi: 1, uniform: true},
	} {
		l, rng, other := lawOf(in), &stream{7}, &stream{8}
		a, b := make([]quantity.Ratio, n), make([]quantity.Ratio, n)
		for i := range a {
			z := rng.normal()
			v := l.at(z)
			a[i], b[i] = quantity.Ratio(v), quantity.Ratio(in.draw(other))
			if i < 200 && !in.uniform {
				want := normalCDF(z) // the share of the law below its own quantile
				if l.cut {
					approx(t, "distribution", l.chanceUpTo(v), want, 1e-9)
				}
			}
		}
		p, q := quantity.FromDraws(a), quantity.FromDraws(b)
		approx(t, "mean", float64(p.Mean), float64(q.Mean), 6*float64(p.SD)/math.Sqrt(n))
		approx(t, "SD", float64(p.SD), float64(q.SD), 6*float64(p.SD)/math.Sqrt(n))
		approx(t, "low", float64(p.Lo), float64(q.Lo), .03*float64(p.SD)*4)
	}
}

// Fitts 1954, Table 1, light stylus: regression on AimBits gives 12.8 + 94.7 ms
// per bit, r = .983, as MacKenzie published in 1992.
func TestFittsTable(t *testing.T) {
	raw, err := os.ReadFile("testdata/fitts_hick.json")
	if err != nil {
		t.Fatal(err)
	}
	var data struct {
		A  []float64            `json:"A_in"`
		W  []float64            `json:"W_in"`
		MT map[string][]float64 `json:"MT_s"`
	}
	if err := json.Unmarshal(raw, &data); err != nil {
		t.Fatal(err)
	}
	var n, sx, sy, sxx, sxy, syy float64
	for i, a := range data.A {
		for j, w := range data.W {
			bits, err := AimBits(quantity.Metres(a*.0254), quantity.Metres(w*.0254))
			if err != nil {
				t.Fatal(err)
			}
			x, y := float64(bits), data.MT[[]string{"2", "4", "8", "16"}[i]][j]
			n, sx, sy, sxx, sxy, syy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y, syy+y*y
		}
	}
	if n != 16 {
		t.Fatalf("%g conditions", n)
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	approx(t, "slope", slope*1000, 94.7, .05)
	approx(t, "intercept", (sy-slope*sx)/n*1000, 12.8, .05)
	approx(t, "r", (n*sxy-sx*sy)/math.Sqrt((n*sxx-sx*sx)*(n*syy-sy*sy)), .983, 5e-4)
	approx(t, "our constant", float64(AimPerBit), slope, 5e-4)
}

// A parry twice as large takes one bit longer; a larger one never less time (T2
// with common practice: a close distance asks for more).
func TestSized(t *testing.T) {
	usual := quantity.Normal(ParryTime, ParryTimeSD)
	twice, err := Sized(usual, .4, .2)
	if err != nil {
		t.Fatal(err)
	}
	approx(t, "twice", float64(twice.Mean-usual.Mean), float64(AimPerBit), 1e-12)
	last := quantity.Seconds(0)
	for cm := 1; cm < 80; cm++ {
		got, err := Sized(usual, quantity.Metres(cm)/100, .2)
		if err != nil {
			t.Fatal(err)
		}
		if got.Mean < last || got.Mean <= 0 {
			t.Fatalf("%d cm in %v", cm, got.Mean)
		}
		last = got.Mean
	}
	if _, err := Sized(usual, 0, .2); err == nil || !strings.Contains(err.Error(), "positive") {
		t.Errorf("a parry of no size: %v", err)
	}
	if _, err := AimBits(1, quantity.Metres(math.NaN())); err == nil {
		t.Error("a goal without width")
	}
}
