package track

import (
	"image"
	"math"
)

// The side of a picture that is compared as a whole.
const thumbW, thumbH = 32, 18

// thumb is a picture in a few hundred mean values.
type thumb struct {
	mean [thumbW * thumbH]float32
	sum  uint64 // of a sparse sample, to tell equal pictures from similar ones
}

// thumbOf takes the mean of a sparse sample of each block.
func thumbOf(g *image.Gray) thumb {
	var t thumb
	w, h := g.Rect.Dx(), g.Rect.Dy()
	for y := range thumbH {
		for x := range thumbW {
			x0, x1 := x*w/thumbW, max(x*w/thumbW+1, (x+1)*w/thumbW)
			y0, y1 := y*h/thumbH, max(y*h/thumbH+1, (y+1)*h/thumbH)
			stepX, stepY := max(1, (x1-x0)/8), max(1, (y1-y0)/8)
			sum, n := 0, 0
			for v := y0; v < y1; v += stepY {
				row := g.Pix[v*g.Stride:]
				for u := x0; u < x1; u += stepX {
					sum += int(row[u])
					n++
					t.sum = t.sum*1099511628211 + uint64(row[u]) + 1
				}
			}
			t.mean[y*thumbW+x] = float32(sum) / float32(n)
		}
	}
	return t
}

// sameScene is the correlation of two pictures in large blocks below which they show
// different scenes: a camera that turns by a tenth of the picture from one frame to
// the next stays above it, two views of one hall mostly do not.
const sameScene = 0.6

// like reports whether two pictures may show one scene.
func (t thumb) like(o thumb) bool { return t.correlation(o) >= sameScene }

// same reports whether the sampled pixels are equal.
func (t thumb) same(o thumb) bool { return t.sum == o.sum }

func (t thumb) correlation(o thumb) float64 {
	var ma, mb float64
	for i := range t.mean {
		ma += float64(t.mean[i])
		mb += float64(o.mean[i])
	}
	ma, mb = ma/float64(len(t.mean)), mb/float64(len(t.mean))
	var ab, aa, bb float64
	for i := range t.mean {
		a, b := float64(t.mean[i])-ma, float64(o.mean[i])-mb
		ab += a * b
		aa += a * a
		bb += b * b
	}
	if aa == 0 || bb == 0 {
		if aa == bb {
			return 1
		}
		return 0
	}
	return ab / math.Sqrt(aa*bb)
}
