package study

import (
	"cmp"
	"math"
	"slices"

	"mesure/quantity"
	"mesure/sport/mark"
)

// What is supposed of a foot in the air.
const (
	// FlightTime is how long a foot is in the air, where only one end of it was seen:
	// from 0.15 s in a short step to 0.5 s in a lunge (common practice, no source).
	FlightTime = quantity.Seconds(0.35)
	// FlightTimeSD is the spread of FlightTime (no source).
	FlightTimeSD = quantity.Seconds(0.15)
	// StepHeight is how high the sole of a stepping foot is, in the middle of the way:
	// 2 to 6 cm (common practice, no source).
	StepHeight = quantity.Metres(0.04)
	// StepHeightSD is the spread of StepHeight (no source).
	StepHeightSD = quantity.Metres(0.02)
	// standHeightSD is how much the sole of a standing foot seems to lie off the floor:
	// the mark is set where shoe and floor meet (our choice).
	standHeightSD = quantity.Metres(0.01)
	// standSpeed and flightSpeed are the spreads in m/s of the speed along the piste of
	// a foot that stands and of one in the air (common practice, no source: a lunge
	// carries the foot 1.1 m in half a second).
	standSpeed, flightSpeed = 0.10, 1.5
	// airBefore is the chance of a foot to be in the air before anything is known of
	// this instant: a fencer steps a third of the time, with one foot at once (common
	// practice, no source). airUnnamed is that where the foot was followed through the
	// instant and no flight was found.
	airBefore, airUnnamed = 0.2, 0.03
	// mostOdds is by how much height and speed may change the odds: a mark may be
	// mistaken.
	mostOdds = 100.0
)

// contact is a foot that lifts or lands, in seconds from the instant.
type contact struct {
	kind string
	at   quantity.Of[quantity.Seconds]
	sure float64
}

// contacts are the lifts and landings of one foot in order of time: the moments that
// the coach set, and the proposals of the movement that are not one of these. The
// attacker is asked for moments that do not say whose they are.
func (r *Reading) contacts(at At, s mark.Side, part string, attacker *mark.Side) []contact {
	var out []contact
	for _, e := range r.onsetsFrom(at, attacker) {
		if e.who == s && e.part == part && (e.kind == OnsetLifts || e.kind == OnsetLands) {
			out = append(out, contact{e.kind, e.since, e.sure})
		}
	}
	slices.SortStableFunc(out, func(a, b contact) int { return cmp.Compare(a.at.Mean, b.at.Mean) })
	return out
}

// flightOf is one stretch of a foot in the air; nil ends were not seen.
type flightOf struct {
	lift, land *quantity.Of[quantity.Seconds]
	sure       float64
}

// flightsOf pairs each lift with the landing that follows it.
func flightsOf(all []contact) []flightOf {
	var out []flightOf
	for i := 0; i < len(all); i++ {
		c := &all[i]
		if c.kind == OnsetLands {
			out = append(out, flightOf{land: &c.at, sure: c.sure})
			continue
		}
		f := flightOf{lift: &c.at, sure: c.sure}
		if i+1 < len(all) && all[i+1].kind == OnsetLands {
			i++
			f.land, f.sure = &all[i].at, max(f.sure, all[i].sure)
		}
		out = append(out, f)
	}
	return out
}

// inAir is the chance that the foot is in this flight at the instant. With both ends
// seen it is Sure·P(lift < 0)·P(land > 0), the two as independent; with one, the other
// lies FlightTime from it.
func (f flightOf) inAir() float64 {
	early := func(q *quantity.Of[quantity.Seconds]) float64 { return below(*q, 0) }
	switch {
	case f.lift != nil && f.land != nil:
		return f.sure * early(f.lift) * (1 - early(f.land))
	case f.lift != nil:
		end := less(*f.lift, quantity.Normal(-FlightTime, FlightTimeSD))
		return f.sure * max(0, early(f.lift)-below(end, 0))
	}
	start := less(*f.land, quantity.Normal(FlightTime, FlightTimeSD))
	return f.sure * max(0, below(start, 0)-early(f.land))
}

// standing is one foot at an instant.
type standing struct {
	at    quantity.Of[quantity.Metres] // along the piste
	air   float64
	lands quantity.Of[quantity.Seconds] // zero where not seen
	// by is what it rests on: whether its contacts tell, or only its height.
	byContacts bool
}

// footPoints are toe and heel of a foot.
func footPoints(part string) [2]mark.What {
	if part == PartFrontFoot {
		return [2]mark.What{mark.FrontToe, mark.FrontHeel}
	}
	return [2]mark.What{mark.RearToe, mark.RearHeel}
}

// foot reads one foot. Its place is the middle of toe and heel. Where contacts bracket
// the instant they tell whether it is in the air; else by Bayes' rule the height of
// its lower point over the floor, and the speed where it was followed:
//
//	odds = odds before · N(z; StepHeight)/N(z; 0) · N(v; flightSpeed)/N(v; standSpeed).
//
// It is false where neither toe nor heel is known.
func (a *stanceAt) foot(s mark.Side, part string, attacker *mark.Side) (standing, bool) {
	var out standing
	var seen []seenPoint
	for _, w := range footPoints(part) {
		if p, ok := a.point(s, w); ok {
			p.z = a.overFloor(s, w, p.z)
			seen = append(seen, p)
		}
	}
	switch len(seen) {
	case 0:
		return out, false
	case 1:
		out.at = seen[0].x
		// The middle of a front foot lies half a foot behind its toe, or before its heel;
		// a rear foot stands across.
		if _, toe := a.point(s, footPoints(part)[0]); part == PartFrontFoot {
			half := towards(s) * footHalf
			if toe {
				half = -half
			}
			out.at = quantity.Normal(out.at.Mean+quantity.Metres(half), quantity.Metres(math.Hypot(float64(out.at.SD), footHalfSD)))
		} else {
			out.at = quantity.Normal(out.at.Mean, quantity.Metres(math.Hypot(float64(out.at.SD), footHalfSD)))
		}
	default:
		out.at = quantity.Normal((seen[0].x.Mean+seen[1].x.Mean)/2, max(seen[0].x.SD, seen[1].x.SD))
	}

	prior := airBefore
	if slices.ContainsFunc(seen, func(p seenPoint) bool { return p.vx != nil && p.here }) {
		prior = airUnnamed
	}
	known, open := 0.0, 0.0 // chance to be in a flight with both ends seen, and in one with one end
	for _, f := range flightsOf(a.r.contacts(a.at, s, part, attacker)) {
		p := f.inAir()
		if f.lift != nil && f.land != nil {
			known = max(known, p)
		} else {
			open = max(open, p)
		}
		if f.land != nil && f.land.Mean > 0 && (out.lands == quantity.Of[quantity.Seconds]{} || f.land.Mean < out.lands.Mean) {
			out.lands = quantity.Normal(f.land.Mean, f.land.SD)
		}
	}
	switch {
	case known > faint:
		out.air, out.byContacts = known, true
		return out, true
	case open > faint:
		prior, out.byContacts = open, true
	}
	low := seen[0]
	for _, p := range seen {
		if p.z.Mean < low.z.Mean {
			low = p
		}
	}
	odds := lawRatio(float64(low.z.Mean), float64(low.z.SD), float64(StepHeight), float64(StepHeightSD), float64(standHeightSD))
	if low.vx != nil && low.here {
		odds *= lawRatio(float64(low.vx.Mean), float64(low.vx.SD), 0, flightSpeed, standSpeed)
	}
	odds = min(mostOdds, max(1/mostOdds, odds)) * prior / max(1-prior, 1e-3)
	out.air = odds / (1 + odds)
	return out, true
}

const (
	// faint is the chance below which a flight is not what the instant lies in.
	faint = 0.02
	// footHalf is half of a foot in metres (0.152 of a stature of 1.75 m, Drillis and
	// Contini 1964), footHalfSD what it varies by where toe or heel is missing.
	footHalf, footHalfSD = 0.133, 0.05
)

// overFloor is the height of a point of a foot over what it has while it stands: the
// lower quartile of its heights on the frames on which it hardly moves, so that a mark
// that is set a little high, or a camera a little off, lifts no foot.
func (a *stanceAt) overFloor(s mark.Side, w mark.What, z quantity.Of[quantity.Metres]) quantity.Of[quantity.Metres] {
	k := a.r.trackOf(a.at.Take, s, w)
	if k == nil {
		return z
	}
	var rest []float64
	for i := range k.Steps {
		if p := &k.Steps[i]; p.seen() && p.X.SD > 0 && math.Abs(float64(p.VX.Mean)) < 2*standSpeed {
			rest = append(rest, float64(p.Z.Mean))
		}
	}
	if len(rest) < leastSamples {
		return z
	}
	slices.Sort(rest)
	return quantity.Normal(z.Mean-quantity.Metres(rest[len(rest)/4]), z.SD)
}

// lawRatio is how much likelier a value with this error is under a normal law about
// mean with spread wide than under one about 0 with spread narrow.
func lawRatio(v, sd, mean, wide, narrow float64) float64 {
	w, n := math.Hypot(wide, sd), math.Hypot(narrow, sd)
	return n / w * math.Exp(v*v/(2*n*n)-(v-mean)*(v-mean)/(2*w*w))
}
