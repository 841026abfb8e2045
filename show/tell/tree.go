package tell

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// kind is what a value of a JSON file is.
type kind string

const (
	isNull   kind = "null"
	isBool   kind = "true or false"
	isNumber kind = "a number"
	isString kind = "a text"
	isArray  kind = "a list"
	isObject kind = "an object"
)

// node is one value of the file that knows its place. The standard decoder takes a
// field twice and any spelling of its name; a telling is written by hand and read
// strictly.
type node struct {
	kind    kind
	pointer string
	text    string // of a text, or the spelling of a number
	keys    []string
	items   []*node
}

func (n *node) member(key string) *node {
	for i, k := range n.keys {
		if k == key {
			return n.items[i]
		}
	}
	return nil
}

// Bounds on what is read, so that a hostile file cannot fill the memory.
const (
	deepest    = 16
	mostValues = 500_000
)

// grow reads a file into a tree.
func grow(data []byte, name string) (*node, error) {
	wrong := func(pointer, format string, args ...any) error {
		return &Error{name, []Problem{{pointer, fmt.Sprintf(format, args...)}}}
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, wrong("", "the file is empty: it should hold a JSON object")
	case !utf8.Valid(data):
		return nil, wrong("", "the file is not text in UTF-8: save it as UTF-8")
	}
	g := &grower{data: data, dec: json.NewDecoder(bytes.NewReader(data))}
	g.dec.UseNumber()
	root, bad := g.value("", 0)
	if bad == nil {
		if _, after := g.dec.Token(); !errors.Is(after, io.EOF) {
			bad = &Problem{"", g.at() + ": something follows the end of the object: remove it"}
		}
	}
	if bad != nil {
		return nil, &Error{name, []Problem{*bad}}
	}
	return root, nil
}

type grower struct {
	data   []byte
	dec    *json.Decoder
	values int
}

func (g *grower) value(pointer string, depth int) (*node, *Problem) {
	tok, err := g.dec.Token()
	if err != nil {
		return nil, g.fault(pointer, err)
	}
	if g.values++; g.values > mostValues {
		return nil, &Problem{"", fmt.Sprintf("the file holds more than %d values: no telling needs that", mostValues)}
	}
	if depth > deepest {
		return nil, &Problem{pointer, fmt.Sprintf("this is nested deeper than %d levels: no telling needs that", deepest)}
	}
	n := &node{pointer: pointer}
	switch v := tok.(type) {
	case nil:
		n.kind = isNull
	case bool:
		n.kind = isBool
	case json.Number:
		n.kind, n.text = isNumber, v.String()
	case string:
		n.kind, n.text = isString, v
	case json.Delim:
		if v == '{' {
			return n, g.object(n, depth)
		}
		n.kind = isArray
		for g.dec.More() {
			it, bad := g.value(pointer+"/"+strconv.Itoa(len(n.items)), depth+1)
			if bad != nil {
				return nil, bad
			}
			n.items = append(n.items, it)
		}
		return n, g.end(pointer)
	}
	return n, nil
}

func (g *grower) object(n *node, depth int) *Problem {
	n.kind = isObject
	seen := map[string]bool{}
	for g.dec.More() {
		tok, err := g.dec.Token()
		if err != nil {
			return g.fault(n.pointer, err)
		}
		key, ok := tok.(string)
		if !ok {
			return &Problem{n.pointer, g.at() + ": a field needs a name in double quotes"}
		}
		at := n.pointer + "/" + escape.Replace(key)
		if seen[key] {
			return &Problem{at, fmt.Sprintf("%s: %s stands here twice: keep one of the two", g.at(), quote(key))}
		}
		seen[key] = true
		v, bad := g.value(at, depth+1)
		if bad != nil {
			return bad
		}
		n.keys, n.items = append(n.keys, key), append(n.items, v)
	}
	return g.end(n.pointer)
}

// escape is that of a JSON pointer (RFC 6901, section 3).
var escape = strings.NewReplacer("~", "~0", "/", "~1")

// end reads the closing bracket.
func (g *grower) end(pointer string) *Problem {
	if _, err := g.dec.Token(); err != nil {
		return g.fault(pointer, err)
	}
	return nil
}

func (g *grower) fault(pointer string, err error) *Problem {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || strings.Contains(err.Error(), "unexpected end") {
		return &Problem{pointer, "the file ends in the middle: a bracket or a part of it is missing"}
	}
	return &Problem{pointer, fmt.Sprintf("%s: this is not JSON (%s): look for a missing comma, quote or bracket just before", g.at(), err)}
}

// at names the place that the reader has come to by line and column, both from 1.
func (g *grower) at() string {
	before := g.data[:min(g.dec.InputOffset(), int64(len(g.data)))]
	column := utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:]) + 1
	return fmt.Sprintf("line %d, column %d", bytes.Count(before, []byte("\n"))+1, column)
}
