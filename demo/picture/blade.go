package picture

import (
	"math"

	"mesure/demo/scene"
)

// Visible width of the blade in metres: near the guard, at the foible, and of
// the button at the point (common practice, no source).
const (
	forteWide  = 0.0170
	foibleWide = 0.0068
	pointWide  = 0.0085
	pointLong  = 0.016
	thinnest   = 1.15 // pixels: what a thin bright thing still covers after the lens
)

// bladeSteps is into how many straight pieces a blade is cut.
const bladeSteps = 24

type bladeNode struct{ u, v, z, half, share float64 }

// The wire from the back of the jacket to the reel at the end of the piste.
const (
	wireWide  = 0.006 // metres
	wireSag   = 0.10
	reelX     = 7.9 // metres from the centre line, beyond the rear limit
	reelZ     = 0.12
	wireCover = 0.75
)

// strike draws one blade over the sub-sample, behind what is nearer.
func (e *Easel) strike(w *view, f *scene.Figure, ju, jv float64) box {
	var nodes [bladeSteps + 1]bladeNode
	all := box{0, 0, -1, -1}
	for i := range nodes {
		s := float64(i) / bladeSteps
		p := f.BladeCurve(s)
		u, v, z := w.project(p)
		wide := forteWide + (foibleWide-forteWide)*math.Min(1, s*1.25)
		if (1-s)*scene.BladeLength < pointLong {
			wide = pointWide
		}
		d := p.Sub(w.at).Len()
		nodes[i] = bladeNode{u - ju, v - jv, d, math.Max(thinnest, w.f*wide/z) / 2, s}
		all = all.with(rect(u-4, v-4, u+4, v+4))
	}
	for i := 1; i < len(nodes); i++ {
		e.piece(&nodes[i-1], &nodes[i], true)
	}
	return all
}

// trail draws the wire that a fencer drags behind.
func (e *Easel) trail(w *view, f *scene.Figure, ju, jv float64) box {
	from := f.Pelvis.Add(f.Spine.Mul(0.11)).Sub(f.Fwd.Mul(0.16))
	to := vec{X: -reelX * f.Fwd.X, Y: 0.1, Z: reelZ}
	var nodes [bladeSteps + 1]bladeNode
	all := box{0, 0, -1, -1}
	for i := range nodes {
		s := float64(i) / bladeSteps
		p := from.Mix(to, s*s).Sub(vec{Z: 4 * wireSag * s * s * (1 - s*s)})
		u, v, z := w.project(p)
		nodes[i] = bladeNode{u - ju, v - jv, p.Sub(w.at).Len(), math.Max(0.8, w.f*wireWide/z) / 2, s}
		all = all.with(rect(u-3, v-3, u+3, v+3))
		if u < -50 || u > scene.Width+50 {
			if i > 0 {
				e.piece(&nodes[i-1], &nodes[i], false)
			}
			break
		}
		if i > 0 {
			e.piece(&nodes[i-1], &nodes[i], false)
		}
	}
	return all
}

// piece draws one straight piece, column by column or row by row, whichever it
// crosses more of.
func (e *Easel) piece(a, b *bladeNode, steel bool) {
	du, dv := b.u-a.u, b.v-a.v
	flat := math.Abs(du) >= math.Abs(dv)
	am, bm, across := a.v, b.v, dv
	from, to := a.u, b.u
	if !flat {
		am, bm, across = a.u, b.u, du
		from, to = a.v, b.v
	}
	if from == to {
		return
	}
	slant := math.Hypot(1, across/(to-from))
	lo, hi := math.Min(from, to), math.Max(from, to)
	for i := int(math.Ceil(lo)); float64(i) < hi; i++ {
		k := (float64(i) - from) / (to - from)
		mid := am + (bm-am)*k
		half := (a.half + (b.half-a.half)*k) * slant
		z := float32(a.z + (b.z-a.z)*k)
		share := a.share + (b.share-a.share)*k
		for j := int(math.Floor(mid - half - 1)); j <= int(math.Ceil(mid+half+1)); j++ {
			off := float64(j) - mid
			cover := math.Min(1, math.Max(0, half+0.5-math.Abs(off)))
			u, v := i, j
			if !flat {
				u, v = j, i
			}
			if cover == 0 || u < 0 || v < 0 || u >= scene.Width || v >= scene.Height {
				continue
			}
			if steel {
				e.lay(v*scene.Width+u, z, float32(cover), bladeLight(off/half, share))
			} else {
				e.lay(v*scene.Width+u, z, float32(cover*wireCover), rgb{0.085, 0.085, 0.09})
			}
		}
	}
}

// bladeLight is the light of the blade at this share of its length, off half
// widths below its middle: light from above on the upper flat, the lower one
// dark; the fuller catches the windows here and there. The point is dark.
func bladeLight(off, share float64) rgb {
	v := 0.48 - 0.20*off + 0.10*math.Sin(share*23+1)
	if share > 0.984 {
		v = 0.16
	}
	return rgb{float32(v * 0.97), float32(v), float32(v * 1.04)}
}

// lay puts a thin thing on one pixel of the sub-sample, behind what is nearer.
func (e *Easel) lay(i int, z, cover float32, c rgb) {
	if s := &e.specks[i]; s.depth != 0 && s.depth < z-0.004 {
		return
	}
	p := &e.sub[i]
	p[0] += (c.r - p[0]) * cover
	p[1] += (c.g - p[1]) * cover
	p[2] += (c.b - p[2]) * cover
	p[3] += (1 - p[3]) * cover
}
