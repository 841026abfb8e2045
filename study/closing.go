package study

import (
	"mesure/measure/motion"
	"mesure/quantity"
	"mesure/sport/mark"
)

// tellClosing says of each gap of an instant, and of the fencers, how fast it shrinks,
// where the points were followed there.
func (r *Reading) tellClosing(in *Instant) {
	if r.trails == nil {
		return
	}
	clock := r.clocks[in.Take]
	at := clock.at(in.Frame).Mean
	speed := func(point mark.Side, of mark.What, made []mark.Share) *quantity.Of[quantity.MetresPerSecond] {
		a := r.movementAt(trackName{in.Take, point, of}, in.Frame)
		if a == nil {
			return nil
		}
		var parts []*motion.Path
		var weights []float64
		for _, s := range made {
			p := r.movementAt(trackName{in.Take, point.Other(), s.Of}, in.Frame)
			if p == nil {
				return nil
			}
			parts, weights = append(parts, p), append(weights, s.Weight)
		}
		v, err := motion.ClosingOnMean(a, parts, weights, at)
		if err != nil { // they may lie on each other: no direction, no sign
			return nil
		}
		v = widened(v, clock.slowness())
		return &v
	}
	for i := range in.Gaps {
		g := &in.Gaps[i]
		g.Closing = speed(g.Of, mark.Point, g.Target.Made())
	}
	for _, w := range []mark.What{mark.Hip, mark.Mask} {
		if in.Closing = speed(mark.Left, w, []mark.Share{{Of: w, Weight: 1}}); in.Closing != nil {
			return
		}
	}
}

// movementAt is the movement of a point that is known on this frame, marked or
// followed; nil where it is not.
func (r *Reading) movementAt(n trackName, f mark.Frame) *motion.Path {
	x, ok := r.trails.of(n)
	if !ok {
		return nil
	}
	if s := x.seen[f].state; s != StateMarked && s != StateFollowed {
		return nil
	}
	return x.movement()
}
