package sheet

import (
	"slices"

	"mesure/show/script"
	"mesure/sport/mark"
	"mesure/timing"
)

// wording is one text for each level: beginner, club, competitor.
type wording [3]string

// all makes one wording for all levels.
func all(s string) wording { return wording{s, s, s} }

var levels = []script.Level{script.Beginner, script.Club, script.Competitor}

// of returns the text for a level; an empty level is a club's.
func (w wording) of(l script.Level) string {
	if i := slices.Index(levels, l); i >= 0 {
		return w[i]
	}
	return w[1]
}

// language is everything that a sheet says in words of its own; the sentences of the
// script are in package script. Another language is another value of it.
type language struct {
	Tag string
	// Say are words of the sheet by key; a slot is {name}.
	Say map[string]string
	// Parts are headings by the kind of the part.
	Parts map[string]string
	// Plates are what a plate is called below it, by its kind.
	Plates map[string]string
	// Drills are by kind and claim of a finding: "parry/too-small".
	Drills map[string]drillWords
	// Watch and Questions are by the same keys, or by the kind alone.
	Watch, Questions map[string]wording
	// Cautions stand before the drills, and at the end of every sheet.
	Cautions, Blades, Rights []string

	Target func(mark.Target) string
	// Band is what a measure asks for, such as "a lunge".
	Band   func(string) string
	Answer func(timing.Answer) string
	Choice func(string) string
	// Into is during which move an attack was launched, Gives what a partner does to show
	// that move.
	Into, Gives func(string) string
}

// drillWords is one exercise in words. None of it is measured but what its slots take.
type drillWords struct {
	Title                                                    string
	Form                                                     wording
	SetUp, Distance, Cue, Action, Success, Progress, Repeats wording
}

func languageOf(tag string) (*language, bool) {
	if tag == "" || tag == english.Tag {
		return english, true
	}
	return nil, false
}
