package track

import (
	"context"
	"image"
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
)

// armed is a stage with a blade that swings about a moving guard, up to 8° a frame,
// before lines that stand still and are as bright. light is the blade's grey level.
func armed(t testing.TB, light float64) (s *stage, guard, point func(float64) (float64, float64)) {
	t.Helper()
	base := readPlane(t, "testdata/img/klt_base.png")
	dim := NewPlane(base.W, base.H)
	for i, c := range base.Pix {
		dim.Pix[i] = 60 + 0.25*c
	}
	guard = func(f float64) (float64, float64) { return 90 + 3*f - 1.2*math.Sin(f/5), 150 - 0.5*f }
	angle := func(f float64) float64 { return -0.2 + 0.55*math.Sin(f/4) }
	length := func(f float64) float64 { return 110 - 0.4*f }
	point = func(f float64) (float64, float64) {
		u, v := guard(f)
		sn, cs := math.Sincos(angle(f))
		return u + length(f)*cs, v + length(f)*sn
	}
	s = &stage{w: 320, h: 240, back: dim, noise: 2, open: 0.4}
	for k := range 4 {
		s.blades = append(s.blades, stick{
			root: still(110+20*float64(k), 40), angle: func(float64) float64 { return 0.9 - 0.4*float64(k) },
			length: func(float64) float64 { return 170 }, wide: 1.7, light: light, under: true,
		})
	}
	s.blades = append(s.blades, stick{root: guard, angle: angle, length: length, wide: 1.7, light: light})
	return s, guard, point
}

// markedGuard is a guard known on every frame, with errors of its own.
func markedGuard(path func(float64) (float64, float64), sd float64, but ...mark.Frame) GuardAt {
	return func(f mark.Frame) (BridgeStep, bool) {
		for _, b := range but {
			if f == b {
				return BridgeStep{}, false
			}
		}
		rng := rand.New(rand.NewPCG(uint64(f), 5))
		p := pixelAt(path, f)
		return BridgeStep{Frame: f, At: mark.Pixel{U: p.U + sd*rng.NormFloat64(), V: p.V + sd*rng.NormFloat64()}, SD: quantity.Pixels(sd), Sure: 1}, true
	}
}

// TestBladeOnKnownSwing: brighter and darker than what is behind; the truth is that of
// the drawing. The errors are as large as is said.
func TestBladeOnKnownSwing(t *testing.T) {
	alone(t)
	for _, light := range []float64{190, 20} {
		s, guard, point := armed(t, light)
		film := s.shoot(37, 11)
		var e []float64
		in, n, lost := 0, 0, 0
		rng := rand.New(rand.NewPCG(3, 3))
		mark12 := func(f mark.Frame) Anchor {
			p := pixelAt(point, f)
			return Anchor{f, mark.Pixel{U: p.U + 1.5*rng.NormFloat64(), V: p.V + 1.5*rng.NormFloat64()}, 1.5}
		}
		for f := mark.Frame(0); f < 36; f += 12 {
			steps, err := Blade(context.Background(), film, markedGuard(guard, 1), mark12(f), mark12(f+12), BladeOptions{})
			if err != nil || len(steps) != 11 {
				t.Fatalf("%d steps, %v", len(steps), err)
			}
			for i, st := range steps {
				if st.Frame != f+mark.Frame(i)+1 {
					t.Fatalf("step %d is of frame %d", i, st.Frame)
				}
				if st.Lost {
					lost++
					continue
				}
				p := pixelAt(point, st.Frame)
				e = append(e, math.Hypot(st.At.U-p.U, st.At.V-p.V))
				for _, d := range []float64{st.At.U - p.U, st.At.V - p.V} {
					n++
					if math.Abs(d) <= 2*float64(st.SD) {
						in++
					}
				}
			}
		}
		sort.Float64s(e)
		median, p95, share := e[len(e)/2], e[len(e)*95/100], float64(in)/float64(n)
		t.Logf("light %.0f: median %.2f px, p95 %.2f px, %d lost, %.3f within two SD", light, median, p95, lost, share)
		if median > 2.5 || p95 > 7 || lost > 2 || share < 0.93 {
			t.Errorf("light %.0f: median %.2f px, p95 %.2f px, %d lost, %.3f within two SD", light, median, p95, lost, share)
		}
	}
}

// TestBladeOnward: from one mark on, and back from one.
func TestBladeOnward(t *testing.T) {
	alone(t)
	s, guard, point := armed(t, 190)
	film := s.shoot(31, 12)
	for _, c := range []struct{ from, until mark.Frame }{{2, 26}, {28, 4}} {
		steps, err := BladeOnward(context.Background(), film, markedGuard(guard, 1), Anchor{c.from, pixelAt(point, c.from), 1.5}, c.until, BladeOptions{})
		if err != nil {
			t.Fatal(err)
		}
		seen := 0
		dir := mark.Frame(1)
		if c.until < c.from {
			dir = -1
		}
		for i, st := range steps {
			if want := c.from + dir*mark.Frame(i+1); st.Frame != want {
				t.Fatalf("step %d is of frame %d, not %d", i, st.Frame, want)
			}
			if st.Lost {
				continue
			}
			seen++
			if e := off(st, point); e > 3*float64(st.SD)+3 {
				t.Errorf("frame %d is off by %.1f px with SD %.1f", st.Frame, e, st.SD)
			}
		}
		if seen < 20 {
			t.Errorf("from %d: %d of 24 followed", c.from, seen)
		}
	}
}

// TestCoveredTipIsLost: a body stands before the outer part of the blade for some
// frames; on the others it is followed.
func TestCoveredTipIsLost(t *testing.T) {
	alone(t)
	s, guard, point := armed(t, 190)
	body := func(f float64) (float64, float64) {
		u, v := point(f)
		if f < 5.5 || f > 18.5 {
			return u + 200, v
		}
		return u + 12, v
	}
	s.things = []thing{{at: body, half: 44, tall: 60, texture: s.back, dark: 1.7}}
	// The blade goes behind it.
	s.blades[len(s.blades)-1].under = true
	s.open = 0
	film := s.shoot(25, 13)
	steps, err := Blade(context.Background(), film, markedGuard(guard, 0.5), Anchor{0, pixelAt(point, 0), 1.5}, Anchor{24, pixelAt(point, 24), 1.5}, BladeOptions{})
	if err != nil {
		t.Fatal(err)
	}
	behind, lost, falsely := 0, 0, 0
	for _, st := range steps {
		hid := st.Frame >= 6 && st.Frame <= 18
		switch {
		case hid:
			behind++
			if st.Lost {
				lost++
			}
		case st.Lost:
			falsely++
		}
	}
	t.Logf("behind it %d, lost %d; of the other %d, %d", behind, lost, len(steps)-behind, falsely)
	if float64(lost) < 0.9*float64(behind) || falsely > 2 {
		t.Errorf("behind it %d, lost %d; of the other %d, %d", behind, lost, len(steps)-behind, falsely)
	}
}

// TestNoBladeInvented: where there is none, nothing but lost steps; and the same film
// gives the same steps.
func TestNoBladeInvented(t *testing.T) {
	alone(t)
	rng := rand.New(rand.NewPCG(5, 5))
	films := map[string]reel{}
	for range 13 {
		flat, noise := image.NewGray(image.Rect(0, 0, 200, 160)), image.NewGray(image.Rect(0, 0, 200, 160))
		for i := range flat.Pix {
			flat.Pix[i] = 90
			noise.Pix[i] = uint8(90 + 3*rng.NormFloat64())
		}
		films["flat"], films["noise"] = append(films["flat"], flat), append(films["noise"], noise)
	}
	guard := markedGuard(still(50, 80), 1)
	for name, film := range films {
		a, b := Anchor{0, mark.Pixel{U: 150, V: 80}, 1.5}, Anchor{12, mark.Pixel{U: 145, V: 60}, 1.5}
		steps, err := Blade(context.Background(), film, guard, a, b, BladeOptions{})
		if err != nil || len(steps) != 11 {
			t.Fatalf("%s: %d steps, %v", name, len(steps), err)
		}
		for _, st := range steps {
			if !st.Lost || st.Sure != 0 {
				t.Errorf("%s: frame %d has a tip, sure %.2f", name, st.Frame, st.Sure)
			}
		}
		on, err := BladeOnward(context.Background(), film, guard, a, 12, BladeOptions{})
		if err != nil || len(on) != 1 || !on[0].Lost {
			t.Errorf("%s: onward %v, %v", name, on, err)
		}
	}
}

// TestBladeWithoutGuard: where the guard is not known the tip is lost; where it is not
// known at a mark, the tip is followed as any other point.
func TestBladeWithoutGuard(t *testing.T) {
	alone(t)
	s, guard, point := armed(t, 190)
	film := s.shoot(13, 14)
	a, b := Anchor{0, pixelAt(point, 0), 1.5}, Anchor{12, pixelAt(point, 12), 1.5}
	steps, err := Blade(context.Background(), film, markedGuard(guard, 1, 4, 5), a, b, BladeOptions{})
	if err != nil {
		t.Fatal(err)
	}
	again, _ := Blade(context.Background(), film, markedGuard(guard, 1, 4, 5), a, b, BladeOptions{})
	for i, st := range steps {
		if st != again[i] {
			t.Errorf("frame %d differs the second time", st.Frame)
		}
		if want := st.Frame == 4 || st.Frame == 5; st.Lost != want {
			t.Errorf("frame %d: lost %v", st.Frame, st.Lost)
		}
	}
	bare, err := Blade(context.Background(), film, markedGuard(guard, 1, 0), a, b, BladeOptions{})
	want, _ := Bridge(context.Background(), film, a, b, BridgeOptions{})
	if err != nil || len(bare) != len(want) {
		t.Fatalf("%d steps, %v", len(bare), err)
	}
	for i := range bare {
		if bare[i] != want[i] {
			t.Errorf("frame %d is not as Bridge has it", bare[i].Frame)
		}
	}
}

// TestStrangeMarks: marks beyond the picture, numbers that are none, pictures of a few
// pixels: nothing is followed and nothing breaks.
func TestStrangeMarks(t *testing.T) {
	alone(t)
	var tiny, small reel
	for range 5 {
		tiny = append(tiny, image.NewGray(image.Rect(0, 0, 1, 1)))
		small = append(small, image.NewGray(image.Rect(3, 2, 24, 19)))
	}
	nan := math.NaN()
	for _, film := range []reel{tiny, small} {
		for _, p := range []mark.Pixel{{U: 5, V: 5}, {U: -1e6, V: 3}, {U: 1e12, V: 1e12}, {U: nan, V: 2}, {U: math.Inf(1), V: math.Inf(-1)}} {
			for _, sd := range []quantity.Pixels{1.5, 0, quantity.Pixels(nan)} {
				a, b := Anchor{0, p, sd}, Anchor{4, mark.Pixel{U: 10, V: 8}, sd}
				steps, err := Bridge(context.Background(), film, a, b, BridgeOptions{})
				tips, err2 := Blade(context.Background(), film, markedGuard(still(30, 60), 1), a, b, BladeOptions{})
				if err != nil || err2 != nil || len(steps) != 3 || len(tips) != 3 {
					t.Fatalf("%v: %d and %d steps, %v, %v", p, len(steps), len(tips), err, err2)
				}
				for i := range steps {
					if !steps[i].Lost || !tips[i].Lost {
						t.Errorf("%v: frame %d is followed", p, steps[i].Frame)
					}
				}
			}
		}
	}
}

// BenchmarkBlade is one tip over 12 frames of live picture.
func BenchmarkBlade(b *testing.B) {
	s, guard, point := armed(b, 190)
	film := s.shoot(13, 1)
	for b.Loop() {
		if _, err := Blade(context.Background(), film, markedGuard(guard, 1), Anchor{0, pixelAt(point, 0), 1.5}, Anchor{12, pixelAt(point, 12), 1.5}, BladeOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
