package camera

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// frame is one picture on its way to a placing.
type frame struct {
	pic Picture
	opt Options
	// starts are cameras from which marks with lines among them are fitted beside
	// those that they suggest; nil: found anew each time.
	starts []seed
}

// spare is how many residual equations are left over.
func (f frame) spare(points []Point, params int) int { return equations(points) - params }

// misfit reports whether a sum of squared residuals is far above the marking
// noise, and its ratio to what noise leads one to expect. Priors are weak, so
// that they count as no equations.
func misfit(chi float64, spare int) (ratio float64, far bool) {
	dof := math.Max(1, float64(spare))
	return chi / dof, distuv.ChiSquared{K: dof}.Survival(chi) < float64(MisfitChance)
}

// best fits the points from every start and keeps the fit of least cost.
func (f frame) best(points []Point, weight []float64, starts []seed) (solved, error) {
	var best solved
	err := fmt.Errorf("%s: %w", names(points), ErrNoFit)
	found := false
	for _, s := range starts {
		all, e := single(s, points, weight, f.pic.Width, f.opt).solve()
		if e != nil {
			if !found {
				err = e
			}
			continue
		}
		if !found || all[0].cost < best.cost {
			best, found = all[0], true
		}
	}
	if !found {
		return solved{}, err
	}
	return best, nil
}

// startsTried is how many starts from a map are followed to the end.
const startsTried = 3

// fresh fits points that no fit is known of yet.
func (f frame) fresh(points []Point) (solved, error) {
	if len(proper(points)) < len(points) {
		return f.freshLines(points)
	}
	return f.fromMap(points)
}

// fromMap fits points from the map of the floor to the picture.
func (f frame) fromMap(points []Point) (solved, error) {
	h, points, err := startMap(points)
	if err != nil {
		return solved{}, err
	}
	if determinant(h.H) > 0 && f.upright() {
		return solved{}, fmt.Errorf("%s: %w", names(points), ErrMirrored)
	}
	starts := seeds(h, f.pic.Width, f.pic.Height, points, f.opt)
	return f.best(points, nil, starts[:min(len(starts), startsTried)])
}

// upright reports whether the camera is known to stand above the floor.
func (f frame) upright() bool {
	_, _, ok := f.opt.Priors.Height.law()
	return ok
}

// weighed refits while points lie beyond OutlierSDs: their weight falls with the
// square of the distance, so that they end up without a say. Where the whole fit
// is bad, the limit is taken from the fit itself and nothing is discarded.
func (f frame) weighed(s solved, points []Point) (solved, []float64, error) {
	weight := make([]float64, len(points))
	for range weighRounds {
		off := s.offs(points)
		limit := float64(OutlierSDs) * math.Max(1, bulk(evened(points, off)))
		changed := false
		for i, r := range off {
			w := 1.0
			if r > limit {
				w = square(limit / r)
			}
			changed = changed || math.Abs(w-weightAt(weight, i)) > 1e-3
			weight[i] = w
		}
		if !changed {
			break
		}
		next, err := f.best(points, weight, []seed{{s.lens, s.pose, 0}})
		if err != nil {
			return solved{}, nil, err
		}
		s = next
	}
	return s, weight, nil
}

// weighRounds bounds the rounds of reweighting.
const weighRounds = 12

// weightAt reads a weight, of which zero means that none was set.
func weightAt(w []float64, i int) float64 {
	if w[i] == 0 {
		return 1
	}
	return w[i]
}

// offs is the distance of every mark from the fit, in marking errors.
func (s solved) offs(points []Point) []float64 {
	out := make([]float64, len(points))
	for i, p := range points {
		_, off, ok := s.lens.offset(s.pose, p)
		if !ok {
			out[i] = wall
			continue
		}
		out[i] = off / p.sd()
	}
	return out
}

// bulk is the scale of the middle half of the distances: 1 where they are pure
// marking noise, whose median in two directions is √(2 ln 2).
func bulk(off []float64) float64 {
	sorted := slices.Clone(off)
	slices.Sort(sorted)
	n := len(sorted)
	return (sorted[(n-1)/2] + sorted[n/2]) / 2 / math.Sqrt(2*math.Ln2)
}

// suspects looks for the one point without which all others agree. It returns
// the points that may be it, the likeliest first, and the fit without that one;
// none where leaving out a point does not make the others agree.
func (f frame) suspects(points []Point, chi float64) ([]int, solved) {
	type trial struct {
		who   int
		fit   solved
		spare int
	}
	var trials []trial
	for i := range points {
		rest := slices.Delete(slices.Clone(points), i, i+1)
		if general(rest) != nil {
			continue
		}
		if s, err := f.fresh(rest); err == nil {
			trials = append(trials, trial{i, s, f.spare(rest, s.free)})
		}
	}
	slices.SortStableFunc(trials, func(a, b trial) int { return cmp.Compare(a.fit.chi, b.fit.chi) })
	if len(trials) == 0 {
		return nil, solved{}
	}
	best := trials[0].fit
	clear := best.chi + float64(NamingMargin)
	if _, far := misfit(best.chi, trials[0].spare); far || !(chi > clear) {
		return nil, solved{}
	}
	var who []int
	for _, t := range trials {
		if t.fit.chi <= clear {
			who = append(who, t.who)
		}
	}
	return who, best
}

// minForTwo is how many points it takes to name two that disagree: the others
// must leave equations to spare.
const minForTwo = 8

// twoSuspects looks for the two points without which all others agree; false
// where no pair stands out, or where line marks take part. Pairs are compared by
// their map alone.
func (f frame) twoSuspects(points []Point, chi float64) ([2]int, solved, bool) {
	if len(points) < minForTwo || len(proper(points)) < len(points) {
		return [2]int{}, solved{}, false
	}
	floor, pixels := split(points)
	nf, _ := normalised(floor)
	np, _ := normalised(pixels)
	best, second := math.Inf(1), math.Inf(1)
	var who [2]int
	without := func(ps []flat, i, j int) []flat { // i < j
		return slices.Concat(ps[:i], ps[i+1:j], ps[j+1:])
	}
	for j := range points {
		for i := range j {
			a, b := without(nf, i, j), without(np, i, j)
			h, _ := dlt(a, b)
			h, err := oriented(h, a)
			if err != nil {
				continue
			}
			if cost := transferCost(h, a, b); cost < best {
				best, second, who = cost, best, [2]int{i, j}
			} else {
				second = math.Min(second, cost)
			}
		}
	}
	if !(second > best*float64(SwapGain)) {
		return who, solved{}, false
	}
	rest := slices.Concat(points[:who[0]], points[who[0]+1:who[1]], points[who[1]+1:])
	if general(rest) != nil {
		return who, solved{}, false
	}
	s, err := f.fresh(rest)
	if err != nil {
		return who, solved{}, false
	}
	_, far := misfit(s.chi, f.spare(rest, s.free))
	return who, s, !far && chi > s.chi+2*float64(NamingMargin)
}

// exchanged looks for the one pair of labels whose exchange makes all points
// agree, and returns the fit with them exchanged.
func (f frame) exchanged(points []Point, chi float64) (int, int, solved, bool) {
	only := proper(points)
	if len(only) < len(points) && general(only) != nil {
		return 0, 0, solved{}, false
	}
	i, j, ok := swappedPair(only)
	if !ok {
		return 0, 0, solved{}, false
	}
	swapped := slices.Clone(points)
	swapped[i].At, swapped[j].At = points[j].At, points[i].At
	s, err := f.fresh(swapped)
	if err != nil {
		return 0, 0, solved{}, false
	}
	_, far := misfit(s.chi, f.spare(points, s.free))
	return i, j, s, !far && chi > s.chi+float64(NamingMargin)
}
