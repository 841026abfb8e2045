package web

import (
	"archive/zip"
	"bytes"
	"fmt"
	"image/jpeg"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"mesure/show/script"
	"mesure/study"
)

// TestATellingIsADocument: drafted where nothing is kept, kept with its first change,
// undone by its own steps, bound to the measurement, and refused where it is none.
func TestATellingIsADocument(t *testing.T) {
	if testing.Short() {
		t.Skip("one thing after the other: the full run has it")
	}
	b, at, _ := filmBench(t)
	path := at + "/telling"
	draft := must[TellingPaper](b, http.MethodGet, path, nil)
	if draft.Stamp.Revision != 0 || len(draft.Telling.Script.Parts) == 0 || len(draft.Telling.Board.Shots) == 0 || draft.Film == nil {
		t.Fatalf("a draft of revision %d, %d parts, %d shots, film %v (%s)", draft.Stamp.Revision, len(draft.Telling.Script.Parts), len(draft.Telling.Board.Shots), draft.Film, draft.NoFilm)
	}
	sum := 0
	for i, s := range draft.Film.Shots {
		if s.First != sum || s.Frames < 1 {
			t.Errorf("shot %d begins at %d with %d frames, want %d", i, s.First, s.Frames, sum)
		}
		sum += s.Frames
	}
	if sum != draft.Film.Frames || draft.Film.Rate != 30 || len(draft.Lost) != 1 || len(draft.Plates) == 0 || len(draft.Layers) == 0 || len(draft.Takes) == 0 {
		t.Errorf("%d frames of %d, rate %d, lost %v", sum, draft.Film.Frames, draft.Film.Rate, draft.Lost)
	}
	// The instant of the report is told in the script, as by the command: what the fencer
	// can still answer is there.
	if !slices.ContainsFunc(draft.Telling.Script.Sources, func(f script.Fact) bool { return strings.HasPrefix(f.Ref, "windows/") }) {
		t.Errorf("the script tells nothing of the answers that are open: %+v", draft.Telling.Script.Sources)
	}
	if n, err := b.lib.List(t.Context(), study.KindTelling, ""); err != nil || len(n) != 0 {
		t.Error("looking at a draft keeps one")
	}

	// The first change is one step, and can be taken back.
	told := draft.Telling
	line := &told.Script.Parts[0].Lines[0]
	was := line.String()
	line.Pieces, line.Edited = append([]script.Piece{{Text: "Look: "}}, line.Pieces...), true
	kept := must[TellingPaper](b, http.MethodPut, path, object{"base": 0, "gesture": "change a line", "telling": told})
	if got := kept.Telling.Script.Parts[0].Lines[0]; got.String() != "Look: "+was || !kept.Stamp.CanUndo || kept.Stamp.UndoGesture != "change a line" {
		t.Errorf("%q, %+v", got, kept.Stamp)
	}
	if i := slices.IndexFunc(kept.Drafted, func(d DraftedLine) bool { return d.Line.String() == was }); i < 0 {
		t.Error("the words of the draft are not offered for the line that was changed")
	}
	back := must[TellingPaper](b, http.MethodPost, path+"/undo", object{"base": kept.Stamp.Revision})
	if got := back.Telling.Script.Parts[0].Lines[0].String(); got != was || !back.Stamp.CanRedo {
		t.Errorf("undone: %q", got)
	}
	again := must[TellingPaper](b, http.MethodPost, path+"/redo", object{"base": back.Stamp.Revision})
	if got := again.Telling.Script.Parts[0].Lines[0].String(); got != "Look: "+was {
		t.Errorf("redone: %q", got)
	}

	// A line that is left out is offered; a level changes the lines that nobody wrote.
	told = again.Telling
	told.Script.Level = script.Beginner
	gone := told.Script.Parts[1].Lines[0]
	kind := told.Script.Parts[1].Kind
	told.Script.Parts[1].Lines = told.Script.Parts[1].Lines[1:]
	low := must[TellingPaper](b, http.MethodPut, path, object{"base": again.Stamp.Revision, "gesture": "for beginners", "telling": told})
	if low.Telling.Script.Level != script.Beginner || low.Telling.Script.Parts[0].Lines[0].String() != "Look: "+was {
		t.Errorf("the level is %s; the coach's line reads %q", low.Telling.Script.Level, low.Telling.Script.Parts[0].Lines[0])
	}
	if !slices.ContainsFunc(low.Drafted, func(d DraftedLine) bool { return d.Part == kind && d.Line.Key == gone.Key }) {
		t.Errorf("the line %s of %s is not offered", gone.Key, kind)
	}

	// Bad input changes nothing and says why.
	if r := b.refused(http.StatusConflict, http.MethodPut, path, object{"base": 1, "gesture": "late", "telling": told}); !strings.Contains(r.Detail, "another window") {
		t.Error(r.Detail)
	}
	b.refused(http.StatusConflict, http.MethodPut, path, object{"base": 0, "gesture": "a second draft", "telling": told})
	b.refused(http.StatusUnprocessableEntity, http.MethodPut, path, `{"base":0,"gesture":"x","telling":{"script":null,"board":{}}}`)
	bad := told
	sc := *told.Script
	sc.Names = "nicknames"
	bad.Script = &sc
	b.refused(http.StatusUnprocessableEntity, http.MethodPut, path, object{"base": low.Stamp.Revision, "gesture": "x", "telling": bad})
	b.refused(http.StatusNotFound, http.MethodGet, "/api/touches/none/telling", nil)
	b.refused(http.StatusNotFound, http.MethodPost, "/api/touches/none/telling/undo", object{"base": 1})
	if now := must[TellingPaper](b, http.MethodGet, path, nil); now.Stamp.Revision != low.Stamp.Revision {
		t.Error("what was refused changed something")
	}

	// Names are in nothing once they are hidden.
	told = low.Telling
	told.Script.Names = script.Anonymous
	must[TellingPaper](b, http.MethodPut, path, object{"base": low.Stamp.Revision, "gesture": "without names", "telling": told})
	for _, name := range []string{"telling", "sheet.html", "script.md", "captions.vtt"} {
		w := b.ask(http.MethodGet, at+"/"+name, nil)
		if w.Code != http.StatusOK || bytes.Contains(w.Body.Bytes(), []byte("Norden")) {
			t.Errorf("%s: %d, and it may name a fencer", name, w.Code)
		}
	}
	if w := b.ask(http.MethodGet, at+"/sheet.pdf", nil); w.Code != http.StatusOK || !bytes.HasPrefix(w.Body.Bytes(), []byte("%PDF")) {
		t.Errorf("sheet.pdf: %d", w.Code)
	}
}

// TestAFilmIsLookedAtAndMade: single frames by the key of their shot, then the file.
func TestAFilmIsLookedAtAndMade(t *testing.T) {
	if testing.Short() {
		t.Skip("drawing is slow under the race detector, and the same for all")
	}
	b, at, f := filmBench(t)
	told := must[TellingPaper](b, http.MethodGet, at+"/telling", nil)
	// One shot is enough.
	told.Telling.Board.Shots, told.Telling.Board.Edited = told.Telling.Board.Shots[:1], true
	one := must[TellingPaper](b, http.MethodPut, at+"/telling", object{"base": 0, "gesture": "one shot", "telling": told.Telling})
	if one.Film == nil || len(one.Film.Shots) != 1 {
		t.Fatalf("%+v, %v", one.Film, one.Troubles)
	}
	s := one.Film.Shots[0]
	w := b.ask(http.MethodGet, s.Picture+"/0.jpg?width=320", nil)
	if p, err := jpeg.Decode(bytes.NewReader(w.Body.Bytes())); err != nil || p.Bounds().Dx() != 320 || !strings.Contains(w.Header().Get("Cache-Control"), "immutable") {
		t.Errorf("%d %v, %v", w.Code, err, w.Header())
	}
	tag := w.Header().Get("ETag")
	if w := b.ask(http.MethodGet, s.Picture+"/0.jpg?width=320", nil, func(r *http.Request) { r.Header.Set("If-None-Match", tag) }); w.Code != http.StatusNotModified {
		t.Errorf("seen before: %d", w.Code)
	}
	for _, bad := range []string{fmt.Sprintf("/%d.jpg?width=320", s.Frames), "/-1.jpg?width=320", "/0.png?width=320", "/x.jpg?width=320"} {
		b.refused(http.StatusNotFound, http.MethodGet, s.Picture+bad, nil)
	}
	b.refused(http.StatusNotFound, http.MethodGet, at+"/shot/no-such-shot-at-all/0.jpg?width=320", nil)
	b.refused(http.StatusUnprocessableEntity, http.MethodGet, s.Picture+"/0.jpg?width=99999", nil)

	ended := func(j Job) Job {
		t.Helper()
		for range 600 {
			for _, k := range must[[]Job](b, http.MethodGet, "/api/jobs", nil) {
				if k.ID == j.ID && k.State != jobGoing {
					return k
				}
			}
			time.Sleep(20 * time.Millisecond)
		}
		t.Fatal("the work does not end")
		return j
	}
	// Work that is cancelled leaves nothing.
	f.hold = make(chan struct{})
	j := must[Job](b, http.MethodPost, at+"/make", object{"what": "clip"})
	if now := must[TellingPaper](b, http.MethodGet, at+"/telling", nil); len(now.Work) != 1 || now.Work[0].Kind != "clip" {
		t.Errorf("work %+v", now.Work)
	}
	if w := b.ask(http.MethodDelete, "/api/jobs/"+j.ID, nil); w.Code >= 300 {
		t.Fatal(w.Code)
	}
	if j = ended(j); j.State != jobCancelled {
		t.Errorf("%+v", j)
	}
	if now := must[TellingPaper](b, http.MethodGet, at+"/telling", nil); len(now.Made) != 0 || now.Drawn != 0 {
		t.Errorf("made %+v, %d shots drawn", now.Made, now.Drawn)
	}
	close(f.hold)
	if j = ended(must[Job](b, http.MethodPost, at+"/make", object{"what": "clip"})); j.State != jobDone {
		t.Fatalf("%+v", j)
	}
	now := must[TellingPaper](b, http.MethodGet, at+"/telling", nil)
	if now.Drawn != 1 || len(now.Made) != 2 || now.Made[0].What != "clip" || now.Made[0].Old || now.Made[1].What != "captions" {
		t.Fatalf("made %+v", now.Made)
	}
	w = b.ask(http.MethodGet, now.Made[0].Href, nil, func(r *http.Request) { r.Header.Set("Range", "bytes=0-3") })
	if w.Code != http.StatusPartialContent || w.Body.String() != "clip" || w.Header().Get("Content-Type") != "video/mp4" {
		t.Errorf("%d %q %v", w.Code, w.Body, w.Header())
	}
	if w := b.ask(http.MethodGet, now.Made[1].Href, nil); !strings.HasPrefix(w.Body.String(), "WEBVTT") {
		t.Errorf("captions: %q", w.Body)
	}
	b.refused(http.StatusNotFound, http.MethodGet, at+"/made/..%2f..%2fsecret.mp4", nil)
	b.refused(http.StatusNotFound, http.MethodGet, strings.Replace(now.Made[0].Href, "/made/", "/made/0", 1), nil)

	// Another length makes it an older one; it stays at hand.
	now.Telling.Board.Form.Rate = 25
	old := must[TellingPaper](b, http.MethodPut, at+"/telling", object{"base": now.Stamp.Revision, "gesture": "another rate", "telling": now.Telling})
	if len(old.Made) != 2 || !old.Made[0].Old || old.Drawn != 0 {
		t.Errorf("made %+v", old.Made)
	}
	if j = ended(must[Job](b, http.MethodPost, at+"/make", object{"what": "hand-off"})); j.State != jobDone {
		t.Fatalf("%+v", j)
	}
	now = must[TellingPaper](b, http.MethodGet, at+"/telling", nil)
	i := slices.IndexFunc(now.Made, func(m MadeFile) bool { return m.What == "hand-off" })
	if i < 0 {
		t.Fatalf("made %+v", now.Made)
	}
	w = b.ask(http.MethodGet, now.Made[i].Href+"?keep=1", nil)
	z, err := zip.NewReader(bytes.NewReader(w.Body.Bytes()), int64(w.Body.Len()))
	if err != nil || !slices.ContainsFunc(z.File, func(f *zip.File) bool { return strings.HasSuffix(f.Name, "overlays.mov") }) || !strings.Contains(w.Header().Get("Content-Disposition"), "hand-off.zip") {
		t.Errorf("%v, %v", err, w.Header())
	}
}

// TestAProgramWithoutAStudioTellsAllTheSame: script, sheet and plates are there; what is
// missing is said.
func TestAProgramWithoutAStudioTellsAllTheSame(t *testing.T) {
	if testing.Short() {
		t.Skip("one thing after the other: the full run has it")
	}
	b, at := toldBench(t)
	now := must[TellingPaper](b, http.MethodGet, at+"/telling", nil)
	if len(now.Telling.Script.Parts) == 0 || len(now.Lost) != 1 || len(now.Made) != 0 {
		t.Errorf("%d parts, lost %v", len(now.Telling.Script.Parts), now.Lost)
	}
	if r := b.refused(http.StatusUnprocessableEntity, http.MethodPost, at+"/make", object{"what": "clip"}); !strings.Contains(r.Detail, "cannot make clips") {
		t.Error(r.Detail)
	}
	b.refused(http.StatusUnprocessableEntity, http.MethodPost, at+"/make", object{"what": "coffee"})
}
