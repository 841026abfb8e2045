package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"unicode"

	"mesure/bundle"
	"mesure/study"
)

// A touch lies in the library as several documents, so that each can be edited
// and undone by itself: the bout, the touch with what is asked of it, one for
// each take, and the marks. Each body is a piece of the touch file: the fields
// that belong to it, spelled as there. shelve takes a touch apart, unshelve puts
// it together again and has it checked as a whole.

// piece says which fields of the touch file a kind of document holds.
type piece struct {
	kind   study.Kind
	fields []string
}

// pieces returns the split; fields that are named nowhere stay with the touch.
func pieces() []piece {
	return []piece{
		{study.KindBout, []string{"bout"}},
		{study.KindTake, []string{"takes"}},
		{study.KindMarks, []string{"placings", "marks", "moments"}},
	}
}

// shelve stores a touch and returns its document and that of its bout. Where a
// bout of equal content is there already, the touch joins it. When it fails,
// nothing of the touch stays.
func shelve(ctx context.Context, lib study.Library, t *study.Touch) (touch study.Document, err error) {
	var whole bytes.Buffer
	if err := bundle.WriteTouch(&whole, t); err != nil {
		return study.Document{}, err
	}
	rest := map[string]json.RawMessage{}
	if err := json.Unmarshal(whole.Bytes(), &rest); err != nil {
		return study.Document{}, err
	}
	parts := map[study.Kind]map[string]json.RawMessage{}
	for _, p := range pieces() {
		parts[p.kind] = map[string]json.RawMessage{}
		for _, f := range p.fields {
			if body, there := rest[f]; there {
				parts[p.kind][f] = body
				delete(rest, f)
			}
		}
	}
	const gesture = "add"
	bout, err := findBout(ctx, lib, parts[study.KindBout])
	if err != nil {
		return study.Document{}, err
	}
	if bout.ID == "" {
		body, err := json.Marshal(parts[study.KindBout])
		if err != nil {
			return study.Document{}, err
		}
		if bout, err = lib.Create(ctx, study.Document{Kind: study.KindBout, Gesture: gesture, Body: body}); err != nil {
			return study.Document{}, err
		}
		defer func() {
			if err != nil {
				lib.Delete(context.WithoutCancel(ctx), bout.ID, bout.Revision)
			}
		}()
	}
	id, err := freeID(ctx, lib, t.Title)
	if err != nil {
		return study.Document{}, err
	}
	body, err := json.Marshal(rest)
	if err != nil {
		return study.Document{}, err
	}
	touch, err = lib.Create(ctx, study.Document{ID: id, Kind: study.KindTouch, Of: bout.ID, Gesture: gesture, Body: body})
	if err != nil {
		return study.Document{}, err
	}
	defer func() {
		if err != nil {
			lib.Delete(context.WithoutCancel(ctx), touch.ID, touch.Revision)
		}
	}()
	var takes []json.RawMessage
	if all := parts[study.KindTake]["takes"]; all != nil {
		if err := json.Unmarshal(all, &takes); err != nil {
			return study.Document{}, err
		}
	}
	for _, take := range takes {
		body, err := json.Marshal(map[string][]json.RawMessage{"takes": {take}})
		if err != nil {
			return study.Document{}, err
		}
		if _, err := lib.Create(ctx, study.Document{Kind: study.KindTake, Of: touch.ID, Gesture: gesture, Body: body}); err != nil {
			return study.Document{}, err
		}
	}
	if body, err = json.Marshal(parts[study.KindMarks]); err != nil {
		return study.Document{}, err
	}
	_, err = lib.Create(ctx, study.Document{Kind: study.KindMarks, Of: touch.ID, Gesture: gesture, Body: body})
	return touch, err
}

// findBout returns the bout of equal content, or none.
func findBout(ctx context.Context, lib study.Library, body map[string]json.RawMessage) (study.Document, error) {
	want, err := json.Marshal(body)
	if err != nil {
		return study.Document{}, err
	}
	bouts, err := lib.List(ctx, study.KindBout, "")
	if err != nil {
		return study.Document{}, err
	}
	for _, d := range bouts {
		var same bytes.Buffer
		if json.Compact(&same, d.Body) == nil && bytes.Equal(same.Bytes(), want) {
			return d, nil
		}
	}
	return study.Document{}, nil
}

// unshelve puts a touch together again.
func unshelve(ctx context.Context, lib study.Library, id study.ID) (*study.Touch, error) {
	touch, err := lib.Get(ctx, id)
	if err != nil {
		return nil, err
	}
	if touch.Kind != study.KindTouch {
		return nil, fmt.Errorf("%w: %q is a document of kind %q, not a touch", study.ErrNotFound, id, touch.Kind)
	}
	docs := []study.Document{touch}
	if touch.Of != "" {
		bout, err := lib.Get(ctx, touch.Of)
		if err != nil {
			return nil, err
		}
		docs = append(docs, bout)
	}
	for _, kind := range []study.Kind{study.KindTake, study.KindMarks} {
		some, err := lib.List(ctx, kind, id)
		if err != nil {
			return nil, err
		}
		docs = append(docs, some...)
	}
	whole, err := merged(docs)
	if err != nil {
		return nil, err
	}
	return bundle.ReadTouch(bytes.NewReader(whole), string(id))
}

// merged joins the bodies of documents: fields side by side, lists of the same
// field one after the other.
func merged(docs []study.Document) ([]byte, error) {
	all := map[string]json.RawMessage{}
	for _, d := range docs {
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(d.Body, &fields); err != nil {
			return nil, damaged(d.ID, err)
		}
		for name, body := range fields {
			var have, more []json.RawMessage
			if all[name] != nil && json.Unmarshal(all[name], &have) == nil && json.Unmarshal(body, &more) == nil {
				joined, err := json.Marshal(append(have, more...))
				if err != nil {
					return nil, err
				}
				body = joined
			}
			all[name] = body
		}
	}
	return json.Marshal(all)
}

// damaged says that the body of a document is not what was stored.
func damaged(id study.ID, err error) error {
	return &fault{code: library, where: "document " + string(id), err: err, hint: `"mesure doctor" looks for damage.`}
}

// freeID makes a name for a touch from its title that the library does not have.
func freeID(ctx context.Context, lib study.Library, title string) (study.ID, error) {
	base := slug(title)
	docs, err := lib.List(ctx, study.KindTouch, "")
	if err != nil {
		return "", err
	}
	taken := map[study.ID]bool{}
	for _, d := range docs {
		taken[d.ID] = true
	}
	id := study.ID(base)
	for n := 2; taken[id]; n++ {
		id = study.ID(fmt.Sprintf("%s-%d", base, n))
	}
	return id, nil
}

// longestSlug keeps the name of a touch short enough to be typed.
const longestSlug = 40

// slug turns a title into a name of lower-case letters, digits and hyphens.
func slug(title string) string {
	var words []string
	length := 0
	for _, w := range strings.FieldsFunc(strings.ToLower(title), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}) {
		if n := len([]rune(w)); length+n < longestSlug {
			words, length = append(words, w), length+n+1
		}
	}
	if len(words) == 0 {
		return "touch"
	}
	return strings.Join(words, "-")
}
