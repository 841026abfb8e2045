package chart

import (
	"strconv"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
)

// chances are those before and after the touch on one axis.
func (c *ladder) chances() part {
	const row draw.MM = 7.4
	return part{height: 2*row + 7, draw: func(l *leaf, b draw.Box) {
		th, ty := l.Theme, l.Type
		label := draw.Text{S: "before", Font: draw.Sans, Size: ty.Label}.Width() + 3
		number := draw.Text{S: "88" + nb + "±" + nb + "88" + nb + "%", Font: draw.SansBold, Size: ty.Label}.Width() + 3
		axis := draw.Box{X: b.X + label, Y: b.Y + 1, W: b.W - label - number, H: 2 * row}
		x := func(v quantity.Chance) draw.MM { return axis.X + axis.W*draw.MM(max(0, min(1, v))) }
		for i := 0; i <= 4; i++ {
			v := quantity.Chance(i) / 4
			l.Stroke(draw.Segment(draw.Pt{X: x(v), Y: axis.Y}, draw.Pt{X: x(v), Y: axis.Bottom()}), draw.Pen{Colour: th.Rule.Fade(0.6), Width: 0.2})
			s := strconv.Itoa(25 * i)
			if i == 4 {
				s += nb + "%"
			}
			l.Text(draw.Text{At: draw.Pt{X: x(v), Y: axis.Bottom() + 3.6}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle})
		}
		for i, one := range []struct {
			words string
			q     quantity.Of[quantity.Chance]
			hue   draw.Colour
		}{{"before", c.worth.Before.Win, th.Quiet}, {"after", c.worth.After, th.Ink}} {
			y := axis.Y + row*(draw.MM(i)+0.5)
			base := y + ty.Label*draw.CapShare/2
			l.Text(draw.Text{At: draw.Pt{X: b.X, Y: base}, S: one.words, Font: draw.Sans, Size: ty.Label, Colour: th.Ink})
			band(l, one.q, y, 3.4, x, one.hue)
			l.Stroke(draw.Segment(draw.Pt{X: x(one.q.Mean), Y: y - 2.4}, draw.Pt{X: x(one.q.Mean), Y: y + 2.4}), draw.Pen{Colour: one.hue, Width: 0.6})
			l.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: base}, S: plate.Percent(one.q), Font: draw.SansBold, Size: ty.Label, Colour: one.hue, Anchor: draw.End})
		}
	}}
}
