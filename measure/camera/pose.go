package camera

import (
	"math"

	"mesure/sport/piste"
)

// vec is a vector of three numbers, of the world frame in metres or of the
// camera's frame (x right, y down, z forward).
type vec [3]float64

func (a vec) plus(b vec) vec      { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) minus(b vec) vec     { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec) times(s float64) vec { return vec{a[0] * s, a[1] * s, a[2] * s} }
func (a vec) dot(b vec) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) norm() float64       { return math.Sqrt(a.dot(a)) }
func (a vec) unit() vec           { return a.times(1 / a.norm()) }
func at(p piste.Place) vec        { return vec{p.X, p.Y, p.Z} }
func (a vec) place() piste.Place  { return piste.Place{X: a[0], Y: a[1], Z: a[2]} }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

// turn is a matrix of three rows; as a rotation it takes world directions to
// camera directions.
type turn [3]vec

func identity() turn { return turn{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} }

func (m turn) on(v vec) vec { return vec{m[0].dot(v), m[1].dot(v), m[2].dot(v)} }

func (m turn) back(v vec) vec { // mᵀ v
	return m[0].times(v[0]).plus(m[1].times(v[1])).plus(m[2].times(v[2]))
}

func (m turn) transposed() turn {
	return turn{{m[0][0], m[1][0], m[2][0]}, {m[0][1], m[1][1], m[2][1]}, {m[0][2], m[1][2], m[2][2]}}
}

func (m turn) mul(n turn) turn {
	t := n.transposed()
	var out turn
	for i := range out {
		for j := range out {
			out[i][j] = m[i].dot(t[j])
		}
	}
	return out
}

func (m turn) det() float64 { return m[0].dot(m[1].cross(m[2])) }

// smallAngle is below where the series of sine and cosine are exact to the last
// digit with two terms.
const smallAngle = 1e-5

// rotation is the exponential of the cross product with w (Rodrigues).
func rotation(w vec) turn {
	a := w.norm()
	s, c := 1-a*a/6, 0.5-a*a/24 // sin(a)/a and (1−cos a)/a²
	if a > smallAngle {
		s, c = math.Sin(a)/a, (1-math.Cos(a))/(a*a)
	}
	return series(w, s, c)
}

// leftJacobian is the matrix J with rotation(w+d) ≈ rotation(J d)·rotation(w).
func leftJacobian(w vec) turn {
	a := w.norm()
	c, d := 0.5-a*a/24, 1.0/6-a*a/120 // (1−cos a)/a² and (a−sin a)/a³
	if a > smallAngle {
		c, d = (1-math.Cos(a))/(a*a), (a-math.Sin(a))/(a*a*a)
	}
	return series(w, c, d)
}

// series returns 1 + s·[w] + c·[w]².
func series(w vec, s, c float64) turn {
	m := identity()
	k := turn{{0, -w[2], w[1]}, {w[2], 0, -w[0]}, {-w[1], w[0], 0}}
	k2 := k.mul(k)
	for i := range m {
		for j := range m {
			m[i][j] += s*k[i][j] + c*k2[i][j]
		}
	}
	return m
}

// pose is where the camera stands and how it is turned.
type pose struct {
	turn   turn // world to camera
	centre vec
}

// moved returns the pose after a small turn in the camera's frame.
func (p pose) turned(w vec) pose { return pose{rotation(w).mul(p.turn), p.centre} }

// roll is the angle between the picture's horizontal axis and the floor.
func (p pose) roll() float64 { return math.Asin(clamp(p.turn[0][2], -1, 1)) }

func clamp(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }
