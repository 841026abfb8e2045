package sheet

import (
	"slices"
	"strings"

	"mesure/show/report"
	"mesure/sport/mark"
)

// span is a stretch of a sentence: words, or a number that belongs to a fact.
type span struct {
	Text string
	// Ref is the fact; empty for words.
	Ref  string
	Bold bool
	// Name says that this is what somebody is called: it may run the other way.
	Name bool
}

// line is a sentence.
type line []span

func words(s string) line { return line{{Text: s}} }

func (l line) String() string {
	var b strings.Builder
	for _, s := range l {
		b.WriteString(s.Text)
	}
	return b.String()
}

// numbered says whether a number stands in a line.
func (l line) numbered() bool {
	return slices.ContainsFunc(l, func(s span) bool { return s.Ref != "" })
}

// document is all that a sheet says, before it is HTML or pages. Both are written of
// one document, so that neither says what the other does not.
type document struct {
	Lang, Title string
	Head        head
	Sections    []section
	Program     string
	// sides are the names in it, with whose they are.
	sides map[string]mark.Side
}

// head says which touch it is.
type head struct {
	Kicker   string
	Title    line
	Fencers  []fencer
	Standing string
	Lamps    []lamp
	Notes    []line
}

type fencer struct {
	Side mark.Side
	// Name as it is shown; Role is the side in words, empty where the name says it.
	Name, Club, Role string
}

type lamp struct{ Class, Words string }

// section is a part of the sheet under its own heading.
type section struct {
	ID, Title string
	Blocks    []block
	// NewPage begins it on a new page.
	NewPage bool
	// Only is "paper" where the screen has the same in another place.
	Only string
}

// block is one of the kinds below.
type block interface{ isBlock() }

// para is a paragraph.
type para struct {
	Text  line
	Class string // paraText, paraFinding, paraFine
}

const (
	paraText    = ""
	paraFinding = "finding"
	paraFine    = "fine"
)

// figure is one plate.
type figure struct {
	Plate report.Plate
	Label string
}

// keys are the numbers that carry a part.
type keys []key

type key struct {
	Number, Title line
	How           string
}

// table has a head, and rows whose first cell names the row.
type table struct {
	Caption string
	Head    []string
	Rows    [][]line
	// Shares of the width that the columns take on paper.
	Shares []float64
	// Right are the columns that stand to the right.
	Right []bool
}

// list is a list of sentences.
type list struct {
	Ordered bool
	Items   []line
}

// quiz is the questions, each with its answer behind a fold.
type quiz struct {
	Ask   []question
	Show  string // the words on the fold
	Under line   // what is said below them
}

type question struct{ Question, Answer line }

// drill is one exercise.
type drill struct {
	Number int
	Title  string
	// Form is the teaching form, For the finding that it is built on.
	Form string
	For  line
	Rows []drillRow
}

type drillRow struct {
	Label string
	Text  line
}

func (para) isBlock()   {}
func (figure) isBlock() {}
func (keys) isBlock()   {}
func (table) isBlock()  {}
func (list) isBlock()   {}
func (quiz) isBlock()   {}
func (drill) isBlock()  {}
