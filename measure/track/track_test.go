package track

import (
	"encoding/json"
	"image"
	"image/draw"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sort"
	"testing"

	"mesure/sport/mark"
)

// cases is the run of OpenCV 4.6.0 (cv2.calcOpticalFlowPyrLK, window 21, 3 levels
// above the first, 30 iterations, 0.01) on warps of scikit-image's astronaut.png
// (NASA, public domain), sampled by an order-5 spline: testdata/klt.json.
type cases struct {
	Points [][2]float64 `json:"points"`
	Cases  []struct {
		Kind string       `json:"kind"`
		File string       `json:"file"`
		DX   float64      `json:"dx"`
		DY   float64      `json:"dy"`
		True [][2]float64 `json:"true_xy"`
		CV   struct {
			Tracked int     `json:"tracked"`
			Median  float64 `json:"median_err_px"`
			P90     float64 `json:"p90_err_px"`
			Max     float64 `json:"max_err_px"`
		} `json:"opencv"`
	} `json:"cases"`
	Corners [][2]float64 `json:"all_corners"`
}

func readCases(t testing.TB) (cases, []mark.Pixel) {
	t.Helper()
	raw, err := os.ReadFile("testdata/klt.json")
	if err != nil {
		t.Fatal(err)
	}
	var c cases
	if err := json.Unmarshal(raw, &c); err != nil {
		t.Fatal(err)
	}
	if len(c.Cases) != 11 || len(c.Points) != 56 {
		t.Fatal("the reference is not whole")
	}
	var points []mark.Pixel
	for _, p := range c.Points {
		points = append(points, mark.Pixel{U: p[0], V: p[1]})
	}
	return c, points
}

func readPlane(t testing.TB, path string) Plane {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	g := image.NewGray(img.Bounds())
	draw.Draw(g, g.Bounds(), img, img.Bounds().Min, draw.Src)
	return FromGray(g)
}

// TestAgainstOpenCV: checks 8.1 to 8.3, at the pass lines of the data page.
func TestAgainstOpenCV(t *testing.T) {
	c, points := readCases(t)
	base := NewPyramid(readPlane(t, "testdata/img/klt_base.png"), 0)
	for _, k := range c.Cases {
		to := NewPyramid(readPlane(t, filepath.Join("testdata", k.File)), 0)
		var off []float64
		var z, n float64
		for i, f := range Follow(base, to, points, nil, FollowOptions{}) {
			if f.Lost != Kept {
				t.Logf("%s: point %d at %v lost: %s", k.File, i, points[i], f.Lost)
				continue
			}
			truth := mark.Pixel{U: points[i].U + k.DX, V: points[i].V + k.DY}
			if k.True != nil {
				truth = mark.Pixel{U: k.True[i][0], V: k.True[i][1]}
			}
			e := math.Hypot(f.At.U-truth.U, f.At.V-truth.V)
			off = append(off, e)
			z += e * e / 2 / float64(f.SD*f.SD)
			n++
		}
		if len(off) < 54 {
			t.Errorf("%s: %d of 56 followed", k.File, len(off))
			continue
		}
		sort.Float64s(off)
		median, p90, most := off[len(off)/2], off[len(off)*9/10], off[len(off)-1]
		t.Logf("%s: median %.4f (OpenCV %.4f), p90 %.4f (%.4f), greatest %.3f (%.3f), error over SD %.2f", k.File, median, k.CV.Median, p90, k.CV.P90, most, k.CV.Max, math.Sqrt(z/n))
		if ratio := math.Sqrt(z / n); k.True == nil && (ratio < 0.5 || ratio > 1.2) {
			t.Errorf("%s: the errors are %.2f of their SD", k.File, ratio)
		}
		if k.Kind == "shift" {
			if median > 0.02 || p90 > 0.05 {
				t.Errorf("%s: median %.4f px, p90 %.4f px", k.File, median, p90)
			}
			continue
		}
		if median > 1.3*k.CV.Median || p90 > 1.3*k.CV.P90 || most > 1.3*k.CV.Max {
			t.Errorf("%s: median %.4f, p90 %.4f, greatest %.4f px; OpenCV %.4f, %.4f, %.4f", k.File, median, p90, most, k.CV.Median, k.CV.P90, k.CV.Max)
		}
	}
}

// TestFlatIsLost: check 8.4: no texture, no answer; a flat second picture neither.
func TestFlatIsLost(t *testing.T) {
	_, points := readCases(t)
	flat := NewPlane(320, 320)
	for i := range flat.Pix {
		flat.Pix[i] = 128
	}
	base, none := NewPyramid(readPlane(t, "testdata/img/klt_base.png"), 0), NewPyramid(flat, 0)
	for name, pair := range map[string][2]*Pyramid{"flat to flat": {none, none}, "flat to picture": {none, base}, "picture to flat": {base, none}} {
		for i, f := range Follow(pair[0], pair[1], points, nil, FollowOptions{}) {
			if f.Lost == Kept {
				t.Errorf("%s: point %d is followed to %v", name, i, f.At)
			}
		}
	}
}

// TestNoiseIsLost: two pictures of nothing but noise have nothing to do with each other.
func TestNoiseIsLost(t *testing.T) {
	_, points := readCases(t)
	rng := rand.New(rand.NewPCG(1, 1))
	noise := func() *Pyramid {
		p := NewPlane(320, 320)
		for i := range p.Pix {
			p.Pix[i] = float32(128 + 20*rng.NormFloat64())
		}
		return NewPyramid(p, 0)
	}
	kept := 0
	for _, f := range Follow(noise(), noise(), points, nil, FollowOptions{BothWays: true}) {
		if f.Lost == Kept {
			kept++
		}
	}
	if kept > 0 {
		t.Errorf("%d of 56 points are followed from noise to noise", kept)
	}
}

// TestTheWayBackSideBySide: on the reference picture most points return to where they were.
func TestTheWayBackSideBySide(t *testing.T) {
	_, points := readCases(t)
	base := NewPyramid(readPlane(t, "testdata/img/klt_base.png"), 0)
	to := NewPyramid(readPlane(t, "testdata/img/klt_shift_4.png"), 0)
	kept := 0
	for _, f := range Follow(base, to, points, nil, FollowOptions{BothWays: true}) {
		if f.Lost == Kept {
			kept++
		}
	}
	if kept < 54 {
		t.Errorf("%d of 56 points return", kept)
	}
}

// TestItLeavesThePicture: what moves out of the picture is lost.
func TestItLeavesThePicture(t *testing.T) {
	base := readPlane(t, "testdata/img/klt_base.png")
	moved := NewPlane(base.W, base.H)
	for y := range base.H {
		for x := range base.W {
			moved.Pix[y*base.W+x] = base.row(y)[min(base.W-1, x+40)]
		}
	}
	for _, p := range Corners(base, CornerOptions{Most: 60}) {
		f := Follow(NewPyramid(base, 0), NewPyramid(moved, 0), []mark.Pixel{p}, nil, FollowOptions{BothWays: true})[0]
		if p.U < 36 && f.Lost == Kept {
			t.Errorf("the point at %v has left and is followed to %v (likeness %.2f)", p, f.At, f.Likeness)
		}
	}
}

// TestCornersLikeOpenCV: cv2.goodFeaturesToTrack(I, 120, 0.01, 9, blockSize=5) on the
// same picture: most of its corners are ours, within a pixel. Kernels differ at the
// edge of the picture, so a few may not be.
func TestCornersLikeOpenCV(t *testing.T) {
	c, _ := readCases(t)
	ours := Corners(readPlane(t, "testdata/img/klt_base.png"), CornerOptions{Most: 120})
	if len(ours) < 100 {
		t.Fatalf("%d corners", len(ours))
	}
	same := 0
	for _, q := range c.Corners {
		for _, p := range ours {
			if math.Hypot(p.U-q[0], p.V-q[1]) <= 1.5 {
				same++
				break
			}
		}
	}
	if same < 100 {
		t.Errorf("%d of 120 corners are those of OpenCV", same)
	}
	for i := range ours {
		for j := range i {
			if math.Hypot(ours[i].U-ours[j].U, ours[i].V-ours[j].V) < 9 {
				t.Fatalf("corners %v and %v are too near", ours[i], ours[j])
			}
		}
	}
}

func BenchmarkFollow200(b *testing.B) {
	p := readPlane(b, "testdata/img/klt_base.png")
	q := readPlane(b, "testdata/img/klt_shift_4.png")
	points := Corners(p, CornerOptions{Most: 200, Apart: 5})
	from, to := NewPyramid(p, 0), NewPyramid(q, 0)
	for b.Loop() {
		Follow(from, to, points, nil, FollowOptions{})
	}
	b.ReportMetric(float64(len(points)), "points")
}

func BenchmarkPyramid720(b *testing.B) {
	p := NewPlane(1280, 720)
	for b.Loop() {
		NewPyramid(p, 0)
	}
}

func BenchmarkCorners720(b *testing.B) {
	p := NewPlane(1280, 720)
	for i := range p.Pix {
		p.Pix[i] = float32((i*2654435761)>>24&255) / 4
	}
	for b.Loop() {
		Corners(p, CornerOptions{})
	}
}
