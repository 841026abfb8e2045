package timing

import (
	"math"

	"mesure/quantity"
)

// The disengage.
const (
	// DisengageTime is the time of a disengage: the point goes under or over the other
	// blade into another line. It is also what each feint costs (common practice, no
	// source: about 150 ms).
	DisengageTime = quantity.Seconds(0.150)
	// DisengageTimeSD is our spread of DisengageTime (no source).
	DisengageTimeSD = quantity.Seconds(0.030)
)

// Compound returns the time of an attack that goes round this many parries before it
// lands, given the time of the same attack made straight and that of one disengage:
//
//	T = simple + feints·disengage,
//
// with the spread of one disengage for all, since a hand that is slow in one is slow
// in the next. It is the least there is to it: what the feint itself travels may add to
// it. A negative number of feints counts as none.
//
// Source: common practice (each feint costs a tempo).
func Compound(simple quantity.Of[quantity.Seconds], feints int, disengage quantity.Of[quantity.Seconds]) quantity.Of[quantity.Seconds] {
	n := quantity.Seconds(max(0, feints))
	return quantity.Normal(simple.Mean+n*disengage.Mean, quantity.Seconds(math.Hypot(float64(simple.SD), float64(n*disengage.SD))))
}

// Evasion is a disengage against a blade that comes to meet the own one.
type Evasion struct {
	// Latest is the latest start with which the disengage is over when the blades would
	// meet.
	Latest quantity.Of[quantity.Seconds]
	// InTime is the chance that this one is.
	InTime quantity.Chance
	// Spare is Latest less the start: negative where the blades meet.
	Spare quantity.Of[quantity.Seconds]
}

// Evade returns whether a disengage that starts at this instant and takes this long is
// over when the blades would meet: Latest = contact − disengage, InTime = Φ(mean/SD of
// Spare), all three independent and normal, in seconds of one clock.
//
// Source: common practice (a disengage must be over before the blades meet).
func Evade(start, disengage, contact quantity.Of[quantity.Seconds]) Evasion {
	var e Evasion
	e.Latest = quantity.Normal(contact.Mean-disengage.Mean, quantity.Seconds(math.Hypot(float64(contact.SD), float64(disengage.SD))))
	e.Spare = quantity.Normal(e.Latest.Mean-start.Mean, quantity.Seconds(math.Hypot(float64(e.Latest.SD), float64(start.SD))))
	switch s := e.Spare; {
	case s.SD > 0:
		e.InTime = quantity.Chance(normalCDF(float64(s.Mean / s.SD)))
	case s.Mean >= 0:
		e.InTime = 1
	}
	return e
}
