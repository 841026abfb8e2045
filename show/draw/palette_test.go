package draw

import (
	"math"
	"testing"
)

// linear undoes the sRGB transfer (IEC 61966-2-1).
func linear(c Colour) [3]float64 {
	f := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return [3]float64{f(c.R), f(c.G), f(c.B)}
}

// luminance and contrast are those of WCAG 2.1, "relative luminance" and
// "contrast ratio".
func luminance(c Colour) float64 {
	l := linear(c)
	return 0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2]
}

func contrast(a, b Colour) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// Contrast of black on white is 21 and of #777777 on white 4.48: the figures
// that WCAG's own explanations give.
func TestContrastIsThatOfWCAG(t *testing.T) {
	if c := contrast(Hex(0), Hex(0xffffff)); math.Abs(c-21) > 1e-9 {
		t.Errorf("black on white: %v", c)
	}
	if c := contrast(Hex(0x777777), Hex(0xffffff)); math.Abs(c-4.48) > 0.005 {
		t.Errorf("grey on white: %v", c)
	}
}

func TestWordsAndMarksStandOutFromTheGround(t *testing.T) {
	for _, th := range Themes() {
		for _, ground := range []Colour{th.Ground, th.Raised} {
			for name, c := range map[string]Colour{"ink": th.Ink, "quiet": th.Quiet, "brass": th.Brass, "left": th.Left,
				"right": th.Right, "lamp red": th.LampRed, "lamp green": th.LampGreen} {
				if got := contrast(c, ground); got < 4.5 {
					t.Errorf("%s: %s has contrast %.2f, words need 4.5", th.Name, name, got)
				}
			}
		}
		if got := contrast(th.Rule, th.Ground); got < 2.2 {
			t.Errorf("%s: a rule has contrast %.2f", th.Name, got)
		}
	}
}

// deficiencies are the full protan, deutan and tritan matrices of G. M. Machado,
// M. M. Oliveira and L. A. F. Fernandes, "A physiologically-based model for
// simulation of color vision deficiency", IEEE TVCG 15(6), 2009, severity 1.0,
// for linear RGB. Rows sum to 1, so that grey stays grey (tested).
var deficiencies = map[string][3][3]float64{
	"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritan": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	"none":   {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
}

// lab returns CIE 1976 L*a*b* for the D65 white.
func lab(l [3]float64) [3]float64 {
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x := f((0.4124*l[0] + 0.3576*l[1] + 0.1805*l[2]) / 0.9505)
	y := f(0.2126*l[0] + 0.7152*l[1] + 0.0722*l[2])
	z := f((0.0193*l[0] + 0.1192*l[1] + 0.9505*l[2]) / 1.0890)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// seenApart is the distance in CIE 1976 between two colours as they are seen
// with a deficiency.
func seenApart(a, b Colour, m [3][3]float64) float64 {
	see := func(c Colour) [3]float64 {
		l := linear(c)
		var out [3]float64
		for i := range 3 {
			v := m[i][0]*l[0] + m[i][1]*l[1] + m[i][2]*l[2]
			out[i] = math.Max(0, math.Min(1, v))
		}
		return lab(out)
	}
	p, q := see(a), see(b)
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

// clearlyApart is a distance at which nobody takes one patch for the other:
// some twenty times the just noticeable difference of about 2.3.
const clearlyApart = 45

func TestTheTwoFencersAreToldApartWithAnyColourVision(t *testing.T) {
	checked := 0
	for _, th := range Themes() {
		for name, m := range deficiencies {
			if d := seenApart(th.Left, th.Right, m); d < clearlyApart {
				t.Errorf("%s: left and right are %.0f apart with vision %s", th.Name, d, name)
			}
			checked++
		}
	}
	if checked == 0 {
		t.Error("no theme was checked")
	}
}

func TestTheCheckOfColourVisionCanFail(t *testing.T) {
	for name, m := range deficiencies {
		for i, row := range m {
			if sum := row[0] + row[1] + row[2]; math.Abs(sum-1) > 2e-6 {
				t.Errorf("%s: row %d sums to %v", name, i, sum)
			}
		}
	}
	// A red and a green of like lightness are the pair that deutans confuse.
	red, green := Hex(0xb06030), Hex(0x6a7a2c)
	if d := seenApart(red, green, deficiencies["deutan"]); d > 20 {
		t.Errorf("a red and a green are %.0f apart with vision deutan", d)
	}
	if d := seenApart(red, green, deficiencies["none"]); d < 40 {
		t.Errorf("a red and a green are %.0f apart with full vision", d)
	}
}

func TestOverAndFade(t *testing.T) {
	if got := Hex(0x000000).Fade(0.5).Over(Hex(0xffffff)); got != Hex(0x7f7f7f) {
		t.Errorf("half black on white is %s", got.CSS())
	}
	if got := Hex(0x123456).Fade(2); got.A != 255 {
		t.Errorf("faded by more than one: %v", got)
	}
}

func TestThemesHaveNames(t *testing.T) {
	for _, n := range []string{"paper", "night", "stage", "print", "video"} {
		if th, ok := Themed(n); !ok || th.Name != n {
			t.Errorf("no theme %q", n)
		}
	}
	if _, ok := Themed("neon"); ok {
		t.Error("a theme that does not exist")
	}
}
