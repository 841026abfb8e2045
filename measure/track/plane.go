package track

import (
	"fmt"
	"image"
)

// Plane is a picture of brightness, row by row.
type Plane struct {
	W, H int
	Pix  []float32
}

// NewPlane returns a black picture. It panics on a size below 1.
func NewPlane(w, h int) Plane {
	if w < 1 || h < 1 {
		panic(fmt.Sprintf("track: a picture of %d × %d", w, h))
	}
	return Plane{w, h, make([]float32, w*h)}
}

// FromGray returns the brightness of a picture.
func FromGray(g *image.Gray) Plane {
	b := g.Bounds()
	p := NewPlane(b.Dx(), b.Dy())
	for y := range p.H {
		row := g.Pix[g.PixOffset(b.Min.X, b.Min.Y+y):][:p.W]
		out := p.Pix[y*p.W:][:p.W]
		for x, v := range row {
			out[x] = float32(v)
		}
	}
	return p
}

// row returns one row, the nearest one where y lies outside.
func (p Plane) row(y int) []float32 {
	y = max(0, min(y, p.H-1))
	return p.Pix[y*p.W:][:p.W]
}

// half returns the picture at half the size: each pixel is the mean of its
// neighbourhood by the binomial weights 1 4 6 4 1 (Burt & Adelson, IEEE Trans.
// Comm. 31:532, 1983), edges repeated. Pixel (u, v) of the result stands at
// (2u, 2v) of the picture.
func (p Plane) half() Plane {
	q := NewPlane((p.W+1)/2, (p.H+1)/2)
	p.halve(q, make([]float32, q.W*p.H))
	return q
}

// halve writes the picture at half the size into q; across has room for the rows,
// smoothed and thinned.
func (p Plane) halve(q Plane, across []float32) {
	w, h := q.W, q.H
	for y := range p.H {
		in := p.Pix[y*p.W:][:p.W]
		out := across[y*w:][:w]
		for x := range out {
			c := 2 * x
			if c >= 2 && c+2 < p.W {
				s := in[c-2 : c+3 : c+3]
				out[x] = (s[0] + s[4] + 4*(s[1]+s[3]) + 6*s[2]) / 16
				continue
			}
			at := func(i int) float32 { return in[max(0, min(i, p.W-1))] }
			out[x] = (at(c-2) + at(c+2) + 4*(at(c-1)+at(c+1)) + 6*at(c)) / 16
		}
	}
	line := func(y int) []float32 { return across[max(0, min(y, p.H-1))*w:][:w] }
	for y := range h {
		c := 2 * y
		a, b, m, d, e := line(c-2), line(c-1), line(c), line(c+1), line(c+2)
		out := q.Pix[y*w:][:w]
		for x := range out {
			out[x] = (a[x] + e[x] + 4*(b[x]+d[x]) + 6*m[x]) / 16
		}
	}
}

// window samples a square of side n about a centre, bilinearly, edges repeated, into
// dst row by row.
func (p Plane) window(dst []float32, n int, u, v float32) {
	u -= float32(n-1) / 2
	v -= float32(n-1) / 2
	x0, y0 := floor(u), floor(v)
	fx, fy := u-float32(x0), v-float32(y0)
	w00, w10, w01, w11 := (1-fx)*(1-fy), fx*(1-fy), (1-fx)*fy, fx*fy
	if x0 >= 0 && y0 >= 0 && x0+n < p.W && y0+n < p.H {
		for y := range n {
			top := p.Pix[(y0+y)*p.W+x0:][: n+1 : n+1]
			low := p.Pix[(y0+y+1)*p.W+x0:][: n+1 : n+1]
			out := dst[y*n:][:n:n]
			for x := range out {
				out[x] = w00*top[x] + w10*top[x+1] + w01*low[x] + w11*low[x+1]
			}
		}
		return
	}
	for y := range n {
		top, low := p.row(y0+y), p.row(y0+y+1)
		for x := range n {
			a, b := max(0, min(x0+x, p.W-1)), max(0, min(x0+x+1, p.W-1))
			dst[y*n+x] = w00*top[a] + w10*top[b] + w01*low[a] + w11*low[b]
		}
	}
}

func floor(x float32) int {
	i := int(x)
	if float32(i) > x {
		i--
	}
	return i
}

// Pyramid is a picture in several sizes, each half of the one before.
type Pyramid struct {
	Levels []Plane
	across []float32 // room for halving, kept by Refill
}

// DefaultLevels of a pyramid: three halvings follow a movement of some 8 × 10 = 80
// pixels.
const DefaultLevels = 4

// minSide is the least side of a level: below it a window sees only edges.
const minSide = 16

// NewPyramid halves a picture until there are as many levels as asked, or it gets
// too small; zero asks for DefaultLevels.
func NewPyramid(p Plane, levels int) *Pyramid {
	if levels == 0 {
		levels = DefaultLevels
	}
	py := &Pyramid{Levels: []Plane{p}}
	for len(py.Levels) < levels {
		last := py.Levels[len(py.Levels)-1]
		if last.W < 2*minSide || last.H < 2*minSide {
			break
		}
		py.Levels = append(py.Levels, last.half())
	}
	return py
}

// Refill builds the pyramid of another picture in the memory of this one, where it is
// of the same size; nil makes a new one. Whoever still reads the old pictures must not.
func (py *Pyramid) Refill(g *image.Gray) *Pyramid {
	w, h := g.Rect.Dx(), g.Rect.Dy()
	if py == nil || py.Levels[0].W != w || py.Levels[0].H != h {
		py = NewPyramid(NewPlane(w, h), 0)
		py.across = make([]float32, (w+1)/2*h)
	}
	base := py.Levels[0]
	for y := range h {
		in, out := g.Pix[y*g.Stride:][:w:w], base.Pix[y*w:][:w:w]
		for x, v := range in {
			out[x] = float32(v)
		}
	}
	for l := 1; l < len(py.Levels); l++ {
		py.Levels[l-1].halve(py.Levels[l], py.across)
	}
	return py
}
