package bundle_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"mesure/bundle"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// The example uses every field, so what it reads as is a check of each.
func TestBoutRoundTrip(t *testing.T) {
	data := example(t, "bout")
	b, err := bundle.ReadBout(bytes.NewReader(data), "bout.json")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := bundle.WriteBout(&out, b); err != nil {
		t.Fatal(err)
	}
	if out.String() != string(data) {
		t.Errorf("read and written, the file changed:\n%s", out.String())
	}
	p := b.Bout.Sheet[0]
	want := bout.Phrase{
		ID: "halt-1", Number: 20, Before: bout.Score{Left: 10, Right: 8}, After: bout.Score{Left: 11, Right: 8},
		Lamps: bout.Lamps{Left: true, Right: true}, Given: bout.GivenLeft, Period: 3, Clock: "2:41",
		Choices: &bout.Choices{Left: "attack", Right: "hop in"}, Measure: "medium",
		Video: "main", Halt: 21.48, From: 15.48, To: 23.48, Note: "attack; the counter-attack was late",
	}
	if !reflect.DeepEqual(p, want) {
		t.Errorf("line 0 reads as %+v", p)
	}
	if c := b.Bout.Sheet[1].Cards; len(c) != 1 || c[0] != (bout.Card{To: mark.Left, Colour: bout.Red}) {
		t.Errorf("cards read as %+v", c)
	}
	if o := b.Bout.Right.Own; len(o) != 1 || o[0] != (bout.Own{Name: "extension-time", Value: 0.21, SD: 0.02}) || b.Bout.Left.Own != nil {
		t.Errorf("own numbers read as %+v and %+v", b.Bout.Left.Own, o)
	}
	// The example keeps to the rules: what it states is what they give.
	if scored := b.Bout.Scored(); !reflect.DeepEqual(scored, b.Bout) || len(b.Doubts()) != 0 {
		t.Errorf("by the rules the example is %+v, with doubts %v", scored.Sheet, b.Doubts())
	}
}

func TestBoutRefusals(t *testing.T) {
	good := string(example(t, "bout"))
	for _, c := range []struct{ why, from, to, want string }{
		{"other format", `"mesure-bout"`, `"mesure-touch"`,
			`b.json: /format: this is a file of the format "mesure-touch"; "mesure-bout" is needed here`},
		{"later version", `"version": 1`, `"version": 2`, `b.json: /version: this file is version 2; this program reads 1: update it`},
		{"unknown field", `"annulled"`, `"anulled"`, `b.json: /bout/sheet/1/anulled: there is no field "anulled" here: did you mean "annulled"?`},
		{"no such card", `"colour": "red"`, `"colour": "pink"`,
			`b.json: /bout/sheet/1/cards/0/colour: "pink" is none of "yellow", "red", "black", "p-yellow", "p-red", "p-black"`},
		{"no such video", `"video": "main"`, `"video": "mian"`, `b.json: /bout/sheet/0/video: there is no video "mian": did you mean "main"?`},
		{"line twice", `"id": "halt-2"`, `"id": "halt-1"`,
			`b.json: /bout/sheet/1/id: "halt-1" is already the name of /bout/sheet/0: give one of the two another name`},
		{"number twice", `"number": 21`, `"number": 20`, `b.json: /bout/sheet/1/number: touch 20 is already written in /bout/sheet/0`},
		{"a clock in words", `"2:41"`, `"two minutes"`,
			`b.json: /bout/sheet/0/clock: "two minutes" is not a time of at most 12 digits, colons and dots, such as 1:23`},
		{"given to none", `"given": "left"`, `"given": "none"`, `b.json: /bout/sheet/0/given: "none" is none of "left", "right", "nobody"`},
		{"no such own number", `"extension-time", "value": 0.21`, `"extention-time", "value": 0.21`,
			`b.json: /bout/right/own/0/name: "extention-time" is no number that a fencer can have of their own: did you mean "extension-time"?`},
		{"an own number in milliseconds", `"value": 0.21`, `"value": 210`,
			`b.json: /bout/right/own/0/value: 210 is above 4, the most that is allowed`},
		{"an own number out of its bounds", `"value": 0.21`, `"value": 0.03`,
			`b.json: /bout/right/own/0/value: 0.03 s is no time of the extension ("extension-time"): it lies from 0.05 to 2 s`},
		{"a negative spread", `"sd": 0.02`, `"sd": -0.02`, `b.json: /bout/right/own/0/sd: -0.02 is below 0, the least that is allowed`},
		{"an own number twice", `{"name": "extension-time", "value": 0.21, "sd": 0.02}`,
			`{"name": "extension-time", "value": 0.21}, {"name": "lunge-delay", "value": -0.02}, {"name": "extension-time", "value": 0.3}`,
			`b.json: /bout/right/own/2/name: "extension-time" is already given in /bout/right/own/0: keep one of the two`},
	} {
		bad := strings.Replace(good, c.from, c.to, 1)
		if bad == good {
			t.Errorf("%s: the example no longer holds %q", c.why, c.from)
			continue
		}
		b, err := bundle.ReadBout(strings.NewReader(bad), "b.json")
		if err == nil || b != nil || err.Error() != c.want {
			t.Errorf("%s:\n got %v\nwant %s", c.why, err, c.want)
		}
	}
}

// A bout that is being noted is written and read whatever it still lacks; what
// cannot be read back is not written.
func TestHalfDoneBout(t *testing.T) {
	for name, b := range map[string]study.BoutSheet{
		"nothing":      {},
		"a video":      {Videos: []study.Video{{ID: "v", File: "a.mp4"}}},
		"a halt":       {Bout: bout.Bout{Sheet: []bout.Phrase{{ID: "x"}}}},
		"empty lists":  {Bout: bout.Bout{Team: &bout.Team{Left: []string{}}, Sheet: []bout.Phrase{{Cards: []bout.Card{}}}}, Videos: []study.Video{}},
		"half a clock": {Bout: bout.Bout{Sheet: []bout.Phrase{{Clock: "1:"}}}},
		"against the rules": {Bout: bout.Bout{Touches: 5, Sheet: []bout.Phrase{
			{Cards: []bout.Card{{Colour: bout.PBlack}, {To: mark.Right, Colour: bout.Yellow}, {To: mark.Right, Colour: bout.Yellow}}},
			{Lamps: bout.Lamps{Left: true}, Given: bout.GivenRight},
		}}},
	} {
		var first, second bytes.Buffer
		if err := bundle.WriteBout(&first, &b); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		again, err := bundle.ReadBout(bytes.NewReader(first.Bytes()), "f")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if err := bundle.WriteBout(&second, again); err != nil || second.String() != first.String() {
			t.Errorf("%s: written again it changed (%v):\n%s\n%s", name, err, first.String(), second.String())
		}
	}
	var out bytes.Buffer
	for _, bad := range []bout.Phrase{{ID: "two words"}, {Video: "v"}, {Cards: []bout.Card{{To: 7, Colour: bout.Red}}}, {Note: "caf\xe9"}} {
		if err := bundle.WriteBout(&out, &study.BoutSheet{Bout: bout.Bout{Sheet: []bout.Phrase{bad}}}); err == nil || out.Len() > 0 {
			t.Errorf("%+v was written: %v", bad, err)
		}
	}
}

// A sheet that was cut from a longer one goes on from its first line.
func TestSheetOfPartOfABout(t *testing.T) {
	const part = `{"format": "mesure-bout", "version": 1, "bout": {"touches": 15, "sheet": [
		{"number": 7, "before": {"left": 3, "right": 2}, "lamps": {"left": true, "right": false}},
		{"lamps": {"left": true, "right": true}}]}}`
	b, err := bundle.ReadBout(strings.NewReader(part), "f")
	if err != nil {
		t.Fatal(err)
	}
	if p := b.Bout.Scored().Sheet[1]; p.Number != 8 || p.After != (bout.Score{Left: 5, Right: 3}) {
		t.Errorf("its second line is %+v", p)
	}
}
