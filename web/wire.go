package web

import (
	"time"

	"mesure/show/summary"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// What goes over the wire. Bouts and touches go as study has them, numbers as
// show printed them; the rest is here.

// Stamp is the state of a document: which one is shown and where one can step.
type Stamp struct {
	ID       study.ID       `json:"id"`
	Revision study.Revision `json:"revision"`
	// Gesture says what was done to get here.
	Gesture string    `json:"gesture"`
	Saved   time.Time `json:"saved"`
	CanUndo bool      `json:"can_undo"`
	CanRedo bool      `json:"can_redo"`
	// UndoGesture and RedoGesture say what a step would take back or repeat.
	UndoGesture string `json:"undo_gesture,omitempty"`
	RedoGesture string `json:"redo_gesture,omitempty"`
}

// BoutPaper is a bout and its touches.
type BoutPaper struct {
	Stamp   Stamp           `json:"stamp"`
	Sheet   study.BoutSheet `json:"sheet"`
	Touches []TouchCard     `json:"touches"`
	Media   []Media         `json:"media"`
	// Doubts are what the rules make of the sheet: a line after the bout was won,
	// a second yellow card.
	Doubts []study.Warning `json:"doubts"`
	// Unknown are words for a choice that stand for none of the kinds: they are kept and
	// counted under their own name.
	Unknown []string `json:"unknown"`
}

// TouchCard is one touch in a list.
type TouchCard struct {
	ID    study.ID `json:"id"`
	Line  string   `json:"line"`
	Title string   `json:"title"`
	// Done says how far the work is: "new", "placed", "marked" or "read".
	Done    string    `json:"done"`
	Saved   time.Time `json:"saved"`
	Picture string    `json:"picture"`
}

// BoutCard is one bout in the list of the salle.
type BoutCard struct {
	Stamp Stamp  `json:"stamp"`
	Event string `json:"event"`
	Round string `json:"round"`
	Date  string `json:"date"`
	Left  string `json:"left"`
	Right string `json:"right"`
	// Clubs are searched for too.
	LeftClub  string     `json:"left_club"`
	RightClub string     `json:"right_club"`
	Weapon    string     `json:"weapon"`
	Score     bout.Score `json:"score"`
	Lines     int        `json:"lines"`
	Touches   int        `json:"touches"`
	Read      int        `json:"read"`
	// Picture is the address of a frame; empty while there is none.
	Picture  string `json:"picture"`
	Invented bool   `json:"invented"`
}

// Salle is the library at a glance.
type Salle struct {
	Bouts []BoutCard `json:"bouts"`
	Jobs  []Job      `json:"jobs"`
	// Loose are videos that belong to no bout.
	Loose []Media `json:"loose"`
	// Folder is where the library is on this machine.
	Folder string `json:"folder"`
}

// Media is one video of the library.
type Media struct {
	SHA256 string `json:"sha256"`
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	// State is "indexing" while the time stamps are read, "ready", or "refused"; in an
	// event also "removed".
	State string `json:"state"`
	// Share of the indexing that is done, 0 to 1.
	Share float64 `json:"share"`
	// Trouble says why it was refused, and how to mend it.
	Trouble string `json:"trouble,omitempty"`
	Clip    *Clip  `json:"clip,omitempty"`
}

// Clip describes a video that was indexed.
type Clip struct {
	Width      int           `json:"width"`
	Height     int           `json:"height"`
	Frames     int           `json:"frames"`
	Last       mark.FileTime `json:"last_s"` // the time stamp of the last frame
	Rotation   int           `json:"rotation"`
	Interlaced bool          `json:"interlaced"`
	Codec      string        `json:"codec"`
	Container  string        `json:"container"`
}

// Times has the time stamp of every frame of a video, in seconds of the file.
type Times struct {
	Times []mark.FileTime `json:"times"`
}

// Job is work that goes on.
type Job struct {
	ID string `json:"id"`
	// Kind is "copy", "index", "demo", "breakdown" or "follow".
	Kind string `json:"kind"`
	// About says in words what it works on, Doing what just now; empty where it does
	// one thing only.
	About string `json:"about"`
	Doing string `json:"doing,omitempty"`
	// Of is the document that it works on; empty for none.
	Of    study.ID `json:"of,omitempty"`
	Share float64  `json:"share"`
	// Left is the time left in seconds; zero while it is not known.
	Left float64 `json:"left_s"`
	// State is "going", "done", "cancelled" or "failed".
	State   string `json:"state"`
	Trouble string `json:"trouble,omitempty"`
	// Result is what came of it: the SHA-256 of a video that was indexed, the ID of the
	// bout that a video was copied into or that the demo is.
	Result string `json:"result,omitempty"`
}

// TouchPaper is a touch with its bout.
type TouchPaper struct {
	Stamp Stamp       `json:"stamp"`
	Bout  study.ID    `json:"bout"`
	Touch study.Touch `json:"touch"`
	Media []Media     `json:"media"`
	// Before and After are the neighbours on the sheet; empty at the ends and where
	// they were not taken apart.
	Previous study.ID `json:"previous,omitempty"`
	Next     study.ID `json:"next,omitempty"`
}

// Live is a reading of a touch as it stands on the desk.
type Live struct {
	Summary summary.Summary `json:"summary"`
	// Stave and Race are pictures, as SVG elements to be set into the page; empty
	// where they were not asked for or there is nothing to draw.
	Stave *Stave `json:"stave,omitempty"`
	Race  string `json:"race,omitempty"`
	// Phrase is what the stave says in words; it goes with the stave.
	Phrase *PhraseTold `json:"phrase,omitempty"`
	// Followed is what was followed through the takes; nil where it was not asked for.
	Followed *Followed `json:"followed,omitempty"`
}

// Followed is what was followed through the takes of a touch, as far as it belongs
// to the touch that was read.
type Followed struct {
	Takes []FollowedTake `json:"takes"`
	// Traces are those of the take that was asked for, Motion is the point.
	Traces *summary.Traces `json:"traces,omitempty"`
	Motion *Motion         `json:"motion,omitempty"`
	// Job is the following that goes on, or waits.
	Job *Job `json:"job,omitempty"`
}

// FollowedTake says how far one take is followed.
type FollowedTake struct {
	Take string `json:"take"`
	// State is "none", "followed", or "stale" where something changed since.
	State string `json:"state"`
	// Cuts are the frames with which another scene begins.
	Cuts []mark.Frame `json:"cuts"`
	// Graphics are the parts of the picture that do not move with the background.
	Graphics []Area `json:"graphics"`
	// Lost are stretches in which the camera could not be followed: place the piste on
	// a frame of each.
	Lost     []study.Stretch `json:"lost"`
	Warnings []study.Warning `json:"warnings"`
}

// Area is a part of the picture, in pixels.
type Area struct {
	U int `json:"u"`
	V int `json:"v"`
	W int `json:"w"`
	H int `json:"h"`
}

// Motion is how one point moves through one take: a picture, and where things stand
// on it, as for the stave.
type Motion struct {
	SVG    string     `json:"svg"`
	Width  float64    `json:"width"`
	Height float64    `json:"height"`
	X0     float64    `json:"x0"`
	X1     float64    `json:"x1"`
	From   mark.Frame `json:"from"`
	// X is where each frame stands, from From on; Speeds is the speed there, and is
	// empty where it is not known.
	X      []float64 `json:"x"`
	Speeds []string  `json:"speeds"`
	// Peak is the greatest speed, at PeakFrame; nil where too little was followed.
	// PeakBias says by how much too great smoothing makes it; empty where not known.
	Peak      *summary.Number `json:"peak,omitempty"`
	PeakFrame mark.Frame      `json:"peak_frame,omitempty"`
	PeakBias  *summary.Number `json:"peak_bias,omitempty"`
}

// Stave is the stave as a picture, and where things stand on it. Lengths are in
// units of its view box; the screen lays its handles over it by them.
type Stave struct {
	SVG    string  `json:"svg"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
	// X0 and X1 are where the true instants T0 and T1 stand; time runs evenly.
	X0 float64       `json:"x0"`
	X1 float64       `json:"x1"`
	T0 mark.TrueTime `json:"t0_s"`
	T1 mark.TrueTime `json:"t1_s"`
	// Lines say where the six lines stand.
	Lines []StaveLine `json:"lines"`
	// Frames is the true instant of every frame of each take, from its first.
	Frames []TakeClock `json:"frames"`
	// Legend says what the signs of the notes mean, as a picture of the same width; empty
	// where there are none.
	Legend string `json:"legend,omitempty"`
}

// StaveLine is the height of one line.
type StaveLine struct {
	Who  mark.Side `json:"who"`
	Line string    `json:"line"`
	Y    float64   `json:"y"`
	H    float64   `json:"h"`
}

// TakeClock has the true instant of every frame of a take.
type TakeClock struct {
	Take  string          `json:"take"`
	From  mark.Frame      `json:"from"`
	Times []mark.TrueTime `json:"times"`
}

// Trade is what the desk needs to know of the sport: names, places and words.
type Trade struct {
	// Points and Lines of the piste that can be marked, from left to right.
	Points    []PistePoint `json:"points"`
	Lines     []PisteLine  `json:"lines"`
	Things    []Word       `json:"things"`  // points of interest on a fencer
	Targets   []Word       `json:"targets"` // parts that are aimed at
	Movements []Word       `json:"movements"`
	Weapons   []Word       `json:"weapons"`
	Grips     []Word       `json:"grips"`
	Cards     []Word       `json:"cards"`
	// Words are those that the stave proposes, by line: "feet", "hand", "blade".
	Words map[string][]Word `json:"words"`
	// Moments are the usual ones, in the order in which they tend to happen.
	Moments []Word `json:"moments"`
	// SD is the marking error of a careful hand, in pixels.
	SD float64 `json:"sd_px"`
	// Own are the numbers of which a fencer may have an own in place of the usual one.
	Own []OwnFigure `json:"own"`
	// Parries are the lines of the trade that a note may name, each by its parry.
	Parries []Word `json:"parries"`
	// Natures, Intentions and Results are what a note may say of an action, Measures how
	// far apart a phrase may begin, Choices the kinds of choice, Kinds those of an own word.
	Natures    []Word   `json:"natures"`
	Intentions []Word   `json:"intentions"`
	Results    []Word   `json:"results"`
	Measures   []Word   `json:"measures"`
	Choices    []Word   `json:"choices"`
	Kinds      []string `json:"kinds"`
}

// Word is the name that files use, and the word for it.
type Word struct {
	Name string `json:"name"`
	Word string `json:"word"`
	// About is one sentence for a tooltip; empty where the word says it all.
	About string `json:"about,omitempty"`
}

// OwnFigure is a number of which a fencer may have an own.
type OwnFigure struct {
	Word
	// Unit is "m" or "s", Least and Most bound what is taken.
	Unit  string  `json:"unit"`
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
}

// PistePoint is a named point of the floor.
type PistePoint struct {
	Name string      `json:"name"`
	Word string      `json:"word"`
	On   piste.Place `json:"on"`
	// Painted is false where the rules ask for a change of colour only.
	Painted bool `json:"painted"`
}

// PisteLine is a named line of the floor.
type PisteLine struct {
	Name    string      `json:"name"`
	Word    string      `json:"word"`
	A       piste.Place `json:"a"`
	B       piste.Place `json:"b"`
	Painted bool        `json:"painted"`
}

// Breakdown is what can be shown and downloaded of a touch.
type Breakdown struct {
	Title   string          `json:"title"`
	Finding string          `json:"finding"`
	Summary summary.Summary `json:"summary"`
	Plates  []PlateCard     `json:"plates"`
	Files   []FileCard      `json:"files"`
}

// PlateCard is one picture, by the addresses of its forms.
type PlateCard struct {
	Kind    string     `json:"kind"`
	Finding string     `json:"finding"`
	About   string     `json:"about"` // the text for those who cannot see it
	Take    string     `json:"take,omitempty"`
	Frame   mark.Frame `json:"frame,omitempty"`
	Wide    string     `json:"wide"` // address of the SVG; with ?theme=night for a dark page
	Phone   string     `json:"phone"`
	PNG     string     `json:"png"`
}

// FileCard is one file to download.
type FileCard struct {
	Name  string `json:"name"`
	About string `json:"about"`
	Href  string `json:"href"`
}
