package clip

import (
	"mesure/quantity"
	"mesure/sport/mark"
)

// Board is a storyboard: the shots of a clip in order. It is written by hand or drafted
// and belongs to the telling of one touch.
type Board struct {
	Form  Form   `json:"form"`
	Shots []Shot `json:"shots"`
	// Edited is true once the coach has changed the shots: a new draft of the script
	// then leaves them alone, but for lines that are gone.
	Edited bool `json:"edited,omitempty"`
}

// Shape is the aspect of a picture.
type Shape string

// The shapes: a screen, a phone held upright, a square.
const (
	Wide    Shape = "16:9"
	Upright Shape = "9:16"
	Square  Shape = "1:1"
)

// Form is how a clip looks and sounds. The zero value is a screen of 720 lines at 30
// frames a second in MP4, without sound, captions burnt in.
type Form struct {
	Shape Shape `json:"shape,omitempty"`
	// Lines is the shorter side in pixels: 720 or 1080.
	Lines int `json:"lines,omitempty"`
	// Rate is how many frames a second the clip has: 24, 25, 30, 50 or 60.
	Rate int `json:"rate,omitempty"`
	// File is "mp4" (H.264) or "webm" (VP9).
	File string `json:"file,omitempty"`
	// Sound is "none" or "original": the sound of the takes where they play at speed,
	// silence elsewhere.
	Sound string `json:"sound,omitempty"`
	// Captions are "burnt" into the picture, or only in a "file" beside the clip.
	Captions string `json:"captions,omitempty"`
}

// Kinds of shots.
const (
	// Live plays From to To of a take at true speed, Slow at Speed.
	Live = "live"
	Slow = "slow"
	// Hold stands on frame From.
	Hold = "hold"
	// Build stands on frame From while the parts of the overlay appear one by one.
	Build = "build"
	// Beside plays From to To next to another take or touch, both from the same moment
	// of their phrases.
	Beside = "beside"
	// Plate fills the picture with a plate.
	Plate = "plate"
)

// Shot is one stretch of the clip.
type Shot struct {
	// ID names the shot while it is moved about; once in a board.
	ID   string `json:"id"`
	Kind string `json:"kind"`
	// Title opens a chapter where it is not empty.
	Title string `json:"title,omitempty"`
	// Take, From and To are what is seen, both frames shown; a hold has From alone.
	Take string     `json:"take,omitempty"`
	From mark.Frame `json:"from,omitempty"`
	To   mark.Frame `json:"to,omitempty"`
	// Speed is the share of the true speed: 0.25 plays four times as slow. Zero is 1 on
	// a live shot and a quarter on a slow one.
	Speed quantity.Ratio `json:"speed,omitempty"`
	// Lasts is how long a hold, a build or a plate stands; zero is as long as its lines
	// take to say, and never too short to read. A playing shot that is shorter than its
	// lines stands on its last frame.
	Lasts quantity.Seconds `json:"lasts_s,omitempty"`
	// Plate is the name of a plate, as report.Plate.Name has it.
	Plate string `json:"plate,omitempty"`
	// Layers are the parts of the overlay that are seen, by their names; nil takes those
	// that suit the kind, an empty list none.
	Layers []string `json:"layers" nullable:"true"`
	// Other is what plays beside.
	Other *Other `json:"other,omitempty"`
	// Lines are the lines of the script that are said, as "part key".
	Lines []string `json:"lines,omitempty"`
}

// Other is what a shot plays beside its own take.
type Other struct {
	// Touch is a touch of the same bout; empty is the shot's own.
	Touch string `json:"touch,omitempty"`
	Take  string `json:"take"`
	// At is the frame that is shown when the shot shows Meets.
	At    mark.Frame `json:"at"`
	Meets mark.Frame `json:"meets"`
}
