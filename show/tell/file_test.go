package tell

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"

	"mesure/show/clip"
	"mesure/show/script"
)

func readText(text string) (*Telling, error) { return Read(strings.NewReader(text), "t") }

func written(t testing.TB, x *Telling) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, x); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// filled gives every field of a value something that is not its zero.
func filled(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString("x")
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int:
		v.SetInt(2)
	case reflect.Float64:
		v.SetFloat(0.5)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		filled(v.Elem())
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		filled(v.Index(0))
	case reflect.Struct:
		for i := range v.NumField() {
			filled(v.Field(i))
		}
	default:
		panic("no filling for " + v.Kind().String())
	}
}

// whole is a telling that has every field, each of a value that is allowed.
func whole() *Telling {
	var x Telling
	filled(reflect.ValueOf(&x).Elem())
	x.Paper = "letter"
	x.Script.Level, x.Script.Names, x.Script.Language = script.Beginner, script.Initials, "en"
	x.Script.Parts[0].Kind = script.PartTiming
	x.Board.Form = clip.Form{Shape: clip.Square, Lines: 1080, Rate: 25, File: "webm", Sound: "original", Captions: "file"}
	x.Board.Shots[0].Kind = clip.Beside
	return &x
}

// Every field of the Go types is in the form and the other way round, and comes back.
func TestWhole(t *testing.T) {
	x := whole()
	body := written(t, x)
	back, err := readText(string(body))
	if err != nil || !reflect.DeepEqual(back, x) {
		t.Fatalf("%v\n%+v\n%+v", err, back, x)
	}
	if err := validate(compiled(t), body); err != nil {
		t.Error(err)
	}
	root, err := grow(body, "t")
	if err != nil {
		t.Fatal(err)
	}
	var every func(n *node, f *form)
	every = func(n *node, f *form) {
		for f.kind == isArray && len(n.Items) > 0 {
			n, f = n.Items[0], f.of
		}
		for _, m := range f.fields {
			if n.Member(m.name) == nil {
				t.Errorf("%s: the form has the field %q; the Go type does not", n.Pointer, m.name)
				continue
			}
			every(n.Member(m.name), m.is)
		}
	}
	every(root, fileForm)
}

func TestExampleReadsAndIsWrittenAlike(t *testing.T) {
	text := example(t)
	if err := validate(compiled(t), []byte(text)); err != nil {
		t.Error(err)
	}
	x, err := readText(text)
	if err != nil {
		t.Fatal(err)
	}
	if again := string(written(t, x)); again != text {
		t.Errorf("the example is written otherwise:\n%s", again)
	}
}

// Nil layers take what suits, an empty list takes none: the file keeps them apart.
func TestLayersStayApart(t *testing.T) {
	x := whole()
	x.Board.Shots = []clip.Shot{{ID: "a", Kind: clip.Live}, {ID: "b", Kind: clip.Live, Layers: []string{}}}
	back, err := readText(string(written(t, x)))
	if err != nil {
		t.Fatal(err)
	}
	if back.Board.Shots[0].Layers != nil || back.Board.Shots[1].Layers == nil {
		t.Errorf("%#v", back.Board.Shots)
	}
}

func TestEmptyListsAreWritten(t *testing.T) {
	x := &Telling{Script: &script.Script{Options: script.Options{Level: script.Club, Names: script.Named, Language: "en"}}}
	x.Script.Parts = []script.Part{{Kind: script.PartOpening}, {Kind: script.PartTiming, Lines: []script.Line{{Key: "a"}}}}
	back, err := readText(string(written(t, x)))
	if err != nil || back.Board.Shots == nil || back.Script.Parts[0].Lines == nil || back.Script.Parts[1].Lines[0].Pieces == nil {
		t.Fatalf("%+v %v", back, err)
	}
	if x.Script.Parts[0].Lines != nil || x.Script.Parts[1].Lines[0].Pieces != nil {
		t.Error("writing changed the telling")
	}
}

func TestRefusals(t *testing.T) {
	text := example(t)
	cases := []struct{ old, new, says string }{
		{text, "", "the file is empty"},
		{text, "[]", "a list; an object in curly brackets belongs here"},
		{text, "{}", `"format" is missing`},
		{text, text[:200], "the file ends in the middle"},
		{text, text + "{}", "something follows the end"},
		{text, "\xff" + text, "UTF-8"},
		{text, strings.Repeat("[", 100), "another format|ends in the middle|curly|deeper"},
		{`"mesure-telling"`, `"mesure-touch"`, `/format: this is a file of another format; "mesure-telling" is needed here`},
		{`"version": 1`, `"version": 2`, "/version: this file is version \"2\"; this program reads 1: update it"},
		{`"version": 1,`, ``, `"version" is missing`},
		{`"board"`, `"Board"`, `/Board: there is no field "Board" here: did you mean "board"?`},
		{`"shots"`, `"shot"`, `/board/shot: there is no field "shot" here: known are form, shots, edited`},
		{`"level": "club"`, `"level": "expert"`, `/script/level: "expert" is none of "beginner", "club", "competitor"`},
		{`"level": "club"`, `"level": "club", "level": "club"`, `"level" stands here twice: keep one of the two`},
		{`"level": "club"`, `"level": null`, `/script/level: null stands where a text belongs`},
		{`"id": "b2"`, `"id": "b1"`, `/board/shots/1/id: "b1" is already that of /board/shots/0`},
		{`"id": "b2"`, `"id": ""`, `/board/shots/1/id: this is empty`},
		{`"from": 40`, `"from": -1`, `/board/shots/0/from: -1 is not between 0 and 100000000`},
		{`"from": 40`, `"from": 1.5`, `/board/shots/0/from: 1.5 is not a whole number`},
		{`"speed": 0.25`, `"speed": 1e999`, `/board/shots/1/speed: 1e999 is not between 0 and 8`},
		{`"speed": 0.25`, `"speed": NaN`, `NaN is not a number`},
		{`"rate": 30`, `"rate": 29`, `/board/form/rate: 29 frames a second are none of 24, 25, 30, 50 and 60`},
		{`"lines": 720`, `"lines": 480`, `/board/form/lines: 480 is neither 720 nor 1080`},
		{`"title": "What happened"`, `"title": "What\nhappened"`, `has a control character or a line break`},
		{`"title": "What happened"`, `"title": "` + strings.Repeat("é", longText+1) + `"`, `this text has 2001 letters; at most 2000 are read`},
		{`"kind": "timing"`, `"kind": "opening"`, `/script/parts/1/kind: "opening" is already that of /script/parts/0`},
		{`"kind": "slow"`, `"kind": "explode"`, `/board/shots/1/kind: "explode" is none of`},
		{`"layers": null`, `"layers": [""]`, `/board/shots/0/layers/0: this is empty`},
	}
	for _, c := range cases {
		if !strings.Contains(text, c.old) {
			t.Fatalf("the example has no %q", c.old)
		}
		x, err := readText(strings.Replace(text, c.old, c.new, 1))
		var e *Error
		if x != nil || !errors.As(err, &e) {
			t.Errorf("%.60q: %v, %v", c.new, x, err)
			continue
		}
		found := false
		for _, s := range strings.Split(c.says, "|") {
			found = found || strings.Contains(err.Error(), s)
		}
		if !found || strings.ContainsAny(err.Error(), "\n\r\x1b") {
			t.Errorf("%.60q: %q", c.new, err)
		}
	}
	if _, err := readText(text[:len(text)-2] + strings.Repeat(" ", Limit) + "}"); err == nil || !strings.Contains(err.Error(), "larger than 4 MiB") {
		t.Error(err)
	}
}

// What Read would refuse is not written.
func TestWriteRefuses(t *testing.T) {
	for what, spoil := range map[string]func(x *Telling){
		"not UTF-8":         func(x *Telling) { x.Script.Title = "a\xff" },
		"not finite":        func(x *Telling) { x.Board.Shots[0].Speed = 1 / (x.Board.Shots[0].Speed - 0.5) },
		"is none of":        func(x *Telling) { x.Board.Shots[0].Kind = "" },
		`"script"`:          func(x *Telling) { x.Script = nil },
		"already that of":   func(x *Telling) { x.Board.Shots = append(x.Board.Shots, x.Board.Shots...) },
		"control character": func(x *Telling) { x.Script.Parts[0].Lines[0].Pieces[0].Text = "a\nb" },
	} {
		x := whole()
		spoil(x)
		var b bytes.Buffer
		var e *Error
		if err := Write(&b, x); !errors.As(err, &e) || !strings.Contains(err.Error(), what) || b.Len() > 0 {
			t.Errorf("%s: %v, %d bytes", what, err, b.Len())
		}
	}
}

// Whatever the bytes: no panic; a refusal in one line; what is accepted is what the
// schema accepts, and writing and reading it gives the same bytes.
func FuzzRead(f *testing.F) {
	good := example(f)
	for _, s := range []string{good, "", "{}", "[]", "null", good[:len(good)/2], good + "]",
		strings.Replace(good, "40", "1e2", 1), strings.Replace(good, "0.25", "-0.0", 1), strings.Replace(good, "What", `\ud800`, 1)} {
		f.Add([]byte(s))
	}
	s := compiled(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		x, err := Read(bytes.NewReader(data), "f")
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || len(e.Problems) == 0 || strings.ContainsAny(err.Error(), "\n\r\x1b") {
				t.Fatalf("not one line with a place: %q", err)
			}
			return
		}
		if err := validate(s, bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))); err != nil {
			t.Fatalf("accepted, but the schema says: %v", err)
		}
		first := written(t, x)
		again, err := Read(bytes.NewReader(first), "f")
		if err != nil {
			t.Fatalf("written but not read: %v", err)
		}
		if second := written(t, again); !bytes.Equal(first, second) {
			t.Fatalf("written again it changed:\n%s\n%s", first, second)
		}
	})
}
