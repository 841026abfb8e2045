package draw

import (
	"fmt"
	"math"
)

// Colour is an sRGB colour with straight (not premultiplied) opacity. The zero
// Colour is fully transparent and draws nothing.
type Colour struct{ R, G, B, A uint8 }

// Hex returns the opaque colour 0xRRGGBB.
func Hex(rgb uint32) Colour {
	return Colour{uint8(rgb >> 16), uint8(rgb >> 8), uint8(rgb), 255}
}

// Fade returns the colour with its opacity multiplied by share, between 0 and 1.
func (c Colour) Fade(share float64) Colour {
	share = math.Min(1, math.Max(0, share))
	c.A = uint8(math.Round(float64(c.A) * share))
	return c
}

// Over returns the opaque colour that c gives on an opaque ground.
func (c Colour) Over(ground Colour) Colour {
	mix := func(a, b uint8) uint8 {
		t := float64(c.A) / 255
		return uint8(math.Round(float64(a)*t + float64(b)*(1-t)))
	}
	return Colour{mix(c.R, ground.R), mix(c.G, ground.G), mix(c.B, ground.B), 255}
}

// CSS returns the colour as #rrggbb, without its opacity.
func (c Colour) CSS() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// Theme is the set of colours of one ground; Themes lists them. Every colour that
// carries words reaches a contrast of 4.5 to 1 on ground and raised (tested).
type Theme struct {
	// Name of the theme, as options write it.
	Name string
	// Ground is what everything stands on; Raised is a panel laid on it.
	Ground, Raised Colour
	// Ink is for what is read first, Quiet (dark steel) for what is read after
	// it, Rule (steel) for hairlines and axes, Faint (light steel) for fills.
	Ink, Quiet, Rule, Faint Colour
	// Brass marks what is asked for, selected or live, and nothing else.
	Brass Colour
	// Left and Right are the two fencers, told apart by shape and side as well.
	Left, Right Colour
	// LampRed and LampGreen belong to the lamps of the apparatus and always stand
	// beside the word.
	LampRed, LampGreen Colour
}

// Paper is the printed page: warm paper and ink.
func Paper() Theme {
	return Theme{
		Name:   "paper",
		Ground: Hex(0xfaf6ee), Raised: Hex(0xf2ecdf),
		Ink: Hex(0x26221d), Quiet: Hex(0x5c6168), Rule: Hex(0x9aa0a5), Faint: Hex(0xe2dfd8),
		Brass: Hex(0x8a5f14), Left: Hex(0x1b5fa6), Right: Hex(0xb24a0c),
		LampRed: Hex(0xc0261c), LampGreen: Hex(0x1c7a36),
	}
}

// Night is the same page on a dark ground.
func Night() Theme {
	return Theme{
		Name:   "night",
		Ground: Hex(0x17191c), Raised: Hex(0x202327),
		Ink: Hex(0xece6da), Quiet: Hex(0xa3a9af), Rule: Hex(0x6b7278), Faint: Hex(0x33373c),
		Brass: Hex(0xd9a441), Left: Hex(0x66b0f5), Right: Hex(0xf28c3a),
		LampRed: Hex(0xf0574a), LampGreen: Hex(0x45b866),
	}
}

// Stage is what surrounds and lies on a picture: neutral and dark, so that the
// whites of the kit and thin blades can be read.
func Stage() Theme {
	t := Night()
	t.Name = "stage"
	t.Ground, t.Raised = Hex(0x141517), Hex(0x1e2023)
	t.Ink, t.Left, t.Right = Hex(0xf4f1ea), Hex(0x74b9ff), Hex(0xff9440)
	return t
}

// Print is the page on white paper, safe without colour: left is dark and right is a
// middle tone, so that a grey copy keeps them apart by lightness (tested), besides their
// shapes and sides. Lines keep their own styles: a dash means something already, and does
// not mean a fencer.
func Print() Theme {
	return Theme{
		Name:   "print",
		Ground: Hex(0xffffff), Raised: Hex(0xf4f4f4),
		Ink: Hex(0x000000), Quiet: Hex(0x4a4a4a), Rule: Hex(0x8c8c8c), Faint: Hex(0xdcdcdc),
		Brass: Hex(0x6e4a00), Left: Hex(0x08306b), Right: Hex(0xad5200),
		LampRed: Hex(0xa81a12), LampGreen: Hex(0x1c7a36),
	}
}

// Video is for moving pictures and slides: a dark neutral ground with more contrast than
// the stage, because compression and projectors take some of it away. Its white is below
// the brightest that a screen can show, so that text does not flare.
func Video() Theme {
	return Theme{
		Name:   "video",
		Ground: Hex(0x101214), Raised: Hex(0x1d2125),
		Ink: Hex(0xf7f5f1), Quiet: Hex(0xc3c8cd), Rule: Hex(0x8a9199), Faint: Hex(0x3a3f45),
		Brass: Hex(0xf2c14e), Left: Hex(0x7cc0ff), Right: Hex(0xff9f45),
		LampRed: Hex(0xff6a5c), LampGreen: Hex(0x5fd07a),
	}
}

// Themes lists every theme.
func Themes() []Theme { return []Theme{Paper(), Night(), Stage(), Print(), Video()} }

// Themed returns the theme of this name; the second result is false for a name
// that is not one.
func Themed(name string) (Theme, bool) {
	for _, t := range Themes() {
		if t.Name == name {
			return t, true
		}
	}
	return Theme{}, false
}
