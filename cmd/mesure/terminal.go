package main

import (
	"encoding/json"
	"io"
	"os"
	"strconv"

	"golang.org/x/term"
)

// defaultColumns is the width of a page of text where there is no terminal to
// ask: the width that terminals have had since the punched card.
const defaultColumns = 80

// terminal is where a command reads and writes, and what may be used there.
type terminal struct {
	in       io.Reader
	out, err io.Writer
	// columns is the width of a line on out.
	columns int
	// colour is whether out may carry colour; no meaning rests on it.
	colour bool
	// live is whether err can redraw a line.
	live bool
}

// newTerminal looks at the standard streams and the environment.
func newTerminal(in, out, err *os.File) *terminal {
	t := &terminal{in: in, out: &remembering{w: out}, err: err, columns: defaultColumns}
	if n, _, bad := term.GetSize(int(out.Fd())); bad == nil && n > 0 {
		t.columns = n
	}
	if n, bad := strconv.Atoi(os.Getenv("COLUMNS")); bad == nil && n > 0 {
		t.columns = n
	}
	dumb := os.Getenv("TERM") == "dumb"
	t.colour = term.IsTerminal(int(out.Fd())) && os.Getenv("NO_COLOR") == "" && !dumb
	t.live = term.IsTerminal(int(err.Fd())) && !dumb
	return t
}

// Styles of text, as the codes of ECMA-48 (ISO 6429), section 8.3.117.
const (
	bold  = "1"
	faint = "2"
)

// styled returns s in a style, or as it is where there is no colour.
func (t *terminal) styled(style, s string) string {
	if !t.colour || s == "" {
		return s
	}
	return "\x1b[" + style + "m" + s + "\x1b[0m"
}

// json writes v with its keys in the order of the fields.
func (t *terminal) json(v any) error {
	e := json.NewEncoder(t.out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// remembering keeps the first error of a writer and writes nothing after it, so
// that printing needs no check of its own at every line.
type remembering struct {
	w   io.Writer
	err error
}

// Write writes, unless that has failed before.
func (r *remembering) Write(p []byte) (int, error) {
	if r.err != nil {
		return 0, r.err
	}
	n, err := r.w.Write(p)
	r.err = err
	return n, err
}

// unwritten is the error of the output, where the result could not be printed.
func (t *terminal) unwritten() error {
	if r, is := t.out.(*remembering); is && r.err != nil {
		return at("standard output", r.err)
	}
	return nil
}
