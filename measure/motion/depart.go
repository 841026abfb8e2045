package motion

import (
	"math"
	"sort"
)

const (
	// SwaySD and SwayTime describe what a point at rest still does, a slow sway of
	// this many metres that changes within this many seconds (common practice, no
	// source): without it a breath would count as the start.
	SwaySD   = 0.003
	SwayTime = 0.1
	// gridSteps is how many instants are weighed, gridCoarse how many of them make one
	// step of the first look, and gridNats how much less likely, as a logarithm, an
	// instant may be there to be looked at at all.
	gridSteps  = 100
	gridCoarse = 4
	gridNats   = 12
	// departSamples is the fewest samples from which a departure is told.
	departSamples = 5
)

// depart weighs every instant between from and to as the one at which the point
// left its rest. Rest is a straight line in time, of a slope with standard deviation
// drift (m/s), plus sway; a departure adds one of the shapes, of unknown size, in
// every coordinate. Own, shared and stretch errors of the samples are one
// covariance; all linear numbers are integrated out. Where the best fit leaves more
// than the errors explain, the errors are enlarged so that it does not: errors that
// are stated too small would make every instant look sure. ok is false where there
// are too few samples to tell.
//
// Source: Bishop, Pattern Recognition and Machine Learning (2006), 3.5.1, for the
// marginal likelihood of a linear model.
func depart(samples []Sample, from, to float64, shapes []shape, drift float64) (c change, ok bool) {
	if len(samples) < departSamples || !(to > from) {
		return change{}, false
	}
	s, ok := newStretch(samples, drift)
	if !ok {
		return change{}, false
	}
	c.at, c.chance = make([]float64, gridSteps), make([]float64, gridSteps)
	for g := range c.at {
		c.at[g] = from + (to-from)*(float64(g)+0.5)/gridSteps
	}
	all := make([][]fit, gridSteps)
	// Every few instants first, then those in between that may count.
	for g := gridCoarse / 2; g < gridSteps; g += gridCoarse {
		all[g] = s.leaving(c.at[g], shapes)
	}
	over := s.over(all)
	coarse, top := make([]float64, gridSteps), math.Inf(-1)
	for g := range all {
		coarse[g] = most(all[g], over)
		top = max(top, coarse[g])
	}
	for g := range all {
		near := math.Inf(-1)
		for k := max(0, g-gridCoarse); k <= min(gridSteps-1, g+gridCoarse); k++ {
			near = max(near, coarse[k])
		}
		if len(all[g]) == 0 && near > top-gridNats {
			all[g] = s.leaving(c.at[g], shapes)
		}
	}
	over, top = s.over(all), math.Inf(-1)
	for g := range all {
		top = max(top, most(all[g], over))
	}
	sum := 0.0
	for g := range all {
		for _, f := range all[g] {
			c.chance[g] += math.Exp(f.log(over) - top)
		}
		sum += c.chance[g]
	}
	for g := range c.chance {
		c.chance[g] /= sum
	}
	c.odds = top + math.Log(sum/gridSteps) - s.staying().log(over)
	return c, true
}

// fit is the evidence for one way to move: −2·log of it is left/over + rest, where
// over is by what the variances of all errors are multiplied.
type fit struct{ left, rest float64 }

func (f fit) log(over float64) float64 { return -0.5 * (f.left/over + f.rest) }

func most(all []fit, over float64) float64 {
	top := math.Inf(-1)
	for _, f := range all {
		top = max(top, f.log(over))
	}
	return top
}

// stretch is a run of samples made independent of one another and of unit variance
// (whitened), with the normal equations of the straight lines in it.
type stretch struct {
	samples     []Sample
	dims, size  int
	root        []float64   // of the covariance of all numbers
	y           []float64   // the places, whitened
	yy          float64     // their squared length
	lines       [][]float64 // a constant and a slope for each coordinate, whitened
	base, right []float64   // normal equations, room for a bend in each coordinate
	bends       [][]float64
	m, b        []float64
}

func newStretch(samples []Sample, drift float64) (*stretch, bool) {
	d, n := samples[0].Where.Len(), len(samples)
	s := &stretch{samples: samples, dims: d, size: n * d, root: covariance(samples)}
	if !cholesky(s.root, s.size) {
		return nil, false
	}
	s.y = make([]float64, s.size)
	s.lines, s.bends = make([][]float64, 2*d), make([][]float64, d)
	for k := range s.lines {
		s.lines[k] = make([]float64, s.size)
	}
	for k := range s.bends {
		s.bends[k] = make([]float64, s.size)
	}
	var middle [maxDims]float64 // about the middle, so that the prior of the place is wide
	for _, p := range samples {
		for a := range d {
			middle[a] += p.Where.Mean[a] / float64(n)
		}
	}
	for i, p := range samples {
		for a := range d {
			s.y[i*d+a] = p.Where.Mean[a] - middle[a]
			s.lines[a][i*d+a] = 1
			s.lines[d+a][i*d+a] = float64(p.At - samples[0].At)
		}
	}
	s.whiten(s.y, 0)
	s.yy = dot(s.y, s.y)
	wide := 3 * d
	s.base, s.right = make([]float64, wide*wide), make([]float64, wide)
	s.m, s.b = make([]float64, wide*wide), make([]float64, wide)
	for i, a := range s.lines {
		s.whiten(a, 0)
		for k, b := range s.lines[:i+1] {
			v := dot(a, b)
			s.base[i*wide+k], s.base[k*wide+i] = v, v
		}
		s.right[i] = dot(a, s.y)
	}
	for a := range d {
		s.base[a*wide+a] += 1 / (PriorPlaceSD * PriorPlaceSD)
		s.base[(d+a)*wide+d+a] += 1 / (drift * drift)
	}
	return s, true
}

// whiten solves root·x = v in place; nothing stands in v before first.
func (s *stretch) whiten(v []float64, first int) {
	for i := first; i < s.size; i++ {
		row := s.root[i*s.size+first : i*s.size+i]
		v[i] = (v[i] - dot(row, v[first:i])) / s.root[i*s.size+i]
	}
}

// over is by what the errors must be enlarged for the best of the fits.
func (s *stretch) over(all [][]fit) float64 {
	best := math.Inf(1)
	for _, fits := range all {
		for _, f := range fits {
			best = min(best, f.left)
		}
	}
	return max(1, best/max(1, float64(s.size-3*s.dims-2)))
}

// staying is the evidence for rest alone. A prior that rest and departure both have
// is left out of both.
func (s *stretch) staying() fit {
	logdet, left := evidence(s.base, s.right, 2*s.dims, 3*s.dims, s.yy)
	return fit{left, logdet}
}

// leaving is the evidence for each shape with the departure at t.
func (s *stretch) leaving(t float64, shapes []shape) []fit {
	d, wide := s.dims, 3*s.dims
	first := sort.Search(len(s.samples), func(i int) bool { return float64(s.samples[i].At) > t })
	start := first * d
	weights := 0.0
	for _, sh := range shapes {
		weights += sh.weight
	}
	fits := make([]fit, len(shapes))
	for q, sh := range shapes {
		copy(s.m, s.base)
		copy(s.b, s.right)
		for a := range d {
			bend := s.bends[a]
			clear(bend)
			for i := first; i < len(s.samples); i++ {
				bend[i*d+a] = sh.away(float64(s.samples[i].At) - t)
			}
			s.whiten(bend, start)
			r := 2*d + a
			for k, l := range s.lines {
				v := dot(bend[start:], l[start:])
				s.m[r*wide+k], s.m[k*wide+r] = v, v
			}
			for k := range a + 1 {
				v := dot(bend[start:], s.bends[k][start:])
				s.m[r*wide+2*d+k], s.m[(2*d+k)*wide+r] = v, v
			}
			s.m[r*wide+r] += 1 / (sh.spread * sh.spread)
			s.b[r] = dot(bend[start:], s.y[start:])
		}
		logdet, left := evidence(s.m, s.b, wide, wide, s.yy)
		fits[q] = fit{left, logdet + 2*float64(d)*math.Log(sh.spread) - 2*math.Log(sh.weight/weights)}
	}
	return fits
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
			walk := walkCorrelation(s.along, r.along)
			for a := range d {
				for b := range d {
					v := dot(s.Shared[a*shared:(a+1)*shared], r.Shared[b*shared:(b+1)*shared]) +
						walk*dot(s.walks[a*walks:(a+1)*walks], r.walks[b*walks:(b+1)*walks])
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

// evidence returns the logarithm of the determinant of n normal equations and what
// their solution leaves of the squared length yy, with what the priors take.
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
