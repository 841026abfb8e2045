package chart

import (
	"math"
	"strings"
	"unicode/utf8"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
)

// leaf is a chart that is drawn part by part from the top.
type leaf struct {
	*plate.Sheet
	in draw.Box // what is left of the body
}

// part is a stretch of a leaf: its height is known before anything is drawn.
type part struct {
	height draw.MM
	draw   func(c *leaf, b draw.Box)
	// kind says what becomes of it on a sheet of a fixed shape.
	kind draw.StretchKind
}

// themed returns the options with a theme.
func (o Options) themed() Options {
	if o.Theme.Name == "" {
		o.Theme = draw.Paper()
	}
	return o
}

// naming is how fencers are called.
func (o Options) naming() plate.Naming {
	if o.HideNames {
		return plate.Anonymous
	}
	return o.Names
}

// anonymous says that nobody and no event is named.
func (o Options) anonymous() bool { return o.naming() == plate.Anonymous }

// inner is the width between the margins.
func (o Options) inner() draw.MM { return o.Layout.Width() - 2*o.Layout.Margin() }

// leafOf draws the parts below each other on a sheet of their height; a bare one
// has neither title nor source.
func leafOf(o Options, finding, desc, source string, parts []part) *draw.Drawing {
	height := draw.MM(0)
	for _, p := range parts {
		height += p.height
	}
	var s *plate.Sheet
	if o.Bare {
		height += 1.5
		d := draw.New(o.Layout.Width(), height, plate.Typeset(finding), plate.Typeset(desc))
		d.Ground = o.Theme.Ground
		s = &plate.Sheet{Drawing: d, Theme: o.Theme, Layout: o.Layout, Type: o.Layout.Type(), Body: draw.Box{W: o.Layout.Width(), H: height}}
	} else {
		s = plate.NewSheet(o.Layout, o.Theme, finding, desc, source, height)
	}
	c := &leaf{Sheet: s, in: s.Inner()}
	for _, p := range parts {
		b := draw.Box{X: c.in.X, Y: c.in.Y, W: c.in.W, H: p.height}
		c.in.Y += p.height
		c.Begin(p.kind, b)
		p.draw(c, b)
	}
	return c.Drawing
}

// headed is the head of a section with a hairline to the edge.
func headed(what string) part {
	return part{kind: draw.HeadStretch, height: headHeight, draw: func(c *leaf, b draw.Box) {
		y := b.Bottom() - 2.2
		t := draw.Text{At: draw.Pt{X: b.X, Y: y}, S: what, Font: draw.SansBold, Size: c.Type.Label, Colour: c.Theme.Quiet}
		t.S = trimmed(what, t, b.W)
		c.Text(t)
		if from := b.X + t.Width() + 2.5; from < b.Right() {
			c.Stroke(draw.Segment(draw.Pt{X: from, Y: y - 1.1}, draw.Pt{X: b.Right(), Y: y - 1.1}), draw.Pen{Colour: c.Theme.Rule.Fade(0.6), Width: 0.18})
		}
	}}
}

// said is a paragraph in the type of sentences; nothing for no words.
func said(o Options, words string) part { return saidIn(o, words, o.inner()) }

// saidIn is said in a column of a width.
func saidIn(o Options, words string, width draw.MM) part {
	if words == "" {
		return space(0)
	}
	words = plate.Typeset(words)
	size := o.Layout.Type().Text
	n := len(draw.Wrap(words, draw.Serif, size, width))
	return part{kind: draw.WordsStretch, height: draw.MM(n)*size*lineShare + 1.6, draw: func(c *leaf, b draw.Box) {
		c.Paragraph(draw.Text{At: draw.Pt{X: b.X, Y: b.Y + size*0.86}, S: words, Font: draw.Serif, Size: size, Colour: c.Theme.Ink}, b.W, size*lineShare)
	}}
}

// columns are parts side by side, from the top, with a space between.
func columns(width, gap draw.MM, all ...[]part) part {
	height := draw.MM(0)
	for _, column := range all {
		h := draw.MM(0)
		for _, p := range column {
			h += p.height
		}
		height = max(height, h)
	}
	n := draw.MM(len(all))
	w := (width - gap*(n-1)) / n
	return part{height: height, draw: func(c *leaf, b draw.Box) {
		for i, column := range all {
			at := draw.Box{X: b.X + (w+gap)*draw.MM(i), Y: b.Y, W: w}
			for _, p := range column {
				at.H = p.height
				p.draw(c, at)
				at.Y += p.height
			}
		}
	}}
}

// longTitle is how many letters a title may have before it is cut at a colon: two lines
// of a wide sheet.
const longTitle = 110

// headline cuts a finding into a title, which is its first sentence, and what is said
// below the pictures.
func headline(finding string) (title, rest string) {
	title, rest, _ = strings.Cut(strings.TrimSuffix(finding, "."), ". ")
	if utf8.RuneCountInString(title) > longTitle {
		if short, more, ok := strings.Cut(title, ": "); ok {
			title = short
			if rest != "" {
				more += ". " + rest
			}
			rest = capital(more)
		}
	}
	if rest != "" {
		rest += "."
	}
	return title, rest
}

// space is an empty part.
func space(h draw.MM) part { return part{height: h, draw: func(*leaf, draw.Box) {}} }

// fact is one number with what it is.
type fact struct{ what, number, beside string }

// facts are the numbers that matter side by side: four in a row, on the phone two.
func facts(o Options, all []fact) part {
	if o.Layout == plate.Phone {
		return factsIn(o, all, 2, o.inner())
	}
	return factsIn(o, all, 4, o.inner())
}

// factsIn is facts in so many columns of a width; a row is as high as its tallest.
func factsIn(o Options, all []fact, columns int, width draw.MM) part {
	ty := o.Layout.Type()
	w := width / draw.MM(columns)
	fine := ty.Fine * lineShare
	var heights []draw.MM
	total := draw.MM(0)
	for i := 0; i < len(all); i += columns {
		h := draw.MM(0)
		for _, f := range all[i:min(i+columns, len(all))] {
			what := len(draw.Wrap(plate.Typeset(f.what), draw.Sans, ty.Fine, w-3))
			beside := len(draw.Wrap(plate.Typeset(f.beside), draw.Sans, ty.Fine, w-3))
			h = max(h, draw.MM(what+beside)*fine+6.4+2.2)
		}
		heights = append(heights, h)
		total += h
	}
	return part{height: total, draw: func(c *leaf, b draw.Box) {
		y := b.Y
		for i, f := range all {
			x := b.X + w*draw.MM(i%columns)
			if i > 0 && i%columns == 0 {
				y += heights[i/columns-1]
			}
			c.fact(f, x, y, w-3)
		}
	}}
}

// fact writes one number below what it is; one too long for its place is smaller.
func (c *leaf) fact(f fact, x, y, w draw.MM) {
	ty := c.Type
	fine := ty.Fine * lineShare
	t := draw.Text{At: draw.Pt{X: x, Y: y + ty.Fine*0.86}, S: plate.Typeset(f.what), Font: draw.Sans, Size: ty.Fine, Colour: c.Theme.Quiet}
	y = c.Paragraph(t, w, fine)
	k := draw.Text{At: draw.Pt{X: x, Y: y + 5.6}, S: plate.Typeset(f.number), Font: draw.SansBold, Size: ty.Key, Colour: c.Theme.Ink}
	for _, s := range [...]draw.MM{ty.Text, ty.Label, ty.Fine} {
		if k.Width() > w {
			k.Size = s
		}
	}
	c.Text(k)
	c.Paragraph(draw.Text{At: draw.Pt{X: x, Y: k.At.Y + fine + 0.3}, S: plate.Typeset(f.beside), Font: draw.Sans, Size: ty.Fine, Colour: c.Theme.Quiet}, w, fine)
}

// band draws an uncertain stretch along x as the house draws doubt: the outer part
// holds 95 %, the inner one a standard deviation on each side.
func band[U quantity.Unit](c *leaf, q quantity.Of[U], y, h draw.MM, x func(U) draw.MM, colour draw.Colour) {
	if !q.IsValid() {
		return
	}
	for _, e := range [2][2]U{{q.Lo, q.Hi}, {q.Mean - q.SD, q.Mean + q.SD}} {
		from, to := x(e[0]), x(e[1])
		c.Fill(draw.Box{X: min(from, to), Y: y - h/2, W: max(from-to, to-from), H: h}.Path(), colour.Fade(0.3))
	}
}

// arrow is a line with a head at its end.
func (c *leaf) arrow(from, to draw.Pt, pen draw.Pen, head draw.MM) {
	dx, dy := float64(to.X-from.X), float64(to.Y-from.Y)
	l := draw.MM(math.Hypot(dx, dy))
	if !(l > 0.2) {
		return
	}
	ux, uy := (to.X-from.X)/l, (to.Y-from.Y)/l
	head = min(head, l)
	neck := draw.Pt{X: to.X - ux*head, Y: to.Y - uy*head}
	c.Stroke(draw.Segment(from, neck), pen)
	half := head * 0.42
	c.Fill(draw.Polygon(to, draw.Pt{X: neck.X - uy*half, Y: neck.Y + ux*half}, draw.Pt{X: neck.X + uy*half, Y: neck.Y - ux*half}), pen.Colour)
}

// words are lines of text that must not lie on each other.
type words struct {
	room  draw.Box
	taken []draw.Box
}

// put writes the text at the first of the places where it is free, and says whether
// there was one.
func (w *words) put(c *leaf, t draw.Text, places ...draw.Pt) bool {
	for _, p := range places {
		t.At = p
		b := t.Box().Grow(0.35)
		free := b.X >= w.room.X && b.Right() <= w.room.Right() && b.Y >= w.room.Y && b.Bottom() <= w.room.Bottom()
		for _, o := range w.taken {
			free = free && !b.Meets(o)
		}
		if free {
			w.taken = append(w.taken, b)
			c.Text(t)
			return true
		}
	}
	return false
}
