package camera

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// Homography is the map from the floor to a picture without lens distortion:
//
//	(u w, v w, w) = H (x, y, 1)
//
// It knows nothing of focal length or height. Place is what measures; this is
// for a quick look, for pairs of frames of one turning camera, and for checks.
type Homography struct {
	// H is row by row, metres to pixels, scaled to H[8] = 1 where that is not
	// near zero, and so that w > 0 at the points.
	H [9]float64
	// RMS is the root mean square distance between marks and fitted points.
	RMS      quantity.Pixels
	Warnings []Warning

	from, to shift
	fit      quantity.Joint // the eight entries in normalised coordinates
}

// FitHomography finds the map that makes Σ|mark − H(place)|²/SD² smallest:
// normalised direct linear transformation (Hartley & Zisserman, Multiple View
// Geometry, 2nd ed., alg. 4.2), then Levenberg–Marquardt on the distance in the
// picture. Metres on the floor, pixels in the picture.
//
// It takes four or more points in general position and refuses all else by name:
// ErrNotFinite, ErrTooFew, ErrRepeated, ErrCollinear, ErrCollapsed, ErrEdgeOn, and
// ErrSwapped where no camera could see the points in front of it. A mirrored
// picture is returned with a warning.
func FitHomography(points []Point) (*Homography, error) {
	if err := checked(points); err != nil {
		return nil, err
	}
	if err := general(points); err != nil {
		return nil, err
	}
	return fitHomography(points)
}

func fitHomography(points []Point) (*Homography, error) {
	floor, pixels := split(points)
	nf, from := normalised(floor)
	np, to := normalised(pixels)
	h, _ := dlt(nf, np)
	start, err := oriented(h, nf)
	if err != nil {
		return nil, fmt.Errorf("%s: %w%s", names(points), err, swapHint(points))
	}
	weight := make([]float64, len(points)) // residuals in marking errors
	for i, p := range points {
		weight[i] = 1 / (p.sd() * to.k)
	}
	sol, err := quantity.Fit(quantity.Problem{
		Count: 2 * len(points),
		Residuals: func(dst, h []float64) {
			for i, p := range nf {
				w := h[6]*p.x + h[7]*p.y + 1
				dst[2*i] = ((h[0]*p.x+h[1]*p.y+h[2])/w - np[i].x) * weight[i]
				dst[2*i+1] = ((h[3]*p.x+h[4]*p.y+h[5])/w - np[i].y) * weight[i]
			}
		},
		Jacobian: func(dst *mat.Dense, h []float64) {
			for i, p := range nf {
				u, v := homographyRows(h, p)
				for k := range u {
					dst.Set(2*i, k, u[k]*weight[i])
					dst.Set(2*i+1, k, v[k]*weight[i])
				}
			}
		},
	}, start[:8], quantity.Settings{})
	if sol.Cov == nil {
		return nil, fmt.Errorf("%s: %w (%v)", names(points), ErrNoFit, err)
	}
	best, err := oriented([9]float64(append(append([]float64{}, sol.P...), 1)), nf)
	if err != nil {
		return nil, fmt.Errorf("%s: %w%s", names(points), err, swapHint(points))
	}
	m := &Homography{from: from, to: to, fit: sol.Joint(1), H: unshift(best, from, to)}
	if determinant(m.H) > 0 {
		m.Warnings = append(m.Warnings, Warning{Code: CodeMirrored, Doubt: 1, Text: ErrMirrored.Error()})
	}
	sum := 0.0
	for _, p := range points {
		q, _ := m.Project(p.On)
		sum += (q.U-p.At.U)*(q.U-p.At.U) + (q.V-p.At.V)*(q.V-p.At.V)
	}
	m.RMS = quantity.Pixels(math.Sqrt(sum / float64(len(points))))
	return m, nil
}

// homographyRows is the derivative of the image of p by the first eight entries.
func homographyRows(h []float64, p flat) (u, v [8]float64) {
	w := h[6]*p.x + h[7]*p.y + 1
	x, y := (h[0]*p.x+h[1]*p.y+h[2])/w, (h[3]*p.x+h[4]*p.y+h[5])/w
	u = [8]float64{p.x / w, p.y / w, 1 / w, 0, 0, 0, -x * p.x / w, -x * p.y / w}
	v = [8]float64{0, 0, 0, p.x / w, p.y / w, 1 / w, -y * p.x / w, -y * p.y / w}
	return u, v
}

// oriented scales h so that its last entry, which is w at the centroid, is 1.
// It is an error if a point would then lie behind the camera.
func oriented(h [9]float64, ps []flat) ([9]float64, error) {
	size := 0.0
	for _, v := range h {
		size = math.Max(size, math.Abs(v))
	}
	if !(math.Abs(h[8]) > 1e-12*size) {
		return h, ErrSwapped
	}
	last := h[8]
	for i := range h {
		h[i] /= last
	}
	for _, p := range ps {
		if !(h[6]*p.x+h[7]*p.y+1 > 0) {
			return h, ErrSwapped
		}
	}
	return h, nil
}

// unshift undoes the normalisation: to⁻¹ · h · from, scaled to h22 = 1 where
// that is not near zero.
func unshift(h [9]float64, from, to shift) [9]float64 {
	k := from.k
	a := mul9(h, [9]float64{k, 0, -k * from.cx, 0, k, -k * from.cy, 0, 0, 1})
	g := 1 / to.k
	out := mul9([9]float64{g, 0, to.cx, 0, g, to.cy, 0, 0, 1}, a)
	return scaled(out)
}

// scaled divides by the last entry, unless that is near zero or negative, where
// w keeps its sign and the largest entry becomes 1.
func scaled(h [9]float64) [9]float64 {
	row := math.Max(math.Abs(h[6]), math.Abs(h[7]))
	by := h[8]
	if !(by > 1e-9*row) {
		by = row
	}
	for i := range h {
		h[i] /= by
	}
	return h
}

func mul9(a, b [9]float64) [9]float64 {
	var out [9]float64
	for i := range 3 {
		for j := range 3 {
			out[3*i+j] = a[3*i]*b[j] + a[3*i+1]*b[3+j] + a[3*i+2]*b[6+j]
		}
	}
	return out
}

func matrix(h [9]float64) turn {
	return turn{{h[0], h[1], h[2]}, {h[3], h[4], h[5]}, {h[6], h[7], h[8]}}
}

func determinant(h [9]float64) float64 { return matrix(h).det() }

// inverse9 is the inverse up to scale: the transposed matrix of cofactors, with
// the sign of the determinant.
func inverse9(h [9]float64) [9]float64 {
	m := matrix(h)
	a, b, c := m[1].cross(m[2]), m[2].cross(m[0]), m[0].cross(m[1])
	d := m.det()
	return [9]float64{a[0] / d, b[0] / d, c[0] / d, a[1] / d, b[1] / d, c[1] / d, a[2] / d, b[2] / d, c[2] / d}
}

// Project returns where a point of the floor shows. The second result is false
// for a point behind the camera. z is not looked at.
func (m *Homography) Project(p piste.Place) (mark.Pixel, bool) {
	h := m.H
	w := h[6]*p.X + h[7]*p.Y + h[8]
	if !(w > 0) {
		return mark.Pixel{}, false
	}
	return mark.Pixel{U: (h[0]*p.X + h[1]*p.Y + h[2]) / w, V: (h[3]*p.X + h[4]*p.Y + h[5]) / w}, true
}

// Floor returns x and y in metres of the point of the floor that shows at px,
// which was marked with error sd (0: marked without error). The covariance is to
// first order and holds the errors of the map and of the mark. It refuses pixels
// on or above the horizon, where (H⁻¹ p)₃ ≤ 0, with ErrHorizon.
func (m *Homography) Floor(px mark.Pixel, sd quantity.Pixels) (quantity.Joint, error) {
	inv := inverse9(m.H)
	w := inv[6]*px.U + inv[7]*px.V + inv[8]
	if !finite(px.U, px.V) {
		return quantity.Joint{}, ErrNotFinite
	}
	if !(w > 0) {
		return quantity.Joint{}, ErrHorizon
	}
	x, y := (inv[0]*px.U+inv[1]*px.V+inv[2])/w, (inv[3]*px.U+inv[4]*px.V+inv[5])/w
	p := m.from.on(flat{x, y})
	h := append(append([]float64{}, m.fit.Mean...), 1)
	bu, bv := homographyRows(h, p)
	// By the normalised place: the same quotient, differentiated by x and y.
	wn := h[6]*p.x + h[7]*p.y + 1
	un, vn := (h[0]*p.x+h[1]*p.y+h[2])/wn, (h[3]*p.x+h[4]*p.y+h[5])/wn
	a, b := (h[0]-un*h[6])/wn, (h[1]-un*h[7])/wn
	c, d := (h[3]-vn*h[6])/wn, (h[4]-vn*h[7])/wn
	det := (a*d - b*c) * m.from.k
	rows := make([]float64, 2*10)
	for k := range 8 {
		rows[k] = -(d*bu[k] - b*bv[k]) / det
		rows[10+k] = -(-c*bu[k] + a*bv[k]) / det
	}
	g := m.to.k / det
	rows[8], rows[9], rows[18], rows[19] = d*g, -b*g, -c*g, a*g
	all := quantity.Stack(m.fit, quantity.Independent([]float64{0, 0}, []float64{float64(sd), float64(sd)}))
	j := all.Linear(rows, nil)
	j.Mean[0], j.Mean[1] = x, y
	return j, nil
}

// Between returns the map from pixels of the picture of a to pixels of the
// picture of b, for a camera that only turned and zoomed between them:
// H_b H_a⁻¹, row by row, scaled to a last entry of 1 where that is not near zero.
// It then holds for every point of the world and not only for the floor.
func Between(a, b *Homography) [9]float64 { return scaled(mul9(b.H, inverse9(a.H))) }

// CrossRatio returns (c−a)(d−b)/((c−b)(d−a)) for four points of one image line
// that cross four parallel lines of the floor, such as piste lines: no camera
// without distortion changes it. Positions are taken along the line from the
// first point to the last.
func CrossRatio(p [4]mark.Pixel) quantity.Ratio {
	var t [4]float64
	du, dv := p[3].U-p[0].U, p[3].V-p[0].V
	for i, q := range p {
		t[i] = (q.U-p[0].U)*du + (q.V-p[0].V)*dv
	}
	return quantity.Ratio((t[2] - t[0]) * (t[3] - t[1]) / ((t[2] - t[1]) * (t[3] - t[0])))
}
