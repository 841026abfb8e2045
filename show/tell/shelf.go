package tell

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"mesure/study"
)

// Shelf keeps tellings in a library: a touch has one, a document of its own history
// that goes with the touch.
type Shelf struct{ Library study.Library }

// OnShelf is a telling with the state of its document.
type OnShelf struct {
	Document study.Document
	Telling  *Telling
}

// ID is what the telling of a touch is called in the library.
func ID(touch study.ID) study.ID { return touch + ".telling" }

// Of takes the telling of a touch from the shelf. Errors: study.ErrNotFound where the
// touch was not told yet; an *Error where the document is damaged.
func (s Shelf) Of(ctx context.Context, touch study.ID) (OnShelf, error) {
	d, err := s.Library.Get(ctx, ID(touch))
	if err == nil && (d.Kind != study.KindTelling || d.Of != touch) {
		err = fmt.Errorf("%w: %q is no telling of %q", study.ErrNotFound, d.ID, touch)
	}
	if err != nil {
		return OnShelf{}, err
	}
	return onShelf(d)
}

func onShelf(d study.Document) (OnShelf, error) {
	t, err := Read(bytes.NewReader(d.Body), "the telling of "+string(d.Of))
	return OnShelf{d, t}, err
}

// Keep stores a telling of a touch on top of base, the revision that was read; 0 for a
// touch that was not told yet. Errors: an *Error for a telling that Read would refuse;
// study.ErrConflict, with the stored state, where another window was quicker; those of
// the library.
func (s Shelf) Keep(ctx context.Context, touch study.ID, base study.Revision, gesture string, t *Telling) (OnShelf, error) {
	var w bytes.Buffer
	if err := Write(&w, t); err != nil {
		return OnShelf{}, err
	}
	if base > 0 {
		d, err := s.Library.Save(ctx, ID(touch), base, gesture, w.Bytes())
		if err != nil {
			return OnShelf{}, err
		}
		return onShelf(d)
	}
	d, err := s.Library.Create(ctx, study.Document{ID: ID(touch), Kind: study.KindTelling, Of: touch, Gesture: gesture, Body: w.Bytes()})
	if errors.Is(err, study.ErrExists) {
		if there, bad := s.Library.Get(ctx, ID(touch)); bad == nil {
			err = &study.ConflictError{Current: there, Base: base}
		}
	}
	if err != nil {
		return OnShelf{}, err
	}
	return onShelf(d)
}

// Check reads every telling of the library and says which do not read. It changes
// nothing.
func (s Shelf) Check(ctx context.Context) ([]study.Warning, error) {
	docs, err := s.Library.List(ctx, study.KindTelling, "")
	if err != nil {
		return nil, err
	}
	var all []study.Warning
	for _, d := range docs {
		if _, err := onShelf(d); err != nil {
			all = append(all, study.Warning{Code: "document-unread", About: string(d.ID), Doubt: 1,
				Text: err.Error() + ". Undo its last change at the desk, or delete it."})
		}
	}
	return all, nil
}
