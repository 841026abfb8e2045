package timing

import "mesure/quantity"

// Result is the outcome of a race.
type Result struct {
	// Which lamps light; the four sum to 1. Each SD is that of the draws: it
	// shrinks with their number and says nothing of the model.
	LeftOnly, RightOnly, Both, Neither quantity.Of[quantity.Chance]
	// LeftFirst and RightFirst are the chances to arrive first, whatever the lamps
	// show; who arrives alone is first, and a dead heat counts half for each. They
	// sum to 1 − Neither.
	LeftFirst, RightFirst quantity.Of[quantity.Chance]
	// BothArrive is the share of draws in which both points arrive.
	BothArrive quantity.Of[quantity.Chance]
	// Margin is how much earlier the left point arrives, negative where it is the
	// later one, over the draws in which both arrive; the zero value where there
	// are none.
	Margin quantity.Of[quantity.Seconds]
	Runs   [2]Run
	// Matters says what the spread of the margin comes from, the greatest share
	// first; empty where there are too few draws in which both arrive.
	Matters  []Matter
	Warnings []Warning
	// Draws is how many were made: 1 where nothing is uncertain.
	Draws int
}

// Run is one fencer's half of a Result.
type Run struct {
	// Onset from the start of the race.
	Onset quantity.Of[quantity.Seconds]
	// Arrival from the start of the race, over the draws that arrive; the zero
	// value where none does.
	Arrival quantity.Of[quantity.Seconds]
	// Arrives is the chance to arrive at all.
	Arrives quantity.Of[quantity.Chance]
	// Travel is how far the own point has gone every CurveStep seconds, at the
	// mean of every input, and Closing by how much the opponent's movement has
	// shortened the gap by then (negative: lengthened).
	Travel, Closing []quantity.Metres
}

// CurveStep is the spacing of Run.Travel and Run.Closing, and longestCurve the
// time after which they end at the latest.
const (
	CurveStep    = quantity.Seconds(0.010)
	longestCurve = quantity.Seconds(3)
)

// Matter is one input and the share of the variance of the margin that it
// explains by a straight line.
type Matter struct {
	Side  int    // Left or Right
	Input string // one of the Input names
	Share quantity.Ratio
}

// Codes of Warning.
const (
	WarnOutOfMeasure  = "out-of-measure"
	WarnEdgeOfMeasure = "edge-of-measure"
)

// Chances to arrive below which a runner is said to be out of measure, and at
// the edge of it (our choice: more likely not than so, and less than sure at the
// usual 95 %).
const (
	OutOfMeasureBelow  = quantity.Chance(0.5)
	EdgeOfMeasureBelow = quantity.Chance(0.95)
)

// Warning is a doubt that goes with a Result.
type Warning struct {
	Code string
	Side int
	// Doubt is the chance not to arrive.
	Doubt quantity.Chance
	Text  string
}

// warnings says which points may never arrive.
func warnings(runs [2]Run) []Warning {
	var w []Warning
	for side, r := range runs {
		switch p := r.Arrives.Mean; {
		case p < OutOfMeasureBelow:
			w = append(w, Warning{WarnOutOfMeasure, side, 1 - p, "with this movement the target is out of measure: take a longer movement, or measure the fencer's own reach"})
		case p < EdgeOfMeasureBelow:
			w = append(w, Warning{WarnEdgeOfMeasure, side, 1 - p, "the target is at the edge of measure: the fencer's own reach would decide"})
		}
	}
	return w
}
