package study

import (
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// ScoreSheet is what was taken of a score sheet that was typed or exported.
type ScoreSheet struct {
	Lines []BoutLine
	// Notes has what each line says beyond what a reading of the bout takes.
	Notes []SheetNote
	// Rows has every row of the file below the first, taken or not, in their order.
	Rows []SheetRow
	// Passed are the columns that were not looked at.
	Passed []string
	Doubts []Warning
}

// SheetNote is what one line of a score sheet says beside its BoutLine.
type SheetNote struct {
	// Measure is one of bout.Measures; empty where it is not written.
	Measure string
	Note    string
}

// SheetRow is one row of the file.
type SheetRow struct {
	// Line of the file, from 1; Text as it stands there.
	Line  int    `json:"line"`
	Text  string `json:"text"`
	Taken bool   `json:"taken"`
	// Reason says why it was not taken and how to mend it; empty for a row that was.
	Reason string `json:"reason,omitempty"`
}

// SheetError is what is wrong with a score sheet as a whole, and how to mend it.
type SheetError struct{ Text, Mend string }

// Error says what is wrong.
func (e *SheetError) Error() string { return e.Text }

// Hint says how to mend it.
func (e *SheetError) Hint() string { return e.Mend }

// sheetForm is the hint of a file that is no score sheet.
const sheetForm = `Begin with a line of names: touch,who or touch,left,right, then choice_left,choice_right if they are written.`

// The columns of a score sheet, by the names that their heads may have.
var sheetColumns = map[string]string{
	"touch": "touch", "number": "touch", "no": "touch", "who": "who",
	"left": "left", "right": "right",
	"choice_left": "choice_left", "choice left": "choice_left", "choice_right": "choice_right", "choice right": "choice_right",
	"measure": "measure", "period": "period", "relay": "period", "clock": "clock", "time left": "clock", "note": "note", "notes": "note",
}

// Who hit, as a sheet may write it.
var sheetHits = map[string]bout.Lamps{
	"left": {Left: true}, "l": {Left: true}, "right": {Right: true}, "r": {Right: true},
	"double": {Left: true, Right: true}, "both": {Left: true, Right: true}, "d": {Left: true, Right: true},
	"none": {}, "nobody": {}, "-": {}, "–": {},
}

// ReadScoreSheet reads a score sheet as CSV with commas, semicolons or tabs. Its
// first line names the columns: touch (the number), who (left, right, double or
// none), or left and right (the score after the touch), or all three, and
// choice_left and choice_right in the coach's words; measure (see bout.Measures), clock
// (the time left, such as 1:23), period (the relay in a team match) and note. The bout
// says to how many hits and whether the last double counts.
//
// Every line of the file that is not empty is one row. A row that cannot be taken
// is kept with its reason and changes nothing, with one exception: where a score
// does not follow from the one before but the next row follows from it, the sheet
// goes on from there, and a doubt says that something is missing. Choices that are
// no words of the trade are kept and doubted. A clock, a period or a measure that
// cannot be is left out and doubted; its row is taken.
//
// The error is a *SheetError where the file is no score sheet at all.
func ReadScoreSheet(text string, b bout.Bout) (*ScoreSheet, error) {
	if !utf8.ValidString(text) {
		return nil, &SheetError{"it is not text in UTF-8", "Save it as UTF-8."}
	}
	text = strings.TrimPrefix(text, "\ufeff")
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	r := &sheetReader{b: b, sheet: &ScoreSheet{}, numbers: map[int]int{}, strange: map[string]bool{}, spelt: map[string]string{}}
	for i, line := range strings.Split(text, "\n") {
		if strings.Trim(line, " \t;,") == "" {
			continue
		}
		if r.column == nil {
			if err := r.heads(i+1, line); err != nil {
				return nil, err
			}
			continue
		}
		row := SheetRow{Line: i + 1, Text: strings.TrimSpace(line), Taken: true}
		if err := r.take(i+1, line); err != nil {
			row.Taken, row.Reason = false, err.Error()
		}
		r.sheet.Rows = append(r.sheet.Rows, row)
	}
	if r.column == nil {
		return nil, &SheetError{"the file is empty", sheetForm}
	}
	return r.sheet, nil
}

// sheetReader goes down a score sheet.
type sheetReader struct {
	b      bout.Bout
	sheet  *ScoreSheet
	comma  rune
	column map[string]int
	// numbers are the touches that were taken, by the line they stand on; last is the
	// newest.
	numbers map[int]int
	last    int
	// score is the one after the last row that was taken; odd the one of the row
	// before this one that did not follow.
	score bout.Score
	odd   *bout.Score
	// oddLine is where that row stands.
	oddLine int
	// strange are the words that were doubted, spelt how each was written first.
	strange map[string]bool
	spelt   map[string]string
}

// cells parts one line.
func (r *sheetReader) cells(line string) ([]string, error) {
	c := csv.NewReader(strings.NewReader(line))
	c.Comma, c.TrimLeadingSpace, c.FieldsPerRecord = r.comma, true, -1
	all, err := c.Read()
	var bad *csv.ParseError
	if errors.As(err, &bad) {
		return nil, fmt.Errorf("%w; a cell with a quote begins and ends with one, on the same line", bad.Err)
	}
	return all, err
}

func (r *sheetReader) heads(n int, line string) error {
	r.comma = ','
	switch {
	case strings.Contains(line, ";"):
		r.comma = ';'
	case strings.Contains(line, "\t"):
		r.comma = '\t'
	}
	all, err := r.cells(line)
	if err != nil {
		return &SheetError{fmt.Sprintf("line %d: %v", n, err), sheetForm}
	}
	r.column = map[string]int{}
	for i, h := range all {
		h = strings.TrimSpace(h)
		name, known := sheetColumns[strings.ToLower(h)]
		if !known {
			if h != "" {
				r.sheet.Passed = append(r.sheet.Passed, h)
			}
			continue
		}
		if _, twice := r.column[name]; twice {
			return &SheetError{fmt.Sprintf("line %d: the column %q stands twice", n, name), sheetForm}
		}
		r.column[name] = i
	}
	_, who := r.column["who"]
	_, left := r.column["left"]
	_, right := r.column["right"]
	if left != right {
		return &SheetError{fmt.Sprintf("line %d: a score needs both left and right", n), sheetForm}
	}
	if !who && !left {
		return &SheetError{fmt.Sprintf("line %d: it does not say which column is who hit, or the score", n), sheetForm}
	}
	return nil
}

// take takes one row, or says why not.
func (r *sheetReader) take(n int, line string) error {
	cells, err := r.cells(line)
	if err != nil {
		return err
	}
	cell := func(name string) string {
		if i, ok := r.column[name]; ok && i < len(cells) {
			return oneLine(cells[i])
		}
		return ""
	}
	l := BoutLine{Number: r.last + 1}
	if s := cell("touch"); s != "" {
		v, err := strconv.Atoi(s)
		switch {
		case err != nil || v < 1 || v > 9999:
			return fmt.Errorf("%q is not the number of a touch; write one from 1", s)
		case r.numbers[v] > 0:
			return fmt.Errorf("touch %d is already written on line %d; number each touch once", v, r.numbers[v])
		case v < r.last:
			return fmt.Errorf("touch %d stands below touch %d; put the touches in their order", v, r.last)
		}
		l.Number = v
	}
	hit, said, err := whoHit(cell("who"))
	if err != nil {
		return err
	}
	after, written, err := scoreOfCells(cell("left"), cell("right"))
	if err != nil {
		return err
	}
	if written && max(after.Left, after.Right) > r.b.Touches {
		return fmt.Errorf("%s is beyond a bout to %d; mend the score, or say to how many hits", scoreWords(after), r.b.Touches)
	}
	l.Before = r.score
	switch {
	case !said && !written:
		return errors.New("it does not say who hit; write left, right, double or none, or the score after it")
	case !written:
		one := r.b
		one.Start, one.Sheet = &l.Before, []bout.Phrase{{Lamps: hit}}
		if one.Weapon == bout.Foil || one.Weapon == bout.Sabre {
			if hit.Left && hit.Right {
				return errors.New("a double does not count in foil and sabre; write to whom the hit was given")
			}
		}
		l.Hit, l.After = hit, one.Scored().Sheet[0].After
	default:
		if err := r.follows(&l, after, n); err != nil {
			return err
		}
		step := l.Hit
		void := step == (bout.Lamps{}) && hit.Left && hit.Right && r.lastHit(l.Before)
		if said && hit != step && !void {
			return fmt.Errorf("it says %s, but from %s to %s %s; mend one of them", whoWords(hit), scoreWords(l.Before), scoreWords(after), stepWords(step))
		}
		if said {
			l.Hit = hit
		}
	}
	if missing := l.Number - r.last - 1; missing > 0 && r.last > 0 {
		text := fmt.Sprintf("%s between touch %d and touch %d", countOf(missing, "touch is missing", "touches are missing"), r.last, l.Number)
		if !written {
			text += "; every score from there on may be wrong"
		}
		r.doubt("touch-missing", l.Number, float64(missing), text)
	}
	for _, s := range mark.Sides {
		l.Choices[s] = r.choice(cell("choice_"+s.String()), l.Number)
	}
	l.Clock, l.Period = r.clock(cell("clock"), l.Number), r.period(cell("period"), l.Number)
	r.numbers[l.Number], r.last, r.score, r.odd = n, l.Number, l.After, nil
	r.sheet.Lines = append(r.sheet.Lines, l)
	r.sheet.Notes = append(r.sheet.Notes, SheetNote{Measure: r.measure(cell("measure"), l.Number), Note: r.short(cell("note"), longestNote, "note", l.Number)})
	return nil
}

// lastHit reports whether a double is void at this score.
func (r *sheetReader) lastHit(s bout.Score) bool {
	return !r.b.LastDoubleCounts && s.Left == r.b.Touches-1 && s.Right == s.Left
}

// follows sets score and hit of a row from the score that stands after it.
func (r *sheetReader) follows(l *BoutLine, after bout.Score, n int) error {
	step := func(from bout.Score) (bout.Lamps, bool) {
		a, b := after.Left-from.Left, after.Right-from.Right
		ok := a >= 0 && a <= 1 && b >= 0 && b <= 1
		if a == 1 && b == 1 && (r.lastHit(from) || r.b.Weapon == bout.Foil || r.b.Weapon == bout.Sabre) {
			ok = false
		}
		return bout.Lamps{Left: a == 1, Right: b == 1}, ok
	}
	l.After = after
	if hit, ok := step(r.score); ok {
		l.Hit = hit
		return nil
	}
	if r.odd != nil {
		if hit, ok := step(*r.odd); ok {
			r.doubt("score-jumps", l.Number, 1, fmt.Sprintf("the score jumps from %s to %s on line %d: what happened between is not written", scoreWords(r.score), scoreWords(*r.odd), r.oddLine))
			l.Before, l.Hit = *r.odd, hit
			return nil
		}
	}
	r.odd, r.oddLine = &after, n
	return fmt.Errorf("%s does not follow from %s by one touch; write every touch, or mend the score", scoreWords(after), scoreWords(r.score))
}

// choice keeps a word: the trade's, in whatever language, under its one name, any
// other spelt as it was first and doubted.
func (r *sheetReader) choice(word string, touch int) string {
	word = r.short(strings.Join(strings.Fields(word), " "), longestWord, "choice", touch)
	if word == "" {
		return ""
	}
	key := strings.ToLower(word)
	if first, ok := r.spelt[key]; ok {
		return first
	}
	if w, known := (bout.Vocabulary{}).Word(word); known {
		r.spelt[key] = w.Name
		return w.Name
	}
	r.spelt[key] = word
	r.doubt("unknown-word", touch, 1, fmt.Sprintf("%q is not a word of the trade that we know; it is kept as it is", word))
	return word
}

func (r *sheetReader) doubt(code string, touch int, size float64, text string) {
	r.sheet.Doubts = append(r.sheet.Doubts, Warning{Code: code, About: fmt.Sprintf("touch %d", touch), Doubt: size, Text: text})
}

// whoHit reads who hit; said is false for an empty cell.
func whoHit(s string) (hit bout.Lamps, said bool, err error) {
	if s == "" {
		return bout.Lamps{}, false, nil
	}
	hit, known := sheetHits[strings.ToLower(s)]
	if !known {
		return bout.Lamps{}, false, fmt.Errorf("%q is not who hit; write left, right, double or none", s)
	}
	return hit, true, nil
}

// scoreOfCells reads the score after a touch; written is false for empty cells.
func scoreOfCells(left, right string) (s bout.Score, written bool, err error) {
	if left == "" && right == "" {
		return bout.Score{}, false, nil
	}
	for i, c := range [2]string{left, right} {
		v, err := strconv.Atoi(c)
		if err != nil || v < 0 || v > 9999 {
			return bout.Score{}, false, fmt.Errorf("%q is not a number of hits; write the score of both after the touch", c)
		}
		if i == 0 {
			s.Left = v
		} else {
			s.Right = v
		}
	}
	return s, true, nil
}

func whoWords(h bout.Lamps) string { return BoutLine{Hit: h}.outcome() }

// stepWords says what a step of the score gives.
func stepWords(h bout.Lamps) string {
	switch h {
	case bout.Lamps{Left: true, Right: true}:
		return "both have a hit more"
	case bout.Lamps{Left: true}:
		return "the left fencer alone has a hit more"
	case bout.Lamps{Right: true}:
		return "the right fencer alone has a hit more"
	}
	return "nobody has a hit more"
}
