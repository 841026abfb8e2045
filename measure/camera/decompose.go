package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// focals lists focal lengths that a map from floor to picture suggests, in
// pixels about the principal point: from both conditions on it together, and
// from each alone (Zhang 2000, section 2.3, with the other intrinsics known).
func focals(h [9]float64, cx, cy float64) []float64 {
	m := centred(h, cx, cy)
	a1 := m[0]*m[1] + m[3]*m[4]
	b1 := m[6] * m[7]
	a2 := m[0]*m[0] + m[3]*m[3] - m[1]*m[1] - m[4]*m[4]
	b2 := m[6]*m[6] - m[7]*m[7]
	var out []float64
	for _, w := range []float64{-(a1*b1 + a2*b2) / (a1*a1 + a2*a2), -b1 / a1, -b2 / a2} {
		if f := math.Sqrt(1 / w); f > 0 && finite(f) {
			out = append(out, f)
		}
	}
	return out
}

// centred moves the principal point to the origin of the picture.
func centred(h [9]float64, cx, cy float64) [9]float64 {
	for j := range 3 {
		h[j] -= cx * h[6+j]
		h[3+j] -= cy * h[6+j]
	}
	return h
}

// posesOf returns the two poses that a map from the floor suggests for a known
// lens without distortion: the one that follows from the map, and its mirror
// image about the line of sight to the points, which looks alike where the
// perspective is weak (after Collins & Bartoli, IJCV 109(3):252, 2014).
func posesOf(h [9]float64, l optics, points []Point) []pose {
	m := centred(h, l.Cx, l.Cy)
	var cols [3]vec
	for j := range cols {
		y := m[3+j] / l.Fy
		cols[j] = vec{(m[j] - l.Skew*y) / l.Fx, y, m[6+j]}
	}
	size := (cols[0].norm() + cols[1].norm()) / 2
	if !(size > 0) {
		return nil
	}
	r, ok := nearestTurn(cols[0].times(1/size), cols[1].times(1/size))
	if !ok {
		return nil
	}
	first := pose{r, r.back(cols[2].times(1 / size)).times(-1)}
	mid := middle(points)
	sight := r.on(mid.minus(first.centre))
	if !(sight.norm() > 0) {
		return []pose{first}
	}
	z := sight.unit()
	// Reflect the normal about the line of sight: D R with D = 1 − 2zzᵀ in the
	// camera, and world z turned round to keep a rotation.
	var second turn
	for i := range second {
		for j := range second {
			k := 0.0
			for q := range 3 {
				k += z[q] * r[q][j]
			}
			second[i][j] = r[i][j] - 2*z[i]*k
			if j == 2 {
				second[i][j] = -second[i][j]
			}
		}
	}
	return []pose{first, {second, mid.minus(second.back(sight))}}
}

// middle is the centroid of the places.
func middle(points []Point) vec {
	var c vec
	for _, p := range points {
		c = c.plus(at(p.On))
	}
	return c.times(1 / float64(len(points)))
}

// nearestTurn completes two columns to the nearest rotation.
func nearestTurn(a, b vec) (turn, bool) {
	c := a.cross(b)
	m := mat.NewDense(3, 3, []float64{a[0], b[0], c[0], a[1], b[1], c[1], a[2], b[2], c[2]})
	return nearestRotation(m)
}

// nearestRotation is U·diag(1, 1, det)·Vᵀ of the singular value decomposition.
func nearestRotation(m *mat.Dense) (turn, bool) {
	for _, v := range m.RawMatrix().Data {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return turn{}, false
		}
	}
	var svd mat.SVD
	if !svd.Factorize(m, mat.SVDFull) {
		return turn{}, false
	}
	var u, v mat.Dense
	svd.UTo(&u)
	svd.VTo(&v)
	sign := 1.0
	if mat.Det(&u)*mat.Det(&v) < 0 {
		sign = -1
	}
	var out turn
	for i := range 3 {
		for j := range 3 {
			out[i][j] = u.At(i, 0)*v.At(j, 0) + u.At(i, 1)*v.At(j, 1) + sign*u.At(i, 2)*v.At(j, 2)
		}
	}
	return out, true
}

// turnTowards is the turn of a camera at a known place that brings the points
// nearest to their marks (Wahba's problem; Kabsch, Acta Cryst. A32:922, 1976).
func turnTowards(centre vec, l optics, points []Point) (turn, bool) {
	m := mat.NewDense(3, 3, nil)
	for _, p := range points {
		x, y, ok := l.ray(p.At)
		world := at(p.On).minus(centre)
		if !ok || !(world.norm() > 0) {
			return turn{}, false
		}
		c, w := vec{x, y, 1}.unit(), world.unit()
		for i := range 3 {
			for j := range 3 {
				m.Set(i, j, m.At(i, j)+c[i]*w[j])
			}
		}
	}
	return nearestRotation(m)
}
