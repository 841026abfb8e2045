package study

import (
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// Touch is one touch as the coach set it: the videos, the takes, the placed
// frames, the marks, the moments and what is asked of the race.
type Touch struct {
	Title string
	Bout  bout.Bout
	// Number and Before say which touch of the bout this is, and the score.
	Number int
	Before bout.Score
	// Lamps is what the apparatus showed; nil where it is not known.
	Lamps *bout.Lamps
	// PisteWidth in metres; zero means the width now prescribed.
	PisteWidth float64
	Videos     []Video
	Takes      []mark.Take
	Placings   []Placing
	Marks      []mark.Mark
	Moments    []mark.Moment
	Race       RaceAsk
	// Invented is true for material that shows no real person, such as the demo.
	Invented bool
	Note     string
}

// Width returns the width of the piste in metres.
func (t *Touch) Width() float64 {
	if t.PisteWidth == 0 {
		return piste.Width
	}
	return t.PisteWidth
}

// Video names one video file of a touch.
type Video struct {
	ID string
	// File is a path, relative to the touch file where it is not absolute.
	File string
	// SHA256 of the file in hexadecimal; empty where it was not recorded.
	SHA256 string
}

// Placing is what was marked of the piste on one frame of one take.
type Placing struct {
	Take   string
	Frame  mark.Frame
	Points []PlacedPoint
	// Lines are marks that lie somewhere on a known line; nil where there are none.
	Lines []LineMark `json:",omitempty"`
	// Distortion asks for the radial coefficient k1 to be fitted as well.
	Distortion bool
	// Cropped lets the principal point move, for a picture that was cut from a
	// larger one.
	Cropped bool
}

// PlacedPoint is one known point of the floor and where the picture shows it.
type PlacedPoint struct {
	// Name of the point as in package piste, or empty for a free point.
	Name string
	// On is the place on the floor in metres.
	On piste.Place
	At mark.Pixel
	// SD is the marking error in pixels; zero means mark.DefaultSD.
	SD float64
}

// LineMark is a place in the picture that lies somewhere on a known line of the
// floor.
type LineMark struct {
	// Line is the name of the line as in package piste, or empty for a free line.
	Line string
	// A and B are two places on a free line, in metres.
	A, B piste.Place
	At   mark.Pixel
	// SD is the marking error in pixels; zero means mark.DefaultSD.
	SD float64
}

// RaceAsk is what is asked of the race: the instant from which it is run and
// what each fencer is taken to do.
type RaceAsk struct {
	// From is the moment from which the race is run; empty means the first
	// moment at which both points are marked.
	From  string
	Left  RunAsk
	Right RunAsk
}

// Of returns what is asked of one side.
func (r RaceAsk) Of(s mark.Side) RunAsk {
	if s == mark.Left {
		return r.Left
	}
	return r.Right
}

// RunAsk is what one fencer is taken to do in the race.
type RunAsk struct {
	// Action is the name of a movement known to timing ("extension", "lunge",
	// "step-lunge", "fleche"); empty means the one that the measure asks for.
	Action string
	// Target that the point goes to; empty means the nearest.
	Target mark.Target
	// Onset says when the movement starts.
	Onset OnsetAsk
}

// Onset kinds.
const (
	OnsetSimultaneous = "simultaneous" // with the start of the race
	OnsetObserved     = "observed"     // at a moment that was marked
	OnsetReaction     = "reaction"     // a reaction time after the opponent's onset
)

// OnsetAsk says when a movement starts.
type OnsetAsk struct {
	// Kind is one of the Onset constants; empty means simultaneous.
	Kind string
	// Moment of an observed onset.
	Moment string
	// Cue of a reaction: "visual" or "tactile"; empty means visual.
	Cue string
	// Choices is the number of answers chosen among; zero means one.
	Choices int
}

// Take returns the take of this name.
func (t *Touch) Take(id string) (mark.Take, bool) {
	for _, k := range t.Takes {
		if k.ID == id {
			return k, true
		}
	}
	return mark.Take{}, false
}

// Moment returns the moment of this name.
func (t *Touch) Moment(id string) (mark.Moment, bool) {
	for _, m := range t.Moments {
		if m.ID == id {
			return m, true
		}
	}
	return mark.Moment{}, false
}

// Video returns the video of this name.
func (t *Touch) Video(id string) (Video, bool) {
	for _, v := range t.Videos {
		if v.ID == id {
			return v, true
		}
	}
	return Video{}, false
}
