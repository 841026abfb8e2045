package track

import (
	"image"
	"math"

	"mesure/sport/mark"
)

// Sizes of the line filter, in pixels.
const (
	ringStep = 3.0 // from one radius to the next
	// innerShare of the length is covered by the guard, and outerShare is how far
	// beyond the tip is looked.
	innerShare = 0.14
	outerShare = 1.25
	pieces     = 9 // of the blade between guard and tip
	// rootSlack is how far beside the guard the blade may start.
	rootSlack = 2.5
	// halfContrast is the contrast, in grey levels, at which a piece looks half like a
	// line.
	halfContrast = 5.0
	// away is how many live frames before and after the difference is taken to.
	liveAway = 3
)

// widths are half widths of the line that is looked for, in pixels: sharp, and blurred
// by its turning; the wider ones count for less.
var widths = [3]struct{ half, share float64 }{{0.9, 1}, {2.6, 0.9}, {6, 0.75}}

// polar is the neighbourhood of a guard by angle and radius.
type polar struct {
	fan   *fan
	r0    float64
	rings int
	sin   []float64
	cos   []float64
	now   []float32 // rings × angles
	past  []float32
	next  []float32
	sums  []float32
}

// ray is one piece of one width at all fine angles: its mean response.
type ray struct{ plain, moving []float32 }

func newPolar(f *fan) *polar {
	p := &polar{fan: f}
	p.r0 = math.Max(5, innerShare*f.most)
	p.rings = int((outerShare*f.most-p.r0)/ringStep) + 1
	for j := range f.n {
		s, c := math.Sincos(f.from + float64(j)*f.fine)
		p.sin, p.cos = append(p.sin, s), append(p.cos, c)
	}
	n := p.rings * f.n
	p.now, p.past, p.next = make([]float32, n), make([]float32, n), make([]float32, n)
	p.sums = make([]float32, f.n+1)
	return p
}

func (p *polar) radius(i int) float64 { return p.r0 + float64(i)*ringStep }

// see fills a view.
func (p *polar) see(v *view, film Film, o *BridgeOptions) error {
	g, err := film.Gray(v.frame)
	if err != nil {
		return err
	}
	v.frameSize = sizeOf(g)
	if v.w < 2 || v.h < 2 {
		return nil
	}
	p.sample(p.now, g, v.guard.At, [4]float64{1, 0, 0, 1})
	k := mark.Frame(math.Round(liveAway * math.Min(o.Slow, 4)))
	past := p.other(p.past, film, o, v, v.frame-k)
	next := p.other(p.next, film, o, v, v.frame+k)
	moving := true
	switch {
	case past && next:
		// What is there now and was not there before nor after.
		for i, c := range p.now {
			a, b := c-p.past[i], c-p.next[i]
			switch {
			case a > 0 && b > 0:
				p.past[i] = min(a, b)
			case a < 0 && b < 0:
				p.past[i] = max(a, b)
			default:
				p.past[i] = 0
			}
		}
	case past:
		for i, c := range p.now {
			p.past[i] = c - p.past[i]
		}
	case next:
		for i, c := range p.now {
			p.past[i] = c - p.next[i]
		}
	default:
		moving = false
	}
	n := p.fan.n
	v.rays = make([]ray, p.rings)
	for i := range p.rings {
		r := p.radius(i)
		v.rays[i].plain = make([]float32, n)
		p.respond(v.rays[i].plain, p.now[i*n:][:n], r)
		if moving {
			v.rays[i].moving = make([]float32, n)
			p.respond(v.rays[i].moving, p.past[i*n:][:n], r)
		}
	}
	v.score = p.score(v)
	return nil
}

// other samples another frame where the background of this one is; false where that
// is not known.
func (p *polar) other(dst []float32, film Film, o *BridgeOptions, v *view, f mark.Frame) bool {
	if f < 0 {
		return false
	}
	g, err := film.Gray(f)
	if err != nil {
		return false // beyond the end of the film
	}
	if sizeOf(g) != v.frameSize {
		return false
	}
	c := v.guard.At
	q, ok := o.Ground(v.frame, f, c)
	qu, oku := o.Ground(v.frame, f, mark.Pixel{U: c.U + p.fan.most, V: c.V})
	qv, okv := o.Ground(v.frame, f, mark.Pixel{U: c.U, V: c.V + p.fan.most})
	if !ok || !oku || !okv {
		return false
	}
	m := p.fan.most
	p.sample(dst, g, q, [4]float64{(qu.U - q.U) / m, (qv.U - q.U) / m, (qu.V - q.V) / m, (qv.V - q.V) / m})
	return true
}

// sample takes the brightness along all rays, bilinearly; beyond the picture it is
// the edge's.
func (p *polar) sample(dst []float32, g *image.Gray, c mark.Pixel, m [4]float64) {
	b := g.Bounds()
	w, h := b.Dx(), b.Dy()
	base := g.Pix[g.PixOffset(b.Min.X, b.Min.Y):]
	n := p.fan.n
	for i := range p.rings {
		r := p.radius(i)
		out := dst[i*n:][:n]
		for j := range out {
			x, y := r*p.cos[j], r*p.sin[j]
			u, v := c.U+m[0]*x+m[1]*y, c.V+m[2]*x+m[3]*y
			u, v = max(0, min(u, float64(w)-1.001)), max(0, min(v, float64(h)-1.001))
			iu, iv := int(u), int(v)
			fu, fv := float32(u-float64(iu)), float32(v-float64(iv))
			at := iv*g.Stride + iu
			top := float32(base[at]) + fu*(float32(base[at+1])-float32(base[at]))
			low := float32(base[at+g.Stride]) + fu*(float32(base[at+g.Stride+1])-float32(base[at+g.Stride]))
			out[j] = top + fv*(low-top)
		}
	}
}

// respond finds by how much each angle of one ring is brighter (or darker: negative)
// than what lies on both sides of it, over the widths.
func (p *polar) respond(out, in []float32, r float64) {
	n := p.fan.n
	sum := float32(0)
	p.sums[0] = 0
	for j, c := range in {
		sum += c
		p.sums[j+1] = sum
	}
	arc := r * p.fan.fine
	for _, w := range widths {
		k := int(math.Round(w.half / arc))
		gap := max(1, int(math.Round(0.8/arc)))
		wing := max(2, int(math.Round((w.half+1.5)/arc)))
		side := k + gap + wing
		if n <= 2*side {
			continue
		}
		share := float32(w.share)
		centre, flank := share/float32(2*k+1), share/float32(wing)
		// Five views of the sums, shifted: the loop has no bounds to check.
		m := n - 2*side
		s0, s1 := p.sums[0:][:m], p.sums[wing:][:m]
		s2, s3 := p.sums[wing+gap:][:m], p.sums[wing+gap+2*k+1:][:m]
		s4, s5 := p.sums[side+k+gap+1:][:m], p.sums[2*side+1:][:m]
		o := out[side:][:m]
		for j := range o {
			c := (s3[j] - s2[j]) * centre
			a, b := c-(s1[j]-s0[j])*flank, c-(s5[j]-s4[j])*flank
			switch {
			case a > 0 && b > 0:
				if x := min(a, b); x > o[j] && x > -o[j] {
					o[j] = x
				}
			case a < 0 && b < 0:
				if x := max(a, b); x < o[j] && x < -o[j] {
					o[j] = x
				}
			}
		}
	}
}

// span returns the rings of a piece of the blade.
func (p *polar) span(k int) (from, to int) {
	inner := p.r0
	step := (p.fan.most - inner) / pieces
	at := func(r float64) int { return max(0, min(p.rings, int(math.Round((r-p.r0)/ringStep)))) }
	return at(inner + float64(k)*step), at(inner + float64(k+1)*step)
}

// piece averages the responses of a piece along each ray.
func piece(out []float32, v *view, from, to int, moving bool) {
	clear(out)
	for i := from; i < to; i++ {
		in := v.rays[i].plain
		if moving {
			in = v.rays[i].moving
		}
		for j, x := range in {
			out[j] += x
		}
	}
	for j := range out {
		out[j] /= float32(to - from)
	}
}

// likeLine makes a share of a contrast.
func likeLine(x float32) float32 { return x * x / (x*x + halfContrast*halfContrast) }

// score returns S on the coarse angles.
func (p *polar) score(v *view) []float32 {
	n := p.fan.n
	total := make([]float32, n)
	mean, wide := make([]float32, n), make([]float32, n)
	for k := range pieces {
		from, to := p.span(k)
		if to <= from {
			continue
		}
		// A blade that starts beside the guard lies at another angle near it.
		slack := int(math.Ceil(rootSlack / p.radius((from+to)/2) / p.fan.fine * (1 - float64(k)/pieces)))
		for pass := range 2 {
			moving := pass == 1
			if moving && v.rays[0].moving == nil {
				continue
			}
			share := float32(0.4)
			if moving {
				share = 0.6
			} else if v.rays[0].moving == nil {
				share = 0.8
			}
			piece(mean, v, from, to, moving)
			for j := range mean {
				mean[j] = likeLine(mean[j])
			}
			highestNear(wide, mean, slack)
			for j, s := range wide {
				total[j] += share * s / pieces
			}
		}
	}
	out := make([]float32, p.fan.m)
	for k := range out {
		for _, s := range total[k*p.fan.group:][:p.fan.group] {
			out[k] = max(out[k], s)
		}
	}
	return out
}

// highestNear replaces each value by the highest within some steps.
func highestNear(out, in []float32, slack int) {
	n := len(in)
	for j := range out {
		top := float32(0)
		for i := max(0, j-slack); i <= min(n-1, j+slack); i++ {
			top = max(top, in[i])
		}
		out[j] = top
	}
}
