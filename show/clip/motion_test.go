package clip

import (
	"math"
	"testing"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// What moves between frames runs through what was measured on them, without a jump.
func TestMotionRunsThroughTheFollowedPlaces(t *testing.T) {
	r := stagedReading(t)
	k, _ := r.Touch.Take("live")
	p := posesOf(r, k, timesOf(r, k))
	for f := mark.Frame(3); f < 26; f++ {
		in, ok := r.InstantAt("live", f)
		if !ok || len(in.Gaps) == 0 {
			t.Fatalf("frame %d has no gaps", f)
		}
		for _, eps := range []float64{0, 1e-7, -1e-7} {
			got := p.at(float64(f) + eps)
			if got == nil {
				t.Fatalf("nothing at %d", f)
			}
			for _, g := range in.Gaps {
				x, ok := gapOf(got, g)
				if !ok || apart(x.From, g.From) > 1e-4 || apart(x.To, g.To) > 1e-4 {
					t.Fatalf("frame %d%+g: the gap to the %s runs from %v to %v, measured %v to %v", f, eps, g.Target, x.From, x.To, g.From, g.To)
				}
			}
		}
		// Half way, the picture of where the points truly are: the world moves smoothly
		// and is seen by a pinhole written by hand, so a cubic is that near.
		half := p.at(float64(f) + 0.5)
		for _, s := range mark.Sides {
			for _, w := range marked {
				at, ok := pointOf(half, s, w)
				if want := eye(where(s, w, float64(f)+0.5)); !ok || apart(at, want) > 0.05 {
					t.Fatalf("half a frame after %d the %v %s is at %v, not %v", f, s, w, at, want)
				}
			}
		}
	}
}

func apart(a, b mark.Pixel) float64 { return math.Hypot(a.U-b.U, a.V-b.V) }

// On a take whose frames do not come evenly a point of even speed keeps it.
func TestMotionKeepsTheTrueClock(t *testing.T) {
	when := []float64{0, 0.04, 0.06, 0.14}
	p := &poses{when: when}
	at := func(i int) mark.Pixel { return mark.Pixel{U: 1000 * when[i], V: 7} }
	h := p.hermite(1, true, true, 0.25)
	pre, post := at(0), at(3)
	got := h.run(at(1), at(2), &pre, &post)
	if want := 1000 * (when[1] + 0.25*(when[2]-when[1])); math.Abs(got.U-want) > 1e-9 || got.V != 7 {
		t.Errorf("at %v, not %v", got, want)
	}
	if got := p.hermite(1, false, false, 0.25).run(at(1), at(2), nil, nil); math.Abs(got.U-45) > 1e-9 {
		t.Errorf("without neighbours at %v", got)
	}
}

// The drawn gap line ends where the pinhole shows point and target: read back from the
// pixels of the clip, at the middle of the line's width where it starts and at the ring
// that stands about the target.
func TestDrawnLineEndsAtTheProjectedPoints(t *testing.T) {
	for _, shape := range []Shape{Wide, Upright, Square} {
		r := stagedReading(t)
		f := filmOf(t, Board{Form: Form{Shape: shape}, Shots: []Shot{{ID: "a", Kind: Hold, Take: "live", From: 12, Layers: []string{plate.LayerGaps}}}})
		b := f.shots[0]
		c := newComposer(b, f.st)
		fr := c.frames[0]
		tab := *b.main.poses.on(12)
		g, ok := gapOf(&tab, study.Gap{Of: mark.Left, Target: mark.Chest})
		if !ok {
			t.Fatal("no gap to the chest")
		}
		g.Nearest = true
		g.Gap.SD, g.Gap.Lo, g.Gap.Hi = 0, g.Gap.Mean, g.Gap.Mean // no soft end over the ring
		tab.Gaps = []study.Gap{g}
		img := paint(fr.dest, func(d *draw.Group) { b.overlayOn(f.st, d, &tab, fr, nil) })
		// The second route: the world, by hand.
		a := fr.on(eye(where(mark.Left, mark.Point, 12)))
		sx, sy, sz := where(mark.Right, mark.Shoulder, 12)
		hx, hy, hz := where(mark.Right, mark.Hip, 12)
		s, h := fr.on(eye(sx, sy, sz)), fr.on(eye(hx, hy, hz))
		e := [2]float64{s[0] + (h[0]-s[0])/3, s[1] + (h[1]-s[1])/3} // the chest, a third of the way down
		long := math.Hypot(e[0]-a[0], e[1]-a[1])
		ux, uy := (e[0]-a[0])/long, (e[1]-a[1])/long
		blue := func(at, off float64) float64 { // how much of the line's colour is there
			x, y := a[0]+ux*at-uy*off-0.5, a[1]+uy*at+ux*off-0.5
			x0, y0 := math.Floor(x), math.Floor(y)
			v := 0.0
			for k := range 4 {
				px, py := x0+float64(k&1), y0+float64(k>>1)
				w := (1 - math.Abs(x-px)) * (1 - math.Abs(y-py))
				v += w * float64(img.RGBAAt(int(px), int(py)).B)
			}
			return v / float64(theme.Left.B)
		}
		edge := func(from, step float64) float64 { // where the colour ends, from inside
			for at := from; ; at += step {
				if blue(at, 0) < 0.5 {
					return at
				}
			}
		}
		size := f.st.px(overlaySize(shape))
		const half, ring = 0.35, 1.1 // the pen of a gap line and the radius of its ring, in millimetres of a sheet
		start := edge(long*0.3, -0.02) + half*size
		end := edge(long+(ring)*size, 0.02) - (ring+half)*size - long
		if math.Abs(start) > 0.5 || math.Abs(end) > 0.5 {
			t.Errorf("%s: the line starts %.2f px and ends %.2f px from where the pinhole has it", shape, start, end)
		}
		var sum, side float64
		for off := -8.0; off <= 8; off += 0.05 {
			v := blue(long*0.4, off)
			sum += v
			side += v * off
		}
		if math.Abs(side/sum) > 0.5 {
			t.Errorf("%s: the line lies %.2f px beside", shape, side/sum)
		}
		_ = r
	}
}

// on is where a point of the clip stands on the picture, corners and not centres.
func (f framing) on(p mark.Pixel) [2]float64 {
	k := float64(f.dest.Dx()) / float64(f.crop.Dx())
	return [2]float64{float64(f.dest.Min.X) + (p.U+0.5-float64(f.crop.Min.X))*k, float64(f.dest.Min.Y) + (p.V+0.5-float64(f.crop.Min.Y))*k}
}
