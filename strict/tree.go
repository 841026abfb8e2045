package strict

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Kind is what a value is, in words that a message can use.
type Kind string

// The kinds of values.
const (
	Null   Kind = "null"
	Bool   Kind = "true or false"
	Number Kind = "a number"
	Text   Kind = "a text"
	List   Kind = "a list"
	Object Kind = "an object"
)

// Node is one value of a file that knows its place.
type Node struct {
	Kind Kind
	// Pointer is the place as a JSON pointer (RFC 6901).
	Pointer string
	// Text of a text, or the spelling of a number.
	Text  string
	Truth bool
	// Keys of an object in the order of the file, and the values that belong to them; a
	// list has Items alone.
	Keys  []string
	Items []*Node
}

// Member returns the value of a key, or nil.
func (n *Node) Member(key string) *Node {
	for i, k := range n.Keys {
		if k == key {
			return n.Items[i]
		}
	}
	return nil
}

// Bounds are how large a tree may be, so that a hostile file cannot fill the memory.
type Bounds struct {
	// Depth is how deep objects and lists may be nested.
	Depth int
	// Values is how many values there may be, objects and lists counted; Fewer says how
	// to come to fewer, such as "split it".
	Values int
	Fewer  string
}

// Grow reads a file into a tree: one JSON value (RFC 8259) in UTF-8, with or without a byte
// order mark. The first fault of spelling, a key that is given twice and a tree beyond its
// bounds give a problem with the line and the column, and no tree.
func Grow(data []byte, b Bounds) (*Node, *Problem) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, &Problem{"", "the file is empty: it should hold a JSON object"}
	case !utf8.Valid(data):
		return nil, &Problem{"", "the file is not text in UTF-8: save it as UTF-8"}
	}
	g := &grower{data: data, dec: json.NewDecoder(bytes.NewReader(data)), bounds: b}
	g.dec.UseNumber()
	root, bad := g.value("", 0)
	if bad == nil {
		if _, after := g.dec.Token(); after != io.EOF {
			bad = &Problem{"", g.at(g.dec.InputOffset()) + ": something follows the end of the object: remove it"}
		}
	}
	if bad != nil {
		return nil, bad
	}
	return root, nil
}

type grower struct {
	data   []byte
	dec    *json.Decoder
	bounds Bounds
	values int
}

func (g *grower) value(pointer string, depth int) (*Node, *Problem) {
	if depth > g.bounds.Depth {
		return nil, &Problem{pointer, fmt.Sprintf("this is nested deeper than %d levels: no file of this format needs that", g.bounds.Depth)}
	}
	tok, err := g.dec.Token()
	if err != nil {
		return nil, g.fault(pointer, err)
	}
	if g.values++; g.values > g.bounds.Values {
		return nil, &Problem{"", fmt.Sprintf("the file holds more than %d values: %s", g.bounds.Values, g.bounds.Fewer)}
	}
	n := &Node{Pointer: pointer}
	switch v := tok.(type) {
	case nil:
		n.Kind = Null
	case bool:
		n.Kind, n.Truth = Bool, v
	case json.Number:
		n.Kind, n.Text = Number, v.String()
	case string:
		n.Kind, n.Text = Text, v
	case json.Delim:
		if v == '{' {
			return n, g.object(n, depth)
		}
		return n, g.list(n, depth)
	}
	return n, nil
}

func (g *grower) object(n *Node, depth int) *Problem {
	n.Kind = Object
	seen := map[string]bool{}
	for g.dec.More() {
		tok, err := g.dec.Token()
		if err != nil {
			return g.fault(n.Pointer, err)
		}
		key, ok := tok.(string)
		if !ok {
			return &Problem{n.Pointer, g.at(g.dec.InputOffset()) + ": a field needs a name in double quotes"}
		}
		at := Child(n.Pointer, key)
		if seen[key] {
			return &Problem{at, fmt.Sprintf("%s: %s stands here twice: keep one of the two", g.at(g.dec.InputOffset()), Quote(key))}
		}
		seen[key] = true
		v, bad := g.value(at, depth+1)
		if bad != nil {
			return bad
		}
		n.Keys, n.Items = append(n.Keys, key), append(n.Items, v)
	}
	return g.end(n)
}

func (g *grower) list(n *Node, depth int) *Problem {
	n.Kind = List
	for g.dec.More() {
		v, bad := g.value(Item(n.Pointer, len(n.Items)), depth+1)
		if bad != nil {
			return bad
		}
		n.Items = append(n.Items, v)
	}
	return g.end(n)
}

// end reads the closing bracket.
func (g *grower) end(n *Node) *Problem {
	if _, err := g.dec.Token(); err != nil {
		return g.fault(n.Pointer, err)
	}
	return nil
}

// fault turns an error of spelling into a place and a way to mend it.
func (g *grower) fault(pointer string, err error) *Problem {
	off := g.dec.InputOffset()
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		// The offset of a syntax error counts the byte that is wrong.
		off = max(syntax.Offset-1, off)
	}
	rest := strings.TrimLeft(string(g.data[min(off, int64(len(g.data))):]), " \t\r\n:,")
	for _, word := range []string{"NaN", "nan", "Infinity", "-Infinity", "inf", "-inf", "-nan", "-NaN"} {
		if strings.HasPrefix(rest, word) {
			return &Problem{pointer, fmt.Sprintf("%s: %s is not a number: measure it again or leave it out", g.at(off), word)}
		}
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || strings.Contains(err.Error(), "unexpected end") {
		return &Problem{pointer, g.at(int64(len(g.data))) + ": the file ends in the middle: a bracket or a part of it is missing"}
	}
	return &Problem{pointer, fmt.Sprintf("%s: this is not JSON (%s): look for a missing comma, quote or bracket just before", g.at(off), err)}
}

// at names a place of the text by line and column, both from 1.
func (g *grower) at(off int64) string {
	before := g.data[:min(off, int64(len(g.data)))]
	line := bytes.Count(before, []byte("\n")) + 1
	column := utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:]) + 1
	return fmt.Sprintf("line %d, column %d", line, column)
}
