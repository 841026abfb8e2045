package tell

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// go test ./show/tell -update writes the schema and the tables of doc/formats anew from
// the form; look at the difference before you commit it.
var update = flag.Bool("update", false, "write the schema and the tables of doc/formats anew")

const formats = "../../doc/formats/telling"

// pairs is an object that keeps its order.
type pairs []any

func (p pairs) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i := 0; i < len(p); i += 2 {
		if i > 0 {
			b.WriteByte(',')
		}
		for k, v := range []any{p[i], p[i+1]} {
			if k == 1 {
				b.WriteByte(':')
			}
			e := json.NewEncoder(&b)
			e.SetEscapeHTML(false)
			if err := e.Encode(v); err != nil {
				return nil, err
			}
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// schema is what JSON Schema (draft 2020-12) says of a form; objects go to defs.
func schema(f *form, defs *pairs) pairs {
	switch f.kind {
	case isObject:
		for i := 0; i < len(*defs); i += 2 {
			if (*defs)[i] == f.name {
				return pairs{"$ref", "#/$defs/" + f.name}
			}
		}
		at := len(*defs)
		*defs = append(*defs, f.name, nil)
		(*defs)[at+1] = members(f, defs)
		return pairs{"$ref", "#/$defs/" + f.name}
	case isArray:
		p := pairs{"type", "array", "items", schema(f.of, defs), "maxItems", f.most}
		if f.empty {
			return pairs{"anyOf", []any{p, pairs{"type", "null"}}}
		}
		return p
	case isString:
		if f.words != nil {
			return pairs{"type", "string", "enum", f.words}
		}
		// Control characters are those of Unicode's category Cc.
		p := pairs{"type", "string", "pattern", `^[^\x00-\x1f\x7f-\x9f]*$`, "maxLength", f.letters}
		if f.some {
			p = append(p, "minLength", 1)
		}
		return p
	case isBool:
		return pairs{"type", "boolean"}
	}
	kind := "number"
	if f.whole {
		kind = "integer"
	}
	return pairs{"type", kind, "minimum", f.low, "maximum", f.high}
}

func members(f *form, defs *pairs) pairs {
	var props pairs
	need := []string{}
	for _, m := range f.fields {
		props = append(props, m.name, append(pairs{"description", m.say}, schema(m.is, defs)...))
		if m.need {
			need = append(need, m.name)
		}
	}
	p := pairs{"type", "object", "properties", props}
	if len(need) > 0 {
		p = append(p, "required", need)
	}
	return append(p, "additionalProperties", false)
}

func schemaFile(t *testing.T) []byte {
	t.Helper()
	var defs pairs
	root := pairs{"$schema", "https://json-schema.org/draft/2020-12/schema", "$id", "urn:mesure:telling:1", "title", "Telling file of Mesure"}
	root = append(root, members(fileForm, &defs)...)
	root = append(root, "$defs", defs)
	raw, err := json.Marshal(root)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := json.Indent(&b, bytes.ReplaceAll(raw, []byte(`\u0026`), []byte("&")), "", "  "); err != nil {
		t.Fatal(err)
	}
	return append(b.Bytes(), '\n')
}

// tables say the same in prose.
func tables(f *form) string {
	var b strings.Builder
	var rest []*form
	seen := map[string]bool{f.name: true}
	for all := []*form{f}; len(all) > 0; all, rest = rest, nil {
		for _, f := range all {
			if f != fileForm {
				fmt.Fprintf(&b, "\n### %s\n", f.name)
			}
			b.WriteString("\n| field | value | meaning |\n|---|---|---|\n")
			for _, m := range f.fields {
				name := "`" + m.name + "`"
				if m.need {
					name = "**" + name + "**"
				}
				fmt.Fprintf(&b, "| %s | %s | %s |\n", name, value(m.is), m.say)
				if o := objectOf(m.is); o != nil && !seen[o.name] {
					seen[o.name] = true
					rest = append(rest, o)
				}
			}
		}
	}
	return b.String()
}

func objectOf(f *form) *form {
	for f.kind == isArray {
		f = f.of
	}
	if f.kind == isObject {
		return f
	}
	return nil
}

func value(f *form) string {
	switch f.kind {
	case isObject:
		return "[" + f.name + "](#" + f.name + ")"
	case isArray:
		s := fmt.Sprintf("list of at most %d: %s", f.most, value(f.of))
		if f.empty {
			s += ", or null"
		}
		return s
	case isString:
		var all []string
		for _, w := range f.words {
			if w != "" {
				all = append(all, "`"+w+"`")
			}
		}
		switch {
		case all != nil:
			return strings.Join(all, ", ")
		case f.some:
			return fmt.Sprintf("1 to %d letters", f.letters)
		}
		return fmt.Sprintf("at most %d letters", f.letters)
	case isBool:
		return "true or false"
	}
	word := "number"
	if f.whole {
		word = "whole number"
	}
	if f.low == f.high {
		return plain(f.low)
	}
	return fmt.Sprintf("%s, %s to %s", word, plain(f.low), plain(f.high))
}

func load(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The schema, the tables and the reader follow from one form, so a field cannot be in
// one and not in the others.
func TestSchemaFollowsTheForm(t *testing.T) {
	page := string(load(t, formats+".md"))
	const open, shut = "<!-- fields -->\n", "<!-- end of fields -->"
	before, rest, ok := strings.Cut(page, open)
	_, after, ok2 := strings.Cut(rest, shut)
	if !ok || !ok2 {
		t.Fatalf("the page lacks %q or %q", open, shut)
	}
	for path, want := range map[string][]byte{
		formats + ".schema.json": schemaFile(t),
		formats + ".md":          []byte(before + open + tables(fileForm) + shut + after),
	} {
		if *update {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(load(t, path), want) {
			t.Errorf("%s is out of date: run go test ./show/tell -update and look at the difference", path)
		}
	}
}

// compiled is the schema as another program understands it.
func compiled(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(load(t, formats+".schema.json")))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("telling", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("telling")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func validate(s *jsonschema.Schema, data []byte) error {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		return err
	}
	return s.Validate(doc)
}

// example is the one on the page of the format.
func example(t testing.TB) string {
	t.Helper()
	_, rest, ok := strings.Cut(string(load(t, formats+".md")), "\n```json\n")
	body, _, ok2 := strings.Cut(rest, "```\n")
	if !ok || !ok2 {
		t.Fatal("telling.md has no example")
	}
	return body
}
