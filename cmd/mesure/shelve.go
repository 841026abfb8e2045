package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"unicode"

	"mesure/bundle"
	"mesure/sport/mark"
	"mesure/study"
)

// shelfOf keeps bouts and touches in a library, in the files of package bundle. It
// knows the time stamps of the videos that were looked at before.
func shelfOf(lib study.Library) study.Shelf {
	s := study.Shelf{Library: lib, Papers: bundle.Papers{}}
	if dir, err := cacheFolder("index"); err == nil {
		s.Clips = func(_ context.Context, v study.Video) (mark.Clip, bool) { return clipCache{dir}.Clip(v.SHA256) }
	}
	return s
}

// shelve puts a touch and its bout on the shelf.
func shelve(ctx context.Context, lib study.Library, t *study.Touch) (study.Document, error) {
	id, err := freeID(ctx, lib, t.Title)
	if err != nil {
		return study.Document{}, err
	}
	k, err := shelfOf(lib).Adopt(ctx, id, "add", t)
	return k.Document, err
}

// unshelve takes a touch from the shelf, with its bout.
func unshelve(ctx context.Context, lib study.Library, id study.ID) (*study.Touch, error) {
	k, err := shelfOf(lib).Touch(ctx, id)
	if err != nil {
		return nil, damaged(id, err)
	}
	return k.Touch, nil
}

// unshelveAsked takes a touch from the shelf and asks of its bout what it makes of it; nil
// where the sheet has no line of the touch.
func unshelveAsked(ctx context.Context, lib study.Library, id study.ID) (*study.Touch, *study.TacticsAsk, error) {
	shelf := shelfOf(lib)
	k, err := shelf.Touch(ctx, id)
	if err != nil {
		return nil, nil, damaged(id, err)
	}
	if k.Touch.Line == "" || k.Touch.Number == 0 {
		return k.Touch, nil, nil
	}
	ask, err := shelf.TacticsAsk(ctx, k.Document.Of)
	if err != nil {
		return nil, nil, damaged(k.Document.Of, err)
	}
	ask.At = k.Touch.Number
	return k.Touch, &ask, nil
}

// damaged says which document does not read, where that is what is wrong: it was
// whole when it was stored.
func damaged(id study.ID, err error) error {
	var b *bundle.Error
	if !errors.As(err, &b) {
		return err
	}
	return &fault{code: library, where: "document", err: err, hint: `"mesure doctor" looks for damage.`}
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
