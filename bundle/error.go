package bundle

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// Problem is one thing that is wrong with a file.
type Problem struct {
	// Pointer is the place as a JSON pointer (RFC 6901); empty means the whole
	// file.
	Pointer string
	// Text says what is wrong and how to mend it.
	Text string
}

// Error is everything found wrong with one file, at least one problem and at
// most ten, in the order of the file.
type Error struct {
	// Name is what the caller called the file.
	Name     string
	Problems []Problem
}

// Error returns one line: the first problem, and how many more were found.
func (e *Error) Error() string {
	p := e.Problems[0]
	line := e.Name + ": "
	if p.Pointer != "" {
		line += p.Pointer + ": "
	}
	line += p.Text
	if more := len(e.Problems) - 1; more > 0 {
		line += fmt.Sprintf(" (and %d more)", more)
	}
	return oneLine(line)
}

// oneLine replaces what would break a line or steer a terminal.
func oneLine(s string) string {
	if !strings.ContainsFunc(s, unprintable) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if unprintable(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

func unprintable(r rune) bool { return r != ' ' && !unicode.IsPrint(r) }

// problems collects what is wrong, up to maxProblems.
type problems struct{ list []Problem }

// full reports whether more would not be told, so that nobody spends time on
// wording it.
func (p *problems) full() bool { return len(p.list) >= maxProblems }

func (p *problems) add(pointer, format string, args ...any) {
	if !p.full() {
		p.list = append(p.list, Problem{pointer, fmt.Sprintf(format, args...)})
	}
}

// err returns nil where nothing is wrong.
func (p *problems) err(name string) error {
	if len(p.list) == 0 {
		return nil
	}
	return &Error{Name: name, Problems: p.list}
}

// child returns the pointer of a member, escaped as RFC 6901 section 3 asks.
func child(pointer, key string) string {
	return pointer + "/" + escape.Replace(key)
}

var escape = strings.NewReplacer("~", "~0", "/", "~1")

// item returns the pointer of an item of an array.
func item(pointer string, i int) string { return pointer + "/" + strconv.Itoa(i) }

// maxQuoted is how many letters of a wrong value a message repeats.
const maxQuoted = 40

// quote returns a text of the file in quotes, cut where it is long.
func quote(s string) string {
	if r := []rune(s); len(r) > maxQuoted {
		s = string(r[:maxQuoted]) + "…"
	}
	return strconv.Quote(s)
}
