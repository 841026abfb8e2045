package draw

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"golang.org/x/image/font/sfnt"
)

// pdfPage writes the content of one page, with y down and millimetres as the
// unit, and remembers what it uses.
type pdfPage struct {
	file   *pdfFile
	b      strings.Builder
	alphas []uint8 // in the order met
	used   [fontCount]bool
	images []int
	err    error

	tree   *pdfTree
	elem   *element   // what is being drawn belongs to it
	object int        // of the page
	owners []*element // of each marked sequence of the page
	open   bool       // a marked sequence is open
}

func (p *pdfPage) content(d *Drawing) ([]byte, error) {
	k := float64(MM(1) / Points(1))
	p.line("%s 0 0 %s 0 %s cm", num6(k), num6(-k), num6(k*float64(d.H)))
	if d.Ground.A > 0 {
		p.line("/Artifact BMC")
		p.fill(Box{0, 0, d.W, d.H}.Path(), d.Ground)
		p.line("EMC")
	}
	p.group(&d.Group)
	return []byte(p.b.String()), p.err
}

func num6(v float64) string {
	s := fmt.Sprintf("%.6f", v)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

func (p *pdfPage) line(format string, args ...any) {
	fmt.Fprintf(&p.b, format, args...)
	p.b.WriteByte('\n')
}

func (p *pdfPage) resources() string {
	var fonts, states, images []string
	for _, f := range Fonts() {
		if p.used[f] {
			fonts = append(fonts, fmt.Sprintf("/F%d %d 0 R", f, p.file.font(f).object))
		}
	}
	for _, a := range p.alphas {
		v := num(float64(a) / 255)
		states = append(states, fmt.Sprintf("/A%d << /ca %s /CA %s >>", a, v, v))
	}
	for i, n := range p.images {
		images = append(images, fmt.Sprintf("/I%d %d 0 R", i, n))
	}
	return fmt.Sprintf("<< /Font << %s >> /ExtGState << %s >> /XObject << %s >> >>",
		strings.Join(fonts, " "), strings.Join(states, " "), strings.Join(images, " "))
}

// group draws a group. A group with a role is one marked sequence where no role is inside
// it; else what stands loose in it is marked bit by bit, as decoration on the page itself.
func (p *pdfPage) group(g *Group) {
	if g.tag == nil || p.open {
		p.items(g)
		return
	}
	above := p.elem
	p.elem = p.tree.add(above, *g.tag)
	if whole := g.tag.role == RoleFigure || !g.tagged(); whole {
		p.begin()
		p.items(g)
		p.end()
	} else {
		p.items(g)
	}
	p.elem = above
}

// begin opens a marked sequence of what is being drawn, end closes it.
func (p *pdfPage) begin() {
	p.open = true
	if p.elem == p.tree.document {
		p.line("/Artifact BMC")
		return
	}
	p.line("/%s << /MCID %d >> BDC", p.elem.tag.role, len(p.owners))
	p.elem.kids = append(p.elem.kids, kid{mcid: len(p.owners), page: p.object})
	p.owners = append(p.owners, p.elem)
}

func (p *pdfPage) end() {
	p.open = false
	p.line("EMC")
}

func (p *pdfPage) items(g *Group) {
	if g.moved || g.clip != nil {
		p.line("q")
		defer p.line("Q")
	}
	if g.moved {
		m := g.m
		p.line("%s %s %s %s %s %s cm", num6(m.a), num6(m.b), num6(m.c), num6(m.d), num6(m.e), num6(m.f))
	}
	if g.clip != nil {
		p.path(g.clip)
		p.line("W n")
	}
	loose := false // a sequence was opened for what stands loose
	for _, it := range g.items {
		sub, isGroup := it.(*Group)
		holds := isGroup && (sub.tag != nil || sub.tagged())
		switch {
		case holds && loose:
			p.end()
			loose = false
		case !holds && !p.open:
			p.begin()
			loose = true
		}
		switch it := it.(type) {
		case *fillItem:
			p.fill(it.path, it.colour)
		case *strokeItem:
			p.stroke(it.path, it.pen)
		case *textItem:
			p.text(it)
		case *pictureItem:
			p.picture(it)
		case *Group:
			p.group(it)
		}
	}
	if loose {
		p.end()
	}
}

// opacity sets the opacity of what follows.
func (p *pdfPage) opacity(a uint8) {
	known := false
	for _, b := range p.alphas {
		known = known || a == b
	}
	if !known {
		p.alphas = append(p.alphas, a)
	}
	p.line("/A%d gs", a)
}

func rgb(c Colour) string {
	return num(float64(c.R)/255) + " " + num(float64(c.G)/255) + " " + num(float64(c.B)/255)
}

func (p *pdfPage) fill(path *Path, c Colour) {
	if c.A == 0 {
		return
	}
	p.opacity(c.A)
	p.line("%s rg", rgb(c))
	p.path(path)
	p.line("f")
}

func (p *pdfPage) stroke(path *Path, pen Pen) {
	p.opacity(pen.Colour.A)
	var dash []string
	for _, d := range pen.Dash {
		dash = append(dash, num(float64(d)))
	}
	join := 1
	if pen.Corner == Sharp {
		join = 0
	}
	p.line("%s RG %s w %d J %d j %d M [%s] 0 d", rgb(pen.Colour), num(float64(pen.Width)), pen.Cap, join, sharpLimit, strings.Join(dash, " "))
	p.path(path)
	p.line("S")
}

func (p *pdfPage) path(path *Path) {
	var at, start Pt
	for _, s := range path.steps {
		switch s.verb {
		case moveTo:
			p.points("m", s.p[0])
			at, start = s.p[0], s.p[0]
		case lineTo:
			p.points("l", s.p[0])
			at = s.p[0]
		case quadTo:
			c, to := s.p[0], s.p[1]
			third := func(a Pt) Pt { return Pt{a.X + (c.X-a.X)*2/3, a.Y + (c.Y-a.Y)*2/3} }
			p.points("c", third(at), third(to), to)
			at = to
		case cubeTo:
			p.points("c", s.p[:]...)
			at = s.p[2]
		case closePath:
			p.line("h")
			at = start
		}
	}
}

func (p *pdfPage) points(op string, pts ...Pt) {
	for _, q := range pts {
		p.b.WriteString(num(float64(q.X)) + " " + num(float64(q.Y)) + " ")
	}
	p.line("%s", op)
}

func (p *pdfPage) picture(it *pictureItem) {
	n, err := p.file.addPicture(it.picture)
	if err != nil {
		p.err = err
		return
	}
	b := it.box
	p.opacity(255)
	// An image fills the unit square with y up; here y is down.
	p.line("q %s 0 0 %s %s %s cm /I%d Do Q", num(float64(b.W)), num(-float64(b.H)), num(float64(b.X)), num(float64(b.Bottom())), len(p.images))
	p.images = append(p.images, n)
}

func (p *pdfPage) text(it *textItem) {
	t, r := it.text, it.run
	p.used[t.Font] = true
	pf := p.file.font(t.Font)
	upem := float64(faces[t.Font]().upem)
	var show strings.Builder
	show.WriteString("[")
	next := 0
	for _, g := range r.glyphs {
		if g.x != next {
			// Numbers in TJ move left, in thousandths of the em.
			fmt.Fprintf(&show, "%s", num(float64(next-g.x)/upem*1000))
		}
		fmt.Fprintf(&show, "<%04X>", g.glyph)
		next = g.x + g.adv
		pf.glyphs[g.glyph] = usedGlyph{g.r, int(math.Round(float64(g.adv) / upem * 1000))}
	}
	if p.elem.tag.role != RoleFigure {
		// Lines are read one after the other: the last word of one is not the first half
		// of the next.
		space := faces[t.Font]().spaceGlyph()
		pf.glyphs[space.glyph] = usedGlyph{' ', int(math.Round(float64(space.adv) / upem * 1000))}
		fmt.Fprintf(&show, "<%04X>", space.glyph)
	}
	show.WriteString("] TJ")
	begin := fmt.Sprintf("BT /F%d %s Tf 1 0 0 -1 %s %s Tm", t.Font, num(float64(t.Size)), num(float64(r.x)), num(float64(t.At.Y)))
	if t.Halo.A > 0 && t.HaloWidth > 0 {
		// The halo is drawn and not written: it would be copied twice.
		p.opacity(t.Halo.A)
		p.line("%s rg %s RG 1 j [] 0 d", rgb(t.Halo), rgb(t.Halo))
		for _, g := range r.glyphs {
			if shape := faces[t.Font]().outline(g.glyph); !shape.Empty() {
				p.line("q %s 0 0 %s %s %s cm %s w", num6(r.scale), num6(r.scale), num(float64(r.x)+float64(g.x)*r.scale), num(float64(t.At.Y)), num(2*float64(t.HaloWidth)/r.scale))
				p.path(shape)
				p.line("B Q")
			}
		}
	}
	p.opacity(t.Colour.A)
	p.line("%s rg %s 0 Tr %s ET", rgb(t.Colour), begin, show.String())
}

// pdfFont is one embedded font: its object and the glyphs used of it.
type pdfFont struct {
	object int
	glyphs map[sfnt.GlyphIndex]usedGlyph
}

type usedGlyph struct {
	r     rune
	width int // in thousandths of the em
}

func (p *pdfFile) font(f Font) *pdfFont {
	if p.fonts[f] == nil {
		p.fonts[f] = &pdfFont{object: p.reserve(), glyphs: map[sfnt.GlyphIndex]usedGlyph{}}
	}
	return p.fonts[f]
}

// writeFont embeds the font as a composite font whose codes are its glyphs.
func (p *pdfFile) writeFont(f Font, pf *pdfFont) {
	ids := make([]int, 0, len(pf.glyphs))
	for g := range pf.glyphs {
		ids = append(ids, int(g))
	}
	sort.Ints(ids)
	var widths, chars strings.Builder
	for _, g := range ids {
		u := pf.glyphs[sfnt.GlyphIndex(g)]
		fmt.Fprintf(&widths, "%d [%d] ", g, u.width)
		fmt.Fprintf(&chars, "1 beginbfchar\n<%04X> %s\nendbfchar\n", g, strings.Replace(pdfText(string(u.r)), "FEFF", "", 1))
	}
	name := strings.ReplaceAll(f.Family(), " ", "") + "-" + fontNames[f].file
	data := f.File()
	file := p.stream(fmt.Sprintf(" /Length1 %d", len(data)), data, true)
	angle, flags := 0, 4 // symbolic: the codes are glyphs
	if f.Style() == "italic" {
		angle, flags = -12, 4|64
	}
	desc := p.add(fmt.Sprintf("<< /Type /FontDescriptor /FontName /%s /Flags %d /FontBBox [-500 -350 1500 1050] /ItalicAngle %d /Ascent 1000 /Descent -330 /CapHeight %d /StemV 80 /FontFile2 %d 0 R >>",
		name, flags, angle, int(CapShare*1000), file))
	cid := p.add(fmt.Sprintf("<< /Type /Font /Subtype /CIDFontType2 /BaseFont /%s /CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> /FontDescriptor %d 0 R /CIDToGIDMap /Identity /DW 500 /W [%s] >>",
		name, desc, strings.TrimSpace(widths.String())))
	toUnicode := p.stream("", []byte("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n"+
		chars.String()+"endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"), true)
	p.set(pf.object, fmt.Sprintf("<< /Type /Font /Subtype /Type0 /BaseFont /%s /Encoding /Identity-H /DescendantFonts [%d 0 R] /ToUnicode %d 0 R >>",
		name, cid, toUnicode))
}
