package track

import (
	"image"
	"math"

	"mesure/sport/mark"
)

// Sizes of what is compared.
const (
	// patchSide is the side of the square about a point, in pixels: the bell of a
	// guard or a shoe fills it in a picture of 200 px a metre.
	patchSide = 21
	// patchWaist is the standard deviation, in pixels, of the weights that let the
	// middle of the square count for more than its rim, where the background shows.
	patchWaist = 6.0
	// coarseSide is the side of the square at half the size.
	coarseSide = 11
	// mostReach is how far, in pixels, a point is looked for at most.
	mostReach = 36
	// cropRim is what a crop holds beyond the reach: the patch and a rim for gradients.
	cropRim = patchSide/2 + 4
)

// patchWeights of the pixels of a patch; they sum to 1.
var patchWeights = bell(patchSide, patchWaist)

// bell returns Gaussian weights over a square, which sum to 1.
func bell(n int, waist float64) []float32 {
	w := make([]float32, n*n)
	sum := 0.0
	for y := range n {
		for x := range n {
			dx, dy := float64(x-n/2), float64(y-n/2)
			g := math.Exp(-(dx*dx + dy*dy) / 2 / waist / waist)
			w[y*n+x] = float32(g)
			sum += g
		}
	}
	for i := range w {
		w[i] /= float32(sum)
	}
	return w
}

// patch is what surrounds a point on one frame.
type patch struct {
	at         mark.Pixel
	w          []float32 // weights, which sum to 1
	count      float64   // how many equal ones say as much
	i, gx, gy  []float32
	mean, norm float32
	xx, xy, yy float64 // weighted mean products of the gradients
	least      float64 // their smaller eigenvalue
	// coarse is the weighted patch at half the size, free of its mean.
	coarse     []float32
	coarseW    []float32
	coarseNorm float32
}

func newPatch() *patch {
	const n = patchSide * patchSide
	return &patch{w: make([]float32, n), coarseW: make([]float32, coarseSide*coarseSide), i: make([]float32, n), gx: make([]float32, n), gy: make([]float32, n), coarse: make([]float32, coarseSide*coarseSide)}
}

// eye looks at one neighbourhood of one frame at a time. It keeps its buffers.
type eye struct {
	// scale is how many pixels of the frame make one of full along each side: a smooth
	// thing is followed by what lies farther about it.
	scale      int
	full, half Plane
	// u0, v0 is where the first pixel of full lies in the frame.
	u0, v0 int
	wide   []float32
	j      []float32
	move   []float32
	line   []int
	scores []float32
}

func newEye(scale int) *eye {
	side := 2 * (mostReach/scale + cropRim)
	side += side % 2
	return &eye{
		scale: scale,
		full:  NewPlane(side, side), half: NewPlane(side/2, side/2),
		wide: make([]float32, (patchSide+2)*(patchSide+2)), j: make([]float32, patchSide*patchSide), move: make([]float32, patchSide*patchSide),
		line: make([]int, side*scale),
	}
}

// look cuts out what surrounds a place; beyond the edge the edge is repeated.
func (e *eye) look(g *image.Gray, at mark.Pixel) {
	b := g.Bounds()
	w, h := b.Dx(), b.Dy()
	side, k := e.full.W, e.scale
	e.u0, e.v0 = int(math.Round(at.U))-side*k/2, int(math.Round(at.V))-side*k/2
	for i := range e.line {
		e.line[i] = max(0, min(e.u0+i, w-1))
	}
	inside := e.u0 >= 0 && e.u0+side*k <= w
	area := 1 / float32(k*k)
	for y := range side {
		out := e.full.Pix[y*side:][:side]
		clear(out)
		for r := range k {
			row := g.Pix[g.PixOffset(b.Min.X, b.Min.Y+max(0, min(e.v0+y*k+r, h-1))):][:w]
			switch {
			case inside && k == 1:
				for x, c := range row[e.u0:][:side] {
					out[x] = float32(c)
				}
			case inside && k == 2:
				for x, in := 0, row[e.u0:][:2*side]; x < side; x++ {
					out[x] += float32(int(in[2*x])+int(in[2*x+1])) * area
				}
			default:
				for i, u := range e.line {
					out[i/k] += float32(row[u]) * area
				}
			}
		}
	}
	hs := e.half.W
	for y := range hs {
		a, c := e.full.Pix[2*y*side:][:side], e.full.Pix[(2*y+1)*side:][:side]
		out := e.half.Pix[y*hs:][:hs]
		for x := range out {
			out[x] = (a[2*x] + a[2*x+1] + c[2*x] + c[2*x+1]) / 4
		}
	}
}

// in returns a place of the frame in the crop, and at half the size.
func (e *eye) in(p mark.Pixel) (u, v float32) {
	k := float64(e.scale)
	return float32((p.U - float64(e.u0) - (k-1)/2) / k), float32((p.V - float64(e.v0) - (k-1)/2) / k)
}

func halved(u, v float32) (float32, float32) { return (u - 0.5) / 2, (v - 0.5) / 2 }

// take keeps what surrounds a place of the crop. What moves against the background
// counts for most: others are frames a little earlier and later.
func (e *eye) take(p *patch, at mark.Pixel, others []glance) {
	e.weigh(p, at, others)
	const n, w = patchSide, patchSide + 2
	u, v := e.in(at)
	e.full.window(e.wide, w, u, v)
	p.at = at
	var sum, square, ma, mb, ia, ib float64
	for y := range n {
		up, mid, low := e.wide[y*w:][:w:w], e.wide[(y+1)*w:][:w:w], e.wide[(y+2)*w:][:w:w]
		i, gx, gy, wt := p.i[y*n:][:n:n], p.gx[y*n:][:n:n], p.gy[y*n:][:n:n], p.w[y*n:][:n:n]
		for x := range n {
			a := (3*(up[x+2]-up[x]+low[x+2]-low[x]) + 10*(mid[x+2]-mid[x])) / 32
			b := (3*(low[x]-up[x]+low[x+2]-up[x+2]) + 10*(low[x+1]-up[x+1])) / 32
			c, k := mid[x+1], wt[x]
			i[x], gx[x], gy[x] = c, a, b
			ka, kb, kc := float64(k*a), float64(k*b), float64(k*c)
			sum += kc
			square += kc * float64(c)
			ma += ka
			mb += kb
			ia += ka * float64(c)
			ib += kb * float64(c)
		}
	}
	spread := max(0, square-sum*sum)
	p.mean, p.norm = float32(sum), float32(math.Sqrt(spread))
	// What of the gradients a change of brightness or contrast would do as well is
	// taken out: neither can then pass for a movement (Hager & Belhumeur, PAMI 20:1025,
	// 1998).
	var ca, cb float32
	if spread > 0 {
		ca, cb = float32((ia-ma*sum)/spread), float32((ib-mb*sum)/spread)
	}
	p.xx, p.xy, p.yy = 0, 0, 0
	for k, c := range p.i {
		a := p.gx[k] - float32(ma) - ca*(c-p.mean)
		b := p.gy[k] - float32(mb) - cb*(c-p.mean)
		wt := p.w[k]
		p.gx[k], p.gy[k] = wt*a, wt*b
		p.xx += float64(wt * a * a)
		p.xy += float64(wt * a * b)
		p.yy += float64(wt * b * b)
	}
	p.least = (p.xx+p.yy)/2 - math.Hypot((p.xx-p.yy)/2, p.xy)
	hu, hv := halved(u, v)
	e.half.window(p.coarse, coarseSide, hu, hv)
	sum, square = 0, 0
	for k, c := range p.coarse {
		sum += float64(p.coarseW[k] * c)
	}
	for k, c := range p.coarse {
		c -= float32(sum)
		square += float64(p.coarseW[k] * c * c)
		p.coarse[k] = p.coarseW[k] * c
	}
	p.coarseNorm = float32(math.Sqrt(square))
}

// found is where a patch is in another frame.
type found struct {
	at   mark.Pixel
	like float64 // correlation of the two, weighted
	sd   float64 // px, what texture and difference leave open
	ok   bool    // the search settled
}

// search returns up to two places about one at which the coarse patch is most alike,
// the better first; far from it a place must be more alike.
func (e *eye) search(p *patch, about mark.Pixel, reach float64) (best [2]mark.Pixel, n int) {
	r := int(math.Ceil(reach / 2 / float64(e.scale)))
	hu, hv := halved(e.in(about))
	x0, y0 := int(math.Floor(float64(hu)))-coarseSide/2, int(math.Floor(float64(hv)))-coarseSide/2
	side := 2*r + 1
	if cap(e.scores) < side*side {
		e.scores = make([]float32, side*side)
	}
	s := e.scores[:side*side]
	// The crop is as wide as reach and patch ask for; a place out of it is none.
	for dy := -r; dy <= r; dy++ {
		for dx := -r; dx <= r; dx++ {
			k := (dy+r)*side + dx + r
			x, y := x0+dx, y0+dy
			if x < 0 || y < 0 || x+coarseSide > e.half.W || y+coarseSide > e.half.H || dx*dx+dy*dy > r*r {
				s[k] = -2
				continue
			}
			s[k] = e.coarseLike(p, x, y) - float32(farPenalty*float64(dx*dx+dy*dy)/float64(r*r))
		}
	}
	// frac is lost by looking at whole pixels only: the refinement mends it.
	fu, fv := float64(hu)-math.Floor(float64(hu)), float64(hv)-math.Floor(float64(hv))
	place := func(k int) mark.Pixel {
		one := 2 * float64(e.scale)
		return mark.Pixel{U: about.U + one*(float64(k%side-r)-fu), V: about.V + one*(float64(k/side-r)-fv)}
	}
	for n < 2 {
		top := -1
		for k, v := range s {
			if v > -1.5 && (top < 0 || v > s[top]) {
				top = k
			}
		}
		if top < 0 {
			break
		}
		best[n] = place(top)
		n++
		ty, tx := top/side, top%side
		for y := max(0, ty-3); y <= min(side-1, ty+3); y++ {
			for x := max(0, tx-3); x <= min(side-1, tx+3); x++ {
				s[y*side+x] = -2
			}
		}
	}
	return best, n
}

// farPenalty is what a place at the end of the reach must be more alike.
const farPenalty = 0.15

func (e *eye) coarseLike(p *patch, x, y int) float32 {
	var cross, sum, square float32
	for r := range coarseSide {
		j := e.half.Pix[(y+r)*e.half.W+x:][:coarseSide:coarseSide]
		t, w := p.coarse[r*coarseSide:][:coarseSide:coarseSide], p.coarseW[r*coarseSide:][:coarseSide:coarseSide]
		for k, c := range j {
			cross += t[k] * c
			wc := w[k] * c
			sum += wc
			square += wc * c
		}
	}
	spread := square - sum*sum
	if spread < 1 || p.coarseNorm < 1 {
		return 0
	}
	return cross / (p.coarseNorm * float32(math.Sqrt(float64(spread))))
}

// refine finds the patch near a place of the crop, as Follow does on its last level,
// the middle counting for more.
func (e *eye) refine(p *patch, start mark.Pixel) found {
	const n = patchSide
	u, v := e.in(start)
	u0, v0 := u, v
	det := p.xx*p.yy - p.xy*p.xy
	if !(p.least >= minTexture) {
		return found{at: start}
	}
	ok := false
	var du, dv float64
	for range refineSteps {
		e.full.window(e.j, n, u, v)
		mean, norm := e.spread(p)
		g := float32(1)
		if norm > 0 {
			g = max(0.5, min(2, p.norm/norm))
		}
		off := p.mean - g*mean
		var bx, by float32
		for k, i := range p.i {
			d := i - g*e.j[k] - off
			bx += d * p.gx[k]
			by += d * p.gy[k]
		}
		pu, pv := du, dv
		du = (p.yy*float64(bx) - p.xy*float64(by)) / det
		dv = (p.xx*float64(by) - p.xy*float64(bx)) / det
		u += float32(du)
		v += float32(dv)
		if math.Abs(float64(u-u0)) > refineReach || math.Abs(float64(v-v0)) > refineReach {
			return found{at: start}
		}
		if du*du+dv*dv < refineArrived*refineArrived {
			ok = true
			break
		}
		if math.Abs(du+pu) < refineArrived && math.Abs(dv+pv) < refineArrived {
			u, v, ok = u-float32(du/2), v-float32(dv/2), true
			break
		}
	}
	e.full.window(e.j, n, u, v)
	k := float64(e.scale)
	f := found{at: mark.Pixel{U: start.U + k*float64(u-u0), V: start.V + k*float64(v-v0)}, ok: ok}
	var noise float64
	f.like, noise = e.likeness(p)
	f.sd = k * noiseTogether * noise / math.Sqrt(p.least*p.count)
	return f
}

// Limits of refine: steps, how far it may go, and the step that ends it, in pixels.
const (
	refineSteps   = 20
	refineReach   = 5.0
	refineArrived = 0.01
)

// spread returns weighted mean and standard deviation of the window just sampled.
func (e *eye) spread(p *patch) (mean, norm float32) {
	var sum, square float32
	for k, c := range e.j {
		w := p.w[k] * c
		sum += w
		square += w * c
	}
	return sum, float32(math.Sqrt(float64(max(0, square-sum*sum))))
}

// likeness returns the weighted correlation of a patch with the window just sampled,
// and the spread of their difference after brightness is matched.
func (e *eye) likeness(p *patch) (like, noise float64) {
	mean, norm := e.spread(p)
	if norm < 0.5 || p.norm < 0.5 {
		return 0, math.Inf(1)
	}
	g := max(0.5, min(2, p.norm/norm))
	var cross, off float64
	for k, i := range p.i {
		a, b := i-p.mean, e.j[k]-mean
		w := p.w[k]
		cross += float64(w * a * b)
		d := a - g*b
		off += float64(w * d * d)
	}
	return cross / float64(p.norm) / float64(norm), math.Sqrt(off)
}
