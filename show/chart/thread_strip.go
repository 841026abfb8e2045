package chart

import (
	"strconv"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// laneCount is how many lanes a side has: one where nothing is written, for its word.
func (c *thread) laneCount(s mark.Side) int { return max(1, len(c.lanes[s])) }

// stripHeight is the height of a strip; one in which no touch bears has no arcs.
func (c *thread) stripHeight(bears bool) draw.MM {
	h := threadHead + draw.MM(c.laneCount(mark.Left)+c.laneCount(mark.Right))*threadLane + threadMiddle
	if bears {
		h += threadArcs + draw.MM(len(c.why))*threadWhy + 2
	}
	return h
}

// stripRows are the heights at which the parts of a strip stand.
type stripRows struct {
	head   draw.MM    // baseline of the numbers
	lanes  [2]draw.MM // top of the lanes of a side
	middle draw.MM
	why    draw.MM // top of the reasons
	bottom draw.MM
}

func (c *thread) rows(y draw.MM, bears bool) stripRows {
	var r stripRows
	if bears {
		y += threadArcs
	}
	r.head = y + threadHead - 1
	r.lanes[mark.Left] = y + threadHead
	r.middle = r.lanes[mark.Left] + draw.MM(c.laneCount(mark.Left))*threadLane
	r.lanes[mark.Right] = r.middle + threadMiddle
	r.bottom = r.lanes[mark.Right] + draw.MM(c.laneCount(mark.Right))*threadLane
	r.why = r.bottom + 2
	return r
}

// laneY is the middle of the lane of a kind.
func (c *thread) laneY(r stripRows, s mark.Side, kind string) draw.MM {
	for i, k := range c.lanes[s] {
		if k == kind {
			return r.lanes[s] + (draw.MM(i)+0.5)*threadLane
		}
	}
	return r.lanes[s] + threadLane/2
}

// place is the middle of the column of slot i in the strip that begins with from.
func (c *thread) place(b draw.Box, from, i int) draw.MM {
	x := b.X + threadLabel + (draw.MM(i-from)+0.5)*c.step
	if c.asked(i) {
		x += threadApart
	}
	return x
}

// strip draws the columns from, up to but not with to.
func (c *thread) strip(from, to int) part {
	bears := c.anyBears(from, to)
	return part{height: c.stripHeight(bears), draw: func(l *leaf, b draw.Box) {
		r := c.rows(b.Y, bears)
		right := b.X + threadLabel + draw.MM(to-from)*c.step
		c.ground(l, b, r, from, to)
		c.labels(l, b, r, right, bears)
		for _, s := range mark.Sides {
			c.line(l, b, r, s, from, to)
		}
		for i := from; i < to; i++ {
			c.column(l, b, r, from, i)
		}
		if bears {
			c.arcs(l, b, from, to, right)
		}
	}}
}

// ground sets the touch asked about apart.
func (c *thread) ground(l *leaf, b draw.Box, r stripRows, from, to int) {
	for i := from; i < to; i++ {
		if !c.asked(i) {
			continue
		}
		x := c.place(b, from, i)
		top := r.head - 3
		box := draw.Box{X: x - c.step/2 + 0.2, Y: top, W: c.step - 0.4, H: r.bottom - top + 0.6}
		l.Fill(box.Round(0.8), l.Theme.Raised)
		pen := draw.Pen{Colour: l.Theme.Brass, Width: 0.5}
		if !c.x.Fenced {
			pen.Dash = []draw.MM{1.4, 1}
		}
		l.Stroke(box.Round(0.8), pen)
	}
}

// labels are the words at the left and the hairlines of the lanes.
func (c *thread) labels(l *leaf, b draw.Box, r stripRows, right draw.MM, bears bool) {
	ty := l.Type
	word := func(y draw.MM, s string, font draw.Font, colour draw.Colour) {
		t := draw.Text{At: draw.Pt{X: b.X, Y: y + ty.Fine*draw.CapShare/2}, S: s, Font: font, Size: ty.Fine, Colour: colour}
		t.S = trimmed(s, t, threadLabel-2)
		l.Text(t)
	}
	for _, s := range mark.Sides {
		if len(c.lanes[s]) == 0 {
			word(r.lanes[s]+threadLane/2, "no choice written", draw.Sans, l.Theme.Quiet)
		}
		for i, k := range c.lanes[s] {
			y := r.lanes[s] + (draw.MM(i)+0.5)*threadLane
			word(y, choiceWords(k), draw.Sans, l.Theme.Ink)
			l.Stroke(draw.Segment(draw.Pt{X: b.X + threadLabel, Y: y}, draw.Pt{X: right, Y: y}), draw.Pen{Colour: l.Theme.Rule.Fade(0.5), Width: 0.15})
		}
	}
	lamp := func(s mark.Side) draw.MM { return c.lampY(r, s) }
	word(lamp(mark.Left)+2.2, c.name(mark.Left), draw.SansBold, plate.Hue(l.Theme, mark.Left))
	word(lamp(mark.Right)-2.2, c.name(mark.Right), draw.SansBold, plate.Hue(l.Theme, mark.Right))
	word(r.head-ty.Fine*draw.CapShare/2, "touch", draw.Sans, l.Theme.Quiet)
	for i, w := range c.why {
		if !bears {
			break
		}
		word(r.why+(draw.MM(i)+0.5)*threadWhy, shortBearing(w), draw.Sans, l.Theme.Quiet)
	}
}

// shortBearing is a reason as the head of its row.
func shortBearing(why string) string {
	switch why {
	case study.BearsLesson:
		return "taught the change"
	case study.BearsSameAnswer:
		return "the same pair"
	case study.BearsSameScore:
		return "same state of score"
	}
	return plate.BearingWords(why)
}

// lampY is the middle of the lamp of a side.
func (c *thread) lampY(r stripRows, s mark.Side) draw.MM {
	if s == mark.Left {
		return r.middle + 1.9
	}
	return r.middle + threadMiddle - 1.9
}

// line leads from choice to choice of one side; it is drawn to the edge where it goes on
// in the strip before or after.
func (c *thread) line(l *leaf, b draw.Box, r stripRows, s mark.Side, from, to int) {
	pen := draw.Pen{Colour: plate.Hue(l.Theme, s).Fade(0.75), Width: 0.4}
	at := func(i int) (draw.Pt, bool) {
		if i < 0 || i >= len(c.touches) || c.touches[i].Kinds[s] == "" {
			return draw.Pt{}, false
		}
		return draw.Pt{X: c.place(b, from, i), Y: c.laneY(r, s, c.touches[i].Kinds[s])}, true
	}
	edge := l.Clip(draw.Box{X: b.X + threadLabel, Y: b.Y, W: b.Right() - b.X - threadLabel + 1, H: b.H}.Path())
	for i := from - 1; i < to; i++ {
		p, ok := at(i)
		q, next := at(i + 1)
		if !ok || !next || i+1 == to && !c.goesOn(to) {
			continue
		}
		if i+1 == to {
			// Half way to where it goes on.
			q = draw.Pt{X: p.X + c.step/2, Y: (p.Y + q.Y) / 2}
			edge.Stroke(draw.Segment(p, q), pen)
			continue
		}
		edge.Stroke(draw.Segment(p, q), pen)
	}
}

// goesOn says whether touches follow after the strip.
func (c *thread) goesOn(to int) bool { return to < len(c.touches) }

// column draws one touch, or the one to come.
func (c *thread) column(l *leaf, b draw.Box, r stripRows, from, i int) {
	th, ty := l.Theme, l.Type
	x := c.place(b, from, i)
	number, font, colour := c.x.At, draw.Sans, th.Quiet
	if i < len(c.touches) {
		number = c.touches[i].Number
		if len(c.touches[i].Bears) > 0 {
			colour = th.Ink
		}
	}
	if c.asked(i) {
		font, colour = draw.SansBold, th.Brass
	}
	l.Text(draw.Text{At: draw.Pt{X: x, Y: r.head}, S: strconv.Itoa(number), Font: font, Size: ty.Fine, Colour: colour, Anchor: draw.Middle})
	score, lamps := c.x.Score, [2]bool{}
	if i < len(c.touches) {
		t := c.touches[i]
		score = t.Score
		lamps = [2]bool{t.Outcome == "left" || t.Outcome == "double", t.Outcome == "right" || t.Outcome == "double"}
		for _, s := range mark.Sides {
			if t.Kinds[s] == "" {
				continue
			}
			shape := plate.Shape(s, draw.Pt{X: x, Y: c.laneY(r, s, t.Kinds[s])}, 2.3)
			if lamps[s] {
				l.Fill(shape, plate.Hue(th, s))
			} else {
				ground := th.Ground
				if c.asked(i) {
					ground = th.Raised
				}
				l.Fill(shape, ground)
			}
			l.Stroke(shape, draw.Pen{Colour: plate.Hue(th, s), Width: 0.35})
		}
		for k, w := range c.why {
			if bearsFor(t, w) {
				c.reason(l, draw.Pt{X: x, Y: r.why + (draw.MM(k)+0.5)*threadWhy}, t, w)
			}
		}
	}
	for _, s := range mark.Sides {
		box := draw.Box{X: x - 1.9, Y: c.lampY(r, s) - 0.65, W: 3.8, H: 1.3}
		switch {
		case lamps[s] && s == mark.Left:
			l.Fill(box.Path(), th.LampRed)
		case lamps[s]:
			l.Fill(box.Path(), th.LampGreen)
		case i < len(c.touches):
			l.Stroke(box.Path(), draw.Pen{Colour: th.Rule.Fade(0.6), Width: 0.15})
		}
		y := c.lampY(r, s) + 2.2
		if s == mark.Right {
			y = c.lampY(r, s) - 2.2
		}
		l.Text(draw.Text{At: draw.Pt{X: x, Y: y + ty.Fine*draw.CapShare/2}, S: strconv.Itoa(score.Of(s)), Font: draw.Sans, Size: ty.Fine, Colour: plate.Hue(th, s), Anchor: draw.Middle})
	}
}

// reason is the sign of one reason: the shape of the fencer whose choice it was, a dot
// where it is of the touch.
func (c *thread) reason(l *leaf, at draw.Pt, t study.ThreadTouch, why string) {
	const size draw.MM = 1.7
	if why != study.BearsSameChoice && why != study.BearsLesson {
		l.Fill(draw.Circle(at, size*0.42), l.Theme.Quiet)
		return
	}
	var who [2]bool
	for _, b := range t.Bears {
		if b.Why == why {
			who[b.Who] = true
		}
	}
	for _, s := range mark.Sides {
		p := at
		if who[mark.Left] && who[mark.Right] {
			p.X += [2]draw.MM{-1.1, 1.1}[s]
		}
		if who[s] {
			l.Fill(plate.Shape(s, p, size), plate.Hue(l.Theme, s))
		}
	}
}

// arcs lead from each touch that bears to the touch asked about, or to the edge where it
// stands in another strip.
func (c *thread) arcs(l *leaf, b draw.Box, from, to int, right draw.MM) {
	foot := b.Y + threadArcs - 0.1
	target, here := right+1, false
	for i := from; i < to; i++ {
		if c.asked(i) {
			target, here = c.place(b, from, i), true
		}
	}
	longest := max(target-c.place(b, from, from), 1)
	for i := from; i < min(to, len(c.touches)); i++ {
		t := c.touches[i]
		if len(t.Bears) == 0 || c.asked(i) {
			continue
		}
		x := c.place(b, from, i)
		height := 2.6 + (threadArcs-3.2)*(target-x)/longest
		width := 0.22 + 0.16*draw.MM(min(len(t.Bears), 5)-1)
		pen := draw.Pen{Colour: l.Theme.Quiet, Width: width}
		p := new(draw.Path).Move(x, foot)
		top := foot - height*4/3 // the top of a cubic lies at three quarters of its handles
		if here {
			p.Curve(x, top, target, top, target, foot)
		} else {
			p.Curve(x, foot-height, x+1, foot-height, min(x+4, target), foot-height)
			p.Line(target, foot-height)
		}
		l.Stroke(p, pen)
		l.Fill(draw.Circle(draw.Pt{X: x, Y: foot}, 0.5), l.Theme.Quiet)
	}
	if here {
		l.Fill(draw.Polygon(draw.Pt{X: target, Y: foot + 0.8}, draw.Pt{X: target - 0.9, Y: foot - 0.9}, draw.Pt{X: target + 0.9, Y: foot - 0.9}), l.Theme.Brass)
	}
}

func (c *thread) anyBears(from, to int) bool {
	for i := from; i < min(to, len(c.touches)); i++ {
		if len(c.touches[i].Bears) > 0 {
			return true
		}
	}
	return false
}

// keys says how the strip is read.
func (c *thread) keys() []key {
	shape := func(s mark.Side, filled bool) func(sh *plate.Sheet, b draw.Box) {
		return func(sh *plate.Sheet, b draw.Box) {
			p := plate.Shape(s, draw.Pt{X: b.X + b.W/2, Y: b.Y + b.H/2}, 2.3)
			if filled {
				sh.Fill(p, plate.Hue(sh.Theme, s))
			}
			sh.Stroke(p, draw.Pen{Colour: plate.Hue(sh.Theme, s), Width: 0.35})
		}
	}
	lamp := func(colour func(draw.Theme) draw.Colour) func(sh *plate.Sheet, b draw.Box) {
		return func(sh *plate.Sheet, b draw.Box) {
			sh.Fill(draw.Box{X: b.X, Y: b.Y + b.H/2 - 0.65, W: b.W, H: 1.3}.Path(), colour(sh.Theme))
		}
	}
	all := []key{
		{"chosen, and it hit", 2.6, shape(mark.Left, true)},
		{"chosen, and it did not", 2.6, shape(mark.Left, false)},
		{"red lamp: left hit", 3.8, lamp(func(t draw.Theme) draw.Colour { return t.LampRed })},
		{"green lamp: right hit", 3.8, lamp(func(t draw.Theme) draw.Colour { return t.LampGreen })},
	}
	if len(c.why) > 0 {
		all = append(all, key{"bears on the touch asked about; thicker: for more reasons", 7, func(sh *plate.Sheet, b draw.Box) {
			p := new(draw.Path).Move(b.X, b.Bottom()).Curve(b.X, b.Y-1, b.Right(), b.Y-1, b.Right(), b.Bottom())
			sh.Stroke(p, draw.Pen{Colour: sh.Theme.Quiet, Width: 0.4})
		}})
	}
	return all
}
