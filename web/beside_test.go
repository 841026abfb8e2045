package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"mesure/study"
)

// TestTakesOfOtherTouchesPlayBeside: those of the same bout are offered, those of any
// other bout by name; what is offered is played, and a change of what plays beside makes
// another film.
func TestTakesOfOtherTouchesPlayBeside(t *testing.T) {
	if testing.Short() {
		t.Skip("one thing after the other: the full run has it")
	}
	b, at, _ := filmBench(t)
	told := must[TouchPaper](b, http.MethodGet, at, nil)
	if n := must[[]TakeToShow](b, http.MethodGet, at+"/beside", nil); len(n) != 0 {
		t.Fatalf("alone in its bout: %+v", n)
	}
	sheet := must[BoutPaper](b, http.MethodGet, "/api/bouts/"+string(told.Bout), nil)
	two := lines(told.Touch.Videos[0].SHA256, "one", "two")
	must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(told.Bout), save(sheet.Stamp.Revision, "record", two))
	sibling := must[TouchPaper](b, http.MethodPost, fmt.Sprintf("/api/bouts/%s/lines/two/touch", told.Bout), nil)
	up := b.uploaded("b.mp4", "video two")
	elsewhere := lines(up.Media.SHA256, "x")
	elsewhere["bout"].(object)["event"], elsewhere["bout"].(object)["left"] = "Autumn open", object{"name": "Élodie Marsh"}
	must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(up.Bout), save(1, "record", elsewhere))
	far := must[TouchPaper](b, http.MethodPost, fmt.Sprintf("/api/bouts/%s/lines/x/touch", up.Bout), nil)

	near := must[[]TakeToShow](b, http.MethodGet, at+"/beside", nil)
	if len(near) != 1 || near[0].Touch != string(sibling.Stamp.ID) || near[0].Bout != "" || near[0].Title != "Touch 2 at 1–0: live" {
		t.Fatalf("of the same bout: %+v", near)
	}
	found := must[[]TakeToShow](b, http.MethodGet, at+"/beside?named=%C3%A9lodie+AUTUMN", nil)
	if len(found) != 1 || found[0].Touch != string(far.Stamp.ID) || !strings.Contains(found[0].Bout, "Autumn open") {
		t.Fatalf("by name: %+v", found)
	}
	if n := must[[]TakeToShow](b, http.MethodGet, at+"/beside?named=nobody", nil); len(n) != 0 {
		t.Errorf("of nobody: %+v", n)
	}
	b.refused(http.StatusNotFound, http.MethodGet, "/api/touches/"+string(told.Bout)+"/beside", nil)

	// What is offered is played.
	paper := must[TellingPaper](b, http.MethodGet, at+"/telling", nil)
	own := paper.Takes[0]
	for i, other := range []TakeToShow{near[0], found[0]} {
		paper.Telling.Board.Edited = true
		paper.Telling.Board.Shots = paper.Telling.Board.Shots[:1]
		shot := &paper.Telling.Board.Shots[0]
		raw := fmt.Sprintf(`{"id":"beside","kind":"beside","take":%q,"from":%d,"to":%d,"other":{"touch":%q,"take":%q,"at":%d,"meets":%d}}`, own.Take, own.From, own.To, other.Touch, other.Take, other.From, own.From)
		*shot = into(t, *shot, raw)
		paper = must[TellingPaper](b, http.MethodPut, at+"/telling", object{"base": paper.Stamp.Revision, "gesture": "beside", "telling": paper.Telling})
		if paper.Film == nil || len(paper.Film.Shots) != 1 || len(paper.Troubles) != 0 {
			t.Fatalf("%d: film %+v, %+v", i, paper.Film, paper.Troubles)
		}
		if n := len(paper.Takes); n != 2 || paper.Takes[1] != other {
			t.Errorf("%d: the page can name %+v", i, paper.Takes)
		}
		if w := b.ask(http.MethodGet, paper.Film.Shots[0].Picture+"/0.jpg?width=320", nil); w.Code != http.StatusOK {
			t.Errorf("%d: %d %s", i, w.Code, w.Body)
		}
	}
	was := paper.Film.Key
	x := far.Touch
	marked(&x)
	must[TouchPaper](b, http.MethodPut, "/api/touches/"+string(far.Stamp.ID), object{"base": far.Stamp.Revision, "gesture": "mark everything", "touch": x})
	if now := must[TellingPaper](b, http.MethodGet, at+"/telling", nil); now.Film == nil || now.Film.Key == was {
		t.Errorf("the touch beside was marked, and the film stayed as it was: %+v", now.Film)
	}

	// One that is gone is said; nothing else breaks.
	d := must[TouchPaper](b, http.MethodGet, "/api/touches/"+string(far.Stamp.ID), nil)
	if w := b.ask(http.MethodDelete, fmt.Sprintf("/api/touches/%s?base=%d", far.Stamp.ID, d.Stamp.Revision), nil); w.Code >= 300 {
		t.Fatal(w.Code, w.Body)
	}
	if now := must[TellingPaper](b, http.MethodGet, at+"/telling", nil); len(now.Troubles) != 1 || !now.Troubles[0].Out {
		t.Errorf("troubles %+v", now.Troubles)
	}
	if _, err := b.lib.Get(t.Context(), study.ID(sibling.Stamp.ID)); err != nil {
		t.Error(err)
	}
}

// into fills a value of the type of v from JSON.
func into[T any](t *testing.T, _ T, raw string) (v T) {
	t.Helper()
	if err := json.Unmarshal([]byte(raw), &v); err != nil {
		t.Fatal(err)
	}
	return v
}
