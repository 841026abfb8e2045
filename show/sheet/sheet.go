package sheet

import (
	"errors"
	"fmt"
	"io"

	"mesure/show/report"
	"mesure/show/script"
	"mesure/study"
)

// Paper is the size of the pages of a PDF.
type Paper string

// The papers: ISO 216 A4 (210 × 297 mm) and the letter of ANSI/ASME Y14.1 (8.5 × 11 in).
const (
	A4     Paper = "a4"
	Letter Paper = "letter"
)

// Options of a sheet. The zero value takes level and names of the script, else a club's
// with names, on A4, without the part for the lesson.
type Options struct {
	Level script.Level
	Names script.Naming
	// Lesson adds what to watch for, questions and drills.
	Lesson bool
	Paper  Paper
	// Program names what wrote the sheet, such as "Mesure 0.1.0".
	Program string
}

// errNothing is a caller's mistake.
var errNothing = errors.New("sheet: a reading without its touch has nothing to tell")

// WriteHTML writes the sheet as one HTML file that needs nothing outside itself. s is
// the script of the touch; nil drafts one. A script that was written before the last
// measurement is bound to this one, and the sheet says what no longer agrees. Plates that
// the sheet has no place for are left out. It returns a *script.Refusal for options that
// are none, and the error of the writer.
func WriteHTML(w io.Writer, r *study.Reading, s *script.Script, plates []report.Plate, o Options) error {
	d, err := newDocument(r, s, plates, o)
	if err != nil {
		return err
	}
	b, err := d.html()
	if err != nil {
		return fmt.Errorf("sheet: %w", err)
	}
	_, err = w.Write(b)
	return err
}

// WritePDF writes the same sheet as PDF, on the paper of the options. Its errors are
// those of WriteHTML.
func WritePDF(w io.Writer, r *study.Reading, s *script.Script, plates []report.Plate, o Options) error {
	d, err := newDocument(r, s, plates, o)
	if err != nil {
		return err
	}
	p, err := paperOf(o.Paper)
	if err != nil {
		return err
	}
	return d.pdf(w, p)
}

// newDocument lays down what the sheet says.
func newDocument(r *study.Reading, s *script.Script, plates []report.Plate, o Options) (*document, error) {
	if r == nil || r.Touch == nil {
		return nil, errNothing
	}
	m, err := newMaker(r, s, plates, o)
	if err != nil {
		return nil, err
	}
	return m.document(), nil
}
