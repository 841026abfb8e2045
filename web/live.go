package web

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"mesure/show/chart"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/show/summary"
	"mesure/sport/mark"
	"mesure/study"
)

// maxLiveDraws bounds what a window may ask of one reading: a tenth of a second.
const maxLiveDraws = 200_000

// live reads a touch as it stands on the desk. The seed is the same for all, so
// that a mark that is dragged moves the numbers and chance does not; the cameras
// are kept, so that only what a change touches is computed anew. Where the window
// has given the answer up, ctx has ended and the work stops.
func (s *Server) live(ctx context.Context, in *inLive) (*body[Live], error) {
	if in.Body.Draws > maxLiveDraws {
		return nil, &unfit{fmt.Sprintf("a reading at the desk takes at most %d draws", maxLiveDraws)}
	}
	t, err := s.onDesk(ctx, in.ID, in.Body.Touch)
	if err != nil {
		return nil, err
	}
	videos := s.footage()
	if err := s.indexed(ctx, t); err != nil {
		return nil, err
	}
	known, err := s.knownOf(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	leave, err := s.reading.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	kept, work := s.follows.kept(in.ID)
	o := study.ReadOptions{Draws: in.Body.Draws, Path: videos.path(ctx), Partial: true, Cameras: s.cameras, Following: kept.Following, Known: known}
	if in.Body.Following != nil {
		o.Grids = in.Body.Following.Take
	}
	r, err := s.read(ctx, t, videos, o)
	if err != nil {
		return nil, err
	}
	out := Live{Summary: summary.Of(r)}
	out.Summary.Profiles = []summary.Profile{} // they go with the timing
	look := lookOf(in.Body.Night, in.Body.Phone)
	if in.Body.Stave {
		if out.Stave, err = staveOf(r, look, in.Body.StaveAsk); err != nil {
			return nil, err
		}
		out.Phrase = phraseOf(r)
	}
	if in.Body.Race && r.Race != nil {
		// The race stands beside the picture, in a column as narrow as a phone.
		if out.Race, err = raceSVG(r, lookOf(in.Body.Night, true)); err != nil {
			return nil, err
		}
	}
	if in.Body.Following != nil {
		if out.Followed, err = followedAnswer(r, kept, *in.Body.Following, look); err != nil {
			return nil, err
		}
		out.Followed.Job = work
	}
	return &body[Live]{out}, nil
}

// onDesk is the touch that a window sent, checked as a whole and following its
// bout on the shelf.
func (s *Server) onDesk(ctx context.Context, id study.ID, t study.Touch) (*study.Touch, error) {
	d, err := s.c.Shelf.Library.Get(ctx, id)
	if err != nil {
		return nil, err
	}
	if d.Kind != study.KindTouch {
		return nil, study.ErrNotFound
	}
	if d.Of != "" {
		of, err := s.c.Shelf.Library.Get(ctx, d.Of)
		if err != nil {
			return nil, err
		}
		b, err := s.papers.bout(of)
		if err != nil {
			return nil, err
		}
		t.Follow(b)
	}
	if err := s.c.Shelf.Papers.WriteTouch(io.Discard, &t); err != nil {
		return nil, err
	}
	return &t, nil
}

// indexed waits until the videos that the takes use are indexed, before a place at
// the gate is taken.
func (s *Server) indexed(ctx context.Context, t *study.Touch) error {
	for _, v := range t.Videos {
		if !slices.ContainsFunc(t.Takes, func(k mark.Take) bool { return k.Video == v.ID }) {
			continue
		}
		if _, _, err := s.clip(ctx, v.SHA256); err != nil {
			return err
		}
	}
	return nil
}

// pageLook is how a picture is drawn into a page.
type pageLook struct {
	layout plate.Layout
	theme  draw.Theme
}

func lookOf(night, phone bool) pageLook {
	l := pageLook{plate.Wide, draw.Paper()}
	if night {
		l.theme = draw.Night()
	}
	if phone {
		l.layout = plate.Phone
	}
	return l
}

func raceSVG(r *study.Reading, l pageLook) (string, error) {
	d, err := chart.Race(r, chart.Options{Layout: l.layout, Theme: l.theme, Bare: true})
	if err != nil {
		return "", err
	}
	var b strings.Builder
	err = d.InlineSVG(&b, "race")
	return b.String(), err
}
