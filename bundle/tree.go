package bundle

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// kind is what a node of the tree is.
type kind string

const (
	isNull   kind = "null"
	isBool   kind = "true or false"
	isNumber kind = "a number"
	isString kind = "a text"
	isArray  kind = "a list"
	isObject kind = "an object"
)

// node is one value of a JSON file that knows its place.
type node struct {
	kind    kind
	pointer string
	text    string // of a string, or the literal of a number
	truth   bool
	keys    []string // of an object, in the order of the file
	items   []*node  // of an array, or the values that belong to keys
}

// member returns the value of a key, or nil.
func (n *node) member(key string) *node {
	for i, k := range n.keys {
		if k == key {
			return n.items[i]
		}
	}
	return nil
}

// slurp reads a whole file of at most limit bytes.
func slurp(r io.Reader, name string, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, fmt.Errorf("%s: it cannot be read: %w", name, err)
	}
	if int64(len(data)) > limit {
		return nil, whole(name, "the file is larger than %d MiB, the limit of this format: split it", limit>>20)
	}
	return data, nil
}

// whole is an error about the file as a whole.
func whole(name, format string, args ...any) error {
	return &Error{Name: name, Problems: []Problem{{"", fmt.Sprintf(format, args...)}}}
}

// plant parses a file into a tree. Errors name the place of the first fault of
// spelling; keys given twice are refused.
func plant(data []byte, name string) (*node, error) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, whole(name, "the file is empty: it should hold a JSON object")
	case !utf8.Valid(data):
		return nil, whole(name, "the file is not text in UTF-8: save it as UTF-8")
	}
	p := &planter{data: data, dec: json.NewDecoder(bytes.NewReader(data))}
	p.dec.UseNumber()
	root, err := p.value("", 0)
	if err == nil {
		if _, after := p.dec.Token(); after != io.EOF {
			err = &Problem{"", p.at(p.dec.InputOffset()) + ": something follows the end of the object: remove it"}
		}
	}
	var wrong *Problem
	if errors.As(err, &wrong) {
		return nil, &Error{Name: name, Problems: []Problem{*wrong}}
	}
	return root, err
}

// Error makes a problem an error while the tree grows.
func (p *Problem) Error() string { return p.Pointer + ": " + p.Text }

type planter struct {
	data   []byte
	dec    *json.Decoder
	values int
}

func (p *planter) value(pointer string, depth int) (*node, error) {
	if depth > maxDepth {
		return nil, &Problem{pointer, fmt.Sprintf("this is nested deeper than %d levels: no file of this format needs that", maxDepth)}
	}
	tok, err := p.dec.Token()
	if err != nil {
		return nil, p.fault(pointer, err)
	}
	if p.values++; p.values > maxValues {
		return nil, &Problem{"", fmt.Sprintf("the file holds more than %d values: split it", maxValues)}
	}
	n := &node{pointer: pointer}
	switch v := tok.(type) {
	case nil:
		n.kind = isNull
	case bool:
		n.kind, n.truth = isBool, v
	case json.Number:
		n.kind, n.text = isNumber, v.String()
	case string:
		n.kind, n.text = isString, v
	case json.Delim:
		if v == '{' {
			return n, p.object(n, depth)
		}
		return n, p.array(n, depth)
	}
	return n, nil
}

func (p *planter) object(n *node, depth int) error {
	n.kind = isObject
	seen := map[string]bool{}
	for p.dec.More() {
		tok, err := p.dec.Token()
		if err != nil {
			return p.fault(n.pointer, err)
		}
		key, ok := tok.(string)
		if !ok {
			return &Problem{n.pointer, p.at(p.dec.InputOffset()) + ": a field needs a name in double quotes"}
		}
		at := child(n.pointer, key)
		if seen[key] {
			return &Problem{at, fmt.Sprintf("%s: %s stands here twice: keep one of the two", p.at(p.dec.InputOffset()), quote(key))}
		}
		seen[key] = true
		v, err := p.value(at, depth+1)
		if err != nil {
			return err
		}
		n.keys, n.items = append(n.keys, key), append(n.items, v)
	}
	return p.end(n)
}

func (p *planter) array(n *node, depth int) error {
	n.kind = isArray
	for p.dec.More() {
		v, err := p.value(item(n.pointer, len(n.items)), depth+1)
		if err != nil {
			return err
		}
		n.items = append(n.items, v)
	}
	return p.end(n)
}

// end reads the closing bracket.
func (p *planter) end(n *node) error {
	if _, err := p.dec.Token(); err != nil {
		return p.fault(n.pointer, err)
	}
	return nil
}

// fault turns an error of spelling into a place and a way to mend it.
func (p *planter) fault(pointer string, err error) error {
	off := p.dec.InputOffset()
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		// The offset of a syntax error counts the byte that is wrong.
		off = max(syntax.Offset-1, off)
	}
	rest := strings.TrimLeft(string(p.data[min(off, int64(len(p.data))):]), " \t\r\n:,")
	for _, word := range []string{"NaN", "nan", "Infinity", "-Infinity", "inf", "-inf", "-nan", "-NaN"} {
		if strings.HasPrefix(rest, word) {
			return &Problem{pointer, fmt.Sprintf("%s: %s is not a number: measure it again or leave it out", p.at(off), word)}
		}
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || strings.Contains(err.Error(), "unexpected end") {
		return &Problem{pointer, p.at(int64(len(p.data))) + ": the file ends in the middle: a bracket or a part of it is missing"}
	}
	return &Problem{pointer, fmt.Sprintf("%s: this is not JSON (%s): look for a missing comma, quote or bracket just before", p.at(off), err)}
}

// at names a place of the text by line and column, both from 1.
func (p *planter) at(off int64) string {
	before := p.data[:min(off, int64(len(p.data)))]
	line := bytes.Count(before, []byte("\n")) + 1
	column := utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:]) + 1
	return fmt.Sprintf("line %d, column %d", line, column)
}
