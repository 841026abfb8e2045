package sheet

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html"
	"strings"
	"sync"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
)

//go:embed sheet.css
var pageStyle string

// page is an HTML file on its way. Every text goes through text: nothing that a user
// wrote is taken for markup.
type page struct {
	bytes.Buffer
	err error
}

func (p *page) f(format string, args ...any) { fmt.Fprintf(p, format, args...) }

func (p *page) text(s string) { p.WriteString(html.EscapeString(s)) }

// line writes a sentence: numbers do not break, names keep their own direction.
func (p *page) line(l line) {
	for _, s := range l {
		if s.Text == "" {
			continue
		}
		open, end := "", ""
		switch {
		case s.Ref != "":
			open, end = `<span class="num">`, "</span>"
		case s.Name:
			open, end = "<bdi>", "</bdi>"
		}
		if s.Bold {
			open, end = "<b>"+open, end+"</b>"
		}
		p.WriteString(open)
		p.text(s.Text)
		p.WriteString(end)
	}
}

// element writes a sentence in an element.
func (p *page) element(name, class string, l line) {
	if class != "" {
		p.f("<%s class=%q>", name, class)
	} else {
		p.f("<%s>", name)
	}
	p.line(l)
	p.f("</%s>\n", name)
}

func (d *document) html() ([]byte, error) {
	p := &page{}
	p.f("<!DOCTYPE html>\n<html lang=%q>\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<title>", d.Lang)
	p.text(d.Title)
	if d.Head.Standing != "" {
		p.text(": " + d.Head.Standing)
	}
	p.f("</title>\n<style>%s</style>\n</head>\n<body>\n", style())
	p.head(d.Head)
	p.f("<main>\n")
	var last *section
	for i := range d.Sections {
		s := &d.Sections[i]
		if s.ID == "cautions" {
			last = s
			continue
		}
		p.section(*s)
	}
	p.f("</main>\n<footer>\n")
	if last != nil {
		p.section(*last)
	}
	if d.Program != "" {
		p.element("p", "fine", d.written())
	}
	p.f("</footer>\n</body>\n</html>\n")
	return p.Bytes(), p.err
}

// written says what wrote the sheet.
func (d *document) written() line {
	l, _ := languageOf(d.Lang)
	return words(strings.ReplaceAll(l.Say["written"], "{program}", d.Program))
}

func (p *page) head(h head) {
	p.f("<header>\n")
	p.element("p", "kicker", words(h.Kicker))
	p.element("h1", "", h.Title)
	p.f("<ul class=\"fencers\">\n")
	for _, f := range h.Fencers {
		p.f("<li>%s <b><bdi>", shape(f.Side))
		p.text(f.Name)
		p.f("</bdi></b>")
		if f.Club != "" {
			p.f(", <bdi>")
			p.text(f.Club)
			p.f("</bdi>")
		}
		if f.Role != "" {
			p.f(" <span class=\"side\">")
			p.text(f.Role)
			p.f("</span>")
		}
		p.f("</li>\n")
	}
	p.f("</ul>\n")
	if h.Standing != "" || len(h.Lamps) > 0 {
		p.f("<p class=\"standing\">")
		p.text(h.Standing)
		for _, l := range h.Lamps {
			p.f(" <span class=\"lamp %s\">", l.Class)
			p.text(l.Words)
			p.f("</span>")
		}
		p.f("</p>\n")
	}
	for _, n := range h.Notes {
		p.element("p", "note", n)
	}
	p.f("</header>\n")
}

func (p *page) section(s section) {
	class := ""
	if s.NewPage {
		class = " newpage"
	}
	if s.Only != "" {
		class += " " + s.Only
	}
	if class != "" {
		class = fmt.Sprintf(" class=%q", strings.TrimSpace(class))
	}
	p.f("<section%s aria-labelledby=\"h-%s\">\n<h2 id=\"h-%s\">", class, s.ID, s.ID)
	p.text(s.Title)
	p.f("</h2>\n")
	for _, b := range s.Blocks {
		p.block(b)
	}
	p.f("</section>\n")
}

func (p *page) block(b block) {
	switch b := b.(type) {
	case para:
		p.element("p", b.Class, b.Text)
	case list:
		name := "ul"
		if b.Ordered {
			name = "ol"
		}
		p.f("<%s>\n", name)
		for _, l := range b.Items {
			p.element("li", "", l)
		}
		p.f("</%s>\n", name)
	case keys:
		p.f("<dl class=\"keys\">\n")
		for _, k := range b {
			p.f("<div><dt>")
			p.line(k.Title)
			p.f("</dt><dd>")
			p.line(k.Number)
			p.f("</dd></div>\n")
		}
		p.f("</dl>\n")
	case table:
		p.table(b)
	case quiz:
		p.f("<ol class=\"quiz\">\n")
		for _, q := range b.Ask {
			p.f("<li>")
			p.line(q.Question)
			p.f("<details><summary>")
			p.text(b.Show)
			p.f("</summary>")
			p.element("p", "", q.Answer)
			p.f("</details></li>\n")
		}
		p.f("</ol>\n")
		p.element("p", "fine screen", b.Under)
	case drill:
		p.f("<article class=\"drill\" aria-labelledby=\"drill-%d\">\n<h3 id=\"drill-%d\">%d. ", b.Number, b.Number, b.Number)
		p.text(b.Title)
		p.f("</h3>\n<p class=\"form\">")
		p.text(b.Form)
		p.f("</p>\n")
		p.element("p", "because", b.For)
		p.f("<dl>\n")
		for _, r := range b.Rows {
			p.f("<div><dt>")
			p.text(r.Label)
			p.f("</dt><dd>")
			p.line(r.Text)
			p.f("</dd></div>\n")
		}
		p.f("</dl>\n</article>\n")
	case figure:
		p.figure(b)
	}
}

func (p *page) table(t table) {
	class := func(i int) string {
		if t.Right[i] {
			return ` class="n"`
		}
		return ""
	}
	// The phone sets rows as blocks, which takes their roles from them: they are named.
	p.f("<table role=\"table\">\n<caption>")
	p.text(t.Caption)
	p.f("</caption>\n<thead role=\"rowgroup\"><tr role=\"row\">")
	for i, h := range t.Head {
		p.f("<th scope=\"col\" role=\"columnheader\"%s>", class(i))
		p.text(h)
		p.f("</th>")
	}
	p.f("</tr></thead>\n<tbody role=\"rowgroup\">\n")
	for _, r := range t.Rows {
		p.f("<tr role=\"row\">")
		for i, c := range r {
			if i == 0 {
				p.f("<th scope=\"row\" role=\"rowheader\">")
				p.line(c)
				p.f("</th>")
				continue
			}
			p.f("<td role=\"cell\"%s>", class(i))
			p.line(c)
			p.f("</td>")
		}
		p.f("</tr>\n")
	}
	p.f("</tbody></table>\n")
}

// figure sets a plate with all its forms, of which the style sheet shows one. Its words
// are text in the fonts of the page.
func (p *page) figure(f figure) {
	p.f("<figure>\n")
	for _, x := range []struct {
		d     *draw.Drawing
		class string
	}{
		{f.Plate.Wide, "wide day"}, {f.Plate.Phone, "phone day"}, {f.Plate.WideNight, "wide night"}, {f.Plate.PhoneNight, "phone night"}, {f.onPaper(), "onpaper"},
	} {
		if x.d == nil {
			continue
		}
		if f.Plate.WideNight == nil {
			x.class = strings.TrimSuffix(x.class, " day") // the same by day and night
		}
		if f.Plate.Phone == nil {
			x.class = strings.TrimPrefix(x.class, "wide ")
		}
		if err := x.d.PageSVG(p, x.class); err != nil && p.err == nil {
			p.err = fmt.Errorf("plate %s: %w", f.Plate.Name(), err)
		}
	}
	p.f("<figcaption>")
	p.text(f.Label)
	p.f("</figcaption>\n</figure>\n")
}

// onPaper is the plate as it is printed: wider than high, so that it stands with its
// words on one page, and safe without colour.
func (f figure) onPaper() *draw.Drawing { return f.Plate.In(plate.Screen, draw.Print()) }

// shape is the mark of a fencer in a line of text.
func shape(s mark.Side) string {
	if s == mark.Left {
		return `<svg class="mark left" viewBox="0 0 10 10" aria-hidden="true"><rect x=".6" y=".6" width="8.8" height="8.8"/></svg>`
	}
	return `<svg class="mark right" viewBox="0 0 10 10" aria-hidden="true"><circle cx="5" cy="5" r="5"/></svg>`
}

// style is the style sheet with the palette and the fonts of the pen; packing the fonts
// takes longer than writing the sheet, and they do not change.
var style = sync.OnceValue(func() string {
	var b strings.Builder
	for _, f := range []draw.Font{draw.Serif, draw.SerifBold, draw.Sans, draw.SansBold} {
		fmt.Fprintf(&b, "@font-face{font-family:%q;font-style:%s;font-weight:%s;font-display:swap;src:url(data:font/woff;base64,%s) format(\"woff\")}\n",
			f.Family(), f.Style(), f.Weight(), base64.StdEncoding.EncodeToString(f.WOFF()))
	}
	fmt.Fprintf(&b, ":root{%s}\n@media screen and (prefers-color-scheme:dark){:root{%s}}\n@media print{:root{%s}}\n", palette(draw.Paper()), palette(draw.Night()), palette(draw.Print()))
	b.WriteString(pageStyle)
	return b.String()
})

func palette(t draw.Theme) string {
	var b strings.Builder
	for _, c := range []struct {
		name string
		c    draw.Colour
	}{
		{"ground", t.Ground}, {"raised", t.Raised}, {"ink", t.Ink}, {"quiet", t.Quiet}, {"rule", t.Rule}, {"faint", t.Faint},
		{"brass", t.Brass}, {"left", t.Left}, {"right", t.Right}, {"lamp-red", t.LampRed}, {"lamp-green", t.LampGreen},
	} {
		fmt.Fprintf(&b, "--%s:%s;", c.name, c.c.CSS())
	}
	return b.String()
}
