package chart

import (
	"bytes"
	"image/png"
	"math"
	"reflect"
	"runtime/debug"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/study"
	"mesure/timing"
)

// shades returns the mean darkness of a picture of a box, 0 for the ground and 1 for
// the colour, and how much more it goes on along the rising diagonal than along the
// falling one.
func shades(t *testing.T, ground, colour draw.Colour, paint func(sh *plate.Sheet, p *draw.Path)) (mean, rising float64) {
	t.Helper()
	d := draw.New(24, 24, "a", "")
	d.Ground = ground
	th := draw.Paper()
	paint(&plate.Sheet{Drawing: d, Theme: th}, draw.Box{W: 24, H: 24}.Path())
	var b bytes.Buffer
	if err := d.PNG(&b, 480); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	grey := func(r, g, bl uint32) float64 {
		return (0.2126*float64(r) + 0.7152*float64(g) + 0.0722*float64(bl)) / 65535
	}
	at := func(x, y int) float64 { r, g, bl, _ := img.At(x, y).RGBA(); return grey(r, g, bl) }
	from := grey(uint32(ground.R)*257, uint32(ground.G)*257, uint32(ground.B)*257)
	to := grey(uint32(colour.R)*257, uint32(colour.G)*257, uint32(colour.B)*257)
	n := 0.0
	for y := 40; y < 440; y++ {
		for x := 40; x < 440; x++ {
			v := at(x, y)
			mean += (v - from) / (to - from)
			rising += math.Abs(v-at(x+4, y+4)) - math.Abs(v-at(x+4, y-4))
			n++
		}
	}
	return mean / n, rising / n / math.Abs(to-from)
}

// The share of the paper that ink covers is the chance, measured on the picture.
func TestInkIsAsDenseAsTheChance(t *testing.T) {
	black := draw.Hex(0)
	for _, chance := range []float64{0, .1, .25, .43, .6, .8, .92, 1} {
		got, _ := shades(t, draw.Hex(0xffffff), black, func(sh *plate.Sheet, p *draw.Path) { ink(&sh.Group, p, chance, 0, black, true) })
		if math.Abs(got-chance) > .02 {
			t.Errorf("a chance of %v covers %.3f", chance, got)
		}
	}
}

// A zone is told from every other without colour: by its shade of grey or by the slant
// of its lines.
func TestZonesAreToldApartWithoutColour(t *testing.T) {
	th := draw.Paper()
	zones := timing.Zones()
	for att := range 2 {
		type look struct{ mean, rising float64 }
		var all []look
		for z := range zones[:] {
			m, r := shades(t, th.Ground, th.Ink, func(sh *plate.Sheet, p *draw.Path) { zoneFill(sh, z, p, sides[att]) })
			all = append(all, look{m, r})
		}
		for i, a := range all {
			for j, b := range all[:i] {
				if math.Abs(a.mean-b.mean) < .06 && math.Abs(a.rising-b.rising) < .06 {
					t.Errorf("attacker %d: zones %d and %d look alike: %+v, %+v", att, j, i, a, b)
				}
			}
		}
	}
}

// The height of a stroke is what the law of the latest start leaves: half at its mean,
// and 2.5 % at the ends of the interval that holds 95 % (tables of the normal
// distribution: Φ(1.96) = 0.9750), also where that is not symmetric.
func TestStrokeTapersByTheLawOfTheLatestStart(t *testing.T) {
	q := quantity.Of[quantity.Seconds]{Mean: .4, SD: .1, Lo: .25, Hi: .65}
	for at, want := range map[float64]float64{.4: .5, .25: .025, .65: .975, .4 + .25/1.96: .8413, .4 - .15/1.96: .1587} {
		if got := before(q, at); math.Abs(got-want) > 2e-4 {
			t.Errorf("before %v: %v, not %v", at, got, want)
		}
	}
	l := timeline{x0: 0, span: 100, t0: 0, t1: 1}
	p := l.taper(q, 0, 1, 50, 10, 10).Bounds()
	if math.Abs(float64(p.Y)-40) > .1 || math.Abs(float64(p.H)-20) > .2 {
		t.Errorf("a stroke that is surely open at its start is %v high", p.H)
	}
	p = l.taper(q, .4, 1, 50, 10, 10).Bounds()
	if math.Abs(float64(p.H)-10) > .05 || p.X != 40 {
		t.Errorf("from the mean on a stroke is %v high at %v", p.H, p.X)
	}
	exact := quantity.Exactly(quantity.Seconds(.3))
	if p := l.taper(exact, 0, 1, 50, 10, 10).Bounds(); p.W != 30 || p.H != 20 {
		t.Errorf("an exact end is no square one: %+v", p)
	}
	if !l.taper(exact, .5, 1, 50, 10, 10).Empty() {
		t.Error("there is a stroke after an exact end")
	}
}

// The words of the picture are the numbers of the windows.
func TestWindowsSayTheirNumbers(t *testing.T) {
	r := windowsCases(t, true)["lunge"]
	w := r.Timing.Windows
	for _, l := range plate.Layouts {
		d, err := Windows(r, Options{Layout: l})
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, line := range d.Lines() {
			said += line.S + "\n"
		}
		want := []string{w.Finding[:20], plate.Metres(w.Exchange.Attack.Gap), plate.Milliseconds(w.Hit), plate.Milliseconds(w.Ready), plate.Milliseconds(w.Cue.At), plate.Milliseconds(w.ReAim), "seed 7"}
		for _, e := range w.Each {
			want = append(want, plate.AnswerWords(e.Answer), plate.Percent(e.InTime))
			if e.Possible.Mean >= .5 {
				want = append(want, plate.Milliseconds(e.Spare))
			}
		}
		for _, s := range want {
			if !strings.Contains(said, s) {
				t.Errorf("%s: the picture does not say %q", l, s)
			}
		}
	}
}

// spoil calls do with each number of a value in turn set to one that is none: in turn
// not a number and without end, which of them first is from.
func spoil(v reflect.Value, from *int, do func()) {
	switch v.Kind() {
	case reflect.Float64:
		old := v.Float()
		*from++
		v.SetFloat([2]float64{math.NaN(), math.Inf(1)}[*from%2])
		do()
		v.SetFloat(old)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				spoil(v.Field(i), from, do)
			}
		}
	case reflect.Array, reflect.Slice:
		for i := range min(v.Len(), 2) {
			spoil(v.Index(i), from, do)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			spoil(v.Elem(), from, do)
		}
	}
}

// Whatever number is none, there is a picture or a named error, and no panic.
func TestPicturesBearNumbersThatAreNone(t *testing.T) {
	n := 0
	try := func(what string, chart func(*study.Reading, Options) (*draw.Drawing, error), r *study.Reading, of any) {
		spoil(reflect.ValueOf(of).Elem(), &n, func() {
			defer func() {
				if p := recover(); p != nil {
					t.Errorf("%s, number %d: %v\n%s", what, n, p, debug.Stack())
				}
			}()
			chart(r, Options{Bare: true})
		})
	}
	r := windowsCases(t, false)["long"]
	try("windows", Windows, r, r.Timing.Windows)
	r = whatIfCases(t, false)["earlier"]
	try("what-if", WhatIf, r, r.Timing.WhatIf)
	r = distanceCases(t, false)["small"]
	r.Timing.Map.Path = distanceCases(t, false)["touch"].Timing.Map.Path
	r.Timing.Map.Reach = timing.DefaultReach()
	try("map", Distance, r, r.Timing.Map)
	if n < 300 {
		t.Errorf("only %d numbers were tried", n)
	}
}

// A title is one sentence; a point within a number ends none, and a number stays on one
// line with its unit.
func TestTheTitleIsOneSentence(t *testing.T) {
	for _, c := range []struct{ in, first, others string }{
		{"It hits in 350 ± 75 ms; 1.2 m away. Left is late. Right waits", "It hits in 350" + nb + "±" + nb + "75" + nb + "ms; 1.2" + nb + "m away", "Left is late. Right waits."},
		{"One alone", "One alone", ""},
		{"Left, e.g. here, is late", "Left, e.g. here, is late", ""},
	} {
		first, others := firstSentence(c.in)
		if first != c.first || others != c.others {
			t.Errorf("%q and %q", first, others)
		}
	}
}
