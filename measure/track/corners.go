package track

import (
	"math"
	"sort"

	"mesure/sport/mark"
)

// CornerOptions of Corners. The zero value takes the defaults.
type CornerOptions struct {
	// Most corners to return; zero means 200.
	Most int
	// Quality is the least strength as a share of the strongest; zero means 0.01.
	Quality float64
	// Apart is the least distance of two corners in pixels; zero means 9.
	Apart float64
	// Mask says where corners may not lie; nil allows all.
	Mask func(u, v int) bool
}

// Defaults of CornerOptions.
const (
	DefaultCorners       = 200
	DefaultCornerQuality = 0.01
	DefaultCornersApart  = 9.0
	// cornerHalf is half the side of the window whose gradients are summed (5 × 5).
	cornerHalf = 2
	// minStrength is the least eigenvalue of the mean gradient product, in grey levels
	// squared per pixel squared, that is more than noise of about two grey levels.
	minStrength = 1.0
)

// Corners returns the points that can best be followed, the strongest first: local
// maxima of the smaller eigenvalue of the summed products of the gradients (Shi &
// Tomasi, Good features to track, CVPR 1994).
func Corners(p Plane, o CornerOptions) []mark.Pixel {
	if o.Most == 0 {
		o.Most = DefaultCorners
	}
	if o.Quality == 0 {
		o.Quality = DefaultCornerQuality
	}
	if o.Apart == 0 {
		o.Apart = DefaultCornersApart
	}
	strength := strengths(p)
	strongest := float32(0)
	for _, s := range strength {
		strongest = max(strongest, s)
	}
	least := max(float32(o.Quality)*strongest, minStrength)
	type corner struct {
		s    float32
		x, y int
	}
	var all []corner
	for y := 1; y < p.H-1; y++ {
		for x := 1; x < p.W-1; x++ {
			s := strength[y*p.W+x]
			if s < least || (o.Mask != nil && o.Mask(x, y)) || !highest(strength, p.W, x, y) {
				continue
			}
			all = append(all, corner{s, x, y})
		}
	}
	sort.Slice(all, func(i, j int) bool {
		a, b := all[i], all[j]
		if a.s != b.s {
			return a.s > b.s
		}
		return a.y < b.y || a.y == b.y && a.x < b.x
	})
	// A grid of cells as wide as the least distance: only neighbours are asked.
	cell := max(1, int(o.Apart))
	cols := p.W/cell + 1
	taken := make(map[int][]mark.Pixel)
	var out []mark.Pixel
	for _, c := range all {
		at := mark.Pixel{U: float64(c.x), V: float64(c.y)}
		cx, cy := c.x/cell, c.y/cell
		near := false
		for dy := -1; dy <= 1 && !near; dy++ {
			for dx := -1; dx <= 1 && !near; dx++ {
				for _, q := range taken[(cy+dy)*cols+cx+dx] {
					near = near || math.Hypot(q.U-at.U, q.V-at.V) < o.Apart
				}
			}
		}
		if near {
			continue
		}
		taken[cy*cols+cx] = append(taken[cy*cols+cx], at)
		if out = append(out, at); len(out) == o.Most {
			break
		}
	}
	return out
}

// highest reports whether no neighbour is stronger.
func highest(s []float32, w, x, y int) bool {
	v := s[y*w+x]
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if s[(y+dy)*w+x+dx] > v {
				return false
			}
		}
	}
	return true
}

// strengths returns the smaller eigenvalue of the mean product of the gradients in
// the window about each pixel. Sums run along columns and then rows, so that the
// cost does not grow with the window.
func strengths(p Plane) []float32 {
	n := p.W * p.H
	xx, xy, yy := make([]float32, n), make([]float32, n), make([]float32, n)
	for y := range p.H {
		up, mid, low := p.row(y-1), p.row(y), p.row(y+1)
		for x := range p.W {
			l, r := max(0, x-1), min(p.W-1, x+1)
			// Sobel's weights, scaled to grey levels a pixel.
			gx := (up[r] - up[l] + 2*(mid[r]-mid[l]) + low[r] - low[l]) / 8
			gy := (low[l] - up[l] + 2*(low[x]-up[x]) + low[r] - up[r]) / 8
			i := y*p.W + x
			xx[i], xy[i], yy[i] = gx*gx, gx*gy, gy*gy
		}
	}
	boxSum(xx, p.W, p.H)
	boxSum(xy, p.W, p.H)
	boxSum(yy, p.W, p.H)
	const area = (2*cornerHalf + 1) * (2*cornerHalf + 1)
	for i := range xx {
		a, b, c := xx[i]/area, xy[i]/area, yy[i]/area
		half := (a - c) / 2
		xx[i] = (a+c)/2 - float32(math.Sqrt(float64(half*half+b*b)))
	}
	return xx
}

// boxSum replaces each value by the sum over the window about it.
func boxSum(s []float32, w, h int) {
	line := make([]float32, max(w, h))
	for y := range h {
		row := s[y*w:][:w]
		copy(line, row)
		for x := range row {
			sum := float32(0)
			for k := max(0, x-cornerHalf); k <= min(w-1, x+cornerHalf); k++ {
				sum += line[k]
			}
			row[x] = sum
		}
	}
	// Down the columns, a row at a time: memory is read as it lies.
	src := append([]float32(nil), s...)
	for y := range h {
		out := s[y*w:][:w]
		clear(out)
		for k := max(0, y-cornerHalf); k <= min(h-1, y+cornerHalf); k++ {
			for x, v := range src[k*w:][:w] {
				out[x] += v
			}
		}
	}
}

// The grid over which corners of the background are spread, and how many there are in
// all and in each cell at most: a lively corner of the hall must not outvote the rest.
const (
	spreadCols, spreadRows = 8, 5
	spreadMost             = 200
	spreadCell             = 10
)

// spreadCorners returns corners over the whole picture, the strongest of each part.
func spreadCorners(p Plane, mask func(u, v int) bool) []mark.Pixel {
	var in [spreadCols * spreadRows]int
	var out []mark.Pixel
	for _, c := range Corners(p, CornerOptions{Most: 5 * spreadMost, Quality: 0.002, Apart: 10, Mask: mask}) {
		k := int(c.V)*spreadRows/p.H*spreadCols + int(c.U)*spreadCols/p.W
		if in[k] == spreadCell {
			continue
		}
		in[k]++
		if out = append(out, c); len(out) == spreadMost {
			break
		}
	}
	return out
}
