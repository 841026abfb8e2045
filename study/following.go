package study

import (
	"context"
	"image"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Following is what was followed through the takes of a touch, in pixels only:
// how the camera turned from frame to frame, and where points went between the
// marks that were set by hand. It is derived and may be thrown away. Every part
// carries the key of the inputs that it follows from: a reading takes the parts
// whose keys are those of the touch as it stands and passes over the others, and
// following again does only those anew.
type Following struct {
	// Version of the rules of following.
	Version string         `json:"version"`
	Takes   []FollowedTake `json:"takes"`
}

// FollowedTake is one take of a Following.
type FollowedTake struct {
	Take string `json:"take"`
	// Key of the inputs of Links, Cuts, Graphics and Lost.
	Key string `json:"key"`
	// Links say how the camera turned; nil where the camera was not followed.
	Links []Link `json:"links,omitempty"`
	// Cuts are the frames with which another scene begins. What comes after the
	// first is not followed.
	Cuts []mark.Frame `json:"cuts,omitempty"`
	// Graphics are the parts of the picture that do not move with the background.
	Graphics []image.Rectangle `json:"graphics,omitempty"`
	// Lost are stretches in which too little of the background could be followed:
	// place the piste on a frame of each.
	Lost     []Stretch `json:"lost,omitempty"`
	Warnings []Warning `json:"warnings,omitempty"`
	Bridges  []Bridge  `json:"bridges,omitempty"`
}

// Stretch is a run of frames, both ends in it, and why it is named.
type Stretch struct {
	From mark.Frame `json:"from"`
	To   mark.Frame `json:"to"`
	Why  string     `json:"why,omitempty"`
}

// Link says how the camera turned between two frames of a take: points of the
// background in one and in the other. They are few and lie on the one turn that
// all points agree on; SD (px) is such that together they say what all said.
type Link struct {
	From    mark.Frame  `json:"from"`
	To      mark.Frame  `json:"to"`
	Matches []LinkMatch `json:"matches"`
	SD      float64     `json:"sd"`
}

// LinkMatch is one point of the background in both frames: u and v in the first,
// then in the second.
type LinkMatch [4]float64

// Bridge is one point followed from one hand mark to the next, or on from the
// last (or back from the first) until it is lost.
type Bridge struct {
	Who  mark.Side `json:"who"`
	What mark.What `json:"what"`
	// Key of the marks on which it stands.
	Key string `json:"key"`
	// From and To are the frames of the two marks, or where the following ends.
	From mark.Frame `json:"from"`
	To   mark.Frame `json:"to"`
	// Steps has an entry for each frame that was followed, in order, without the marks.
	Steps []BridgeStep `json:"steps"`
}

// BridgeStep is one followed point on one frame.
type BridgeStep struct {
	Frame mark.Frame `json:"frame"`
	At    mark.Pixel `json:"at"`
	// SD of the place in pixels.
	SD float64 `json:"sd"`
	// Sure is how sure the tracker is that this is the point, 0 to 1.
	Sure float64 `json:"sure"`
	// Lost says that the point could not be followed on this frame: At is not a
	// measurement then.
	Lost bool `json:"lost,omitempty"`
}

// Greys hands out the brightness of the frames of one take, in any order. A frame
// that is not decoded yet is waited for. The picture must not be changed; it stays
// valid. Safe for concurrent use. Close forgets all.
type Greys interface {
	Gray(f mark.Frame) (*image.Gray, error)
	Close() error
}

// Unreeler is footage that can be followed. Package video fulfils it.
type Unreeler interface {
	Footage
	// Unreel begins to decode the frames from and to and all between, and returns
	// at once. Memory is bounded however long the take; the end of ctx ends it.
	Unreel(ctx context.Context, path string, clip mark.Clip, from, to mark.Frame) (Greys, error)
}

// FollowOptions are the settings of Follow.
type FollowOptions struct {
	// Path says where a video lies; nil takes the video's File as it stands.
	Path func(Video) (string, error)
	// Progress is called with what is being done and its share between 0 and 1;
	// nil asks for none.
	Progress func(what string, share float64)
	// Before is an earlier following of the touch; its parts whose keys still hold
	// are kept as they are. Nil follows everything.
	Before *Following
	// Takes limits the work to these takes; none follows all.
	Takes []string
}

// States of a point on a frame.
const (
	StateMarked   = "marked"   // set by hand
	StateFollowed = "followed" // by the tracker
	StateLost     = "lost"     // could not be followed
	StateHidden   = "hidden"   // said by hand to be out of sight
)

// Track is one point through one take, in pixels and in metres on the true clock.
type Track struct {
	Take  string
	Who   mark.Side
	What  mark.What
	Steps []TrackStep
	// Peak is the greatest speed, nil where too little was followed; PeakBias is
	// how much too great the smoothing makes it.
	Peak     *quantity.Of[quantity.MetresPerSecond]
	PeakAt   quantity.Seconds
	PeakBias *quantity.Of[quantity.MetresPerSecond]
	// Outliers are the frames whose place was turned away by the smoother.
	Outliers []mark.Frame
}

// TrackStep is a Track on one frame.
type TrackStep struct {
	Frame mark.Frame
	At    quantity.Seconds
	// State is one of the State constants. Px, SD and Sure are of the picture and
	// hold where the state is marked or followed.
	State string
	Px    mark.Pixel
	SD    quantity.Pixels
	Sure  float64
	// Smooth is the smoothed place in the picture, on every frame of the track.
	Smooth mark.Pixel
	// Place is the smoothed place: x along the piste, z up, on the plane of action.
	X, Z quantity.Of[quantity.Metres]
	// Velocity and acceleration along both, and the speed.
	VX, VZ quantity.Of[quantity.MetresPerSecond]
	AX, AZ quantity.Of[quantity.MetresPerSecondSquared]
	Speed  quantity.Of[quantity.MetresPerSecond]
}

// FollowedFrame is the camera of a frame that was not placed but followed.
type FollowedFrame struct {
	Take  string
	Frame mark.Frame
	// Floor is the standard deviation of a place on the floor in the middle of the
	// picture, the worse direction.
	Floor quantity.Metres
	// Grid has the lines of the piste as the picture should show them.
	Grid []GridLine
}

// Onset kinds of a Proposal.
const (
	OnsetStarts = "starts" // a hand or a blade begins to move
	OnsetLifts  = "lifts"  // a foot leaves the floor
	OnsetLands  = "lands"  // a foot strikes the floor
)

// Proposal is a moment that the movement shows and the coach has not set: one key
// accepts it as a moment of the touch.
type Proposal struct {
	// ID is stable for equal inputs, such as "live-left-hand-starts-1".
	ID   string
	Name string
	Who  mark.Side
	// Part is "hand", "front-foot", "rear-foot" or "blade".
	Part string
	Kind string
	Take string
	// After and By bracket it, as a moment set by hand.
	After mark.Frame
	By    mark.Frame
	At    quantity.Of[quantity.Seconds]
	// Sure is how likely it is that something began here at all.
	Sure float64
}

// Drift is how far the followed camera had come off when it met a placed frame.
type Drift struct {
	Take  string
	Frame mark.Frame
	// Px is the mean distance of the placing points from where the camera followed
	// from the other placed frames puts them, and Metres the same on the floor.
	Px     quantity.Pixels
	Metres quantity.Metres
	// Share is the ratio to what the stated uncertainty leads one to expect.
	Share quantity.Ratio
}

// NextMark is the mark by hand that would sharpen the tracks most.
type NextMark struct {
	Take  string
	Frame mark.Frame
	Who   mark.Side
	What  mark.What
	// Now and Then are the standard deviations of the place on this frame, in
	// metres, without and with the mark.
	Now, Then quantity.Metres
}
