package chart

import (
	"math"

	"mesure/show/draw"
)

// field is a number at every place of a grid on the sheet, of place i and j at
// i·len(y) + j.
type field struct {
	x, y []draw.MM
	v    []float64
}

// around returns the outline of where the field is above zero, closed along the edge
// of the grid: between two places the line runs where straight interpolation is zero
// (marching squares; where two opposite corners are above zero, the mean of the four
// says whether they are joined). What is inside lies on one side of all its parts, so
// that holes stay open.
func (f field) around() *draw.Path { return pathOf(f.closed()) }

// level returns the line along which the field is zero, open where it leaves the grid.
func (f field) level() *draw.Path { return pathOf(f.lines()) }

// line is a part of an outline; of a closed one the last point is the first.
type line []draw.Pt

// pathOf makes one path of the lines.
func pathOf(all []line) *draw.Path {
	p := new(draw.Path)
	for _, l := range all {
		if l[0] == l[len(l)-1] {
			p.Join(draw.Polygon(l[:len(l)-1]...))
		} else {
			p.Join(draw.Polyline(l...))
		}
	}
	return p
}

// closed are the lines of around: the grid with a rim of places below zero that lie on
// its edge.
func (f field) closed() []line {
	nx, ny := len(f.x)+2, len(f.y)+2
	x, y := make([]draw.MM, nx), make([]draw.MM, ny)
	for i := range nx {
		x[i] = f.x[max(0, min(i-1, len(f.x)-1))]
	}
	for j := range ny {
		y[j] = f.y[max(0, min(j-1, len(f.y)-1))]
	}
	v := make([]float64, nx*ny)
	for i := range nx {
		for j := range ny {
			v[i*ny+j] = -1 // outside the grid
			if i > 0 && j > 0 && i < nx-1 && j < ny-1 {
				v[i*ny+j] = f.v[(i-1)*len(f.y)+j-1]
			}
		}
	}
	return field{x, y, v}.lines()
}

// lines are those of level.
func (f field) lines() (all []line) {
	l := f.link()
	for e := range l.next { // lines that enter over the edge first, then rings
		if l.next[e] >= 0 && !l.reached[e] {
			all = l.walk(f, int32(e), all)
		}
	}
	for e := range l.next {
		if l.next[e] >= 0 {
			all = l.walk(f, int32(e), all)
		}
	}
	return all
}

// links say for each side of a cell to which other side the line goes on. The side
// from place k to the next along x is 2k, along y 2k + 1.
type links struct {
	next    []int32
	reached []bool
}

// squares lists where the line runs through a cell, by which of its corners (1, 2, 4
// and 8, round from the lower left) are above zero: pairs of sides, 0 below, 1 right,
// 2 above, 3 left, with what is above zero on the left hand.
var squares = [16][]int8{1: {0, 3}, 2: {1, 0}, 3: {1, 3}, 4: {2, 1}, 5: {0, 3, 2, 1}, 6: {2, 0}, 7: {2, 3},
	8: {3, 2}, 9: {0, 2}, 10: {1, 0, 3, 2}, 11: {1, 2}, 12: {3, 1}, 13: {0, 1}, 14: {3, 0}}

func (f field) link() links {
	nx, ny := len(f.x), len(f.y)
	l := links{make([]int32, 2*nx*ny), make([]bool, 2*nx*ny)}
	for e := range l.next {
		l.next[e] = -1
	}
	for i := range nx - 1 {
		for j := range ny - 1 {
			k := i*ny + j
			a, b, c, d := f.v[k], f.v[k+ny], f.v[k+ny+1], f.v[k+1]
			which := 0
			for bit, v := range [4]float64{a, b, c, d} {
				if v > 0 {
					which |= 1 << bit
				}
			}
			pairs := squares[which]
			if joined := a+b+c+d > 0; joined && which == 5 {
				pairs = []int8{0, 1, 2, 3}
			} else if joined && which == 10 {
				pairs = []int8{3, 0, 1, 2}
			}
			sides := [4]int32{int32(2 * k), int32(2*(k+ny) + 1), int32(2 * (k + 1)), int32(2*k + 1)}
			for n := 0; n < len(pairs); n += 2 {
				from, to := sides[pairs[n]], sides[pairs[n+1]]
				l.next[from] = to
				l.reached[to] = true
			}
		}
	}
	return l
}

// walk follows the line from a side on, takes it away and adds it to the others.
func (l links) walk(f field, from int32, all []line) []line {
	var pts []draw.Pt
	e, closed := from, false
	for {
		if pt := f.crossing(e); len(pts) == 0 || pt != pts[len(pts)-1] {
			pts = append(pts, pt)
		}
		to := l.next[e]
		if to < 0 {
			break
		}
		l.next[e] = -1
		if to == from {
			closed = true
			break
		}
		e = to
	}
	if closed && len(pts) > 1 {
		pts = append(pts, pts[0])
	}
	pts = thin(pts, nil)
	if len(pts) < 2 || closed && len(pts) < 4 {
		return all // too small to be seen
	}
	return append(all, pts)
}

// crossing is where the line meets a side, to a hundredth of a millimetre.
func (f field) crossing(e int32) draw.Pt {
	ny := len(f.y)
	k := int(e / 2)
	i, j := k/ny, k%ny
	i2, j2 := i+1, j
	if e%2 == 1 {
		i2, j2 = i, j+1
	}
	a, b := f.v[k], f.v[i2*ny+j2]
	t := draw.MM(a / (a - b))
	fine := func(v draw.MM) draw.MM { return draw.MM(math.Round(float64(v)*100) / 100) }
	return draw.Pt{X: fine(f.x[i] + t*(f.x[i2]-f.x[i])), Y: fine(f.y[j] + t*(f.y[j2]-f.y[j]))}
}

// thinnest is by how much a line may be simplified: less than the eye sees.
const thinnest draw.MM = 0.05

// thin leaves out the points that lie on the line of the others (Ramer 1972, Douglas
// and Peucker 1973) and adds the rest to out.
func thin(pts, out []draw.Pt) []draw.Pt {
	if len(pts) < 3 {
		return append(out, pts...)
	}
	a, b := pts[0], pts[len(pts)-1]
	far, at := draw.MM(0), 0
	for i := 1; i < len(pts)-1; i++ {
		if d := fromSegment(pts[i], a, b); d > far {
			far, at = d, i
		}
	}
	if far <= thinnest {
		return append(out, a, b)
	}
	out = thin(pts[:at+1], out)
	return thin(pts[at:], out[:len(out)-1])
}

// fromSegment is the distance of a point from a stretch of line.
func fromSegment(p, a, b draw.Pt) draw.MM {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := draw.MM(0)
	if l := dx*dx + dy*dy; l > 0 {
		t = max(0, min(1, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/l))
	}
	return draw.MM(math.Hypot(float64(p.X-a.X-t*dx), float64(p.Y-a.Y-t*dy)))
}
