package report

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"sort"
	"strings"
	"sync"
	"testing"
	"unicode"
	"unicode/utf8"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
)

var everyLayout = []plate.Layout{plate.Wide, plate.Phone, plate.Screen, plate.Upright, plate.Square}

// theme is the one in which a plate stands on a page by day.
func (p Plate) day() draw.Theme {
	if p.WideNight == nil {
		return draw.Stage()
	}
	return draw.Paper()
}

// What every plate says, in every shape: a finding, where it comes from and what ± means,
// words for who cannot see it; all of it on the sheet, none of it too small.
func TestEveryPlateInEveryShape(t *testing.T) {
	for _, p := range allPlates(t) {
		for _, l := range everyLayout {
			name := p.Name() + " " + l.String()
			d := p.In(l, p.day())
			if again := p.In(l, p.day()); again != d {
				t.Errorf("%s: drawn twice", name)
			}
			first, _ := utf8.DecodeRuneInString(d.Title)
			last, _ := utf8.DecodeLastRuneInString(d.Title)
			if n := utf8.RuneCountInString(d.Title); n < 12 || n > 160 || !unicode.IsUpper(first) || strings.ContainsRune(".,;:…-", last) {
				t.Errorf("%s: the finding is %q", name, d.Title)
			}
			if len(d.Desc) < 40 || strings.TrimSpace(d.Desc) != d.Desc {
				t.Errorf("%s: what it shows is %q", name, d.Desc)
			}
			if math.Abs(float64(d.W-l.Width())) > 1e-9 || l.Height() > 0 && math.Abs(float64(d.H-l.Height())) > 1e-9 {
				t.Errorf("%s: the sheet is %v × %v", name, d.W, d.H)
			}
			inset := draw.MM(0.3)
			if l.Height() > 0 {
				inset = l.Margin() * 0.4 // the body may reach a little into the margin, as on the page
			}
			said := ""
			for _, w := range d.Words() {
				said += w.S + " "
				if strings.TrimSpace(w.S) == "" || w.Colour.A == 0 {
					continue
				}
				if w.On.X < inset || w.On.Right() > d.W-inset || w.On.Y < inset || w.On.Bottom() > d.H-inset {
					t.Errorf("%s: %q stands at %.1f to %.1f, %.1f to %.1f on a sheet of %v × %.1f", name, w.S, w.On.X, w.On.Right(), w.On.Y, w.On.Bottom(), d.W, d.H)
				}
				if least := l.Least(); w.Em < least-0.001 {
					t.Errorf("%s: %q is %.2f mm high, less than %.2f", name, w.S, w.Em, least)
				}
			}
			doubt := strings.Contains(d.Source, "±") || strings.Contains(d.Source, "interval")
			if numbers := strings.ContainsAny(said, "±[%"); !strings.HasSuffix(d.Source, ".") || len(d.Source) < 40 || numbers && !doubt {
				t.Errorf("%s: the source line is %q", name, d.Source)
			}
			if flat := strings.Join(strings.Fields(said), " "); !strings.Contains(flat, strings.Join(strings.Fields(d.Title), " ")) {
				t.Errorf("%s: the finding is not written on it: %.80q", name, flat)
			}
		}
	}
}

// Video of 1080 lines or columns: 24 pixels at least, on the square 22. Phone held upright,
// 390 and 360 CSS pixels wide: the digits of a key number are 11 and 10 pixels high, and no
// letter is smaller than 10.
func TestTypeIsLargeEnoughOnAScreen(t *testing.T) {
	if testing.Short() {
		t.Skip("draws one picture after the other: nothing for the race detector")
	}
	for l, least := range map[plate.Layout]float64{plate.Screen: 24, plate.Upright: 24, plate.Square: 22} {
		if px := float64(l.Least()) * 1080 / math.Min(float64(l.Width()), float64(l.Height())); px < least-1e-6 {
			t.Errorf("%v: %.1f pixels", l, px)
		}
	}
	ty := plate.Phone.Type()
	for width, key := range map[float64]float64{390: 11, 360: 10} {
		if px := float64(ty.Key) * draw.CapShare * width / 100; px < key {
			t.Errorf("a key number on %v pixels is %.1f high", width, px)
		}
	}
	if px := float64(plate.Phone.Least()) * 3.6; px < 10 {
		t.Errorf("the smallest type on 360 pixels is %.1f", px)
	}
}

// relative is the relative luminance of WCAG 2.1, of straight sRGB.
func relative(c draw.Colour) float64 {
	f := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*f(c.R) + 0.7152*f(c.G) + 0.0722*f(c.B)
}

func contrastOf(a, b draw.Colour) float64 {
	x, y := relative(a), relative(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// under is the colour that words stand on: the middle one, by lightness, of what is drawn
// there without them, with their halo over it.
func under(img *image.RGBA, d *draw.Drawing, w draw.Word) (draw.Colour, bool) {
	per := float64(img.Bounds().Dx()) / float64(d.W)
	var all []draw.Colour
	for y := int(float64(w.On.Y) * per); y <= int(float64(w.On.Bottom())*per); y++ {
		for x := int(float64(w.On.X) * per); x <= int(float64(w.On.Right())*per); x++ {
			if (image.Point{X: x, Y: y}).In(img.Bounds()) {
				c := img.RGBAAt(x, y)
				all = append(all, draw.Colour{R: c.R, G: c.G, B: c.B, A: 255})
			}
		}
	}
	if len(all) == 0 {
		return draw.Colour{}, false
	}
	sort.Slice(all, func(i, j int) bool { return relative(all[i]) < relative(all[j]) })
	c := all[len(all)/2]
	if w.Halo.A > 0 && w.HaloWidth > 0 {
		c = w.Halo.Over(c)
	}
	return c, true
}

// WCAG 2.1, success criterion 1.4.3, on the pictures as they are drawn: 4.5 to 1 for words,
// 3 to 1 for large ones (18 points, or 14 where they are bold) on the phone sheet.
func TestWordsStandOutFromWhatTheyStandOn(t *testing.T) {
	if testing.Short() {
		t.Skip("draws one picture after the other: nothing for the race detector")
	}
	checked := map[string]int{}
	for i, p := range allPlates(t) {
		for j, th := range draw.Themes() {
			if (i+j)%2 == 1 && th.Name != "print" && th.Name != "video" {
				continue // every second one of the themes of the page
			}
			d := p.In(plate.Phone, th)
			img := d.Mute().Raster(180)
			for _, w := range d.Words() {
				if w.Colour.A == 0 || strings.TrimSpace(w.S) == "" {
					continue
				}
				on, ok := under(img, d, w)
				if !ok {
					continue
				}
				need := 4.5
				if bold := w.Font == draw.SansBold || w.Font == draw.SerifBold; w.Em >= draw.Points(18) || bold && w.Em >= draw.Points(14) {
					need = 3
				}
				if got := contrastOf(w.Colour.Over(on), on); got < need-0.05 {
					t.Errorf("%s, %s: %q in %s on %s has a contrast of %.2f", p.Name(), th.Name, w.S, w.Colour.CSS(), on.CSS(), got)
				}
				checked[th.Name]++
			}
		}
	}
	for _, th := range draw.Themes() {
		if checked[th.Name] < 150 {
			t.Errorf("%s: only %d words were looked at", th.Name, checked[th.Name])
		}
	}
}

// forSight are the matrices of full colour vision deficiencies for linear RGB of G. M.
// Machado, M. M. Oliveira and L. A. F. Fernandes, IEEE TVCG 15(6), 2009.
var forSight = map[string][3][3]float64{
	"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritan": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	"grey":   {{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}},
}

// seenLab is a colour as it is seen, in CIE 1976 L*a*b* for the D65 white.
func seenLab(c color.RGBA, m [3][3]float64) [3]float64 {
	lin := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	l := [3]float64{lin(c.R), lin(c.G), lin(c.B)}
	var s [3]float64
	for i := range 3 {
		s[i] = math.Max(0, math.Min(1, m[i][0]*l[0]+m[i][1]*l[1]+m[i][2]*l[2]))
	}
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x, y, z := f((0.4124*s[0]+0.3576*s[1]+0.1805*s[2])/0.9505), f(0.2126*s[0]+0.7152*s[1]+0.0722*s[2]), f((0.0193*s[0]+0.1192*s[1]+0.9505*s[2])/1.0890)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// The marks of the two fencers, found in the pixels of each picture that has both, are told
// apart with any colour vision; in print by lightness alone as well, so that a grey copy
// keeps them apart. What stands on a mark is not looked at: only pixels of its full colour.
func TestMarksAreToldApartInThePixels(t *testing.T) {
	if testing.Short() {
		t.Skip("draws one picture after the other: nothing for the race detector")
	}
	both := map[string]int{}
	for _, p := range allPlates(t) {
		for _, th := range []draw.Theme{draw.Print(), draw.Video()} {
			img := p.In(plate.Phone, th).Raster(180)
			var sides [2][]color.RGBA
			for i := 0; i < len(img.Pix); i += 4 {
				c := color.RGBA{img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3]}
				for _, s := range mark.Sides {
					if h := plate.Hue(th, s); near(c, h) {
						sides[s] = append(sides[s], c)
					}
				}
			}
			if len(sides[0]) < 12 || len(sides[1]) < 12 {
				continue
			}
			both[th.Name]++
			for name, m := range forSight {
				a, b := middle(sides[0], m), middle(sides[1], m)
				d := math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
				least := 45.0
				if name == "grey" {
					if least = 20; th.Name != "print" {
						continue // on a screen hue and shape tell them apart
					}
				}
				if d < least {
					t.Errorf("%s, %s: the marks are %.0f apart with vision %s", p.Name(), th.Name, d, name)
				}
			}
		}
	}
	for _, n := range []string{"print", "video"} {
		if both[n] < 8 {
			t.Errorf("%s: only %d pictures with both fencers", n, both[n])
		}
	}
}

func near(c color.RGBA, h draw.Colour) bool {
	d := func(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }
	return d(c.R, h.R) < 4 && d(c.G, h.G) < 4 && d(c.B, h.B) < 4
}

func middle(all []color.RGBA, m [3][3]float64) [3]float64 {
	var sum [3]float64
	for _, c := range all {
		for i, v := range seenLab(c, m) {
			sum[i] += v / float64(len(all))
		}
	}
	return sum
}

// svgDTD is where Debian's w3c-sgml-lib keeps the DTD of SVG 1.1.
const svgDTD = "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd"

// A plate of each kind, in a shape or a theme that changes from kind to kind, is valid by
// the DTD of SVG 1.1, is drawn by librsvg, and is a sound tagged PDF.
func TestOtherProgramsReadEveryKind(t *testing.T) {
	if testing.Short() {
		t.Skip("runs other programs")
	}
	need := func(tool string) bool {
		if _, err := exec.LookPath(tool); err == nil {
			return true
		}
		if os.Getenv("CI") == "true" {
			t.Errorf("%s is not installed", tool)
		}
		t.Logf("SKIPPED: %s is not installed, so the plates were not checked by it", tool)
		return false
	}
	dir := t.TempDir()
	var svgs, pdfs []string
	var pages []*draw.Drawing
	seen := map[Kind]bool{}
	for i, p := range allPlates(t) {
		if seen[p.Kind] {
			continue
		}
		seen[p.Kind] = true
		d := p.In(everyLayout[i%len(everyLayout)], p.day()) // as other tests drew it
		if i%2 == 1 {
			d = p.In(plate.Phone, []draw.Theme{draw.Print(), draw.Video()}[i/2%2])
		}
		if i%3 == 0 {
			d = d.Clear()
		}
		var s bytes.Buffer
		if err := d.SVG(&s); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, p.Name()+".svg")
		if err := os.WriteFile(file, s.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		svgs, pages = append(svgs, file), append(pages, d)
	}
	var b bytes.Buffer
	if err := (draw.Book{Title: "Every kind of plate", Language: "en", Pages: pages}).PDF(&b); err != nil {
		t.Fatal(err)
	}
	pdf := filepath.Join(dir, "all.pdf")
	if err := os.WriteFile(pdf, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	pdfs = append(pdfs, pdf)
	run := func(name string, args ...string) string {
		out, err := exec.Command(name, args...).CombinedOutput()
		if err != nil {
			t.Errorf("%s: %v\n%.3000s", name, err, out)
		}
		return string(out)
	}
	if _, err := os.Stat(svgDTD); err != nil {
		t.Log("SKIPPED: the DTD of SVG 1.1 (w3c-sgml-lib) is not installed")
	} else if need("xmllint") {
		run("xmllint", append([]string{"--noout", "--nonet", "--huge", "--dtdvalid", svgDTD}, svgs...)...)
	}
	if need("rsvg-convert") {
		for i, f := range svgs[:3] {
			run("rsvg-convert", "-w", "300", "-o", filepath.Join(dir, fmt.Sprintf("%d.png", i)), f)
		}
	}
	if need("qpdf") {
		run("qpdf", append([]string{"--check"}, pdfs...)...)
	}
	if need("pdfinfo") {
		if info := run("pdfinfo", pdf); !strings.Contains(info, "Tagged:          yes") || !strings.Contains(info, fmt.Sprintf("Pages:           %d", len(pages))) {
			t.Errorf("pdfinfo says\n%s", info)
		}
		if s := run("pdfinfo", "-struct", pdf); strings.Count(s, "Figure") < len(pages) || strings.Count(s, "H1") < len(pages) {
			t.Errorf("%d pages have %d headings and %d figures", len(pages), strings.Count(s, "H1"), strings.Count(s, "Figure"))
		}
	}
}

// Names of any length in any script stay on every sheet, and none is drawn as boxes; where
// names are hidden no sheet says them.
func TestAnyNamesOnEverySheet(t *testing.T) {
	if testing.Short() {
		t.Skip("draws one picture after the other: nothing for the race detector")
	}
	for i, names := range [][2]string{
		{strings.Repeat("Aurelia Montclair-", 17), "王小明"},
		{"ليلى بنت حسن", strings.Repeat("W", 31) + " 🤺🤺"},
	} {
		r := whole(t)
		old := r.Tactics.Names
		r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name, r.Tactics.Names = names[0], names[1], names
		r.Touch.Bout.Event = strings.Repeat("Coupe d’Hiver ", 25)
		if b := r.Tactics.Bout; b != nil {
			b.Left, b.Right, b.Event = names[0], names[1], strings.Repeat("Coupe", 60)
			for k, s := range b.Said {
				for side, n := range old {
					s = strings.ReplaceAll(s, n, names[side])
				}
				b.Said[k] = s
			}
		}
		how := []plate.Naming{plate.Named, plate.Initials}[i]
		still := func(string, mark.Frame) (image.Image, error) { return hall(), nil }
		ps, err := drawAll(tacticsJobs(r, how))
		if err != nil {
			t.Fatal(err)
		}
		space, err := drawAll(spaceJobs(r, still, how))
		if err != nil {
			t.Fatal(err)
		}
		race, err := racePlate(r, how)
		if err != nil {
			t.Fatal(err)
		}
		gaps, err := framePlate(KindGaps, r, r.Race.Take, r.Race.Frame, still, how)
		if err != nil {
			t.Fatal(err)
		}
		ps = append(append(ps, space...), race, gaps)
		for _, p := range ps {
			for _, l := range []plate.Layout{plate.Phone, plate.Square} {
				d := p.In(l, p.day())
				for _, w := range d.Words() {
					if w.On.X < 0 || w.On.Right() > d.W || w.On.Y < 0 || w.On.Bottom() > d.H {
						t.Errorf("%s %v: %.60q reaches from %.1f to %.1f on a sheet %v wide", p.Name(), l, w.S, w.On.X, w.On.Right(), d.W)
					}
					if strings.Contains(w.S, "王") || strings.Contains(w.S, "ليلى") || strings.Contains(w.S, "🤺") {
						t.Errorf("%s %v: writes %q, for which it has no letters", p.Name(), l, w.S)
					}
				}
			}
		}
	}
}

// TestPlatesSideBySide: plates are drawn side by side and come in their order, the same
// as on one processor; a form that two ask for at the same time is drawn once.
func TestPlatesSideBySide(t *testing.T) {
	r := whole(t)
	still := func(string, mark.Frame) (image.Image, error) { return hall(), nil }
	list := func() []Plate {
		ps, err := PlatesNamed(r, still, plate.Named)
		if err != nil {
			t.Fatal(err)
		}
		return ps
	}
	bytesOf := func(d *draw.Drawing) string {
		var b bytes.Buffer
		if err := d.SVG(&b); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	several := list()
	one := func() []Plate {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
		return list()
	}()
	if len(several) != len(one) || len(one) < 10 || several[0].Kind != KindRace {
		t.Fatalf("%d plates side by side, %d one after the other", len(several), len(one))
	}
	for i, p := range several {
		if p.Name() != one[i].Name() || bytesOf(p.Wide) != bytesOf(one[i].Wide) {
			t.Errorf("plate %d is %s side by side and %s one after the other, or another picture", i, p.Name(), one[i].Name())
		}
	}
	var forms [2]*draw.Drawing
	var busy sync.WaitGroup
	for i := range forms {
		busy.Go(func() { forms[i] = several[0].In(plate.Screen, draw.Video()) })
	}
	busy.Wait()
	if forms[0] == nil || forms[0] != forms[1] {
		t.Error("a form was drawn twice")
	}
	broken := errors.New("the tape broke")
	if _, err := PlatesNamed(r, func(string, mark.Frame) (image.Image, error) { return nil, broken }, plate.Named); !errors.Is(err, broken) {
		t.Errorf("a still that cannot be had gives %v", err)
	}
}
