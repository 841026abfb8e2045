package web

import (
	"context"
	"errors"
	"slices"

	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// touchFor takes a touch from the shelf, with its bout.
func (s *Server) touchFor(ctx context.Context, id study.ID) (study.TouchOnShelf, error) {
	t, err := s.c.Shelf.Touch(ctx, id)
	return t, s.stored(err)
}

// touchPaper is what a window shows of a touch.
func (s *Server) touchPaper(ctx context.Context, t study.TouchOnShelf) (TouchPaper, error) {
	stamp, err := s.stamp(ctx, t.Document)
	if err != nil {
		return TouchPaper{}, err
	}
	out := TouchPaper{Stamp: stamp, Bout: t.Document.Of, Touch: filledTouch(*t.Touch)}
	if out.Media, err = s.mediaOf(ctx, t.Touch.Videos); err != nil {
		return TouchPaper{}, err
	}
	out.Previous, out.Next, err = s.neighbours(ctx, t)
	return out, err
}

// neighbours are the touches before and after one on the sheet; lines that were not
// taken apart are passed over.
func (s *Server) neighbours(ctx context.Context, t study.TouchOnShelf) (before, after study.ID, err error) {
	if t.Document.Of == "" {
		return "", "", nil
	}
	docs, err := s.c.Shelf.Library.List(ctx, study.KindTouch, t.Document.Of)
	if err != nil {
		return "", "", err
	}
	of := map[string]study.ID{}
	for _, d := range docs {
		if g, err := s.papers.touch(d); err == nil && g.line != "" {
			of[g.line] = d.ID
		}
	}
	sheet := t.Touch.Bout.Sheet
	here := slices.IndexFunc(sheet, func(p bout.Phrase) bool { return t.Touch.Line != "" && p.ID == t.Touch.Line })
	if here < 0 {
		return "", "", nil
	}
	for i := here - 1; i >= 0 && before == ""; i-- {
		before = of[sheet[i].ID]
	}
	for i := here + 1; i < len(sheet) && after == ""; i++ {
		after = of[sheet[i].ID]
	}
	return before, after, nil
}

// touchAnswer answers with a touch, or with the error of having tried.
func (s *Server) touchAnswer(ctx context.Context, t study.TouchOnShelf, err error) (*body[TouchPaper], error) {
	if err != nil {
		return nil, s.orCurrent(ctx, err)
	}
	paper, err := s.touchPaper(ctx, t)
	if err != nil {
		return nil, err
	}
	return &body[TouchPaper]{paper}, nil
}

func (s *Server) touch(ctx context.Context, in *inID) (*body[TouchPaper], error) {
	t, err := s.touchFor(ctx, in.ID)
	return s.touchAnswer(ctx, t, err)
}

func (s *Server) saveTouch(ctx context.Context, in *inSaveTouch) (*body[TouchPaper], error) {
	t, err := s.c.Shelf.SaveTouch(ctx, in.ID, in.Body.Base, in.Body.Gesture, &in.Body.Touch)
	if err == nil {
		s.changed(t.Document)
	}
	return s.touchAnswer(ctx, t, err)
}

func (s *Server) stepTouch(ctx context.Context, in *inBase, move step) (*body[TouchPaper], error) {
	if err := s.is(ctx, in.ID, study.KindTouch); err != nil {
		return nil, err
	}
	d, err := move(ctx, in.ID, in.Body.Base)
	if err != nil {
		return nil, s.orCurrent(ctx, err)
	}
	s.changed(d)
	return s.touch(ctx, &in.OfID)
}

func (s *Server) undoTouch(ctx context.Context, in *inBase) (*body[TouchPaper], error) {
	return s.stepTouch(ctx, in, s.c.Shelf.Library.Undo)
}

func (s *Server) redoTouch(ctx context.Context, in *inBase) (*body[TouchPaper], error) {
	return s.stepTouch(ctx, in, s.c.Shelf.Library.Redo)
}

func (s *Server) deleteTouch(ctx context.Context, in *inDelete) (*none, error) {
	if err := s.is(ctx, in.ID, study.KindTouch); err != nil {
		return nil, err
	}
	if err := s.c.Shelf.Library.Delete(ctx, in.ID, in.Base); err != nil {
		return nil, s.orCurrent(ctx, err)
	}
	s.removed(in.ID, study.KindTouch)
	return nil, nil
}

// takeApart returns the touch of a line and makes it where there is none; the shelf
// sees to it that two windows that ask at once get the same one.
func (s *Server) takeApart(ctx context.Context, in *inLine) (*body[TouchPaper], error) {
	b, err := s.boutFor(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	clip, err := s.clipOfLine(ctx, b.Sheet, in.Line)
	if err != nil {
		return nil, err
	}
	t, err := s.c.Shelf.TouchOfLine(ctx, in.ID, in.Line, clip)
	if err == nil {
		s.changed(t.Document)
	}
	return s.touchAnswer(ctx, t, err)
}

// clipOfLine is the video that shows a line; empty where none does.
func (s *Server) clipOfLine(ctx context.Context, b *study.BoutSheet, line string) (mark.Clip, error) {
	for _, p := range b.Bout.Sheet {
		if p.ID != line {
			continue
		}
		for _, v := range b.Videos {
			if v.ID == p.Video {
				clip, _, err := s.clip(ctx, v.SHA256)
				if errors.Is(err, study.ErrNotFound) {
					return clip, &study.Refusal{At: "/videos", What: "the video of this line is not in the library", Mend: "add the file again"}
				}
				return clip, err
			}
		}
	}
	return mark.Clip{}, nil
}

// filledTouch makes every list of a touch a list: never null on the wire.
func filledTouch(t study.Touch) study.Touch {
	t.Videos, t.Takes, t.Marks, t.Moments, t.Actions = list(t.Videos), list(t.Takes), list(t.Marks), list(t.Moments), list(t.Actions)
	t.Placings = slices.Clone(list(t.Placings))
	for i := range t.Placings {
		t.Placings[i].Points = list(t.Placings[i].Points)
	}
	t.Bout = filledBout(t.Bout)
	return t
}

// filledBout does so for a bout.
func filledBout(b bout.Bout) bout.Bout {
	if b.Team != nil {
		team := bout.Team{Left: list(b.Team.Left), Right: list(b.Team.Right)}
		b.Team = &team
	}
	return b
}
