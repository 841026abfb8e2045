package draw

import (
	"sort"
	"strings"
	"unicode"

	"golang.org/x/image/font/sfnt"
)

// Anchor says which part of a line of text stands at its point.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text; At is on its baseline.
type Text struct {
	At     Pt
	S      string
	Font   Font
	Size   MM // of the em
	Colour Colour
	Anchor Anchor
	// Halo is drawn around the letters, HaloWidth wide, so that they can be read
	// on any picture.
	Halo      Colour
	HaloWidth MM
	// Track is extra space after each letter as a share of Size.
	Track float64
}

// placed is one glyph of a line, in font units from the start of the line.
type placed struct {
	glyph sfnt.GlyphIndex
	r     rune
	x     int
	adv   int
}

// run is a line of text laid out: glyphs in font units and their scale.
type run struct {
	glyphs []placed
	x      MM // where the line starts
	scale  float64
	width  MM
}

func (t Text) layout() run {
	f := faces[t.Font]()
	g := f.shape(t.S)
	extra := int(t.Track*float64(f.upem) + 0.5)
	for i := range g {
		g[i].x += i * extra
	}
	r := run{glyphs: g, scale: float64(t.Size) / float64(f.upem)}
	if n := len(g); n > 0 {
		r.width = MM(float64(g[n-1].x+g[n-1].adv) * r.scale)
	}
	r.x = t.At.X
	switch t.Anchor {
	case Middle:
		r.x -= r.width / 2
	case End:
		r.x -= r.width
	}
	return r
}

// Width returns how wide the line is.
func (t Text) Width() MM { return t.layout().width }

// Heights of the letters as shares of the size of the em, in both families
// (measured on the embedded fonts; a test measures them again).
const (
	CapShare     = 0.66
	XShare       = 0.48
	DescentShare = 0.21
)

// Box returns the box of the line: from the height of capitals down to the
// depth of descenders.
func (t Text) Box() Box {
	r := t.layout()
	return Box{r.x, t.At.Y - t.Size*CapShare, r.width, t.Size * (CapShare + DescentShare)}
}

// Text writes one line of text.
func (g *Group) Text(t Text) {
	if t.S == "" || t.Size <= 0 || (t.Colour.A == 0 && t.Halo.A == 0) {
		return
	}
	g.items = append(g.items, &textItem{t, t.layout()})
}

// Wrap breaks a text into lines no wider than width, between words where that is possible.
// A newline always breaks, a no-break space never does; a word that is wider than a line
// is broken where the line is full.
func Wrap(s string, f Font, size, width MM) []string {
	var lines []string
	for _, part := range strings.Split(s, "\n") {
		line := ""
		for _, word := range strings.FieldsFunc(part, func(r rune) bool { return r == ' ' || r == '\t' }) {
			for {
				head, rest := tooWide(word, f, size, width)
				if rest == "" {
					break
				}
				if line != "" {
					lines = append(lines, line)
				}
				line, word = "", rest
				lines = append(lines, head)
			}
			longer := word
			if line != "" {
				longer = line + " " + word
			}
			if line != "" && (Text{S: longer, Font: f, Size: size}).Width() > width {
				lines = append(lines, line)
				line = word
				continue
			}
			line = longer
		}
		lines = append(lines, line)
	}
	return lines
}

// longWord is from how many bytes on a word is looked at: a number with its doubt and unit
// is shorter, and never parted.
const longWord = 40

// tooWide parts a long word that is wider than a line, after as many letters as the line
// holds; rest is empty for any other.
func tooWide(word string, f Font, size, width MM) (head, rest string) {
	if len(word) < longWord || !(width > size) || (Text{S: word, Font: f, Size: size}).Width() <= width {
		return word, ""
	}
	letters := []rune(word)
	n := sort.Search(len(letters)-1, func(n int) bool {
		return (Text{S: string(letters[:n+1]), Font: f, Size: size}).Width() > width
	})
	n = max(n, 1)
	for n > 1 && n < len(letters) && (unicode.IsMark(letters[n]) || steers(letters[n])) {
		n-- // a mark stays with its letter
	}
	return string(letters[:n]), string(letters[n:])
}

// Balance breaks a text into as few lines as Wrap, of widths as even as they can
// be: for titles, where a last word alone on its line looks lost.
func Balance(s string, f Font, size, width MM) []string {
	lines := Wrap(s, f, size, width)
	n := len(lines)
	if n < 2 || !(size > 0) {
		return lines
	}
	// Narrower never takes fewer lines, so the narrowest that takes no more is found
	// by halving.
	at := func(k int) []string { return Wrap(s, f, size, width-MM(k)*size/2) }
	most := int((width-size)/(size/2)) + 1
	k := sort.Search(most, func(k int) bool { return len(at(k+1)) > n || width-MM(k+1)*size/2 <= size })
	if k > 0 {
		lines = at(k)
	}
	return lines
}

// Paragraph writes a text as lines of at most width, the first baseline at t.At
// and the others leading apart, and returns the y of the last baseline.
func (g *Group) Paragraph(t Text, width, leading MM) MM {
	y := t.At.Y
	for i, l := range Wrap(t.S, t.Font, t.Size, width) {
		y = t.At.Y + MM(i)*leading
		line := t
		line.S, line.At.Y = l, y
		g.Text(line)
	}
	return y
}

// Lines returns every line of text of the group in the order drawn, as it was
// written: groups that are moved hold their lines in their own frame.
func (g *Group) Lines() []Text {
	var all []Text
	for _, it := range g.items {
		switch it := it.(type) {
		case *textItem:
			all = append(all, it.text)
		case *Group:
			all = append(all, it.Lines()...)
		}
	}
	return all
}
