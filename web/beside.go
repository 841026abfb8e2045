package web

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"mesure/sport/bout"
	"mesure/study"
)

// A shot may play a take beside one of another touch: of the same bout, or of any other
// in the library, where it is found by what its bout and it are called.

// besideMost is how many takes an answer has: more than a list that is read through.
const besideMost = 60

type inBeside struct {
	OfID
	Named string `query:"named" maxLength:"80" doc:"Words of the title, the event or a fencer: touches of every bout that have them all. Empty asks for those of the same bout."`
}

// takesBeside answers with the takes of other touches that a shot can play beside its own:
// those of the same bout in the order of the sheet, then those of the others, the bout
// that was made last first.
func (s *Server) takesBeside(ctx context.Context, in *inBeside) (*body[[]TakeToShow], error) {
	d, err := s.c.Shelf.Library.Get(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	if d.Kind != study.KindTouch {
		return nil, study.ErrNotFound
	}
	words := strings.Fields(strings.ToLower(in.Named))
	out := []TakeToShow{}
	if d.Of != "" {
		if out, err = s.takesOfBout(ctx, d.Of, d, words, out); err != nil {
			return nil, err
		}
	}
	if len(words) > 0 {
		bouts, err := s.c.Shelf.Library.List(ctx, study.KindBout, "")
		if err != nil {
			return nil, err
		}
		slices.Reverse(bouts)
		for _, b := range bouts {
			if b.ID == d.Of || len(out) >= besideMost {
				continue
			}
			if out, err = s.takesOfBout(ctx, b.ID, d, words, out); err != nil {
				return nil, err
			}
		}
	}
	return &body[[]TakeToShow]{out[:min(len(out), besideMost)]}, nil
}

// takesOfBout adds the takes of the touches of a bout that have all words, but for those
// of the touch that is told. What cannot be read is passed over: the list of the salle
// says so.
func (s *Server) takesOfBout(ctx context.Context, of study.ID, told study.Document, words []string, out []TakeToShow) ([]TakeToShow, error) {
	d, err := s.c.Shelf.Library.Get(ctx, of)
	if err != nil {
		return nil, err
	}
	sheet, err := s.papers.bout(d)
	if err != nil {
		return out, nil
	}
	docs, err := s.c.Shelf.Library.List(ctx, study.KindTouch, of)
	if err != nil {
		return nil, err
	}
	place := func(g glance) int {
		if i := slices.IndexFunc(sheet.Bout.Sheet, func(p bout.Phrase) bool { return g.line != "" && p.ID == g.line }); i >= 0 {
			return i
		}
		return len(sheet.Bout.Sheet)
	}
	type touch struct {
		id study.ID
		g  glance
	}
	var all []touch
	for _, x := range docs {
		if g, err := s.papers.touch(x); err == nil && x.ID != told.ID {
			all = append(all, touch{x.ID, g})
		}
	}
	slices.SortStableFunc(all, func(a, b touch) int { return place(a.g) - place(b.g) })
	b := sheet.Bout
	called := boutCalled(b)
	for _, x := range all {
		title := x.g.title
		if i := place(x.g); i < len(b.Sheet) {
			p := b.Sheet[i]
			plain := fmt.Sprintf("Touch %d", p.Number) // what one is called that nobody named
			title = fmt.Sprintf("%s at %d–%d", plain, p.Before.Left, p.Before.Right)
			if x.g.title != "" && x.g.title != plain {
				title += ", " + x.g.title
			}
		}
		if !hasAll(strings.ToLower(title+" "+called+" "+b.Date), words) {
			continue
		}
		for _, k := range x.g.takes {
			t := TakeToShow{Touch: string(x.id), Take: k.ID, Title: title + ": " + k.ID, From: int(k.From), To: int(k.To)}
			if of != told.Of {
				t.Bout = called
			}
			out = append(out, t)
		}
	}
	return out, nil
}

// takesPlayed are the takes of the touches that a storyboard plays beside its own: a page
// that is opened anew can name them.
func (s *Server) takesPlayed(ctx context.Context, id study.ID, others map[string]*study.Reading) ([]TakeToShow, error) {
	told, err := s.c.Shelf.Library.Get(ctx, id)
	if err != nil {
		return nil, err
	}
	out := []TakeToShow{}
	for _, other := range slices.Sorted(maps.Keys(others)) {
		d, err := s.c.Shelf.Library.Get(ctx, study.ID(other))
		if err != nil || d.Of == "" {
			continue // it went meanwhile
		}
		all, err := s.takesOfBout(ctx, d.Of, told, nil, nil)
		if err != nil {
			return nil, err
		}
		out = append(out, slices.DeleteFunc(all, func(t TakeToShow) bool { return t.Touch != other })...)
	}
	return out, nil
}

// boutCalled is what a coach knows a bout by.
func boutCalled(b bout.Bout) string {
	var parts []string
	for _, p := range []string{b.Event, b.Round} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	if b.Left.Name != "" || b.Right.Name != "" {
		parts = append(parts, strings.TrimSpace(b.Left.Name+" – "+b.Right.Name))
	}
	if len(parts) == 0 {
		return "A bout without a name"
	}
	return strings.Join(parts, ", ")
}

func hasAll(text string, words []string) bool {
	for _, w := range words {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}
