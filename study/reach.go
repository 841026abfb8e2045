package study

import (
	"math"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/timing"
)

// Proportions used where a fencer's own measures are not known.
const (
	// ArmPerStature is the length from shoulder to grip as a share of stature:
	// upper arm .186, forearm .146 and half the hand (Drillis and Contini 1964, as
	// printed in Winter's tables).
	ArmPerStature quantity.Ratio = 0.386
	// ArmPerStatureSD is our spread of that share between people (no source).
	ArmPerStatureSD quantity.Ratio = 0.012
	// StatureUnknown is taken where the stature is not given: the middle of the
	// 50th percentiles of men and women, 1.76 and 1.62 m, moved towards fencers
	// (1.74 ± 0.10 m in 36 elite men).
	StatureUnknown quantity.Metres = 1.74
	// StatureUnknownSD is the spread of the same 36 fencers.
	StatureUnknownSD quantity.Metres = 0.10
	// StatureSD is the error of a stated stature (no source).
	StatureSD quantity.Metres = 0.01
	// GripToPoint is what the weapon adds to the arm, from the grip to the point:
	// 0.06 m of grip and guard, 0.90 m of blade, the longest that the rules allow.
	GripToPoint quantity.Metres = 0.96
	// ReachSD is the error of a stated reach (no source).
	ReachSD quantity.Metres = 0.02
	// ArmLeftLeast is the least travel that an arm is taken to have left: it never
	// is quite straight on guard, and the wrist still gives (no source).
	ArmLeftLeast quantity.Metres = 0.02
)

// armOf is the length of the weapon arm from shoulder to grip: the stated reach
// less the weapon, else a share of the stature.
func armOf(f bout.Fencer) quantity.Of[quantity.Metres] {
	if f.Reach > 0 && quantity.Metres(f.Reach) > GripToPoint {
		return quantity.Normal(quantity.Metres(f.Reach)-GripToPoint, ReachSD)
	}
	stature, sd := StatureUnknown, StatureUnknownSD
	if f.Stature > 0 {
		stature, sd = quantity.Metres(f.Stature), StatureSD
	}
	return quantity.Normal(quantity.Metres(ArmPerStature)*stature,
		quantity.Metres(math.Hypot(float64(ArmPerStature)*float64(sd), float64(ArmPerStatureSD)*float64(stature))))
}

// armLeft is by how much the weapon arm can still extend: its length from
// shoulder to grip less the distance from shoulder to guard now. It is nil where
// one of the two is not marked.
func armLeft(fig figure, s mark.Side, f bout.Fencer) *quantity.Of[quantity.Metres] {
	guard, okG := fig.index[s][mark.Guard]
	shoulder, okS := fig.index[s][mark.Shoulder]
	if !okG || !okS {
		return nil
	}
	now := quantity.DistanceBetween(fig.places.Pick(shoulder, shoulder+1, shoulder+2, guard, guard+1, guard+2))
	arm := armOf(f)
	left := quantity.Normal(max(arm.Mean-now.Mean, ArmLeftLeast), quantity.Metres(math.Hypot(float64(arm.SD), float64(now.SD))))
	left.Lo = max(left.Lo, 0)
	return &left
}

// OwnLungeSD is the spread of a fencer's own lunge from one to the next, as a
// share of its length (common practice, no source).
const OwnLungeSD = 0.08

// reachOf is how far a fencer's point goes from here with each movement. Short
// measure is counted from the guard: a fencer whose arm is already out stays in
// short measure of what an extension from the guard would have reached.
func reachOf(p Profile, f bout.Fencer, arm *quantity.Of[quantity.Metres]) timing.Reach {
	guard := arm
	if arm != nil && arm.Mean < timing.ArmTravel {
		guard = nil
	}
	extension, err1 := p.movement(timing.Extension, f, guard)
	lunge, err2 := p.movement(timing.Lunge, f, arm)
	stepLunge, err3 := p.movement(timing.StepLunge, f, arm)
	if err1 != nil || err2 != nil || err3 != nil {
		return timing.DefaultReach()
	}
	return timing.ReachOf(extension, lunge, stepLunge)
}
