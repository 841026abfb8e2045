// Package album is the whole breakdown of a touch as files: the report, the plates
// in every form, and the numbers behind them.
//
// Most callers need two calls: Make, which draws every picture of a reading once,
// and Album.Files, which lists what there is, each with what writes it.
//
// Nothing is measured here, and nothing handed in is changed.
package album

import (
	"bytes"
	"encoding/json"
	"io"
	"path"
	"slices"

	"mesure/show/plate"
	"mesure/show/report"
	"mesure/sport/bout"
	"mesure/study"
)

// Widths of the pictures in pixels: a full screen, and a phone held upright.
const (
	WidePixels  = 1920
	PhonePixels = 1080
)

// ReportName is the file of a breakdown that is opened first, ReadingName the one
// with the numbers, TouchName the one with what was set by hand.
const (
	ReportName  = "report.html"
	ReadingName = "reading.json"
	TouchName   = "touch.json"
)

// Options say how a breakdown is made. The zero value has names in it.
type Options struct {
	// HideNames leaves the names of fencers, clubs and events out of everything: Anonymous
	// in short.
	HideNames bool
	// Names is how fencers are called. Whatever hides names hides them in the numbers too.
	Names plate.Naming
	// Program names what wrote it, such as "Mesure 0.1.0".
	Program string
	// Pictures are the forms of the plates.
	Pictures Pictures
}

// Album is a breakdown that was drawn.
type Album struct {
	// Plates are its pictures, the finding first.
	Plates []report.Plate

	reading *study.Reading
	names   [2]string // as they were given
	papers  study.Papers
	o       Options
}

// File is one file of a breakdown.
type File struct {
	// Name has slashes where it lies in a folder: "plates/gaps-live-0042.svg".
	Name string
	// About says what it is, in a few words.
	About string
	// Write writes it; it may be called more than once, also at the same time.
	Write func(w io.Writer) error
}

// Make draws every picture of a reading, and adds the timing that its report tells
// first where it has none. stills hands out the frames they stand on.
// Errors: those of stills, with the frame named.
func Make(r *study.Reading, stills report.Stills, papers study.Papers, o Options) (*Album, error) {
	r, err := report.Timed(r)
	if err != nil {
		return nil, err
	}
	if o.HideNames {
		o.Names = plate.Anonymous
	}
	plates, err := report.PlatesNamed(r, stills, o.Names)
	if err != nil {
		return nil, err
	}
	names := [2]string{r.Touch.Bout.Left.Name, r.Touch.Bout.Right.Name}
	if o.Names.Hides() {
		r = nameless(r, o.Names)
	}
	return &Album{Plates: plates, reading: r, names: names, papers: papers, o: o}, nil
}

// Notes are what could not be shown as it was given, each in one sentence: a name that the
// fonts of the pictures have no letters for.
func (a *Album) Notes() []string {
	if n := plate.Call(a.o.Names, a.names).Note(); n != "" {
		return []string{n}
	}
	return nil
}

// Reading is what the album was made of; where names are hidden it has none.
func (a *Album) Reading() *study.Reading { return a.reading }

// Files lists everything: the report, the numbers, what was set by hand, and each
// plate as SVG and PNG, wide and for the phone.
func (a *Album) Files() []File {
	files := []File{
		{ReportName, "the report: opens in any browser, without a network", a.report},
		{ReadingName, "every number, with its doubt and unit", func(w io.Writer) error { return a.papers.WriteReading(w, a.reading) }},
		{TouchName, "what was set by hand, to be read again", func(w io.Writer) error { return a.papers.WriteTouch(w, a.reading.Touch) }},
	}
	return append(files, a.PlateFiles(a.o.Pictures)...)
}

// PlateName is the name of a plate's files without their ending.
func PlateName(p report.Plate) string { return "plates/" + p.Name() }

func (a *Album) report(w io.Writer) error {
	r := a.reading
	if a.o.Names == plate.Initials { // the report makes the initials itself
		told, touch := *r, *r.Touch
		touch.Bout.Left.Name, touch.Bout.Right.Name = a.names[0], a.names[1]
		told.Touch = &touch
		r = &told
	}
	return report.Write(w, r, report.Options{Names: a.o.Names, Program: a.o.Program}, a.Plates...)
}

// nameless returns a reading whose touch names nobody, or by initials alone, not even by
// the name of a video file. What the coach wrote stays.
func nameless(r *study.Reading, n plate.Naming) *study.Reading {
	copied, touch := *r, *r.Touch
	for _, f := range []*bout.Fencer{&touch.Bout.Left, &touch.Bout.Right} {
		f.Name = map[bool]string{true: plate.InitialsOf(f.Name)}[n == plate.Initials]
	}
	if n == plate.Anonymous {
		touch.Bout.Event, touch.Bout.Round = "", ""
	}
	touch.Bout.Left.Club, touch.Bout.Right.Club = "", ""
	touch.Bout.Team = nil
	touch.Videos = slices.Clone(touch.Videos)
	for i, v := range touch.Videos { // people name a video after who is in it
		touch.Videos[i].File = v.ID + path.Ext(v.File)
	}
	copied.Touch = &touch
	if x := r.Tactics; x != nil {
		copied.Tactics = renamed(x, plate.Call(n, x.Names))
	}
	return &copied
}

// renamed is a copy of tactics of which every string says what the fencers are called; nil
// where it cannot be copied, because a name must not slip through.
func renamed(x *study.Tactics, as plate.Calling) *study.Tactics {
	b, err := json.Marshal(x)
	if err != nil {
		return nil
	}
	var all any
	numbers := json.NewDecoder(bytes.NewReader(b))
	numbers.UseNumber()
	if numbers.Decode(&all) != nil {
		return nil
	}
	var walk func(v any) any
	walk = func(v any) any {
		switch v := v.(type) {
		case string:
			return as.Rename(v)
		case []any:
			for i := range v {
				v[i] = walk(v[i])
			}
		case map[string]any:
			for k := range v {
				v[k] = walk(v[k])
			}
		}
		return v
	}
	if b, err = json.Marshal(walk(all)); err != nil {
		return nil
	}
	out := &study.Tactics{}
	if json.Unmarshal(b, out) != nil {
		return nil
	}
	if as.Naming == plate.Anonymous {
		out.Names = [2]string{}
		if out.Bout != nil {
			out.Bout.Event = ""
		}
	}
	return out
}
