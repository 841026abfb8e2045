package motion

import "math"

// The arithmetic of the filter on plain slices: the matrices are small (three
// numbers a coordinate, at most nine), a general library would spend its time on
// memory. Coordinate c has its place, velocity and acceleration at 3c, 3c+1, 3c+2.

// maxDims is how many coordinates a place may have, maxState how many numbers a
// state then holds.
const (
	maxDims  = 3
	maxState = 3 * maxDims
)

// state is what is known at one instant. mean has width columns: the first is the
// movement; each further one is what the same filter makes of another series of
// places with the same errors (an error shared by all samples, a draw).
type state struct {
	mean []float64 // 3·dims × width
	cov  []float64 // 3·dims × 3·dims
}

// model is the white-jerk law for a number of coordinates.
type model struct{ dims, width int }

func (m model) len() int { return 3 * m.dims }

// room returns states that lie side by side in memory.
func (m model) room(n int) []state {
	a, b := m.len()*m.width, m.len()*m.len()
	flat := make([]float64, n*(a+b))
	all := make([]state, n)
	for i := range all {
		all[i] = state{mean: flat[:a:a], cov: flat[a : a+b : a+b]}
		flat = flat[a+b:]
	}
	return all
}

func copyState(dst, src state) {
	copy(dst.mean, src.mean)
	copy(dst.cov, src.cov)
}

// predict carries a state over a time t ≥ 0 in seconds, q the density of the jerk.
// dst may be src.
func (m model) predict(dst, src state, t, q float64) {
	n, w, h := m.len(), m.width, t*t/2
	for c := range m.dims {
		x, v, a := 3*c*w, (3*c+1)*w, (3*c+2)*w
		for k := range w {
			px, pv, pa := src.mean[x+k], src.mean[v+k], src.mean[a+k]
			dst.mean[x+k] = px + t*pv + h*pa
			dst.mean[v+k] = pv + t*pa
			dst.mean[a+k] = pa
		}
	}
	t2 := t * t
	t3 := t2 * t
	noise := [9]float64{
		q * t3 * t2 / 20, q * t2 * t2 / 8, q * t3 / 6,
		q * t2 * t2 / 8, q * t3 / 3, q * t2 / 2,
		q * t3 / 6, q * t2 / 2, q * t,
	}
	for a := range m.dims {
		for b := a; b < m.dims; b++ {
			var p [9]float64
			for i := range 3 {
				copy(p[3*i:3*i+3], src.cov[(3*a+i)*n+3*b:])
			}
			for j := range 3 { // F·P
				p[j] += t*p[3+j] + h*p[6+j]
				p[3+j] += t * p[6+j]
			}
			for i := range 3 { // F·P·Fᵀ
				p[3*i] += t*p[3*i+1] + h*p[3*i+2]
				p[3*i+1] += t * p[3*i+2]
			}
			for i := range 3 {
				for j := range 3 {
					v := p[3*i+j]
					if a == b {
						v = (p[3*i+j]+p[3*j+i])/2 + noise[3*i+j]
					}
					dst.cov[(3*a+i)*n+3*b+j] = v
					dst.cov[(3*b+j)*n+3*a+i] = v
				}
			}
		}
	}
}

// update takes measured places into a state: places has dims × width numbers,
// errors the dims × dims covariance. It returns the squared Mahalanobis distance
// of the first place from its prediction and its log-likelihood. dst must not be src.
func (m model) update(dst, src state, places, errors []float64) (distance, loglik float64) {
	n, d, w := m.len(), m.dims, m.width
	var root [maxDims * maxDims]float64
	for a := range d {
		for b := range d {
			root[a*d+b] = src.cov[3*a*n+3*b] + errors[a*d+b]
		}
	}
	if !cholesky(root[:d*d], d) {
		panic("motion: the covariance of a place is not positive")
	}
	// gain = P·Hᵀ·S⁻¹, n × d.
	var gain [maxState * maxDims]float64
	for i := range n {
		row := gain[i*d : i*d+d]
		for a := range d {
			row[a] = src.cov[i*n+3*a]
		}
		solveRoot(root[:d*d], d, row)
	}
	// The distance from the prediction, scaled by the root of S.
	var off, scaled [maxDims]float64
	logdet := 0.0
	for a := range d {
		off[a] = places[a*w] - src.mean[3*a*w]
		z := off[a]
		for k := range a {
			z -= root[a*d+k] * scaled[k]
		}
		scaled[a] = z / root[a*d+a]
		distance += scaled[a] * scaled[a]
		logdet += 2 * math.Log(root[a*d+a])
	}
	loglik = -0.5 * (distance + logdet + float64(d)*math.Log(2*math.Pi))
	for i := range n {
		row := dst.mean[i*w : i*w+w]
		copy(row, src.mean[i*w:i*w+w])
		for a := range d {
			g := gain[i*d+a]
			have := src.mean[3*a*w : 3*a*w+w]
			for k, v := range places[a*w : a*w+w] {
				row[k] += g * (v - have[k])
			}
		}
	}
	// Joseph's form keeps the covariance positive: (I−KH)P(I−KH)ᵀ + KRKᵀ.
	var kept [maxState * maxState]float64 // (I−KH)P
	for i := range n {
		for j := range n {
			sum := src.cov[i*n+j]
			for a := range d {
				sum -= gain[i*d+a] * src.cov[3*a*n+j]
			}
			kept[i*n+j] = sum
		}
	}
	var spread [maxState * maxDims]float64 // KR − (I−KH)PHᵀ
	for i := range n {
		for b := range d {
			sum := -kept[i*n+3*b]
			for a := range d {
				sum += gain[i*d+a] * errors[a*d+b]
			}
			spread[i*d+b] = sum
		}
	}
	for i := range n {
		for j := i; j < n; j++ {
			x, y := kept[i*n+j], kept[j*n+i]
			for a := range d {
				x += spread[i*d+a] * gain[j*d+a]
				y += spread[j*d+a] * gain[i*d+a]
			}
			v := (x + y) / 2
			dst.cov[i*n+j], dst.cov[j*n+i] = v, v
		}
	}
	return distance, loglik
}

// away is the squared Mahalanobis distance of a place with these errors from a
// state.
func (m model) away(s state, places, errors []float64) float64 {
	n, d, w := m.len(), m.dims, m.width
	var root [maxDims * maxDims]float64
	var off, scaled [maxDims]float64
	for a := range d {
		off[a] = places[a*w] - s.mean[3*a*w]
		for b := range d {
			root[a*d+b] = s.cov[3*a*n+3*b] + errors[a*d+b]
		}
	}
	if !cholesky(root[:d*d], d) {
		panic("motion: the covariance of a place is not positive")
	}
	scaled = off
	solveRoot(root[:d*d], d, scaled[:d])
	return dot(off[:d], scaled[:d])
}

// back is one step of the smoother: from a filtered state, the prediction from it
// over a time, and the smoothed state there. dst may be filtered.
func (m model) back(dst, filtered, predicted, smoothed state, t float64) {
	n, w := m.len(), m.width
	var root [maxState * maxState]float64
	copy(root[:n*n], predicted.cov)
	if !cholesky(root[:n*n], n) {
		copyState(dst, filtered) // no time has gone by and nothing is uncertain: nothing to learn
		return
	}
	// gain = P·Fᵀ·Pₚ⁻¹, row by row: P is symmetric, so row i of P·Fᵀ is F applied to
	// row i of P.
	var gain [maxState * maxState]float64
	h := t * t / 2
	for i := range n {
		row := gain[i*n : i*n+n]
		p := filtered.cov[i*n : i*n+n]
		for c := 0; c < n; c += 3 {
			row[c] = p[c] + t*p[c+1] + h*p[c+2]
			row[c+1] = p[c+1] + t*p[c+2]
			row[c+2] = p[c+2]
		}
		solveRoot(root[:n*n], n, row)
	}
	for i := range n {
		row := dst.mean[i*w : i*w+w]
		copy(row, filtered.mean[i*w:i*w+w])
		for j := range n {
			g := gain[i*n+j]
			before := predicted.mean[j*w : j*w+w]
			for k, v := range smoothed.mean[j*w : j*w+w] {
				row[k] += g * (v - before[k])
			}
		}
	}
	var change, carried [maxState * maxState]float64
	for i := range n * n {
		change[i] = smoothed.cov[i] - predicted.cov[i]
	}
	for i := range n {
		for j := range n {
			sum := 0.0
			for k := range n {
				sum += gain[i*n+k] * change[k*n+j]
			}
			carried[i*n+j] = sum
		}
	}
	for i := range n {
		for j := i; j < n; j++ {
			sum := filtered.cov[i*n+j]
			for k := range n {
				sum += carried[i*n+k] * gain[j*n+k]
			}
			dst.cov[i*n+j], dst.cov[j*n+i] = sum, sum
		}
	}
}

// turn changes the sign of the velocities: the law is the same with time turned
// round.
func (m model) turn(s state) {
	n, w := m.len(), m.width
	for i := 1; i < n; i += 3 {
		for k := range w {
			s.mean[i*w+k] = -s.mean[i*w+k]
		}
	}
	for i := range n {
		for j := range n {
			if (i%3 == 1) != (j%3 == 1) {
				s.cov[i*n+j] = -s.cov[i*n+j]
			}
		}
	}
}

// cholesky puts the lower root of a symmetric matrix in its place; false where it
// is not positive in 16 digits.
func cholesky(a []float64, n int) bool {
	for c := range n {
		d := a[c*n+c]
		for k := range c {
			d -= a[c*n+k] * a[c*n+k]
		}
		if !(d > 0) {
			return false
		}
		p := math.Sqrt(d)
		a[c*n+c] = p
		for r := c + 1; r < n; r++ {
			v := a[r*n+c]
			for k := range c {
				v -= a[r*n+k] * a[c*n+k]
			}
			a[r*n+c] = v / p
		}
	}
	return true
}

// solveRoot solves L·Lᵀ·x = b in place.
func solveRoot(l []float64, n int, b []float64) {
	for i := range n {
		v := b[i]
		for k := range i {
			v -= l[i*n+k] * b[k]
		}
		b[i] = v / l[i*n+i]
	}
	for i := n - 1; i >= 0; i-- {
		v := b[i]
		for k := i + 1; k < n; k++ {
			v -= l[k*n+i] * b[k]
		}
		b[i] = v / l[i*n+i]
	}
}
