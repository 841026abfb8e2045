package picture

import (
	"image"
	"math"
	"testing"

	"mesure/demo/scene"
	"mesure/show/draw"
	"mesure/sport/mark"
)

// TestSeenAgreesWithTheDepths holds scene.Sight, which casts one ray to a point,
// against the depths that the pictures are drawn from: at the pixel of a foot, of a
// guard or of the point of a blade nothing may lie 5 cm before it if it is seen (8 cm
// in a shoe), and something must if it is not. A pixel's rounding and the softening of joints leave
// a few in a hundred open.
func TestSeenAgreesWithTheDepths(t *testing.T) {
	e := NewEasel()
	agree, all, hidden := 0, 0, 0
	for _, f := range scene.Films() {
		for k := range f.Shots {
			s := &f.Shots[k]
			for n := 3; n < s.Frames; n += 16 {
				at := s.At(mark.Frame(n))
				w := newView(f.Camera(s, at))
				figs, sight := f.At(at), f.Sight(s, at)
				e.solids = e.solids[:0]
				b := box{0, 0, -1, -1}
				add := func(solids []scene.Solid) {
					from := len(e.solids)
					e.solids = append(e.solids, solids...)
					b = b.with(e.cast(&w, from, 0, 0))
				}
				for i := range figs {
					add(figs[i].Solids())
				}
				for _, p := range f.Passers {
					if p.Before() {
						add(p.Solids(at))
					}
				}
				for i := range figs {
					for _, what := range []mark.What{mark.Point, mark.Guard, mark.FrontToe, mark.FrontHeel, mark.RearToe, mark.RearHeel} {
						p := figs[i].Of(what)
						u, v, _ := w.project(p)
						speck := e.specks[int(math.Round(v))*scene.Width+int(math.Round(u))]
						shown := true
						if speck.depth != 0 {
							slack, part := 0.05, e.solids[speck.solid-1].Part
							if what.IsFoot() && part == scene.Shoe {
								slack = 0.08
							}
							shown = float64(speck.depth) > p.Sub(w.at).Len()-slack || what == mark.Guard && part == scene.Bell
						}
						if all++; shown == sight.Shows(mark.Sides[i], what) {
							agree++
						}
						if !shown {
							hidden++
						}
					}
				}
				for v := b.v0; v <= b.v1; v++ {
					for u := b.u0; u <= b.u1; u++ {
						e.specks[v*scene.Width+u].depth = 0
					}
				}
			}
		}
	}
	t.Logf("%d of %d alike, %d hidden", agree, all, hidden)
	if all < 500 || hidden < 30 || float64(agree) < 0.97*float64(all) {
		t.Errorf("%d of %d points are seen or hidden alike, %d hidden", agree, all, hidden)
	}
}

// TestWhoPassesBehindTheTable: drawn with and without the walker, the picture
// differs where the chest is and not where the cloth of the table hangs before the
// legs; the walker crosses the picture by several pixels a frame.
func TestWhoPassesBehindTheTable(t *testing.T) {
	f, bare := scene.Films()[3], scene.Films()[3]
	bare.Passers = nil
	shot := &f.Shots[0]
	const n = 68
	at := f.Passers[0].At(shot.At(n))
	if math.Abs(at.X-tableX) > tableHalf/2 || at.Y < tableY+tableDepth {
		t.Fatalf("the walker is at %+v", at)
	}
	s, err := NewStage(t.Context(), cameras(f, shot)[n-2:n+2])
	if err != nil {
		t.Fatal(err)
	}
	e := NewEasel()
	a, b := s.Frame(e, f, shot, n), s.Frame(e, bare, &bare.Shots[0], n)
	cam := f.Camera(shot, shot.At(n))
	off := func(p vec) float64 {
		px, _ := cam.Project(p)
		return math.Abs(mean(a, px, 4) - mean(b, px, 4))
	}
	if d := off(at.Add(vec{Z: 1.28})); d < 8 {
		t.Errorf("the chest changes the picture by %.1f levels", d)
	}
	for x := -tableHalf + 0.1; x < tableHalf-0.1; x += 0.05 {
		for _, z := range []float64{0.25, 0.45, 0.62} {
			if d := off(vec{X: tableX + x, Y: tableY - tableDepth, Z: z}); d > 0 {
				t.Fatalf("the cloth of the table before the legs changes by %.1f levels at %.2f m, %.2f m up", d, x, z)
			}
		}
	}
	was, _ := f.Camera(shot, shot.At(n-1)).Project(f.Passers[0].At(shot.At(n - 1)))
	now, _ := cam.Project(at)
	if step := math.Abs(now.U - was.U); step < 2 || step > 12 {
		t.Errorf("the walker moves by %.1f pixels a frame", step)
	}
}

// TestGraphicsStand: the panel of the score is the same in every frame while the
// picture moves, its clock runs, and its lamps light with the apparatus.
func TestGraphicsStand(t *testing.T) {
	s := stage(t)
	f := scene.Films()[0]
	shot := &f.Shots[0]
	g := shot.Graphics[0]
	first := mark.Frame(math.Ceil(float64(f.LampsAt) * scene.FrameRate))
	e := NewEasel()
	a, b, c := s.Frame(e, f, shot, 5), s.Frame(e, f, shot, first-1), s.Frame(e, f, shot, first)
	look := draw.Stage()
	mid := (g.Min.X + g.Max.X) / 2
	differ := func(p, q *image.RGBA, r image.Rectangle) (n int) {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			for x := r.Min.X; x < r.Max.X; x++ {
				if p.RGBAAt(x, y) != q.RGBAAt(x, y) {
					n++
				}
			}
		}
		return n
	}
	if n := differ(a, b, image.Rect(g.Min.X, g.Min.Y, mid-62, g.Max.Y)) + differ(a, b, image.Rect(mid+62, g.Min.Y, g.Max.X, g.Max.Y)); n != 0 {
		t.Errorf("%d pixels of the panel change", n)
	}
	if n := differ(a, b, image.Rect(mid-62, g.Min.Y, mid+62, g.Max.Y)); n < 50 {
		t.Errorf("only %d pixels of the clock change", n)
	}
	for _, k := range []struct {
		img  *image.RGBA
		x    int
		want draw.Colour
	}{{b, g.Min.X + 6, look.Faint}, {c, g.Min.X + 6, look.LampRed}, {c, g.Max.X - 6, look.Faint}} {
		if got := k.img.RGBAAt(k.x, g.Min.Y+20); got != rgba(k.want) {
			t.Errorf("the lamp at %d is %v, not %v", k.x, got, k.want)
		}
	}
	// 151.4 s are 2:31.4; tenths are counted down, so 0.10 s later 2:31.3 is left.
	for _, k := range []struct {
		at   float64
		want string
	}{{0, "2:31.4"}, {0.101, "2:31.3"}, {31.401, "2:29.5"}} { // stopped 0.4 s after the lamps at 1.508 s
		if got := Clock(f, k.at); got != k.want {
			t.Errorf("the clock shows %s at %.3f s, not %s", got, k.at, k.want)
		}
	}
}

// TestExposureNeverRests: the light that is taken in changes by more than a tenth
// over a file and by a few hundredths from the top of a picture to its foot, never
// by more than a frame can bear; the pictures follow.
func TestExposureNeverRests(t *testing.T) {
	for _, f := range scene.Films() {
		for k := range f.Shots {
			s := &f.Shots[k]
			lo, hi, rows, step := math.Inf(1), 0.0, 0.0, 0.0
			for n := range s.Frames {
				least, most := math.Inf(1), 0.0
				for v := 0; v < scene.Height; v += 40 {
					g := float64(gain(f, s, mark.Frame(n), v))
					least, most = math.Min(least, g), math.Max(most, g)
					if n > 0 {
						step = math.Max(step, math.Abs(g/float64(gain(f, s, mark.Frame(n-1), v))-1))
					}
				}
				lo, hi, rows = math.Min(lo, least), math.Max(hi, most), math.Max(rows, most/least-1)
			}
			if hi/lo < 1.1 || hi/lo > 1.45 || rows < 0.03 || rows > 0.06 || step > 0.015 {
				t.Errorf("touch %d, %s: from %.3f to %.3f, %.3f in a picture, %.4f a frame", f.Number, s.ID, lo, hi, rows, step)
			}
		}
	}
	s, f := stage(t), scene.Films()[0]
	shot := &f.Shots[0]
	at := mark.Pixel{U: 640, V: 60}
	e := NewEasel()
	light := func(n mark.Frame) (gained, shown float64) {
		return float64(gain(f, shot, n, 60)), mean(s.Frame(e, f, shot, n), at, 50)
	}
	g0, m0 := light(10)
	g1, m1 := light(70)
	if (g1-g0)*(m1-m0) <= 0 || math.Abs(m1-m0) < 3 {
		t.Errorf("gains %.3f and %.3f show as %.1f and %.1f", g0, g1, m0, m1)
	}
}
