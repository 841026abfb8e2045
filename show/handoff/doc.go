// Package handoff writes what a breakdown hands to other programs, in open formats:
// captions and chapters (WebVTT), shots and markers for a video editor (OpenTimelineIO,
// or a table), and the numbers as a table and as JSON; each table with its schema (CSV,
// and CSV on the Web). WriteZip puts files together.
//
// Most callers need WriteVTT, WriteTimeline and WriteNumbers. Each takes plain values
// and writes to an io.Writer; the same values give the same bytes. Nothing is measured
// here and nothing handed in is changed. All that is asked is checked before the first
// byte is written: bad values give one *Error that says which of them it is, and an
// empty file.
//
// Words of the user come in every script. They stay as they are, but for what a format
// cannot hold: control characters and line breaks become spaces, bytes that are no
// UTF-8 become U+FFFD.
package handoff

import (
	"fmt"
	"strings"
	"unicode"
)

// Error is a value that cannot be written: what it is, which one, what is wrong with it
// and what would mend it.
type Error struct {
	// Kind is "cue", "shot", "marker", "media", "number" or "file"; Index counts from 0 in the
	// order handed in. A marker's index is that of its shot.
	Kind  string
	Index int
	// Name is what the user calls it; empty where it has no name.
	Name string
	Why  string
}

// Error counts from 1, as a user does.
func (e *Error) Error() string {
	name := ""
	if e.Name != "" {
		name = fmt.Sprintf(" (%s)", cut(e.Name, 40))
	}
	return fmt.Sprintf("%s %d%s: %s", e.Kind, e.Index+1, name, e.Why)
}

// cut shortens a name for a message.
func cut(s string, most int) string {
	c := clusters(s)
	if len(c) <= most {
		return s
	}
	return strings.Join(c[:most-1], "") + "…"
}

// oneLine makes words of the user fit for one line of any of the formats: valid UTF-8,
// no control characters, no line breaks, no space at the ends. Spaces that must not
// break (U+00A0, U+202F) stay, and so do the marks of right-to-left writing.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		if r == '\ufeff' { // a byte order mark within words says nothing
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
	return strings.Trim(s, " ")
}
