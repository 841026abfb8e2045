package script

import (
	"errors"
	"fmt"
	"slices"

	"mesure/show/plate"
	"mesure/study"
)

// Level is who listens.
type Level string

// Levels, from the least depth to the most.
const (
	Beginner   Level = "beginner"
	Club       Level = "club"
	Competitor Level = "competitor"
)

var levels = [...]Level{Beginner, Club, Competitor}

// Naming is how fencers are called, as in the pictures.
type Naming = plate.Naming

// The ways to call a fencer. With Anonymous event and title are left out too.
const (
	Named     = plate.Named
	Initials  = plate.Initials
	Anonymous = plate.Anonymous
)

// Options of a script; the zero value is a club's, with names, in English.
type Options struct {
	Level Level  `json:"level"`
	Names Naming `json:"names"`
	// Language is a tag such as "en"; empty is English.
	Language string `json:"language"`
	// PerMinute is how many words a minute the coach speaks; zero takes the pace of the
	// language.
	PerMinute float64 `json:"words_per_minute,omitempty"`
}

// slowest and fastest bound Options.PerMinute, in words a minute: beyond them nobody
// speaks so that a class can follow (assumed).
const slowest, fastest = 60, 300

// Script is the draft of what is said over one touch.
type Script struct {
	Options
	// Inputs is the hash of the reading that the numbers were printed from.
	Inputs string `json:"inputs"`
	Title  string `json:"title,omitempty"`
	Parts  []Part `json:"parts"`
	// Offered are the lines that were drafted, as "part key": a line among them that is
	// not in Parts was left out by the coach.
	Offered []string `json:"offered"`
	// Sources are the facts that the lines refer to, by Ref in order.
	Sources []Fact `json:"sources"`
}

// Kinds of parts, in their order.
const (
	PartOpening   = "opening"
	PartTechnique = "technique"
	PartTactics   = "tactics"
	PartTiming    = "timing"
	PartTakeAway  = "take-away"
)

var partKinds = [...]string{PartOpening, PartTechnique, PartTactics, PartTiming, PartTakeAway}

// Part is one part of a script.
type Part struct {
	Kind  string `json:"kind"`
	Lines []Line `json:"lines"`
}

// Line is what is said in one breath.
type Line struct {
	// Key says what the line is about, Claim what it says of it: "likely" of "race".
	Key   string `json:"key"`
	Claim string `json:"claim"`
	// Pieces, joined, read as one line.
	Pieces []Piece `json:"pieces"`
	// Edited is true once the coach has changed the words: Refresh keeps them.
	Edited bool `json:"edited,omitempty"`
}

// Piece is plain words, or a number.
type Piece struct {
	Text string `json:"text"`
	// Ref is a Fact of the reading; empty for plain words.
	Ref string `json:"ref,omitempty"`
	// Frozen keeps Text as it was printed, whatever is measured later.
	Frozen bool `json:"frozen,omitempty"`
}

// String joins the pieces.
func (l Line) String() string {
	s := ""
	for _, p := range l.Pieces {
		s += p.Text
	}
	return s
}

// Refusal says in one line why there is no script, and what mends it.
type Refusal struct{ At, What, Mend string }

func (e *Refusal) Error() string { return fmt.Sprintf("%s: %s. %s", e.At, e.What, e.Mend) }

// errNothing is a caller's mistake.
var errNothing = errors.New("script: a reading without its touch has nothing to tell")

// whole fills the options and checks them.
func (o Options) whole() (Options, *Language, error) {
	if o.Level == "" {
		o.Level = Club
	}
	if o.Names == "" {
		o.Names = Named
	}
	if o.Language == "" {
		o.Language = english.Tag
	}
	if !slices.Contains(levels[:], o.Level) {
		return o, nil, &Refusal{"level", fmt.Sprintf("%q is none", o.Level), `Write "beginner", "club" or "competitor".`}
	}
	if o.Names != Named && o.Names != Initials && o.Names != Anonymous {
		return o, nil, &Refusal{"names", fmt.Sprintf("%q is no way to call a fencer", o.Names), `Write "names", "initials" or "anonymous".`}
	}
	if o.PerMinute != 0 && !(o.PerMinute >= slowest && o.PerMinute <= fastest) {
		return o, nil, &Refusal{"words_per_minute", fmt.Sprintf("%v words a minute is no pace for a class", o.PerMinute), fmt.Sprintf("Give %d to %d, or nothing for the usual pace.", slowest, fastest)}
	}
	l, ok := languageOf(o.Language)
	if !ok {
		return o, nil, &Refusal{"language", fmt.Sprintf("there are no sentences in %q", o.Language), `Write "en".`}
	}
	return o, l, nil
}

// Draft writes the script of one touch from its reading, which it does not change.
// Equal readings and options give equal scripts. It returns a *Refusal for options that
// are none, and an error for a reading without a touch.
func Draft(r *study.Reading, o Options) (*Script, error) {
	if r == nil || r.Touch == nil {
		return nil, errNothing
	}
	o, lang, err := o.whole()
	if err != nil {
		return nil, err
	}
	d := newDraft(r, o, lang)
	for _, part := range []func(){d.opening, d.technique, d.tactics, d.timing, d.takeAway} {
		part()
	}
	s := &Script{Options: o, Inputs: r.Inputs, Title: d.call.title(r.Touch.Title), Parts: []Part{}}
	for _, k := range partKinds {
		if ls := d.lines[k]; len(ls) > 0 {
			s.Parts = append(s.Parts, Part{k, ls})
			for _, l := range ls {
				s.Offered = append(s.Offered, offer(k, l))
			}
		}
	}
	s.Sources = d.facts.used(s)
	return s, nil
}

func offer(part string, l Line) string { return part + " " + l.Key }
