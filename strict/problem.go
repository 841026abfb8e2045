package strict

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

// Most is how many problems of one file are collected.
const Most = 10

// Problems collects what is wrong with a file, in its order, up to Most.
type Problems struct{ List []Problem }

// Full reports whether more would not be told, so that nobody spends time on
// wording it.
func (p *Problems) Full() bool { return len(p.List) >= Most }

// Add notes a problem at a place.
func (p *Problems) Add(pointer, format string, args ...any) {
	if !p.Full() {
		p.List = append(p.List, Problem{pointer, fmt.Sprintf(format, args...)})
	}
}

// Line tells the problems of a file, at least one, in one line: the first of them, and how
// many more were found. name is what the caller called the file.
func Line(name string, all []Problem) string {
	line := name + ": "
	if all[0].Pointer != "" {
		line += all[0].Pointer + ": "
	}
	line += all[0].Text
	if more := len(all) - 1; more > 0 {
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

// mostQuoted is how many letters of a wrong value a message repeats.
const mostQuoted = 40

// Quote returns a text of the file in quotes, cut where it is long.
func Quote(s string) string {
	if r := []rune(s); len(r) > mostQuoted {
		s = string(r[:mostQuoted]) + "…"
	}
	return strconv.Quote(s)
}

// Child returns the pointer of a member, escaped as RFC 6901 section 3 asks.
func Child(pointer, key string) string { return pointer + "/" + escape.Replace(key) }

var escape = strings.NewReplacer("~", "~0", "/", "~1")

// Item returns the pointer of an item of a list.
func Item(pointer string, i int) string { return pointer + "/" + strconv.Itoa(i) }
