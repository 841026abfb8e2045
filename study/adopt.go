package study

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"

	"mesure/sport/bout"
)

// Adopt puts a touch that came with its bout, as a touch file has it, on the
// shelf as two documents. Where the shelf has a bout of equal content, the touch
// joins it; else the bout is made. A touch that says nothing of its bout joins one
// of which nothing is said either, if they share a video. The touch is tied to the line of the sheet
// that has its number, score and lamps, where there is one. When it fails,
// nothing of the touch stays.
//
// Errors: those of Library.Create and Library.Save; those of the papers.
func (s Shelf) Adopt(ctx context.Context, id ID, gesture string, t *Touch) (_ TouchOnShelf, err error) {
	sheet := &BoutSheet{Bout: t.Bout, Videos: slices.Clone(t.Videos), Invented: t.Invented}
	b, there, err := s.equalBout(ctx, sheet)
	switch {
	case err != nil:
		return TouchOnShelf{}, err
	case there:
		if sheet.Videos = joined(b.Sheet.Videos, t.Videos); len(sheet.Videos) > len(b.Sheet.Videos) {
			more := *b.Sheet
			more.Videos = sheet.Videos
			if b, err = s.SaveBout(ctx, b.Document.ID, b.Document.Revision, gesture, &more); err != nil {
				return TouchOnShelf{}, err
			}
		}
	default:
		if b, err = s.AddBout(ctx, "", gesture, sheet); err != nil {
			return TouchOnShelf{}, err
		}
		defer func() {
			if err != nil {
				s.Library.Delete(context.WithoutCancel(ctx), b.Document.ID, b.Document.Revision)
			}
		}()
	}
	own := *t
	own.Line = ""
	// Lines may be called otherwise on the shelf; they stand in the same order.
	i := slices.IndexFunc(t.Bout.Sheet, func(p bout.Phrase) bool { return t.Line != "" && p.ID == t.Line })
	if i < 0 {
		i = slices.IndexFunc(b.Sheet.Bout.Sheet, t.is)
	}
	if i >= 0 {
		own.Line = b.Sheet.Bout.Sheet[i].ID
	}
	return s.AddTouch(ctx, id, b.Document.ID, gesture, &own)
}

// is reports whether a line of a sheet is this touch.
func (t *Touch) is(p bout.Phrase) bool {
	return t.Number == p.Number && t.Before == p.Before && t.Lamps != nil && *t.Lamps == p.Lamps
}

// equalBout returns the oldest bout on the shelf that says the same; what its
// lines are called and which videos show it does not count.
func (s Shelf) equalBout(ctx context.Context, b *BoutSheet) (BoutOnShelf, bool, error) {
	want, err := s.sayings(b)
	if err != nil {
		return BoutOnShelf{}, false, err
	}
	nothing := reflect.ValueOf(b.Bout).IsZero()
	docs, err := s.Library.List(ctx, KindBout, "")
	if err != nil {
		return BoutOnShelf{}, false, err
	}
	for _, d := range docs {
		// A bout that does not read is not equal; its own reader will say why.
		have, err := s.boutOf(d)
		if err != nil || nothing && !share(have.Sheet.Videos, b.Videos) {
			continue
		}
		if body, err := s.sayings(have.Sheet); err == nil && bytes.Equal(body, want) {
			return have, true, nil
		}
	}
	return BoutOnShelf{}, false, nil
}

// sayings is what a bout says, as bytes that can be compared.
func (s Shelf) sayings(b *BoutSheet) (json.RawMessage, error) {
	bare := BoutSheet{Bout: b.Bout}
	bare.Bout.Sheet = slices.Clone(b.Bout.Sheet)
	for i := range bare.Bout.Sheet {
		p := &bare.Bout.Sheet[i]
		p.ID, p.Video, p.Halt, p.From, p.To = "", "", 0, 0, 0
	}
	bare.Bout = bare.Bout.Scored()
	var w bytes.Buffer
	err := s.Papers.WriteBout(&w, &bare)
	return w.Bytes(), err
}

// joined returns the videos of a bout with those of a touch that it lacks, under
// names of their own.
func joined(have, more []Video) []Video {
	all := slices.Clone(have)
	for _, v := range more {
		if share(all, []Video{v}) {
			continue
		}
		v.ID = freeName(v.ID, func(name string) bool {
			return slices.ContainsFunc(all, func(h Video) bool { return h.ID == name })
		})
		all = append(all, v)
	}
	return all
}

// share reports whether two lists have a video in common: the same content, or
// the same file where the content was not recorded.
func share(a, b []Video) bool {
	return slices.ContainsFunc(a, func(v Video) bool {
		return slices.ContainsFunc(b, func(w Video) bool {
			return v.SHA256 == w.SHA256 && (v.SHA256 != "" || v.File == w.File)
		})
	})
}

// freeName returns a name, or the name with the first number from 2 that makes it
// free.
func freeName(name string, taken func(string) bool) string {
	free := name
	for n := 2; taken(free); n++ {
		free = fmt.Sprintf("%s-%d", name, n)
	}
	return free
}

// named returns a bout whose lines all have a name.
func named(b bout.Bout) bout.Bout {
	b.Sheet = slices.Clone(b.Sheet)
	taken := map[string]bool{}
	for _, p := range b.Sheet {
		taken[p.ID] = true
	}
	for i := range b.Sheet {
		if p := &b.Sheet[i]; p.ID == "" {
			p.ID = freeName(fmt.Sprintf("line-%d", p.Number), func(name string) bool { return taken[name] })
			taken[p.ID] = true
		}
	}
	return b
}
