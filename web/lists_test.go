package web

import (
	"encoding/json"
	"net/http"
	"reflect"
	"strings"
	"testing"
)

// TestListsAreNeverNull: the browser goes through every list without asking whether
// it is one. The type says which fields are lists that may not be left out.
func TestListsAreNeverNull(t *testing.T) {
	b := newBench(t)
	sees := func(v any, raw string) {
		t.Helper()
		if err := json.Unmarshal([]byte(raw), v); err != nil {
			t.Fatal(err)
		}
		for _, at := range nulls(reflect.ValueOf(v), "") {
			t.Errorf("%T%s is null", v, at)
		}
	}
	get := func(path string) string { return b.ask(http.MethodGet, path, nil).Body.String() }
	sees(&Salle{}, get("/api/salle"))
	sees(&[]Job{}, get("/api/jobs"))
	// A touch that says as little as one can.
	up := b.uploaded("a.mp4", "video one")
	sees(&BoutPaper{}, get("/api/bouts/"+string(up.Bout)))
	b.ask(http.MethodPut, "/api/bouts/"+string(up.Bout), save(1, "lines", lines(up.Media.SHA256, "one")))
	w := b.ask(http.MethodPost, "/api/bouts/"+string(up.Bout)+"/lines/one/touch", nil)
	sees(&TouchPaper{}, w.Body.String())
	var paper TouchPaper
	if err := json.Unmarshal(w.Body.Bytes(), &paper); err != nil {
		t.Fatal(err)
	}
	w = b.ask(http.MethodPut, "/api/touches/"+string(paper.Stamp.ID), `{"base":1,"gesture":"empty","touch":{"bout":{"left":{},"right":{}},"before":{"left":0,"right":0},"videos":[],"takes":[],"placings":[{"take":"a","frame":1,"points":[]}],"marks":[],"moments":[],"actions":[],"race":{"left":{"onset":{}},"right":{"onset":{}}}}}`)
	if w.Code != http.StatusOK {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	sees(&TouchPaper{}, w.Body.String())
	sees(&Salle{}, get("/api/salle"))
	sees(&Media{}, get("/api/media/"+up.Media.SHA256))
	sees(&Times{}, get("/api/media/"+up.Media.SHA256+"/times"))

	if got := nulls(reflect.ValueOf(Salle{Bouts: []BoutCard{}}), ""); len(got) != 2 {
		t.Errorf("the walk is broken: %v", got)
	}
}

// nulls returns where a value has a list that is nil and is not left out then.
func nulls(v reflect.Value, at string) (all []string) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			return nulls(v.Elem(), at)
		}
	case reflect.Slice:
		if v.IsNil() {
			return []string{at}
		}
		for i := range v.Len() {
			all = append(all, nulls(v.Index(i), at+"[]")...)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if !f.IsExported() || f.Tag.Get("json") == "-" {
				continue
			}
			if v.Field(i).Kind() == reflect.Slice && v.Field(i).IsNil() && strings.Contains(f.Tag.Get("json"), "omitempty") {
				continue
			}
			all = append(all, nulls(v.Field(i), at+"."+f.Name)...)
		}
	}
	return all
}

// FuzzSaveTouch and FuzzSaveBout: whatever is sent, the answer is never a fault of
// the server's own.
func FuzzSaveTouch(f *testing.F) {
	f.Add(`{"base":1,"gesture":"x","touch":{"bout":{"left":{},"right":{}},"before":{"left":0,"right":0},"videos":[],"takes":[{"id":"live","video":"video-1","from":0,"to":9}],"placings":[],"marks":[],"moments":[],"actions":[],"race":{"left":{"onset":{}},"right":{"onset":{}}}}}`)
	f.Add(`{"base":-1,"gesture":"","touch":null}`)
	f.Add(`{"base":1e99}`)
	f.Add("\xff{")
	b := newBench(f)
	f.Fuzz(func(t *testing.T, body string) {
		b.empty(t)
		up := b.uploaded("a.mp4", "video one")
		b.ask(http.MethodPut, "/api/bouts/"+string(up.Bout), save(1, "lines", lines(up.Media.SHA256, "one")))
		b.ask(http.MethodPost, "/api/bouts/"+string(up.Bout)+"/lines/one/touch", nil)
		if w := b.ask(http.MethodPut, "/api/touches/"+string(up.Bout)+"-one", body); w.Code >= 500 {
			t.Errorf("%d %s", w.Code, w.Body)
		}
		if w := b.ask(http.MethodGet, "/api/touches/"+string(up.Bout)+"-one", nil); w.Code != http.StatusOK {
			t.Errorf("afterwards: %d %s", w.Code, w.Body)
		}
		if w := b.ask(http.MethodGet, "/api/bouts/"+string(up.Bout), nil); w.Code != http.StatusOK {
			t.Errorf("afterwards: %d %s", w.Code, w.Body)
		}
	})
}

func FuzzSaveBout(f *testing.F) {
	f.Add(`{"base":1,"gesture":"x","sheet":{"bout":{"left":{},"right":{},"touches":-3,"team":{"left":[],"right":["a"]},"sheet":[{"number":1,"before":{"left":0,"right":0},"after":{"left":0,"right":0},"lamps":{"left":true,"right":true},"cards":[{"to":"left","colour":"p-black"}]}]},"videos":[]}}`)
	f.Add(`{"base":1,"gesture":"x","sheet":{"bout":{"left":{},"right":{},"start":{"left":-9,"right":1}},"videos":[{"id":"","file":"","sha256":"zz"}]}}`)
	f.Add(`[`)
	b := newBench(f)
	f.Fuzz(func(t *testing.T, body string) {
		b.empty(t)
		up := b.uploaded("a.mp4", "video one")
		for _, path := range []string{"/api/bouts/" + string(up.Bout), "/api/bouts/none"} {
			if w := b.ask(http.MethodPut, path, body); w.Code >= 500 {
				t.Errorf("%d %s", w.Code, w.Body)
			}
		}
		for _, path := range []string{"/api/bouts/" + string(up.Bout), "/api/salle"} {
			if w := b.ask(http.MethodGet, path, nil); w.Code != http.StatusOK {
				t.Errorf("%s afterwards: %d %s", path, w.Code, w.Body)
			}
		}
	})
}
