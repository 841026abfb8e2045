package track

import (
	"image"
	"math"

	"mesure/sport/mark"
)

// glance is another frame, and where the background of a patch is on it.
type glance struct {
	g  *image.Gray
	at mark.Pixel
}

// Weights by movement: what stays as it is counts for stillShare of what differs from
// both other frames by fullMove grey levels or more; what differs from one lies between,
// as does the ground that a thing has just left or is about to cover.
const (
	stillShare = 0.08
	fullMove   = 14.0
)

// weigh sets the weights of a patch.
func (e *eye) weigh(p *patch, at mark.Pixel, others []glance) {
	const n = patchSide
	copy(p.w, patchWeights)
	if len(others) > 0 {
		u, v := e.in(at)
		e.full.window(e.j, n, u, v)
		clear(e.move)
		for _, o := range others {
			e.compare(o)
		}
		var sum float32
		for k, m := range e.move {
			p.w[k] *= stillShare + (1-stillShare)*m/float32(len(others))/fullMove
			sum += p.w[k]
		}
		for k := range p.w {
			p.w[k] /= sum
		}
	}
	square := 0.0
	for _, w := range p.w {
		square += float64(w * w)
	}
	p.count = 1 / square
	// The coarse pixels lie on every second fine one from the middle.
	var sum float32
	for y := range coarseSide {
		for x := range coarseSide {
			fy, fx := max(0, min(n-1, n/2+2*(y-coarseSide/2))), max(0, min(n-1, n/2+2*(x-coarseSide/2)))
			w := p.w[fy*n+fx]
			p.coarseW[y*coarseSide+x] = w
			sum += w
		}
	}
	for k := range p.coarseW {
		p.coarseW[k] /= sum
	}
}

// compare adds to move what differs between the window just sampled and the
// background's place on another frame.
func (e *eye) compare(o glance) {
	const n = patchSide
	b := o.g.Bounds()
	w, h := b.Dx(), b.Dy()
	base := o.g.Pix[o.g.PixOffset(b.Min.X, b.Min.Y):]
	k := float64(e.scale)
	u0, v0 := o.at.U-k*(n/2), o.at.V-k*(n/2)
	iu, iv := int(math.Floor(u0)), int(math.Floor(v0))
	fu, fv := float32(u0-float64(iu)), float32(v0-float64(iv))
	for y := range n {
		y0, y1 := max(0, min(iv+y*e.scale, h-1)), max(0, min(iv+y*e.scale+1, h-1))
		top, low := base[y0*o.g.Stride:][:w], base[y1*o.g.Stride:][:w]
		for x := range n {
			x0, x1 := max(0, min(iu+x*e.scale, w-1)), max(0, min(iu+x*e.scale+1, w-1))
			a := float32(top[x0]) + fu*(float32(top[x1])-float32(top[x0]))
			c := float32(low[x0]) + fu*(float32(low[x1])-float32(low[x0]))
			d := e.j[y*n+x] - a - fv*(c-a)
			e.move[y*n+x] += min(fullMove, max(d, -d))
		}
	}
}
