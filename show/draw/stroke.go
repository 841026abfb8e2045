package draw

import "math"

// vec is a point or a direction in pixels of the raster.
type vec struct{ x, y float64 }

func (a vec) plus(b vec, t float64) vec { return vec{a.x + t*b.x, a.y + t*b.y} }
func (a vec) len() float64              { return math.Hypot(a.x, a.y) }

// chain is a run of straight lines.
type chain struct {
	at     []vec
	closed bool
}

// flatness is how far, in pixels, a flattened curve may lie from the true one.
const flatness = 0.1

// flatten turns a path into chains of straight lines, mapped by m.
func flatten(p *Path, m affine) []chain {
	var all []chain
	var cur *chain
	pt := func(q Pt) vec {
		x, y := m.at(float64(q.X), float64(q.Y))
		return vec{x, y}
	}
	for _, s := range p.steps {
		switch s.verb {
		case moveTo:
			all = append(all, chain{at: []vec{pt(s.p[0])}})
			cur = &all[len(all)-1]
		case lineTo:
			cur.at = append(cur.at, pt(s.p[0]))
		case quadTo:
			a, c, b := cur.at[len(cur.at)-1], pt(s.p[0]), pt(s.p[1])
			// A quadratic is the cubic with both handles two thirds of the way out.
			cur.curve(a, a.plus(vec{c.x - a.x, c.y - a.y}, 2.0/3), b.plus(vec{c.x - b.x, c.y - b.y}, 2.0/3), b)
		case cubeTo:
			cur.curve(cur.at[len(cur.at)-1], pt(s.p[0]), pt(s.p[1]), pt(s.p[2]))
		case closePath:
			start := cur.at[0]
			cur.closed = true
			all = append(all, chain{at: []vec{start}})
			cur = &all[len(all)-1]
		}
	}
	kept := all[:0]
	for _, c := range all {
		if c.at = distinct(c.at, c.closed); len(c.at) > 1 {
			kept = append(kept, c)
		}
	}
	return kept
}

// curve adds a cubic as n equal steps. The error of a chord is at most the
// greatest second difference of the control points times 3/4 over n².
func (c *chain) curve(a, b, d, e vec) {
	dev := math.Max(vec{a.x - 2*b.x + d.x, a.y - 2*b.y + d.y}.len(), vec{b.x - 2*d.x + e.x, b.y - 2*d.y + e.y}.len())
	n := int(math.Ceil(math.Sqrt(0.75 * dev / flatness)))
	n = min(max(n, 1), 200)
	for i := 1; i <= n; i++ {
		t := float64(i) / float64(n)
		u := 1 - t
		w := [4]float64{u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t}
		c.at = append(c.at, vec{w[0]*a.x + w[1]*b.x + w[2]*d.x + w[3]*e.x, w[0]*a.y + w[1]*b.y + w[2]*d.y + w[3]*e.y})
	}
}

func distinct(at []vec, closed bool) []vec {
	out := at[:0:0]
	for _, v := range at {
		if n := len(out); n == 0 || (vec{v.x - out[n-1].x, v.y - out[n-1].y}).len() > 1e-6 {
			out = append(out, v)
		}
	}
	if n := len(out); closed && n > 2 && (vec{out[0].x - out[n-1].x, out[0].y - out[n-1].y}).len() <= 1e-6 {
		out = out[:n-1]
	}
	return out
}

// dashed cuts chains into the strokes of a dash pattern, given in pixels.
func dashed(chains []chain, dash []float64) []chain {
	total := 0.0
	for _, d := range dash {
		total += d
	}
	if !(total > 0) {
		return chains
	}
	var out []chain
	for _, c := range chains {
		at := c.at
		if c.closed {
			at = append(append([]vec{}, at...), at[0])
		}
		i, left, on := 0, dash[0], true
		cur := []vec{at[0]}
		for k := 1; k < len(at); k++ {
			from, to := at[k-1], at[k]
			d := vec{to.x - from.x, to.y - from.y}
			length, done := d.len(), 0.0
			for length-done > left {
				done += left
				cut := from.plus(d, done/length)
				if on {
					out = append(out, chain{at: append(cur, cut)})
				}
				cur, on = []vec{cut}, !on
				i = (i + 1) % len(dash)
				left = dash[i]
			}
			left -= length - done
			cur = append(cur, to)
		}
		if on && len(cur) > 1 {
			out = append(out, chain{at: cur})
		}
	}
	// A cut that falls on a corner leaves the corner twice.
	kept := out[:0]
	for _, c := range out {
		if c.at = distinct(c.at, false); len(c.at) > 1 {
			kept = append(kept, c)
		}
	}
	return kept
}

// outlines returns the polygons whose non-zero filling is the stroked chain.
func (c chain) outlines(half float64, cap Cap, corner Corner) [][]vec {
	n := len(c.at)
	if n < 2 {
		return nil
	}
	back := make([]vec, n)
	for i, v := range c.at {
		back[n-1-i] = v
	}
	if c.closed && n > 2 {
		return [][]vec{side(c.at, half, corner, true), side(back, half, corner, true)}
	}
	poly := side(c.at, half, corner, false)
	poly = append(poly, ending(c.at[n-2], c.at[n-1], half, cap)...)
	poly = append(poly, side(back, half, corner, false)...)
	poly = append(poly, ending(c.at[1], c.at[0], half, cap)...)
	return [][]vec{poly}
}

// normal returns the vector of length half that points left of a→b on a raster
// whose y runs down.
func normal(a, b vec, half float64) vec {
	d := vec{b.x - a.x, b.y - a.y}
	l := d.len()
	return vec{d.y / l * half, -d.x / l * half}
}

// side returns the left edge of a stroke along the points.
func side(at []vec, half float64, corner Corner, closed bool) []vec {
	n := len(at)
	var out []vec
	for i := range at {
		first, last := i == 0, i == n-1
		prev, next := at[(i+n-1)%n], at[(i+1)%n]
		switch {
		case first && !closed:
			out = append(out, at[i].plus(normal(at[i], next, half), 1))
		case last && !closed:
			out = append(out, at[i].plus(normal(prev, at[i], half), 1))
		default:
			out = append(out, turn(prev, at[i], next, half, corner)...)
		}
	}
	return out
}

// turn returns the left edge around the corner at b.
func turn(a, b, c vec, half float64, corner Corner) []vec {
	n1, n2 := normal(a, b, half), normal(b, c, half)
	cross := n1.x*n2.y - n1.y*n2.x
	dot := n1.x*n2.x + n1.y*n2.y
	if cross <= 0 { // the left edge lies inside the corner
		if dot > 0.999*half*half {
			return []vec{b.plus(n1, 1), b.plus(n2, 1)}
		}
		return []vec{b.plus(n1, 1), b, b.plus(n2, 1)}
	}
	if corner == Sharp {
		// The miter is 1/sin(θ/2) = √(2/(1+cos φ)) widths long, φ the turn.
		if k := 1 + dot/(half*half); k > 0 && math.Sqrt(2/k) <= sharpLimit {
			return []vec{b.plus(vec{n1.x + n2.x, n1.y + n2.y}, 1/k)}
		}
		return []vec{b.plus(n1, 1), b.plus(n2, 1)}
	}
	return arc(b, n1, math.Atan2(cross, dot))
}

// arc returns points on the circle about c from c+n through the angle.
func arc(c, n vec, angle float64) []vec {
	steps := max(2, int(math.Ceil(math.Abs(angle)*math.Sqrt(n.len()/(8*flatness))))+1)
	var out []vec
	for i := 0; i <= steps; i++ {
		s, k := math.Sincos(angle * float64(i) / float64(steps))
		out = append(out, vec{c.x + n.x*k - n.y*s, c.y + n.x*s + n.y*k})
	}
	return out
}

// ending returns the outline of the end of the stroke a→b, at b, from the left
// edge to the right one.
func ending(a, b vec, half float64, cap Cap) []vec {
	n := normal(a, b, half)
	ahead := vec{-n.y, n.x}
	switch cap {
	case RoundCap:
		return arc(b, n, math.Pi)
	case Square:
		return []vec{b.plus(n, 1).plus(ahead, 1), b.plus(n, -1).plus(ahead, 1)}
	}
	return nil
}
