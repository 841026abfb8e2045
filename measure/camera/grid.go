package camera

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Grid of cameras that are tried as starts where marks on lines are few, which
// makes the linear start unsure: level cameras all round the court that see the
// middle of the marks where it is.
const (
	gridBearings   = 18
	gridDistances  = 6
	gridNear       = 3.0  // metres
	gridFar        = 50.0 // metres
	gridElevations = 4
	gridLow        = 0.07 // radians, four degrees
	gridHigh       = 0.70 // radians, forty degrees
	gridFollowed   = 12   // starts that are followed a few steps
	gridRounds     = 12   // how many steps that is
	gridFinished   = 2    // starts that are followed to the end
	gridSpare      = 3    // equations to spare up to which the grid is tried
)

// between returns the kth of n numbers in even ratios from lo to hi.
func between(lo, hi float64, k, n int) float64 {
	return lo * math.Pow(hi/lo, float64(k)/float64(n-1))
}

// grid lists the best starts of the grid.
func (f frame) grid(points []Point) []seed {
	place, px := anchor(points)
	lenses := lensGrid(middleOf(f.pic.Width, f.pic.Height), f.opt)
	_, _, upright := f.opt.Priors.Height.law()
	var out []seed
	for _, l := range lenses {
		x, y, ok := l.ray(px)
		if !ok {
			continue
		}
		want := vec{x, y, 1}.unit()
		for i := range gridBearings {
			best := seed{cost: math.Inf(1)}
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / gridBearings)
			for j := range gridElevations {
				up, flat := math.Sincos(between(gridLow, gridHigh, j, gridElevations))
				for k := range gridDistances {
					back := vec{sin * flat, -cos * flat, up}
					q := level(place.plus(back.times(between(gridNear, gridFar, k, gridDistances))), back.times(-1))
					q.turn = swungTo(q.turn, vec{0, 0, 1}, want)
					if c := misses(l, q, points); c < best.cost && (!upright || q.centre[2] > 0) {
						best = seed{l, q, c}
					}
				}
			}
			if !math.IsInf(best.cost, 1) {
				out = append(out, best)
			}
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].cost < out[b].cost })
	return out[:min(len(out), gridFollowed)]
}

// lensGrid is the lens that is known, or those of focal lengths across the prior.
func lensGrid(base optics, opt Options) []optics {
	if opt.Lens != nil {
		return []optics{opt.Lens.optics()}
	}
	lo, hi := float64(FocalMin), float64(FocalMax)
	if _, _, ok := opt.Priors.Focal.law(); ok {
		lo, hi = float64(opt.Priors.Focal.Min), float64(opt.Priors.Focal.Max)
	}
	out := make([]optics, gridSteps)
	for i := range out {
		out[i] = base
		out[i].Fx = lo * math.Pow(hi/lo, (float64(i)+0.5)/gridSteps)
		out[i].Fy = out[i].Fx
	}
	return out
}

// level is the pose of a level camera at c that looks this way.
func level(c, forward vec) pose {
	right := forward.cross(vec{0, 0, 1}).unit()
	return pose{turn{right, forward.cross(right), forward}, c}
}

// anchor is the place nearest to all points and lines, and the middle of their
// marks, which lies about where the place shows.
func anchor(points []Point) (vec, mark.Pixel) {
	a := mat.NewDense(2, 2, nil)
	b := mat.NewVecDense(2, nil)
	var px mark.Pixel
	add := func(l vec) {
		for i := range 2 {
			for j := range 2 {
				a.Set(i, j, a.At(i, j)+l[i]*l[j])
			}
			b.SetVec(i, b.AtVec(i)-l[i]*l[2])
		}
	}
	for _, q := range points {
		px.U += q.At.U / float64(len(points))
		px.V += q.At.V / float64(len(points))
		if q.line != nil {
			add(q.line.coefficients())
		} else {
			add(vec{1, 0, -q.On.X})
			add(vec{0, 1, -q.On.Y})
		}
	}
	var x mat.VecDense
	if x.SolveVec(a, b) != nil || !finite(x.AtVec(0), x.AtVec(1)) {
		return middle(points), px
	}
	return vec{x.AtVec(0), x.AtVec(1), 0}, px
}

// sketched follows starts for a few steps each and returns where they lead, the
// best first.
func (f frame) sketched(points []Point, starts []seed) []seed {
	out := make([]seed, 0, len(starts))
	for _, s := range starts {
		b := single(s, points, nil, f.pic.Width, f.opt)
		if b.count() < len(b.start) {
			return nil
		}
		sol, _ := quantity.Fit(b.problem(), b.start, quantity.Settings{MaxIterations: gridRounds})
		l, q := b.views[0].camera(sol.P)
		if l.real() && finite(q.centre[:]...) {
			out = append(out, seed{l, q, sol.RSS})
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].cost < out[b].cost })
	return out
}

// freshLines fits points with line marks that no fit is known of yet: from the
// linear start, and from the grid where that gives nothing that agrees or where
// the marks are few.
func (f frame) freshLines(points []Point) (solved, error) {
	s, err := f.fromMap(points)
	if err == nil {
		spare := f.spare(points, s.free)
		if _, far := misfit(s.chi, spare); !far && spare > gridSpare {
			return s, nil
		}
	}
	starts := f.starts
	if starts == nil {
		starts = f.grid(points)
	}
	starts = f.sketched(points, starts)
	t, e := f.best(points, nil, starts[:min(len(starts), gridFinished)])
	if e != nil {
		return s, err
	}
	if _, far := misfit(t.chi, f.spare(points, t.free)); err != nil && far {
		return s, err
	}
	if err != nil || t.cost < s.cost {
		return t, nil
	}
	return s, nil
}
