package chart

import (
	"math"
	"strconv"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
)

// weights are ticks as high as what hung on each touch, the heaviest named.
func (c *boutChart) weights() part {
	top := 0.0
	for _, t := range c.r.Touches {
		top = math.Max(top, float64(t.Before.Importance.Hi))
	}
	up, _ := roundTop(top)
	return part{height: boutBars + 6, draw: func(l *leaf, all draw.Box) {
		b := c.frame(draw.Box{X: all.X, Y: all.Y + 4, W: all.W, H: boutBars})
		c.grid(l, b, 0, up)
		y := func(v float64) draw.MM { return b.Bottom() - b.H*draw.MM(v/up) }
		for i, t := range c.r.Touches {
			c.tick(l, c.x(b, i), y, t.Before.Importance, i == c.r.Heaviest)
		}
	}}
}

// worths are the same for a double, up where it helps the left fencer.
func (c *boutChart) worths() part {
	top := 0.0
	for _, t := range c.r.Touches {
		top = math.Max(top, math.Max(float64(t.Before.DoubleWorth.Hi), -float64(t.Before.DoubleWorth.Lo)))
	}
	up, _ := roundTop(top)
	return part{height: boutWorth + 5, draw: func(l *leaf, all draw.Box) {
		b := c.frame(draw.Box{X: all.X, Y: all.Y + 2, W: all.W, H: boutWorth})
		c.grid(l, b, -up, up)
		y := func(v float64) draw.MM { return b.Bottom() - b.H*draw.MM((v+up)/(2*up)) }
		free := b.X - boutNumber // where the last word ends
		for i, t := range c.r.Touches {
			x := c.x(b, i)
			if t.Before.Void {
				word := draw.Text{At: draw.Pt{X: x, Y: y(0) - 1}, S: "void", Font: draw.Sans, Size: l.Type.Fine, Colour: l.Theme.Quiet, Anchor: draw.Middle, Halo: l.Theme.Ground, HaloWidth: 0.6}
				if word.Box().X > free {
					l.Text(word)
					free = word.Box().Right() + 1
				}
				continue
			}
			c.tick(l, x, y, t.Before.DoubleWorth, false)
		}
	}}
}

// roundTop is the end of an axis that holds this share, a whole number of steps of 5,
// 10 or 20 in a hundred.
func roundTop(v float64) (top, step float64) {
	step = 0.05
	if v > 0.2 {
		step = 0.1
	}
	if v > 0.5 {
		step = 0.2
	}
	return math.Max(step, math.Ceil(v/step-1e-9)*step), step
}

// grid draws the axis of ticks: its ends and nought, in hundredths.
func (c *boutChart) grid(l *leaf, b draw.Box, lo, hi float64) {
	values := []float64{lo, 0, hi}
	if lo == 0 {
		values = []float64{0, hi / 2, hi}
	}
	for i, v := range values {
		y := b.Bottom() - b.H*draw.MM((v-lo)/(hi-lo))
		l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), draw.Pen{Colour: l.Theme.Rule.Fade(0.6), Width: 0.18})
		n := 100 * v
		s := strconv.FormatFloat(math.Abs(n), 'f', -1, 64)
		if math.Abs(n-math.Round(n)) < 1e-9 {
			s = strconv.Itoa(int(math.Round(math.Abs(n))))
		}
		switch {
		case lo < 0 && v > 0:
			s = "+" + s
		case v < 0:
			s = "−" + s
		}
		if i == len(values)-1 {
			s += nb + "%"
		}
		l.Text(draw.Text{At: draw.Pt{X: b.X - 1.4, Y: y + l.Type.Fine*draw.CapShare/2}, S: s, Font: draw.Sans, Size: l.Type.Fine, Colour: l.Theme.Quiet, Anchor: draw.End})
	}
}

// tick is one number: thick to its mean, with a soft bar that holds 95 %.
func (c *boutChart) tick(l *leaf, x draw.MM, y func(float64) draw.MM, q quantity.Of[quantity.Chance], named bool) {
	if !q.IsValid() {
		return
	}
	width := min(1.5, c.o.inner()/draw.MM(len(c.r.Touches))*0.4)
	from, to := y(float64(q.Hi)), y(float64(q.Lo))
	soft := width * 1.9
	l.Fill(draw.Box{X: x - soft/2, Y: from, W: soft, H: to - from}.Path(), l.Theme.Rule.Fade(0.3))
	zero, mean := y(0), y(float64(q.Mean))
	l.Fill(draw.Box{X: x - width/2, Y: min(zero, mean), W: width, H: max(zero-mean, mean-zero)}.Path(), l.Theme.Quiet)
	if named {
		// Above the bar, where no neighbour can lie: no other is as heavy.
		t := draw.Text{At: draw.Pt{X: x + soft/2, Y: from - 0.8}, S: plate.Percent(q), Font: draw.SansBold, Size: l.Type.Fine, Colour: l.Theme.Ink, Anchor: draw.End, Halo: l.Theme.Ground, HaloWidth: 0.6}
		if t.Box().X < c.o.Layout.Margin()+boutNumber {
			t.Anchor, t.At.X = draw.Start, x-soft/2
		}
		l.Text(t)
	}
}
