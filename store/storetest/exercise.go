package storetest

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"mesure/study"
)

// Exercise runs the contract of study.Library against an engine. open returns an
// empty library of its own at every call, with acts as this indexer finds them (nil:
// none); the suite closes it.
func Exercise(t *testing.T, open func(t *testing.T, acts study.Indexer) study.Library) {
	for _, c := range []struct {
		name string
		run  func(t *testing.T, l study.Library)
	}{
		{"create", testCreate},
		{"create refuses", testCreateRefuses},
		{"save", testSave},
		{"undo and redo", testUndoRedo},
		{"save after undo", testSaveAfterUndo},
		{"history", testHistory},
		{"conflict", testConflict},
		{"not found", testNotFound},
		{"list", testList},
		{"delete", testDelete},
		{"bodies are copies", testBodiesAreCopies},
		{"concurrent saves", testConcurrentSaves},
		{"concurrent readers", testConcurrentReaders},
		{"ended context", testEndedContext},
		{"media", testMedia},
		{"media twice", testMediaTwice},
		{"media from a broken reader", testMediaBrokenReader},
		{"media removed", testMediaRemoved},
		{"media at once", testMediaAtOnce},
		{"check", testCheck},
		{"acts follow the state", testActsFollow},
		{"acts are chosen", testActsChosen},
		{"acts of one day", testActsSameDay},
		{"acts keep their order", testActsOrder},
		{"acts of what does not read", testActsUnread},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := open(t, actsOfBody)
			c.run(t, l)
			if err := l.Close(); err != nil {
				t.Errorf("close: %v", err)
			}
		})
	}
	t.Run("acts without an indexer", func(t *testing.T) {
		l := open(t, nil)
		addActs(t, l, "a", act("", "Ash", "Brook", "lunge"))
		wantActs(t, l, study.ActQuery{Fencer: "Ash"})
		if err := l.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
}

// must fails the test at once.
func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func body(s string) json.RawMessage { return json.RawMessage(`{"is":"` + s + `"}`) }

func create(t *testing.T, l study.Library, kind study.Kind, of study.ID, is string) study.Document {
	t.Helper()
	return must[study.Document](t)(l.Create(context.Background(), study.Document{Kind: kind, Of: of, Gesture: "new " + is, Body: body(is)}))
}

func save(t *testing.T, l study.Library, d study.Document, is string) study.Document {
	t.Helper()
	return must[study.Document](t)(l.Save(context.Background(), d.ID, d.Revision, "make it "+is, body(is)))
}

// is fails unless a document shows this revision and body.
func is(t *testing.T, d study.Document, r study.Revision, want string) {
	t.Helper()
	if d.Revision != r || string(d.Body) != string(body(want)) {
		t.Fatalf("revision %d with %s, want %d with %s", d.Revision, d.Body, r, body(want))
	}
}

func isErr(t *testing.T, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Fatalf("got %v, want %v", err, want)
	}
}

func testCreate(t *testing.T, l study.Library) {
	ctx := context.Background()
	bout := create(t, l, study.KindBout, "", "a")
	is(t, bout, 1, "a")
	if bout.ID == "" || bout.Kind != study.KindBout || bout.Of != "" || bout.Gesture != "new a" || bout.Saved.IsZero() || bout.CanUndo || bout.CanRedo {
		t.Errorf("created %+v", bout)
	}
	named := must[study.Document](t)(l.Create(ctx, study.Document{ID: "mine", Kind: study.KindTouch, Of: bout.ID, Body: body("b")}))
	if named.ID != "mine" || named.Of != bout.ID {
		t.Errorf("created %+v", named)
	}
	got := must[study.Document](t)(l.Get(ctx, "mine"))
	is(t, got, 1, "b")
	if !got.Saved.Equal(named.Saved) || got.Kind != study.KindTouch || got.Of != bout.ID {
		t.Errorf("created %+v, got %+v", named, got)
	}
	if other := create(t, l, study.KindBout, "", "c"); other.ID == bout.ID {
		t.Errorf("two documents are called %s", other.ID)
	}
}

func testCreateRefuses(t *testing.T, l study.Library) {
	ctx := context.Background()
	d := create(t, l, study.KindBout, "", "a")
	_, err := l.Create(ctx, study.Document{ID: d.ID, Kind: study.KindBout, Body: body("b")})
	isErr(t, err, study.ErrExists)
	_, err = l.Create(ctx, study.Document{Kind: study.KindTouch, Of: "nobody", Body: body("b")})
	isErr(t, err, study.ErrNotFound)
	for _, bad := range []string{"", "{", "NaN", "{}{}"} {
		if _, err := l.Create(ctx, study.Document{Kind: study.KindBout, Body: json.RawMessage(bad)}); err == nil {
			t.Errorf("stored a body that is no JSON: %q", bad)
		}
		if _, err := l.Save(ctx, d.ID, d.Revision, "", json.RawMessage(bad)); err == nil {
			t.Errorf("saved a body that is no JSON: %q", bad)
		}
	}
	is(t, must[study.Document](t)(l.Get(ctx, d.ID)), 1, "a")
	if all := must[[]study.Document](t)(l.List(ctx, study.KindTouch, "")); len(all) != 0 {
		t.Errorf("what was refused is there: %+v", all)
	}
}

func testSave(t *testing.T, l study.Library) {
	a := create(t, l, study.KindTouch, "", "a")
	b := save(t, l, a, "b")
	is(t, b, 2, "b")
	if b.Gesture != "make it b" || !b.CanUndo || b.CanRedo || b.Kind != study.KindTouch || b.Saved.Before(a.Saved) {
		t.Errorf("saved %+v", b)
	}
	got := must[study.Document](t)(l.Get(context.Background(), a.ID))
	is(t, got, 2, "b")
	if !got.CanUndo || got.CanRedo {
		t.Errorf("got %+v", got)
	}
	// A body is kept letter by letter.
	odd := json.RawMessage("{ \"b\":1,\n\"a\" : \"\\u00e9é\", \"n\": 1.50e+03 }")
	c := must[study.Document](t)(l.Save(context.Background(), a.ID, 2, "", odd))
	if string(c.Body) != string(odd) {
		t.Errorf("saved %s, got %s", odd, c.Body)
	}
}

func testUndoRedo(t *testing.T, l study.Library) {
	ctx := context.Background()
	a := create(t, l, study.KindTouch, "", "a")
	b := save(t, l, a, "b")
	c := save(t, l, b, "c")
	undo := func(base study.Revision) study.Document {
		t.Helper()
		return must[study.Document](t)(l.Undo(ctx, a.ID, base))
	}
	redo := func(base study.Revision) study.Document {
		t.Helper()
		return must[study.Document](t)(l.Redo(ctx, a.ID, base))
	}
	_, err := l.Redo(ctx, a.ID, 3)
	isErr(t, err, study.ErrNoStep)
	d := undo(3)
	is(t, d, 2, "b")
	if !d.CanUndo || !d.CanRedo || d.Gesture != "make it b" || !d.Saved.Equal(b.Saved) {
		t.Errorf("undone to %+v", d)
	}
	is(t, must[study.Document](t)(l.Get(ctx, a.ID)), 2, "b")
	d = undo(2)
	is(t, d, 1, "a")
	if d.CanUndo || !d.CanRedo {
		t.Errorf("undone to %+v", d)
	}
	_, err = l.Undo(ctx, a.ID, 1)
	isErr(t, err, study.ErrNoStep)
	is(t, redo(1), 2, "b")
	d = redo(2)
	is(t, d, 3, "c")
	if !d.CanUndo || d.CanRedo || !d.Saved.Equal(c.Saved) {
		t.Errorf("redone to %+v", d)
	}
}

// What had been undone is gone after a new save, and its number is not used
// again: it would let a stale base pass for a fresh one.
func testSaveAfterUndo(t *testing.T, l study.Library) {
	ctx := context.Background()
	a := create(t, l, study.KindTouch, "", "a")
	b := save(t, l, a, "b")
	undone := must[study.Document](t)(l.Undo(ctx, a.ID, b.Revision))
	c := save(t, l, undone, "c")
	is(t, c, 3, "c")
	if !c.CanUndo || c.CanRedo {
		t.Errorf("saved %+v", c)
	}
	_, err := l.Redo(ctx, a.ID, c.Revision)
	isErr(t, err, study.ErrNoStep)
	_, err = l.Save(ctx, a.ID, b.Revision, "", body("stale"))
	isErr(t, err, study.ErrConflict)
	is(t, must[study.Document](t)(l.Undo(ctx, a.ID, 3)), 1, "a")
	is(t, must[study.Document](t)(l.Redo(ctx, a.ID, 1)), 3, "c")
}

func testHistory(t *testing.T, l study.Library) {
	ctx := context.Background()
	a := create(t, l, study.KindTouch, "", "a")
	c := save(t, l, save(t, l, a, "b"), "c")
	must[study.Document](t)(l.Undo(ctx, a.ID, c.Revision))
	all := must[[]study.Document](t)(l.History(ctx, a.ID))
	if len(all) != 3 {
		t.Fatalf("%d states are kept, want 3", len(all))
	}
	for i, want := range []string{"a", "b", "c"} {
		is(t, all[i], study.Revision(i+1), want)
		if all[i].CanUndo != (i > 0) || all[i].CanRedo != (i < 2) || all[i].ID != a.ID {
			t.Errorf("state %d is %+v", i, all[i])
		}
	}
	if all[0].Gesture != "new a" || all[2].Gesture != "make it c" {
		t.Errorf("gestures %q and %q", all[0].Gesture, all[2].Gesture)
	}
}

func testConflict(t *testing.T, l study.Library) {
	ctx := context.Background()
	a := create(t, l, study.KindTouch, "", "a")
	b := save(t, l, a, "b")
	calls := map[string]func(base study.Revision) error{
		"save": func(base study.Revision) error {
			_, err := l.Save(ctx, a.ID, base, "", body("x"))
			return err
		},
		"undo":   func(base study.Revision) error { _, err := l.Undo(ctx, a.ID, base); return err },
		"redo":   func(base study.Revision) error { _, err := l.Redo(ctx, a.ID, base); return err },
		"delete": func(base study.Revision) error { return l.Delete(ctx, a.ID, base) },
	}
	for _, name := range []string{"save", "undo", "redo", "delete"} {
		for _, base := range []study.Revision{0, a.Revision, b.Revision + 1, -1} {
			err := calls[name](base)
			isErr(t, err, study.ErrConflict)
			var c *study.ConflictError
			if !errors.As(err, &c) {
				t.Fatalf("%s: %v is no ConflictError", name, err)
			}
			is(t, c.Current, 2, "b")
			if c.Base != base || !c.Current.CanUndo {
				t.Errorf("%s: %+v", name, c)
			}
		}
	}
	is(t, must[study.Document](t)(l.Get(ctx, a.ID)), 2, "b")
}

func testNotFound(t *testing.T, l study.Library) {
	ctx := context.Background()
	_, err := l.Get(ctx, "none")
	isErr(t, err, study.ErrNotFound)
	_, err = l.Save(ctx, "none", 1, "", body("a"))
	isErr(t, err, study.ErrNotFound)
	_, err = l.Undo(ctx, "none", 1)
	isErr(t, err, study.ErrNotFound)
	_, err = l.Redo(ctx, "none", 1)
	isErr(t, err, study.ErrNotFound)
	_, err = l.History(ctx, "none")
	isErr(t, err, study.ErrNotFound)
	isErr(t, l.Delete(ctx, "none", 1), study.ErrNotFound)
	_, err = l.MediaPath(ctx, strings.Repeat("0", 64))
	isErr(t, err, study.ErrNotFound)
	// A name that is no name of a content, and would lead elsewhere as a path.
	for _, bad := range []string{"", "a", "../../etc/passwd"} {
		_, err = l.MediaPath(ctx, bad)
		isErr(t, err, study.ErrNotFound)
	}
}

func testList(t *testing.T, l study.Library) {
	ctx := context.Background()
	one, two := create(t, l, study.KindBout, "", "1"), create(t, l, study.KindBout, "", "2")
	a := create(t, l, study.KindTouch, two.ID, "a")
	create(t, l, study.KindTouch, one.ID, "b")
	create(t, l, study.KindTouch, two.ID, "c")
	save(t, l, a, "a2") // does not change the order
	for _, c := range []struct {
		kind study.Kind
		of   study.ID
		want []string
	}{
		{study.KindBout, "", []string{"1", "2"}},
		{study.KindTouch, "", []string{"a2", "b", "c"}},
		{study.KindTouch, two.ID, []string{"a2", "c"}},
		{study.KindTouch, "nobody", nil},
		{"nothing of the kind", "", nil},
	} {
		var got []string
		for _, d := range must[[]study.Document](t)(l.List(ctx, c.kind, c.of)) {
			got = append(got, string(d.Body))
		}
		var want []string
		for _, w := range c.want {
			want = append(want, string(body(w)))
		}
		if strings.Join(got, " ") != strings.Join(want, " ") {
			t.Errorf("%s of %q: %v, want %v", c.kind, c.of, got, want)
		}
	}
}

func testDelete(t *testing.T, l study.Library) {
	ctx := context.Background()
	bout := create(t, l, study.KindBout, "", "bout")
	other := create(t, l, study.KindBout, "", "other")
	touch := create(t, l, study.KindTouch, bout.ID, "touch")
	marks := save(t, l, create(t, l, study.KindTouch, touch.ID, "marks"), "more")
	stays := create(t, l, study.KindTouch, other.ID, "stays")
	if err := l.Delete(ctx, bout.ID, bout.Revision); err != nil {
		t.Fatal(err)
	}
	for _, id := range []study.ID{bout.ID, touch.ID, marks.ID} {
		_, err := l.Get(ctx, id)
		isErr(t, err, study.ErrNotFound)
		_, err = l.History(ctx, id)
		isErr(t, err, study.ErrNotFound)
	}
	is(t, must[study.Document](t)(l.Get(ctx, stays.ID)), 1, "stays")
	if all := must[[]study.Document](t)(l.List(ctx, study.KindTouch, "")); len(all) != 1 {
		t.Errorf("%d touches are left, want 1", len(all))
	}
	// The name is free again.
	again := must[study.Document](t)(l.Create(ctx, study.Document{ID: bout.ID, Kind: study.KindBout, Body: body("again")}))
	is(t, again, 1, "again")
	if all := must[[]study.Document](t)(l.History(ctx, bout.ID)); len(all) != 1 {
		t.Errorf("a new document has %d states", len(all))
	}
}

func testBodiesAreCopies(t *testing.T, l study.Library) {
	ctx := context.Background()
	mine := body("a")
	d := must[study.Document](t)(l.Create(ctx, study.Document{Kind: study.KindBout, Body: mine}))
	mine[2] = 'X'
	d.Body[3] = 'X'
	is(t, must[study.Document](t)(l.Get(ctx, d.ID)), 1, "a")
}

func testEndedContext(t *testing.T, l study.Library) {
	d := create(t, l, study.KindBout, "", "a")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := l.Create(ctx, study.Document{Kind: study.KindBout, Body: body("b")}); !errors.Is(err, context.Canceled) {
		t.Errorf("create: %v", err)
	}
	if _, err := l.Save(ctx, d.ID, 1, "", body("b")); !errors.Is(err, context.Canceled) {
		t.Errorf("save: %v", err)
	}
	if _, err := l.AddMedia(ctx, "a.mp4", strings.NewReader("a")); !errors.Is(err, context.Canceled) {
		t.Errorf("media: %v", err)
	}
	is(t, must[study.Document](t)(l.Get(context.Background(), d.ID)), 1, "a")
	if all := must[[]study.Document](t)(l.List(context.Background(), study.KindBout, "")); len(all) != 1 {
		t.Errorf("%d documents, want 1", len(all))
	}
}
