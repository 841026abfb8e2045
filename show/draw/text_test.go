package draw

import (
	"math"
	"strings"
	"testing"
)

func TestFiguresAreTabular(t *testing.T) {
	for _, f := range Fonts() {
		zero := Text{S: "0", Font: f, Size: 10}.Width()
		for _, d := range "123456789" {
			if w := (Text{S: string(d), Font: f, Size: 10}).Width(); w != zero {
				t.Errorf("font %d: %q is %v wide and 0 is %v", f, d, w, zero)
			}
		}
	}
}

func TestFontsHaveTheSignsThatAreWritten(t *testing.T) {
	for _, f := range Fonts() {
		for _, r := range "±−×·–—‘’“”…→←≤≥≈²°%½éàçñößåøæłőřžşțČ \u00a0ΑΩαωЯжї" {
			if g := faces[f]().shape(string(r)); len(g) != 1 || g[0].glyph == 0 {
				t.Errorf("font %d lacks %q", f, r)
			}
		}
		if !strings.Contains(f.Licence(), "SIL OPEN FONT LICENSE") {
			t.Errorf("font %d comes without its licence", f)
		}
	}
}

// The shares by which labels are placed must be those of the fonts.
func TestHeightsOfLetters(t *testing.T) {
	for _, f := range Fonts() {
		of := func(s string) Box {
			g := faces[f]().shape(s)
			return faces[f]().outline(g[0].glyph).Bounds()
		}
		for _, c := range []struct {
			what  string
			got   MM
			share float64
		}{{"H", -of("H").Y, CapShare}, {"8", -of("8").Y, CapShare}, {"x", -of("x").Y, XShare}, {"p", of("p").Bottom(), DescentShare}} {
			if got := float64(c.got) / float64(faces[f]().upem); math.Abs(got-c.share) > 0.03 {
				t.Errorf("font %d: %s reaches %.3f of the em, not %.2f", f, c.what, got, c.share)
			}
		}
	}
}

func TestWidthIsThatOfTheOutline(t *testing.T) {
	for _, f := range Fonts() {
		tx := Text{S: "Himmel 0.42 ± 0.06 m", Font: f, Size: 10}
		d := New(200, 20, "t", "")
		tx.At, tx.Colour = Pt{10, 15}, Hex(0)
		d.Text(tx)
		img := d.Raster(2000)
		lo, hi := 2000, 0
		for y := range img.Bounds().Dy() {
			for x := range 2000 {
				if _, _, _, a := img.At(x, y).RGBA(); a > 0 {
					lo, hi = min(lo, x), max(hi, x)
				}
			}
		}
		if w := float64(hi-lo) / 10; math.Abs(w-float64(tx.Width())) > 2 { // side bearings of both ends
			t.Errorf("font %d: the letters are %.1f mm wide, Width says %.1f", f, w, tx.Width())
		}
	}
}

func TestKerning(t *testing.T) {
	for _, f := range Fonts() {
		w := func(s string) MM { return Text{S: s, Font: f, Size: 100}.Width() }
		if w("AV") >= w("A")+w("V") {
			t.Errorf("font %d does not kern AV", f)
		}
	}
}

func TestAnchors(t *testing.T) {
	tx := Text{At: Pt{50, 50}, S: "measure", Font: Sans, Size: 5}
	w := tx.Width()
	for _, c := range []struct {
		a Anchor
		x MM
	}{{Start, 50}, {Middle, 50 - w/2}, {End, 50 - w}} {
		tx.Anchor = c.a
		if b := tx.Box(); b.X != c.x || b.W != w || !b.Holds(Pt{b.X, 50}) {
			t.Errorf("anchor %d: box %v", c.a, b)
		}
	}
}

func TestWrap(t *testing.T) {
	s := "Left’s point would arrive first in 62\u00a0±\u00a01\u00a0% of the draws"
	for _, width := range []MM{20, 30, 50, 100, 500} {
		lines := Wrap(s, Serif, 4, width)
		if strings.Join(lines, " ") != s {
			t.Errorf("words were lost: %q", lines)
		}
		for _, l := range lines {
			if (Text{S: l, Font: Serif, Size: 4}).Width() > width && strings.Contains(l, " ") {
				t.Errorf("%q is wider than %v", l, width)
			}
		}
	}
	if got := Wrap("a\nb", Serif, 4, 100); len(got) != 2 {
		t.Errorf("a newline gives %q", got)
	}
	if got := Wrap("", Serif, 4, 100); len(got) != 1 || got[0] != "" {
		t.Errorf("nothing gives %q", got)
	}
}

func TestTrackSpacesLetters(t *testing.T) {
	plain, spaced := Text{S: "abcd", Font: Sans, Size: 10}, Text{S: "abcd", Font: Sans, Size: 10, Track: 0.1}
	if got := float64(spaced.Width() - plain.Width()); math.Abs(got-3) > 0.01 {
		t.Errorf("three spaces of a tenth of an em make the line %.2f mm wider", got)
	}
}

func TestBalanceLosesNothingAndNeedsNoMoreLines(t *testing.T) {
	s := "Left’s point is 0.29 m from the hand, right’s 0.21 m from the forearm"
	for _, width := range []MM{15, 40, 60, 90, 500} {
		a, b := Wrap(s, SerifBold, 5, width), Balance(s, SerifBold, 5, width)
		if len(a) != len(b) || strings.Join(b, " ") != s {
			t.Errorf("width %v: %q became %q", width, a, b)
		}
	}
}

// A letter that no font has is an ellipsis, one for a whole stretch, and never the box
// that fonts keep for what they lack (their first glyph).
func TestWhatFontsLackIsNoBox(t *testing.T) {
	for _, f := range Fonts() {
		dots := faces[f]().shape("…")[0].glyph
		for s, want := range map[string]int{"王小明": 1, "Ida 王 小明 K": 8, "🤺🏽\u200d♂\ufe0f": 1, "A\u200bB": 2, "e\u0301": 1, "\xff": 1, "עבר": 1, "a\x00b": 2} {
			got := faces[f]().shape(s)
			n := 0
			for _, g := range got {
				if g.glyph == 0 {
					t.Errorf("font %d: %q is drawn with a box", f, s)
				}
				if g.glyph == dots {
					n++
				}
			}
			if len(got) != want || n > 1 {
				t.Errorf("font %d: %q is drawn with %d shapes, %d of them ellipses; want %d", f, s, len(got), n, want)
			}
		}
	}
	if got := string(Lacks("Öberg 王, 王 O\u0308\u200d🤺", Sans)); got != "王🤺" {
		t.Errorf("lacking are %q", got)
	}
}

// A word without a space is broken where the line is full, and nothing of it is lost.
func TestALongWordIsBroken(t *testing.T) {
	word := strings.Repeat("Donaudampfschiff", 20)
	lines := Wrap("Left "+word+" hit", Sans, 4, 60)
	if strings.Join(lines, "") != "Left"+word+" hit" {
		t.Errorf("letters are lost or added: %q", lines)
	}
	for _, l := range lines {
		if w := (Text{S: l, Font: Sans, Size: 4}).Width(); w > 60 {
			t.Errorf("%q is %v wide", l, w)
		}
	}
	if got := Wrap("1.42\u00a0±\u00a00.06\u00a0m", Sans, 4, 5); len(got) != 1 {
		t.Errorf("a number is parted: %q", got)
	}
}
