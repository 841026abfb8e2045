package motion

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"mesure/quantity"
)

// Kinds of a Contact.
const (
	Lifts = "lifts" // the foot leaves the floor
	Lands = "lands" // the foot strikes the floor
)

// Defaults of ContactOptions.
const (
	// StandSpeed is the speed in m/s up to which a point of a foot counts as
	// standing (common practice, no source).
	StandSpeed = 0.3
	// ClearHeight is how high in metres a point of a foot rises at least when the foot
	// leaves the floor and does not slide on it (common practice, no source).
	ClearHeight = 0.01
)

// ContactOptions are the settings of Contacts. The zero value takes the defaults.
type ContactOptions struct {
	// Stand is the speed up to which a point of the foot counts as standing.
	Stand quantity.MetresPerSecond
	// Clear is the height above its level on the floor that tells a flight from a
	// slide.
	Clear quantity.Metres
	// Least is how likely a flight must be to be named; below 0 all are.
	Least quantity.Chance
}

// Contact is the instant at which a foot leaves the floor or strikes it.
type Contact struct {
	Kind string
	At   quantity.Of[quantity.Seconds]
	// After and By are the instants of samples that bracket it: the uniform law
	// between them has at least the spread of At.
	After, By quantity.Seconds
	// Sure is how likely it is that the foot was in the air at all.
	Sure quantity.Chance
}

// Contacts returns when a foot leaves the floor and strikes it again, in the order
// of time, from the places of its toe and its heel; either may be nil. The last
// coordinate is the height; the floor need not be at nought, since a mark on a foot
// has a height of its own: the level is what the point has while it stands.
//
// A point of the foot stands while its speed is below Stand and its height at that
// level. For every run of speed between two such rests, the instant at which it
// leaves the first is that of the departure (as in Onsets, from standing still, and
// at once as well as on a minimum-jerk curve), the instant of its strike the same
// with time turned round. A foot stands as long as one of its points does: it lifts
// with the later and lands with the earlier of the two, their laws taken together as
// independent. So a foot that rolls over its toe or its heel does not lift, and a
// slide, in which one of them does not rise by more than Clear, is none either. Sure is the
// chance of the departure times that of the rise. A flight that the samples cut off
// has only the one end that they show.
//
// Errors are those of Smooth; ErrNoSamples where both are nil. It panics if there are
// fewer than two coordinates.
//
// Sources: see Onsets; contact by speed and height of markers after Hreljac and
// Marshall, J. Biomechanics 33:783 (2000), and O'Connor et al., Gait & Posture 25:469
// (2007).
func Contacts(toe, heel []Sample, o ContactOptions) ([]Contact, error) {
	if o.Stand == 0 {
		o.Stand = StandSpeed
	}
	if o.Clear == 0 {
		o.Clear = ClearHeight
	}
	if o.Least == 0 {
		o.Least = LeastSure
	}
	if len(toe) == 0 && len(heel) == 0 {
		return nil, ErrNoSamples
	}
	var points [][]flight
	var times [][]Sample
	for _, samples := range [][]Sample{toe, heel} {
		if len(samples) == 0 {
			continue
		}
		if d := samples[0].Where.Len(); d < 2 {
			panic(fmt.Sprintf("motion: a foot needs its place along and its height, not %d coordinates", d))
		}
		f, err := flights(samples, o)
		if err != nil {
			return nil, err
		}
		points, times = append(points, f), append(times, samples)
	}
	var all []Contact
	for _, f := range together(points) {
		if quantity.Chance(f.sure) < o.Least {
			continue
		}
		for _, end := range []struct {
			kind string
			law  change
		}{{Lifts, f.lift}, {Lands, f.land}} {
			if len(end.law.at) == 0 {
				continue
			}
			at := end.law.instant()
			after, by := bracket(times[0], at)
			all = append(all, Contact{end.kind, at, times[0][after].At, times[0][by].At, quantity.Chance(f.sure)})
		}
	}
	return all, nil
}

// flight is one point of a foot away from its rest: between which instants it was
// quick, when it left and came back; a law without instants where the samples do
// not show that end.
type flight struct {
	from, to   float64
	lift, land change
	sure       float64
}

// flights of one point.
func flights(samples []Sample, o ContactOptions) ([]flight, error) {
	if err := check(samples, Options{}); err != nil {
		return nil, err
	}
	ahead, err := Smooth(samples, Options{Jerk: JerkOf(samples)})
	if err != nil {
		return nil, err
	}
	back := reversed(ahead.taken)
	behind, err := Smooth(back, Options{Jerk: JerkOf(back), Gate: -1})
	if err != nil {
		return nil, err
	}
	lifts, lands := ahead.leaves(o), behind.leaves(o)
	var all []flight
	for _, l := range lifts {
		f := flight{from: l.from, to: l.to, lift: l.law, sure: l.sure}
		for _, r := range lands { // the same run, seen from its other end
			if -r.to < l.to && -r.from > l.from {
				f.land = r.law.turned()
				if len(f.lift.at) == 0 {
					f.sure = r.sure
				}
				break
			}
		}
		if len(f.lift.at)+len(f.land.at) == 0 {
			continue
		}
		f.sure *= ahead.rises(f, float64(o.Clear))
		all = append(all, f)
	}
	return all, nil
}

// leave is a run of speed and the law of its start.
type leave struct {
	from, to float64
	law      change
	sure     float64
}

// leaves returns the runs of a path and when each began; no law where the samples
// do not show the rest before it.
func (p *Path) leaves(o ContactOptions) []leave {
	shapes := steps()
	end := math.Inf(-1)
	var all []leave
	for _, r := range p.runs(float64(o.Stand), false) {
		l := leave{from: float64(p.nodes[r.first].at), to: float64(p.nodes[r.last].at)}
		from, to := max(end, l.from-RestBefore, float64(p.nodes[0].at)), float64(p.nodes[r.rise].at)
		end = l.to
		window, _ := p.window(from, to)
		if r.first > 0 && len(window) > 0 {
			if c, ok := depart(window, from, to, shapes, standDrift); ok {
				l.law, l.sure = c, logistic(c.odds+math.Log(OnsetOdds))
			}
		}
		all = append(all, l)
	}
	return all
}

// standDrift is how fast, in m/s, a standing foot may seem to move: what remains of
// the camera's turning.
const standDrift = 0.05

// rises is the chance that the point rose by more than clear in a flight: its
// height in the middle half of it against the level at both ends.
func (p *Path) rises(f flight, clear float64) float64 {
	left, right := f.from, f.to
	if len(f.lift.at) > 0 {
		left = float64(f.lift.instant().Mean)
	}
	if len(f.land.at) > 0 {
		right = float64(f.land.instant().Mean)
	}
	z := p.model.dims - 1
	level, levels, square := 0.0, 0.0, 0.0
	rest := func(from, to float64, sample bool) {
		if !sample {
			return
		}
		h, v := p.height(from, to, z)
		level, levels, square = level+h, levels+1, square+v
	}
	rest(left-0.5*RestBefore, left, len(f.lift.at) > 0)
	rest(right, right+0.5*RestBefore, len(f.land.at) > 0)
	if levels == 0 || !(right > left) {
		return 0
	}
	level /= levels
	quarter := (right - left) / 4
	from, to := left+quarter, right-quarter
	switch { // of a flight that is cut off, the half that is nearer to its height
	case len(f.land.at) == 0:
		from, to = left+2*quarter, right
	case len(f.lift.at) == 0:
		from, to = left, right-2*quarter
	}
	top, spread := p.height(from, to, z)
	sd := math.Sqrt(spread + square/(levels*levels))
	if sd == 0 {
		if top-level > clear {
			return 1
		}
		return 0
	}
	return distuv.UnitNormal.CDF((top - level - clear) / sd)
}

// height is the weighted mean of the samples of a coordinate between two instants,
// with its variance, as if their errors were independent; the smoothed height in the
// middle where there are none.
func (p *Path) height(from, to float64, coordinate int) (mean, variance float64) {
	window, _ := p.window(from, to)
	weight := 0.0
	for _, s := range window {
		if v := s.Where.Covariance(coordinate, coordinate); v > 0 {
			mean += s.Where.Mean[coordinate] / v
			weight += 1 / v
		}
	}
	if weight == 0 {
		s := p.At(quantity.Seconds((from + to) / 2)).Place()
		return s.Mean[coordinate], s.Covariance(coordinate, coordinate)
	}
	return mean / weight, 1 / weight
}

// together makes flights of the foot from those of its points.
func together(points [][]flight) []flight {
	if len(points) == 1 {
		return points[0]
	}
	var all []flight
	for _, a := range points[0] {
		for _, b := range points[1] {
			if a.from >= b.to || b.from >= a.to {
				continue
			}
			f := flight{from: max(a.from, b.from), to: min(a.to, b.to), sure: a.sure * b.sure}
			f.lift = latest(a.lift, b.lift)
			f.land = latest(a.land.turned(), b.land.turned()).turned()
			if len(f.lift.at) > 0 && len(f.land.at) > 0 && f.lift.instant().Mean >= f.land.instant().Mean {
				continue // one point came down before the other went up: the foot rolled
			}
			all = append(all, f)
		}
	}
	return all
}

// reversed is samples with time turned round.
func reversed(samples []Sample) []Sample {
	all := make([]Sample, len(samples))
	for i, s := range samples {
		s.At = -s.At
		all[len(samples)-1-i] = s
	}
	return all
}
