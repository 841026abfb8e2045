package bundle

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"unicode/utf8"
)

// lineWidth is how many letters an object or a list may take to stand on one
// line: a mark or a moment does, so that a file shows one of them a line.
const lineWidth = 150

// layOut encodes a structure as JSON that a person can read and a diff can show:
// what is short stands on one line. Equal structures give equal bytes.
func layOut(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	root, err := plant(b.Bytes(), "the encoding")
	if err != nil {
		return nil, err
	}
	var out strings.Builder
	layNode(&out, root, "", 0)
	out.WriteByte('\n')
	return []byte(out.String()), nil
}

// layNode writes one value; used is how many letters stand before it on its
// line. The outermost object is always laid out over several lines.
func layNode(b *strings.Builder, n *node, indent string, used int) {
	if len(n.items) == 0 {
		b.WriteString(shortOf(n))
		return
	}
	if indent != "" && !tabular(n) {
		if short := shortOf(n); len(indent)+used+utf8.RuneCountInString(short) <= lineWidth {
			b.WriteString(short)
			return
		}
	}
	open, shut := "{", "}"
	if n.kind == isArray {
		open, shut = "[", "]"
	}
	b.WriteString(open)
	for i, it := range n.items {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString("\n" + indent + "  ")
		key := ""
		if n.kind == isObject {
			key = literal(n.keys[i]) + ": "
			b.WriteString(key)
		}
		layNode(b, it, indent+"  ", len(key))
	}
	b.WriteString("\n" + indent + shut)
}

// tabular reports whether a value holds a list of objects, which reads best with
// one object a line.
func tabular(n *node) bool {
	for _, it := range n.items {
		if n.kind == isArray && it.kind == isObject || tabular(it) {
			return true
		}
	}
	return false
}

// shortOf writes a value on one line.
func shortOf(n *node) string {
	switch n.kind {
	case isNull:
		return "null"
	case isBool:
		if n.truth {
			return "true"
		}
		return "false"
	case isNumber:
		return n.text
	case isString:
		return literal(n.text)
	}
	parts := make([]string, len(n.items))
	for i, it := range n.items {
		parts[i] = shortOf(it)
		if n.kind == isObject {
			parts[i] = literal(n.keys[i]) + ": " + parts[i]
		}
	}
	if n.kind == isArray {
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// literal writes a text in double quotes.
func literal(s string) string {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil {
		panic("bundle: a text does not encode: " + err.Error())
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// finite returns an error that names the first number of a structure that JSON
// cannot spell, or nil.
func finite(v reflect.Value, name string) error {
	if at, bad := notFinite(v, ""); bad {
		return &Error{Name: name, Problems: []Problem{{at, "this is not a finite number: measure it again or leave it out"}}}
	}
	return nil
}

func notFinite(v reflect.Value, at string) (string, bool) {
	switch v.Kind() {
	case reflect.Float64:
		return at, math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0)
	case reflect.Pointer:
		if !v.IsNil() {
			return notFinite(v.Elem(), at)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if p, bad := notFinite(v.Index(i), item(at, i)); bad {
				return p, true
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if p, bad := notFinite(v.Field(i), child(at, ruleOf(v.Type().Field(i)).name)); bad {
				return p, true
			}
		}
	}
	return "", false
}
