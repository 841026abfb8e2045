package tell

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// form is what a value of the file must be. One form, fileForm, is the law of the
// format: the reader checks against it, and the schema and the tables of
// doc/formats/telling.md are written from it.
type form struct {
	kind kind
	// name of an object in the schema and the tables.
	name   string
	fields []field
	// of is what a list holds, most how many at most; empty is true where a missing list
	// (null) is not the same as an empty one.
	of    *form
	most  int
	empty bool
	// words that a text may be; else it has at most letters, of one line, and at least
	// one letter where some is true.
	words   []string
	letters int
	some    bool
	// whole is true of a whole number; low and high bound a number.
	whole     bool
	low, high float64
}

// field is one member of an object; say is what it means.
type field struct {
	name string
	need bool
	is   *form
	say  string
}

func must(name string, is *form, say string) field { return field{name, true, is, say} }
func may(name string, is *form, say string) field  { return field{name, false, is, say} }

func object(name string, fields ...field) *form {
	return &form{kind: isObject, name: name, fields: fields}
}
func list(most int, of *form) *form  { return &form{kind: isArray, of: of, most: most} }
func words(all ...string) *form      { return &form{kind: isString, words: all} }
func line(letters int) *form         { return &form{kind: isString, letters: letters} }
func named(letters int) *form        { return &form{kind: isString, letters: letters, some: true} }
func truth() *form                   { return &form{kind: isBool} }
func number(low, high float64) *form { return &form{kind: isNumber, low: low, high: high} }
func wholeFrom(low, high float64) *form {
	return &form{kind: isNumber, whole: true, low: low, high: high}
}
func (f *form) orNull() *form { c := *f; c.empty = true; return &c }

// check compares a value with its form and notes what differs.
func (p *problems) check(n *node, f *form) {
	if p.full() {
		return
	}
	if n.kind == isNull && f.empty {
		return
	}
	if n.kind != f.kind {
		p.add(n.pointer, "%s stands where %s belongs", n.kind, f.kind)
		return
	}
	switch f.kind {
	case isObject:
		p.object(n, f)
	case isArray:
		if len(n.items) > f.most {
			p.add(n.pointer, "this list has %d items; at most %d are read: take some out", len(n.items), f.most)
			return
		}
		for _, it := range n.items {
			p.check(it, f.of)
		}
	case isString:
		p.text(n, f)
	case isNumber:
		p.number(n, f)
	}
}

func (p *problems) object(n *node, f *form) {
	for i, key := range n.keys {
		is := f.field(key)
		if is == nil {
			p.unknown(n.items[i].pointer, key, f)
			continue
		}
		p.check(n.items[i], is)
	}
	for _, m := range f.fields {
		if m.need && n.member(m.name) == nil {
			p.add(n.pointer, "%q is missing: add it", m.name)
		}
	}
}

func (f *form) field(name string) *form {
	for _, m := range f.fields {
		if m.name == name {
			return m.is
		}
	}
	return nil
}

func (p *problems) unknown(pointer, key string, f *form) {
	var all []string
	for _, m := range f.fields {
		if strings.EqualFold(m.name, key) {
			p.add(pointer, "there is no field %s here: did you mean %q?", quote(key), m.name)
			return
		}
		all = append(all, m.name)
	}
	p.add(pointer, "there is no field %s here: known are %s", quote(key), strings.Join(all, ", "))
}

func (p *problems) text(n *node, f *form) {
	if f.words != nil {
		for _, w := range f.words {
			if w == n.text {
				return
			}
		}
		var all []string
		for _, w := range f.words {
			all = append(all, strconv.Quote(w))
		}
		p.add(n.pointer, "%s is none of %s", quote(n.text), strings.Join(all, ", "))
		return
	}
	switch letters := utf8.RuneCountInString(n.text); {
	case letters > f.letters:
		p.add(n.pointer, "this text has %d letters; at most %d are read: shorten it", letters, f.letters)
	case letters == 0 && f.some:
		p.add(n.pointer, "this is empty: write a name")
	case strings.ContainsFunc(n.text, unicode.IsControl):
		p.add(n.pointer, "%s has a control character or a line break: write it on one line", quote(n.text))
	}
}

// maxDigits is the longest spelling of a number that is read: a float64 never needs
// more than 24 letters.
const maxDigits = 40

func (p *problems) number(n *node, f *form) {
	if len(n.text) > maxDigits {
		p.add(n.pointer, "this number has %d letters: round it", len(n.text))
		return
	}
	if f.whole {
		if _, err := strconv.ParseInt(n.text, 10, 64); err != nil {
			p.add(n.pointer, "%s is not a whole number", n.text)
			return
		}
	}
	x, err := strconv.ParseFloat(n.text, 64)
	if err != nil || x < f.low || x > f.high {
		p.add(n.pointer, "%s is not between %s and %s", n.text, plain(f.low), plain(f.high))
	}
}

func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// Error is everything found wrong with a telling, at least one problem and at most ten,
// in the order of the file.
type Error struct {
	// Name is what the caller called the file.
	Name     string
	Problems []Problem
}

// Problem is one thing that is wrong.
type Problem struct {
	// Pointer is the place as a JSON pointer (RFC 6901); empty means the whole file.
	Pointer string
	// Text says what is wrong and how to mend it.
	Text string
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
	var b strings.Builder
	for _, r := range s {
		if r != ' ' && !unicode.IsPrint(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// problems collects what is wrong, up to mostProblems.
type problems struct{ list []Problem }

const mostProblems = 10

func (p *problems) full() bool { return len(p.list) >= mostProblems }

func (p *problems) add(pointer, format string, args ...any) {
	if !p.full() {
		p.list = append(p.list, Problem{pointer, fmt.Sprintf(format, args...)})
	}
}

func (p *problems) err(name string) error {
	if len(p.list) == 0 {
		return nil
	}
	return &Error{name, p.list}
}

// mostQuoted is how many letters of a wrong value a message repeats.
const mostQuoted = 40

func quote(s string) string {
	if r := []rune(s); len(r) > mostQuoted {
		s = string(r[:mostQuoted]) + "…"
	}
	return strconv.Quote(s)
}
