package draw

import (
	"image/color"
	"math"
	"strings"
	"testing"
)

// inked returns how many square millimetres of the drawing are covered, by the
// raster.
func inked(d *Drawing) float64 {
	img := d.Raster(int(d.W * 20))
	sum := 0.0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			_, _, _, a := img.At(x, y).RGBA()
			sum += float64(a) / 0xffff
		}
	}
	return sum / 400
}

func TestAreas(t *testing.T) {
	ink := Hex(0)
	cases := []struct {
		name string
		draw func(*Drawing)
		want float64
	}{
		{"box", func(d *Drawing) { d.Fill(Box{5, 5, 20, 10}.Path(), ink) }, 200},
		{"disc", func(d *Drawing) { d.Fill(Circle(Pt{20, 20}, 10), ink) }, math.Pi * 100},
		{"round box", func(d *Drawing) { d.Fill(Box{5, 5, 20, 10}.Round(3), ink) }, 200 - (4-math.Pi)*9},
		{"butt line", func(d *Drawing) { d.Stroke(Segment(Pt{5, 5}, Pt{25, 5}), Pen{Colour: ink, Width: 2}) }, 40},
		{"square line", func(d *Drawing) { d.Stroke(Segment(Pt{5, 5}, Pt{25, 5}), Pen{Colour: ink, Width: 2, Cap: Square}) }, 44},
		{"round line", func(d *Drawing) { d.Stroke(Segment(Pt{5, 5}, Pt{25, 5}), Pen{Colour: ink, Width: 2, Cap: RoundCap}) }, 40 + math.Pi},
		{"dashes", func(d *Drawing) {
			d.Stroke(Segment(Pt{5, 5}, Pt{25, 5}), Pen{Colour: ink, Width: 2, Dash: []MM{3, 2}})
		}, 24},
		{"odd dashes", func(d *Drawing) {
			d.Stroke(Segment(Pt{5, 5}, Pt{25, 5}), Pen{Colour: ink, Width: 2, Dash: []MM{2}})
		}, 20},
		{"ring", func(d *Drawing) { d.Stroke(Circle(Pt{20, 20}, 10), Pen{Colour: ink, Width: 2}) }, math.Pi * (121 - 81)},
		{"sharp frame", func(d *Drawing) { d.Stroke(Box{5, 5, 20, 10}.Path(), Pen{Colour: ink, Width: 2, Corner: Sharp}) }, 22*12 - 18*8},
		{"round frame", func(d *Drawing) { d.Stroke(Box{5, 5, 20, 10}.Path(), Pen{Colour: ink, Width: 2}) }, 22*12 - 18*8 - (4 - math.Pi)},
		{"clip", func(d *Drawing) {
			d.Clip(Circle(Pt{20, 20}, 10)).Fill(Box{20, 0, 40, 40}.Path(), ink)
		}, math.Pi * 50},
		{"faded", func(d *Drawing) { d.Fill(Box{5, 5, 20, 10}.Path(), ink.Fade(0.5)) }, 100},
		{"turned", func(d *Drawing) { d.Turn(33, Pt{20, 20}).Fill(Box{15, 15, 10, 10}.Path(), ink) }, 100},
		{"hatch", func(d *Drawing) {
			d.Hatch(Box{5, 5, 28, 28}.Path(), Hatch{Colour: ink, Width: 0.5, Gap: 2})
		}, 28 * 28 * 0.25},
		{"rising hatch", func(d *Drawing) {
			d.Hatch(Box{5, 5, 28, 28}.Path(), Hatch{Colour: ink, Width: 0.5, Gap: 2, Rising: true})
		}, 28 * 28 * 0.25},
		{"off the sheet", func(d *Drawing) { d.Fill(Box{-10, -10, 20, 20}.Path(), ink) }, 100},
	}
	for _, c := range cases {
		d := New(40, 40, c.name, "")
		c.draw(d)
		if got := inked(d); math.Abs(got-c.want) > 0.004*c.want {
			t.Errorf("%s covers %.2f mm², not %.2f", c.name, got, c.want)
		}
	}
}

func TestInsertKeepsProportionAndStaysInside(t *testing.T) {
	in := New(10, 5, "in", "")
	in.Fill(Circle(Pt{10, 2.5}, 2), Hex(0))
	d := New(40, 40, "out", "")
	d.Insert(in, 10, 10, 20)
	if got, want := inked(d), math.Pi*4*4/2; math.Abs(got-want) > 0.02*want {
		t.Errorf("the inset covers %.2f mm², not %.2f", got, want)
	}
	if _, _, _, a := d.Raster(40).At(31, 15).RGBA(); a != 0 {
		t.Error("the inset is drawn outside its sheet")
	}
}

func TestMistakesOfTheCallerPanic(t *testing.T) {
	for name, f := range map[string]func(){
		"no size":       func() { New(0, 10, "", "") },
		"endless":       func() { New(MM(math.Inf(1)), 10, "", "") },
		"line first":    func() { new(Path).Line(1, 1) },
		"no number":     func() { new(Path).Move(0, 0).Line(MM(math.NaN()), 1) },
		"no end":        func() { new(Path).Move(MM(math.Inf(-1)), 0) },
		"no picture":    func() { New(1, 1, "", "").Place(Picture{}, Box{0, 0, 1, 1}) },
		"no gap":        func() { New(9, 9, "", "").Hatch(Box{0, 0, 1, 1}.Path(), Hatch{Colour: Hex(1)}) },
		"no raster":     func() { New(1, 1, "", "").Raster(0) },
		"huge raster":   func() { New(1, 1, "", "").Raster(1 << 20) },
		"pdf of no one": func() { PDF(nil, "") },
	} {
		func() {
			defer func() {
				if s, ok := recover().(string); !ok || !strings.HasPrefix(s, "draw: ") {
					t.Errorf("%s: recovered %q", name, s)
				}
			}()
			f()
		}()
	}
}

func TestTheGroundFillsTheSheet(t *testing.T) {
	d := New(33.3, 17.7, "", "")
	d.Ground = Hex(0x102030)
	img := d.Raster(101)
	for _, p := range [][2]int{{0, 0}, {100, 0}, {0, img.Bounds().Dy() - 1}, {100, img.Bounds().Dy() - 1}} {
		if c := img.RGBAAt(p[0], p[1]); c != (color.RGBA{0x10, 0x20, 0x30, 255}) {
			t.Errorf("pixel %v is %v", p, c)
		}
	}
}

func BenchmarkSVG(b *testing.B) {
	d := specimen()
	for b.Loop() {
		var s strings.Builder
		if err := d.SVG(&s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRaster1280(b *testing.B) {
	d := specimen()
	for b.Loop() {
		d.Raster(1280)
	}
}
