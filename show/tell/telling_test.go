package tell

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/show/clip"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/sport/mark"
	"mesure/study"
)

// filmed is told with the frames of its video, so that it can be shown: 121 of 50 a second.
func filmed(t testing.TB) *study.Reading {
	t.Helper()
	r := told(t)
	c := r.Clips["hall"]
	for i := range 121 {
		c.Times = append(c.Times, mark.FileTime(i)/50)
	}
	r.Clips = map[string]mark.Clip{"hall": c}
	return r
}

// measuredAgain is the same touch after a mark was moved: another lag, another gap.
func measuredAgain(t testing.TB) *study.Reading {
	t.Helper()
	r := filmed(t)
	r.Timing.Started.Lags[0].Time = quantity.Normal[quantity.Seconds](0.045, 0.011)
	r.Timing.Race.Runs[0].Gap = quantity.Normal[quantity.Metres](1.02, 0.05)
	r.Inputs = "other"
	return r
}

func drafted(t testing.TB, r *study.Reading, o Options) *Telling {
	t.Helper()
	x, err := Draft(r, nil, o)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// lineOf finds a line of the script by its key.
func lineOf(t testing.TB, x *Telling, key string) *script.Line {
	t.Helper()
	for i := range x.Script.Parts {
		for j := range x.Script.Parts[i].Lines {
			if l := &x.Script.Parts[i].Lines[j]; l.Key == key {
				return l
			}
		}
	}
	t.Fatalf("there is no line %q", key)
	return nil
}

// A draft is one telling: the shots say lines that the script has, the options are kept,
// and equal readings give equal files.
func TestDraft(t *testing.T) {
	o := Options{Options: script.Options{Level: script.Beginner, Names: script.Initials}, Form: clip.Form{Shape: clip.Square, Rate: 25}, Lesson: true, Paper: "letter"}
	x := drafted(t, filmed(t), o)
	if x.Script.Level != script.Beginner || x.Script.Names != script.Initials || x.Board.Form != o.Form || !x.Lesson || x.Paper != "letter" {
		t.Errorf("the options are lost: %+v", x)
	}
	have := map[string]bool{}
	for _, p := range x.Script.Parts {
		for _, l := range p.Lines {
			have[p.Kind+" "+l.Key] = true
		}
	}
	said := 0
	for _, s := range x.Board.Shots {
		for _, l := range s.Lines {
			said++
			if !have[l] {
				t.Errorf("shot %s says the line %q, which the script does not have", s.ID, l)
			}
		}
	}
	if len(x.Board.Shots) < 3 || said == 0 {
		t.Errorf("%d shots say %d lines", len(x.Board.Shots), said)
	}
	if again := drafted(t, filmed(t), o); !bytes.Equal(written(t, x), written(t, again)) {
		t.Error("the same reading gave another draft")
	}
}

// A telling that was kept is bound again after the touch was measured again: bound numbers
// follow, a frozen one and a gone one are told, the coach's words and shots stay, and
// nothing handed in is changed.
func TestBindAfterAnotherMeasurement(t *testing.T) {
	x := drafted(t, filmed(t), Options{})
	lineOf(t, x, "gap/left").Edit("Mind the hand: " + lineOf(t, x, "gap/left").String())
	lineOf(t, x, "lag/left").Freeze(true)
	x.Board.Edited = true
	x.Board.Shots[0].Title = "My own title"
	file := written(t, x)
	kept, err := Read(bytes.NewReader(file), "kept")
	if err != nil {
		t.Fatal(err)
	}
	// Bound to the same measurement nothing is stale, and nothing is changed.
	same, stale, troubles, err := Bind(kept, filmed(t), nil, nil)
	if err != nil || len(stale) > 0 || len(troubles) > 0 || !bytes.Equal(written(t, same), file) {
		t.Fatalf("the same measurement: %v %v %v", stale, troubles, err)
	}
	now, stale, troubles, err := Bind(kept, measuredAgain(t), nil, nil)
	if err != nil || len(troubles) > 0 {
		t.Fatal(troubles, err)
	}
	if got := lineOf(t, now, "gap/left").String(); !strings.HasPrefix(got, "Mind the hand: ") || !strings.Contains(got, "1.02\u00a0±\u00a00.05\u00a0m") {
		t.Errorf("the edited line became %q", got)
	}
	if len(stale) != 1 || stale[0].Why != script.StaleNumber || !strings.HasPrefix(stale[0].Now, "45\u00a0±\u00a011") {
		t.Errorf("stale: %+v", stale)
	}
	var page bytes.Buffer
	if err := script.WriteMarkdown(&page, now.Script, stale); err != nil || !strings.Contains(page.String(), "**(now 45\u00a0±\u00a011\u00a0ms)**") {
		t.Errorf("the page does not mark the stale number: %v", err)
	}
	if now.Board.Shots[0].Title != "My own title" || len(now.Board.Shots) != len(kept.Board.Shots) {
		t.Error("the coach's shots did not stay")
	}
	if now.Script.Inputs != "other" {
		t.Errorf("the script says that its numbers are from %q", now.Script.Inputs)
	}
	if !bytes.Equal(written(t, kept), file) {
		t.Error("the telling that was handed in was changed")
	}
	// Once more to the same measurement: nothing else changes.
	twice, again, _, err := Bind(now, measuredAgain(t), nil, nil)
	if err != nil || !slices.Equal(again, stale) || !bytes.Equal(written(t, twice), written(t, now)) {
		t.Errorf("bound twice: %+v %v", again, err)
	}
}

// What a storyboard of the coach's shows and the touch no longer has is told by shot, and
// the rest still comes.
func TestBindTellsWhatCannotBeShown(t *testing.T) {
	x := drafted(t, filmed(t), Options{})
	x.Board.Edited = true
	x.Board.Shots = append(x.Board.Shots, clip.Shot{ID: "gone", Kind: clip.Live, Take: "sold", To: 9}, clip.Shot{ID: "late", Kind: clip.Hold, Take: "live", From: 121},
		clip.Shot{ID: "far", Kind: clip.Beside, Take: "live", To: 9, Other: &clip.Other{Touch: "7", Take: "live"}})
	now, _, troubles, err := Bind(x, filmed(t), []report.Plate{}, nil)
	if err != nil || len(now.Board.Shots) != len(x.Board.Shots) {
		t.Fatal(err, len(now.Board.Shots))
	}
	told := map[string]bool{}
	for _, q := range troubles {
		told[q.Shot] = q.Out
		if q.What == "" || q.Mend == "" {
			t.Errorf("%+v", q)
		}
	}
	if len(told) != 3 || !told["gone"] || !told["late"] || !told["far"] {
		t.Errorf("%+v", troubles)
	}
}

// Where nothing can be filmed the storyboard is empty and the script still comes; what is
// no telling, and a form that is none, are refused.
func TestTellingWithoutAFilm(t *testing.T) {
	r := filmed(t)
	bare := *r.Touch
	bare.Takes, bare.Videos, bare.Moments = nil, nil, nil
	r.Touch = &bare
	r.Clips, r.Instants, r.Placings = nil, nil, nil
	x := drafted(t, r, Options{})
	if len(x.Script.Parts) == 0 {
		t.Errorf("%+v", x.Script)
	}
	for _, s := range x.Board.Shots {
		if s.Take != "" {
			t.Errorf("shot %s shows a take of a touch that has none", s.ID)
		}
	}
	if now, _, troubles, err := Bind(x, r, nil, nil); err != nil || len(troubles) > 0 || now.Script == nil {
		t.Error(troubles, err)
	}
	var wrong *Error
	for _, none := range []*Telling{nil, {}} {
		if _, _, _, err := Bind(none, r, nil, nil); !errors.As(err, &wrong) {
			t.Errorf("%v", err)
		}
	}
	var form *clip.Trouble
	if _, err := Draft(filmed(t), nil, Options{Form: clip.Form{Rate: 29}}); !errors.As(err, &form) || form.Kind != clip.TroubleForm {
		t.Errorf("a form that is none: %v", err)
	}
	if _, err := Draft(nil, nil, Options{}); err == nil {
		t.Error("no reading was told")
	}
}
