package bundle_test

import (
	"bytes"
	"strings"
	"testing"

	"mesure/bundle"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

func TestLinesMean(t *testing.T) {
	touch, err := bundle.ReadTouch(bytes.NewReader(example(t, "touch")), "f")
	if err != nil {
		t.Fatal(err)
	}
	want := []study.LineMark{
		{Line: "far-edge", A: piste.Place{X: -7, Y: 0.75}, B: piste.Place{X: 7, Y: 0.75}, At: mark.Pixel{U: 730, V: 470.75}, SD: 1},
		{Line: "centre", A: piste.Place{Y: -0.75}, B: piste.Place{Y: 0.75}, At: mark.Pixel{U: 632, V: 502}},
	}
	if got := touch.Placings[0].Lines; len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("the touch file's lines read as %+v", got)
	}
	p, err := bundle.ReadPlacing(bytes.NewReader(example(t, "placing")), "f")
	if err != nil {
		t.Fatal(err)
	}
	want = []study.LineMark{
		{Line: "far-edge", A: piste.Place{X: -7, Y: 0.9}, B: piste.Place{X: 7, Y: 0.9}, At: mark.Pixel{U: 520, V: 471}, SD: 1},
		{A: piste.Place{X: -2, Y: -0.9}, B: piste.Place{X: 2, Y: -0.9}, At: mark.Pixel{U: 840.5, V: 538.5}},
	}
	if got := p.Lines; len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("the placing file's lines read as %+v", got)
	}
}

func TestLineRefusals(t *testing.T) {
	const before = `{"image_size": [9, 9], "points": [], "lines": [{`
	tried := 0
	for _, c := range []struct{ line, want string }{
		{`"line": "far-egde", "u": 1, "v": 1`, `f: /lines/0/line: "far-egde" is no line of the piste: did you mean "far-edge"?`},
		{`"line": "net", "u": 1, "v": 1`, `f: /lines/0/line: "net" is no line of the piste: known are left-rear, left-warning, left-on-guard, centre, right-on-guard, right-warning, right-rear, near-edge, axis, far-edge`},
		{`"line": "left-on-guard-near", "u": 1, "v": 1`, `f: /lines/0/line: "left-on-guard-near" is no line of the piste: it is a point; write it under "points"`},
		{`"line": "centre-far", "u": 1, "v": 1`, `f: /lines/0/line: "centre-far" is no line of the piste: it is a point; write it under "points"`},
		{`"u": 1, "v": 1`, `f: /lines/0: this mark has no line: give it "line", or two places "from" and "to" as [x, y] in metres`},
		{`"line": "axis", "to": [1, 2], "u": 1, "v": 1`, `f: /lines/0: this line has a name and two places: keep "line", or "from" and "to"`},
		{`"from": [1, 2], "u": 1, "v": 1`, `f: /lines/0: "to" is missing: add it`},
		{`"to": [1, 2], "u": 1, "v": 1`, `f: /lines/0: "from" is missing: add it`},
		{`"from": [1, 2], "to": [1, 2], "u": 1, "v": 1`, `f: /lines/0/to: the line ends where it begins: give two different places on it`},
		{`"from": [1], "to": [1, 2], "u": 1, "v": 1`, `f: /lines/0/from: this list has 1 items; 2 belong here`},
		{`"line": "axis", "u": 1`, `f: /lines/0: "v" is missing: add it`},
		{`"line": "axis", "u": 1, "v": 1, "sd": 0`, `f: /lines/0/sd: 0 is not above 0`},
		{`"line": "axis", "u": 1, "v": 1, "x": 0`, `f: /lines/0/x: there is no field "x" here: did you mean "u"?`},
	} {
		_, err := bundle.ReadPlacing(strings.NewReader(before+c.line+"}]}"), "f")
		if err == nil || err.Error() != c.want {
			t.Errorf("%s\n got %v\nwant %s", c.line, err, c.want)
		}
		tried++
	}
	if tried != 13 {
		t.Fatalf("%d refusals tried, want 13", tried)
	}
	good := string(example(t, "touch"))
	bad := strings.Replace(good, `"line": "far-edge"`, `"line": "far-egde"`, 1)
	if _, err := bundle.ReadTouch(strings.NewReader(bad), "f"); err == nil || err.Error() != `f: /placings/0/lines/0/line: "far-egde" is no line of the piste: did you mean "far-edge"?` {
		t.Errorf("%v", err)
	}
}

// A touch with a free line, which the file has no field for, is not written.
func TestFreeLineIsNotWritten(t *testing.T) {
	touch, err := bundle.ReadTouch(bytes.NewReader(example(t, "touch")), "f")
	if err != nil {
		t.Fatal(err)
	}
	touch.Placings[0].Lines[1].Line = ""
	var out bytes.Buffer
	err = bundle.WriteTouch(&out, touch)
	if err == nil || !strings.HasPrefix(err.Error(), "the touch: /placings/0/lines/1") || out.Len() > 0 {
		t.Errorf("%v, %d bytes written", err, out.Len())
	}
}
