package chart

import (
	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
)

// legendRow is the height of a row of keys.
const legendRow draw.MM = 5.4

// key is one sign of a legend with its words.
type key struct {
	words string
	wide  draw.MM // of the sign
	sign  func(sh *plate.Sheet, b draw.Box)
}

// keyWidth is the room of a key.
func keyWidth(k key, ty plate.Type) draw.MM {
	return k.wide + 1.6 + draw.Text{S: k.words, Font: draw.Sans, Size: ty.Fine}.Width()
}

// legendRows is how many rows the keys take in this width.
func legendRows(keys []key, ty plate.Type, width draw.MM) int {
	if len(keys) == 0 {
		return 0
	}
	n, x := 1, draw.MM(0)
	for _, k := range keys {
		w := keyWidth(k, ty)
		if x > 0 && x+w > width {
			n, x = n+1, 0
		}
		x += w + keyGap
	}
	return n
}

const keyGap draw.MM = 5

// legendKeys draws keys in rows, from the top of the box on.
func legendKeys(sh *plate.Sheet, keys []key, b draw.Box) {
	x, y := b.X, b.Y
	for _, k := range keys {
		w := keyWidth(k, sh.Type)
		if x > b.X && x+w > b.Right() {
			x, y = b.X, y+legendRow
		}
		k.sign(sh, draw.Box{X: x, Y: y + 0.6, W: k.wide, H: 3.2})
		sh.Text(draw.Text{At: draw.Pt{X: x + k.wide + 1.6, Y: y + 2.2 + sh.Type.Fine*draw.XShare/2}, S: k.words, Font: draw.Sans, Size: sh.Type.Fine, Colour: sh.Theme.Quiet})
		x += w + keyGap
	}
}

// windowsLegend says how a stroke is read.
func windowsLegend(def mark.Side) []key {
	hue := func(sh *plate.Sheet) draw.Colour { return plate.Hue(sh.Theme, def) }
	return []key{
		{"open to a guess only", 7, func(sh *plate.Sheet, b draw.Box) {
			sh.Stroke(b.Path(), draw.Pen{Colour: hue(sh), Width: 0.22})
		}},
		{"to an answer; denser: likelier in time", 14, func(sh *plate.Sheet, b draw.Box) {
			for i, p := range [...]float64{0.15, 0.45, 0.75, 1} {
				part := draw.Box{X: b.X + draw.MM(i)*b.W/4, Y: b.Y, W: b.W / 4, H: b.H}
				ink(&sh.Group, part.Path(), p, 0, hue(sh), def == mark.Left)
			}
			sh.Stroke(b.Path(), draw.Pen{Colour: hue(sh), Width: 0.22})
		}},
		{"height: how often a start serves", 11, func(sh *plate.Sheet, b draw.Box) {
			l := timeline{x0: b.X, span: b.W, t0: 0, t1: 1}
			last := quantity.Normal(quantity.Seconds(0.58), 0.16)
			p := l.taper(last, 0, 1, b.Y+b.H/2, b.H/2, b.H/2)
			ink(&sh.Group, p, 0.6, 0, hue(sh), def == mark.Left)
			sh.Stroke(p, draw.Pen{Colour: hue(sh), Width: 0.22})
			x := l.x(last.Mean)
			sh.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y - 0.4}, draw.Pt{X: x, Y: b.Bottom() + 0.4}), draw.Pen{Colour: sh.Theme.Ink, Width: 0.35})
		}},
	}
}

// legend takes its rows off the body and draws the keys in them.
func (c *windows) legend(keys []key) {
	c.Begin(draw.KeyStretch, c.in)
	legendKeys(c.Sheet, keys, c.take(draw.MM(legendRows(keys, c.Type, c.in.W))*legendRow))
}
