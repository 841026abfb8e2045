package draw

import "math"

// Hatch is a filling of slanting lines. It stands for what is not certain.
type Hatch struct {
	Colour Colour
	Width  MM // of each line
	Gap    MM // from line to line
	// Rising lines go up to the right; else down.
	Rising bool
}

// Hatch fills the path with slanting lines. They lie on one raster for the whole
// sheet, so that neighbouring areas join without a step.
func (g *Group) Hatch(p *Path, h Hatch) {
	if p.Empty() || h.Colour.A == 0 {
		return
	}
	if !(h.Gap > 0) {
		panic("draw: a hatch needs a gap")
	}
	b := p.Bounds()
	lines := new(Path)
	// A line at 45 degrees is x + s·y = k; the lines are √2·Gap apart in k.
	s := MM(-1)
	if h.Rising {
		s = 1
	}
	stepK := h.Gap * math.Sqrt2
	lo := min(b.X+s*b.Y, b.X+s*b.Bottom())
	hi := max(b.Right()+s*b.Y, b.Right()+s*b.Bottom())
	for i := math.Ceil(float64(lo / stepK)); MM(i)*stepK <= hi; i++ {
		k := MM(i) * stepK
		y0, y1 := b.Y, b.Bottom()
		// Cut to the box: x = k − s·y must lie between its left and right edge.
		ya, yb := (k-b.X)*s, (k-b.Right())*s
		y0, y1 = max(y0, min(ya, yb)), min(y1, max(ya, yb))
		if y0 < y1 {
			lines.Move(k-s*y0, y0).Line(k-s*y1, y1)
		}
	}
	g.Clip(p).Stroke(lines, Pen{Colour: h.Colour, Width: h.Width, Cap: Square})
}
