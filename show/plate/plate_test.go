package plate

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/sport/mark"
)

// shot hands the invented frame over as a picture this many pixels wide.
func shot(width int) Shot {
	return Shot{Reading: invented(), Take: "live", Frame: 42, Image: scene(width)}
}

type named struct {
	name string
	make func(Shot) (*draw.Drawing, error)
}

// plates are all kinds of plates.
func plates() []named {
	var all []named
	for _, l := range Layouts {
		all = append(all,
			named{"gaps-" + l.String(), func(s Shot) (*draw.Drawing, error) { return Gaps(s, Options{Layout: l}) }},
			named{"placing-" + l.String(), func(s Shot) (*draw.Drawing, error) { return Placing(s, Options{Layout: l}) }})
	}
	return all
}

// pattern is a small picture made of whole numbers, so that it is the same on
// every machine.
func pattern() image.Image {
	m := image.NewRGBA(image.Rect(0, 0, 64, 36))
	for i := range m.Pix {
		m.Pix[i] = uint8(60 + i%4*20 + i/1024*3)
	}
	return m
}

// The golden files are drawn on a picture of 64 pixels, so that they stay small
// enough to read. Look at the difference after -update.
func TestGolden(t *testing.T) {
	want := map[string]bool{}
	for _, p := range plates() {
		s := shot(64)
		s.Image = pattern()
		d, err := p.make(s)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := d.SVG(&b); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join("testdata", p.name+".svg")
		want[file] = true
		if *update {
			if err := os.MkdirAll("testdata", 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		old, err := os.ReadFile(file)
		if err != nil {
			t.Errorf("a golden file is missing: %v", err)
		} else if !bytes.Equal(old, b.Bytes()) {
			t.Errorf("%s differs from what is drawn now; look at it and run with -update", file)
		}
	}
	kept, err := filepath.Glob("testdata/*.svg")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range kept {
		if !want[f] {
			t.Errorf("%s is a golden file of nothing", f)
		}
	}
}

// MESURE_SPECIMEN names a folder to put the plates in, to be looked at.
func TestSpecimensToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the plates")
	}
	f, err := os.Create(filepath.Join(dir, "scene.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, scene(1280)); err != nil {
		t.Fatal(err)
	}
	for _, p := range plates() {
		d, err := p.make(shot(1280))
		if err != nil {
			t.Fatal(err)
		}
		for _, width := range []int{390, 1400} {
			f, err := os.Create(filepath.Join(dir, p.name+"-"+map[int]string{390: "390", 1400: "1400"}[width]+".png"))
			if err != nil {
				t.Fatal(err)
			}
			if err := d.PNG(f, width); err != nil {
				t.Fatal(err)
			}
			f.Close()
		}
	}
}

func TestNoAnswerIsANamedError(t *testing.T) {
	s := shot(64)
	s.Frame = 7
	if _, err := Gaps(s, Options{}); !errors.Is(err, ErrNotMeasured) {
		t.Errorf("Gaps: %v", err)
	}
	if _, err := Placing(s, Options{}); !errors.Is(err, ErrNotPlaced) {
		t.Errorf("Placing: %v", err)
	}
}

func TestMistakesOfTheCallerPanic(t *testing.T) {
	for name, s := range map[string]Shot{"no reading": {Image: scene(64)}, "no picture": {Reading: invented()}} {
		func() {
			defer func() {
				if m, ok := recover().(string); !ok || !strings.HasPrefix(m, "plate: ") {
					t.Errorf("%s: recovered %v", name, m)
				}
			}()
			Gaps(s, Options{})
		}()
	}
}

// A key number must be at least 11 pixels high where a phone shows the plate
// 390 pixels wide.
func TestKeyNumbersAreLegibleOnAPhone(t *testing.T) {
	const phonePx, least = 390, 11
	high := float64(Phone.Type().Key*draw.CapShare) * phonePx / float64(Phone.Width())
	if high < least {
		t.Errorf("key numbers are %.1f px high on a phone", high)
	}
	em := float64(Wide.Type().Key) * phonePx / float64(Wide.Width())
	if em < least {
		t.Errorf("key numbers of the wide layout have an em of %.1f px on a phone", em)
	}
}

func TestNamesCanBeLeftOut(t *testing.T) {
	s := shot(64)
	for _, hide := range []bool{false, true} {
		d, err := Gaps(s, Options{HideNames: hide})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := d.SVG(&b); err != nil {
			t.Fatal(err)
		}
		for _, n := range []string{"Ida Maren", "Harbour Hall"} {
			if strings.Contains(b.String(), n) == hide {
				t.Errorf("hide %v: %q", hide, n)
			}
		}
	}
}

func TestThePictureAndTheReadingStayAsTheyAre(t *testing.T) {
	s := shot(320)
	before := append([]uint8{}, s.Image.(*image.RGBA).Pix...)
	a := mustGaps(t, s)
	if !bytes.Equal(before, s.Image.(*image.RGBA).Pix) {
		t.Error("the picture was changed")
	}
	if !bytes.Equal(a, mustGaps(t, s)) {
		t.Error("drawn twice, the plate differs")
	}
}

func mustGaps(t *testing.T, s Shot) []byte {
	t.Helper()
	d, err := Gaps(s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := d.SVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Labels must not lie on each other, on a mark or on a blade, wherever the
// fencers stand and however close they are.
func TestLabelsCoverNothing(t *testing.T) {
	placed, asked := 0, 0
	for shift := -3; shift <= 3; shift++ {
		for _, l := range Layouts {
			in := invented().Instants[0]
			closer := float64(shift) * 40
			for i := range in.Bodies[mark.Right].Points {
				in.Bodies[mark.Right].Points[i].At.U += closer
			}
			for i := range in.Gaps {
				if in.Gaps[i].Of == mark.Right {
					in.Gaps[i].From.U += closer
				} else {
					in.Gaps[i].To.U += closer
				}
			}
			main := prominent(in.Gaps, [2]mark.Target{mark.Forearm, mark.Chest})
			sh := NewSheet(l, draw.Stage(), "f", "d", "s", 80)
			p := around(pointsOf(in, main), frameW, frameH)
			v := view{box: draw.Box{X: 0, Y: sh.Body.Y, W: l.Width(), H: l.Width() * draw.MM(p.h()/p.w())}, x0: p.x0, y0: p.y0, scale: float64(l.Width()) / p.w()}
			labels(&sh.Group, v, in, main, sh)
			boxes, text := wordsOf(t, sh.Drawing)
			asked += len(main)
			for i, b := range boxes {
				if !strings.HasSuffix(text[i], nb+"m") {
					continue
				}
				placed++
				for j, c := range boxes {
					if i != j && b.Meets(c) {
						t.Errorf("shift %d, %s: %q lies on %q", shift, l, text[i], text[j])
					}
				}
				for _, body := range in.Bodies {
					at := map[mark.What]draw.Pt{}
					for _, q := range body.Points {
						at[q.What] = v.at(q.At)
						if b.Holds(at[q.What]) {
							t.Errorf("shift %d, %s: %q covers a %s", shift, l, text[i], q.What)
						}
					}
					if crosses(at[mark.Guard], at[mark.Point], b) {
						t.Errorf("shift %d, %s: %q covers a blade", shift, l, text[i])
					}
				}
			}
		}
	}
	if placed < asked*3/4 {
		t.Errorf("of %d labels only %d found room", asked, placed)
	}
}

// wordsOf returns the lines of text on the sheet and their boxes.
func wordsOf(t *testing.T, d *draw.Drawing) ([]draw.Box, []string) {
	t.Helper()
	var boxes []draw.Box
	var text []string
	for _, l := range d.Lines() {
		boxes, text = append(boxes, l.Box()), append(text, l.S)
	}
	if len(boxes) == 0 {
		t.Fatal("the sheet has no words")
	}
	return boxes, text
}

// Whatever the target and the layout, no words lie on others.
func TestWordsStandFreeAndOnTheSheet(t *testing.T) {
	n := 0
	for _, target := range mark.Targets() {
		for _, l := range Layouts {
			d, err := Gaps(shot(64), Options{Layout: l, Asked: [2]mark.Target{target, target}})
			if err != nil {
				t.Fatal(err)
			}
			lines := d.Lines()
			for i, a := range lines {
				n++
				if b := a.Box(); b.X < 1 || b.Right() > d.W-1 || b.Y < 1 || b.Bottom() > d.H {
					t.Errorf("%s, %s: %q stands at %v, outside the sheet", target, l, a.S, b)
				}
				for _, o := range lines[i+1:] {
					if a.Box().Meets(o.Box()) {
						t.Errorf("%s, %s: %q lies on %q", target, l, a.S, o.S)
					}
				}
			}
		}
	}
	if n == 0 {
		t.Error("no words were checked")
	}
}

// Pictures of any size and numbers that are none must not break a plate.
func TestOddPicturesAndNumbers(t *testing.T) {
	nan := math.NaN()
	for _, size := range [][2]int{{1, 1}, {1, 400}, {400, 1}, {90, 160}, {4000, 30}} {
		for _, p := range plates() {
			s := shot(64)
			s.Image = image.NewRGBA(image.Rect(5, 5, 5+size[0], 5+size[1]))
			s.Reading.Clips = nil
			in := &s.Reading.Instants[0]
			in.Bodies[0].Points[0].At.U = nan
			in.Gaps[0].To.V = math.Inf(1)
			in.Gaps[9].Gap.Mean = quantity.Metres(nan)
			s.Reading.Placings[0].Grid[0].Points[0].U = nan
			s.Reading.Placings[0].Residuals[0].Fitted.U = nan
			d, err := p.make(s)
			if err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			if err := d.SVG(&b); err != nil {
				t.Fatal(err)
			}
			if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
				t.Errorf("%s of %v: the plate has a number that is none", p.name, size)
			}
		}
	}
}

func TestCropShowsAllMarksInsideTheFrame(t *testing.T) {
	in := invented().Instants[0]
	for _, dx := range []float64{-300, 0, 300} {
		var pts []mark.Pixel
		for _, p := range pointsOf(in, prominent(in.Gaps, [2]mark.Target{})) {
			pts = append(pts, mark.Pixel{U: p.U + dx, V: p.V})
		}
		p := around(pts, frameW, frameH)
		if p.x0 < 0 || p.y0 < 0 || p.x1 > frameW || p.y1 > frameH || p.w() < leastPx {
			t.Errorf("shift %v: the crop %v leaves the frame", dx, p)
		}
		n := 0
		for _, q := range pts {
			if q.U < 0 || q.U > frameW {
				continue
			}
			n++
			if q.U < p.x0 || q.U > p.x1 || q.V < p.y0 || q.V > p.y1 {
				t.Errorf("shift %v: the crop %v loses %v", dx, p, q)
			}
		}
		if n == 0 {
			t.Error("no mark was checked")
		}
	}
	if p := around(nil, 640, 480); p != (part{0, 0, 640, 480}) {
		t.Errorf("without marks the crop is %v", p)
	}
}

func TestPixelsAreCentres(t *testing.T) {
	v := view{box: draw.Box{X: 10, Y: 20, W: 128, H: 72}, scale: 0.1}
	if p := v.at(mark.Pixel{U: -0.5, V: -0.5}); p != (draw.Pt{X: 10, Y: 20}) {
		t.Errorf("the corner of the frame is at %v", p)
	}
}
