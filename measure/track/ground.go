package track

import (
	"mesure/sport/mark"
)

// GroundOf joins the links of a take: it says where a point of the background that
// was seen on one frame is on another, by the turns
//
//	p' = H_to·H_from⁻¹·p,  H of a frame = product of the turns that lead to it
//
// and is false for two frames that no chain of links joins.
func GroundOf(links []BackgroundLink) Ground {
	type place struct {
		root       mark.Frame
		here, back [9]float64 // from the root, and to it
	}
	at := make(map[mark.Frame]place, len(links))
	for _, l := range links {
		h, ok := turnThrough(l.Matches)
		if !ok {
			continue
		}
		from, ok := at[l.From]
		if !ok {
			from = place{l.From, [9]float64{0: 1, 4: 1, 8: 1}, [9]float64{0: 1, 4: 1, 8: 1}}
			at[l.From] = from
		}
		here := times(h, from.here)
		back, ok := inverse(here)
		if !ok {
			continue
		}
		at[l.To] = place{from.root, here, back}
	}
	return func(from, to mark.Frame, p mark.Pixel) (mark.Pixel, bool) {
		if from == to {
			return p, true
		}
		a, ok := at[from]
		b, also := at[to]
		if !ok || !also || a.root != b.root {
			return p, false
		}
		u, v, w := through(times(b.here, a.back), p)
		if !(w > 0) {
			return p, false
		}
		return mark.Pixel{U: u, V: v}, true
	}
}

// turnThrough returns the turn on which matches lie: four that are far apart fix it,
// all of them sharpen it.
func turnThrough(matches []Match) ([9]float64, bool) {
	n := len(matches)
	for a := 0; a < n; a++ {
		for b := a + 1; b < n; b++ {
			for c := b + 1; c < n; c++ {
				for d := c + 1; d < n; d++ {
					if h, ok := exactly([4]Match{matches[a], matches[b], matches[c], matches[d]}); ok {
						in := make([]int, n)
						for i := range in {
							in[i] = i
						}
						return refined(h, matches, in), true
					}
				}
			}
		}
	}
	return [9]float64{}, false
}

// times is the matrix product a·b.
func times(a, b [9]float64) (c [9]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				c[3*i+j] += a[3*i+k] * b[3*k+j]
			}
		}
	}
	return scaled(c)
}

// scaled brings the last entry to 1 where it is not nought; what a homography says
// does not depend on its scale.
func scaled(h [9]float64) [9]float64 {
	if h[8] > 0 {
		for i := range 9 {
			h[i] /= h[8]
		}
		h[8] = 1
	}
	return h
}

// inverse is false for a matrix that has none.
func inverse(h [9]float64) ([9]float64, bool) {
	c := [9]float64{
		h[4]*h[8] - h[5]*h[7], h[2]*h[7] - h[1]*h[8], h[1]*h[5] - h[2]*h[4],
		h[5]*h[6] - h[3]*h[8], h[0]*h[8] - h[2]*h[6], h[2]*h[3] - h[0]*h[5],
		h[3]*h[7] - h[4]*h[6], h[1]*h[6] - h[0]*h[7], h[0]*h[4] - h[1]*h[3],
	}
	det := h[0]*c[0] + h[1]*c[3] + h[2]*c[6]
	if det == 0 {
		return c, false
	}
	for i := range 9 {
		c[i] /= det
	}
	return scaled(c), true
}
