package strict

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
)

var bounds = Bounds{Depth: 8, Values: 100, Fewer: "split it"}

// A tree has every value with its place, in the order of the file.
func TestGrow(t *testing.T) {
	root, bad := Grow([]byte("\xef\xbb\xbf{\"b\": [1.50, null, {\"a/~\": \"é\"}], \"a\": true}\n"), bounds)
	if bad != nil {
		t.Fatal(bad)
	}
	want := &Node{Kind: Object, Keys: []string{"b", "a"}, Items: []*Node{
		{Kind: List, Pointer: "/b", Items: []*Node{
			{Kind: Number, Pointer: "/b/0", Text: "1.50"}, {Kind: Null, Pointer: "/b/1"},
			{Kind: Object, Pointer: "/b/2", Keys: []string{"a/~"}, Items: []*Node{{Kind: Text, Pointer: "/b/2/a~1~0", Text: "é"}}},
		}},
		{Kind: Bool, Pointer: "/a", Truth: true},
	}}
	if !reflect.DeepEqual(root, want) {
		t.Errorf("%+v", root)
	}
	if root.Member("a") != root.Items[1] || root.Member("c") != nil {
		t.Error("a member is not found by its name")
	}
}

// What is wrong is told with its place; RFC 6901 for the pointer, line and column from 1.
func TestGrowRefuses(t *testing.T) {
	for text, want := range map[string]Problem{
		"":                              {"", "the file is empty: it should hold a JSON object"},
		" \n":                           {"", "the file is empty: it should hold a JSON object"},
		"{\"a\": \"\xff\"}":             {"", "the file is not text in UTF-8: save it as UTF-8"},
		"{\"a\": 1,\n \"a\": 2}":        {"/a", "line 2, column 5: \"a\" stands here twice: keep one of the two"},
		"{\"é\": [1,\n NaN]}":           {"/é/1", "line 2, column 2: NaN is not a number: measure it again or leave it out"},
		"{\"a\": [1, 2":                 {"/a", "line 1, column 12: the file ends in the middle: a bracket or a part of it is missing"},
		"{} {}":                         {"", "line 1, column 5: something follows the end of the object: remove it"},
		strings.Repeat("[", 10):         {strings.Repeat("/0", 9), "this is nested deeper than 8 levels: no file of this format needs that"},
		"[" + strings.Repeat("1,", 100): {"", "the file holds more than 100 values: split it"},
	} {
		_, bad := Grow([]byte(text), bounds)
		if bad == nil || *bad != want {
			t.Errorf("%.30q: %+v, want %+v", text, bad, want)
		}
	}
}

// The line of an error is one line, whatever the file holds, and counts what it leaves out.
func TestLine(t *testing.T) {
	var p Problems
	for range Most + 3 {
		p.Add("/a\nb", "%s is \u202ewrong", Quote(strings.Repeat("é", 50)))
	}
	want := `f.json: /a\u000ab: "` + strings.Repeat("é", 40) + `…" is \u202ewrong (and 9 more)`
	if got := Line("f.json", p.List); got != want || !p.Full() {
		t.Errorf("%s\n%s", got, want)
	}
}

// once reports whether no object of a value has a key twice.
func once(d *json.Decoder) bool {
	tok, err := d.Token()
	if err != nil {
		return false
	}
	open, ok := tok.(json.Delim)
	if !ok {
		return true
	}
	seen := map[string]bool{}
	for d.More() {
		if open == '{' {
			key, _ := d.Token()
			if k, _ := key.(string); seen[k] {
				return false
			} else {
				seen[k] = true
			}
		}
		if !once(d) {
			return false
		}
	}
	_, err = d.Token()
	return err == nil
}

// Grow takes what the standard decoder calls valid JSON, but for keys that stand twice.
func FuzzGrow(f *testing.F) {
	for _, s := range []string{`{"a":[1,2.5e-3,"x",null,true]}`, `{"a":1,"a":2}`, `[[[[]]]]`, `{"a":NaN}`, `{`, "\xef\xbb\xbf{}", `{"a/b":{"":0}} x`, `"\ud800"`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 5000 {
			return // the standard decoder has a bound of its own on nesting
		}
		root, bad := Grow(data, Bounds{Depth: 1 << 20, Values: 1 << 20})
		text := bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
		valid := json.Valid(text) && bytes.Equal(bytes.ToValidUTF8(text, nil), text) && once(json.NewDecoder(bytes.NewReader(text)))
		if (bad == nil) != valid || (bad == nil) != (root != nil) {
			t.Fatalf("%q: %v, valid JSON is %v", data, bad, valid)
		}
		if bad != nil && (bad.Text == "" || strings.Contains(Line("f", []Problem{*bad}), "\n")) {
			t.Fatalf("%q: %q", data, bad.Text)
		}
	})
}
