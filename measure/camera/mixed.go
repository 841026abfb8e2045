package camera

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// incidence is one linear equation lᵀ G p = 0 for the map G from the picture back
// to the floor: the pixel p shows a place of the line l. A line mark gives one, a
// point two, as a place on the lines of its x and of its y.
type incidence struct {
	l  vec // coefficients of the line on the floor
	p  flat
	sd float64
}

// mixture is the system of points and line marks in normalised coordinates.
type mixture struct {
	all      []incidence
	from, to shift // floor and picture
}

// mix states the system; places that are not nil stand for the pixels, as if the
// picture were the floor itself.
func mix(points []Point, places []flat) mixture {
	var floor, pixels []flat
	for _, q := range points {
		if q.line == nil {
			floor = append(floor, flat{q.On.X, q.On.Y})
		} else {
			floor = append(floor, flat{q.line.a[0], q.line.a[1]}, flat{q.line.b[0], q.line.b[1]})
		}
		pixels = append(pixels, flat{q.At.U, q.At.V})
	}
	m := mixture{from: normaliser(floor), to: normaliser(pixels)}
	if places != nil {
		pixels, m.to = places, m.from
	}
	for i, q := range points {
		p, sd := m.to.on(pixels[i]), q.sd()*m.to.k
		if q.line != nil {
			m.all = append(m.all, incidence{m.from.line(q.line.coefficients()), p, sd})
			continue
		}
		on := m.from.on(flat{q.On.X, q.On.Y})
		m.all = append(m.all, incidence{vec{1, 0, -on.x}, p, sd}, incidence{vec{0, 1, -on.y}, p, sd})
	}
	return m
}

// line returns the coefficients of a line after the shift, its normal still of
// length 1.
func (s shift) line(l vec) vec {
	return vec{l[0], l[1], (l[2] + l[0]*s.cx + l[1]*s.cy) * s.k}
}

// solve returns the G of least Σ (weight · lᵀ G p)² with |G| = 1 and, as dlt
// does, the share of the eighth singular value in the first.
func (m mixture) solve(weight []float64) (g [9]float64, share float64) {
	a := mat.NewDense(max(len(m.all), 9), 9, nil)
	for i, e := range m.all {
		w := weight[i]
		for j, l := range e.l {
			a.Set(i, 3*j, w*l*e.p.x)
			a.Set(i, 3*j+1, w*l*e.p.y)
			a.Set(i, 3*j+2, w*l)
		}
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return g, 0
	}
	var v mat.Dense
	svd.VTo(&v)
	for i := range g {
		g[i] = v.At(i, 8)
	}
	s := svd.Values(nil)
	if s[0] == 0 {
		return g, 0
	}
	return g, s[7] / s[0]
}

// ones weighs all equations alike.
func (m mixture) ones() []float64 {
	w := make([]float64, len(m.all))
	for i := range w {
		w[i] = 1
	}
	return w
}

// weights makes each equation, at G, a distance in the picture in marking errors:
// lᵀG is the line as the picture shows it.
func (m mixture) weights(g [9]float64) []float64 {
	w := make([]float64, len(m.all))
	most := 0.0
	for i, e := range m.all {
		shown := matrix(g).back(e.l)
		w[i] = 1 / (math.Hypot(shown[0], shown[1]) * e.sd)
		if math.IsInf(w[i], 0) || math.IsNaN(w[i]) {
			return m.ones()
		}
		most = math.Max(most, w[i])
	}
	for i := range w {
		w[i] /= most
	}
	return w
}

// mixedRounds is how often the equations are weighted anew; the fit of the camera
// that follows does the rest.
const mixedRounds = 3

// flatMap is the determinant of a map of length 1, between normalised planes,
// below which it shows all places on one line.
const flatMap = 1e-12

// startMap finds the map from the floor to the picture from which the fit of the
// camera starts, and returns the points with the places that their line marks
// then have.
func startMap(points []Point) (*Homography, []Point, error) {
	if len(proper(points)) == len(points) {
		h, err := fitHomography(points)
		return h, points, err
	}
	m := mix(points, nil)
	weight := m.ones()
	var g [9]float64
	for range mixedRounds {
		g, _ = m.solve(weight)
		weight = m.weights(g)
	}
	// G p is the place divided by w, which is positive before the camera.
	ahead := 0
	for _, e := range m.all {
		if matrix(g).on(vec{e.p.x, e.p.y, 1})[2] > 0 {
			ahead++
		}
	}
	if ahead == 0 {
		for i := range g {
			g[i] = -g[i]
		}
	}
	placed := append([]Point(nil), points...)
	if d := determinant(g); (ahead > 0 && ahead < len(m.all)) || !(math.Abs(d) > flatMap) {
		// Wrong line marks may spoil what the points show by themselves.
		if only := proper(points); general(only) == nil {
			h, err := fitHomography(only)
			return h, placed, err
		}
		return nil, nil, fmt.Errorf("%s: %w", names(points), ErrSwapped)
	}
	for i, q := range placed {
		if q.line == nil {
			continue
		}
		p := m.to.on(flat{q.At.U, q.At.V})
		x := matrix(g).on(vec{p.x, p.y, 1})
		on := vec{x[0]/x[2]/m.from.k + m.from.cx, x[1]/x[2]/m.from.k + m.from.cy, 0}
		placed[i].On = q.line.nearest(on).place()
	}
	return &Homography{H: unshift(inverse9(g), m.from, m.to)}, placed, nil
}

// closed refuses every set of points and line marks that leaves more than one map
// from the floor to the picture. Marking noise can hide that, so the lines are
// tested by themselves first, with marks at general places on them, without those
// that tell what others already do.
func closed(points []Point) error {
	if n := equations(points); n < 2*MinPoints {
		return fmt.Errorf("%s (%d of 8): %w", names(points), n, ErrOpen)
	}
	told := telling(points)
	if equations(told) < 2*MinPoints {
		return fmt.Errorf("%s: %w", names(points), ErrOpen)
	}
	places := make([]flat, len(told))
	for i, q := range told {
		places[i] = flat{q.On.X, q.On.Y}
		if q.line != nil {
			_, t := math.Modf(0.5 + float64(i)*goldenShare)
			x := q.line.a.plus(q.line.b.minus(q.line.a).times(t))
			places[i] = flat{x[0], x[1]}
		}
	}
	m := mix(told, places)
	if _, share := m.solve(m.ones()); share < float64(FlatRatio) {
		return fmt.Errorf("%s: %w", names(points), ErrOpen)
	}
	pixels := make([]flat, len(points))
	for i, q := range points {
		pixels[i] = flat{q.At.U, q.At.V}
	}
	if distinct(pixels, 0) < MinPoints {
		return fmt.Errorf("%s: %w", names(points), ErrCollapsed)
	}
	if across(pixels) <= float64(EdgeOnSDs)*meanSD(points) {
		return fmt.Errorf("%s: %w", names(points), ErrEdgeOn)
	}
	m = mix(points, nil)
	if _, share := m.solve(m.ones()); share < float64(DegenerateRatio) {
		return fmt.Errorf("%s: %w", names(points), ErrOpen)
	}
	return nil
}

// goldenShare spreads places along a line so that no two coincide.
const goldenShare = 0.6180339887498949

// telling leaves out the line marks that show within SameMarkSDs of another mark
// or point on the same line: together they say no more than one.
func telling(points []Point) []Point {
	only := proper(points)
	kept := append([]Point(nil), only...)
	for _, q := range points[len(only):] {
		fresh := true
		for _, o := range kept {
			onIt := o.line == nil && q.line.holds(at(o.On)) || o.line != nil && q.line.same(*o.line)
			apart := math.Hypot(q.At.U-o.At.U, q.At.V-o.At.V)
			if onIt && apart <= float64(SameMarkSDs)*math.Max(q.sd(), o.sd()) {
				fresh = false
				break
			}
		}
		if fresh {
			kept = append(kept, q)
		}
	}
	return kept
}
