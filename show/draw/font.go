package draw

import (
	"embed"
	"fmt"
	"slices"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Font is one of the embedded fonts. Both families have tabular figures: all
// digits are equally wide.
type Font uint8

// The fonts: a text serif for sentences and a humanist sans for labels, numbers
// and controls. Both are subsets of open fonts (SIL Open Font License, texts in
// fonts/) for Latin, Greek and Cyrillic, renamed as the licence asks.
const (
	Serif Font = iota
	SerifItalic
	SerifBold
	Sans
	SansBold
	fontCount
)

var fontNames = [fontCount]struct{ file, family, style, weight string }{
	Serif:       {"text-regular", "Mesure Text", "normal", "400"},
	SerifItalic: {"text-italic", "Mesure Text", "italic", "400"},
	SerifBold:   {"text-semibold", "Mesure Text", "normal", "600"},
	Sans:        {"sans-regular", "Mesure Sans", "normal", "400"},
	SansBold:    {"sans-semibold", "Mesure Sans", "normal", "600"},
}

//go:embed fonts/*.ttf fonts/OFL-*.txt
var fontFiles embed.FS

// Fonts lists all fonts.
func Fonts() []Font { return []Font{Serif, SerifItalic, SerifBold, Sans, SansBold} }

// Family, Style and Weight are the words that CSS uses for the font.
func (f Font) Family() string { return fontNames[f].family }

// Style returns "normal" or "italic".
func (f Font) Style() string { return fontNames[f].style }

// Weight returns "400" or "600".
func (f Font) Weight() string { return fontNames[f].weight }

// File returns the font as a TrueType file.
func (f Font) File() []byte {
	b, err := fontFiles.ReadFile("fonts/" + fontNames[f].file + ".ttf")
	if err != nil {
		panic(fmt.Sprintf("draw: embedded font: %v", err))
	}
	return b
}

// Licence returns the licence text of the font.
func (f Font) Licence() string {
	name := "fonts/OFL-text.txt"
	if f == Sans || f == SansBold {
		name = "fonts/OFL-sans.txt"
	}
	b, err := fontFiles.ReadFile(name)
	if err != nil {
		panic(fmt.Sprintf("draw: embedded licence: %v", err))
	}
	return string(b)
}

// face is a parsed font with what has been read of it so far.
type face struct {
	mu       sync.Mutex
	sfnt     *sfnt.Font
	buf      sfnt.Buffer
	upem     int
	outlines map[sfnt.GlyphIndex]*Path // in font units, y down
	// What was looked up of letters and pairs: words are measured again and again
	// while they are broken into lines, and looking up a kern walks the font.
	letters map[rune]letter
	kerns   map[[2]sfnt.GlyphIndex]int
}

// letter is the glyph of a character and its width in font units.
type letter struct {
	glyph sfnt.GlyphIndex
	adv   int
}

// letter returns the letter of a character; the caller holds the lock.
func (f *face) letter(r rune) letter {
	if l, ok := f.letters[r]; ok {
		return l
	}
	g, err := f.sfnt.GlyphIndex(&f.buf, r)
	if err != nil {
		g = 0
	}
	adv, err := f.sfnt.GlyphAdvance(&f.buf, g, f.ppem(), font.HintingNone)
	if err != nil {
		panic(fmt.Sprintf("draw: embedded font has no width for %q: %v", r, err))
	}
	l := letter{g, adv.Round()}
	if len(f.letters) < mostLetters {
		f.letters[r] = l
	}
	return l
}

// spaceGlyph is the glyph of a space.
func (f *face) spaceGlyph() letter {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.letter(' ')
}

// mostLetters bounds what is kept of characters that no font has.
const mostLetters = 4096

// kern returns by how much the second glyph moves; the caller holds the lock.
func (f *face) kern(a, b sfnt.GlyphIndex) int {
	pair := [2]sfnt.GlyphIndex{a, b}
	if k, ok := f.kerns[pair]; ok {
		return k
	}
	by := 0
	if k, err := f.sfnt.Kern(&f.buf, a, b, f.ppem(), font.HintingNone); err == nil {
		by = k.Round()
	}
	f.kerns[pair] = by
	return by
}

var faces [fontCount]func() *face

func init() {
	for i := range faces {
		f := Font(i)
		faces[i] = sync.OnceValue(func() *face {
			s, err := sfnt.Parse(f.File())
			if err != nil {
				panic(fmt.Sprintf("draw: embedded font %s: %v", fontNames[f].file, err))
			}
			return &face{sfnt: s, upem: int(s.UnitsPerEm()), outlines: map[sfnt.GlyphIndex]*Path{},
				letters: map[rune]letter{}, kerns: map[[2]sfnt.GlyphIndex]int{}}
		})
	}
}

func (f *face) ppem() fixed.Int26_6 { return fixed.I(f.upem) }

// shape lays the text out on one line, in font units. Letters with accents that stand
// apart are put together (Unicode, form NFC); characters that only steer are left out; a
// stretch of others that the font lacks shows as one ellipsis, never as an empty box.
func (f *face) shape(s string) []placed {
	s = norm.NFC.String(s)
	f.mu.Lock()
	defer f.mu.Unlock()
	out := make([]placed, 0, len(s))
	x, prev := 0, sfnt.GlyphIndex(0)
	lacking := false
	for _, r := range s {
		if steers(r) {
			continue
		}
		l := f.letter(r)
		if l.glyph == 0 {
			if lacking {
				continue
			}
			lacking = true
			r = lost
			l = f.letter(r)
		} else if r != ' ' && r != '\u00a0' {
			lacking = false
		}
		if len(out) > 0 {
			x += f.kern(prev, l.glyph)
		}
		out = append(out, placed{glyph: l.glyph, r: r, x: x, adv: l.adv})
		x += l.adv
		prev = l.glyph
	}
	return out
}

// lost stands for what a font lacks.
const lost = '…'

// steers says that a character has no shape of its own: marks of direction, joiners,
// selectors of a variant, controls.
func steers(r rune) bool {
	if r < 0x250 { // Latin: looked at for every letter that is measured
		return r < 0x20 || r >= 0x7f && r < 0xa0 || r == 0xad
	}
	return unicode.In(r, unicode.Cf, unicode.Cc, unicode.Variation_Selector)
}

// Lacks returns the characters of a text that the font has no shape for, each once, in
// the order met: Text writes an ellipsis in their place.
func Lacks(s string, f Font) []rune {
	face := faces[f]()
	face.mu.Lock()
	defer face.mu.Unlock()
	var all []rune
	for _, r := range norm.NFC.String(s) {
		if !steers(r) && face.letter(r).glyph == 0 && !slices.Contains(all, r) {
			all = append(all, r)
		}
	}
	return all
}

// outline returns the shape of a glyph in font units, y down.
func (f *face) outline(g sfnt.GlyphIndex) *Path {
	f.mu.Lock()
	defer f.mu.Unlock()
	if p, ok := f.outlines[g]; ok {
		return p
	}
	segs, err := f.sfnt.LoadGlyph(&f.buf, g, f.ppem(), nil)
	if err != nil {
		panic(fmt.Sprintf("draw: embedded font has no outline for glyph %d: %v", g, err))
	}
	p := new(Path)
	pt := func(q fixed.Point26_6) (MM, MM) { return MM(q.X) / 64, MM(q.Y) / 64 }
	for _, s := range segs {
		x, y := pt(s.Args[0])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if !p.Empty() {
				p.Close()
			}
			p.Move(x, y)
		case sfnt.SegmentOpLineTo:
			p.Line(x, y)
		case sfnt.SegmentOpQuadTo:
			bx, by := pt(s.Args[1])
			p.Quad(x, y, bx, by)
		case sfnt.SegmentOpCubeTo:
			bx, by := pt(s.Args[1])
			cx, cy := pt(s.Args[2])
			p.Curve(x, y, bx, by, cx, cy)
		}
	}
	if !p.Empty() {
		p.Close()
	}
	f.outlines[g] = p
	return p
}
