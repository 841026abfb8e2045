package bundle

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// go test ./bundle -update writes doc/formats anew from the structures; look at
// the difference before you commit it.
var update = flag.Bool("update", false, "write the schemas, field tables and examples in doc/formats anew")

const formats = "../doc/formats/"

// told are the formats and the structures that stand for them.
var told = []struct {
	name, title string
	version     int
	of          any
}{
	{"touch", "Touch file of Mesure", TouchVersion, touchFile{}},
	{"bout", "Bout file of Mesure", BoutVersion, boutSheetFile{}},
	{"placing", "Placing file of Mesure", PlacingVersion, placingFile{}},
	{"reading", "Reading file of Mesure", ReadingVersion, readingFile{}},
}

// clauses are what a schema asks of an object beyond its fields.
var clauses = map[string]string{
	"pointFile":   `{"oneOf": [{"required": ["name"], "properties": {"x_m": false, "y_m": false}}, {"required": ["x_m", "y_m"], "properties": {"name": false}}]}`,
	"courtPoint":  `{"oneOf": [{"required": ["name"], "properties": {"x": false, "y": false}}, {"required": ["x", "y"], "properties": {"name": false}}]}`,
	"courtLine":   `{"oneOf": [{"required": ["line"], "properties": {"from": false, "to": false}}, {"required": ["from", "to"], "properties": {"line": false}}]}`,
	"placingFile": `{"oneOf": [{"required": ["image"], "properties": {"image_size": false, "width": false, "height": false}}, {"required": ["image_size"], "properties": {"image": false, "width": false, "height": false}}, {"required": ["width", "height"], "properties": {"image": false, "image_size": false}}]}`,
	"takeFile":    `{"not": {"required": ["factor", "capture_rate"]}}`,
	"onsetFile":   `{"oneOf": [{"required": ["kind", "moment"], "properties": {"kind": {"const": "observed"}, "cue": false, "choices": false}}, {"required": ["kind"], "properties": {"kind": {"const": "reaction"}, "moment": false}}, {"properties": {"kind": {"const": "simultaneous"}, "moment": false, "cue": false, "choices": false}}]}`,
}

// object and list build the tree of a schema.
func object(pairs ...any) *node {
	n := &node{Kind: isObject}
	for i := 0; i < len(pairs); i += 2 {
		n.Keys = append(n.Keys, pairs[i].(string))
		n.Items = append(n.Items, leaf(pairs[i+1]))
	}
	return n
}

func leaf(v any) *node {
	switch v := v.(type) {
	case *node:
		return v
	case string:
		return &node{Kind: isString, Text: v}
	case bool:
		return &node{Kind: isBool, Truth: v}
	case float64:
		return &node{Kind: isNumber, Text: strconv.FormatFloat(v, 'f', -1, 64)}
	case int:
		return &node{Kind: isNumber, Text: strconv.Itoa(v)}
	case []string:
		n := &node{Kind: isArray}
		for _, s := range v {
			n.Items = append(n.Items, leaf(s))
		}
		return n
	}
	panic(fmt.Sprintf("no leaf for %T", v))
}

func put(n *node, key string, v any) {
	n.Keys, n.Items = append(n.Keys, key), append(n.Items, leaf(v))
}

// schemer writes the schema of a structure; objects stand under $defs in the
// order in which they are met.
type schemer struct {
	defs *node
	met  []reflect.Type
}

func (s *schemer) object(t reflect.Type) *node {
	props, required := object(), []string{}
	for i := range t.NumField() {
		r := ruleOf(t.Field(i))
		put(props, r.name, s.field(t, t.Field(i).Type, r))
		if !r.optional {
			required = append(required, r.name)
		}
	}
	n := object("type", "object", "properties", props)
	if len(required) > 0 {
		put(n, "required", required)
	}
	put(n, "additionalProperties", false)
	if c, ok := clauses[t.Name()]; ok {
		extra, err := plant([]byte(c), t.Name())
		if err != nil {
			panic(err)
		}
		for i, k := range extra.Keys {
			put(n, k, extra.Items[i])
		}
	}
	return n
}

func (s *schemer) field(owner, t reflect.Type, r rule) *node {
	n := object("description", r.say)
	s.shape(n, owner, t, r)
	return n
}

func (s *schemer) shape(n *node, owner, t reflect.Type, r rule) {
	if t.Kind() == reflect.Pointer {
		if !r.nullable {
			s.shape(n, owner, t.Elem(), r)
			return
		}
		inner := object()
		s.shape(inner, owner, t.Elem(), r)
		any := &node{Kind: isArray, Items: []*node{inner, object("type", "null")}}
		put(n, "anyOf", any)
		return
	}
	switch t.Kind() {
	case reflect.Struct:
		s.define(t)
		put(n, "$ref", "#/$defs/"+defName(t))
	case reflect.Slice, reflect.Array:
		put(n, "type", "array")
		inner := object()
		item := r
		item.nullable = t.Elem().Kind() == reflect.Pointer
		s.shape(inner, owner, t.Elem(), item)
		put(n, "items", inner)
		if t.Kind() == reflect.Array {
			put(n, "minItems", t.Len())
			put(n, "maxItems", t.Len())
		}
		bounds(n, "minItems", r.least, "maxItems", r.most)
	case reflect.String:
		put(n, "type", "string")
		switch {
		case r.words != nil:
			put(n, "enum", r.words)
		case r.name == "name" && r.match == "word" && (owner == reflect.TypeFor[pointFile]() || owner == reflect.TypeFor[courtPoint]()):
			put(n, "enum", piste.Names())
		case r.name == "name" && owner == reflect.TypeFor[ownFile]():
			put(n, "enum", ownNames())
		case r.match != "":
			put(n, "pattern", patterns[r.match].source)
			put(n, "maxLength", patterns[r.match].letters)
		}
	case reflect.Bool:
		put(n, "type", "boolean")
	case reflect.Int, reflect.Uint64:
		put(n, "type", "integer")
		bounds(n, "minimum", r.min, "maximum", r.max)
	case reflect.Float64:
		put(n, "type", "number")
		bounds(n, "minimum", r.min, "maximum", r.max, "exclusiveMinimum", r.above)
	default:
		panic("no schema for " + t.String())
	}
}

func bounds(n *node, pairs ...any) {
	for i := 0; i < len(pairs); i += 2 {
		if v := pairs[i+1].(*float64); v != nil {
			put(n, pairs[i].(string), *v)
		}
	}
}

func (s *schemer) define(t reflect.Type) {
	name := defName(t)
	if s.defs.Member(name) != nil {
		if !slices.Contains(s.met, t) {
			panic(fmt.Sprintf("two structures of one file are called %s; %v is the second", name, t))
		}
		return
	}
	at := len(s.defs.Items)
	put(s.defs, name, object())
	s.met = append(s.met, t)
	s.defs.Items[at] = s.object(t)
}

// defName is the name of an object in the schema: that of its type in words.
func defName(t reflect.Type) string {
	n := t.Name()
	for _, tail := range []string{"File", "Of", "Read"} {
		n = strings.TrimSuffix(n, tail)
	}
	var b strings.Builder
	for i, r := range n {
		if i > 0 && 'A' <= r && r <= 'Z' {
			b.WriteByte('-')
		}
		b.WriteString(strings.ToLower(string(r)))
	}
	return b.String()
}

func schemaOf(name, title string, version int, of any) ([]byte, []reflect.Type) {
	s := &schemer{defs: object()}
	root := object(
		"$schema", "https://json-schema.org/draft/2020-12/schema",
		"$id", "urn:mesure:"+name+":"+strconv.Itoa(version),
		"title", title,
	)
	body := s.object(reflect.TypeOf(of))
	for i, k := range body.Keys {
		put(root, k, body.Items[i])
	}
	put(root, "$defs", s.defs)
	var b strings.Builder
	layNode(&b, root, "", 0)
	return []byte(b.String() + "\n"), append([]reflect.Type{reflect.TypeOf(of)}, s.met...)
}

// fieldTable says the same in prose, for the page of a format.
func fieldTable(types []reflect.Type) string {
	var b strings.Builder
	for i, t := range types {
		if i > 0 {
			fmt.Fprintf(&b, "\n### %s\n", defName(t))
		}
		b.WriteString("\n| field | value | meaning |\n|---|---|---|\n")
		for i := range t.NumField() {
			f := t.Field(i)
			r := ruleOf(f)
			name := "`" + r.name + "`"
			if !r.optional {
				name = "**" + name + "**"
			}
			fmt.Fprintf(&b, "| %s | %s | %s |\n", name, strings.ReplaceAll(valueWords(f.Type, r), "|", "\\|"), r.say)
		}
	}
	return b.String()
}

// ownNames are the names of the numbers that a fencer may have of their own.
func ownNames() (names []string) {
	for _, f := range bout.OwnFigures() {
		names = append(names, f.Name)
	}
	return names
}

// ownTable tells them in prose, for the page of the bout file.
func ownTable() string {
	var b strings.Builder
	b.WriteString("\n| name | value | meaning |\n|---|---|---|\n")
	for _, f := range bout.OwnFigures() {
		fmt.Fprintf(&b, "| `%s` | %s to %s %s | %s: %s |\n", f.Name, plain(f.Least), plain(f.Most), f.Unit, f.Word, f.About)
	}
	return b.String() + "\n"
}

func valueWords(t reflect.Type, r rule) string {
	tail := ""
	if t.Kind() == reflect.Pointer {
		if r.nullable {
			tail = " or null"
		}
		t = t.Elem()
	}
	switch t.Kind() {
	case reflect.Struct:
		return "[" + defName(t) + "](#" + defName(t) + ")" + tail
	case reflect.Slice:
		item := r
		item.nullable = t.Elem().Kind() == reflect.Pointer
		return "list of " + valueWords(t.Elem(), item) + tail
	case reflect.Array:
		return fmt.Sprintf("list of %d: %s%s", t.Len(), valueWords(t.Elem(), r), tail)
	case reflect.Bool:
		return "true or false"
	case reflect.String:
		if r.words != nil {
			return "`" + strings.Join(r.words, "`, `") + "`" + tail
		}
		return map[string]string{"id": "name", "word": "word", "line": "line", "text": "text", "path": "path", "sha256": "64 hex digits", "date": "day", "clock": "time left"}[r.match] + tail
	}
	word := "number"
	if t.Kind() != reflect.Float64 {
		word = "whole number"
	}
	low := r.min
	sign := "≥ "
	if r.above != nil {
		low, sign = r.above, "> "
	}
	switch {
	case low != nil && r.max != nil && *low == *r.max:
		word = plain(*low)
	case low != nil && r.max != nil && r.above == nil:
		word += fmt.Sprintf(", %s to %s", plain(*low), plain(*r.max))
	case low != nil && r.max != nil:
		word += fmt.Sprintf(", > %s, ≤ %s", plain(*low), plain(*r.max))
	case low != nil:
		word += ", " + sign + plain(*low)
	}
	return word + tail
}

func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// The schema, the tables and the reader follow from the same structures, so a
// field cannot be in one and not in the others.
func TestSchemasFollowTheStructures(t *testing.T) {
	for _, f := range told {
		want, types := schemaOf(f.name, f.title, f.version, f.of)
		golden(t, formats+f.name+".schema.json", want)
		page := read(t, formats+f.name+".md")
		if f.name == "bout" {
			page = between(t, page, "own numbers", ownTable())
		}
		golden(t, formats+f.name+".md", between(t, page, "fields", fieldTable(types)))
	}
}

func golden(t *testing.T, path string, want []byte) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got := read(t, path); !bytes.Equal(got, want) {
		t.Errorf("%s is out of date: run go test ./bundle -update and look at the difference", path)
	}
}

func read(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// between replaces what stands between two comments of a page.
func between(t *testing.T, page []byte, name, text string) []byte {
	t.Helper()
	open, shut := "<!-- "+name+" -->\n", "<!-- end of "+name+" -->"
	before, rest, ok := strings.Cut(string(page), open)
	_, after, ok2 := strings.Cut(rest, shut)
	if !ok || !ok2 {
		t.Fatalf("a page lacks %q or %q", open, shut)
	}
	return []byte(before + open + text + shut + after)
}

// compiled is a schema of doc/formats as another program understands it.
func compiled(t testing.TB, name string) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(read(t, formats+name+".schema.json")))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(name, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(name)
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

// exampleOf is the example on the page of a format.
func exampleOf(t testing.TB, name string) []byte {
	t.Helper()
	_, rest, ok := strings.Cut(string(read(t, formats+name+".md")), "\n```json\n")
	body, _, ok2 := strings.Cut(rest, "```\n")
	if !ok || !ok2 {
		t.Fatalf("%s.md has no example", name)
	}
	return []byte(body)
}

// The examples are what the schema asks for, read strictly, and show every
// field; those not shown are the other spellings of the size of an image.
func TestExamplesAreValidAndComplete(t *testing.T) {
	other := map[string]bool{"image_size": true, "width": true, "height": true}
	for _, f := range told {
		data := exampleOf(t, f.name)
		if err := validate(compiled(t, f.name), data); err != nil {
			t.Errorf("the example of %s: %v", f.name, err)
		}
		root, err := plant(data, f.name)
		if err != nil {
			t.Fatal(err)
		}
		var d decoder
		v := reflect.New(reflect.TypeOf(f.of))
		d.fill(root, v.Elem(), rule{})
		if err := d.err(f.name); err != nil {
			t.Errorf("the example of %s: %v", f.name, err)
		}
		shown := map[string]bool{}
		seen(root, reflect.TypeOf(f.of), shown)
		_, types := schemaOf(f.name, f.title, f.version, f.of)
		for _, typ := range types {
			for i := range typ.NumField() {
				name := ruleOf(typ.Field(i)).name
				if key := typ.Name() + "." + name; !shown[key] && !(typ.Name() == "placingFile" && other[name]) {
					t.Errorf("the example of %s does not show %s", f.name, key)
				}
			}
		}
	}
}

// seen notes which fields of which structures a document uses.
func seen(n *node, t reflect.Type, shown map[string]bool) {
	switch t.Kind() {
	case reflect.Pointer:
		seen(n, t.Elem(), shown)
	case reflect.Slice:
		for _, it := range n.Items {
			seen(it, t.Elem(), shown)
		}
	case reflect.Struct:
		for i := range t.NumField() {
			r := ruleOf(t.Field(i))
			if m := n.Member(r.name); m != nil {
				shown[t.Name()+"."+r.name] = true
				seen(m, t.Field(i).Type, shown)
			}
		}
	}
}

// The words in the tags are those of the rooms they come from.
func TestWordsAreThoseOfTheSport(t *testing.T) {
	f, _ := reflect.TypeFor[runAskFile]().FieldByName("Target")
	var want []string
	for _, target := range mark.Targets() {
		want = append(want, string(target))
	}
	if got := ruleOf(f).words; !reflect.DeepEqual(got, want) {
		t.Errorf("targets in the file: %v, in the sport: %v", got, want)
	}
	w, _ := reflect.TypeFor[markFile]().FieldByName("What")
	for _, p := range mark.Points() {
		if !strings.Contains(ruleOf(w).say, string(p)) {
			t.Errorf("the description of what does not name %s", p)
		}
	}
}
