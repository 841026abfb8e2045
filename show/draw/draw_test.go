package draw

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// photo is an invented picture: two soft gradients.
func photo(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetRGBA(x, y, color.RGBA{uint8(40 + 100*x/w), uint8(50 + 60*y/h), 90, 255})
		}
	}
	return m
}

// specimen uses everything the pen can do.
func specimen() *Drawing {
	t := Paper()
	d := New(120, 80, "Left’s point has 24 cm less to travel", "A specimen of every mark & line <of the pen>.")
	d.Ground = t.Ground
	d.Text(Text{At: Pt{6, 10}, S: "Left’s point has 24 cm less to travel", Font: SerifBold, Size: Points(15), Colour: t.Ink})
	d.Text(Text{At: Pt{6, 15}, S: "in italics: the measure is 0.42 ± 0.06 m, é à ő ß Ω Ж", Font: SerifItalic, Size: Points(9), Colour: t.Quiet})
	d.Place(Picture{photo(160, 90), true}, Box{6, 18, 48, 27})
	icon := image.NewNRGBA(image.Rect(0, 0, 4, 4))
	for i := range 4 {
		icon.SetNRGBA(i, i, color.NRGBA{200, 20, 20, 128})
	}
	d.Place(Picture{icon, false}, Box{44, 20, 8, 8})
	d.Text(Text{At: Pt{30, 34}, S: "0.42 ± 0.06 m", Font: SansBold, Size: Points(14), Colour: Stage().Ink, Anchor: Middle, Halo: Stage().Ground, HaloWidth: 0.6})
	d.Fill(Box{60, 20, 6, 6}.Path(), t.Left)
	d.Fill(Circle(Pt{73, 23}, 3.2), t.Right)
	d.Fill(Box{60, 30, 50, 7}.Path(), t.Left.Fade(0.25))
	d.Hatch(Box{80, 30, 30, 7}.Round(2), Hatch{Colour: t.Left, Width: 0.2, Gap: 1.2, Rising: true})
	d.Hatch(Ellipse(Pt{70, 44}, 10, 5), Hatch{Colour: t.Right, Width: 0.25, Gap: 1.5})
	wave := new(Path).Move(60, 56).Curve(70, 46, 80, 66, 90, 56).Quad(100, 46, 110, 56)
	d.Stroke(wave, Pen{Colour: t.Ink, Width: 0.8, Cap: RoundCap})
	d.Stroke(Polyline(Pt{6, 52}, Pt{20, 60}, Pt{30, 50}, Pt{50, 58}), Pen{Colour: t.Brass, Width: 1.2, Corner: Sharp})
	d.Stroke(Polygon(Pt{12, 66}, Pt{30, 66}, Pt{21, 76}), Pen{Colour: t.Rule, Width: 0.8, Dash: []MM{2, 1.2}})
	d.Stroke(Circle(Pt{45, 70}, 5), Pen{Colour: t.Right, Width: 1, Dash: []MM{0.01, 2}, Cap: RoundCap})
	g := d.Turn(-20, Pt{80, 70})
	g.Text(Text{At: Pt{70, 72}, S: "TURNED", Font: Sans, Size: Points(10), Colour: t.Quiet, Track: 0.08})
	in := New(60, 40, "inset", "")
	in.Ground = Night().Ground
	in.Fill(Circle(Pt{55, 20}, 12), Night().Right)
	d.Insert(in, 96, 62, 18)
	return d
}

func written(t *testing.T, f func(io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := f(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func forms(t *testing.T) map[string][]byte {
	d := specimen()
	return map[string][]byte{
		"svg": written(t, d.SVG),
		"png": written(t, func(w io.Writer) error { return d.PNG(w, 600) }),
		"pdf": written(t, d.PDF),
	}
}

// Forty runs: a writer that ranges over a map of five fonts or four opacities
// would differ with near certainty.
func TestEqualDrawingsGiveEqualBytes(t *testing.T) {
	first := forms(t)
	for range 40 {
		for kind, b := range forms(t) {
			if !bytes.Equal(b, first[kind]) {
				t.Fatalf("%s differs from run to run", kind)
			}
		}
	}
}

// MESURE_SPECIMEN names a folder to put the specimen in, to be looked at.
func TestSpecimenToLookAt(t *testing.T) {
	dir := os.Getenv("MESURE_SPECIMEN")
	if dir == "" {
		t.Skip("set MESURE_SPECIMEN to a folder to get the specimen")
	}
	for kind, b := range forms(t) {
		if err := os.WriteFile(filepath.Join(dir, "specimen."+kind), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestWritingChangesNothing(t *testing.T) {
	d := specimen()
	a := written(t, d.SVG)
	written(t, d.PDF)
	d.Raster(200)
	if !bytes.Equal(a, written(t, d.SVG)) {
		t.Error("the drawing was changed by writing it")
	}
}

func TestSVGIsWellFormedAndSaysItsWords(t *testing.T) {
	b := forms(t)["svg"]
	dec := xml.NewDecoder(bytes.NewReader(b))
	for {
		if _, err := dec.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"<title>Left’s point", "<desc>A specimen of every mark &amp; line &lt;of the pen&gt;.</desc>", "<desc>0.42 ± 0.06 m</desc>"} {
		if !strings.Contains(string(b), want) {
			t.Errorf("the SVG lacks %q", want)
		}
	}
	for _, bad := range []string{"http://", "https://"} {
		if n := strings.Count(strings.ReplaceAll(string(b), "http://www.w3.org/", ""), bad); n > 0 {
			t.Errorf("the SVG refers to something outside itself: %q", bad)
		}
	}
}

// outside runs a checking program on the written forms.
func outside(t *testing.T, file string, data []byte, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		skip(t, name)
	}
	path := filepath.Join(t.TempDir(), file)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(name, append(args, path)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

// svgDTD is where Debian's w3c-sgml-lib keeps the DTD of SVG 1.1.
const svgDTD = "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd"

func TestSVGIsValidByItsDTD(t *testing.T) {
	if _, err := os.Stat(svgDTD); err != nil {
		skip(t, "the DTD of SVG 1.1 (w3c-sgml-lib)")
	}
	outside(t, "a.svg", forms(t)["svg"], "xmllint", "--noout", "--nonet", "--dtdvalid", svgDTD)
}

func TestSVGIsDrawnByAnotherProgram(t *testing.T) {
	outside(t, "a.svg", forms(t)["svg"], "rsvg-convert", "-o", filepath.Join(t.TempDir(), "a.png"))
}

func TestPDFPassesQpdf(t *testing.T) { outside(t, "a.pdf", forms(t)["pdf"], "qpdf", "--check") }

func TestPDFTextCanBeCopied(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		skip(t, "pdftotext")
	}
	path := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(path, forms(t)["pdf"], 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", path, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Left’s point has 24 cm less to travel", "0.42 ± 0.06 m, é à ő ß Ω Ж"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("the text of the PDF lacks %q:\n%s", want, out)
		}
	}
}

func TestPNGPassesPngcheck(t *testing.T) { outside(t, "a.png", forms(t)["png"], "pngcheck", "-q") }

// The SVG drawn by librsvg and our own raster must show the same picture.
func TestSVGAndRasterAgree(t *testing.T) {
	if _, err := exec.LookPath("rsvg-convert"); err != nil {
		skip(t, "rsvg-convert")
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "a.svg"), filepath.Join(dir, "a.png")
	if err := os.WriteFile(in, forms(t)["svg"], 0o644); err != nil {
		t.Fatal(err)
	}
	if b, err := exec.Command("rsvg-convert", "-w", "600", "-o", out, in).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, b)
	}
	f, err := os.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	theirs, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	ours := specimen().Raster(600)
	if theirs.Bounds().Size() != ours.Bounds().Size() {
		t.Fatalf("sizes %v and %v", theirs.Bounds(), ours.Bounds())
	}
	// In blocks of 20 pixels the mean must agree: antialiasing and scaling even
	// out there, a missing or shifted part does not.
	const block, tolerance = 20, 0.06
	checked := 0
	for y0 := 0; y0+block <= ours.Bounds().Dy(); y0 += block {
		for x0 := 0; x0+block <= ours.Bounds().Dx(); x0 += block {
			a, b := brightness(ours, x0, y0, block), brightness(theirs, x0, y0, block)
			if math.Abs(a-b) > tolerance {
				t.Errorf("around pixel (%d, %d) ours is %.2f bright and theirs %.2f", x0+block/2, y0+block/2, a, b)
			}
			checked++
		}
	}
	if checked == 0 {
		t.Error("nothing was compared")
	}
}

// brightness is the mean of red and green in a square of the image, 0 to 1.
func brightness(m image.Image, x0, y0, n int) float64 {
	sum := 0.0
	for y := y0; y < y0+n; y++ {
		for x := x0; x < x0+n; x++ {
			r, g, _, _ := m.At(x, y).RGBA()
			sum += float64(r+g) / (2 * 0xffff)
		}
	}
	return sum / float64(n*n)
}

// skip leaves a check out where its outside checker is missing, and says so; on a
// machine that tests every change (CI=true) that is a failure.
func skip(t *testing.T, checker string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is not installed: \"make test\" installs it", checker)
	}
	t.Skipf("SKIPPED: %s is not installed, so the form was not checked by it", checker)
}

// For the page text stays text, at the place where its outlines would stand.
func TestPageSVGKeepsText(t *testing.T) {
	d := New(40, 20, "A <finding>", "what it shows")
	d.Text(Text{At: Pt{20, 10}, S: "2 < 3", Font: SansBold, Size: 4, Colour: Hex(0x112233), Anchor: Middle, Halo: Hex(0xffffff), HaloWidth: 0.5})
	var b strings.Builder
	if err := d.PageSVG(&b, "live"); err != nil {
		t.Fatal(err)
	}
	at := num(float64(20 - Text{S: "2 < 3", Font: SansBold, Size: 4}.Width()/2))
	for _, want := range []string{`class="live"`, `aria-label="A &lt;finding&gt;. what it shows"`, `<text x="` + at + `" y="10" font-family="Mesure Sans" font-size="4" font-weight="600"`,
		`stroke="#ffffff" stroke-width="1"`, `fill="#112233">2 &lt; 3</text>`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %s in\n%s", want, b.String())
		}
	}
	if strings.Contains(b.String(), "<use") || strings.Contains(b.String(), "style") {
		t.Errorf("outlines or styles in\n%s", b.String())
	}
}
