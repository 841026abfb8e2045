package main

import (
	"context"
	"errors"
	"testing"

	"mesure/show/clip"
	"mesure/show/script"
	"mesure/show/tell"
	"mesure/store/storetest"
	"mesure/study"
)

// A touch has one telling, a document of its own history that goes with the touch.
func TestTellingOnShelf(t *testing.T) {
	ctx, lib := context.Background(), storetest.Memory(t)
	s := tell.Shelf{Library: lib}
	touch := must[study.Document](t)(lib.Create(ctx, study.Document{ID: "8", Kind: study.KindTouch, Body: []byte("{}")}))
	if _, err := s.Of(ctx, touch.ID); !errors.Is(err, study.ErrNotFound) {
		t.Fatalf("told before it was: %v", err)
	}
	first := &tell.Telling{Script: &script.Script{Options: script.Options{Level: script.Club, Names: script.Named, Language: "en"}}, Board: clip.Board{}}
	k := must[tell.OnShelf](t)(s.Keep(ctx, touch.ID, 0, "draft", first))
	if k.Document.Of != touch.ID || k.Document.Revision != 1 || k.Document.Gesture != "draft" {
		t.Errorf("%+v", k.Document)
	}
	var conflict *study.ConflictError
	if _, err := s.Keep(ctx, touch.ID, 0, "draft", first); !errors.As(err, &conflict) || conflict.Current.Revision != 1 {
		t.Errorf("a second first one: %v", err)
	}
	second := *first
	second.Lesson = true
	k = must[tell.OnShelf](t)(s.Keep(ctx, touch.ID, 1, "lesson", &second))
	if !k.Telling.Lesson || !k.Document.CanUndo {
		t.Errorf("%+v", k)
	}
	if _, err := s.Keep(ctx, touch.ID, 1, "old", first); !errors.Is(err, study.ErrConflict) {
		t.Errorf("on top of an old state: %v", err)
	}
	if _, err := lib.Undo(ctx, k.Document.ID, k.Document.Revision); err != nil {
		t.Fatal(err)
	}
	if k := must[tell.OnShelf](t)(s.Of(ctx, touch.ID)); k.Telling.Lesson || !k.Document.CanRedo {
		t.Errorf("after undo: %+v", k)
	}
	var wrong *tell.Error
	if _, err := s.Keep(ctx, touch.ID, 1, "spoilt", &tell.Telling{}); !errors.As(err, &wrong) {
		t.Errorf("a telling that does not read back was kept: %v", err)
	}
	if err := lib.Delete(ctx, touch.ID, touch.Revision); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Of(ctx, touch.ID); !errors.Is(err, study.ErrNotFound) {
		t.Errorf("it stayed behind: %v", err)
	}
}

// A damaged telling is named by the check of the shelf, and hides nothing else.
func TestDamagedTellingIsNamed(t *testing.T) {
	ctx, lib := context.Background(), storetest.Memory(t)
	touch := must[study.Document](t)(lib.Create(ctx, study.Document{ID: "8", Kind: study.KindTouch, Body: []byte("{}")}))
	must[study.Document](t)(lib.Create(ctx, study.Document{ID: tell.ID(touch.ID), Kind: study.KindTelling, Of: touch.ID, Body: []byte(`{"format": 1}`)}))
	found := must[[]study.Warning](t)(tell.Shelf{Library: lib}.Check(ctx))
	if len(found) != 1 || found[0].About != "8.telling" || found[0].Code != "document-unread" {
		t.Errorf("%+v", found)
	}
}
