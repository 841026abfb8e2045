package web

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"mesure/quantity"
	"mesure/show/album"
	"mesure/show/clip"
	"mesure/show/plate"
	"mesure/show/script"
	"mesure/show/summary"
	"mesure/show/tell"
	"mesure/study"
)

// tellingNow is how a touch is told in its present state.
type tellingNow struct {
	doc   study.Document // of revision 0 where nothing is kept
	read  *toldReading
	album *album.Album // the fencers called as the telling calls them
	bound *tell.Telling
	stale []script.Stale
	// troubles are those of the storyboard; film is nil where none can be made, and
	// noFilm says why.
	troubles []clip.Trouble
	film     *madeFilm
	noFilm   string
	plates   []Word
	others   map[string]*study.Reading
}

// tellings keeps them in the library.
func (s *Server) tellings() tell.Shelf { return tell.Shelf{Library: s.c.Shelf.Library} }

// tellingNow binds what is kept of the telling of a touch to what is measured of it;
// where nothing is kept, it is drafted.
func (s *Server) tellingNow(ctx context.Context, id study.ID) (*tellingNow, error) {
	if err := s.is(ctx, id, study.KindTouch); err != nil {
		return nil, err
	}
	on, err := s.tellings().Of(ctx, id)
	if err != nil && !errors.Is(err, study.ErrNotFound) {
		return nil, s.stored(err)
	}
	return s.bindNow(ctx, id, on.Document, on.Telling)
}

// bindNow binds a telling, or drafts one where it is nil.
func (s *Server) bindNow(ctx context.Context, id study.ID, d study.Document, t *tell.Telling) (*tellingNow, error) {
	read, err := s.toldOf(ctx, id)
	if err != nil {
		return nil, err
	}
	naming := plate.Named
	if t != nil && t.Script != nil && t.Script.Names != "" {
		naming = plate.Naming(t.Script.Names)
	}
	if !naming.IsValid() {
		return nil, &unfit{fmt.Sprintf("%q is no way to call a fencer. Nothing was changed; load the page again.", naming)}
	}
	a, err := s.albumIn(read, naming)
	if err != nil {
		return nil, err
	}
	now := &tellingNow{doc: d, read: read, album: a}
	if t == nil {
		if t, err = tell.Draft(read.r, a.Plates, tell.Options{}); err != nil {
			return nil, err
		}
	}
	others, err := s.others(ctx, id, t.Board)
	if err != nil {
		return nil, err
	}
	now.others = others
	if now.bound, now.stale, now.troubles, err = tell.Bind(t, read.r, a.Plates, others); err != nil {
		return nil, err
	}
	for _, p := range a.Plates {
		now.plates = append(now.plates, Word{Name: p.Name(), Word: p.Wide.Title})
	}
	now.film, err = s.filmOf(id, read, now.bound, a.Plates, others)
	var refused *clip.Trouble
	switch {
	case errors.As(err, &refused):
		now.noFilm = sentence(refused.What + ": " + refused.Mend)
	case err != nil:
		return nil, err
	default:
		now.troubles = append(now.troubles, now.film.film.Troubles()...)
	}
	return now, nil
}

// tellingPaper is what a window shows of it.
func (s *Server) tellingPaper(ctx context.Context, id study.ID, now *tellingNow) (*TellingPaper, error) {
	sc := now.bound.Script
	out := &TellingPaper{
		Telling: filledTelling(*now.bound), Stale: list(now.stale), Drafted: []DraftedLine{}, Unbound: []LinePlace{},
		Spoken: spoken(sc.Time()), Parts: []PartTold{}, Troubles: oneOfEach(now.troubles), NoFilm: now.noFilm,
		Lost: []string{}, Plates: list(now.plates), Layers: layerWords(), Takes: takesToShow(now.read.r),
	}
	if now.doc.Revision > 0 {
		stamp, err := s.stamp(ctx, now.doc)
		if err != nil {
			return nil, err
		}
		out.Stamp = stamp
	}
	today, err := script.Draft(now.read.r, sc.Options)
	if err != nil {
		return nil, err
	}
	out.Drafted = draftedOf(sc, today)
	for _, p := range sc.Parts {
		out.Parts = append(out.Parts, PartTold{Kind: p.Kind, Spoken: spoken(sc.TimeOf(p))})
	}
	for i, p := range sc.Parts {
		for k, l := range p.Lines {
			if l.Edited && len(l.Unbound()) > 0 {
				out.Unbound = append(out.Unbound, LinePlace{i, k})
			}
		}
	}
	if now.film != nil {
		out.Film, out.Drawn = now.film.onWire(), s.drawn(now.film)
		if now.film.studio != nil {
			out.Lost = list(now.film.studio.Lost(now.film.form))
		}
	}
	if s.c.StudioOf == nil {
		out.Lost = []string{noStudio.Error()}
	}
	played, err := s.takesPlayed(ctx, id, now.others)
	if err != nil {
		return nil, err
	}
	out.Takes = append(out.Takes, played...)
	out.Made, out.Work = s.madeOf(id, now.film), s.making.of(id)
	return out, nil
}

// draftedOf are today's lines for those that the coach left out or wrote anew.
func draftedOf(s, today *script.Script) []DraftedLine {
	have := map[string]script.Line{}
	for _, p := range s.Parts {
		for _, l := range p.Lines {
			have[p.Kind+" "+l.Key] = l
		}
	}
	out := []DraftedLine{}
	for _, p := range today.Parts {
		for _, l := range p.Lines {
			if mine, there := have[p.Kind+" "+l.Key]; !there || mine.Edited {
				out = append(out, DraftedLine{p.Kind, l})
			}
		}
	}
	return out
}

func spoken(t quantity.Of[quantity.Seconds]) summary.Number {
	return summary.Number(plate.FigureOf(t, plate.InSeconds))
}

// oneOfEach are troubles, each said once.
func oneOfEach(all []clip.Trouble) []clip.Trouble {
	out := []clip.Trouble{}
	for _, t := range all {
		if !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out
}

// filledTelling makes every list of a telling a list; the layers of a shot may be none,
// which is another thing than an empty list of them.
func filledTelling(t tell.Telling) tell.Telling {
	sc := *t.Script
	sc.Parts, sc.Offered, sc.Sources = slices.Clone(list(sc.Parts)), list(sc.Offered), list(sc.Sources)
	for i := range sc.Parts {
		sc.Parts[i].Lines = slices.Clone(list(sc.Parts[i].Lines))
		for k := range sc.Parts[i].Lines {
			sc.Parts[i].Lines[k].Pieces = list(sc.Parts[i].Lines[k].Pieces)
		}
	}
	t.Script = &sc
	t.Board.Shots = list(t.Board.Shots)
	return t
}

// takesToShow are the takes of a touch.
func takesToShow(r *study.Reading) []TakeToShow {
	out := []TakeToShow{}
	for _, k := range r.Touch.Takes {
		out = append(out, TakeToShow{Take: k.ID, Title: k.ID, From: int(k.From), To: int(k.To)})
	}
	return out
}

func (s *Server) telling(ctx context.Context, in *inID) (*body[TellingPaper], error) {
	now, err := s.tellingNow(ctx, in.ID)
	return s.tellingAnswer(ctx, in.ID, now, err)
}

func (s *Server) tellingAnswer(ctx context.Context, id study.ID, now *tellingNow, err error) (*body[TellingPaper], error) {
	if err != nil {
		return nil, s.orCurrent(ctx, err)
	}
	paper, err := s.tellingPaper(ctx, id, now)
	if err != nil {
		return nil, err
	}
	return &body[TellingPaper]{*paper}, nil
}

// saveTelling keeps a telling, bound to what is measured. The first change to a draft is
// a step that can be taken back: the draft is kept before it.
func (s *Server) saveTelling(ctx context.Context, in *inSaveTelling) (*body[TellingPaper], error) {
	if err := s.is(ctx, in.ID, study.KindTouch); err != nil {
		return nil, err
	}
	base := in.Body.Base
	if base == 0 {
		d, err := s.keepDraft(ctx, in.ID)
		if err != nil {
			return nil, s.orCurrent(ctx, err)
		}
		base = d.Revision
	}
	if in.Body.Telling.Script == nil {
		return nil, &unfit{"A telling has a script. Nothing was changed; load the page again."}
	}
	now, err := s.bindNow(ctx, in.ID, study.Document{}, &in.Body.Telling)
	if err != nil {
		return nil, err
	}
	on, err := s.tellings().Keep(ctx, in.ID, base, in.Body.Gesture, now.bound)
	if err == nil {
		s.tellingChanged(on.Document)
		now.doc = on.Document
	}
	return s.tellingAnswer(ctx, in.ID, now, err)
}

// keepDraft keeps the draft of a touch of which nothing is kept. Errors: a conflict
// where another window was quicker.
func (s *Server) keepDraft(ctx context.Context, id study.ID) (study.Document, error) {
	now, err := s.bindNow(ctx, id, study.Document{}, nil)
	if err != nil {
		return study.Document{}, err
	}
	on, err := s.tellings().Keep(ctx, id, 0, "draft the breakdown", now.bound)
	if err == nil {
		s.tellingChanged(on.Document)
	}
	return on.Document, err
}

// tellingChanged tells the windows. Nothing that is measured rests on a telling, so
// nothing of that is read anew.
func (s *Server) tellingChanged(d study.Document) {
	s.events.tell("document", string(d.ID), change{d.ID, d.Revision, d.Kind})
}

func (s *Server) stepTelling(ctx context.Context, in *inBase, move step) (*body[TellingPaper], error) {
	if err := s.is(ctx, in.ID, study.KindTouch); err != nil {
		return nil, err
	}
	d, err := move(ctx, tell.ID(in.ID), in.Body.Base)
	if err != nil {
		return nil, s.orCurrent(ctx, err)
	}
	s.tellingChanged(d)
	return s.telling(ctx, &in.OfID)
}

func (s *Server) undoTelling(ctx context.Context, in *inBase) (*body[TellingPaper], error) {
	return s.stepTelling(ctx, in, s.c.Shelf.Library.Undo)
}

func (s *Server) redoTelling(ctx context.Context, in *inBase) (*body[TellingPaper], error) {
	return s.stepTelling(ctx, in, s.c.Shelf.Library.Redo)
}
