package chart

import (
	"math"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
)

// Sizes of a panel of the course, in millimetres.
const (
	courseHead   draw.MM = 8
	coursePlot   draw.MM = 21
	courseGutter draw.MM = 7.5
	courseGap    draw.MM = 8
)

// coursePoint is one size at one place of the attack, in printed units.
type coursePoint struct {
	closed           float64 // centimetres that the attack has come on
	mean, sd, lo, hi float64
	text             string
}

// course is what the parry is asked as the attack comes on, in two panels: the turn of
// the other blade and the way of the own one.
func (c *parried) course() []part {
	turn, path := []coursePoint{}, []coursePoint{}
	for _, s := range c.p.Course {
		if !s.Closed.IsValid() {
			continue
		}
		at := float64(s.Closed.Mean) * 100
		if s.Turn.IsValid() {
			turn = append(turn, courseOf(at, s.Turn, 180/math.Pi, plate.InDegrees))
		}
		if s.Path.IsValid() && s.Path.Mean > 0 {
			path = append(path, courseOf(at, s.Path, 100, plate.InCentimetres))
		}
	}
	if len(turn) < 2 {
		return nil
	}
	panels := [][]part{{c.panel("turn of the other blade, degrees", turn, turn, c.o.Theme.Brass)}}
	if len(path) > 1 {
		panels = append(panels, []part{c.panel("way of the own blade, centimetres", path, turn, c.hue(c.p.Defender))})
	}
	out := []part{headed("What it is asked as the attack comes on")}
	if c.o.Layout == plate.Wide {
		if len(panels) == 1 {
			panels = append(panels, []part{space(0)})
		}
		return append(out, columns(c.o.inner(), courseGap, panels...))
	}
	for _, p := range panels {
		out = append(out, p...)
	}
	return out
}

func courseOf[U quantity.Unit](at float64, q quantity.Of[U], per float64, f plate.Form) coursePoint {
	return coursePoint{at, float64(q.Mean) * per, float64(q.SD) * per, float64(q.Lo) * per, float64(q.Hi) * per, plate.FigureOf(q, f).Text}
}

// panel draws one size over the way that the attack has come on; the ends are written.
func (c *parried) panel(title string, pts, axis []coursePoint, colour draw.Colour) part {
	return part{height: courseHead + coursePlot + axisHeight, draw: func(l *leaf, b draw.Box) {
		th, ty := l.Theme, l.Type
		x0, x1 := axis[0].closed, axis[len(axis)-1].closed
		top := 1.0
		for _, p := range pts {
			top = math.Max(top, math.Min(p.hi, 2.2*p.mean+2))
		}
		plot := draw.Box{X: b.X + courseGutter, Y: b.Y + courseHead, W: b.W - courseGutter - 2, H: coursePlot}
		x := func(v float64) draw.MM { return plot.X + plot.W*draw.MM((v-x0)/math.Max(x1-x0, 1e-9)) }
		y := func(v float64) draw.MM { return plot.Bottom() - plot.H*draw.MM(math.Max(0, math.Min(top, v))/top) }
		l.Text(draw.Text{At: draw.Pt{X: b.X, Y: b.Y + 2.6}, S: title, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet})
		step := degreeStep(top * 1.6)
		for v := 0.0; v <= top; v += step {
			l.Stroke(draw.Segment(draw.Pt{X: plot.X, Y: y(v)}, draw.Pt{X: plot.Right(), Y: y(v)}), draw.Pen{Colour: th.Rule.Fade(0.45), Width: 0.18})
			l.Text(draw.Text{At: draw.Pt{X: plot.X - 1.2, Y: y(v) + ty.Fine*draw.CapShare/2}, S: plate.FigureOf(quantity.Exactly(quantity.Metres(v/100)), plate.InCentimetres).Value, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
		}
		for _, k := range [2]float64{1.96, 1} {
			var up, down []draw.Pt
			for _, p := range pts {
				lo, hi := p.mean-p.sd, p.mean+p.sd
				if k > 1 {
					lo, hi = p.lo, p.hi
				}
				up, down = append(up, draw.Pt{X: x(p.closed), Y: y(hi)}), append(down, draw.Pt{X: x(p.closed), Y: y(lo)})
			}
			for i := len(down) - 1; i >= 0; i-- {
				up = append(up, down[i])
			}
			l.Fill(draw.Polygon(up...), colour.Fade(0.2))
		}
		var line []draw.Pt
		for _, p := range pts {
			line = append(line, draw.Pt{X: x(p.closed), Y: y(p.mean)})
		}
		l.Stroke(draw.Polyline(line...), draw.Pen{Colour: colour, Width: 0.6, Cap: draw.RoundCap})
		// The ends in words: now, and at the hit.
		first, last := pts[0], pts[len(pts)-1]
		ends := &words{room: draw.Box{X: b.X - 1, Y: b.Y + 2.8, W: b.W + 2, H: b.H}}
		for i, e := range [2]coursePoint{last, first} {
			t := draw.Text{S: e.text, Font: draw.SansBold, Size: ty.Label, Colour: colour, Halo: th.Ground, HaloWidth: 0.8, Anchor: draw.End}
			at := draw.Pt{X: x(e.closed), Y: y(e.mean)}
			l.Fill(draw.Circle(at, 1.1), colour)
			px := at.X
			if i == 1 {
				t.Anchor = draw.Start
			}
			ends.put(l, t, draw.Pt{X: px, Y: at.Y - 1.8}, draw.Pt{X: px, Y: at.Y - 5.4}, draw.Pt{X: px, Y: at.Y + 1.8 + ty.Label*draw.CapShare})
		}
		c.courseAxis(l, plot, x, x0, x1)
	}}
}

func (c *parried) courseAxis(l *leaf, plot draw.Box, x func(float64) draw.MM, x0, x1 float64) {
	th, ty := l.Theme, l.Type
	y := plot.Bottom() + 0.6
	pen := draw.Pen{Colour: th.Rule, Width: 0.25}
	l.Stroke(draw.Segment(draw.Pt{X: plot.X, Y: y}, draw.Pt{X: plot.Right(), Y: y}), pen)
	names := &words{room: draw.Box{X: plot.X - 4, Y: plot.Y, W: plot.W + 8, H: plot.H + axisHeight}}
	put := func(v float64, s string, f draw.Font) {
		l.Stroke(draw.Segment(draw.Pt{X: x(v), Y: y}, draw.Pt{X: x(v), Y: y + 1}), pen)
		names.put(l, draw.Text{S: s, Font: f, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle}, draw.Pt{X: x(v), Y: y + 4})
	}
	put(x0, "now", draw.SansBold)
	put(x1, "hit", draw.SansBold)
	step := 10.0
	for _, s := range [...]float64{5, 10, 20, 50} {
		step = s
		if (x1-x0)/s <= 7 {
			break
		}
	}
	for v := math.Ceil(x0/step+0.3) * step; v < x1; v += step {
		put(v, plate.FigureOf(quantity.Exactly(quantity.Metres(v/100)), plate.InCentimetres).Value, draw.Sans)
	}
	l.Text(draw.Text{At: draw.Pt{X: plot.Right(), Y: y + 7.4}, S: "centimetres that the attack has come on", Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
}
