// Package summary prints a reading in parts small enough to stand beside a
// picture: every number rounded once, with its doubt and its unit, ready to be
// set in any language.
//
// Most callers need one call: Of. Nothing is measured here: every number is one
// of the reading. A reading handed in is never changed.
package summary

import (
	"mesure/sport/mark"
	"mesure/study"
)

// Number is one printed quantity in parts. Value, Doubt, Low and High are decimal
// numbers with a point, a hyphen for the minus and no grouping, rounded for good: a
// screen may only change the signs (a comma for the point), never a digit. Where
// the number is not known, or is a chance that rounds to nothing or to certainty,
// Value holds words such as "< 1" and the screen shows Text.
type Number struct {
	Value string `json:"value"`
	// Doubt is one standard deviation, to the place of Value; empty for an exact
	// value.
	Doubt string `json:"doubt,omitempty"`
	// Low and High bound the interval that holds 95 %.
	Low  string `json:"low,omitempty"`
	High string `json:"high,omitempty"`
	// Unit is "m", "cm", "m/s", "ms", "s", "px", "%", "°" or empty.
	Unit string `json:"unit,omitempty"`
	// Text is the whole in English, such as "0.42 ± 0.06 m".
	Text string `json:"text"`
}

// Known says whether there is a number.
func (n Number) Known() bool { return n != unknown() }

// Summary is a reading in printed parts.
type Summary struct {
	// Inputs names what was read: equal inputs, equal summary.
	Inputs   string    `json:"inputs"`
	Placings []Placing `json:"placings"`
	Moments  []Moment  `json:"moments"`
	Instants []Instant `json:"instants"`
	// Race is nil where there is none; Needs then says what is missing.
	Race *Race `json:"race,omitempty"`
	// Needs says, step by step, what the reading still needs and what it would gain.
	Needs    []Need          `json:"needs"`
	Warnings []study.Warning `json:"warnings"`
	// Proposals, NextMarks and Drifts come from what was followed through the takes.
	Proposals []Proposal `json:"proposals"`
	NextMarks []NextMark `json:"next_marks"`
	Drifts    []Drift    `json:"drifts"`
	Clocks    []Clock    `json:"clocks"`
	Orders    []Order    `json:"orders"`
	// Timing of the instant asked for; nil where none was.
	Timing *Timing `json:"timing,omitempty"`
	// Profiles of the fencers; empty where no timing was asked for.
	Profiles []Profile `json:"profiles"`
}

// Placing is the camera of one frame.
type Placing struct {
	Take      string     `json:"take"`
	Frame     mark.Frame `json:"frame"`
	Camera    []Fact     `json:"camera"`
	RMS       Number     `json:"rms"`
	Residuals []Residual `json:"residuals"`
	// Disagrees names the point that fits worst, where it fits worse than marking
	// errors explain; empty where none does.
	Disagrees string `json:"disagrees,omitempty"`
	// Grid has the lines of the piste as the picture should show them.
	Grid []study.GridLine `json:"grid"`
	// Refused says why the frame could not be placed, and how to mend it; the rest
	// is then empty.
	Refused  string          `json:"refused,omitempty"`
	Warnings []study.Warning `json:"warnings"`
}

// Fact is one named number.
type Fact struct {
	Name   string `json:"name"`
	Number Number `json:"number"`
}

// Residual is how far one placing point lies from where the camera puts it.
type Residual struct {
	Name   string     `json:"name"`
	At     mark.Pixel `json:"at"`
	Fitted mark.Pixel `json:"fitted"`
	Off    Number     `json:"off"`
	// Grade is "fine", "look" or "wrong", from the ratio of Off to what marking
	// errors explain.
	Grade string `json:"grade"`
}

// Moment is a moment on the true clock, in seconds from the start of the first
// take.
type Moment struct {
	ID string `json:"id"`
	At Number `json:"at"`
}

// Instant is one measured frame.
type Instant struct {
	Take   string     `json:"take"`
	Frame  mark.Frame `json:"frame"`
	Moment string     `json:"moment,omitempty"`
	At     Number     `json:"at"`
	Gaps   []Gap      `json:"gaps"`
	// Arms is by how much each weapon arm can still extend, where it is known.
	Arms []Arm `json:"arms"`
}

// Gap is the distance from one fencer's point to one target of the opponent.
type Gap struct {
	Of     mark.Side   `json:"of"`
	Target mark.Target `json:"target"`
	Gap    Number      `json:"gap"`
	// Band is the measure, "short", "medium", "long" or "out", and Chance how
	// likely it is.
	Band    string     `json:"band"`
	Chance  Number     `json:"chance"`
	From    mark.Pixel `json:"from"`
	To      mark.Pixel `json:"to"`
	Nearest bool       `json:"nearest,omitempty"`
	// Closing is how fast the gap shrinks; nil where that was not followed.
	Closing *Number `json:"closing,omitempty"`
}

// Arm is by how much a weapon arm can still extend.
type Arm struct {
	Of   mark.Side `json:"of"`
	Left Number    `json:"left"`
}

// Race is whose point would arrive when.
type Race struct {
	Take     string     `json:"take"`
	Frame    mark.Frame `json:"frame"`
	Moment   string     `json:"moment,omitempty"`
	Finding  string     `json:"finding"`
	Question string     `json:"question"`
	Supposes string     `json:"supposes"`
	Runs     []Run      `json:"runs"` // left, then right
	// LeftOnly, RightOnly, Both and Neither are the four outcomes.
	LeftOnly  Number `json:"left_only"`
	RightOnly Number `json:"right_only"`
	Both      Number `json:"both"`
	Neither   Number `json:"neither"`
	// Margin says how much earlier which side arrives, over the draws in which both
	// do; Earlier is that side.
	Margin  Number    `json:"margin"`
	Earlier mark.Side `json:"earlier"`
	// MarginCounts says so where both do not always arrive; else it is empty.
	MarginCounts string   `json:"margin_counts,omitempty"`
	Matters      []Matter `json:"matters"`
}

// Run is one fencer's half of the race.
type Run struct {
	Of      mark.Side   `json:"of"`
	Action  string      `json:"action"`
	Target  mark.Target `json:"target"`
	Gap     Number      `json:"gap"`
	Onset   Number      `json:"onset"`
	Arrival Number      `json:"arrival"`
	Arrives Number      `json:"arrives"`
	// From says what the movement times rest on, OnsetText when the movement starts.
	From      string `json:"from"`
	OnsetText string `json:"onset_text"`
}

// Matter is one source of uncertainty, its share of the margin's and what the
// coach can do about it.
type Matter struct {
	Name  string `json:"name"`
	Share Number `json:"share"`
	Mend  string `json:"mend"`
}

// Need is what one step still needs.
type Need struct {
	// Step is "place", "mark", "moments" or "race".
	Step string `json:"step"`
	// Take and Frame say where; Take is empty for the touch as a whole.
	Take  string     `json:"take,omitempty"`
	Frame mark.Frame `json:"frame,omitempty"`
	Text  string     `json:"text"`
	// Points are the piste points, or the things on a fencer, that would help most,
	// the best first.
	Points []string `json:"points,omitempty"`
}
