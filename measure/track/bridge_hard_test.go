package track

import (
	"context"
	"image"
	"math"
	"testing"

	"mesure/sport/mark"
)

// TestBridgeNotCarriedOver: one texture fades into another, so slowly that no frame
// differs much from the one before. What is there in the end is not what was marked.
func TestBridgeNotCarriedOver(t *testing.T) {
	alone(t)
	s, _ := handIn(t)
	path := func(f float64) (float64, float64) { return 120 + 2*f, 120 + f/2 }
	s.open = 0
	s.things[0].at = path
	one := s.shoot(31, 21)
	s.things[0].texture = shifted(s.things[0].texture, 170, 40)
	other := s.shoot(31, 22)
	var film reel
	for i := range one {
		m := max(0, min(1, (float64(i)-5)/20))
		g := image.NewGray(one[i].Rect)
		for k := range g.Pix {
			g.Pix[k] = uint8(math.Round((1-m)*float64(one[i].Pix[k]) + m*float64(other[i].Pix[k])))
		}
		film = append(film, g)
	}
	steps, err := Onward(context.Background(), film, Anchor{0, pixelAt(path, 0), 1}, 30, BridgeOptions{})
	if err != nil || len(steps) < 5 {
		t.Fatalf("%d steps, %v", len(steps), err)
	}
	for _, st := range steps {
		if (st.Frame <= 6 && st.Lost) || (st.Frame >= 24 && !st.Lost) {
			t.Errorf("frame %d: lost %v", st.Frame, st.Lost)
		}
	}
}

// TestWhatMovesCountsMost: in the patch on a small thing that moves over a textured
// background, a pixel of the thing must weigh several times one of the background as
// far from the middle.
func TestWhatMovesCountsMost(t *testing.T) {
	alone(t)
	s, _ := handIn(t)
	path := func(f float64) (float64, float64) { return 120 + 5*f, 120 }
	s.open = 0
	s.things[0].at, s.things[0].half, s.things[0].tall = path, 6, 20
	film := s.shoot(13, 23)
	o := BridgeOptions{}.checked()
	at := pixelAt(path, 6)
	p := newPatch()
	sharpest(film[6], at, p, o.glances(film, 6, at))
	var on, beside float64
	for y := range patchSide {
		for x := range patchSide {
			w := float64(p.w[y*patchSide+x] / patchWeights[y*patchSide+x])
			switch dx := math.Abs(float64(x - patchSide/2)); {
			case dx <= 4:
				on += w / (9 * patchSide)
			case dx >= 8:
				beside += w / (6 * patchSide)
			}
		}
	}
	t.Logf("on it %.2f, beside it %.2f", on, beside)
	if on < 2*beside {
		t.Errorf("on it %.2f, beside it %.2f", on, beside)
	}
}

// TestBridgeOnASmoothThing: a dark round thing wider than the patch, with a bright strip
// beside the point, which changes the contrast of the patch with the smallest shift, and
// a bright one without: only what lies farther about it tells where it is.
func TestBridgeOnASmoothThing(t *testing.T) {
	alone(t)
	for _, strip := range []float64{190, 0} {
		s, path := handIn(t)
		smooth := NewPlane(201, 201)
		for y := range 201 {
			for x := range 201 {
				c := 52 - 0.2*float64(x-100) - 0.1*float64(y-100)
				if strip == 0 {
					c += 130 // as a jacket in a dim hall
				}
				if d := math.Abs(float64(x) - 88 - 0.1*float64(y-100)); d < 4 && strip > 0 {
					c = strip
				}
				smooth.Pix[y*201+x] = float32(c)
			}
		}
		s.things[0] = thing{at: path, half: 27, tall: 31, texture: smooth, dark: 1}
		film := s.shoot(37, 24)
		for _, st := range gaps(t, film, path, 12, 0.01, BridgeOptions{}, 1) {
			if e := off(st, path); st.Lost || e > 2.5 {
				t.Errorf("strip %.0f, frame %d: lost %v, off by %.2f px", strip, st.Frame, st.Lost, e)
			}
		}
	}
}

// ways makes two ways between marks at rest at (100, 50), 13 frames apart.
func ways(fwd, bwd func(k int) (u float64, ok bool)) (o BridgeOptions, a, b Anchor, there, back []link) {
	at := mark.Pixel{U: 100, V: 50}
	a, b = Anchor{0, at, 1}, Anchor{13, at, 1}
	for k := 1; k <= 13; k++ {
		u, ok := fwd(k)
		there = append(there, link{frame: mark.Frame(k), at: mark.Pixel{U: u, V: 50}, like: 0.95, first: 0.9, lost: !ok})
		u, ok = bwd(13 - k)
		back = append(back, link{frame: mark.Frame(13 - k), at: mark.Pixel{U: u, V: 50}, like: 0.95, first: 0.9, lost: !ok})
	}
	return BridgeOptions{}.checked(), a, b, there, back
}

// TestTheWayThatArrives: the way that arrives at the other mark is followed, not the one
// that was carried away.
func TestTheWayThatArrives(t *testing.T) {
	alone(t)
	o, a, b, there, back := ways(
		func(int) (float64, bool) { return 100, true },
		func(k int) (float64, bool) { return 100 + 3*float64(12-k), true },
	)
	for _, st := range o.meet(a, b, there, back) {
		if e := math.Abs(st.At.U - 100); st.Lost || e > 3 || e > 2*float64(st.SD) {
			t.Errorf("frame %d: lost %v, off by %.1f px with SD %.1f", st.Frame, st.Lost, e, st.SD)
		}
	}
}

// TestWaysThatCannotJoin: one way ends where it began, the other, a frame later, 60 px
// away: the one that lies off is lost, the other is kept.
func TestWaysThatCannotJoin(t *testing.T) {
	alone(t)
	o, a, b, there, back := ways(
		func(k int) (float64, bool) { return 100, k <= 6 },
		func(k int) (float64, bool) { return 100 + 12*float64(13-k), k >= 8 },
	)
	for _, st := range o.meet(a, b, there, back) {
		if want := st.Frame > 6; st.Lost != want {
			t.Errorf("frame %d: lost %v", st.Frame, st.Lost)
		}
	}
	// Where they do go together nothing is doubted but what neither saw.
	o, a, b, there, back = ways(
		func(k int) (float64, bool) { return 100 + float64(k), k <= 6 },
		func(k int) (float64, bool) { return 100 + float64(13-k), k >= 8 },
	)
	for _, st := range o.meet(a, b, there, back) {
		if want := st.Frame == 7; st.Lost != want {
			t.Errorf("frame %d: lost %v", st.Frame, st.Lost)
		}
	}
}

// BenchmarkBridge is one point over 12 frames of live picture, both ways.
func BenchmarkBridge(b *testing.B) {
	s, path := handIn(b)
	film := s.shoot(13, 1)
	for b.Loop() {
		if _, err := Bridge(context.Background(), film, Anchor{0, pixelAt(path, 0), 1.5}, Anchor{12, pixelAt(path, 12), 1.5}, BridgeOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
