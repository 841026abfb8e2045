package web

import (
	"mesure/quantity"
	"mesure/show/clip"
	"mesure/show/plate"
	"mesure/show/script"
	"mesure/show/summary"
	"mesure/show/tell"
	"mesure/study"
)

// What goes over the wire of how a touch is told.

type inSaveTelling struct {
	OfID
	Body struct {
		Base    study.Revision `json:"base" doc:"The revision that the window shows; 0 while nothing was kept."`
		Gesture string         `json:"gesture" maxLength:"200"`
		Telling tell.Telling   `json:"telling"`
	}
}

type inMake struct {
	OfID
	Body struct {
		What string `json:"what" enum:"clip,hand-off" doc:"What is to be made: the clip, or the files for another editor."`
	}
}

// TellingPaper is how a touch is told, bound to what is measured of it now.
type TellingPaper struct {
	// Stamp has revision 0 and no name while the telling is a draft that nobody kept.
	Stamp   Stamp        `json:"stamp"`
	Telling tell.Telling `json:"telling"`
	// Stale is what no longer agrees with the measurement, Drafted are today's lines for
	// those that the coach left out or wrote anew, Unbound lines with numbers that nothing
	// measured stands behind.
	Stale   []script.Stale `json:"stale"`
	Drafted []DraftedLine  `json:"drafted"`
	Unbound []LinePlace    `json:"unbound"`
	// Spoken says how long the script takes to say, Parts each part of it.
	Spoken summary.Number `json:"spoken"`
	Parts  []PartTold     `json:"parts"`
	// Troubles are what stands in the way of a shot.
	Troubles []clip.Trouble `json:"troubles"`
	// Film is the clip as the storyboard has it; nil where there is none, and NoFilm says
	// why.
	Film   *Film  `json:"film,omitempty"`
	NoFilm string `json:"no_film,omitempty"`
	// Lost says what of the form this machine cannot write.
	Lost []string `json:"lost"`
	// Plates can fill a shot, Layers can lie over one, Takes can be shown: those
	// of this touch, and of the touches that play beside it already; more are asked for
	// apart.
	Plates []Word       `json:"plates"`
	Layers []Word       `json:"layers"`
	Takes  []TakeToShow `json:"takes"`
	// Drawn is how many shots of the film are drawn and kept: making the clip goes on with
	// the others.
	Drawn int `json:"drawn"`
	// Made are finished files, the clip first; Work is what is being made.
	Made []MadeFile `json:"made"`
	Work []Job      `json:"work"`
}

// DraftedLine is a line as it would be drafted today.
type DraftedLine struct {
	Part string      `json:"part"`
	Line script.Line `json:"line"`
}

// LinePlace names a line of the script by its place.
type LinePlace struct {
	Part int `json:"part"`
	Line int `json:"line"`
}

// PartTold is how long one part of the script takes to say.
type PartTold struct {
	Kind   string         `json:"kind"`
	Spoken summary.Number `json:"spoken"`
}

// Film is a clip that can be looked at, frame by frame, before it is written.
type Film struct {
	// Key names this film among all others: equal keys, equal pictures and sound.
	Key    string     `json:"key"`
	Width  int        `json:"width"`
	Height int        `json:"height"`
	Rate   int        `json:"rate"`
	Frames int        `json:"frames"`
	Shots  []FilmShot `json:"shots"`
	Cues   []FilmCue  `json:"cues"`
}

// FilmShot is one shot of a film: the frames First to First+Frames−1 of the clip.
type FilmShot struct {
	Shot   string `json:"shot"`
	Key    string `json:"key"`
	First  int    `json:"first"`
	Frames int    `json:"frames"`
	// Picture is the address of its frames but for "/N.jpg", N counted from 0.
	Picture string `json:"picture"`
}

// FilmCue is a caption.
type FilmCue struct {
	From quantity.Seconds `json:"from_s"`
	To   quantity.Seconds `json:"to_s"`
	Text string           `json:"text"`
}

// TakeToShow is a take that a shot may show or play beside another.
type TakeToShow struct {
	// Touch is empty for a take of the touch that is told.
	Touch string `json:"touch,omitempty"`
	Take  string `json:"take"`
	Title string `json:"title"`
	From  int    `json:"from"`
	To    int    `json:"to"`
	// Bout is what its bout is called, where that is another than the one that is told.
	Bout string `json:"bout,omitempty"`
}

// MadeFile is a finished file.
type MadeFile struct {
	// What it is: "clip", "captions" or "hand-off".
	What  string `json:"what"`
	Name  string `json:"name"`
	Href  string `json:"href"`
	Bytes int64  `json:"bytes"`
	// Old is true where the telling or the measurement has changed since.
	Old bool `json:"old"`
}

// layerWords are the layers that may lie over a frame, in the order in which they are
// drawn.
func layerWords() []Word {
	say := map[string][2]string{
		plate.LayerPiste: {"Piste lines", "The named lines of the piste, as the camera sees them."},
		plate.LayerMarks: {"Points", "The measured points of both fencers."},
		plate.LayerNames: {"Who they are", ""},
		plate.LayerQuiet: {"Other gaps", "The gaps that are measured but not asked for."},
		plate.LayerGaps:  {"Gap lines", "The nearest gap of each fencer, and the one that is asked for."},
		plate.LayerReach: {"Reach", "How far each point goes with an extension, a lunge and a step and lunge."},
	}
	out := []Word{}
	for _, name := range plate.OverlayLayers() {
		w := say[name]
		if w[0] == "" {
			w[0] = name
		}
		out = append(out, Word{Name: name, Word: w[0], About: w[1]})
	}
	return out
}
