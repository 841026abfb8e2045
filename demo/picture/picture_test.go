package picture

import (
	"bytes"
	"context"
	"errors"
	"image"
	"math"
	"slices"
	"sync"
	"testing"

	"mesure/demo/scene"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// hallOnce traces one stage for all tests: the platform's camera in the first
// touch.
var hallOnce = sync.OnceValues(func() (*Stage, error) {
	f := scene.Films()[0]
	return NewStage(context.Background(), cameras(f, &f.Shots[0]))
})

func cameras(f *scene.Film, s *scene.Shot) []scene.Camera {
	var cams []scene.Camera
	for n := range s.Frames {
		cams = append(cams, f.Camera(s, s.At(mark.Frame(n))))
	}
	return cams
}

func stage(t testing.TB) *Stage {
	t.Helper()
	s, err := hallOnce()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func luma(img *image.RGBA, u, v int) float64 {
	c := img.RGBAAt(u, v)
	return 0.2126*float64(c.R) + 0.7152*float64(c.G) + 0.0722*float64(c.B)
}

// mean is the mean brightness of a small square.
func mean(img *image.RGBA, at mark.Pixel, half int) float64 {
	var sum float64
	u0, v0 := int(math.Round(at.U)), int(math.Round(at.V))
	for v := v0 - half; v <= v0+half; v++ {
		for u := u0 - half; u <= u0+half; u++ {
			sum += luma(img, u, v)
		}
	}
	return sum / float64((2*half+1)*(2*half+1))
}

// TestSameFrameSameBytes: two easels, used before for other frames or not, draw
// one frame alike.
func TestSameFrameSameBytes(t *testing.T) {
	s := stage(t)
	f := scene.Films()[0]
	fresh, used := NewEasel(), NewEasel()
	s.Frame(used, f, &f.Shots[0], 3)
	s.Frame(used, f, &f.Shots[0], 90)
	a := s.Frame(fresh, f, &f.Shots[0], 60)
	b := s.Frame(used, f, &f.Shots[0], 60)
	if !bytes.Equal(a.Pix, b.Pix) {
		t.Error("one frame was drawn in two ways")
	}
	if c := s.Frame(used, f, &f.Shots[0], 61); bytes.Equal(b.Pix, c.Pix) {
		t.Error("two frames are one picture")
	}
}

// TestLinesLieWhereTheCameraSaysTheyAre finds the painted lines in the picture
// by brightness and compares with the projection of their places: the picture
// and the truth agree to a pixel.
func TestLinesLieWhereTheCameraSaysTheyAre(t *testing.T) {
	s := stage(t)
	f := scene.Films()[0]
	shot := &f.Shots[0]
	img := s.Frame(NewEasel(), f, shot, 8)
	cam := f.Camera(shot, shot.At(8))
	found := 0
	for _, l := range piste.Lines() {
		for _, y := range [2]float64{-0.6, 0.6} {
			at, ok := cam.Project(scene.Vec{X: l.X, Y: y})
			if !l.Painted || !ok || !cam.Sees(scene.Vec{X: l.X, Y: y}, 30) {
				continue
			}
			// The centre of brightness of the row through the point, above the web.
			v := int(math.Round(at.V))
			row, _ := cam.Project(scene.Vec{X: l.X, Y: y})
			var sum, weight float64
			base := (luma(img, int(row.U)-25, v) + luma(img, int(row.U)+25, v)) / 2
			for u := int(row.U) - 16; u <= int(row.U)+16; u++ {
				if w := luma(img, u, v) - base - 12; w > 0 {
					sum, weight = sum+w*float64(u), weight+w
				}
			}
			// The row lies off the point by up to half a pixel, along which the line
			// slants by less.
			if weight < 100 || math.Abs(sum/weight-at.U) > 1.0 {
				t.Errorf("%s at y = %.1f m: painted at %.2f px, projected to %.2f px (weight %.0f)", l.Name, y, sum/weight, at.U, weight)
			}
			found++
		}
	}
	if found < 4 {
		t.Fatalf("only %d places on lines were compared", found)
	}
}

// TestFiguresLieWhereTheTruthSaysTheyAre: kit is white at the joints inside the
// jacket, the mask dark, and the floor is darker between the feet than away from
// them.
func TestFiguresLieWhereTheTruthSaysTheyAre(t *testing.T) {
	s := stage(t)
	f := scene.Films()[0]
	shot := &f.Shots[0]
	for _, n := range []mark.Frame{10, 50, 110} {
		img := s.Frame(NewEasel(), f, shot, n)
		cam := f.Camera(shot, shot.At(n))
		for _, g := range f.At(shot.At(n)) {
			chest, _ := cam.Project(g.Pelvis.Mix(g.Neck, 0.6))
			mesh, _ := cam.Project(g.Mask.Add(g.Face.Mul(0.06)))
			if c, m := mean(img, chest, 3), mean(img, mesh, 3); c < 150 || m > 90 {
				t.Errorf("frame %d, %s: chest %.0f, mask %.0f", n, g.Side, c, m)
			}
			under, _ := cam.Project(g.Front.Toe.Mix(g.Rear.Heel, 0.5))
			away, _ := cam.Project(scene.Vec{X: g.Pelvis.X - 0.9*g.Fwd.X, Y: 0.2})
			if u, a := mean(img, under, 4), mean(img, away, 4); u > 0.93*a {
				t.Errorf("frame %d, %s: no shadow: %.0f below, %.0f away", n, g.Side, u, a)
			}
		}
	}
}

// TestLampsLightAtTheHit: the red lamp of the left fencer, not the green one, from
// the first frame after the apparatus has signalled.
func TestLampsLightAtTheHit(t *testing.T) {
	s := stage(t)
	f := scene.Films()[0]
	shot := &f.Shots[0]
	first := mark.Frame(math.Ceil(float64(f.LampsAt) * scene.FrameRate))
	look := func(n mark.Frame, side int) (r, g float64) {
		img := s.Frame(NewEasel(), f, shot, n)
		at, _ := f.Camera(shot, shot.At(n)).Project(lampAt(side))
		c := img.RGBAAt(int(at.U), int(at.V-6))
		return float64(c.R), float64(c.G)
	}
	if r, _ := look(first-1, 0); r > 120 {
		t.Errorf("the red lamp shows %.0f before the hit", r)
	}
	if r, g := look(first+1, 0); r < 200 || g > r-40 {
		t.Errorf("after the hit the red lamp shows %.0f red and %.0f green", r, g)
	}
	if r, g := look(first+1, 1); g > r {
		t.Errorf("the green lamp shows %.0f green beside %.0f red", g, r)
	}
}

func TestStageStopsWhenAsked(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	f := scene.Films()[0]
	if _, err := NewStage(ctx, cameras(f, &f.Shots[0])); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled stage returned %v", err)
	}
}

func TestNoise(t *testing.T) {
	if a, b := hash(3, 4), hash(4, 3); a == b || a < 0 || a >= 1 || b < 0 || b >= 1 {
		t.Errorf("hash gives %v and %v", a, b)
	}
	for _, x := range []float64{-3.2, 0.1, 7.9} {
		if c := clouds(x, 2*x); c < 0 || c > 1 || math.Abs(c-clouds(x+1e-6, 2*x)) > 1e-3 {
			t.Errorf("clouds(%v) = %v is rough or out of range", x, c)
		}
	}
}

func BenchmarkFrame(b *testing.B) {
	s := stage(b)
	f := scene.Films()[0]
	e := NewEasel()
	n := 0
	for b.Loop() {
		s.Frame(e, f, &f.Shots[0], mark.Frame(n%f.Shots[0].Frames))
		n++
	}
}

func BenchmarkStage(b *testing.B) {
	f := scene.Films()[0]
	cams := cameras(f, &f.Shots[0])
	for b.Loop() {
		if _, err := NewStage(context.Background(), cams); err != nil {
			b.Fatal(err)
		}
	}
}

// TestRowsSideBySide: the rows of the wide picture are traced side by side, and come as
// they do one after the other.
func TestRowsSideBySide(t *testing.T) {
	f := scene.Films()[0]
	c := cameras(f, &f.Shots[0])[0]
	s := &Stage{at: c.At, cloth: newCloth(), blocks: blocks(), focal: float64(c.Focal)}
	s.right, s.down, s.ahead = c.Axes()
	s.frame([]scene.Camera{c})
	s.high = 12 // a strip
	h, n := newHall(), s.wide*s.high
	far := make([]float32, n)
	for y := range s.high {
		s.traceRow(h, y, far)
	}
	want := slices.Clone(s.pix[:3*n])
	clear(s.pix)
	if err := s.rows(context.Background(), func(y int) { s.traceRow(h, y, far) }); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(s.pix[:3*n], want) {
		t.Error("rows that are traced side by side are others")
	}
	if slices.Max(want) == 0 {
		t.Error("the strip is black")
	}
}
