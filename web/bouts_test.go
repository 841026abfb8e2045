package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"mesure/study"
)

// lines is a sheet with these lines on one video.
func lines(sha string, ids ...string) object {
	sheet := []object{}
	for i, id := range ids {
		sheet = append(sheet, object{
			"id": id, "number": 0, "before": object{"left": 0, "right": 0}, "after": object{"left": 0, "right": 0},
			"lamps": object{"left": true, "right": false}, "video": "video-1",
			"halt_s": 1 + float64(i)/2, "from_s": 0.5 + float64(i)/2, "to_s": 1.5 + float64(i)/2,
		})
	}
	return object{
		"bout":   object{"event": "Club night", "weapon": "epee", "touches": 5, "left": object{"name": "A. Norden"}, "right": object{"name": "B. Quill"}, "sheet": sheet},
		"videos": []object{{"id": "video-1", "file": "a.mp4", "sha256": sha}},
	}
}

func save(base study.Revision, gesture string, sheet object) object {
	return object{"base": base, "gesture": gesture, "sheet": sheet}
}

func TestABoutFromItsVideoToItsEnd(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("Club_night+7.mp4", "video one")
	if up.Media.State != mediaReady || up.Media.Clip.Frames != 100 {
		t.Fatalf("the video: %+v", up.Media)
	}
	path := "/api/bouts/" + string(up.Bout)
	p := must[BoutPaper](b, http.MethodGet, path, nil)
	if p.Sheet.Bout.Event != "Club night 7" || len(p.Sheet.Videos) != 1 || p.Stamp.CanUndo || p.Media[0].SHA256 != up.Media.SHA256 {
		t.Fatalf("the new bout: %+v", p)
	}
	p = must[BoutPaper](b, http.MethodPut, path, save(1, "record a touch", lines(up.Media.SHA256, "one", "two")))
	if p.Stamp.Revision != 2 || !p.Stamp.CanUndo || p.Stamp.UndoGesture != "record a touch" || p.Sheet.Bout.Sheet[1].After.Left != 2 {
		t.Fatalf("after a save: %+v", p)
	}

	salle := must[Salle](b, http.MethodGet, "/api/salle", nil)
	card := salle.Bouts[0]
	if card.Score.Left != 2 || card.Lines != 2 || card.Left != "A. Norden" || card.Picture != "/media/"+up.Media.SHA256+"/at/1.000" || len(salle.Loose) != 0 {
		t.Errorf("the card: %+v", card)
	}
	w := b.ask(http.MethodGet, card.Picture+"?width=320", nil)
	if w.Code != http.StatusFound || w.Header().Get("Location") != "/media/"+up.Media.SHA256+"/frame/25.jpg?width=320" {
		t.Errorf("the picture: %d %s", w.Code, w.Header().Get("Location"))
	}

	base := object{"base": 2}
	p = must[BoutPaper](b, http.MethodPost, path+"/undo", base)
	if len(p.Sheet.Bout.Sheet) != 0 || !p.Stamp.CanRedo || p.Stamp.RedoGesture != "record a touch" || p.Stamp.UndoGesture != "" {
		t.Errorf("after undo: %+v", p.Stamp)
	}
	b.refused(http.StatusConflict, http.MethodPost, path+"/undo", object{"base": 1})
	p = must[BoutPaper](b, http.MethodPost, path+"/redo", object{"base": 1})
	if len(p.Sheet.Bout.Sheet) != 2 || p.Stamp.Revision != 2 {
		t.Errorf("after redo: %+v", p.Stamp)
	}

	// Another window is still at revision 1: it gets what is there now.
	r := b.refused(http.StatusConflict, http.MethodPut, path, save(1, "late", lines(up.Media.SHA256)))
	if r.Bout == nil || r.Bout.Stamp.Revision != 2 || !strings.Contains(r.Detail, "Nothing was overwritten") {
		t.Errorf("a conflict: %+v", r)
	}
	bad := lines(up.Media.SHA256)
	bad["note"] = "refuse me"
	if r := b.refused(http.StatusUnprocessableEntity, http.MethodPut, path, save(2, "bad", bad)); len(r.Errors) != 1 || r.Errors[0].Location != "/note" {
		t.Errorf("a refusal of the papers: %+v", r)
	}
	b.lib.full = true
	if r := b.refused(http.StatusInsufficientStorage, http.MethodPut, path, save(2, "full", lines(up.Media.SHA256))); !strings.Contains(r.Detail, "Free some space") {
		t.Errorf("a full disk: %+v", r)
	}
	b.lib.full = false
	if w := b.ask(http.MethodDelete, path+"?base=1", nil); w.Code != http.StatusConflict {
		t.Errorf("deleting an old state: %d", w.Code)
	}
	if w := b.ask(http.MethodDelete, path+"?base=2", nil); w.Code != http.StatusNoContent {
		t.Errorf("deleting: %d %s", w.Code, w.Body)
	}
	b.refused(http.StatusNotFound, http.MethodGet, path, nil)
	if got := must[Salle](b, http.MethodGet, "/api/salle", nil); len(got.Bouts) != 0 || len(got.Loose) != 1 {
		t.Errorf("afterwards: %+v", got)
	}
}

func TestABoutCannotNameAVideoThatIsNotThere(t *testing.T) {
	b := newBench(t)
	r := b.refused(http.StatusUnprocessableEntity, http.MethodPost, "/api/bouts", object{"sheet": lines(strings.Repeat("0", 64))})
	if len(r.Errors) != 1 || r.Errors[0].Location != "/sheet/videos/0" {
		t.Errorf("%+v", r)
	}
	if got := must[BoutPaper](b, http.MethodPost, "/api/bouts", object{"sheet": object{"bout": object{"left": object{}, "right": object{}}, "videos": []object{}}}); got.Stamp.Revision != 1 {
		t.Errorf("%+v", got)
	}
}

func TestALineIsTakenApartOnce(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "video one")
	path := "/api/bouts/" + string(up.Bout)
	must[BoutPaper](b, http.MethodPut, path, save(1, "lines", lines(up.Media.SHA256, "one", "two", "three")))
	var all sync.WaitGroup
	ids := make([]study.ID, 8)
	for i := range ids {
		all.Go(func() {
			ids[i] = must[TouchPaper](b, http.MethodPost, path+"/lines/one/touch", nil).Stamp.ID
		})
	}
	all.Wait()
	for _, id := range ids {
		if id != ids[0] {
			t.Fatalf("two windows got two touches: %v", ids)
		}
	}
	one := must[TouchPaper](b, http.MethodGet, "/api/touches/"+url.PathEscape(string(ids[0])), nil)
	if one.Touch.Takes[0].From != 13 || one.Touch.Takes[0].To != 38 || one.Bout != up.Bout || one.Previous != "" || one.Next != "" || one.Touch.Number != 1 {
		t.Errorf("the touch: %+v", one)
	}
	three := must[TouchPaper](b, http.MethodPost, path+"/lines/three/touch", nil)
	if three.Previous != ids[0] || three.Touch.Before.Left != 2 {
		t.Errorf("the third: %+v", three)
	}
	if one = must[TouchPaper](b, http.MethodGet, "/api/touches/"+string(ids[0]), nil); one.Next != three.Stamp.ID {
		t.Errorf("the neighbour: %+v", one)
	}
	p := must[BoutPaper](b, http.MethodGet, path, nil)
	if len(p.Touches) != 2 || p.Touches[0].Line != "one" || p.Touches[0].Done != study.DoneNew || p.Touches[0].Picture == "" {
		t.Errorf("the cards: %+v", p.Touches)
	}
	b.refused(http.StatusNotFound, http.MethodPost, path+"/lines/four/touch", nil)
	b.refused(http.StatusNotFound, http.MethodGet, path+"x", nil)
	b.refused(http.StatusNotFound, http.MethodGet, "/api/touches/"+string(up.Bout), nil)
	b.refused(http.StatusNotFound, http.MethodGet, "/api/bouts/"+string(ids[0]), nil)
}

func TestATouchIsSavedUndoneAndRemoved(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "video one")
	must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(up.Bout), save(1, "lines", lines(up.Media.SHA256, "one")))
	one := must[TouchPaper](b, http.MethodPost, fmt.Sprintf("/api/bouts/%s/lines/one/touch", up.Bout), nil)
	path := "/api/touches/" + string(one.Stamp.ID)
	one.Touch.Title = "The counter"
	two := must[TouchPaper](b, http.MethodPut, path, object{"base": 1, "gesture": "name it", "touch": one.Touch})
	if two.Touch.Title != "The counter" || two.Stamp.UndoGesture != "name it" || two.Touch.Bout.Event != "Club night" {
		t.Errorf("saved: %+v", two)
	}
	r := b.refused(http.StatusConflict, http.MethodPut, path, object{"base": 1, "gesture": "late", "touch": one.Touch})
	if r.Touch == nil || r.Touch.Stamp.Revision != 2 {
		t.Errorf("a conflict: %+v", r)
	}
	back := must[TouchPaper](b, http.MethodPost, path+"/undo", object{"base": 2})
	if back.Touch.Title == "The counter" || back.Stamp.RedoGesture != "name it" {
		t.Errorf("undone: %+v", back.Stamp)
	}
	must[TouchPaper](b, http.MethodPost, path+"/redo", object{"base": 1})
	one.Touch.Note = "refuse me"
	b.refused(http.StatusUnprocessableEntity, http.MethodPut, path, object{"base": 2, "gesture": "bad", "touch": one.Touch})
	if w := b.ask(http.MethodDelete, path+"?base=2", nil); w.Code != http.StatusNoContent {
		t.Errorf("deleting: %d %s", w.Code, w.Body)
	}
	b.refused(http.StatusNotFound, http.MethodGet, path, nil)
}

func TestWhatIsNotInTheFormIsRefusedInWords(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "video one")
	path := "/api/bouts/" + string(up.Bout)
	for name, body := range map[string]string{
		"no JSON": "{", "a number for a text": `{"base":"one"}`, "nothing": "null", "a list": "[]", "huge number": `{"base":1e400}`,
	} {
		if w := b.ask(http.MethodPut, path, body); w.Code < 400 || w.Code >= 500 || !strings.Contains(w.Body.String(), "Nothing was changed") {
			t.Errorf("%s: %d %s", name, w.Code, w.Body)
		}
	}
	if w := b.ask(http.MethodPut, path, strings.Repeat(" ", bodyLimit+1)); w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("too large: %d %s", w.Code, w.Body)
	}
	if w := b.ask(http.MethodPut, path, "{}", func(r *http.Request) { r.Header.Set("Content-Type", "text/plain") }); w.Code < 400 || w.Code >= 500 {
		t.Errorf("a form's content type: %d %s", w.Code, w.Body)
	}
}
