package study

import (
	"fmt"

	"mesure/sport/bout"
)

// What is noted on a line that a score sheet skips.
const (
	skippedTouch = "Not on the score sheet."
	skippedHits  = "Not on the score sheet: the score tells of it, not in which order."
)

// SheetOf makes the bout of a score sheet: what the head says of it, with a line for
// every row that was taken.
//
// The score of a bout counts on from line to line, so touches that a sheet skips, by its
// numbers or by its score, become lines as well, each with a note that says so: as many
// as the numbers or else the score ask for, with the hits that the score tells of, the
// left fencer's first; doubles only where there are fewer numbers than hits. Where
// neither tells who hit, nobody did. The warnings say where that is, and where a score
// goes down, which no line can tell: it then counts on from the score before.
//
// It returns a *Refusal where a fencer faces themselves, where no row was taken, and
// where the head does not say to how many hits.
func SheetOf(s *ScoreSheet, head bout.Bout) (*BoutSheet, []Warning, error) {
	switch l := head.Left.Name; {
	case bout.NameKey(l) != "" && bout.SameName(l, head.Right.Name):
		return nil, nil, &Refusal{At: "/bout", What: fmt.Sprintf("%s stands on both sides: nobody fences themselves", l), Mend: "Give the two fencers different names."}
	case head.Touches < 1:
		return nil, nil, &Refusal{At: "/bout/touches", What: "it is not said to how many hits the bout went", Mend: "Write 5, 10 or 15, or 45 for a relay."}
	case len(s.Lines) == 0:
		return nil, nil, &Refusal{At: "/bout/sheet", What: "no row of the score sheet could be taken", Mend: "Mend its rows; the reason stands beside each."}
	}
	if head.Weapon == "" {
		head.Weapon = bout.Epee
	}
	m := &sheetMaker{bout: head}
	m.bout.Sheet, m.bout.First, m.bout.Start = nil, 0, nil
	first := s.Lines[0]
	if first.Number > 1 {
		m.bout.First = first.Number
	}
	if first.Before != (bout.Score{}) {
		start := first.Before
		m.bout.Start = &start
	}
	last, score := first.Number-1, first.Before
	for i, l := range s.Lines {
		m.skipped(l, l.Number-last-1, score)
		p := bout.Phrase{Lamps: l.Hit, Period: l.Period, Clock: l.Clock}
		if i < len(s.Notes) {
			p.Measure, p.Note = s.Notes[i].Measure, s.Notes[i].Note
		}
		if l.Choices != [2]string{} {
			p.Choices = &bout.Choices{Left: l.Choices[0], Right: l.Choices[1]}
		}
		m.bout.Sheet = append(m.bout.Sheet, p)
		last, score = l.Number, l.After
	}
	m.bout = named(m.bout.Scored())
	return &BoutSheet{Bout: m.bout, Videos: []Video{}}, m.doubts, nil
}

// CodeScoreFalls is the warning of a score that goes down.
const CodeScoreFalls = "score-falls"

// sheetMaker puts the lines of a bout one below the other.
type sheetMaker struct {
	bout   bout.Bout
	doubts []Warning
}

// skipped adds the touches that stand between a score and the line that comes next, of
// which missing are skipped by number.
func (m *sheetMaker) skipped(next BoutLine, missing int, score bout.Score) {
	a, b := next.Before.Left-score.Left, next.Before.Right-score.Right
	about := next.About()
	if a < 0 || b < 0 {
		m.doubts = append(m.doubts, Warning{Code: CodeScoreFalls, About: about, Doubt: float64(max(-a, -b)),
			Text: fmt.Sprintf("the score goes down from %s to %s before touch %d; the bout counts on from %s: annul or take out the hit that was not given", scoreWords(score), scoreWords(next.Before), next.Number, scoreWords(score))})
		a, b = max(a, 0), max(b, 0)
	}
	doubles, blank := 0, 0
	switch epee := m.bout.Weapon == bout.Epee; {
	case missing > a+b:
		blank = missing - a - b
	case epee && missing >= max(a, b) && min(next.Before.Left, next.Before.Right) < m.bout.Touches: // else it is void
		doubles = a + b - missing
	}
	add := func(n int, hit bout.Lamps, note string) {
		for range n {
			m.bout.Sheet = append(m.bout.Sheet, bout.Phrase{Lamps: hit, Note: note})
		}
	}
	add(doubles, bout.Lamps{Left: true, Right: true}, skippedHits)
	add(a-doubles, bout.Lamps{Left: true}, skippedHits)
	add(b-doubles, bout.Lamps{Right: true}, skippedHits)
	add(blank, bout.Lamps{}, skippedTouch)
	if n := a + b - doubles + blank; n > 0 {
		text := fmt.Sprintf("%s put in before touch %d, which the sheet skips", countOf(n, "line is", "lines are"), next.Number)
		switch {
		case a+b > 0 && blank == 0:
			text += fmt.Sprintf(": the hits from %s to %s, in an order that nobody wrote", scoreWords(score), scoreWords(next.Before))
		case a+b > 0:
			text += fmt.Sprintf(": the hits from %s to %s, in an order that nobody wrote, and %s", scoreWords(score), scoreWords(next.Before), countOf(blank, "line without a hit", "lines without a hit"))
		default:
			text += ", without a hit"
		}
		m.doubts = append(m.doubts, Warning{Code: "lines-put-in", About: about, Doubt: float64(n), Text: text})
	}
}

// About is what warnings call a line.
func (l BoutLine) About() string { return fmt.Sprintf("touch %d", l.Number) }
