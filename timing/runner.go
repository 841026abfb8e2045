package timing

import (
	"math"

	"mesure/quantity"
)

// The two sides of a race, as indices.
const (
	Left  = 0
	Right = 1
)

// Runner is one fencer's half of a race.
type Runner struct {
	// Gap from the own point to the target at the start of the race. Draws below
	// zero are drawn again.
	Gap quantity.Of[quantity.Metres]
	// Movement of the own point; its body also carries the own targets towards
	// the opponent's point, or away from it in a retreat.
	Movement Movement
	Onset    Onset
	// TargetOnArm is how far the target goes along when the opponent's arm
	// straightens: 1 for the hand, ½ for the forearm, 0 (the zero value) for a
	// target on the trunk or the leg.
	TargetOnArm quantity.Ratio
}

// Onset says when a movement starts. The zero value is the start of the race.
type Onset struct {
	// AfterOther: Time counts from the opponent's onset, not from the start of
	// the race. It is then a reaction and always positive.
	AfterOther bool
	// Time of the onset.
	Time quantity.Of[quantity.Seconds]
	// Uniform: the law of Time is rectangular with this mean and SD, as of an
	// instant that two frames bracket; otherwise it is normal.
	Uniform bool
}

// Simultaneous returns the onset at the start of the race.
func Simultaneous() Onset { return Onset{} }

// Observed returns an onset that was seen at this instant; uniform where two
// frames bracket it. It may lie before the start of the race: what had been
// travelled by then is not counted again.
func Observed(at quantity.Of[quantity.Seconds], uniform bool) Onset {
	return Onset{Time: at, Uniform: uniform}
}

// Reacting returns an onset that follows the opponent's by a reaction among this
// many answers: reaction + log2(choices)·perChoice, with both spreads. It panics
// if choices is below 1.
//
// Source: Hick, Q. J. Exp. Psychol. 4:11 (1952) for the logarithm.
func Reacting(reaction, perChoice quantity.Of[quantity.Seconds], choices int) Onset {
	if choices < 1 {
		panic("timing: a reaction needs at least one answer to choose")
	}
	bits := math.Log2(float64(choices))
	return Onset{AfterOther: true, Time: quantity.Normal(
		reaction.Mean+quantity.Seconds(bits*float64(perChoice.Mean)),
		quantity.Seconds(math.Hypot(float64(reaction.SD), bits*float64(perChoice.SD))))}
}

// Visual returns the default reaction of a trained fencer to something seen.
func Visual() quantity.Of[quantity.Seconds] {
	return quantity.Normal(VisualReaction, VisualReactionSD)
}

// Tactile returns the default reaction to contact of the blades.
func Tactile() quantity.Of[quantity.Seconds] {
	return quantity.Normal(TactileReaction, TactileReactionSD)
}

// PerChoice returns the default cost of each doubling of the answers.
func PerChoice() quantity.Of[quantity.Seconds] { return quantity.Normal(ChoiceCost, ChoiceCostSD) }

// Apparatus is the timing rule of the scoring apparatus.
type Apparatus struct {
	// Window is how long after the first hit registers a second one still lights.
	// The single apparatus lies anywhere in Window ± Tolerance.
	Window, Tolerance quantity.Seconds
	// ContactMin and ContactMax bound how long a tip must be held down before its
	// hit registers; each hit lies anywhere between.
	ContactMin, ContactMax quantity.Seconds
}

// Race is the question: two runners, and how much the errors of their gaps go
// together (both rest on the same camera), from −1 to 1.
type Race struct {
	Runners        [2]Runner
	GapCorrelation quantity.Ratio
}
