package camera

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
)

// tooFewToTurn refuses a picture of a take that shows too little even when the
// place of the camera is known.
func tooFewToTurn(points []Point) error {
	if n := len(proper(points)); n == len(points) {
		return fmt.Errorf("%d marked: %w", n, ErrTooFew)
	}
	return fmt.Errorf("%s: %w", names(points), ErrOpenTurn)
}

// Pans that are tried as starts for a picture that shows lines and no point,
// against those of the pictures that have been placed: half a right angle each
// way, in steps well below what a fit of the turn mends.
const (
	panStep  = math.Pi / 60
	panSteps = 15
)

// turns lists turns of a camera at this place from which the fit of a picture may
// start: the one that brings two or more points nearest to their marks, or those
// of the placed pictures, turned to a single point or panned both ways.
func (t *take) turns(centre vec, l optics, points []Point) []turn {
	only := proper(points)
	if len(only) >= MinSharedPoints {
		if r, ok := turnTowards(centre, l, only); ok {
			return []turn{r}
		}
		return nil
	}
	var out []turn
	for _, p := range t.alone {
		switch {
		case p == nil:
		case len(only) == 1:
			if r, ok := swung(p.pose.turn, centre, l, only[0]); ok {
				out = append(out, r)
			}
		default:
			for k := -panSteps; k <= panSteps; k++ {
				out = append(out, p.pose.turn.mul(rotation(vec{0, 0, float64(k) * panStep})))
			}
		}
	}
	return out
}

// swung turns a camera by the smallest angle that brings a point to its mark.
func swung(r turn, centre vec, l optics, q Point) (turn, bool) {
	x, y, ok := l.ray(q.At)
	world := at(q.On).minus(centre)
	if !ok || !(world.norm() > 0) {
		return r, false
	}
	return swungTo(r, r.on(world.unit()), vec{x, y, 1}.unit()), true
}

// swungTo turns a camera by the smallest angle so that what it saw in one
// direction it then sees in another.
func swungTo(r turn, is, want vec) turn {
	axis := is.cross(want)
	sine := axis.norm()
	if sine == 0 {
		return r
	}
	return rotation(axis.times(math.Atan2(sine, is.dot(want)) / sine)).mul(r)
}

// startsTurned is how many starts of a picture with line marks are followed.
const startsTurned = 12

// turned follows the best starts of a picture that line marks help to place, with
// the camera held at its place, and puts the best end first.
func (f frame) turned(tried []seed) []seed {
	var out []seed
	for i, s := range tried {
		if i >= startsTurned || math.IsInf(s.cost, 1) {
			break
		}
		b := &bundle{}
		v := &view{lens: s.lens, pose: s.pose, points: f.pic.Points, slots: noSlots()}
		b.look(v, f.opt)
		if b.count() < len(b.start) {
			continue
		}
		sol, _ := quantity.Fit(b.problem(), b.start, quantity.Settings{})
		if sol.Cov == nil {
			continue
		}
		l, q := v.camera(sol.P)
		out = append(out, seed{l, q, sol.RSS})
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].cost < out[b].cost })
	return out
}

// looseTurn reports whether the marks of a picture, without any prior, leave its
// turn or its focal length open though the place of the camera is known.
func (f frame) looseTurn(s solved) bool {
	v := &view{lens: s.lens, pose: s.pose, points: f.pic.Points, slots: noSlots()}
	b := &bundle{views: []*view{v}}
	v.slots.turn = b.add(0, 0, 0)
	if f.opt.Lens == nil {
		v.slots.logFocal = b.add(math.Log(s.lens.Fx))
	}
	a := mat.NewDense(max(b.count(), len(b.start)), len(b.start), nil)
	if b.count() < len(b.start) {
		return true
	}
	b.jacobian(a, b.start)
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDNone) {
		return true
	}
	w := svd.Values(nil)
	return !(w[len(w)-1] > float64(DegenerateRatio)*w[0])
}
