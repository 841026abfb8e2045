package summary

import (
	"mesure/sport/mark"
)

// BodyNow is what one fencer's body can do at an instant.
type BodyNow struct {
	Of      mark.Side `json:"of"`
	Finding string    `json:"finding"`
	// Base is the distance of the feet, Load where the hip stands over them: 0 % over
	// the rear foot, 100 % over the front one. Speed is that of the hip towards the
	// opponent; below 0 it goes back.
	Base  Number `json:"base"`
	Load  Number `json:"load"`
	Speed Number `json:"speed"`
	// Flight is the chance that both feet are in the air.
	Flight Number `json:"flight"`
	Front  Foot   `json:"front"`
	Rear   Foot   `json:"rear"`
	Can    []Can  `json:"can"`
}

// Foot is whether a foot stands, and when it will.
type Foot struct {
	OnFloor Number `json:"on_floor"`
	// Lands is nil where the foot stands or its landing was not seen.
	Lands *Number `json:"lands,omitempty"`
}

// Can is one thing that a fencer may do, or not yet.
type Can struct {
	Do   string `json:"do"`
	Word string `json:"word"`
	Now  Number `json:"now"`
	// Next is when it can start; nil where that cannot be told.
	Next *Number `json:"next,omitempty"`
	// Free says that it more likely can than not now; else Reason says what stands in
	// the way.
	Free   bool   `json:"free"`
	Reason string `json:"reason,omitempty"`
}

// Started is who started what, when.
type Started struct {
	Finding string `json:"finding"`
	// Starts, the earliest first.
	Starts []Start `json:"starts"`
	// Likelihood is the chance of exactly this order, LeftFirst that the first start of
	// all is the left fencer's.
	Likelihood Number  `json:"likelihood"`
	LeftFirst  Number  `json:"left_first"`
	RightFirst Number  `json:"right_first"`
	Lags       []Lag   `json:"lags"`
	Launch     *Launch `json:"launch,omitempty"`
	Tempo      []Tempo `json:"tempo"`
}

// Start is one start.
type Start struct {
	Who  mark.Side `json:"who"`
	Part string    `json:"part"`
	Word string    `json:"word"`
	// Kind is "starts", "lifts" or "lands"; Moment or Proposal where it comes from.
	Kind     string     `json:"kind"`
	Moment   string     `json:"moment,omitempty"`
	Proposal string     `json:"proposal,omitempty"`
	Take     string     `json:"take"`
	Frame    mark.Frame `json:"frame"`
	At       Number     `json:"at"`
	// First is the chance that it is the first of all.
	First Number `json:"first"`
}

// Lag is how much later than the hand the front foot started.
type Lag struct {
	Of   mark.Side `json:"of"`
	Time Number    `json:"time"`
	// HandFirst is the chance that the hand led, FootLeads that the foot led by more
	// than is usual.
	HandFirst Number `json:"hand_first"`
	FootLeads Number `json:"foot_leads"`
	Reason    string `json:"reason"`
}

// Launch is in which step of the opponent the attack was launched.
type Launch struct {
	Who     mark.Side  `json:"who"`
	At      Number     `json:"at"`
	Take    string     `json:"take"`
	Frame   mark.Frame `json:"frame"`
	Into    string     `json:"into"`
	Word    string     `json:"word"`
	Chance  Number     `json:"chance"`
	Finding string     `json:"finding"`
	// Opponent is how fast the opponent came, Tempi the time to the hit in the
	// attacker's own extensions; nil where not known.
	Opponent *Number `json:"opponent,omitempty"`
	Tempi    *Number `json:"tempi,omitempty"`
}

// Tempo is the length of one simple extension of a fencer.
type Tempo struct {
	Of   mark.Side `json:"of"`
	Time Number    `json:"time"`
}

// Profile is what is known of a fencer's reach and times.
type Profile struct {
	Who     mark.Side `json:"who"`
	Figures []Figure  `json:"figures"`
	Fits    []Fit     `json:"fits"`
}

// Figure is one number of a profile.
type Figure struct {
	// Name is one of bout.OwnFigures.
	Name  string `json:"name"`
	Word  string `json:"word"`
	About string `json:"about"`
	Value Number `json:"value"`
	// From is "default", "stated" or "fitted", FromWord the same in words, Source on
	// what it rests.
	From     string `json:"from"`
	FromWord string `json:"from_word"`
	Source   string `json:"source"`
	// Prior is what it was before the movement was fitted; nil where nothing was.
	Prior *Number `json:"prior,omitempty"`
}

// Fit is a movement that was fitted to what was followed.
type Fit struct {
	Action string `json:"action"`
	// Touch names another touch of the fencer; empty for this one.
	Touch string     `json:"touch,omitempty"`
	Take  string     `json:"take"`
	From  mark.Frame `json:"from"`
	To    mark.Frame `json:"to"`
	// RMS is the root mean square of the residuals, Onset on the clock of the take.
	RMS   Number `json:"rms"`
	Onset Number `json:"onset"`
	// Uses names the figures that it informs; Unused says why where there are none.
	Uses   []string `json:"uses"`
	Unused string   `json:"unused,omitempty"`
}
