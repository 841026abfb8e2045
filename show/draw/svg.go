package draw

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"hash/fnv"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"sort"
	"strconv"
	"strings"

	"golang.org/x/image/font/sfnt"
)

// photoQuality is the JPEG quality of photographs inside SVG and PDF.
const photoQuality = 85

// encode returns the picture as a file, with its media type.
func (p Picture) encode() ([]byte, string, error) {
	var b bytes.Buffer
	if p.Photo {
		err := jpeg.Encode(&b, p.Image, &jpeg.Options{Quality: photoQuality})
		return b.Bytes(), "image/jpeg", err
	}
	err := png.Encode(&b, p.Image)
	return b.Bytes(), "image/png", err
}

// num writes a number with at most three decimals: a thousandth of a millimetre.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

var xmlText = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// xmlClean escapes a text and drops the characters that XML cannot hold.
func xmlClean(s string) string {
	return xmlText.Replace(strings.Map(func(r rune) rune {
		if r == '\t' || r == '\n' || (r >= 0x20 && r != 0xfffe && r != 0xffff) {
			return r
		}
		return -1
	}, s))
}

type glyphKey struct {
	font  Font
	glyph sfnt.GlyphIndex
}

type svgWriter struct {
	body   strings.Builder
	defs   strings.Builder // clip paths, in the order met
	glyphs map[glyphKey]bool
	clips  int
	indent int
	words  bool // text stays text
	err    error
}

// SVG writes the drawing as an SVG 1.1 file. The file needs nothing outside
// itself. Its ids begin with a hash of what it shows, so that several drawings
// can stand in one page.
func (d *Drawing) SVG(w io.Writer) error {
	head := fmt.Sprintf("<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" version=\"1.1\" width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\">\n<title>%s</title>\n<desc>%s</desc>\n",
		num(float64(d.W)), num(float64(d.H)), num(float64(d.W)), num(float64(d.H)), xmlClean(d.Title), xmlClean(d.Desc))
	return d.writeSVG(w, head, false)
}

// InlineSVG writes the drawing as an svg element for an HTML page, with these
// classes and as wide as its surroundings let it. It is one image to a screen
// reader, whose text is the title and the description.
func (d *Drawing) InlineSVG(w io.Writer, class string) error {
	return d.inline(w, class, false)
}

// PageSVG is InlineSVG with its text as text, in the fonts by their families: for
// a page that has them loaded. It is several times smaller, and made for pictures
// that are redrawn under the hand.
func (d *Drawing) PageSVG(w io.Writer, class string) error {
	return d.inline(w, class, true)
}

func (d *Drawing) inline(w io.Writer, class string, words bool) error {
	label := d.Title
	if d.Desc != "" {
		label += ". " + d.Desc
	}
	head := fmt.Sprintf("<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" class=\"%s\" role=\"img\" aria-label=\"%s\" viewBox=\"0 0 %s %s\">\n",
		xmlClean(class), xmlClean(label), num(float64(d.W)), num(float64(d.H)))
	return d.writeSVG(w, head, words)
}

func (d *Drawing) writeSVG(w io.Writer, head string, words bool) error {
	s := &svgWriter{glyphs: map[glyphKey]bool{}, indent: 1, words: words}
	if d.Ground.A > 0 {
		s.fill(Box{0, 0, d.W, d.H}.Path(), d.Ground)
	}
	s.group(&d.Group)
	if s.err != nil {
		return s.err
	}
	h := fnv.New32a()
	io.WriteString(h, d.Title+"\x00"+s.defs.String()+s.body.String())
	prefix := fmt.Sprintf("m%08x", h.Sum32())

	var out strings.Builder
	out.WriteString(head)
	if defs := s.glyphDefs() + s.defs.String(); defs != "" {
		out.WriteString("<defs>\n" + defs + "</defs>\n")
	}
	out.WriteString(s.body.String() + "</svg>\n")
	_, err := io.WriteString(w, strings.ReplaceAll(out.String(), idMark, prefix))
	return err
}

// idMark stands for the prefix of ids until it is known. It cannot occur in a
// text because xmlClean drops it.
const idMark = "\x01"

func (s *svgWriter) glyphDefs() string {
	keys := make([]glyphKey, 0, len(s.glyphs))
	for k := range s.glyphs {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i].font != keys[j].font {
			return keys[i].font < keys[j].font
		}
		return keys[i].glyph < keys[j].glyph
	})
	var b strings.Builder
	for _, k := range keys {
		fmt.Fprintf(&b, "<path id=\"%s\" d=\"%s\"/>\n", glyphID(k), pathData(faces[k.font]().outline(k.glyph)))
	}
	return b.String()
}

func glyphID(k glyphKey) string { return fmt.Sprintf("%sg%d-%d", idMark, k.font, k.glyph) }

func (s *svgWriter) line(format string, args ...any) {
	s.body.WriteString(strings.Repeat(" ", s.indent))
	fmt.Fprintf(&s.body, format, args...)
	s.body.WriteByte('\n')
}

func (s *svgWriter) group(g *Group) {
	open := ""
	if g.moved {
		open += " transform=\"" + transform(g.m) + "\""
	}
	if g.clip != nil {
		id := fmt.Sprintf("%sc%d", idMark, s.clips)
		s.clips++
		fmt.Fprintf(&s.defs, "<clipPath id=\"%s\"><path d=\"%s\"/></clipPath>\n", id, pathData(g.clip))
		open += " clip-path=\"url(#" + id + ")\""
	}
	if open != "" {
		if len(g.items) == 0 {
			return
		}
		s.line("<g%s>", open)
		s.indent++
		defer func() { s.indent--; s.line("</g>") }()
	}
	for _, it := range g.items {
		switch it := it.(type) {
		case *fillItem:
			s.fill(it.path, it.colour)
		case *strokeItem:
			s.stroke(it.path, it.pen)
		case *textItem:
			s.text(it)
		case *pictureItem:
			s.picture(it)
		case *Group:
			s.group(it)
		}
	}
}

func (s *svgWriter) fill(p *Path, c Colour) {
	s.line("<path d=\"%s\"%s/>", pathData(p), paint("fill", c))
}

func (s *svgWriter) stroke(p *Path, pen Pen) {
	a := paint("stroke", pen.Colour) + fmt.Sprintf(" stroke-width=\"%s\"", num(float64(pen.Width)))
	if len(pen.Dash) > 0 {
		var d []string
		for _, v := range pen.Dash {
			d = append(d, num(float64(v)))
		}
		a += " stroke-dasharray=\"" + strings.Join(d, ",") + "\""
	}
	switch pen.Cap {
	case RoundCap:
		a += ` stroke-linecap="round"`
	case Square:
		a += ` stroke-linecap="square"`
	}
	if pen.Corner == RoundCorner {
		a += ` stroke-linejoin="round"`
	}
	s.line("<path d=\"%s\" fill=\"none\"%s/>", pathData(p), a)
}

func (s *svgWriter) text(it *textItem) {
	t, r := it.text, it.run
	if s.words {
		s.plainText(t, r)
		return
	}
	var uses strings.Builder
	f := faces[t.Font]()
	for _, g := range r.glyphs {
		if f.outline(g.glyph).Empty() {
			continue
		}
		k := glyphKey{t.Font, g.glyph}
		s.glyphs[k] = true
		fmt.Fprintf(&uses, "<use xlink:href=\"#%s\" x=\"%d\"/>", glyphID(k), g.x)
	}
	if uses.Len() == 0 {
		return
	}
	scale := strconv.FormatFloat(r.scale, 'g', 6, 64)
	s.line("<g transform=\"translate(%s,%s) scale(%s)\"><desc>%s</desc>", num(float64(r.x)), num(float64(t.At.Y)), scale, xmlClean(t.S))
	if t.Halo.A > 0 && t.HaloWidth > 0 {
		s.line("<g%s%s stroke-width=\"%s\" stroke-linejoin=\"round\">%s</g>", paint("fill", t.Halo), paint("stroke", t.Halo),
			num(2*float64(t.HaloWidth)/r.scale), uses.String())
	}
	s.line("<g%s>%s</g></g>", paint("fill", t.Colour), uses.String())
}

// plainText writes a line of text as text, where the outlines would start it.
func (s *svgWriter) plainText(t Text, r run) {
	a := fmt.Sprintf(" x=\"%s\" y=\"%s\" font-family=\"%s\" font-size=\"%s\"", num(float64(r.x)), num(float64(t.At.Y)), t.Font.Family(), num(float64(t.Size)))
	if t.Font.Weight() != "400" {
		a += fmt.Sprintf(" font-weight=\"%s\"", t.Font.Weight())
	}
	if t.Font.Style() != "normal" {
		a += fmt.Sprintf(" font-style=\"%s\"", t.Font.Style())
	}
	if t.Track != 0 {
		a += fmt.Sprintf(" letter-spacing=\"%s\"", num(t.Track*float64(t.Size)))
	}
	if t.Halo.A > 0 && t.HaloWidth > 0 {
		a += fmt.Sprintf("%s stroke-width=\"%s\" stroke-linejoin=\"round\" paint-order=\"stroke\"", paint("stroke", t.Halo), num(2*float64(t.HaloWidth)))
	}
	// The letters as they were laid out: what a font lacks is as wide there as here.
	var said strings.Builder
	for _, g := range r.glyphs {
		said.WriteRune(g.r)
	}
	s.line("<text%s%s>%s</text>", a, paint("fill", t.Colour), xmlClean(said.String()))
}

func (s *svgWriter) picture(it *pictureItem) {
	data, kind, err := it.file()
	if err != nil {
		s.err = fmt.Errorf("draw: a picture could not be stored: %w", err)
		return
	}
	b := it.box
	s.line("<image x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\" preserveAspectRatio=\"none\" xlink:href=\"data:%s;base64,%s\"/>",
		num(float64(b.X)), num(float64(b.Y)), num(float64(b.W)), num(float64(b.H)), kind, base64.StdEncoding.EncodeToString(data))
}

func paint(what string, c Colour) string {
	a := fmt.Sprintf(" %s=\"%s\"", what, c.CSS())
	if c.A < 255 {
		a += fmt.Sprintf(" %s-opacity=\"%s\"", what, num(float64(c.A)/255))
	}
	return a
}

func transform(m affine) string {
	if m.b == 0 && m.c == 0 && m.a == m.d {
		if m.a == 1 {
			return "translate(" + num(m.e) + "," + num(m.f) + ")"
		}
		if m.e == 0 && m.f == 0 {
			return "scale(" + strconv.FormatFloat(m.a, 'g', 6, 64) + ")"
		}
	}
	g := func(v float64) string { return strconv.FormatFloat(math.Round(v*1e6)/1e6, 'f', -1, 64) }
	return "matrix(" + strings.Join([]string{g(m.a), g(m.b), g(m.c), g(m.d), num(m.e), num(m.f)}, " ") + ")"
}

var svgVerbs = [...]string{moveTo: "M", lineTo: "L", quadTo: "Q", cubeTo: "C", closePath: "Z"}

func pathData(p *Path) string {
	var b strings.Builder
	for _, s := range p.steps {
		b.WriteString(svgVerbs[s.verb])
		for i, q := range s.p[:points[s.verb]] {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(num(float64(q.X)) + " " + num(float64(q.Y)))
		}
	}
	return b.String()
}
