package motion

import (
	"math"
	"sort"

	"mesure/quantity"
)

// change is what a stretch of samples says of the instant at which a point leaves
// its rest: how likely each instant is, and how much likelier a departure is than
// none.
type change struct {
	at     []float64 // seconds, in order
	chance []float64 // they sum to one
	// odds is the logarithm of the evidence for a departure over that for none.
	odds float64
}

// shape is a way to leave rest: how far after a time, 0 until 0, and the standard
// deviation in metres of what it is multiplied by.
type shape struct {
	away   func(t float64) float64
	spread float64
	weight float64
}

const (
	// SwaySD and SwayTime describe what a point at rest still does, a slow sway of
	// this many metres that changes within this many seconds (common practice, no
	// source): without it a breath would count as the start.
	SwaySD   = 0.003
	SwayTime = 0.1
	// OnsetSpeedSD is the spread in m/s of the greatest speed that a movement may
	// come to, before anything was seen: twice of it is the thrust of a point.
	OnsetSpeedSD = 3.0
	// gridSteps is how many instants are weighed, gridCoarse how many of them make one
	// step of the first look, and gridNats how much less likely, as a logarithm, an
	// instant may be there to be looked at at all.
	gridSteps  = 100
	gridCoarse = 4
	gridNats   = 12
)

// minimumJerks are departures on the minimum-jerk curve of different durations (s),
// and one under constant acceleration for movements that are not of this kind.
func minimumJerks() []shape {
	var all []shape
	for t := 0.12; t < 1.3; t *= 1.2 {
		all = append(all, shape{
			away:   func(s float64) float64 { return minimumJerk(s / t) },
			spread: OnsetSpeedSD * t / 1.875,
			weight: 1,
		})
	}
	return all
}

// minimumJerk is the curve 10s³ − 15s⁴ + 6s⁵, held at its ends (Flash and Hogan, J.
// Neurosci. 5:1688, 1985).
func minimumJerk(s float64) float64 {
	s = max(0, min(1, s))
	return s * s * s * (10 - 15*s + 6*s*s)
}

// kicks are departures with speed or acceleration at once: a foot that leaves the
// floor or, with time turned round, strikes it.
func kicks() []shape {
	after := func(f func(t float64) float64) func(float64) float64 {
		return func(t float64) float64 { return f(max(0, t)) }
	}
	return []shape{
		{after(func(t float64) float64 { return t }), OnsetSpeedSD, 4},
		{after(func(t float64) float64 { return t * t }), OnsetSpeedSD / 0.2, 4},
	}
}

// depart weighs every instant between from and to as the one at which the point
// left its rest. Rest is a straight line in time, of a slope with standard deviation
// drift (m/s), plus sway; a departure adds one of the shapes, of unknown size, in
// every coordinate. Own, shared and stretch errors of the samples are one
// covariance; all linear numbers are integrated out (Gaussian marginal likelihood,
// Bishop, Pattern Recognition and Machine Learning, 2006, 3.5). Where the best fit
// leaves more than the errors explain, they are enlarged so that it does not.
// ok is false where there are too few samples to tell.
func depart(samples []Sample, from, to float64, shapes []shape, drift float64) (c change, ok bool) {
	d := samples[0].Where.Len()
	n := len(samples)
	if n < 5 || !(to > from) {
		return change{}, false
	}
	size := n * d
	root := covariance(samples)
	if !cholesky(root, size) {
		return change{}, false
	}
	whiten := func(v []float64, first int) { // nothing stands before first
		for i := first; i < size; i++ {
			row := root[i*size+first : i*size+i]
			v[i] = (v[i] - dot(row, v[first:i])) / root[i*size+i]
		}
	}
	t0 := float64(samples[0].At)
	y := make([]float64, size)
	lines := make([][]float64, 2*d)
	for k := range lines {
		lines[k] = make([]float64, size)
	}
	var middle [maxDims]float64
	for _, s := range samples {
		for a := range d {
			middle[a] += s.Where.Mean[a] / float64(n)
		}
	}
	for i, s := range samples {
		for a := range d {
			y[i*d+a] = s.Where.Mean[a] - middle[a]
			lines[a][i*d+a] = 1
			lines[d+a][i*d+a] = float64(s.At) - t0
		}
	}
	whiten(y, 0)
	for _, l := range lines {
		whiten(l, 0)
	}
	// Normal equations of the lines, the same for every departure.
	wide := 3 * d
	base, right := make([]float64, wide*wide), make([]float64, wide)
	for i, a := range lines {
		for k, b := range lines[:i+1] {
			base[i*wide+k] = dot(a, b)
			base[k*wide+i] = base[i*wide+k]
		}
		right[i] = dot(a, y)
	}
	for a := range d {
		base[a*wide+a] += 1 / (PriorPlaceSD * PriorPlaceSD)
		base[(d+a)*wide+d+a] += 1 / (drift * drift)
	}
	yy := dot(y, y)
	none, restLeft := evidence(base, right, 2*d, wide, yy)

	steps := gridSteps
	c.at, c.chance = make([]float64, steps), make([]float64, steps)
	for g := range c.at {
		c.at[g] = from + (to-from)*(float64(g)+0.5)/float64(steps)
	}
	weights := 0.0
	for _, s := range shapes {
		weights += s.weight
	}
	bends := make([][]float64, d)
	for a := range bends {
		bends[a] = make([]float64, size)
	}
	m, b := make([]float64, wide*wide), make([]float64, wide)
	best := math.Inf(1)
	type tried struct{ left, rest float64 } // −2 log evidence is left/over + rest
	all := make([][]tried, steps)
	try := func(g int) {
		all[g] = make([]tried, 0, len(shapes))
		first := sort.Search(n, func(i int) bool { return float64(samples[i].At) > c.at[g] })
		for _, s := range shapes {
			copy(m, base)
			copy(b, right)
			for a := range d {
				clear(bends[a])
				for i := first; i < n; i++ {
					bends[a][i*d+a] = s.away(float64(samples[i].At) - c.at[g])
				}
				whiten(bends[a], first*d)
				r := 2*d + a
				bend := bends[a][first*d:]
				for k, l := range lines {
					m[r*wide+k] = dot(bend, l[first*d:])
					m[k*wide+r] = m[r*wide+k]
				}
				for k := range a + 1 {
					m[r*wide+2*d+k] = dot(bend, bends[k][first*d:])
					m[(2*d+k)*wide+r] = m[r*wide+2*d+k]
				}
				m[r*wide+r] += 1 / (s.spread * s.spread)
				b[r] = dot(bend, y[first*d:])
			}
			logdet, left := evidence(m, b, wide, wide, yy)
			best = min(best, left)
			all[g] = append(all[g], tried{left, logdet + 2*float64(d)*math.Log(s.spread) - 2*math.Log(s.weight/weights)})
		}
	}
	// Errors that are stated too small make every instant look sure.
	over := func() float64 { return max(1, best/max(1, float64(size-wide-2))) }
	log := func(g int) float64 {
		most, k := math.Inf(-1), over()
		for _, v := range all[g] {
			most = max(most, -0.5*(v.left/k+v.rest))
		}
		return most
	}
	// Every few instants first, then those in between that may count.
	for g := gridCoarse / 2; g < steps; g += gridCoarse {
		try(g)
	}
	top := math.Inf(-1)
	coarse := make([]float64, steps)
	for g := range steps {
		coarse[g] = log(g)
		top = max(top, coarse[g])
	}
	for g := range steps {
		near := math.Inf(-1)
		for k := max(0, g-gridCoarse); k <= min(steps-1, g+gridCoarse); k++ {
			near = max(near, coarse[k])
		}
		if len(all[g]) == 0 && near > top-gridNats {
			try(g)
		}
	}
	top = math.Inf(-1)
	for g := range steps {
		top = max(top, log(g))
	}
	sum := 0.0
	for g := range steps {
		for _, v := range all[g] {
			c.chance[g] += math.Exp(-0.5*(v.left/over()+v.rest) - top)
		}
		sum += c.chance[g]
	}
	for g := range c.chance {
		c.chance[g] /= sum
	}
	c.odds = top + math.Log(sum/float64(steps)) + 0.5*(restLeft/over()+none)
	return c, true
}

// covariance is that of all samples together, with sway.
func covariance(samples []Sample) []float64 {
	d := samples[0].Where.Len()
	size := len(samples) * d
	cov := make([]float64, size*size)
	shared, walks := len(samples[0].Shared)/d, len(samples[0].walks)/d
	for i, s := range samples {
		for k, r := range samples[:i+1] {
			apart := float64(s.At-r.At) / SwayTime
			sway := SwaySD * SwaySD * math.Exp(-0.5*apart*apart)
			for a := range d {
				for b := range d {
					v := dot(s.Shared[a*shared:(a+1)*shared], r.Shared[b*shared:(b+1)*shared]) +
						dot(s.walks[a*walks:(a+1)*walks], r.walks[b*walks:(b+1)*walks])
					if a == b {
						v += sway
					}
					if i == k {
						v += s.Where.Covariance(a, b)
					}
					cov[(i*d+a)*size+k*d+b] = v
					cov[(k*d+b)*size+i*d+a] = v
				}
			}
		}
	}
	return cov
}

// evidence returns the logarithm of the determinant of the normal equations and
// what their solution leaves of the squared length yy, prior terms in it.
func evidence(m, b []float64, n, stride int, yy float64) (logdet, left float64) {
	var root [maxState * maxState]float64
	var x [maxState]float64
	for i := range n {
		copy(root[i*n:(i+1)*n], m[i*stride:i*stride+n])
		x[i] = b[i]
	}
	if !cholesky(root[:n*n], n) {
		return math.Inf(1), yy
	}
	solveRoot(root[:n*n], n, x[:n])
	for i := range n {
		logdet += 2 * math.Log(root[i*n+i])
	}
	return logdet, max(0, yy-dot(x[:n], b[:n]))
}

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var x, y float64 // two sums: the processor adds them side by side
	i := 0
	for ; i+1 < len(a); i += 2 {
		x += a[i] * b[i]
		y += a[i+1] * b[i+1]
	}
	if i < len(a) {
		x += a[i] * b[i]
	}
	return x + y
}

// instant is the law of the departure: mean, standard deviation and the central
// 95 %, with the width of a step of the grid in it.
func (c change) instant() quantity.Of[quantity.Seconds] {
	step := c.at[1] - c.at[0]
	mean, square := 0.0, 0.0
	for i, p := range c.chance {
		mean += p * c.at[i]
	}
	for i, p := range c.chance {
		square += p * (c.at[i] - mean) * (c.at[i] - mean)
	}
	return quantity.Of[quantity.Seconds]{
		Mean: quantity.Seconds(mean), SD: quantity.Seconds(math.Sqrt(square + step*step/12)),
		Lo: quantity.Seconds(c.quantile((1 - quantity.Coverage) / 2)), Hi: quantity.Seconds(c.quantile((1 + quantity.Coverage) / 2)),
	}
}

// quantile is the instant before which a share p of the law lies.
func (c change) quantile(p float64) float64 {
	step := c.at[1] - c.at[0]
	sum := 0.0
	for i, v := range c.chance {
		if sum+v >= p && v > 0 {
			return c.at[i] - step/2 + step*(p-sum)/v
		}
		sum += v
	}
	return c.at[len(c.at)-1] + step/2
}

// before is the chance that the departure came before t.
func (c change) before(t float64) float64 {
	step := c.at[1] - c.at[0]
	i := sort.SearchFloat64s(c.at, t)
	sum := 0.0
	for k := range i {
		sum += c.chance[k]
	}
	// Half steps on either side of the grid's instants.
	if i < len(c.at) && t > c.at[i]-step/2 {
		sum += c.chance[i] * (t - c.at[i] + step/2) / step
	} else if i > 0 && t < c.at[i-1]+step/2 {
		sum -= c.chance[i-1] * (c.at[i-1] + step/2 - t) / step
	}
	return max(0, min(1, sum))
}

// logistic is the chance that goes with the logarithm of odds.
func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
