package track

import (
	"math"
	"sort"

	"mesure/sport/mark"
)

// tip is where the blade ends.
type tip struct {
	at              mark.Pixel
	sideSD, alongSD float64 // across the blade and along it, in pixels
	seen            float64 // share of the blade that looks like a line
	end             bool    // the line goes on to where the tip is
	reach           float64 // how far from the guard it can be followed without a gap
}

// tip finds the line near an angle and where it ends.
func (p *polar) tip(v *view, h heading, length, lengthSD float64) tip {
	f := p.fan
	centre := (h.angle - f.from) / f.fine
	// The piece of each ring that looks most like the line, and a straight line through
	// them: beside the guard by c, at the angle h.angle + d.
	reachAngle := max(2*h.sd, 1.5*f.coarse)
	guardSD := math.Hypot(float64(v.guard.SD), 1)
	angleSD := max(h.sd, f.coarse)
	mean := make([]float32, f.n)
	// Normal equations of c and d with their priors.
	m11, m12, m22, b1, b2 := 1/guardSD/guardSD, 0.0, 1/angleSD/angleSD, 0.0, 0.0
	shares := make([]float64, 0, pieces)
	for k := range pieces {
		from, to := p.span(k)
		r := p.radius(from) + float64(to-from-1)/2*ringStep
		if to <= from || r > length {
			continue
		}
		best, weight, at := -1, float32(0), 0.0
		for pass := range 2 {
			if pass == 1 && v.rays[0].moving == nil {
				break
			}
			piece(mean, v, from, to, pass == 1)
			slack := math.Hypot(reachAngle, 2*guardSD/r) / f.fine
			for j := max(1, int(centre-slack)); j <= min(f.n-2, int(centre+slack)+1); j++ {
				if s := likeLine(mean[j]); s > weight {
					best, weight = j, s
					a, b, c := math.Abs(float64(mean[j-1])), math.Abs(float64(mean[j])), math.Abs(float64(mean[j+1]))
					at = float64(j)
					if d := a - 2*b + c; d < 0 {
						at += max(-0.5, min(0.5, (a-c)/2/d))
					}
				}
			}
		}
		shares = append(shares, float64(weight))
		if best < 0 || weight < 0.2 {
			continue
		}
		// y = c + r·d beside the ray.
		y := (at - centre) * f.fine * r
		w := float64(weight) / pieceSD / pieceSD
		m11, m12, m22 = m11+w, m12+w*r, m22+w*r*r
		b1, b2 = b1+w*y, b2+w*r*y
	}
	det := m11*m22 - m12*m12
	c, d := (m22*b1-m12*b2)/det, (m11*b2-m12*b1)/det
	l, along, end := p.end(v, centre, c, d, length, lengthSD)
	varSide := (m22 - 2*l*m12 + l*l*m11) / det
	s, co := math.Sincos(h.angle)
	side := c + l*d
	t := tip{
		at:     mark.Pixel{U: v.guard.At.U + l*co - side*s, V: v.guard.At.V + l*s + side*co},
		sideSD: math.Sqrt(max(0.25, varSide)), alongSD: along, end: end,
	}
	t.reach = p.reaches(p.trace(v, centre, c, d), length)
	for _, x := range shares {
		t.seen += x / float64(len(shares))
	}
	return t
}

// pieceSD is how far beside the line the best place of a piece lies, in pixels.
const pieceSD = 1.2

// end finds where the line ends: the radius that best parts rings that look like it
// from rings that do not, near the length that is expected.
func (p *polar) end(v *view, centre, c, d, length, lengthSD float64) (l, sd float64, ok bool) {
	f := p.fan
	line := make([]float64, p.rings)
	for i := range line {
		r := p.radius(i)
		j := centre + (c/r+d)/f.fine
		slack := 1.2 / (r * f.fine)
		lo, hi := int(math.Round(j-slack)), int(math.Round(j+slack))
		for k := max(0, lo); k <= min(f.n-1, hi); k++ {
			x := float64(likeLine(v.rays[i].plain[k]))
			if v.rays[i].moving != nil {
				x = max(x, float64(likeLine(v.rays[i].moving[k])))
			}
			line[i] = max(line[i], x)
		}
	}
	typical := 0.0
	n := 0
	for i, x := range line {
		if p.radius(i) < 0.8*length {
			typical += x
			n++
		}
	}
	if n > 0 {
		typical /= float64(n)
	}
	// Gain of a ring inside over one outside, and what the expected length asks for.
	level := typical / 2
	best, sum := math.Inf(-1), 0.0
	var cost []float64
	for i, x := range line {
		sum += (x - level) * endGain
		r := p.radius(i) + ringStep/2
		z := (r - length) / lengthSD
		g := sum - z*z/2
		cost = append(cost, g)
		best = max(best, g)
	}
	// The mean and spread over all ends, each as likely as it is.
	var w, m, q float64
	for i, g := range cost {
		e := math.Exp(g - best)
		r := p.radius(i) + ringStep/2
		w += e
		m += e * r
		q += e * r * r
	}
	m /= w
	sd = math.Sqrt(max(0, q/w-m*m) + 1)
	// Over the last fifth before it the line must be there at all.
	last, count := 0.0, 0
	for i, x := range line {
		if r := p.radius(i); r > 0.8*m && r <= m {
			last += x
			count++
		}
	}
	return m, sd, count > 0 && last/float64(count) >= leastEnd
}

// Ends of lines.
const (
	endGain  = 1.2 // log of how much likelier a ring inside looks like a line
	leastEnd = 0.2 // least share of the last fifth that looks like a line
)

// traced is the contrast of the blade ring by ring, in grey levels.
type traced []float64

// How a blade is traced, in pixels.
const (
	bendLeast = 4.0  // a bend that is half believed
	bendMost  = 14   // beside the straight line at most
	bendCost  = 0.12 // for a square pixel from ring to ring
	bendPull  = 4e-4 // for a square pixel beside the line
)

// trace follows the line from the guard outwards: the places beside the straight line
// that look most like one and change least from ring to ring (Viterbi).
func (p *polar) trace(v *view, centre, c, d float64) traced {
	const n = 2*bendMost + 1
	f := p.fan
	back := make([][n]int8, p.rings)
	seen := make([][n]float32, p.rings)
	var cost [n]float64
	for k := range cost {
		cost[k] = math.Abs(float64(k - bendMost))
	}
	for i := range p.rings {
		r := p.radius(i)
		var next [n]float64
		for k := range n {
			y := c + d*r + float64(k-bendMost)
			lo, hi := centre+(y-0.5)/(r*f.fine), centre+(y+0.5)/(r*f.fine)
			top := float32(0)
			for j := max(0, int(math.Round(lo))); j <= min(f.n-1, int(math.Round(hi))); j++ {
				x := v.rays[i].plain[j]
				top = max(top, x, -x)
				if v.rays[i].moving != nil {
					x = v.rays[i].moving[j]
					top = max(top, x, -x)
				}
			}
			seen[i][k] = top
			best, from := math.Inf(1), 0
			for s := max(0, k-2); s <= min(n-1, k+2); s++ {
				if g := cost[s] + bendCost*float64((k-s)*(k-s)); g < best {
					best, from = g, s
				}
			}
			off := float64(k - bendMost)
			next[k] = best - float64(likeLine(top)) + bendPull*off*off
			back[i][k] = int8(from)
		}
		cost = next
	}
	k := 0
	for s, g := range cost {
		if g < cost[k] {
			k = s
		}
	}
	t := make(traced, p.rings)
	for i := p.rings - 1; i >= 0; i-- {
		t[i] = float64(seen[i][k])
		k = int(back[i][k])
	}
	return t
}

// reaches returns how far out the line can be followed, at most the length. What counts
// is a contrast like that of the inner blade: a fold of cloth is none.
func (p *polar) reaches(way traced, length float64) float64 {
	var inner []float64
	for i, x := range way {
		if p.radius(i) < 0.7*length {
			inner = append(inner, x)
		}
	}
	if len(inner) == 0 {
		return length
	}
	sort.Float64s(inner)
	half := max(halfContrast, likeInner*inner[len(inner)/2])
	top, sum, alone := math.Inf(-1), 0.0, 0.0
	for i, x := range way {
		sum += x*x/(x*x+half*half) - 0.4
		if r := p.radius(i); sum > top && r <= length {
			top, alone = sum, r
		}
	}
	return alone
}

// When a blade is taken to be covered.
const (
	likeInner = 0.25 // share of the inner blade's contrast that is half like it
	shortSDs  = 1.0  // how much too short the line must be, in its standard deviations
	shortBy   = 6.0  // and in pixels beyond them
)
