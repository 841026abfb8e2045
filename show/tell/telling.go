package tell

import (
	"errors"

	"mesure/show/clip"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/study"
)

// Telling is how one touch is told. The reading is not in it: every number of the script
// is bound to a fact and follows the measurement.
type Telling struct {
	// Script has the level, the way to call fencers and the language with it.
	Script *script.Script `json:"script"`
	Board  clip.Board     `json:"board"`
	// Lesson adds to the sheet what a class needs: questions, drills, what to watch for.
	Lesson bool `json:"lesson,omitempty"`
	// Paper of the sheet: "a4" or "letter"; empty is A4.
	Paper string `json:"paper,omitempty"`
}

// Options are what a draft is asked for; the zero value is a club's, with names, in
// English, as a clip of the usual form.
type Options struct {
	script.Options
	Form   clip.Form
	Lesson bool
	Paper  string
}

// Draft is the telling of a touch that nobody has told yet: the script of its reading,
// and a storyboard of that. Equal readings, plates and options give equal tellings. A
// touch of which nothing can be filmed has a storyboard without shots. It returns the
// errors of script.Draft and of clip.Draft.
func Draft(r *study.Reading, plates []report.Plate, o Options) (*Telling, error) {
	s, err := script.Draft(r, o.Options)
	if err != nil {
		return nil, err
	}
	b, err := clip.Draft(r, s, plates, o.Form)
	if b, err = empty(b, o.Form, err); err != nil {
		return nil, err
	}
	t := (&Telling{Script: s, Board: b, Lesson: o.Lesson, Paper: o.Paper}).whole()
	return &t, nil
}

// Bind fits a telling to a newer reading: the script by script.Refresh, the storyboard by
// clip.Refresh. What no longer agrees with the measurement is told, and the rest still
// comes; others are the readings of what shots play beside, by clip.Other.Touch. Nothing
// handed in is changed. It returns the errors of Draft, and an *Error for a telling
// without a script.
func Bind(t *Telling, r *study.Reading, plates []report.Plate, others map[string]*study.Reading) (*Telling, []script.Stale, []clip.Trouble, error) {
	if t == nil || t.Script == nil {
		return nil, nil, nil, &Error{"telling", []Problem{{Text: `"script" is missing: draft it`}}}
	}
	s, stale, err := script.Refresh(t.Script, r)
	if err != nil {
		return nil, nil, nil, err
	}
	b, err := clip.Refresh(t.Board, s, r, plates)
	if b, err = empty(b, t.Board.Form, err); err != nil {
		return nil, nil, nil, err
	}
	bound := *t
	bound.Script, bound.Board = s, b
	bound = bound.whole()
	return &bound, stale, clip.Check(bound.Board, r, s, plates, others), nil
}

// empty is a storyboard without shots where there can be none: the script, the plates and
// the sheet still come. A form that is none stays an error.
func empty(b clip.Board, f clip.Form, err error) (clip.Board, error) {
	var t *clip.Trouble
	if errors.As(err, &t) && t.Kind != clip.TroubleForm {
		return clip.Board{Form: f}, nil
	}
	return b, err
}
