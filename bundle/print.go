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
	if len(n.Items) == 0 {
		b.WriteString(shortOf(n))
		return
	}
	if indent != "" && !tabular(n) {
		if short := shortOf(n); len(indent)+used+utf8.RuneCountInString(short) <= lineWidth {
			b.WriteString(short)
			return
		}
	}
	if n.Kind == isArray && !nested(n) {
		b.WriteString("[" + filled(n, indent+"  ") + "\n" + indent + "]")
		return
	}
	open, shut := "{", "}"
	if n.Kind == isArray {
		open, shut = "[", "]"
	}
	b.WriteString(open)
	for i, it := range n.Items {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString("\n" + indent + "  ")
		key := ""
		if n.Kind == isObject {
			key = literal(n.Keys[i]) + ": "
			b.WriteString(key)
		}
		layNode(b, it, indent+"  ", len(key))
	}
	b.WriteString("\n" + indent + shut)
}

// nested reports whether any item holds items.
func nested(n *node) bool {
	for _, it := range n.Items {
		if len(it.Items) > 0 {
			return true
		}
	}
	return false
}

// filled writes the items of a long list of numbers or words, as many on each
// line as fit.
func filled(n *node, indent string) string {
	var b strings.Builder
	room := 0
	for i, it := range n.Items {
		text := shortOf(it)
		if i < len(n.Items)-1 {
			text += ","
		}
		size := utf8.RuneCountInString(text) + 1
		if size > room {
			b.WriteString("\n" + indent)
			room = lineWidth - len(indent)
		} else {
			b.WriteByte(' ')
		}
		b.WriteString(text)
		room -= size
	}
	return b.String()
}

// tabular reports whether a value holds a list of objects, which reads best with
// one object a line.
func tabular(n *node) bool {
	for _, it := range n.Items {
		if n.Kind == isArray && it.Kind == isObject || tabular(it) {
			return true
		}
	}
	return false
}

// shortOf writes a value on one line.
func shortOf(n *node) string {
	switch n.Kind {
	case isNull:
		return "null"
	case isBool:
		if n.Truth {
			return "true"
		}
		return "false"
	case isNumber:
		return n.Text
	case isString:
		return literal(n.Text)
	}
	parts := make([]string, len(n.Items))
	for i, it := range n.Items {
		parts[i] = shortOf(it)
		if n.Kind == isObject {
			parts[i] = literal(n.Keys[i]) + ": " + parts[i]
		}
	}
	if n.Kind == isArray {
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

// spellable returns an error that names the first value of a structure that
// JSON in UTF-8 cannot spell, or nil.
func spellable(v reflect.Value, name string) error {
	if p := unspellable(v, ""); p != nil {
		return &Error{Name: name, Problems: []Problem{*p}}
	}
	return nil
}

func unspellable(v reflect.Value, at string) *Problem {
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0) {
			return &Problem{Pointer: at, Text: "this is not a finite number: measure it again or leave it out"}
		}
	case reflect.String:
		if !utf8.ValidString(v.String()) {
			return &Problem{Pointer: at, Text: "this text is not UTF-8: write it again"}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return unspellable(v.Elem(), at)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if p := unspellable(v.Index(i), item(at, i)); p != nil {
				return p
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if p := unspellable(v.Field(i), child(at, ruleOf(v.Type().Field(i)).name)); p != nil {
				return p
			}
		}
	}
	return nil
}
