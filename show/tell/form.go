package tell

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"mesure/strict"
)

// The tree that a file is read into.
type (
	node = strict.Node
	kind = strict.Kind
)

const (
	isNull   = strict.Null
	isBool   = strict.Bool
	isNumber = strict.Number
	isString = strict.Text
	isArray  = strict.List
	isObject = strict.Object
)

// grow reads a file into a tree.
func grow(data []byte, name string) (*node, error) {
	root, bad := strict.Grow(data, strict.Bounds{Depth: 16, Values: 500_000, Fewer: "take some out"})
	if bad != nil {
		return nil, &Error{name, []Problem{*bad}}
	}
	return root, nil
}

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
	if n.Kind == isNull && f.empty {
		return
	}
	if n.Kind != f.kind {
		p.add(n.Pointer, "%s stands where %s belongs", n.Kind, f.kind)
		return
	}
	switch f.kind {
	case isObject:
		p.object(n, f)
	case isArray:
		if len(n.Items) > f.most {
			p.add(n.Pointer, "this list has %d items; at most %d are read: take some out", len(n.Items), f.most)
			return
		}
		for _, it := range n.Items {
			p.check(it, f.of)
		}
	case isString:
		p.text(n, f)
	case isNumber:
		p.number(n, f)
	}
}

func (p *problems) object(n *node, f *form) {
	for i, key := range n.Keys {
		is := f.field(key)
		if is == nil {
			p.unknown(n.Items[i].Pointer, key, f)
			continue
		}
		p.check(n.Items[i], is)
	}
	for _, m := range f.fields {
		if m.need && n.Member(m.name) == nil {
			p.add(n.Pointer, "%q is missing: add it", m.name)
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
			if w == n.Text {
				return
			}
		}
		var all []string
		for _, w := range f.words {
			all = append(all, strconv.Quote(w))
		}
		p.add(n.Pointer, "%s is none of %s", quote(n.Text), strings.Join(all, ", "))
		return
	}
	switch letters := utf8.RuneCountInString(n.Text); {
	case letters > f.letters:
		p.add(n.Pointer, "this text has %d letters; at most %d are read: shorten it", letters, f.letters)
	case letters == 0 && f.some:
		p.add(n.Pointer, "this is empty: write a name")
	case strings.ContainsFunc(n.Text, unicode.IsControl):
		p.add(n.Pointer, "%s has a control character or a line break: write it on one line", quote(n.Text))
	}
}

// maxDigits is the longest spelling of a number that is read: a float64 never needs
// more than 24 letters.
const maxDigits = 40

func (p *problems) number(n *node, f *form) {
	if len(n.Text) > maxDigits {
		p.add(n.Pointer, "this number has %d letters: round it", len(n.Text))
		return
	}
	if f.whole {
		if _, err := strconv.ParseInt(n.Text, 10, 64); err != nil {
			p.add(n.Pointer, "%s is not a whole number", n.Text)
			return
		}
	}
	x, err := strconv.ParseFloat(n.Text, 64)
	if err != nil || x < f.low || x > f.high {
		p.add(n.Pointer, "%s is not between %s and %s", n.Text, plain(f.low), plain(f.high))
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

// Problem is one thing that is wrong: where, what, and how to mend it.
type Problem = strict.Problem

// Error returns one line: the first problem, and how many more were found.
func (e *Error) Error() string { return strict.Line(e.Name, e.Problems) }

// problems collects what is wrong.
type problems struct{ strict.Problems }

func (p *problems) full() bool { return p.Full() }

func (p *problems) add(pointer, format string, args ...any) { p.Add(pointer, format, args...) }

func (p *problems) err(name string) error {
	if len(p.List) == 0 {
		return nil
	}
	return &Error{name, p.List}
}

func quote(s string) string { return strict.Quote(s) }
