package study

import (
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// Touch is one touch as the coach set it: the videos, the takes, the placed
// frames, the marks, the moments and what is asked of the race.
type Touch struct {
	Title string    `json:"title,omitempty"`
	Bout  bout.Bout `json:"bout"`
	// Line is the ID of the line of the bout's sheet that this touch is; empty
	// where there is none. Number, Before and Lamps then follow from it.
	Line string `json:"line,omitempty"`
	// Number and Before say which touch of the bout this is, and the score.
	Number int        `json:"number,omitempty"`
	Before bout.Score `json:"before"`
	// Lamps is what the apparatus showed; nil where it is not known.
	Lamps *bout.Lamps `json:"lamps,omitempty"`
	// PisteWidth in metres; zero means the width now prescribed.
	PisteWidth float64     `json:"piste_width_m,omitempty"`
	Videos     []Video     `json:"videos"`
	Takes      []mark.Take `json:"takes"`
	Placings   []Placing   `json:"placings"`
	Marks      []mark.Mark `json:"marks"`
	// Hidden are the stretches on which a point cannot be seen.
	Hidden  []mark.Hidden `json:"hidden,omitempty"`
	Moments []mark.Moment `json:"moments"`
	// Actions are what the coach wrote on the stave.
	Actions []bout.Action `json:"actions"`
	// Notes say of the actions what their words do not: line, target, nature.
	Notes []bout.PhraseNote `json:"notes,omitempty"`
	// Priority is the coach's own call in foil and sabre.
	Priority bout.Given `json:"priority,omitempty"`
	// Words are the coach's own words, which the document of the bout has: see Follow.
	Words []bout.OwnWord `json:"-"`
	Race  RaceAsk        `json:"race"`
	// Attacker is whose attack the answers are answers to, "left" or "right"; empty
	// lets it be computed.
	Attacker string `json:"attacker,omitempty"`
	// Dismissed are the IDs of notes that the coach does not want to see.
	Dismissed []string `json:"dismissed,omitempty"`
	// Invented is true for material that shows no real person, such as the demo.
	Invented bool   `json:"invented,omitempty"`
	Note     string `json:"note,omitempty"`
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
	ID string `json:"id"`
	// File is a path, relative to the touch file where it is not absolute.
	File string `json:"file"`
	// SHA256 of the file in hexadecimal; empty where it was not recorded.
	SHA256 string `json:"sha256,omitempty"`
	// Fields says that each frame holds two fields, taken one after the other: the
	// video is then read as two pictures a frame.
	Fields bool `json:"fields,omitempty"`
}

// Clip returns the clip as the touch reads it, from the clip of the file: with two
// frames for each where Fields is set.
func (v Video) Clip(c mark.Clip) mark.Clip {
	if v.Fields {
		return c.Split()
	}
	return c
}

// Placing is what was marked of the piste on one frame of one take.
type Placing struct {
	Take   string        `json:"take"`
	Frame  mark.Frame    `json:"frame"`
	Points []PlacedPoint `json:"points"`
	// Lines are marks that lie somewhere on a known line; nil where there are none.
	Lines []LineMark `json:"lines,omitempty"`
	// Distortion asks for the radial coefficient k1 to be fitted as well.
	Distortion bool `json:"distortion,omitempty"`
	// Cropped lets the principal point move, for a picture that was cut from a
	// larger one.
	Cropped bool `json:"cropped,omitempty"`
}

// PlacedPoint is one known point of the floor and where the picture shows it.
type PlacedPoint struct {
	// Name of the point as in package piste, or empty for a free point.
	Name string `json:"name,omitempty"`
	// On is the place on the floor in metres.
	On piste.Place `json:"on"`
	At mark.Pixel  `json:"at"`
	// SD is the marking error in pixels; zero means mark.DefaultSD.
	SD float64 `json:"sd,omitempty"`
}

// LineMark is a place in the picture that lies somewhere on a known line of the
// floor.
type LineMark struct {
	// Line is the name of the line as in package piste, or empty for a free line.
	Line string `json:"line,omitempty"`
	// A and B are two places on a free line, in metres.
	A  piste.Place `json:"a"`
	B  piste.Place `json:"b"`
	At mark.Pixel  `json:"at"`
	// SD is the marking error in pixels; zero means mark.DefaultSD.
	SD float64 `json:"sd,omitempty"`
}

// RaceAsk is what is asked of the race: the instant from which it is run and
// what each fencer is taken to do.
type RaceAsk struct {
	// From is the moment from which the race is run; empty means the first
	// moment at which both points are marked.
	From  string `json:"from,omitempty"`
	Left  RunAsk `json:"left"`
	Right RunAsk `json:"right"`
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
	Action string `json:"action,omitempty"`
	// Target that the point goes to; empty means the nearest.
	Target mark.Target `json:"target,omitempty"`
	// Onset says when the movement starts.
	Onset OnsetAsk `json:"onset"`
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
	Kind string `json:"kind,omitempty"`
	// Moment of an observed onset.
	Moment string `json:"moment,omitempty"`
	// Cue of a reaction: "visual" or "tactile"; empty means visual.
	Cue string `json:"cue,omitempty"`
	// Choices is the number of answers chosen among; zero means one.
	Choices int `json:"choices,omitempty"`
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
