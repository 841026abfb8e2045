package chart

import (
	"math"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// arrivals draws when each point arrives, on one axis of time with the gate of
// the apparatus.
func (c *race) arrivals() {
	c.head("When it arrives")
	gate := c.take(gateHeight)
	rows := [2]draw.Box{c.take(arriveRow), c.take(arriveRow)}
	axis := c.take(axisHeight)

	latest := quantity.Seconds(0.1)
	first, any := quantity.Seconds(math.Inf(1)), false
	for _, s := range mark.Sides {
		run := c.race.Runs[s]
		if run.Onset.IsValid() {
			latest = max(latest, run.Onset.Hi)
		}
		if arrives(run) {
			latest = max(latest, run.Arrival.Hi)
			first, any = min(first, run.Arrival.Mean), true
		}
	}
	if any && c.race.Window.IsValid() {
		latest = max(latest, first+c.race.Window.Hi)
	}
	const start = 2.2
	room := c.in.W - start - 1.5
	scale := room / draw.MM(latest)
	x := func(t quantity.Seconds) draw.MM { return c.in.X + start + scale*draw.MM(max(0, t)) }

	var gateBox draw.Box
	if any && c.race.Window.IsValid() && c.race.Window.Mean > 0 {
		gateBox = c.gate(gate, axis.Y+0.6, first, x)
	}
	for _, s := range mark.Sides {
		c.arrival(s, rows[s], gateBox, x)
	}
	step := timeStep(float64(latest))
	c.axis(axis, x(0), float64(latest), float64(scale), step, 1000, "milliseconds after "+c.start())
}

// timeStep is the distance of the numbers on an axis of seconds.
func timeStep(latest float64) float64 {
	for _, s := range [...]float64{0.05, 0.1, 0.2, 0.5} {
		if latest/s <= 8 {
			return s
		}
	}
	return math.Ceil(latest / 8)
}

// gate draws the double window from the mean of the first arrival on: if the
// other arrives inside, both lamps light. Its end is as soft as the apparatus is
// allowed to be. It returns where it stands.
func (c *race) gate(head draw.Box, bottom draw.MM, first quantity.Seconds, x func(quantity.Seconds) draw.MM) draw.Box {
	w := c.race.Window
	a, b := x(first), x(first+w.Mean)
	top := head.Bottom() - 0.6
	box := draw.Box{X: a, Y: top, W: b - a, H: bottom - top}
	c.Fill(box.Path(), c.Theme.Brass.Fade(0.16))
	if w.SD > 0 {
		c.Hatch(draw.Box{X: x(first + w.Lo), Y: top, W: x(first+w.Hi) - x(first+w.Lo), H: bottom - top}.Path(),
			draw.Hatch{Colour: c.Theme.Brass.Fade(0.7), Width: 0.18, Gap: 0.8, Rising: true})
	}
	pen := draw.Pen{Colour: c.Theme.Brass, Width: 0.35}
	for _, px := range [2]draw.MM{a, b} {
		c.Stroke(draw.Segment(draw.Pt{X: px, Y: top}, draw.Pt{X: px, Y: bottom}), pen)
	}
	c.Stroke(draw.Segment(draw.Pt{X: a, Y: top}, draw.Pt{X: b, Y: top}), pen)
	t := draw.Text{S: "double window " + plate.Milliseconds(w), Font: draw.SansBold, Size: c.Type.Fine, Colour: c.Theme.Brass, Anchor: draw.Middle, At: draw.Pt{X: (a + b) / 2, Y: top - 1.2}}
	if box := t.Box(); box.Right() > head.Right() {
		t.Anchor, t.At.X = draw.End, head.Right()
	} else if box.X < head.X {
		t.Anchor, t.At.X = draw.Start, head.X
	}
	c.Text(t)
	return box
}

// arrival draws one row: the wait before the movement hatched, the movement as a
// line, the arrival as a soft band.
func (c *race) arrival(s mark.Side, row, gate draw.Box, x func(quantity.Seconds) draw.MM) {
	run, hue := c.race.Runs[s], plate.Hue(c.Theme, s)
	mid := row.Y + row.H/2
	h := draw.MM(4.4)
	onset := quantity.Seconds(0)
	if run.Onset.IsValid() {
		onset = max(0, run.Onset.Mean)
	}
	if x(onset)-x(0) > 1 {
		c.Hatch(draw.Box{X: x(0), Y: mid - 1.3, W: x(onset) - x(0), H: 2.6}.Path(), draw.Hatch{Colour: hue.Fade(0.8), Width: 0.2, Gap: 0.95, Rising: true})
		words := "waits"
		if strings.Contains(run.OnsetText, "react") {
			words = "reacts"
		}
		t := draw.Text{S: words, Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Ink, Halo: c.Theme.Ground, HaloWidth: 0.7, Anchor: draw.Middle, At: draw.Pt{X: (x(0) + x(onset)) / 2, Y: mid + c.Type.Fine*draw.XShare/2}}
		if t.Width()+3 < x(onset)-x(0) {
			c.Text(t)
		}
	}
	c.Fill(plate.Shape(s, draw.Pt{X: x(0), Y: mid}, 3.4), c.Theme.Ground)
	c.Fill(plate.Shape(s, draw.Pt{X: x(0), Y: mid}, 2.6), hue)
	if !arrives(run) {
		words := "does not arrive"
		if run.Arrives > 0 {
			words = "arrives in " + plate.Chance(run.Arrives) + " of the draws only"
		}
		t := draw.Text{S: words, Font: draw.Sans, Size: c.Type.Label, Colour: c.Theme.Quiet, Halo: c.Theme.Ground, HaloWidth: 0.7,
			At: draw.Pt{X: max(x(onset), x(0)+2) + 2.5, Y: mid + c.Type.Label*draw.XShare/2}}
		if t.Box().Right() > c.in.Right() {
			t.At.X, t.Anchor = c.in.Right(), draw.End
		}
		c.Text(t)
		return
	}
	c.Stroke(draw.Segment(draw.Pt{X: max(x(onset), x(0)+2), Y: mid}, draw.Pt{X: x(run.Arrival.Mean), Y: mid}), draw.Pen{Colour: hue, Width: 0.5})
	c.soft(run.Arrival, mid, h, x, hue)
	from := max(x(onset)+1, x(0)+2.6) // where the words of the row may begin
	label := c.arrivalLabel(run, from, mid, gate, hue, x)
	c.Text(label)
	words := draw.Text{S: "in " + plate.Chance(run.Arrives) + " of the draws", Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Halo: c.Theme.Ground, HaloWidth: 0.7, Anchor: draw.End,
		At: draw.Pt{X: label.Box().X - 2, Y: label.At.Y}}
	if run.Arrives < 0.995 && label.Anchor == draw.End && words.Box().X > from {
		c.Text(words)
	}
}

// arrivalLabel places the number of an arrival: before its band, else before the
// gate, because inside the gate it would be taken for a number of it, else after
// the band.
func (c *race) arrivalLabel(run study.Run, from, mid draw.MM, gate draw.Box, hue draw.Colour, x func(quantity.Seconds) draw.MM) draw.Text {
	t := draw.Text{S: plate.Milliseconds(run.Arrival), Font: draw.SansBold, Size: c.Type.Label, Colour: hue, Halo: c.Theme.Ground, HaloWidth: 0.7}
	y := mid + c.Type.Label*draw.CapShare/2
	var first draw.Text
	for i, at := range []struct {
		x draw.MM
		a draw.Anchor
	}{{x(run.Arrival.Lo) - 1.5, draw.End}, {min(x(run.Arrival.Lo), gate.X) - 1.5, draw.End}, {x(run.Arrival.Hi) + 1.5, draw.Start}, {max(x(run.Arrival.Hi), gate.Right()) + 1.5, draw.Start}} {
		t.At, t.Anchor = draw.Pt{X: at.x, Y: y}, at.a
		if i == 0 {
			first = t
		}
		if b := t.Box(); b.X >= from && b.Right() <= c.in.Right() && !(gate.W > 0 && b.Meets(gate)) {
			return t
		}
	}
	if first.Box().X < from { // no room anywhere: on the band, by its end
		first.At.X, first.Anchor = c.in.Right(), draw.End
	}
	return first
}

// soft draws an uncertain instant as a band with an inner and an outer part.
func (c *race) soft(q quantity.Of[quantity.Seconds], mid, h draw.MM, x func(quantity.Seconds) draw.MM, hue draw.Colour) {
	for _, e := range [2][2]quantity.Seconds{{q.Lo, q.Hi}, {q.Mean - q.SD, q.Mean + q.SD}} {
		c.Fill(draw.Box{X: x(e[0]), Y: mid - h/2, W: x(e[1]) - x(e[0]), H: h}.Path(), hue.Fade(0.34))
	}
	c.Stroke(draw.Segment(draw.Pt{X: x(q.Mean), Y: mid - h/2 - 0.6}, draw.Pt{X: x(q.Mean), Y: mid + h/2 + 0.6}), draw.Pen{Colour: hue, Width: 0.8})
}

// outcome is one of the four ways in which a race can end.
type outcome struct {
	words       string
	lamps       string
	chance      quantity.Of[quantity.Chance]
	left, right bool // whose lamp lights
}

func outcomesOf(r *study.Race) [4]outcome {
	return [4]outcome{
		{"Left alone", "red lamp", r.LeftOnly, true, false},
		{"Both", "both lamps", r.Both, true, true},
		{"Right alone", "green lamp", r.RightOnly, false, true},
		{"Neither", "no lamp", r.Neither, false, false},
	}
}

// outcomes draws the four ways to end as parts of one bar, and in words.
func (c *race) outcomes() {
	c.head("What the lamps would show")
	bar := c.take(barHeight)
	x := bar.X
	all := outcomesOf(c.race)
	for _, o := range all {
		w := bar.W * draw.MM(o.chance.Mean)
		c.outcomeFill(o, draw.Box{X: x, Y: bar.Y, W: w, H: bar.H})
		x += w
	}
	c.take(2)
	columns := 4
	if c.Layout == plate.Phone {
		columns = 2
	}
	for i := 0; i < len(all); i += columns {
		row := c.take(cellHeight)
		for k := range columns {
			w := row.W / draw.MM(columns)
			c.cell(all[i+k], draw.Box{X: row.X + draw.MM(k)*w, Y: row.Y, W: w, H: row.H})
		}
	}
}

// outcomeFill fills a part of the bar: the hue of the one who scores, the
// hatches of both, or nothing.
func (c *race) outcomeFill(o outcome, b draw.Box) {
	if !(b.W > 0.05) {
		return
	}
	th, inside := c.Theme, draw.Box{X: b.X, Y: b.Y, W: max(b.W-0.5, 0.3), H: b.H}
	switch {
	case o.left && o.right:
		c.Fill(inside.Path(), th.Faint)
		c.Hatch(inside.Path(), draw.Hatch{Colour: th.Left, Width: 0.35, Gap: 1.1, Rising: true})
		c.Hatch(inside.Path(), draw.Hatch{Colour: th.Right, Width: 0.35, Gap: 1.1})
	case o.left:
		c.Fill(inside.Path(), th.Left)
	case o.right:
		c.Fill(inside.Path(), th.Right)
	default:
		c.Stroke(inside.Grow(-0.15).Path(), draw.Pen{Colour: th.Rule, Width: 0.3})
	}
}

// cell says one outcome in words, with its chance and its lamps.
func (c *race) cell(o outcome, b draw.Box) {
	th, ty := c.Theme, c.Type
	y := b.Y + ty.Text
	const swatch = 2.6
	if o.right && !o.left {
		c.Fill(plate.Shape(mark.Right, draw.Pt{X: b.X + swatch/2, Y: y - swatch/2 + 0.2}, swatch), th.Right)
	} else {
		c.outcomeFill(o, draw.Box{X: b.X, Y: y - swatch + 0.2, W: swatch + 0.5, H: swatch})
	}
	x := b.X + swatch + 1.6
	c.Text(draw.Text{At: draw.Pt{X: x, Y: y}, S: o.words, Font: draw.Serif, Size: ty.Text, Colour: th.Ink})
	c.Text(draw.Text{At: draw.Pt{X: x, Y: y + 5.6}, S: plate.Percent(o.chance), Font: draw.SansBold, Size: ty.Key, Colour: th.Ink})
	lamp := x
	for _, l := range []struct {
		on bool
		c  draw.Colour
	}{{o.left, th.LampRed}, {o.right, th.LampGreen}} {
		if l.on {
			c.Fill(draw.Box{X: lamp, Y: y + 7.6, W: 3, H: 1.7}.Round(0.85), l.c)
			lamp += 3.6
		}
	}
	if lamp > x {
		lamp += 0.4
	}
	c.Text(draw.Text{At: draw.Pt{X: lamp, Y: y + 9.4}, S: o.lamps, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet})
}
