package web

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"mesure/study"
)

func (s *Server) salle(ctx context.Context, _ *struct{}) (*body[Salle], error) {
	docs, err := s.c.Shelf.Library.List(ctx, study.KindBout, "")
	if err != nil {
		return nil, err
	}
	touches, err := s.c.Shelf.Library.List(ctx, study.KindTouch, "")
	if err != nil {
		return nil, err
	}
	media, err := s.c.Shelf.Library.ListMedia(ctx)
	if err != nil {
		return nil, err
	}
	out := Salle{Bouts: []BoutCard{}, Jobs: s.jobs.all(), Loose: []Media{}, Folder: s.c.Folder}
	named := map[string]bool{}
	count, read := map[study.ID]int{}, map[study.ID]int{}
	for _, d := range touches {
		count[d.Of]++
		g, err := s.papers.touch(d)
		if err != nil {
			continue // told where it is opened
		}
		if g.done == study.DoneRead {
			read[d.Of]++
		}
		for _, v := range g.videos {
			named[v.SHA256] = true
		}
	}
	for _, d := range docs {
		card := BoutCard{Event: string(d.ID), Touches: count[d.ID], Read: read[d.ID]}
		if card.Stamp, err = s.stamp(ctx, d); err != nil {
			return nil, err
		}
		if b, err := s.papers.bout(d); err == nil {
			fill(&card, b)
			for _, v := range b.Videos {
				named[v.SHA256] = true
			}
		}
		out.Bouts = append(out.Bouts, card)
	}
	for _, m := range media {
		if !named[m.SHA256] {
			out.Loose = append(out.Loose, s.media(m))
		}
	}
	return &body[Salle]{out}, nil
}

// fill writes on a card what the sheet says.
func fill(card *BoutCard, b *study.BoutSheet) {
	card.Event, card.Round, card.Date = b.Bout.Event, b.Bout.Round, b.Bout.Date
	card.Left, card.Right, card.Weapon = b.Bout.Left.Name, b.Bout.Right.Name, string(b.Bout.Weapon)
	card.LeftClub, card.RightClub = b.Bout.Left.Club, b.Bout.Right.Club
	card.Lines, card.Invented, card.Picture = len(b.Bout.Sheet), b.Invented, boutPicture(b)
	if n := len(b.Bout.Sheet); n > 0 {
		card.Score = b.Bout.Sheet[n-1].After
	}
}

// boutPaper is what a window shows of a bout.
func (s *Server) boutPaper(ctx context.Context, b study.BoutOnShelf) (BoutPaper, error) {
	stamp, err := s.stamp(ctx, b.Document)
	if err != nil {
		return BoutPaper{}, err
	}
	out := BoutPaper{Stamp: stamp, Sheet: filledSheet(*b.Sheet), Doubts: b.Sheet.Doubts(), Unknown: unknownChoices(b.Sheet)}
	if out.Touches, err = s.touchCards(ctx, b.Document.ID, b.Sheet); err != nil {
		return BoutPaper{}, err
	}
	if out.Media, err = s.mediaOf(ctx, b.Sheet.Videos); err != nil {
		return BoutPaper{}, err
	}
	return out, nil
}

// boutAnswer answers with a bout, or with the error of having tried.
func (s *Server) boutAnswer(ctx context.Context, b study.BoutOnShelf, err error) (*body[BoutPaper], error) {
	if err != nil {
		return nil, s.orCurrent(ctx, err)
	}
	paper, err := s.boutPaper(ctx, b)
	if err != nil {
		return nil, err
	}
	return &body[BoutPaper]{paper}, nil
}

// orCurrent adds to a conflict the state that is stored now.
func (s *Server) orCurrent(ctx context.Context, err error) error {
	var c *study.ConflictError
	var p *problem
	if !errors.As(err, &c) || !errors.As(s.problem(err), &p) {
		return err
	}
	switch c.Current.Kind {
	case study.KindBout:
		if b, err := s.c.Shelf.Bout(ctx, c.Current.ID); err == nil {
			if paper, err := s.boutPaper(ctx, b); err == nil {
				p.Bout = &paper
			}
		}
	case study.KindTouch:
		if t, err := s.c.Shelf.Touch(ctx, c.Current.ID); err == nil {
			if paper, err := s.touchPaper(ctx, t); err == nil {
				p.Touch = &paper
			}
		}
	}
	return p
}

// boutFor takes a bout from the shelf.
func (s *Server) boutFor(ctx context.Context, id study.ID) (study.BoutOnShelf, error) {
	b, err := s.c.Shelf.Bout(ctx, id)
	return b, s.stored(err)
}

// is refuses a document of another kind: each noun answers for its own.
func (s *Server) is(ctx context.Context, id study.ID, kind study.Kind) error {
	d, err := s.c.Shelf.Library.Get(ctx, id)
	if err == nil && d.Kind != kind {
		err = fmt.Errorf("%w: %q is a %s", study.ErrNotFound, id, d.Kind)
	}
	return err
}

func (s *Server) bout(ctx context.Context, in *inID) (*body[BoutPaper], error) {
	b, err := s.boutFor(ctx, in.ID)
	return s.boutAnswer(ctx, b, err)
}

func (s *Server) addBout(ctx context.Context, in *inNewBout) (*body[BoutPaper], error) {
	s.naming.Lock()
	defer s.naming.Unlock()
	if err := s.haveVideos(ctx, in.Body.Sheet.Videos, "/sheet/videos"); err != nil {
		return nil, err
	}
	b, err := s.c.Shelf.AddBout(ctx, "", "make the bout", &in.Body.Sheet)
	if err == nil {
		s.changed(b.Document)
	}
	return s.boutAnswer(ctx, b, err)
}

func (s *Server) saveBout(ctx context.Context, in *inSaveBout) (*body[BoutPaper], error) {
	b, err := s.c.Shelf.SaveBout(ctx, in.ID, in.Body.Base, in.Body.Gesture, &in.Body.Sheet)
	if err == nil {
		s.changed(b.Document)
	}
	return s.boutAnswer(ctx, b, err)
}

func (s *Server) deleteBout(ctx context.Context, in *inDelete) (*none, error) {
	if err := s.is(ctx, in.ID, study.KindBout); err != nil {
		return nil, err
	}
	touches, err := s.c.Shelf.Library.List(ctx, study.KindTouch, in.ID)
	if err != nil {
		return nil, err
	}
	if err := s.c.Shelf.Library.Delete(ctx, in.ID, in.Base); err != nil {
		return nil, s.orCurrent(ctx, err)
	}
	for _, t := range touches {
		s.removed(t.ID, study.KindTouch)
	}
	s.removed(in.ID, study.KindBout)
	return nil, nil
}

// step is Undo or Redo of the library.
type step func(ctx context.Context, id study.ID, base study.Revision) (study.Document, error)

func (s *Server) stepBout(ctx context.Context, in *inBase, move step) (*body[BoutPaper], error) {
	if err := s.is(ctx, in.ID, study.KindBout); err != nil {
		return nil, err
	}
	d, err := move(ctx, in.ID, in.Body.Base)
	if err != nil {
		return nil, s.orCurrent(ctx, err)
	}
	s.changed(d)
	return s.bout(ctx, &in.OfID)
}

func (s *Server) undoBout(ctx context.Context, in *inBase) (*body[BoutPaper], error) {
	return s.stepBout(ctx, in, s.c.Shelf.Library.Undo)
}

func (s *Server) redoBout(ctx context.Context, in *inBase) (*body[BoutPaper], error) {
	return s.stepBout(ctx, in, s.c.Shelf.Library.Redo)
}

// haveVideos refuses videos that the library does not have.
func (s *Server) haveVideos(ctx context.Context, videos []study.Video, pointer string) error {
	for i, v := range videos {
		if _, err := s.medium(ctx, v.SHA256); errors.Is(err, study.ErrNotFound) {
			return &study.Refusal{At: fmt.Sprintf("%s/%d", pointer, i), What: "this video is not in the library", Mend: "add the file first"}
		} else if err != nil {
			return err
		}
	}
	return nil
}

// savedAnew stores a change to a bout that no window asked for, on top of
// whatever is there.
func (s *Server) savedAnew(ctx context.Context, id study.ID, gesture string, change func(*study.BoutSheet) bool) error {
	const tries = 20
	for try := 1; ; try++ {
		b, err := s.c.Shelf.Bout(ctx, id)
		if err != nil {
			return err
		}
		if !change(b.Sheet) {
			return nil
		}
		b, err = s.c.Shelf.SaveBout(ctx, id, b.Document.Revision, gesture, b.Sheet)
		if err == nil {
			s.changed(b.Document)
		}
		if !errors.Is(err, study.ErrConflict) || try == tries {
			return err
		}
		time.Sleep(time.Duration(try) * time.Millisecond)
	}
}

// filledSheet makes every list of a sheet a list: never null on the wire.
func filledSheet(b study.BoutSheet) study.BoutSheet {
	b.Videos, b.Bout = list(b.Videos), filledBout(b.Bout)
	return b
}

// list is never nil.
func list[T any](some []T) []T {
	if some == nil {
		return []T{}
	}
	return slices.Clip(some)
}
