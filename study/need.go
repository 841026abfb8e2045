package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
)

// Steps of the work on a touch.
const (
	StepPlace   = "place"
	StepMark    = "mark"
	StepMoments = "moments"
	StepRace    = "race"
)

// Need is what one step of the work still needs, and what it would gain.
type Need struct {
	// Step is one of the Step constants.
	Step string
	// Take and Frame say where; Take is empty for the touch as a whole.
	Take  string
	Frame mark.Frame
	// Points are the piste points, or the things on a fencer, that would help
	// most, the best first.
	Points []string
	// Text says it in one line.
	Text string
	// Now is the standard deviation that the need is about, and Then what it would
	// become; both zero where nothing is measured yet.
	Now, Then quantity.Metres
}
