package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/timing"
)

// At names one picture: a frame of a take.
type At struct {
	Take  string     `json:"take"`
	Frame mark.Frame `json:"frame"`
}

// Timing is what one instant of a touch tells: who would arrive first from here, which
// answers are open and until when, how large a parry must be, who started and what each
// body can still do. Each part is nil where the marks do not carry it, and Lacks says why.
type Timing struct {
	At At
	// Moment is the moment whose frame this is; empty where there is none. Instant is
	// the true time.
	Moment  string
	Instant quantity.Of[quantity.Seconds]
	// Race from here, with what the touch asks of each fencer.
	Race *Race
	// Attacker is whose attack the answers are answers to, and AttackerWhy how that is
	// known: as said by the coach, or by what was computed.
	Attacker    mark.Side
	AttackerWhy string
	Windows     *Windows
	Parry       *ParryReading
	Map         *Map
	Commits     [2]*Commit // by mark.Side
	Started     *Started
	// WhatIf is the answer to ReadOptions.WhatIf; nil where nothing was asked.
	WhatIf *WhatIf
	// Notes say in sentences what the numbers show, the weightiest first.
	Notes []Note
	Lacks []Lack
}

// Parts of a Timing, as Lack names them.
const (
	PartRace    = "race"
	PartWindows = "windows"
	PartParry   = "parry"
	PartMap     = "map"
	PartCommit  = "commit" // of one side
	PartStarted = "started"
	PartWhatIf  = "what-if"
)

// Lack says why a part of a Timing is missing or incomplete, and what would mend it.
type Lack struct {
	Part string
	// Side whose marks are missing, where Both is false.
	Side mark.Side
	Both bool
	Why  string
	Mend string
}

// Windows is when each answer to the attack can still be started.
type Windows struct {
	timing.Windows
	// Exchange is the attack and the defence that were drawn.
	Exchange timing.Exchange
	// Attack and Answer are what the two points are taken to do: movement and target.
	AttackAction string
	AttackTarget mark.Target
	AnswerTarget mark.Target
	// Travel is the predicted travel of the attacker's point every TravelStep seconds,
	// from the instant, at the mean of every input; what it had travelled by the instant
	// is not in it.
	Travel []quantity.Metres
	// Matters says, for the answer that lies nearest to even, which input decides it.
	Matters []Matter
	// Deciding is that answer; empty where every answer is clearly open or shut.
	Deciding timing.Answer
	// Finding is all of it in one plain sentence.
	Finding string
}

// Map is the distance map of the pair and the way of this touch through it.
type Map struct {
	timing.DistanceMap
	// Attacker and target that the map is of.
	Attacker mark.Side
	Target   mark.Target
	Path     []timing.Stop
	// Here is the index in Path of this instant; −1 where it is none of them.
	Here int
	// Reach is the attacker's, for the measure of the gaps; the zero value where not
	// known.
	Reach   timing.Reach
	Finding string
}

// ParryReading is what a parry has to do at this instant, and what an observed one did.
type ParryReading struct {
	// Defender, the target zone, and what the zone was taken to be in metres.
	Defender mark.Side
	Zone     mark.Target
	Parry    timing.Parry // the state at this instant
	Asked    timing.Asked
	// Observed is the parry that the coach wrote on the stave or set by moments; nil
	// where there is none that can be measured.
	Observed *ObservedParry
	// AtHit is what a parry has to do at the latest, with the point at the target: the
	// attack carried on along its own line; nil where it is there already, or where the
	// line leads past. The answers are sized by it.
	AtHit *timing.Asked
	// Course is what the parry is asked as the attack comes on, from this instant to its
	// hit; nil without AtHit.
	Course []ParryStep
	// Kind is how the blade of the least parry turns (timing.ParryLateral, ParrySemi or
	// ParryCircular), Time how long it takes, by its size (Fitts), and Usual the
	// fencer's usual one of that kind.
	Kind        timing.Answer
	Time, Usual quantity.Of[quantity.Seconds]
	// Riposte is the race after the parry; nil where the gaps do not allow one.
	Riposte *Riposte
	Finding string
}

// ParryStep is what a parry is asked when the attack has come on by Closed.
type ParryStep struct {
	Closed, HandToZone quantity.Of[quantity.Metres]
	// Turn is the smallest of the attacking blade with which an attack on its target
	// misses it; Path, Travel and Sweep are those of the least parry, zero where none
	// serves.
	Turn         quantity.Of[quantity.Radians]
	Path, Travel quantity.Of[quantity.Metres]
	Sweep        quantity.Of[quantity.Radians]
}

// ObservedParry is a parry seen between two frames.
type ObservedParry struct {
	Action       string // ID of the action on the stave; empty where by moments
	From, To     At
	Judged       timing.Judged
	Finding      string
	HandPath     quantity.Of[quantity.Metres] // of the hand through the followed frames; zero where not followed
	RiposteAfter *quantity.Of[quantity.Seconds]
}

// Riposte is the race of a riposte, direct or along the blade, against the remise.
type Riposte struct {
	// State is the end of the parry from which it was raced: as seen, where Seen, else
	// as the attack would have it.
	State   timing.AfterParry
	Seen    bool
	Target  mark.Target
	Result  timing.Riposte
	Finding string
}

// Commit is what one fencer's body is able to do at this instant.
type Commit struct {
	timing.Commitment
	Stance timing.Stance
	// FrontLoad is the share of the weight on the front foot at rest (the hip over the
	// base), and Base the distance between the feet.
	Base quantity.Of[quantity.Metres]
	// Finding says in one sentence what is free and what is not, and when it will be.
	Finding string
}

// Moves of the opponent during which an attack is launched.
const (
	LaunchIntoAdvance = "into-advance" // into the opponent's step forward
	LaunchAtEndOfStep = "end-of-step"  // as a step of the opponent ends
	LaunchOnRetreat   = "on-retreat"   // while the opponent goes back
	LaunchOnStanding  = "on-standing"  // the opponent's feet stand
	LaunchIntoAttack  = "into-attack"  // the opponent's attack is on its way
	LaunchNotFollowed = ""             // cannot be told
)

// Started is who started what, when.
type Started struct {
	Starts []StartOf
	Order  timing.Order
	// Lags are hand to front foot, by side; nil where one of the two was not seen.
	Lags [2]*timing.Lag
	// Launch is the start of the attack, in the opponent's step; nil where not seen.
	Launch *Launch
	// Tempo is the length of one simple extension of each fencer, the unit in which
	// the phrase is counted.
	Tempo   [2]quantity.Of[quantity.Seconds]
	Finding string
}

// StartOf is one start: a moment of the coach's or a proposal of the movement.
type StartOf struct {
	timing.Start
	// Moment or Proposal by its ID.
	Moment, Proposal string
	Take             string
	By               mark.Frame
	// Kind is one of the Onset constants.
	Kind string
}

// Launch is in which step of the opponent the attack was launched.
type Launch struct {
	Who  mark.Side
	At   quantity.Of[quantity.Seconds]
	Take string
	By   mark.Frame
	// Into is one of the Launch constants, Chance how likely, and OppSpeed how fast the
	// opponent came (negative: went back).
	Into     string
	Chance   quantity.Chance
	OppSpeed *quantity.Of[quantity.MetresPerSecond]
	// Tempi is the time from this launch to the hit, in the attacker's own simple
	// extensions.
	Tempi   *quantity.Of[quantity.Ratio]
	Finding string
}

// Change is a "what if": the zero value changes nothing.
type Change struct {
	Who mark.Side `json:"who"`
	// Closer makes both gaps smaller, in metres.
	Closer quantity.Metres `json:"closer_m,omitempty"`
	// Earlier lets Who start this much earlier, in seconds.
	Earlier quantity.Seconds `json:"earlier_s,omitempty"`
	// Longer lets the arm of Who reach this much further, in metres: a taller fencer.
	Longer quantity.Metres `json:"longer_m,omitempty"`
	// Target is another target of Who's point; empty keeps it.
	Target mark.Target `json:"target,omitempty"`
}

// WhatIf is the race and the windows as they are and as they would be, from the same
// draws.
type WhatIf struct {
	Change  Change
	Race    *Race    // changed; nil where there is none
	Windows *Windows // changed
	// Refused says why a part of the change makes no sense here.
	Refused string
	Finding string
}

// Note is one computed observation of the technique.
type Note struct {
	// ID is stable for equal inputs, such as "foot-before-hand-left-live-42"; a coach
	// dismisses a note by it (Touch.Dismissed).
	ID string
	// Kind is one of the Note constants, Who whom it is about.
	Kind string
	Who  mark.Side
	// Text is the whole sentence, with number and ±; Reference what it is held against
	// and the source.
	Text, Reference string
	At              At
	// Weight orders the notes, from 0 to 1: how sure and how large.
	Weight    float64
	Dismissed bool
}

// Kinds of notes.
const (
	NoteFootBeforeHand = "foot-before-hand"
	NoteHandBeforeFoot = "hand-before-foot"
	NoteParrySmall     = "parry-too-small"
	NoteParryLarge     = "parry-larger-than-needed"
	NoteParryEnough    = "parry-enough"
	NoteLeverage       = "leverage"
	NoteOverFront      = "body-over-front-foot"
	NoteNoWayBack      = "no-way-back"
	NoteInReach        = "within-the-others-extension"
	NoteLaunch         = "launched"
	NoteOutOfReach     = "launched-out-of-reach"
	NoteHand           = "hand-exposed"
	NoteLate           = "answer-too-late"
	NoteSpeed          = "peak-hand-speed"
	NoteLunge          = "lunge-length"
)

// Profile is what is known of a fencer's reach and times, and from where.
type Profile struct {
	Who     mark.Side
	Figures []ProfileFigure // in the order of bout.OwnFigures
	Fits    []Fit
}

// Where a figure of a Profile comes from.
const (
	FromDefault = "default"
	FromStated  = "stated" // by the coach
	FromFitted  = "fitted" // from followed movement
)

// ProfileFigure is one number of a profile: a length or a time.
type ProfileFigure struct {
	// Name is one of bout.OwnFigures, such as "extension-time".
	Name    string
	Metres  *quantity.Of[quantity.Metres]
	Seconds *quantity.Of[quantity.Seconds]
	// From is one of the From constants; Source the words, with the publication or the
	// touch.
	From, Source string
	// Prior is what it was before the movement was fitted; nil where nothing was.
	PriorMetres  *quantity.Of[quantity.Metres]
	PriorSeconds *quantity.Of[quantity.Seconds]
}

// Fit is a movement fitted to what was followed.
type Fit struct {
	Action string
	// Touch names another touch of the fencer; empty for this one.
	Touch string
	Take  string
	From  mark.Frame
	To    mark.Frame
	// Data and Curve of the point's travel over time from the fitted onset.
	Data          []FitPoint
	Curve         []FitPoint
	Fitted, Prior timing.Movement
	// SeenArm and SeenBody are the shares of the travel of arm and body that were followed,
	// from rest: 0 where it was not followed from rest.
	SeenArm, SeenBody quantity.Ratio
	// Unlike is how many of its standard deviations the number that is least like the
	// prior lies from it, and Widened by how much the errors of the followed places had
	// to be taken as larger than stated.
	Unlike, Widened quantity.Ratio
	// Uses names the figures of the profile that the fit informs; Unused says why where
	// there are none.
	Uses   []string
	Unused string
	// RMS of the residuals.
	RMS quantity.Metres
	// Onset on the clock of the take.
	Onset quantity.Of[quantity.Seconds]
}

// FitPoint is the travel of a point at a time.
type FitPoint struct {
	At     quantity.Seconds
	Travel quantity.Metres
	SD     quantity.Metres // 0 on a curve
}
