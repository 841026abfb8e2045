package camera

import (
	"fmt"
	"math"
	"sort"

	"mesure/quantity"
)

// Parameters of a single picture, in this order; k1 and the principal point
// follow where they are fitted.
const (
	atFocal  = 0 // the logarithm of the focal length
	atTurn   = 1 // three
	atCentre = 4 // three
)

// solved is a fitted picture. The covariance is of the logarithm of the focal
// length, a small turn in the camera's own frame, the centre, and what follows.
type solved struct {
	lens optics
	pose pose
	at   [lensCount]int // where the parameters of the lens stand, or fixed
	cov  []float64
	n    int     // numbers of the covariance
	free int     // parameters that were fitted
	chi  float64 // Σ weighted squared residuals of the marks, in marking errors
	cost float64 // that of the whole fit, with the priors
}

// seed is where a fit starts.
type seed struct {
	lens optics
	pose pose
	cost float64
}

// middleOf returns a lens without focal length for the picture.
func middleOf(width, height int) optics {
	return optics{Cx: float64(width) / 2, Cy: float64(height) / 2}
}

// gridSteps is how many focal lengths across the prior are tried as starts
// beside those that the picture suggests.
const gridSteps = 7

// seeds lists starts for a fit, the best first: focal lengths from the map and
// from a grid across the prior, each with both poses that the map suggests.
func seeds(h *Homography, width, height int, points []Point, opt Options) []seed {
	pr := opt.Priors
	base := middleOf(width, height)
	if opt.Lens != nil {
		return posed(h, points, []optics{opt.Lens.optics()}, pr)
	}
	fs := focals(h.H, base.Cx, base.Cy)
	lo, hi := float64(FocalMin), float64(FocalMax)
	if _, _, ok := pr.Focal.law(); ok {
		lo, hi = float64(pr.Focal.Min), float64(pr.Focal.Max)
	}
	for i := range gridSteps {
		fs = append(fs, lo*math.Pow(hi/lo, (float64(i)+0.5)/gridSteps))
	}
	lenses := make([]optics, len(fs))
	for i, f := range fs {
		lenses[i] = base
		lenses[i].Fx, lenses[i].Fy = f, f
	}
	return posed(h, points, lenses, pr)
}

// posed is every lens with the poses that the map suggests, the best first.
func posed(h *Homography, points []Point, lenses []optics, pr Priors) []seed {
	_, _, upright := pr.Height.law()
	var out []seed
	for _, l := range lenses {
		for _, q := range posesOf(h.H, l, points) {
			if upright && !(q.centre[2] > 0) {
				continue
			}
			c := misses(l, q, points)
			if pr.Roll > 0 {
				c += square(q.roll() / float64(pr.Roll))
			}
			out = append(out, seed{l, q, c})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].cost < out[j].cost })
	return out
}

func square(x float64) float64 { return x * x }

// misses is the sum of squared residuals in marking errors.
func misses(l optics, q pose, points []Point) float64 {
	sum := 0.0
	for _, p := range points {
		if p.line != nil {
			f, ok := l.plumb(q, *p.line, p.At, nil)
			if !ok {
				return math.Inf(1)
			}
			sum += square(f.off / p.sd())
			continue
		}
		px, ok := l.project(q, at(p.On), nil)
		if !ok {
			return math.Inf(1)
		}
		sum += (square(px.U-p.At.U) + square(px.V-p.At.V)) / square(p.sd())
	}
	return sum
}

// single states the fit of one picture from a start.
func single(s seed, points []Point, weight []float64, width int, opt Options) *bundle {
	b := &bundle{}
	v := &view{lens: s.lens, pose: s.pose, points: points, weight: weight}
	v.slots = slots{lens: b.lensSlots(s.lens, width, opt)}
	v.slots.centre = b.centreSlots(s.pose.centre, opt.Priors)
	b.look(v, opt)
	return b
}

// lensSlots makes the parameters of the lens beside the focal length.
func (b *bundle) lensSlots(l optics, width int, opt Options) [lensCount]int {
	out := noSlots().lens
	pr := opt.Priors
	if opt.Lens != nil {
		return out
	}
	if opt.Distortion {
		out[lensK1] = b.add(l.K1)
		if pr.K1 > 0 {
			b.shared = append(b.shared, prior{priorNumber, out[lensK1], 0, float64(pr.K1)})
		}
	}
	if opt.Cropped {
		out[lensCx] = b.add(l.Cx, l.Cy)
		out[lensCy] = out[lensCx] + 1
		if sd := float64(pr.Centre) * float64(width); sd > 0 {
			b.shared = append(b.shared,
				prior{priorNumber, out[lensCx], l.Cx, sd}, prior{priorNumber, out[lensCy], l.Cy, sd})
		}
	}
	return out
}

// centreSlots makes the parameters of the camera's place.
func (b *bundle) centreSlots(c vec, pr Priors) int {
	i := b.add(c[:]...)
	if m, sd, ok := pr.Height.law(); ok {
		b.shared = append(b.shared, prior{priorLog, i + 2, m, sd})
	}
	return i
}

// look makes the parameters of one view: its focal length and its turn.
func (b *bundle) look(v *view, opt Options) {
	pr := opt.Priors
	v.slots.turn = b.add(0, 0, 0)
	v.slots.logFocal = fixed
	if opt.Lens == nil {
		v.slots.logFocal = b.add(math.Log(v.lens.Fx))
	}
	if m, sd, ok := pr.Focal.law(); ok && opt.Lens == nil {
		v.priors = append(v.priors, prior{priorNumber, v.slots.logFocal, m, sd})
	}
	if pr.Roll > 0 {
		v.priors = append(v.priors, prior{priorRoll, 0, 0, float64(pr.Roll)})
	}
	b.views = append(b.views, v)
}

// solve runs the fit and reads every view.
func (b *bundle) solve() ([]solved, error) {
	if n := len(b.start) - b.count(); n > 0 {
		return nil, fmt.Errorf("%w (the points give %d equations too few)", ErrTooFew, n)
	}
	sol, err := quantity.Fit(b.problem(), b.start, quantity.Settings{})
	if sol.Cov == nil {
		return nil, fmt.Errorf("%w (%v)", ErrNoFit, err)
	}
	out := make([]solved, len(b.views))
	for i := range b.views {
		out[i] = b.read(i, sol)
		if !out[i].sound() {
			return nil, fmt.Errorf("%w (the numbers run away)", ErrNoFit)
		}
	}
	return out, nil
}

// read takes the camera of one view out of a solution.
func (b *bundle) read(i int, sol quantity.Solution) solved {
	v := b.views[i]
	s := solved{cost: sol.RSS}
	s.lens, s.pose = v.camera(sol.P)
	t, c := v.slots.turn, v.slots.centre
	index := []int{v.slots.logFocal, t, t + 1, t + 2, c, c + 1, c + 2}
	s.at = noSlots().lens
	for k, j := range v.slots.lens {
		if j != fixed {
			s.at[k] = len(index)
			index = append(index, j)
		}
	}
	// A change of the turn's parameters is a small turn J of the fitted camera.
	n := len(index)
	m := make([]float64, n*n)
	for k := range n {
		m[k*n+k] = 1
	}
	j := leftJacobian(vec(sol.P[t : t+3]))
	for r := range j {
		copy(m[(atTurn+r)*n+atTurn:], j[r][:])
	}
	known := index[atFocal] == fixed
	if known { // any column will do: it is cleared below
		index[atFocal] = t
	}
	s.cov = sol.Joint(1).Pick(index...).Linear(m, nil).Cov
	for k := 0; known && k < n; k++ {
		s.cov[k], s.cov[k*n] = 0, 0
	}
	s.n = n
	s.free = n
	if known {
		s.free--
	}
	for k, p := range v.points {
		if p.line != nil {
			off := wall * p.sd()
			if f, ok := s.lens.plumb(s.pose, *p.line, p.At, nil); ok {
				off = f.off
			}
			s.chi += square(off * v.weightOf(k))
			continue
		}
		if px, ok := s.lens.project(s.pose, at(p.On), nil); ok {
			w := v.weightOf(k)
			s.chi += square((px.U-p.At.U)*w) + square((px.V-p.At.V)*w)
		} else {
			s.chi += 2 * square(wall*v.weightOf(k)*p.sd())
		}
	}
	return s
}

// sound reports whether the fitted numbers are those of a camera at all: finite,
// none beyond MaxCoordinate, and none quite unknown.
func (s solved) sound() bool {
	for _, v := range s.cov {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	sd := func(i int) float64 { return math.Sqrt(s.cov[i*s.n+i]) }
	c := s.pose.centre
	return s.lens.Fx >= 1 && finite(s.lens.Fx, s.lens.Cx, s.lens.Cy, s.lens.K1, c[0], c[1], c[2]) &&
		finite(sd(atCentre), sd(atCentre+1), sd(atCentre+2)) && sd(atFocal) < unknownFocal
}

// unknownFocal is the standard deviation of the logarithm of the focal length at
// which nothing is known of it: a factor of 150 up and down.
const unknownFocal = 5
