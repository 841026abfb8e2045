package study

import (
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// seenPoint is where one point of a fencer is at an instant.
type seenPoint struct {
	x, z quantity.Of[quantity.Metres]
	// vx along the piste; nil where the point was not followed.
	vx *quantity.Of[quantity.MetresPerSecond]
	// here says that it was marked or followed on this very frame, and not led past it.
	here bool
}

// Limits of what is read from marks.
const (
	// placeWide is the spread of a smoothed place beyond which it tells nothing of a
	// stance: half of what feet on guard are apart (our choice).
	placeWide = quantity.Metres(0.25)
	// speedSpan is the longest time between two marks from which a speed is taken: less
	// than one step lasts, so that there and back again is not read as standing.
	speedSpan = quantity.Seconds(0.35)
	// bodyAcceleration is how much a fencer's hip may change its speed between two
	// marks: 0 to 2 m/s in half a second (common practice, no source). It widens a
	// speed that marks before and after the instant give.
	bodyAcceleration = 4.0
)

// stanceAt looks up the points of a fencer at one instant: followed ones smoothed,
// others as they are marked on the frame.
type stanceAt struct {
	r  *Reading
	at At
	in *Instant
}

func (r *Reading) stanceAt(at At) *stanceAt {
	a := &stanceAt{r: r, at: at}
	for i := range r.Instants {
		if r.Instants[i].Take == at.Take && r.Instants[i].Frame == at.Frame {
			a.in = &r.Instants[i]
			return a
		}
	}
	if in, ok := r.InstantAt(at.Take, at.Frame); ok {
		a.in = &in
	}
	return a
}

func (r *Reading) trackOf(take string, s mark.Side, w mark.What) *Track {
	for i := range r.Tracks {
		if k := &r.Tracks[i]; k.Take == take && k.Who == s && k.What == w {
			return k
		}
	}
	return nil
}

// stepAt is a track on one frame; nil where it does not reach it, or where too little
// was followed for a movement.
func (k *Track) stepAt(f mark.Frame) *TrackStep {
	if k == nil {
		return nil
	}
	for i := range k.Steps {
		if k.Steps[i].Frame == f && k.Steps[i].X.SD > 0 {
			return &k.Steps[i]
		}
	}
	return nil
}

func (s *TrackStep) seen() bool { return s.State == StateMarked || s.State == StateFollowed }

// point is false where the point is not known on this frame.
func (a *stanceAt) point(s mark.Side, w mark.What) (seenPoint, bool) {
	if step := a.r.trackOf(a.at.Take, s, w).stepAt(a.at.Frame); step != nil && step.X.SD < placeWide {
		v := step.VX
		return seenPoint{x: step.X, z: step.Z, vx: &v, here: step.seen()}, true
	}
	if a.in == nil {
		return seenPoint{}, false
	}
	for _, p := range a.in.Bodies[s].Points {
		if p.What == w {
			return seenPoint{x: p.Place[0], z: p.Place[2], here: true}, true
		}
	}
	return seenPoint{}, false
}

// speed is how fast a point goes along the piste: of its track, else between the two
// marks of the take about the instant that tell it best,
//
//	v = Δx/Δt,  SD² = (SD₁² + SD₂²)/Δt² + (a·max(|t − t_m|, Δt/2))²,
//
// t_m the middle of the two and a the bodyAcceleration, as if the errors of the marks
// were independent.
func (a *stanceAt) speed(s mark.Side, w mark.What) (quantity.Of[quantity.MetresPerSecond], bool) {
	if p, ok := a.point(s, w); ok && p.vx != nil {
		return *p.vx, true
	}
	now, ok := a.r.When(a.at.Take, a.at.Frame)
	if !ok {
		return quantity.Of[quantity.MetresPerSecond]{}, false
	}
	type at struct {
		t float64
		x quantity.Of[quantity.Metres]
	}
	var all []at
	for i := range a.r.Instants {
		in := &a.r.Instants[i]
		if in.Take != a.at.Take || math.Abs(float64(in.At.Mean-now.Mean)) > float64(speedSpan) {
			continue
		}
		for _, p := range in.Bodies[s].Points {
			if p.What == w {
				all = append(all, at{float64(in.At.Mean - now.Mean), p.Place[0]})
			}
		}
	}
	var best quantity.Of[quantity.MetresPerSecond]
	found := false
	for i := range all {
		for k := i + 1; k < len(all); k++ {
			p, q := all[i], all[k]
			span := q.t - p.t
			if !(span > 1e-9) || span > float64(speedSpan) {
				continue
			}
			sd := math.Hypot(math.Hypot(float64(p.x.SD), float64(q.x.SD))/span,
				bodyAcceleration*max(math.Abs((p.t+q.t)/2), span/2))
			if !found || sd < float64(best.SD) {
				best, found = quantity.Normal(quantity.MetresPerSecond(float64(q.x.Mean-p.x.Mean)/span), quantity.MetresPerSecond(sd)), true
			}
		}
	}
	return best, found
}

// towards is +1 for a fencer who looks along the piste to +x and −1 for the other: the
// left fencer of the picture looks to the right.
func towards(s mark.Side) float64 {
	if s == mark.Left {
		return 1
	}
	return -1
}
