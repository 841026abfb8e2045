package sheet

import (
	"strings"

	"mesure/show/draw"
)

// word is what stands between two spaces: stretches in their fonts.
type word struct {
	bits  []bit
	width draw.MM
}

type bit struct {
	s    string
	bold bool
}

// type_ is a font with its bold one.
type face struct{ plain, bold draw.Font }

var (
	serif = face{draw.Serif, draw.SerifBold}
	sans  = face{draw.Sans, draw.SansBold}
)

func (f face) of(bold bool) draw.Font {
	if bold {
		return f.bold
	}
	return f.plain
}

func wide(s string, f draw.Font, size draw.MM) draw.MM {
	return draw.Text{S: s, Font: f, Size: size}.Width()
}

// wrapped breaks a sentence into lines no wider than width. A number with its doubt and
// unit is not broken; a word longer than a line is, anywhere.
func wrapped(l line, f face, size, width draw.MM) [][]bit {
	var ws []word
	var w word
	flush := func() {
		if len(w.bits) > 0 {
			ws = append(ws, w)
		}
		w = word{}
	}
	for _, s := range l {
		text := s.Text
		if s.Ref != "" {
			text = strings.ReplaceAll(text, " ", "\u00a0")
		}
		for i, bitText := range strings.FieldsFunc(" "+text+" ", func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
			if i > 0 || strings.HasPrefix(text, " ") {
				flush()
			}
			w.bits = append(w.bits, bit{bitText, s.Bold})
			w.width += wide(bitText, f.of(s.Bold), size)
		}
		if strings.HasSuffix(text, " ") {
			flush()
		}
	}
	flush()
	space := wide("\u00a0", f.plain, size)
	var lines [][]bit
	var now []bit
	at := draw.MM(0)
	for _, w := range broken(ws, f, size, width) {
		if len(now) > 0 && at+space+w.width > width {
			lines, now, at = append(lines, now), nil, 0
		}
		if len(now) > 0 {
			now = append(now, bit{" ", now[len(now)-1].bold && w.bits[0].bold})
			at += space
		}
		now, at = append(now, w.bits...), at+w.width
	}
	if len(now) > 0 {
		lines = append(lines, now)
	}
	return lines
}

// broken cuts words that are wider than a line.
func broken(ws []word, f face, size, width draw.MM) []word {
	var out []word
	for _, w := range ws {
		if w.width <= width {
			out = append(out, w)
			continue
		}
		for _, b := range w.bits {
			font := f.of(b.bold)
			cur, at := "", draw.MM(0)
			for _, r := range b.s {
				rw := wide(string(r), font, size)
				if cur != "" && at+rw > width {
					out = append(out, word{[]bit{{cur, b.bold}}, at})
					cur, at = "", 0
				}
				cur, at = cur+string(r), at+rw
			}
			out = append(out, word{[]bit{{cur, b.bold}}, at})
		}
	}
	return out
}

// set writes one line with its baseline at y; what stands in one font is one text.
func set(g *draw.Group, bits []bit, f face, size, x, y draw.MM, c draw.Colour) {
	for i := 0; i < len(bits); {
		s, bold := bits[i].s, bits[i].bold
		for i++; i < len(bits) && bits[i].bold == bold; i++ {
			s += bits[i].s
		}
		t := draw.Text{At: draw.Pt{X: x, Y: y}, S: s, Font: f.of(bold), Size: size, Colour: c}
		g.Text(t)
		x += t.Width()
	}
}

// block of text that is set at once: lines, and how high they are.
type textBlock struct {
	lines [][]bit
	face  face
	size  draw.MM
	color draw.Colour
}

func blockOf(l line, f face, size, width draw.MM, c draw.Colour) textBlock {
	return textBlock{wrapped(l, f, size, width), f, size, c}
}

func (b textBlock) height() draw.MM { return draw.MM(len(b.lines)) * b.size * leading }

func (b textBlock) set(g *draw.Group, x, y draw.MM) {
	for i, l := range b.lines {
		set(g, l, b.face, b.size, x, y+b.size*(0.5+leading/2)-b.size*0.16+draw.MM(i)*b.size*leading, b.color)
	}
}

// paragraph is set line by line: two lines at least stand together at both ends.
func (f *flow) paragraph(l line, font draw.Font, size draw.MM, c draw.Colour, before draw.MM, role draw.Role) {
	fc := serif
	if font == draw.Sans || font == draw.SansBold {
		fc = sans
	}
	if font == draw.SerifBold || font == draw.SansBold {
		fc.plain = fc.bold
	}
	b := blockOf(l, fc, size, textWidth, c)
	p := &part{role: role}
	n := len(b.lines)
	heading := role == draw.RoleH1 || role == draw.RoleH2 || role == draw.RoleH3
	for i := range b.lines {
		one := textBlock{b.lines[i : i+1], fc, size, c}
		s := slab{height: size * leading, part: p, draw: func(g, _ *draw.Group, x, y draw.MM) { one.set(g, x, y) }}
		s.keep = heading || i == 0 && n > 1 || i == n-2
		if i == 0 {
			s.before = before
		}
		f.add(s)
	}
}

// together makes the slabs from one on stay together, and with what follows if last.
func (f *flow) together(from int, last bool) {
	for i := from; i < len(f.slabs); i++ {
		f.slabs[i].keep = last || i < len(f.slabs)-1
	}
}
