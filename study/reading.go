package study

import (
	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Reading is everything computed from a touch. It is derived and never edited.
type Reading struct {
	// Touch is the input that was read.
	Touch *Touch
	// Inputs is the SHA-256 of the inputs, seed and version, in hexadecimal.
	Inputs string
	// Version of the rules of computing, Seed of the draws and how many there were.
	Version string
	Seed    uint64
	Draws   int

	Clips    map[string]mark.Clip // by the name of the video
	Placings []PlacedFrame
	// Clocks of the takes, in their order; Orders of moments that lie close to each
	// other.
	Clocks   []ClockReading
	Moments  []MomentReading
	Orders   []Order
	Instants []Instant
	// Race is nil where the marks do not allow one; Warnings then says why.
	Race     *Race
	Warnings []Warning
	// Timing of the instant asked for; nil where none was.
	Timing *Timing
	// Tactics are what the bout makes of the touch; nil where it was not asked for.
	Tactics *Tactics
	// Profiles of the two fencers, by mark.Side.
	Profiles [2]Profile
	// Tracks, Drifts, Proposals and NextMarks come from a following; nil without.
	Tracks    []Track
	Drifts    []Drift
	Proposals []Proposal
	NextMarks []NextMark
	// Followed are the frames between the placed ones that a following places, of the
	// take that ReadOptions.Grids names; nil without.
	Followed []FollowedFrame
	// Refused are the placings that a partial reading left out; nil in any other.
	Refused []RefusedFrame
	// Needs is what a partial reading found still to be done, the most useful first.
	Needs []Need

	cameras cameras
	trails  *trails
	clocks  map[string]clock
	times   *timings
	kept    *Cameras
}

// Warning is a doubt that goes with a value: a code for the machine, the
// measure of doubt, and a sentence that says what would mend it.
type Warning struct {
	// Code is stable and in lower case, such as "rms-above-noise".
	Code string `json:"code"`
	// About names what is doubted: a take and frame, a mark, a gap.
	About string `json:"about"`
	// Doubt is the measure of doubt in the unit that Text states.
	Doubt float64 `json:"doubt"`
	Text  string  `json:"text"`
}

// PlacedFrame is the camera of one frame.
type PlacedFrame struct {
	Take  string
	Frame mark.Frame
	// Focal length in pixels, position of the camera in the world frame, roll.
	Focal    quantity.Of[quantity.Pixels]
	Position [3]quantity.Of[quantity.Metres]
	Roll     quantity.Of[quantity.Radians]
	// K1 is the radial distortion; nil where it was not fitted.
	K1 *quantity.Of[quantity.Ratio]
	// RMS of the residuals.
	RMS       quantity.Pixels
	Residuals []Residual
	// Disagrees names the marks that the camera found not to agree with the others,
	// or whose labels it found to be exchanged; nil where all agree.
	Disagrees []string
	// Grid has the lines of the piste as the picture should show them.
	Grid     []GridLine
	Warnings []Warning
}

// Residual is how far one placing point lies from where the camera puts it.
type Residual struct {
	Name string
	At   mark.Pixel
	// Fitted is where the camera puts the point.
	Fitted mark.Pixel
	// Off is the distance between the two, and Share its ratio to what the
	// marking noise leads one to expect.
	Off   quantity.Pixels
	Share quantity.Ratio
}

// GridLine is one line of the piste in the picture, cut to the image.
type GridLine struct {
	Name    string       `json:"name"`
	Painted bool         `json:"painted"`
	Points  []mark.Pixel `json:"points"`
}

// MomentReading is a moment on the true clock.
type MomentReading struct {
	Moment mark.Moment
	// At is the instant; its law is uniform between the two frames.
	At quantity.Of[quantity.Seconds]
}

// Instant is one frame on which enough is marked to measure.
type Instant struct {
	Take  string
	Frame mark.Frame
	// Moment is the moment whose frame By this is; empty where there is none.
	Moment string
	// At is the instant on the true clock.
	At     quantity.Of[quantity.Seconds]
	Bodies [2]Body // by mark.Side
	Gaps   []Gap
	// Closing is how fast the fencers come nearer to each other, hip to hip, or mask
	// to mask where a hip was not followed; nil where neither was.
	Closing *quantity.Of[quantity.MetresPerSecond]
}

// Body is where the marked points of one fencer are.
type Body struct {
	Points []PointPlace
	// ArmLeft is by how much the weapon arm can still extend.
	ArmLeft *quantity.Of[quantity.Metres]
}

// PointPlace is one marked point in the picture and in the world.
type PointPlace struct {
	What mark.What
	At   mark.Pixel
	SD   quantity.Pixels
	// Followed says that the point was not marked on this frame but followed to it.
	Followed bool
	// Place in the world frame: x along the piste, y across, z up.
	Place [3]quantity.Of[quantity.Metres]
}

// Gap is the distance from one fencer's point to one target of the opponent.
type Gap struct {
	Of     mark.Side // whose point
	Target mark.Target
	Gap    quantity.Of[quantity.Metres]
	// Band is the measure: "short", "medium", "long" or "out", and Chance how
	// likely it is, given the uncertainty of the gap.
	Band   string
	Chance quantity.Chance
	// From and To are the ends of the gap in the picture.
	From, To mark.Pixel
	// Nearest is true for the smallest gap of this fencer at this instant.
	Nearest bool
	// Closing is how fast the gap shrinks (negative: grows) in the plane of action;
	// nil where point or target was not followed.
	Closing *quantity.Of[quantity.MetresPerSecond]
}

// Race is whose point would arrive when, from one instant.
type Race struct {
	Moment string
	Take   string
	Frame  mark.Frame
	Weapon bout.Weapon
	// Window is the blocking time of the apparatus.
	Window quantity.Of[quantity.Seconds]
	// Rule says by which rule and edition the apparatus counts.
	Rule string
	Runs [2]Run // by mark.Side
	// LeftOnly, RightOnly, Both and Neither sum to 1.
	LeftOnly, RightOnly, Both, Neither quantity.Of[quantity.Chance]
	// LeftFirst is the chance that the left point arrives first, whatever the
	// lamps show.
	LeftFirst quantity.Of[quantity.Chance]
	// Margin is how much earlier the left point arrives (negative: later), over
	// the draws in which both arrive.
	Margin quantity.Of[quantity.Seconds]
	// BothArrive is the share of the draws in which both arrive, to which Margin
	// belongs.
	BothArrive quantity.Of[quantity.Chance]
	// Matters lists the uncertainties by how much of the margin's variance each
	// explains, the greatest first.
	Matters []Matter
	// Finding is the race in one plain sentence.
	Finding string
}

// Run is one fencer's half of a race.
type Run struct {
	Action string
	// ActionText and ParametersFrom say what the movement times rest on.
	ParametersFrom string
	Target         mark.Target
	Gap            quantity.Of[quantity.Metres]
	Onset          quantity.Of[quantity.Seconds] // from the start of the race
	OnsetText      string
	// Arrival from the start of the race, over the draws that arrive.
	Arrival quantity.Of[quantity.Seconds]
	// Arrives is the chance to arrive at all: less than 1 near the edge of reach.
	Arrives quantity.Chance
	// Travel is the predicted travel of the point every TravelStep seconds.
	Travel []quantity.Metres
	// Closing is what the opponent's own movement takes off the gap, at the
	// same instants.
	Closing []quantity.Metres
}

// TravelStep is the spacing of Run.Travel and Run.Closing.
const TravelStep = quantity.Seconds(0.010)

// Matter is one source of uncertainty and its share of the variance of the
// margin.
type Matter struct {
	Name  string
	Share quantity.Ratio
	// Mend says what the coach can do about it.
	Mend string
}
