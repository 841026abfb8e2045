package draw

import "math"

type verb uint8

const (
	moveTo verb = iota
	lineTo
	quadTo
	cubeTo
	closePath
)

// points is how many points each verb takes.
var points = [...]int{moveTo: 1, lineTo: 1, quadTo: 2, cubeTo: 3, closePath: 0}

type step struct {
	verb verb
	p    [3]Pt
}

// Path is an outline of lines and curves, filled by the non-zero rule. The zero
// Path is empty. The building methods return the path itself.
type Path struct{ steps []step }

// Move starts a new part of the path.
func (p *Path) Move(x, y MM) *Path { return p.add(moveTo, Pt{x, y}) }

// Line goes straight on.
func (p *Path) Line(x, y MM) *Path { return p.add(lineTo, Pt{x, y}) }

// Quad goes on by a quadratic curve with one control point.
func (p *Path) Quad(cx, cy, x, y MM) *Path { return p.add(quadTo, Pt{cx, cy}, Pt{x, y}) }

// Curve goes on by a cubic curve with two control points.
func (p *Path) Curve(ax, ay, bx, by, x, y MM) *Path {
	return p.add(cubeTo, Pt{ax, ay}, Pt{bx, by}, Pt{x, y})
}

// Close goes back to where this part started.
func (p *Path) Close() *Path { return p.add(closePath) }

func (p *Path) add(v verb, pts ...Pt) *Path {
	if len(p.steps) == 0 && v != moveTo {
		panic("draw: a path must start with Move")
	}
	for _, q := range pts {
		// x − x is zero for every number but NaN and the infinities.
		if q.X-q.X != 0 || q.Y-q.Y != 0 {
			panic("draw: a path must have finite points")
		}
	}
	s := step{verb: v}
	copy(s.p[:], pts)
	p.steps = append(p.steps, s)
	return p
}

// Empty reports whether there is nothing to draw.
func (p *Path) Empty() bool { return p == nil || len(p.steps) == 0 }

// Bounds returns a box that holds the path, control points included.
func (p *Path) Bounds() Box {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, s := range p.steps {
		for _, q := range s.p[:points[s.verb]] {
			x0, x1 = math.Min(x0, float64(q.X)), math.Max(x1, float64(q.X))
			y0, y1 = math.Min(y0, float64(q.Y)), math.Max(y1, float64(q.Y))
		}
	}
	if x1 < x0 {
		return Box{}
	}
	return Box{MM(x0), MM(y0), MM(x1 - x0), MM(y1 - y0)}
}

// Join adds the parts of another path.
func (p *Path) Join(o *Path) *Path {
	p.steps = append(p.steps, o.steps...)
	return p
}

// Segment is a straight line between two points.
func Segment(a, b Pt) *Path { return new(Path).Move(a.X, a.Y).Line(b.X, b.Y) }

// Polyline runs through the points in order and stays open.
func Polyline(pts ...Pt) *Path {
	p := new(Path)
	for i, q := range pts {
		if i == 0 {
			p.Move(q.X, q.Y)
		} else {
			p.Line(q.X, q.Y)
		}
	}
	return p
}

// Polygon runs through the points in order and closes.
func Polygon(pts ...Pt) *Path {
	p := Polyline(pts...)
	if len(pts) > 0 {
		p.Close()
	}
	return p
}

// Path returns the outline of the box.
func (b Box) Path() *Path {
	return Polygon(Pt{b.X, b.Y}, Pt{b.Right(), b.Y}, Pt{b.Right(), b.Bottom()}, Pt{b.X, b.Bottom()})
}

// kappa is the length of the handles of the cubic that stands for a quarter of
// a unit circle: 4(√2−1)/3, off the true circle by less than 0.03 %.
const kappa = 0.5522847498307936

// Round returns the outline of the box with rounded corners.
func (b Box) Round(r MM) *Path {
	r = min(r, b.W/2, b.H/2)
	k := r * (1 - kappa)
	x0, y0, x1, y1 := b.X, b.Y, b.Right(), b.Bottom()
	return new(Path).Move(x0+r, y0).Line(x1-r, y0).Curve(x1-k, y0, x1, y0+k, x1, y0+r).
		Line(x1, y1-r).Curve(x1, y1-k, x1-k, y1, x1-r, y1).
		Line(x0+r, y1).Curve(x0+k, y1, x0, y1-k, x0, y1-r).
		Line(x0, y0+r).Curve(x0, y0+k, x0+k, y0, x0+r, y0).Close()
}

// Circle is the circle about a centre.
func Circle(c Pt, r MM) *Path { return Ellipse(c, r, r) }

// Ellipse is the upright ellipse about a centre.
func Ellipse(c Pt, rx, ry MM) *Path {
	kx, ky := rx*kappa, ry*kappa
	x, y := c.X, c.Y
	return new(Path).Move(x+rx, y).Curve(x+rx, y+ky, x+kx, y+ry, x, y+ry).
		Curve(x-kx, y+ry, x-rx, y+ky, x-rx, y).
		Curve(x-rx, y-ky, x-kx, y-ry, x, y-ry).
		Curve(x+kx, y-ry, x+rx, y-ky, x+rx, y).Close()
}
