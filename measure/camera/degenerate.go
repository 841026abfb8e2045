package camera

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// flat is a point of a plane, in whatever unit.
type flat struct{ x, y float64 }

// shift is the normalising map of a point set: p ↦ (p − c)·k, which brings the
// centroid to the origin and the root mean square distance to √2 (Hartley, IEEE
// TPAMI 19(6):580, 1997).
type shift struct{ cx, cy, k float64 }

func (s shift) on(p flat) flat { return flat{(p.x - s.cx) * s.k, (p.y - s.cy) * s.k} }

func normaliser(ps []flat) shift {
	var s shift
	for _, p := range ps {
		s.cx += p.x
		s.cy += p.y
	}
	n := float64(len(ps))
	s.cx /= n
	s.cy /= n
	sum := 0.0
	for _, p := range ps {
		sum += (p.x-s.cx)*(p.x-s.cx) + (p.y-s.cy)*(p.y-s.cy)
	}
	s.k = 1
	if sum > 0 {
		s.k = math.Sqrt(2 * n / sum)
	}
	return s
}

// dlt solves the direct linear transformation of normalised points: the h of
// least |A h| with |h| = 1, and the share of the eighth singular value of A in
// the first, which is 0 where the points leave a family of maps.
func dlt(from, to []flat) (h [9]float64, share float64) {
	rows := max(2*len(from), 9)
	a := mat.NewDense(rows, 9, nil)
	for i, p := range from {
		q := to[i]
		a.SetRow(2*i, []float64{p.x, p.y, 1, 0, 0, 0, -q.x * p.x, -q.x * p.y, -q.x})
		a.SetRow(2*i+1, []float64{0, 0, 0, p.x, p.y, 1, -q.y * p.x, -q.y * p.y, -q.y})
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return h, 0
	}
	var v mat.Dense
	svd.VTo(&v)
	for i := range h {
		h[i] = v.At(i, 8)
	}
	s := svd.Values(nil)
	if s[0] == 0 {
		return h, 0
	}
	return h, s[7] / s[0]
}

// split returns places and pixels of the points as flat points.
func split(points []Point) (floor, pixels []flat) {
	floor, pixels = make([]flat, len(points)), make([]flat, len(points))
	for i, p := range points {
		floor[i] = flat{p.On.X, p.On.Y}
		pixels[i] = flat{p.At.U, p.At.V}
	}
	return floor, pixels
}

func normalised(ps []flat) ([]flat, shift) {
	s := normaliser(ps)
	out := make([]flat, len(ps))
	for i, p := range ps {
		out[i] = s.on(p)
	}
	return out, s
}

// general refuses every set of points that leaves more than one map from the
// floor to the picture, however the pixels are disturbed by noise: the places
// are tested by themselves, then the pixels, then both together.
func general(points []Point) error {
	if len(proper(points)) < len(points) {
		return closed(points)
	}
	if len(points) < MinPoints {
		return fmt.Errorf("%d marked: %w", len(points), ErrTooFew)
	}
	floor, pixels := split(points)
	if distinct(floor, float64(SamePlace)) < MinPoints {
		return fmt.Errorf("%s: %w", names(points), ErrRepeated)
	}
	nf, _ := normalised(floor)
	if _, share := dlt(nf, nf); share < float64(FlatRatio) {
		return fmt.Errorf("%s: %w", names(points), ErrCollinear)
	}
	if distinct(pixels, 0) < MinPoints {
		return fmt.Errorf("%s: %w", names(points), ErrCollapsed)
	}
	if across(pixels) <= float64(EdgeOnSDs)*meanSD(points) {
		return fmt.Errorf("%s: %w", names(points), ErrEdgeOn)
	}
	np, _ := normalised(pixels)
	if _, share := dlt(np, np); share < float64(DegenerateRatio) {
		return fmt.Errorf("%s: %w", names(points), ErrCollinear)
	}
	if _, share := dlt(nf, np); share < float64(DegenerateRatio) {
		return fmt.Errorf("%s: %w", names(points), ErrCollinear)
	}
	return nil
}

// distinct counts the points that differ by more than this.
func distinct(ps []flat, within float64) int {
	n := 0
	for i, p := range ps {
		fresh := true
		for _, q := range ps[:i] {
			if math.Hypot(p.x-q.x, p.y-q.y) <= within {
				fresh = false
				break
			}
		}
		if fresh {
			n++
		}
	}
	return n
}

// across is the root mean square distance of the points from the line that fits
// them best: the smaller axis of their scatter.
func across(ps []flat) float64 {
	s := normaliser(ps)
	var xx, xy, yy float64
	for _, p := range ps {
		dx, dy := p.x-s.cx, p.y-s.cy
		xx += dx * dx
		xy += dx * dy
		yy += dy * dy
	}
	least := (xx+yy)/2 - math.Hypot((xx-yy)/2, xy)
	return math.Sqrt(math.Max(0, least) / float64(len(ps)))
}

// meanSD is the root mean square marking error.
func meanSD(points []Point) float64 {
	sum := 0.0
	for _, p := range points {
		sum += p.sd() * p.sd()
	}
	return math.Sqrt(sum / float64(len(points)))
}
