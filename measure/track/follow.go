package track

import (
	"math"
	"runtime"
	"sync"

	"mesure/quantity"
	"mesure/sport/mark"
)

// FollowOptions of Follow. The zero value takes the defaults.
type FollowOptions struct {
	// Window is the side of the square about a point that is compared, in pixels, odd;
	// zero means DefaultWindow.
	Window int
	// BothWays follows each point back again and loses it where it does not return.
	BothWays bool
}

// Defaults and limits of Follow.
const (
	DefaultWindow = 21
	// mostSteps of the search on each level, and the step below which it has arrived.
	mostSteps   = 30
	arrivedStep = 0.003
	// minTexture is the least eigenvalue of the mean gradient product of a window, in
	// grey levels squared per pixel squared: less is a flat surface or a straight edge
	// under noise.
	minTexture = 0.5
	// minLikeness is the least correlation of the two windows.
	minLikeness = 0.75
	// noiseTogether is by how much the errors of neighbouring pixels go together: in
	// smoothed and compressed pictures two by two are much alike, so that the window
	// says half of what so many pixels would (measured on shifts of known size: errors
	// 1.4 to 2.0 times the naive SD).
	noiseTogether = 2.0
	// mostReturn is how far, in pixels, a point may come back from where it left.
	mostReturn = 1.0
)

// Why says why a point was lost.
type Why string

// The reasons.
const (
	Kept      Why = ""
	TooFlat   Why = "too flat: nothing about the point tells where it is"
	LeftImage Why = "it left the picture"
	Unlike    Why = "what is there looks different"
	NoReturn  Why = "followed back, it does not return"
	NoEnd     Why = "the search does not settle"
)

// Followed is where a point went.
type Followed struct {
	At mark.Pixel
	// SD of the place in pixels, from the noise and the texture of the window; the
	// same in both directions (the larger of the two).
	SD quantity.Pixels
	// Likeness is the correlation of the two windows, at most 1.
	Likeness float64
	// Lost says why the point could not be followed; At is then where it was lost.
	Lost Why
}

// Follow finds where points of one picture are in another, by the pyramidal method
// of Lucas and Kanade: on each level, from the coarsest, the shift d that minimises
//
//	Σ (I(x) − g·J(x+d) − o)²
//
// over the window, where g and o match contrast and brightness of the two windows
// anew at each step, so that a change of exposure does not pass for a movement.
// guess holds where each point is expected, and may be nil.
//
// A point that cannot be followed is lost, with the reason: there is no texture, it
// leaves the picture, the windows are unlike, or (with BothWays) it does not return.
//
// Sources: Lucas & Kanade, IJCAI 1981; Bouguet, Pyramidal implementation of the
// Lucas Kanade feature tracker (2000); Kalal et al., ICPR 2010, for the way back.
func Follow(from, to *Pyramid, points, guess []mark.Pixel, o FollowOptions) []Followed {
	if o.Window == 0 {
		o.Window = DefaultWindow
	}
	if o.Window < 3 || o.Window%2 == 0 {
		panic("track: a window has an odd side of at least 3 pixels")
	}
	if guess != nil && len(guess) != len(points) {
		panic("track: as many guesses as points")
	}
	out := make([]Followed, len(points))
	one := func(s *scratch, i int) {
		start := points[i]
		if guess != nil {
			start = guess[i]
		}
		f := s.follow(from, to, points[i], start)
		if o.BothWays && f.Lost == Kept {
			back := s.follow(to, from, f.At, points[i])
			if back.Lost != Kept || math.Hypot(back.At.U-points[i].U, back.At.V-points[i].V) > mostReturn {
				f.Lost = NoReturn
			}
		}
		out[i] = f
	}
	workers := min(runtime.GOMAXPROCS(0), (len(points)+pointsPerWorker-1)/pointsPerWorker)
	if workers <= 1 {
		s := newScratch(o.Window)
		for i := range points {
			one(s, i)
		}
		return out
	}
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			s := newScratch(o.Window)
			for i := w; i < len(points); i += workers {
				one(s, i)
			}
		})
	}
	wg.Wait()
	return out
}

// pointsPerWorker is how many points are worth a goroutine of their own.
const pointsPerWorker = 16

// scratch holds the windows of one search.
type scratch struct {
	n          int
	wide       []float32 // the template with a rim of one pixel, for its gradients
	i, gx, gy  []float32
	j          []float32
	mean, norm float32 // of the template
}

func newScratch(n int) *scratch {
	return &scratch{n: n, wide: make([]float32, (n+2)*(n+2)), i: make([]float32, n*n), gx: make([]float32, n*n), gy: make([]float32, n*n), j: make([]float32, n*n)}
}

func (s *scratch) follow(from, to *Pyramid, at, start mark.Pixel) Followed {
	levels := min(len(from.Levels), len(to.Levels))
	scale := math.Pow(2, float64(1-levels))
	u, v := float32(start.U*scale), float32(start.V*scale)
	var f Followed
	for l := levels - 1; l >= 0; l-- {
		share := math.Pow(2, float64(-l))
		lost, gone := s.level(from.Levels[l], to.Levels[l], float32(at.U*share), float32(at.V*share), &u, &v, l == 0, &f)
		if l == 0 {
			f.Lost = lost
		} else {
			if gone { // nothing was learnt on this level: start again from the guess
				u, v = float32(start.U*share), float32(start.V*share)
			}
			u, v = 2*u, 2*v
		}
	}
	f.At = mark.Pixel{U: float64(u), V: float64(v)}
	return f
}

// level refines the place (u, v) on one level. gone says that the search ran away and
// its result is worth nothing.
func (s *scratch) level(from, to Plane, au, av float32, u, v *float32, last bool, f *Followed) (lost Why, gone bool) {
	n := s.n
	from.window(s.wide, n+2, au, av)
	xx, xy, yy := s.template()
	area := float64(n * n)
	least := (xx+yy)/2 - math.Sqrt((xx-yy)*(xx-yy)/4+xy*xy)
	if !(least/area >= minTexture) {
		return TooFlat, false
	}
	det := xx*yy - xy*xy
	u0, v0 := *u, *v
	settled := false
	var du, dv float64
	for range mostSteps {
		to.window(s.j, n, *u, *v)
		bx, by := s.mismatch()
		pu, pv := du, dv
		du, dv = (yy*bx-xy*by)/det, (xx*by-xy*bx)/det
		*u += float32(du)
		*v += float32(dv)
		if math.Abs(float64(*u-u0)) > float64(n) || math.Abs(float64(*v-v0)) > float64(n) {
			return NoEnd, true
		}
		if du*du+dv*dv < arrivedStep*arrivedStep {
			settled = true
			break
		}
		if math.Abs(du+pu) < arrivedStep && math.Abs(dv+pv) < arrivedStep {
			// It swings between two places: the middle is meant.
			*u -= float32(du / 2)
			*v -= float32(dv / 2)
			settled = true
			break
		}
	}
	if !last {
		return Kept, false
	}
	if *u < 0 || *v < 0 || *u > float32(to.W-1) || *v > float32(to.H-1) {
		return LeftImage, false
	}
	to.window(s.j, n, *u, *v)
	likeness, noise := s.likeness()
	f.Likeness = likeness
	// Covariance of the shift: noise² · (Σ ∇I∇Iᵀ)⁻¹; its larger axis.
	f.SD = quantity.Pixels(noiseTogether * noise / math.Sqrt(least))
	switch {
	case likeness < minLikeness:
		return Unlike, false
	case !settled:
		return NoEnd, false
	}
	return Kept, false
}

// template takes the inner window and its gradients (Scharr's weights) out of the wide
// one, and returns the sums of their products.
func (s *scratch) template() (xx, xy, yy float64) {
	n, w := s.n, s.n+2
	var sum, square float64
	for y := range n {
		up, mid, low := s.wide[y*w:][:w:w], s.wide[(y+1)*w:][:w:w], s.wide[(y+2)*w:][:w:w]
		i, gx, gy := s.i[y*n:][:n:n], s.gx[y*n:][:n:n], s.gy[y*n:][:n:n]
		var rxx, rxy, ryy, rs, rq float32
		for x := range n {
			a := (3*(up[x+2]-up[x]+low[x+2]-low[x]) + 10*(mid[x+2]-mid[x])) / 32
			b := (3*(low[x]-up[x]+low[x+2]-up[x+2]) + 10*(low[x+1]-up[x+1])) / 32
			c := mid[x+1]
			i[x], gx[x], gy[x] = c, a, b
			rxx += a * a
			rxy += a * b
			ryy += b * b
			rs += c
			rq += c * c
		}
		xx += float64(rxx)
		xy += float64(rxy)
		yy += float64(ryy)
		sum += float64(rs)
		square += float64(rq)
	}
	area := float64(n * n)
	mean := sum / area
	s.mean, s.norm = float32(mean), float32(math.Sqrt(max(0, square/area-mean*mean)))
	return xx, xy, yy
}

// other returns mean and spread of the second window.
func (s *scratch) other() (mean, norm float32) {
	var sum, square float32
	for _, c := range s.j {
		d := c - s.mean // near the mean, so that the squares keep their digits
		sum += d
		square += d * d
	}
	area := float32(s.n * s.n)
	m := sum / area
	return s.mean + m, float32(math.Sqrt(float64(max(0, square/area-m*m))))
}

// gain returns what brings the second window to the brightness of the first:
// I ≈ g·J + o. A contrast that changes more than twofold is not believed.
func (s *scratch) gain() (g, o float32) {
	mean, norm := s.other()
	g = 1
	if norm > 0 {
		g = max(0.5, min(2, s.norm/norm))
	}
	return g, s.mean - g*mean
}

// mismatch returns Σ (I − gJ − o)·∇I.
func (s *scratch) mismatch() (bx, by float64) {
	g, o := s.gain()
	n := s.n
	for y := range n {
		i, j, gx, gy := s.i[y*n:][:n:n], s.j[y*n:][:n:n], s.gx[y*n:][:n:n], s.gy[y*n:][:n:n]
		var rx, ry float32
		for x := range i {
			d := i[x] - g*j[x] - o
			rx += d * gx[x]
			ry += d * gy[x]
		}
		bx += float64(rx)
		by += float64(ry)
	}
	return bx, by
}

// likeness returns the correlation of the windows and the standard deviation of
// their difference after brightness is matched.
func (s *scratch) likeness() (float64, float64) {
	mean, norm := s.other()
	g, o := s.gain()
	var cross, off float64
	for k, i := range s.i {
		j := s.j[k]
		cross += float64((i - s.mean) * (j - mean))
		d := float64(i - g*j - o)
		off += d * d
	}
	area := float64(s.n * s.n)
	noise := math.Sqrt(off / area)
	if s.norm == 0 || norm == 0 {
		return 0, noise
	}
	return cross / area / float64(s.norm) / float64(norm), noise
}
