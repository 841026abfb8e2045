package chart

import (
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// timesEnd is where the numbers beside the rows of the wide sheet end, and halfSteps in
// how many steps the beginning of a stroke grows, which is half as high as in Windows.
const (
	timesEnd  = draw.MM(23)
	halfSteps = 3
)

func (c *whatIf) cells() (rows, columns int) {
	if c.Layout == plate.Phone {
		return 2, 2
	}
	return 1, 4
}

func (c *whatIf) raceHeight(l plate.Layout) draw.MM {
	rows, lane := draw.MM(1), 2*whatIfRow
	if l == plate.Phone {
		rows, lane = 2, 2*(whatIfWords+whatIfRow)
	}
	return 2*headHeight + 2*whatIfBar + whatIfJoin + 2.5 + rows*whatIfCell + lane
}

// outcomes draws the lamps as two bars, and how each part moves between them.
func (c *whatIf) outcomes() {
	sectionHead(c.Sheet, c.take(headHeight), "What the lamps would show")
	bar := c.take(2*whatIfBar + whatIfJoin)
	c.take(2.5)
	now, then := outcomesOf(c.tm.Race), outcomesOf(c.is.Race)
	upper := draw.Box{X: bar.X, Y: bar.Y, W: bar.W, H: whatIfBar}
	lower := draw.Box{X: bar.X, Y: bar.Bottom() - whatIfBar, W: bar.W, H: whatIfBar}
	paint := race{Sheet: c.Sheet}
	xa, xb := bar.X, bar.X
	for i := range now {
		wa, wb := bar.W*barShare(now[i].chance.Mean), bar.W*barShare(then[i].chance.Mean)
		paint.outcomeFill(now[i], draw.Box{X: xa, Y: upper.Y, W: wa, H: upper.H})
		paint.outcomeFill(then[i], draw.Box{X: xb, Y: lower.Y, W: wb, H: lower.H})
		xa, xb = xa+wa, xb+wb
		if i < len(now)-1 && (wa > 0.3 || wb > 0.3) && xa < bar.Right()-0.3 && xb < bar.Right()-0.3 {
			c.Stroke(draw.Segment(draw.Pt{X: xa - 0.25, Y: upper.Bottom() + 0.5}, draw.Pt{X: xb - 0.25, Y: lower.Y - 0.5}), draw.Pen{Colour: c.Theme.Quiet, Width: 0.3})
		}
	}
	rows, columns := c.cells()
	for i := range rows {
		row := c.take(whatIfCell)
		for k := range columns {
			n := i*columns + k
			w := row.W / draw.MM(columns)
			c.cell(now[n], then[n], draw.Box{X: row.X + draw.MM(k)*w, Y: row.Y, W: w, H: row.H})
		}
	}
}

// barShare is a chance as a share of a bar; nothing where it is not known.
func barShare(p quantity.Chance) draw.MM {
	if !(p >= 0 && p <= 1) {
		return 0
	}
	return draw.MM(p)
}

// cell says one outcome as it would be, by how much it differs, and what it is.
func (c *whatIf) cell(now, then outcome, b draw.Box) {
	th, ty := c.Theme, c.Type
	const swatch = 2.6
	y := b.Y + ty.Text
	paint := race{Sheet: c.Sheet}
	if then.right && !then.left {
		c.Fill(plate.Shape(mark.Right, draw.Pt{X: b.X + swatch/2, Y: y - swatch/2 + 0.2}, swatch), th.Right)
	} else {
		paint.outcomeFill(then, draw.Box{X: b.X, Y: y - swatch + 0.2, W: swatch + 0.5, H: swatch})
	}
	x := b.X + swatch + 1.6
	put(&c.Group, draw.Text{S: then.words, Font: draw.Serif, Size: ty.Text, Colour: th.Ink}, x, y, draw.Start)
	value := draw.Text{S: plate.Percent(then.chance), Font: draw.SansBold, Size: ty.Key, Colour: th.Ink}
	put(&c.Group, value, x, y+5.6, draw.Start)
	c.difference(points(now.chance.Mean, then.chance.Mean), x+value.Width()+2.2, y+5.6, draw.Start)
	put(&c.Group, draw.Text{S: "instead of " + plate.Percent(now.chance), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}, x, y+9.6, draw.Start)
}

// difference writes a difference, quiet where there is none.
func (c *whatIf) difference(words string, x, y draw.MM, a draw.Anchor) draw.Text {
	t := draw.Text{S: words, Font: draw.SansBold, Size: c.Type.Label, Colour: c.Theme.Brass}
	if words == "same" {
		t.Font, t.Colour = draw.Sans, c.Theme.Quiet
	}
	t.Halo, t.HaloWidth = c.Theme.Ground, 0.5
	put(&c.Group, t, x, y, a)
	t.At, t.Anchor = draw.Pt{X: x, Y: y}, a
	return t
}

// arrivals draws for each fencer when the point arrives: above as it is, below as it
// would be.
func (c *whatIf) arrivals() {
	sectionHead(c.Sheet, c.take(headHeight), "When each point arrives")
	for _, s := range mark.Sides {
		now, then := c.tm.Race.Runs[s], c.is.Race.Runs[s]
		words := draw.Box{}
		if c.Layout == plate.Phone {
			words = c.take(whatIfWords)
		}
		row := c.take(whatIfRow)
		mid := row.Y + row.H/2
		c.rule(mid)
		hue := plate.Hue(c.Theme, s)
		moved := ""
		if arrives(now) {
			c.halfBand(now.Arrival, mid-halfLane, mid, c.Theme.Quiet)
		}
		if arrives(then) {
			c.halfBand(then.Arrival, mid, mid+halfLane, hue)
		}
		if arrives(now) && arrives(then) {
			moved = shift(now.Arrival.Mean, then.Arrival.Mean)
		}
		name := plate.Name(s) + "’s " + plate.ActionWords(then.Action)
		before, after := arrivalWords(now), arrivalWords(then)
		c.sides(s, name, before, after, moved, words, row)
	}
}

func arrivalWords(run study.Run) string {
	if !arrives(run) {
		return "does not arrive"
	}
	return plate.Milliseconds(run.Arrival)
}

// sides writes the words of an arrival: beside its row, or above it on the phone.
func (c *whatIf) sides(s mark.Side, name, before, after, moved string, words, row draw.Box) {
	const size = 2.6
	ty, th := c.Type, c.Theme
	mid := row.Y + row.H/2
	if c.Layout == plate.Phone {
		y := words.Bottom() - 1.6
		c.Fill(plate.Shape(s, draw.Pt{X: words.X + size/2, Y: y - ty.Text*draw.CapShare/2}, size), plate.Hue(th, s))
		end := words.Right()
		if moved != "" {
			end = c.difference(moved, end, y, draw.End).Box().X - 2
		}
		times := draw.Text{S: before + " → " + after, Font: draw.Sans, Size: ty.Fine, Colour: th.Ink}
		if before == after {
			times.S = after
		}
		title := draw.Text{S: name, Font: draw.Serif, Size: ty.Text, Colour: th.Ink}
		x := words.X + size + 1.8
		if x+title.Width()+2+times.Width() > end {
			title.S = plate.Name(s)
		}
		put(&c.Group, title, x, y, draw.Start)
		put(&c.Group, cut(times, end-x-title.Width()-2), end, y, draw.End)
		return
	}
	base := mid + ty.Text*draw.XShare/2
	c.Fill(plate.Shape(s, draw.Pt{X: row.X + size/2, Y: mid}, size), plate.Hue(th, s))
	put(&c.Group, cut(draw.Text{S: name, Font: draw.Serif, Size: ty.Text, Colour: th.Ink}, nameColumn-size-3.4), row.X+size+1.8, base, draw.Start)
	x := c.x0 + c.span + timesEnd
	put(&c.Group, draw.Text{S: before, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}, x, mid-0.9, draw.End)
	put(&c.Group, draw.Text{S: after, Font: draw.SansBold, Size: ty.Fine, Colour: th.Ink}, x, mid+0.9+ty.Fine*draw.CapShare, draw.End)
	if moved != "" {
		c.difference(moved, row.Right(), base, draw.End)
	}
}

// rule draws the line between as it is and as it would be.
func (c *whatIf) rule(mid draw.MM) {
	c.Stroke(draw.Segment(draw.Pt{X: c.x0, Y: mid}, draw.Pt{X: c.x0 + c.span, Y: mid}), draw.Pen{Colour: c.Theme.Rule, Width: 0.22})
}

// halfBand draws an uncertain instant in one half of a row.
func (c *whatIf) halfBand(q quantity.Of[quantity.Seconds], top, bottom draw.MM, colour draw.Colour) {
	c.band(&c.Group, q, top, bottom, colour.Fade(0.34))
	if c.shows(q.Mean) {
		x := c.x(q.Mean)
		c.Stroke(draw.Segment(draw.Pt{X: x, Y: top}, draw.Pt{X: x, Y: bottom}), draw.Pen{Colour: colour, Width: 0.8})
	}
}

func (c *whatIf) doorsHeight(l plate.Layout) draw.MM {
	h := headHeight
	for _, g := range answerGroups() {
		h += groupRow
		row := whatIfRow
		if l == plate.Phone {
			row += whatIfWords
		}
		h += draw.MM(len(g.of)) * row
	}
	return h
}

// answers draws for each answer when it can still be started, above as it is and below
// as it would be, with the instants at which the defender is ready and the attack hits.
func (c *whatIf) answers() {
	head := c.take(headHeight)
	sectionHead(c.Sheet, head, "What "+strings.ToLower(plate.Name(c.def))+" can start, and until when")
	if c.Layout == plate.Wide {
		for _, k := range [...]struct {
			x draw.MM
			s string
		}{{c.x0 + c.span + timesEnd, "in time"}, {head.Right(), "change"}} {
			c.Text(draw.Text{At: draw.Pt{X: k.x, Y: head.Bottom() - 2.2}, S: k.s, Font: draw.SansBold, Size: c.Type.Fine, Colour: c.Theme.Quiet, Halo: c.Theme.Ground, HaloWidth: 1.2, Anchor: draw.End})
		}
	}
	for _, g := range answerGroups() {
		b := c.take(groupRow)
		c.Text(draw.Text{At: draw.Pt{X: b.X, Y: b.Bottom() - 1.6}, S: g.words, Font: draw.SerifItalic, Size: c.Type.Label, Colour: c.Theme.Quiet})
		for _, a := range g.of {
			now, _ := c.tm.Windows.Of(a)
			then, _ := c.is.Windows.Of(a)
			now.Answer, then.Answer = a, a
			words := draw.Box{}
			if c.Layout == plate.Phone {
				words = c.take(whatIfWords)
			}
			c.answer(now, then, words, c.take(whatIfRow))
		}
	}
}

func (c *whatIf) answer(now, then timing.Window, words, row draw.Box) {
	mid := row.Y + row.H/2
	c.rule(mid)
	hue, rising := plate.Hue(c.Theme, c.def), c.def == mark.Left
	half := func(w *study.Windows, e timing.Window, up, down draw.MM, colour draw.Colour) {
		if open(e) {
			share := draw.MM(e.Possible.Mean)
			c.stroke(&c.Group, e.Earliest, e.Latest, float64(e.InTime.Mean), mid, up*share, down*share, colour, rising, halfSteps)
		}
		top, bottom := mid-up*1.15, mid+down*1.15
		if told(w.Ready) && c.shows(w.Ready.Mean) {
			x := c.x(w.Ready.Mean)
			c.Stroke(draw.Segment(draw.Pt{X: x, Y: top}, draw.Pt{X: x, Y: bottom}), draw.Pen{Colour: c.Theme.Ink, Width: 0.35})
		}
		if hits(w) && c.shows(w.Hit.Mean) {
			x := c.x(w.Hit.Mean)
			c.Stroke(draw.Segment(draw.Pt{X: x, Y: top}, draw.Pt{X: x, Y: bottom}), draw.Pen{Colour: plate.Hue(c.Theme, c.att), Width: 0.6})
		}
	}
	half(c.tm.Windows, now, halfLane, 0, c.Theme.Quiet)
	half(c.is.Windows, then, 0, halfLane, hue)

	ty, th := c.Type, c.Theme
	name := draw.Text{S: plate.AnswerWords(then.Answer), Font: draw.Serif, Size: ty.Text, Colour: th.Ink}
	moved := points(now.InTime.Mean, then.InTime.Mean)
	before := draw.Text{S: plate.Chance(now.InTime.Mean), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}
	after := draw.Text{S: plate.Percent(then.InTime), Font: draw.SansBold, Size: ty.Label, Colour: th.Ink}
	if c.Layout == plate.Phone {
		y := words.Bottom() - 1.6
		put(&c.Group, name, words.X, y, draw.Start)
		c.difference(moved, words.Right(), y, draw.End)
		put(&c.Group, after, words.Right()-10, y, draw.End)
		put(&c.Group, draw.Text{S: before.S + " →", Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}, words.Right()-10-after.Width()-1.4, y, draw.End)
		return
	}
	base := mid + ty.Text*draw.XShare/2
	put(&c.Group, cut(name, nameColumn-1), row.X, base, draw.Start)
	x := c.x0 + c.span + timesEnd
	before.S = plate.Percent(now.InTime)
	after.Size = ty.Fine
	put(&c.Group, before, x, mid-0.9, draw.End)
	put(&c.Group, after, x, mid+0.9+ty.Fine*draw.CapShare, draw.End)
	c.difference(moved, row.Right(), base, draw.End)
}
