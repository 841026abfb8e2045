package timing

import (
	"math"

	"mesure/quantity"
)

// Band is the measure of a gap: by what a fencer can close it.
type Band string

// The bands, from the nearest to the furthest.
const (
	Short  Band = "short"  // by extending the arm
	Medium Band = "medium" // by a lunge
	Long   Band = "long"   // by a step and lunge
	Out    Band = "out"    // by nothing at once
)

// Bands lists the bands in order.
func Bands() [4]Band { return [4]Band{Short, Medium, Long, Out} }

// Reach is how far a fencer's point goes with each movement, from the guard with
// the arm bent: the greatest gap of each band.
type Reach struct {
	Short, Medium, Long quantity.Of[quantity.Metres]
	// Source says what the numbers rest on.
	Source string
}

// DefaultReach returns the reach of a fencer of whom nothing is known.
func DefaultReach() Reach {
	return Reach{
		Short:  quantity.Normal(ShortReach, ShortReachSD),
		Medium: quantity.Normal(MediumReach, MediumReachSD),
		Long:   quantity.Normal(LongReach, LongReachSD),
		Source: "0.45, 1.5 and 2.4 m from the own point with the arm bent (derived from arm, lunge and step; not this fencer's own)",
	}
}

// ReachOf returns the reach of a fencer whose movements are known.
func ReachOf(extension, lunge, stepLunge Movement) Reach {
	return Reach{Short: extension.Reach(), Medium: lunge.Reach(), Long: stepLunge.Reach(), Source: lunge.Source}
}

// Band returns the measure band of a gap in metres and the chance that it is this
// one: the most likely band, given the normal spread of the gap and of the
// reach. The nearer band is returned where two are equally likely. It panics if
// the gap or the reach is not finite.
func (r Reach) Band(gap quantity.Of[quantity.Metres]) (Band, quantity.Chance) {
	p := r.Chances(gap)
	best := 0
	for i := range p {
		if p[i] > p[best] {
			best = i
		}
	}
	return Bands()[best], p[best]
}

// Chances returns how likely each band is, in the order of Bands; they sum to 1.
func (r Reach) Chances(gap quantity.Of[quantity.Metres]) [4]quantity.Chance {
	below, sum := 0.0, [4]quantity.Chance{}
	for i, limit := range [3]quantity.Of[quantity.Metres]{r.Short, r.Medium, r.Long} {
		p := within(gap, limit)
		p = max(p, below)
		sum[i] = quantity.Chance(p - below)
		below = p
	}
	sum[3] = quantity.Chance(1 - below)
	return sum
}

// within is the chance that the gap does not exceed the limit.
func within(gap, limit quantity.Of[quantity.Metres]) float64 {
	d := float64(limit.Mean - gap.Mean)
	sd := math.Hypot(float64(limit.SD), float64(gap.SD))
	if math.IsNaN(d) || math.IsInf(d, 0) || math.IsNaN(sd) || math.IsInf(sd, 0) {
		panic("timing: a measure needs a finite gap and a finite reach")
	}
	if sd == 0 {
		if d >= 0 {
			return 1
		}
		return 0
	}
	return normalCDF(d / sd)
}
