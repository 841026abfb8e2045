package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"sync"
	"testing"

	"mesure/demo"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/store/storetest"
	"mesure/study"
)

// The shelf is tested here, where a library and the files meet.

func memoryShelf(t *testing.T) study.Shelf {
	return shelfOf(storetest.Indexed(t, libraryOptions().Acts))
}

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// clipOf is a video of this many seconds at 50 frames a second.
func clipOf(seconds int) mark.Clip {
	c := mark.Clip{Width: 1280, Height: 720}
	for i := range 50 * seconds {
		c.Times = append(c.Times, mark.FileTime(float64(i)/50))
	}
	return c
}

// aBout is a bout to 15 of three lines, one of which no video shows.
func aBout() *study.BoutSheet {
	l, r := bout.Lamps{Left: true}, bout.Lamps{Right: true}
	return &study.BoutSheet{
		Bout: bout.Bout{Event: "Harbour Cup", Weapon: bout.Epee, Touches: 15, Sheet: []bout.Phrase{
			{ID: "a", Lamps: l, Video: "v", Halt: 10, From: 4, To: 12},
			{Lamps: r},
			{ID: "c", Lamps: r, Video: "v", Halt: 20},
		}},
		Videos: []study.Video{{ID: "v", File: "bout.mp4"}},
	}
}

// TestBoutOnTheShelf: a sheet is counted, its lines get names, a change of one
// line counts those after it anew, and an old revision is refused.
func TestBoutOnTheShelf(t *testing.T) {
	ctx, s := t.Context(), memoryShelf(t)
	b := must[study.BoutOnShelf](t)(s.AddBout(ctx, "", "make the bout", aBout()))
	lines := b.Sheet.Bout.Sheet
	if lines[1].ID != "line-2" || lines[2].After != (bout.Score{Left: 1, Right: 2}) || lines[0].ID != "a" {
		t.Errorf("the sheet is %+v", lines)
	}
	next := *b.Sheet
	next.Bout.Sheet = append([]bout.Phrase(nil), lines[1:]...)
	after := must[study.BoutOnShelf](t)(s.SaveBout(ctx, b.Document.ID, b.Document.Revision, "remove line 1", &next))
	if p := after.Sheet.Bout.Sheet[1]; p.Number != 2 || p.ID != "c" || p.After != (bout.Score{Right: 2}) {
		t.Errorf("after the first line went, the last is %+v", p)
	}
	if _, err := s.SaveBout(ctx, b.Document.ID, b.Document.Revision, "stale", &next); !errors.Is(err, study.ErrConflict) {
		t.Errorf("a stale save: %v", err)
	}
	if _, err := s.Bout(ctx, "nobody"); !errors.Is(err, study.ErrNotFound) {
		t.Errorf("no bout: %v", err)
	}
	bad := aBout()
	bad.Bout.Sheet[0].Video = "w"
	if _, err := s.SaveBout(ctx, b.Document.ID, after.Document.Revision, "", bad); err == nil {
		t.Error("a line of no video was stored")
	}
}

// TestTouchFollowsItsBout: what the sheet says of a touch comes from the sheet,
// also after it was changed; the touch itself has one history.
func TestTouchFollowsItsBout(t *testing.T) {
	ctx, s := t.Context(), memoryShelf(t)
	b := must[study.BoutOnShelf](t)(s.AddBout(ctx, "b", "", aBout()))
	k := must[study.TouchOnShelf](t)(s.TouchOfLine(ctx, "b", "c", clipOf(60)))
	if k.Document.ID != "b-c" || k.Document.Of != "b" || k.Touch.Number != 3 || k.Touch.Before != (bout.Score{Left: 1, Right: 1}) || *k.Touch.Lamps != (bout.Lamps{Right: true}) || k.Touch.Bout.Event != "Harbour Cup" {
		t.Errorf("the touch is %+v", k.Touch)
	}
	// No stretch was noted: from 6 s before the halt to 2 s after it.
	if take := k.Touch.Takes[0]; take.From != 14*50 || take.To != 22*50 {
		t.Errorf("its take is %+v", take)
	}
	sheet := *b.Sheet
	sheet.Bout.Event, sheet.Bout.Sheet[0].Lamps = "Harbour Open", bout.Lamps{Left: true, Right: true}
	must[study.BoutOnShelf](t)(s.SaveBout(ctx, "b", b.Document.Revision, "", &sheet))
	again := must[study.TouchOnShelf](t)(s.Touch(ctx, "b-c"))
	if again.Touch.Before != (bout.Score{Left: 1, Right: 2}) || again.Touch.Bout.Event != "Harbour Open" || again.Document.Revision != 1 {
		t.Errorf("after a change to the sheet the touch is %+v", again.Touch)
	}
	// A window sends the whole touch; its copy of the bout is not stored.
	again.Touch.Bout.Event, again.Touch.Title = "forged", "Touch of the day"
	saved := must[study.TouchOnShelf](t)(s.SaveTouch(ctx, "b-c", 1, "name it", again.Touch))
	if saved.Touch.Bout.Event != "Harbour Open" || saved.Touch.Title != "Touch of the day" || saved.Document.Revision != 2 {
		t.Errorf("saved as %+v", saved.Touch)
	}
	if _, err := s.Touch(ctx, "b"); !errors.Is(err, study.ErrNotFound) {
		t.Errorf("a bout as a touch: %v", err)
	}
	alone := must[study.TouchOnShelf](t)(s.AddTouch(ctx, "", "", "", &study.Touch{Number: 4}))
	if alone.Touch.Number != 4 {
		t.Errorf("a touch without a bout is %+v", alone.Touch)
	}
}

// TestTouchOfLine: asked twice, and by many at once, there is one touch.
func TestTouchOfLine(t *testing.T) {
	ctx, s := t.Context(), memoryShelf(t)
	must[study.BoutOnShelf](t)(s.AddBout(ctx, "b", "", aBout()))
	var wg sync.WaitGroup
	ids := make([]study.ID, 8)
	for i := range ids {
		wg.Go(func() {
			k, err := s.TouchOfLine(ctx, "b", "a", clipOf(30))
			if err != nil {
				t.Error(err)
			}
			ids[i] = k.Document.ID
		})
	}
	wg.Wait()
	for _, id := range ids {
		if id != "b-a" {
			t.Errorf("touches %v", ids)
		}
	}
	if all := must[[]study.Document](t)(s.Library.List(ctx, study.KindTouch, "b")); len(all) != 1 {
		t.Errorf("%d touches", len(all))
	}
	k := must[study.TouchOnShelf](t)(s.Touch(ctx, "b-a"))
	if take := k.Touch.Takes[0]; take.From != 200 || take.To != 600 || take.Video != "v" {
		t.Errorf("its take is %+v", take)
	}
	// The touch was given to another line: the first is to be taken apart anew.
	k.Touch.Line = "c"
	must[study.TouchOnShelf](t)(s.SaveTouch(ctx, "b-a", 1, "", k.Touch))
	other := must[study.TouchOnShelf](t)(s.TouchOfLine(ctx, "b", "a", clipOf(30)))
	if other.Document.ID == "b-a" || other.Touch.Line != "a" {
		t.Errorf("%s is line %q", other.Document.ID, other.Touch.Line)
	}
	var refusal *study.Refusal
	if _, err := s.TouchOfLine(ctx, "b", "line-2", clipOf(30)); !errors.As(err, &refusal) || refusal.At != "/bout/sheet/1/video" {
		t.Errorf("a line that no video shows: %v", err)
	}
	if _, err := s.TouchOfLine(ctx, "b", "x", clipOf(30)); !errors.Is(err, study.ErrNotFound) {
		t.Errorf("no such line: %v", err)
	}
}

// TestAdopt: touches of one bout share it, are tied to their lines, and add their
// videos to it under names of their own.
func TestAdopt(t *testing.T) {
	ctx, s := t.Context(), memoryShelf(t)
	touch := func(number int, file string) *study.Touch {
		b := aBout().Bout.Scored()
		p := b.Sheet[number-1]
		lamps := p.Lamps
		for i := range b.Sheet { // as a file that was written by hand
			b.Sheet[i] = bout.Phrase{Number: i + 1, Before: b.Sheet[i].Before, Lamps: b.Sheet[i].Lamps}
		}
		return &study.Touch{Bout: b, Number: number, Before: p.Before, Lamps: &lamps, Videos: []study.Video{{ID: "main", File: file}}}
	}
	one := must[study.TouchOnShelf](t)(s.Adopt(ctx, "one", "add", touch(1, "a.mp4")))
	two := must[study.TouchOnShelf](t)(s.Adopt(ctx, "two", "add", touch(3, "b.mp4")))
	if one.Document.Of != two.Document.Of || one.Touch.Line != "line-1" || two.Touch.Line != "line-3" {
		t.Errorf("bouts %s and %s, lines %q and %q", one.Document.Of, two.Document.Of, one.Touch.Line, two.Touch.Line)
	}
	b := must[study.BoutOnShelf](t)(s.Bout(ctx, one.Document.Of))
	if want := []study.Video{{ID: "main", File: "a.mp4"}, {ID: "main-2", File: "b.mp4"}}; !reflect.DeepEqual(b.Sheet.Videos, want) {
		t.Errorf("the videos of the bout are %+v", b.Sheet.Videos)
	}
	if _, err := s.Adopt(ctx, "one", "add", touch(2, "a.mp4")); !errors.Is(err, study.ErrExists) {
		t.Errorf("a name that is taken: %v", err)
	}
	other := touch(1, "a.mp4")
	other.Bout.Round = "final"
	if k := must[study.TouchOnShelf](t)(s.Adopt(ctx, "", "add", other)); k.Document.Of == one.Document.Of {
		t.Error("a touch of another bout joined this one")
	}
	// Of two touches that say nothing of their bout, only a common video tells.
	bare := func(file string) study.ID {
		k := must[study.TouchOnShelf](t)(s.Adopt(ctx, "", "add", &study.Touch{Videos: []study.Video{{ID: "v", File: file}}}))
		return k.Document.Of
	}
	if a, b, c := bare("x.mp4"), bare("y.mp4"), bare("x.mp4"); a == b || a != c || a == one.Document.Of {
		t.Errorf("nameless bouts %s, %s, %s", a, b, c)
	}
	// What fails leaves nothing.
	before := len(must[[]study.Document](t)(s.Library.List(ctx, study.KindBout, "")))
	last := touch(1, "a.mp4")
	last.Bout.Round = "table of 8"
	if _, err := s.Adopt(ctx, "one", "add", last); !errors.Is(err, study.ErrExists) {
		t.Errorf("a name that is taken: %v", err)
	}
	if n := len(must[[]study.Document](t)(s.Library.List(ctx, study.KindBout, ""))); n != before {
		t.Errorf("%d bouts after a failure, %d before", n, before)
	}
}

// madeDemo is a folder of the demo with a few bytes in place of every video.
func madeDemo(t *testing.T) (string, demo.Manifest) {
	dir := t.TempDir()
	var m demo.Manifest
	for _, touch := range demo.Touches() {
		for _, v := range touch.Videos {
			if err := os.WriteFile(filepath.Join(dir, v.File), []byte(v.File), 0o600); err != nil {
				t.Fatal(err)
			}
			m.Files = append(m.Files, demo.File{Name: v.File})
		}
	}
	return dir, m
}

// TestShelveDemo: one bout whose filmed lines point to their videos, four
// touches, one of them half done; a second time changes nothing.
func TestShelveDemo(t *testing.T) {
	ctx, s := t.Context(), memoryShelf(t)
	dir, made := madeDemo(t)
	id := must[study.ID](t)(demo.Shelve(ctx, s, dir, made))
	b := must[study.BoutOnShelf](t)(s.Bout(ctx, id))
	if len(b.Sheet.Bout.Sheet) != 24 || len(b.Sheet.Videos) != 5 || !b.Sheet.Invented || len(b.Sheet.Doubts()) != 0 {
		t.Errorf("%d lines, %d videos, doubts %v", len(b.Sheet.Bout.Sheet), len(b.Sheet.Videos), b.Sheet.Doubts())
	}
	filmed := 0
	for _, p := range b.Sheet.Bout.Sheet {
		if p.ID == "" || (p.Video != "") != (p.Number >= 6 && p.Number <= 9) {
			t.Errorf("line %+v", p)
		}
		if p.Video == "" {
			continue
		}
		filmed++
		if !(p.From < p.Halt && p.Halt <= p.To) {
			t.Errorf("line %d: from %v to %v, halt %v", p.Number, p.From, p.To, p.Halt)
		}
		k := must[study.TouchOnShelf](t)(s.TouchOfLine(ctx, id, p.ID, clipOf(10)))
		want := demo.Touches()[p.Number-6]
		if k.Document.Revision != 1 || k.Touch.Title != want.Title || k.Touch.Number != want.Number || k.Touch.Before != want.Before || *k.Touch.Lamps != *want.Lamps {
			t.Errorf("line %d is %s, %+v", p.Number, k.Document.ID, k.Touch)
		}
		for _, v := range k.Touch.Videos {
			if _, err := s.Library.MediaPath(ctx, v.SHA256); err != nil {
				t.Errorf("video %+v: %v", v, err)
			}
		}
		done := study.DoneRead
		if p.Number-6 == demo.Guided {
			done = study.DoneMarked
			if len(k.Touch.Placings) != 1 || len(k.Touch.Marks) != len(mark.Points()) || len(k.Touch.Moments) != 1 || len(k.Touch.Takes) != 1 {
				t.Errorf("the guided touch: %d placings, %d marks, %d moments", len(k.Touch.Placings), len(k.Touch.Marks), len(k.Touch.Moments))
			}
			for _, m := range k.Touch.Marks {
				if m.Who != mark.Left {
					t.Errorf("the guided touch has a mark of the right fencer: %+v", m)
				}
			}
		}
		if k.Touch.Done() != done {
			t.Errorf("touch %d is %s, want %s", p.Number, k.Touch.Done(), done)
		}
	}
	if filmed != demo.Count {
		t.Errorf("%d lines are filmed", filmed)
	}
	if again := must[study.ID](t)(demo.Shelve(ctx, s, t.TempDir(), made)); again != id {
		t.Errorf("a second time it is %s", again)
	}
	if all := must[[]study.Document](t)(s.Library.List(ctx, "touch", "")); len(all) != demo.Count {
		t.Errorf("%d touches", len(all))
	}
	// The demo's own touch files belong to it.
	touch := demo.Marked(1, 9, 1.5)
	if k := must[study.TouchOnShelf](t)(s.Adopt(ctx, "", "add", &touch)); k.Document.Of != id || k.Touch.Line != "line-7" {
		t.Errorf("a touch file of the demo belongs to %s, line %q", k.Document.Of, k.Touch.Line)
	}
}

// TestShelveDemoLeavesNothing when a video is missing or a touch fails.
func TestShelveDemoLeavesNothing(t *testing.T) {
	ctx, s := t.Context(), memoryShelf(t)
	if _, err := demo.Shelve(ctx, s, t.TempDir(), demo.Manifest{Files: []demo.File{{Name: "none.mp4"}}}); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no video: %v", err)
	}
	dir, made := madeDemo(t)
	s.Library = &fullUp{Library: s.Library, creates: 3}
	if _, err := demo.Shelve(ctx, s, dir, made); !errors.Is(err, errFails) {
		t.Errorf("a failing library: %v", err)
	}
	for _, k := range []study.Kind{study.KindBout, study.KindTouch} {
		if all := must[[]study.Document](t)(s.Library.List(ctx, k, "")); len(all) != 0 {
			t.Errorf("%d documents of kind %s are left", len(all), k)
		}
	}
}

var errFails = fmt.Errorf("it fails")

// fullUp is a library that stores only so many documents.
type fullUp struct {
	study.Library
	creates int
}

func (f *fullUp) Create(ctx context.Context, d study.Document) (study.Document, error) {
	if f.creates--; f.creates < 0 {
		return study.Document{}, errFails
	}
	return f.Library.Create(ctx, d)
}

// TestDamagedDocumentIsListed: one document that does not read hides none of the
// others, and the check names it.
func TestDamagedDocumentIsListed(t *testing.T) {
	ctx, s := t.Context(), memoryShelf(t)
	must[study.BoutOnShelf](t)(s.AddBout(ctx, "b", "", aBout()))
	must[study.TouchOnShelf](t)(s.AddTouch(ctx, "good", "b", "", &study.Touch{Title: "good"}))
	for _, d := range []study.Document{
		{ID: "bad", Kind: study.KindTouch, Of: "b", Body: []byte(`{"takes": 7}`)},
		{ID: "worse", Kind: study.KindBout, Body: []byte(`[]`)},
	} {
		must[study.Document](t)(s.Library.Create(ctx, d))
	}
	touches := must[[]listedTouch](t)(touchesOf(ctx, s.Library))
	if len(touches) != 2 || touches[0].Title != "good" || touches[0].Trouble != "" || touches[1].Trouble == "" {
		t.Errorf("touches %+v", touches)
	}
	bouts := must[[]listedBout](t)(boutsOf(ctx, s.Library))
	if len(bouts) != 2 || bouts[0].Lines != 3 || bouts[0].Score != (bout.Score{Left: 1, Right: 2}) || bouts[0].Touches != 2 || bouts[1].Trouble == "" {
		t.Errorf("bouts %+v", bouts)
	}
	found := must[[]study.Warning](t)(s.Check(ctx))
	if len(found) != 2 || found[0].About != "worse" || found[1].About != "bad" {
		t.Errorf("the check finds %+v", found)
	}
	if _, err := unshelve(ctx, s.Library, "bad"); codeOf(err) != library || hintOf(err) == "" {
		t.Errorf("to read it: %v, code %d", err, codeOf(err))
	}
}
