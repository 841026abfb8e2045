package web

import (
	"context"
	"errors"

	"mesure/sport/bout"
	"mesure/study"
)

// A score sheet is looked at before anything is written: the preview says what became of
// every row, and hands back the bout that it would make. Adding that bout is the same
// request as for any other.

// sheetLimit is how many letters a score sheet may have: far more than one bout needs.
const sheetLimit = 1 << 20

type inSheet struct {
	Body struct {
		Text string    `json:"text" maxLength:"1048576" doc:"The score sheet: a line of names of columns, then a line for each touch."`
		Bout bout.Bout `json:"bout" doc:"What the sheet does not say: the fencers, the weapon, to how many hits."`
		Look bool      `json:"look,omitempty" doc:"Look whether the library has this bout already, which reads all of them."`
	}
}

// SheetPreview is a score sheet as it would be taken in.
type SheetPreview struct {
	// Trouble says why no bout can be made of it, Mend how to mend that; empty where one
	// can.
	Trouble string       `json:"trouble,omitempty"`
	Mend    string       `json:"mend,omitempty"`
	Rows    []PreviewRow `json:"rows"`
	Taken   int          `json:"taken"`
	// Passed are the columns that are not read.
	Passed []string        `json:"columns_not_read"`
	Doubts []study.Warning `json:"doubts"`
	// Sheet is the bout that it would make; nil where there is trouble.
	Sheet *study.BoutSheet `json:"sheet,omitempty"`
	// Already is the bout of the library that says the same; empty for none, and where
	// nobody looked.
	Already study.ID `json:"already,omitempty"`
}

// PreviewRow is one row of a score sheet and what became of it.
type PreviewRow struct {
	study.SheetRow
	// Touch is what was made of it; nil for a row that was not taken.
	Touch *PreviewTouch `json:"touch,omitempty"`
}

// PreviewTouch is a row that was taken.
type PreviewTouch struct {
	Number  int          `json:"number"`
	Lamps   bout.Lamps   `json:"lamps"`
	After   bout.Score   `json:"after"`
	Choices bout.Choices `json:"choices"`
	// Doubts are those about this row.
	Doubts []string `json:"doubts"`
}

// sheetPreview looks at a score sheet and writes nothing.
func (s *Server) sheetPreview(ctx context.Context, in *inSheet) (*body[SheetPreview], error) {
	out := SheetPreview{Rows: []PreviewRow{}, Passed: []string{}, Doubts: []study.Warning{}}
	if len(in.Body.Text) > sheetLimit {
		return nil, &tooLarge{sheetLimit}
	}
	read, err := study.ReadScoreSheet(in.Body.Text, in.Body.Bout)
	var none *study.SheetError
	if errors.As(err, &none) {
		out.Trouble, out.Mend = none.Text, none.Mend
		return &body[SheetPreview]{out}, nil
	}
	if err != nil {
		return nil, err
	}
	sheet, found, err := study.SheetOf(read, in.Body.Bout)
	var refused *study.Refusal
	switch {
	case errors.As(err, &refused):
		out.Trouble, out.Mend = refused.What, refused.Mend
	case err != nil:
		return nil, err
	default:
		filled := filledSheet(*sheet)
		out.Sheet = &filled
		if !in.Body.Look {
			break
		}
		if out.Already, _, err = s.c.Shelf.Equal(ctx, sheet); err != nil && !s.refused(err) {
			return nil, err
		}
	}
	out.Passed, out.Doubts = list(read.Passed), list(append(read.Doubts, found...))
	out.Rows, out.Taken = previewRows(read, out.Doubts), len(read.Lines)
	return &body[SheetPreview]{out}, nil
}

// refused reports whether the papers do not take what was sent: that is told when the
// bout is added, with the place.
func (s *Server) refused(err error) bool {
	f, ok := s.explain(err)
	return ok && f.Kind == FaultRefused
}

// previewRows puts beside each row what was made of it.
func previewRows(read *study.ScoreSheet, doubts []study.Warning) []PreviewRow {
	rows, next := make([]PreviewRow, len(read.Rows)), 0
	for i, r := range read.Rows {
		rows[i].SheetRow = r
		if !r.Taken {
			continue
		}
		l := read.Lines[next]
		next++
		t := &PreviewTouch{Number: l.Number, Lamps: l.Hit, After: l.After, Choices: bout.Choices{Left: l.Choices[0], Right: l.Choices[1]}, Doubts: []string{}}
		for _, d := range doubts {
			if d.About == l.About() {
				t.Doubts = append(t.Doubts, d.Text)
			}
		}
		rows[i].Touch = t
	}
	return rows
}
