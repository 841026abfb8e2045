package draw

// MM is a length on the paper in millimetres.
type MM float64

// pointsPerInch and mmPerInch define the typographic point of PDF.
const (
	pointsPerInch = 72
	mmPerInch     = 25.4
)

// Points returns n typographic points (1/72 inch) as millimetres.
func Points(n float64) MM { return MM(n * mmPerInch / pointsPerInch) }

// Pt is a point on the paper.
type Pt struct{ X, Y MM }

// Box is an upright rectangle on the paper.
type Box struct{ X, Y, W, H MM }

// Right returns the x of the right edge.
func (b Box) Right() MM { return b.X + b.W }

// Bottom returns the y of the lower edge.
func (b Box) Bottom() MM { return b.Y + b.H }

// Grow returns the box widened by d on all four sides.
func (b Box) Grow(d MM) Box { return Box{b.X - d, b.Y - d, b.W + 2*d, b.H + 2*d} }

// Meets reports whether the two boxes share an area.
func (b Box) Meets(o Box) bool {
	return b.X < o.Right() && o.X < b.Right() && b.Y < o.Bottom() && o.Y < b.Bottom()
}

// Holds reports whether the point lies in the box, edges included.
func (b Box) Holds(p Pt) bool {
	return b.X <= p.X && p.X <= b.Right() && b.Y <= p.Y && p.Y <= b.Bottom()
}

// affine maps (x, y) to (a·x + c·y + e, b·x + d·y + f), as SVG and PDF write it.
type affine struct{ a, b, c, d, e, f float64 }

var identity = affine{a: 1, d: 1}

func (m affine) at(x, y float64) (float64, float64) {
	return m.a*x + m.c*y + m.e, m.b*x + m.d*y + m.f
}

// then returns the map that applies n first and m after it.
func (m affine) then(n affine) affine {
	return affine{
		a: m.a*n.a + m.c*n.b, b: m.b*n.a + m.d*n.b,
		c: m.a*n.c + m.c*n.d, d: m.b*n.c + m.d*n.d,
		e: m.a*n.e + m.c*n.f + m.e, f: m.b*n.e + m.d*n.f + m.f,
	}
}
