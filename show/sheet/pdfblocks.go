package sheet

import (
	"fmt"
	"strings"

	"mesure/show/draw"
	"mesure/sport/mark"
)

func (f *flow) head(h head) {
	f.paragraph(words(h.Kicker), draw.Sans, sizeLabel, f.theme.Quiet, 0, draw.RoleP)
	f.paragraph(h.Title, draw.SerifBold, sizeTitle, f.theme.Ink, 1.5, draw.RoleH1)
	for i, who := range h.Fencers {
		l := line{{Text: who.Name, Bold: true}}
		if who.Club != "" {
			l = append(l, span{Text: ", " + who.Club})
		}
		if who.Role != "" {
			l = append(l, span{Text: " (" + who.Role + ")"})
		}
		b := blockOf(l, serif, sizeText, textWidth-5, f.theme.Ink)
		before := draw.MM(0.5)
		if i == 0 {
			before = 2.5
		}
		f.add(slab{height: b.height(), before: before, keep: i == 0, part: &part{role: draw.RoleP}, draw: func(g, bare *draw.Group, x, y draw.MM) {
			f.mark(bare, who.Side, draw.Pt{X: x + 1.3, Y: y + sizeText*leading/2})
			b.set(g, x+4, y)
		}})
	}
	if h.Standing != "" || len(h.Lamps) > 0 {
		f.standing(h)
	}
	for _, n := range h.Notes {
		b := blockOf(n, sans, sizeLabel, textWidth-4, f.theme.Quiet)
		f.add(slab{height: b.height(), before: 2, part: &part{role: draw.RoleP}, draw: func(g, bare *draw.Group, x, y draw.MM) {
			bare.Stroke(draw.Segment(draw.Pt{X: x + 0.3, Y: y}, draw.Pt{X: x + 0.3, Y: y + b.height()}), draw.Pen{Colour: f.theme.Rule, Width: 0.5})
			b.set(g, x+3, y)
		}})
	}
}

// mark is the mark of a fencer: a square for the left one, a disc for the right one.
func (f *flow) mark(g *draw.Group, s mark.Side, c draw.Pt) {
	const half = 1.15
	if s == mark.Left {
		g.Fill(draw.Box{X: c.X - half, Y: c.Y - half, W: 2 * half, H: 2 * half}.Path(), f.theme.Left)
		return
	}
	g.Fill(draw.Circle(c, half*1.13), f.theme.Right)
}

// standing is the score before the touch and the lamps, each with its word.
func (f *flow) standing(h head) {
	f.add(slab{height: sizeLabel * leading, before: 1.5, part: &part{role: draw.RoleP}, draw: func(g, bare *draw.Group, x, y draw.MM) {
		base := y + sizeLabel*(0.5+leading/2) - sizeLabel*0.16
		put := func(s string) {
			t := draw.Text{At: draw.Pt{X: x, Y: base}, S: s, Font: draw.Sans, Size: sizeLabel, Colour: f.theme.Quiet}
			g.Text(t)
			x += t.Width() + 4
		}
		if h.Standing != "" {
			put(h.Standing)
		}
		for _, l := range h.Lamps {
			box := draw.Box{X: x, Y: base - sizeLabel*0.55, W: 3.6, H: 1.9}
			switch l.Class {
			case "red":
				bare.Fill(box.Round(0.95), f.theme.LampRed)
			case "green":
				bare.Fill(box.Round(0.95), f.theme.LampGreen)
			}
			bare.Stroke(box.Round(0.95), draw.Pen{Colour: f.theme.Quiet, Width: 0.2})
			x += 5
			put(l.Words)
		}
	}})
}

func (f *flow) section(s section) {
	from := len(f.slabs)
	f.add(slab{height: 3.2, before: 6.5, keep: true, fresh: s.NewPage || s.Only == "paper", draw: func(_, bare *draw.Group, x, y draw.MM) { f.rule(bare, x, y, textWidth, f.theme.Rule) }})
	f.paragraph(words(s.Title), draw.SerifBold, sizeKey, f.theme.Ink, 0, draw.RoleH2)
	f.together(from, true)
	for i, b := range s.Blocks {
		at := len(f.slabs)
		f.block(b)
		// What leads to the next block stays with it.
		if p, ok := b.(para); ok && i+1 < len(s.Blocks) && (p.Class == "lead" || i == 0 && len(f.slabs)-at < 4 && isList(s.Blocks[i+1])) {
			f.together(at, true)
		}
	}
}

func isList(b block) bool {
	switch b.(type) {
	case list, quiz, table:
		return true
	}
	return false
}

func (f *flow) block(b block) {
	switch b := b.(type) {
	case para:
		switch b.Class {
		case paraFinding:
			f.paragraph(b.Text, draw.Serif, sizeKey, f.theme.Ink, 1.2, draw.RoleP)
		case paraFine:
			f.paragraph(b.Text, draw.Sans, sizeFine, f.theme.Quiet, 1.8, draw.RoleP)
		default:
			f.paragraph(b.Text, draw.Serif, sizeText, f.theme.Ink, 1.8, draw.RoleP)
		}
	case list:
		f.list(b)
	case keys:
		f.keys(b)
	case table:
		f.table(b)
	case quiz:
		f.quiz(b)
	case drill:
		f.drill(b)
	case figure:
		f.figure(b)
	}
}

func (f *flow) list(l list) {
	const indent = 5.2
	whole := &part{role: draw.RoleList}
	for i, item := range l.Items {
		sign := "•"
		if l.Ordered {
			sign = fmt.Sprintf("%d.", i+1)
		}
		b := blockOf(item, serif, sizeText, textWidth-indent, f.theme.Ink)
		sb := blockOf(words(sign), serif, sizeText, indent, f.theme.Quiet)
		f.add(slab{height: b.height(), before: 1.5, part: &part{draw.RoleItem, whole}, draw: func(g, _ *draw.Group, x, y draw.MM) {
			sb.set(g.Tag(draw.RoleLabel, ""), x, y)
			b.set(g.Tag(draw.RoleBody, ""), x+indent, y)
		}})
	}
}

// quiz is the questions with room to write: their answers stand on another page.
func (f *flow) quiz(q quiz) {
	const indent, room, rows = 5.2, 8, 2
	whole := &part{role: draw.RoleList}
	for i, x := range q.Ask {
		b := blockOf(x.Question, serif, sizeText*1.15, textWidth-indent, f.theme.Ink)
		sb := blockOf(words(fmt.Sprintf("%d.", i+1)), serif, sizeText*1.15, indent, f.theme.Quiet)
		f.add(slab{height: b.height() + rows*room, before: 4, part: &part{draw.RoleItem, whole}, draw: func(g, bare *draw.Group, x, y draw.MM) {
			sb.set(g.Tag(draw.RoleLabel, ""), x, y)
			b.set(g.Tag(draw.RoleBody, ""), x+indent, y)
			for n := range rows {
				f.rule(bare, x+indent, y+b.height()+room*draw.MM(n+1), textWidth-indent, f.theme.Rule)
			}
		}})
	}
	f.paragraph(q.Under, draw.Sans, sizeLabel, f.theme.Quiet, 4, draw.RoleP)
}

// keys are up to three numbers side by side, each above what it is.
func (f *flow) keys(k keys) {
	const gutter = 6
	w := (textWidth - gutter*draw.MM(mostKeys-1)) / mostKeys
	type col struct{ number, title textBlock }
	var cols []col
	high := draw.MM(0)
	for _, x := range k {
		n := blockOf(x.Number, face{draw.SansBold, draw.SansBold}, sizeKey, w, f.theme.Ink)
		t := blockOf(x.Title, sans, sizeLabel, w, f.theme.Quiet)
		cols = append(cols, col{n, t})
		high = max(high, n.height()+t.height())
	}
	if n := len(f.slabs); n > 0 {
		f.slabs[n-1].keep = true // they carry what stands above them
	}
	f.add(slab{height: high + 1.5, before: 4, draw: func(g, bare *draw.Group, x, y draw.MM) {
		for i, c := range cols {
			cx := x + draw.MM(i)*(w+gutter)
			f.rule(bare, cx, y, w, f.theme.Rule)
			p := g.Tag(draw.RoleP, "")
			c.number.set(p, cx, y+1.2)
			c.title.set(p, cx, y+1.2+c.number.height())
		}
	}})
}

func (f *flow) table(t table) {
	const gutter = 4
	n := len(t.Head)
	xs, ws := make([]draw.MM, n), make([]draw.MM, n)
	at := draw.MM(0)
	for i := range n {
		w := textWidth * draw.MM(t.Shares[i])
		xs[i], ws[i] = at, w-gutter
		if i == n-1 {
			ws[i] = w
		}
		at += w
	}
	cells := func(g *draw.Group, row []textBlock, x, y draw.MM, role draw.Role) {
		for i, b := range row {
			c := g
			if role != "" {
				c = g.Tag(role, "")
			}
			if !t.Right[i] {
				b.set(c, x+xs[i], y)
				continue
			}
			for j, l := range b.lines {
				w := draw.MM(0)
				for _, s := range l {
					w += wide(s.s, b.face.of(s.bold), b.size)
				}
				textBlock{b.lines[j : j+1], b.face, b.size, b.color}.set(c, x+xs[i]+ws[i]-w, y+draw.MM(j)*b.size*leading)
			}
		}
	}
	f.paragraph(words(t.Caption), draw.SansBold, sizeLabel, f.theme.Quiet, 2, draw.RoleP)
	f.together(len(f.slabs)-1, true)
	whole := &part{role: draw.RoleTable}
	var heads []textBlock
	for i, h := range t.Head {
		heads = append(heads, blockOf(words(h), sans, sizeFine, ws[i], f.theme.Quiet))
	}
	high := sizeFine*leading + 1
	head := &slab{height: high + 0.6, draw: func(g, bare *draw.Group, x, y draw.MM) {
		cells(g, heads, x, y, "")
		f.rule(bare, x, y+high, textWidth, f.theme.Rule)
	}}
	f.add(slab{height: head.height, before: 0.5, keep: true, part: &part{draw.RoleRow, whole}, draw: func(g, bare *draw.Group, x, y draw.MM) {
		cells(g, heads, x, y, draw.RoleHead)
		f.rule(bare, x, y+high, textWidth, f.theme.Rule)
	}})
	for i, r := range t.Rows {
		var row []textBlock
		tall := draw.MM(0)
		for j, c := range r {
			b := blockOf(c, sans, sizeLabel, ws[j], f.theme.Ink)
			switch {
			case t.Right[j]:
				b = blockOf(c, face{draw.SansBold, draw.SansBold}, sizeLabel, ws[j], f.theme.Ink)
			case j > 1:
				b = blockOf(c, sans, sizeFine, ws[j], f.theme.Quiet)
			}
			row, tall = append(row, b), max(tall, b.height())
		}
		f.add(slab{height: tall + 1.6, keep: i == len(t.Rows)-2, head: head, part: &part{draw.RoleRow, whole}, draw: func(g, bare *draw.Group, x, y draw.MM) {
			cells(g, row, x, y+0.7, draw.RoleCell)
			f.rule(bare, x, y+tall+1.6, textWidth, f.theme.Faint)
		}})
	}
}

func (f *flow) drill(d drill) {
	const label = 22
	from := len(f.slabs)
	f.add(slab{height: 2.6, before: 4.5, keep: true, draw: func(_, bare *draw.Group, x, y draw.MM) { f.rule(bare, x, y, textWidth, f.theme.Rule) }})
	f.paragraph(words(fmt.Sprintf("%d. %s", d.Number, d.Title)), draw.SerifBold, sizeText*1.1, f.theme.Ink, 0, draw.RoleH3)
	f.paragraph(words(d.Form), draw.Sans, sizeLabel, f.theme.Quiet, 0.3, draw.RoleP)
	f.paragraph(d.For, draw.Serif, sizeText, f.theme.Ink, 1.2, draw.RoleP)
	whole := &part{role: draw.RoleTable}
	for i, r := range d.Rows {
		lb := blockOf(words(r.Label), sans, sizeLabel, label-2, f.theme.Quiet)
		tb := blockOf(r.Text, sans, sizeLabel, textWidth-label, f.theme.Ink)
		before := draw.MM(0)
		if i == 0 {
			before = 1.5
		}
		f.add(slab{height: tb.height() + 1.4, before: before, part: &part{draw.RoleRow, whole}, draw: func(g, bare *draw.Group, x, y draw.MM) {
			f.rule(bare, x, y, textWidth, f.theme.Faint)
			lb.set(g.Tag(draw.RoleCell, ""), x, y+0.7)
			tb.set(g.Tag(draw.RoleCell, ""), x+label, y+0.7)
		}})
	}
	f.together(from, false) // a drill is read at the piste: it stands on one page
}

// figure is a plate as it is printed, with the words that stand for it.
func (f *flow) figure(x figure) {
	d := x.onPaper()
	high := d.H * (textWidth / d.W)
	alt := strings.TrimSpace(d.Title + ". " + d.Desc)
	if alt == "." {
		alt = x.Label
	}
	f.add(slab{height: high, before: 4, keep: true, float: true, draw: func(g, bare *draw.Group, px, y draw.MM) {
		g.Tag(draw.RoleFigure, alt).Insert(thin(d, textWidth), px, y, textWidth)
		f.rule(bare, px, y, textWidth, f.theme.Faint)
		f.rule(bare, px, y+high, textWidth, f.theme.Faint)
	}})
	f.paragraph(words(x.Label), draw.Sans, sizeFine, f.theme.Quiet, 1.2, draw.RoleCaption)
}

// mostDots is how fine a photograph is printed, in dots an inch.
const mostDots = 200

// thin takes from photographs what paper cannot show.
func thin(d *draw.Drawing, width draw.MM) *draw.Drawing {
	return d.Thinned(mostDots / 25.4 * float64(width/d.W))
}
