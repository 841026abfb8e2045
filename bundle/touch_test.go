package bundle_test

import (
	"bytes"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"mesure/bundle"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// example is the example on the page of a format, such as touch.
func example(t testing.TB, name string) []byte {
	t.Helper()
	page, err := os.ReadFile("../doc/formats/" + name + ".md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(page), "\n```json\n")
	body, _, ok := strings.Cut(rest, "```\n")
	if !ok {
		t.Fatalf("%s.md has no example", name)
	}
	return []byte(body)
}

// The example uses every field, so what it reads as is a check of each.
func TestTouchRoundTrip(t *testing.T) {
	data := example(t, "touch")
	touch, err := bundle.ReadTouch(bytes.NewReader(data), "touch.json")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := bundle.WriteTouch(&out, touch); err != nil {
		t.Fatal(err)
	}
	if out.String() != string(data) {
		t.Errorf("read and written, the file changed:\n%s", out.String())
	}
}

func TestTouchMeans(t *testing.T) {
	touch, err := bundle.ReadTouch(bytes.NewReader(example(t, "touch")), "touch.json")
	if err != nil {
		t.Fatal(err)
	}
	p := touch.Placings[0].Points
	if want := (piste.Place{X: -2, Y: -0.75}); p[0].On != want {
		t.Errorf("left-on-guard-near is at %v, want %v", p[0].On, want)
	}
	if p[1].SD != 0 || p[4].On.Y != -0.75 {
		t.Errorf("placing points read as %+v", p)
	}
	if m := touch.Marks[2]; m.Who != mark.Right || m.At != (mark.Pixel{U: 640, V: 380}) || m.SD != 2 {
		t.Errorf("mark 2 reads as %+v", m)
	}
	k, _ := touch.Take("replay")
	if k.Factor != 4 || k.Offset != 0.12 || k.OffsetSD != 0.01 || k.From != 400 {
		t.Errorf("the replay reads as %+v", k)
	}
	if !touch.Videos[1].Fields || touch.Videos[0].Fields {
		t.Errorf("videos read as %+v", touch.Videos)
	}
	if k, _ := touch.Take("slow"); k.CaptureRate != 240 || !k.Tied || k.Factor != 0 {
		t.Errorf("the slow take reads as %+v", k)
	}
	if m := touch.Moments[0].Also; len(m) != 2 || m[1] != (mark.Bracket{Take: "slow", After: 96, By: 97}) {
		t.Errorf("the brackets read as %+v", m)
	}
	if h := touch.Hidden; len(h) != 1 || h[0] != (mark.Hidden{Take: "live", Who: mark.Right, What: mark.Point, From: 126, To: 131}) {
		t.Errorf("what is hidden reads as %+v", h)
	}
	if touch.Lamps == nil || !touch.Lamps.Left || touch.Lamps.Right {
		t.Errorf("lamps read as %+v", touch.Lamps)
	}
	if o := touch.Race.Right.Onset; o.Choices != 2 || o.Cue != "visual" || o.Kind != "reaction" {
		t.Errorf("onset reads as %+v", o)
	}
	if touch.Attacker != "left" || len(touch.Dismissed) != 1 || touch.Dismissed[0] != "hand-exposed-right-live-120" {
		t.Errorf("attacker and dismissed notes read as %q and %q", touch.Attacker, touch.Dismissed)
	}
	if touch.Bout.Right.Reach != 1.62 || touch.Bout.Sheet[0].Before.Left != 3 {
		t.Errorf("bout reads as %+v", touch.Bout)
	}
}

func TestMarkWithoutSDGetsTheDefault(t *testing.T) {
	data := strings.Replace(string(example(t, "touch")), `"v": 402, "sd_px": 1.5`, `"v": 402`, 1)
	touch, err := bundle.ReadTouch(strings.NewReader(data), "x")
	if err != nil {
		t.Fatal(err)
	}
	if touch.Marks[1].SD != mark.DefaultSD {
		t.Errorf("a mark without sd_px has SD %v", touch.Marks[1].SD)
	}
}

// Each case changes one spot of the good example and names the one line that a
// person then sees.
func TestTouchRefusals(t *testing.T) {
	good := string(example(t, "touch"))
	cases := []struct{ why, from, to, want string }{
		{"wrong side", `"who": "right", "what": "guard"`, `"who": "lefft", "what": "guard"`,
			`bout7.json: /marks/3/who: "lefft" is neither "left" nor "right"`},
		{"later version", `"version": 1`, `"version": 7`,
			`bout7.json: /version: this file is version 7; this program reads 1: update it`},
		{"no version", `"version": 1,`, ``,
			`bout7.json: "version" is missing: write "version": 1`},
		{"other format", `"mesure-touch"`, `"mesure-reading"`,
			`bout7.json: /format: this is a file of the format "mesure-reading"; "mesure-touch" is needed here`},
		{"unknown field", `"factor_sd"`, `"factor_sdd"`,
			`bout7.json: /takes/1/factor_sdd: there is no field "factor_sdd" here: did you mean "factor_sd"?`},
		{"field of no other name", `"factor_sd"`, `"zzz"`,
			`bout7.json: /takes/1/zzz: there is no field "zzz" here: known are id, video, from, to, factor, factor_sd, offset_s, offset_sd_s, steady, capture_rate, tied`},
		{"strange field is escaped", `"factor_sd"`, `"a/b~c\n"`,
			`bout7.json: /takes/1/a~1b~0c\u000a: there is no field "a/b~c\n" here: known are id, video, from, to, factor, factor_sd, offset_s, offset_sd_s, steady, capture_rate, tied`},
		{"twice the same key", `"factor": 4`, `"factor": 4, "factor": 5`,
			`bout7.json: /takes/1/factor: line 66, column 84: "factor" stands here twice: keep one of the two`},
		{"missing field", `"id": "live", `, ``,
			`bout7.json: /takes/0: "id" is missing: add it`},
		{"not a number", `"u": 590.5`, `"u": NaN`,
			`bout7.json: /marks/0/u: line 90, column 73: NaN is not a number: measure it again or leave it out`},
		{"infinite", `"u": 590.5`, `"u": -Infinity`,
			`bout7.json: /marks/0/u: line 90, column 73: -Infinity is not a number: measure it again or leave it out`},
		{"overflow", `"u": 590.5`, `"u": 1e400`,
			`bout7.json: /marks/0/u: 1e400 is too large for a number`},
		{"underflow", `"sd_px": 2.5`, `"sd_px": 1e-400`,
			`bout7.json: /marks/0/sd_px: 1e-400 is too small for a number: write 0`},
		{"far off", `"u": 590.5`, `"u": 1e9`,
			`bout7.json: /marks/0/u: 1e9 is above 100000, the most that is allowed`},
		{"no error at all", `"sd_px": 2.5`, `"sd_px": 0`,
			`bout7.json: /marks/0/sd_px: 0 is not above 0`},
		{"half a frame", `"frame": 120, "who": "left", "what": "point"`, `"frame": 120.5, "who": "left", "what": "point"`,
			`bout7.json: /marks/0/frame: 120.5 is not a whole number`},
		{"text for a number", `"u": 590.5`, `"u": "590.5"`,
			`bout7.json: /marks/0/u: "590.5" is a text; a number belongs here`},
		{"null", `"u": 590.5`, `"u": null`,
			`bout7.json: /marks/0/u: null stands where a number belongs: write one or leave the field out`},
		{"list for an object", `{"left": true, "right": false}`, `[true, false]`,
			`bout7.json: /lamps: a list stands where an object belongs`},
		{"no such video", `"video": "main", "from": 100`, `"video": "mian", "from": 100`,
			`bout7.json: /takes/0/video: there is no video "mian": did you mean "main"?`},
		{"name used twice", `"id": "replay"`, `"id": "live"`,
			`bout7.json: /takes/1/id: "live" is already the name of /takes/0: give one of the two another name`},
		{"take backwards", `"from": 100, "to": 160`, `"from": 160, "to": 100`,
			`bout7.json: /takes/0/to: the take ends at frame 100, before its first frame 160 (and 9 more)`},
		{"no such take", `"take": "live", "frame": 120, "who": "right", "what": "guard"`, `"take": "fast", "frame": 120, "who": "right", "what": "guard"`,
			`bout7.json: /marks/3/take: there is no take "fast": known are live, replay, above, slow`},
		{"mark outside its take", `"frame": 120, "who": "right", "what": "guard"`, `"frame": 161, "who": "right", "what": "guard"`,
			`bout7.json: /marks/3/frame: frame 161 lies outside the take "live", which shows frames 100 to 160`},
		{"mark twice", `"who": "left", "what": "guard"`, `"who": "left", "what": "point"`,
			`bout7.json: /marks/1: the point of the left fencer is already marked on this frame in /marks/0: keep the better mark`},
		{"slip of the pen", `"who": "left", "what": "guard"`, `"who": "left", "what": "gaurd"`,
			`bout7.json: /marks/1/what: "gaurd" is no point of interest: did you mean "guard"? A free name must differ by more`},
		{"moment backwards", `"after_frame": 122, "by_frame": 123`, `"after_frame": 123, "by_frame": 123`,
			`bout7.json: /moments/1/by_frame: frame 123 does not come after after_frame, 123: a moment lies between two frames`},
		{"bracket backwards", `"after_frame": 68, "by_frame": 69`, `"after_frame": 69, "by_frame": 68`,
			`bout7.json: /moments/0/also/0/by_frame: frame 68 does not come after after_frame, 69: a moment lies between two frames`},
		{"bracket outside its take", `"after_frame": 96, "by_frame": 97`, `"after_frame": 96, "by_frame": 481`,
			`bout7.json: /moments/0/also/1/by_frame: frame 481 lies outside the take "slow", which shows frames 0 to 480`},
		{"bracket in no take", `"take": "above", "after_frame"`, `"take": "bove", "after_frame"`,
			`bout7.json: /moments/0/also/0/take: there is no take "bove": did you mean "above"?`},
		{"bracket in the moment's own take", `"take": "above", "after_frame": 68, "by_frame": 69`, `"take": "live", "after_frame": 118, "by_frame": 119`,
			`bout7.json: /moments/0/also/0/take: the take "live" already brackets this moment in /moments/0: keep the better bracket`},
		{"two brackets in one take", `"take": "above", "after_frame"`, `"take": "slow", "after_frame"`,
			`bout7.json: /moments/0/also/1/take: the take "slow" already brackets this moment in /moments/0/also/0: keep the better bracket`},
		{"no bracket", `"after_frame": 122, "by_frame": 123`, `"after_frame": 122, "by_frame": 123, "also": []`,
			`bout7.json: /moments/1/also: this list has 0 items; at least 1 are needed`},
		{"factor of a take whose rate is declared", `"capture_rate": 240`, `"factor": 4, "capture_rate": 240`,
			`bout7.json: /takes/3/factor: the take has a capture_rate, which gives the factor: keep one of the two`},
		{"no rate", `"capture_rate": 240`, `"capture_rate": 0`,
			`bout7.json: /takes/3/capture_rate: 0 is not above 0`},
		{"hidden outside its take", `"from": 126, "to": 131`, `"from": 26, "to": 131`,
			`bout7.json: /hidden/0/from: frame 26 lies outside the take "live", which shows frames 100 to 160`},
		{"hidden backwards", `"from": 126, "to": 131`, `"from": 131, "to": 126`,
			`bout7.json: /hidden/0/to: the stretch ends at frame 126, before its first frame 131`},
		{"hidden in no take", `"take": "live", "who": "right", "what": "point", "from"`, `"take": "lively", "who": "right", "what": "point", "from"`,
			`bout7.json: /hidden/0/take: there is no take "lively": did you mean "live"?`},
		{"hidden slip of the pen", `"what": "point", "from"`, `"what": "poin", "from"`,
			`bout7.json: /hidden/0/what: "poin" is no point of interest: did you mean "point"? A free name must differ by more`},
		{"no such point of the piste", `"left-on-guard-near"`, `"left-onguard-near"`,
			`bout7.json: /placings/0/points/0/name: "left-onguard-near" is no point of the piste: did you mean "left-on-guard-near"?`},
		{"point twice", `"left-on-guard-far"`, `"left-on-guard-near"`,
			`bout7.json: /placings/0/points/1/name: the point "left-on-guard-near" is already marked in /placings/0/points/0: keep the better mark`},
		{"point with two places", `"name": "left-on-guard-far"`, `"name": "left-on-guard-far", "x_m": 1`,
			`bout7.json: /placings/0/points/1: this point has a name and a place: keep "name", or "x_m" and "y_m"`},
		{"point with half a place", `"x_m": 0, `, ``,
			`bout7.json: /placings/0/points/4: "x_m" is missing: add it`},
		{"race from nowhere", `"from": "launch"`, `"from": "lunch"`,
			`bout7.json: /race/from: there is no moment "lunch": did you mean "launch"?`},
		{"unknown onset", `"kind": "reaction"`, `"kind": "reflex"`,
			`bout7.json: /race/right/onset/kind: "reflex" is none of "simultaneous", "observed", "reaction"`},
		{"moment of a reaction", `"kind": "reaction"`, `"kind": "reaction", "moment": "launch"`,
			`bout7.json: /race/right/onset/moment: only an onset of the kind "observed" has a moment`},
		{"no such day", `2026-03-07`, `2026-02-30`,
			`bout7.json: /bout/date: "2026-02-30" is a day that the calendar does not have`},
		{"two lines in a title", `Touch 8:`, `Touch 8\n`,
			`bout7.json: /title: "Touch 8\n stop hit into the preparation" is not one line of at most 400 letters without control characters`},
		{"unknown target", `"target": "hand"`, `"target": "hnad"`,
			`bout7.json: /race/right/target: "hnad" is none of "hand", "forearm", "upper-arm", "mask", "chest", "thigh", "knee", "foot": did you mean "hand"?`},
		{"an own number of another name", `"name": "extension-time"`, `"name": "time-to-think"`,
			`bout7.json: /bout/right/own/0/name: "time-to-think" is no number that a fencer can have of their own: known are extension, extension-time, lunge, lunge-time, lunge-delay, step-lunge, step-lunge-time, fleche, fleche-time, step-back, step-back-time, visual-reaction, tactile-reaction, choice-cost, parry-time, semicircular-parry-time, circular-parry-time, disengage-time`},
		{"an own number out of its bounds", `"value": 0.21`, `"value": 3`,
			`bout7.json: /bout/right/own/0/value: 3 s is no time of the extension ("extension-time"): it lies from 0.05 to 2 s`},
		{"an attacker on neither side", `"attacker": "left"`, `"attacker": "both"`,
			`bout7.json: /attacker: "both" is neither "left" nor "right"`},
		{"a note dismissed twice", `["hand-exposed-right-live-120"]`, `["a", "b", "a"]`,
			`bout7.json: /dismissed/2: the note "a" is already in /dismissed/0: keep one of the two`},
		{"a note without a name", `["hand-exposed-right-live-120"]`, `[""]`,
			`bout7.json: /dismissed/0: this note has no name: write the name of one or leave it out`},
		{"something after the end", `"Invented for this page."` + "\n}", `"Invented for this page."` + "\n} []",
			`bout7.json: line 127, column 4: something follows the end of the object: remove it`},
		{"comma missing", `"number": 8,`, `"number": 8`,
			`bout7.json: line 56, column 3: this is not JSON (invalid character '"' after object key:value pair): look for a missing comma, quote or bracket just before`},
	}
	for _, c := range cases {
		bad := strings.Replace(good, c.from, c.to, 1)
		if bad == good {
			t.Errorf("%s: the example no longer holds %q", c.why, c.from)
			continue
		}
		touch, err := bundle.ReadTouch(strings.NewReader(bad), "bout7.json")
		if err == nil || touch != nil {
			t.Errorf("%s: accepted", c.why)
			continue
		}
		if err.Error() != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.why, err, c.want)
		}
	}
}

// A touch that is being worked on is written and read whatever it still lacks.
func TestHalfDoneTouch(t *testing.T) {
	one := study.Video{ID: "v", File: "a.mp4"}
	take := mark.Take{ID: "live", Video: "v", To: 50}
	for name, touch := range map[string]study.Touch{
		"nothing":              {},
		"no takes":             {Videos: []study.Video{one}},
		"one point":            {Videos: []study.Video{one}, Takes: []mark.Take{take}, Placings: []study.Placing{{Take: "live", Frame: 3, Points: []study.PlacedPoint{{Name: "centre-near", On: piste.Place{Y: -0.75}}}}}},
		"placed nowhere":       {Videos: []study.Video{one}, Takes: []mark.Take{take}, Placings: []study.Placing{{Take: "live", Frame: 3, Lines: []study.LineMark{}}}},
		"marks alone":          {Videos: []study.Video{one}, Takes: []mark.Take{take}, Marks: []mark.Mark{{Take: "live", Who: mark.Right, What: mark.Point, SD: 1.5}}},
		"tied to nothing":      {Videos: []study.Video{one}, Takes: []mark.Take{{ID: "slow", Video: "v", To: 50, Tied: true}}},
		"hidden, never marked": {Videos: []study.Video{one}, Takes: []mark.Take{take}, Hidden: []mark.Hidden{{Take: "live", What: mark.Point, From: 2, To: 2}}},
		"moment alone":         {Line: "l7", Videos: []study.Video{one}, Takes: []mark.Take{take}, Moments: []mark.Moment{{ID: "m1", Take: "live", By: 1}}},
		"action unsaid":        {Videos: []study.Video{one}, Takes: []mark.Take{take}, Actions: []bout.Action{{ID: "a", Line: "feet", Take: "live"}}},
		"both react": {Race: study.RaceAsk{
			Left:  study.RunAsk{Onset: study.OnsetAsk{Kind: study.OnsetReaction}},
			Right: study.RunAsk{Onset: study.OnsetAsk{Kind: study.OnsetReaction}},
		}},
		"observed, not chosen": {Race: study.RaceAsk{Left: study.RunAsk{Onset: study.OnsetAsk{Kind: study.OnsetObserved}}}},
	} {
		var first, second bytes.Buffer
		if err := bundle.WriteTouch(&first, &touch); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		again, err := bundle.ReadTouch(bytes.NewReader(first.Bytes()), "f")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if err := bundle.WriteTouch(&second, again); err != nil || second.String() != first.String() {
			t.Errorf("%s: written again it changed (%v):\n%s\n%s", name, err, first.String(), second.String())
		}
	}
}

func TestNotATouchAtAll(t *testing.T) {
	good := string(example(t, "touch"))
	cases := []struct{ why, data, want string }{
		{"nothing", "", "f: the file is empty: it should hold a JSON object"},
		{"blank", " \n\t", "f: the file is empty: it should hold a JSON object"},
		{"a list", "[]", "f: the file holds a list; an object in curly brackets belongs here"},
		{"an empty object", "{}", `f: "format" is missing: this should be a file that begins with "format": "mesure-touch", "version": 1`},
		{"cut off", good[:len(good)/2], ""},
		{"not UTF-8", "{\"format\": \"\xff\"}", "f: the file is not text in UTF-8: save it as UTF-8"},
		{"deep", strings.Repeat("[", 100000), "f: " + strings.Repeat("/0", 33) + ": this is nested deeper than 32 levels: no file of this format needs that"},
	}
	for _, c := range cases {
		_, err := bundle.ReadTouch(strings.NewReader(c.data), "f")
		if err == nil {
			t.Errorf("%s: accepted", c.why)
			continue
		}
		if c.want != "" && err.Error() != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.why, err, c.want)
		}
		if strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: more than one line: %q", c.why, err)
		}
	}
	// The cut may fall anywhere: every beginning of a file is refused in one line.
	for n := range len(good) - 2 {
		_, err := bundle.ReadTouch(strings.NewReader(good[:n]), "f")
		if err == nil || strings.Contains(err.Error(), "\n") || !errors.As(err, new(*bundle.Error)) {
			t.Fatalf("the first %d bytes: %v", n, err)
		}
	}
}

func TestByteOrderMarkIsSkipped(t *testing.T) {
	data := append([]byte("\xef\xbb\xbf"), example(t, "touch")...)
	if _, err := bundle.ReadTouch(bytes.NewReader(data), "f"); err != nil {
		t.Error(err)
	}
}

func TestTouchTooLarge(t *testing.T) {
	data := strings.Repeat(" ", bundle.TouchLimit) + "{}"
	_, err := bundle.ReadTouch(strings.NewReader(data), "f")
	if err == nil || !strings.Contains(err.Error(), "larger than 16 MiB") {
		t.Errorf("got %v", err)
	}
}

// A file of empty objects is small and would still fill the memory.
func TestTouchOfTooManyValues(t *testing.T) {
	data := `{"format": "mesure-touch", "version": 1, "marks": [` + strings.Repeat("{},", 1_000_000) + `{}]}`
	_, err := bundle.ReadTouch(strings.NewReader(data), "f")
	if err == nil || err.Error() != "f: the file holds more than 1000000 values: split it" {
		t.Errorf("got %v", err)
	}
}

func TestProblemsAreCollected(t *testing.T) {
	data := strings.ReplaceAll(string(example(t, "touch")), `"u": `, `"uu": `)
	_, err := bundle.ReadTouch(strings.NewReader(data), "f")
	var e *bundle.Error
	if !errors.As(err, &e) || len(e.Problems) != 10 {
		t.Fatalf("got %v", err)
	}
	if e.Problems[0].Pointer != "/placings/0/points/0/uu" {
		t.Errorf("the first problem is at %s", e.Problems[0].Pointer)
	}
}

// What ReadTouch refuses is not written either.
func TestWriteRefusesWhatReadWould(t *testing.T) {
	read := func() []byte { return example(t, "touch") }
	touch, err := bundle.ReadTouch(bytes.NewReader(read()), "f")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	touch.Marks[2].At.V = math.NaN()
	if err := bundle.WriteTouch(&out, touch); err == nil || err.Error() != "the touch: /marks/2/v: this is not a finite number: measure it again or leave it out" {
		t.Errorf("NaN: %v", err)
	}
	touch.Marks[2].At.V = 1
	touch.Marks[2].Who = 7
	if err := bundle.WriteTouch(&out, touch); err == nil || !strings.Contains(err.Error(), "/marks/2/who") {
		t.Errorf("side 7: %v", err)
	}
	touch.Marks[2].Who = mark.Left
	touch.Marks[2].What = mark.Hip
	touch.Title = "caf\xe9"
	if err := bundle.WriteTouch(&out, touch); err == nil || !strings.Contains(err.Error(), "/title: this text is not UTF-8") {
		t.Errorf("Latin-1: %v", err)
	}
	touch.Title = ""
	touch.Placings[0].Points[4].On.Z = 1
	if err := bundle.WriteTouch(&out, touch); err == nil || !strings.Contains(err.Error(), "/placings/0/points/4") {
		t.Errorf("raised point: %v", err)
	}
	if out.Len() != 0 {
		t.Errorf("%d bytes were written", out.Len())
	}
}
