package draw

import (
	"bytes"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// label is a sheet with a word, a bar and a photograph of one colour.
func label() *Drawing {
	d := New(60, 30, "A word", "A word on a bar.")
	d.Ground = Hex(0x101214)
	d.Fill(Box{30, 10, 20, 10}.Path(), Hex(0x7cc0ff))
	d.Shift(2, 0).Text(Text{At: Pt{5, 20}, S: "0.42 m", Font: SansBold, Size: 6, Colour: Hex(0xffffff)})
	return d
}

// The alpha of a sheet without a ground, read back from the file: nothing where nothing is
// drawn, full on the bar, and about the letters a halo in the colour of the old ground.
func TestASheetWithoutAGroundIsOpen(t *testing.T) {
	d := label()
	var b bytes.Buffer
	if err := d.Clear().PNG(&b, 600); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		x, y       int
		r, g, b, a uint32
	}{{5, 5, 0, 0, 0, 0}, {595, 295, 0, 0, 0, 0}, {400, 150, 0x7c, 0xc0, 0xff, 0xff}} {
		r, g, bl, a := img.At(c.x, c.y).RGBA()
		if r>>8 != c.r || g>>8 != c.g || bl>>8 != c.b || a>>8 != c.a {
			t.Errorf("at (%d, %d) stands %x %x %x %x", c.x, c.y, r>>8, g>>8, bl>>8, a>>8)
		}
	}
	halo, white := 0, 0
	for y := 140; y < 210; y++ {
		for x := 60; x < 290; x++ {
			r, _, _, a := img.At(x, y).RGBA()
			switch {
			case a > 0xc000 && r < 0x2000:
				halo++
			case a == 0xffff && r > 0xf000:
				white++
			}
		}
	}
	if white < 500 || halo < white/4 {
		t.Errorf("%d pixels of letters, %d of their halo", white, halo)
	}
	if _, _, _, a := d.Raster(60).At(0, 0).RGBA(); a != 0xffff || d.Words()[0].Halo.A != 0 {
		t.Error("the drawing itself was changed")
	}
}

// Another program shows the open PDF on its own paper, and the SVG has no ground either.
func TestAnOpenSheetIsOpenInOtherPrograms(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		skip(t, "pdftoppm")
	}
	dir := t.TempDir()
	var b, v bytes.Buffer
	if err := label().Clear().PDF(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "a.pdf"), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-png", "-r", "72", "-singlefile", filepath.Join(dir, "a.pdf"), filepath.Join(dir, "a")).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	f, err := os.Open(filepath.Join(dir, "a.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if r, _, _, _ := img.At(3, 3).RGBA(); r != 0xffff {
		t.Errorf("the paper is covered: %x", r)
	}
	if err := label().Clear().SVG(&v); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(v.String(), `d="M0 0L60 0`) || !strings.Contains(v.String(), `fill-opacity="0.851"`) {
		t.Errorf("a ground, or no halo, in\n%s", v.String())
	}
}

func TestWordsAreWhereTheyAreSeen(t *testing.T) {
	w := label().Words()
	if len(w) != 1 || w[0].S != "0.42 m" || w[0].On.X != 7 || w[0].Em != 6 {
		t.Errorf("%+v", w)
	}
	big := New(120, 60, "t", "")
	big.Insert(label(), 0, 0, 120)
	if w := big.Words(); len(w) != 1 || w[0].On.X != 14 || w[0].Em != 12 {
		t.Errorf("twice as large: %+v", w)
	}
	if m := label().Mute(); len(m.Words()) != 0 || m.Raster(60).RGBAAt(40, 15) != label().Raster(60).RGBAAt(40, 15) {
		t.Error("without words there is more, or less, than what they stood on")
	}
}
