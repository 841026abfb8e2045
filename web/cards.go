package web

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"sync"

	"mesure/sport/mark"
	"mesure/study"
)

// papers remembers what the documents say, by revision, so that a list does not
// read every one anew. What it hands out must not be changed.
type papers struct {
	s       *Server
	mu      sync.Mutex
	bouts   map[study.ID]kept[*study.BoutSheet]
	touches map[study.ID]kept[glance]
}

// kept is what one state of a document says.
type kept[T any] struct {
	revision study.Revision
	saved    int64 // a document that was removed and made anew counts from 1 again
	what     T
}

// glance is what a list needs of a touch.
type glance struct {
	line, title, done string
	picture           string
	videos            []study.Video
	takes             []mark.Take    // those that have a video
	words             map[string]int // how often each stands on the stave
}

func newPapers(s *Server) *papers {
	return &papers{s: s, bouts: map[study.ID]kept[*study.BoutSheet]{}, touches: map[study.ID]kept[glance]{}}
}

// recall returns what a map remembers of a document, or reads and remembers it.
func recall[T any](p *papers, of map[study.ID]kept[T], d study.Document, read func() (T, error)) (T, error) {
	p.mu.Lock()
	k, ok := of[d.ID]
	p.mu.Unlock()
	if ok && k.revision == d.Revision && k.saved == d.Saved.UnixNano() {
		return k.what, nil
	}
	what, err := read()
	if err == nil {
		p.mu.Lock()
		of[d.ID] = kept[T]{d.Revision, d.Saved.UnixNano(), what}
		p.mu.Unlock()
	}
	return what, err
}

// bout returns the sheet of a bout's document.
func (p *papers) bout(d study.Document) (*study.BoutSheet, error) {
	return recall(p, p.bouts, d, func() (*study.BoutSheet, error) {
		b, err := p.s.c.Shelf.Papers.ReadBout(bytes.NewReader(d.Body), string(d.ID))
		if err == nil {
			b.Bout = b.Bout.Scored()
		}
		return b, err
	})
}

// touch returns what a list needs of a touch's document.
func (p *papers) touch(d study.Document) (glance, error) {
	return recall(p, p.touches, d, func() (glance, error) {
		t, err := p.s.c.Shelf.Papers.ReadTouch(bytes.NewReader(d.Body), string(d.ID))
		if err != nil {
			return glance{}, err
		}
		return glance{line: t.Line, title: t.Title, done: t.Done(), picture: touchPicture(t), videos: t.Videos, takes: filmedTakes(t), words: usedWords(t)}, nil
	})
}

// videos returns the videos that a document names.
func (p *papers) videos(d study.Document) ([]study.Video, error) {
	if d.Kind == study.KindTouch {
		g, err := p.touch(d)
		return g.videos, err
	}
	b, err := p.bout(d)
	if err != nil {
		return nil, err
	}
	return b.Videos, nil
}

// filmedTakes are the takes of a touch whose video is known by its content.
func filmedTakes(t *study.Touch) (all []mark.Take) {
	for _, k := range t.Takes {
		if v, ok := t.Video(k.Video); ok && v.SHA256 != "" {
			all = append(all, k)
		}
	}
	return all
}

// touchPicture is the address of the frame that stands for a touch: the first that
// was placed, else the middle of its first take.
func touchPicture(t *study.Touch) string {
	if len(t.Takes) == 0 {
		return ""
	}
	take, f := t.Takes[0], (t.Takes[0].From+t.Takes[0].To)/2
	if len(t.Placings) > 0 {
		if k, ok := t.Take(t.Placings[0].Take); ok {
			take, f = k, t.Placings[0].Frame
		}
	}
	v, ok := t.Video(take.Video)
	if !ok || v.SHA256 == "" {
		return ""
	}
	return frameAddress(v.SHA256, f)
}

// boutPicture is the address of the frame that stands for a bout: its first line's
// halt, else the beginning of its first video.
func boutPicture(b *study.BoutSheet) string {
	for _, p := range b.Bout.Sheet {
		if i := slices.IndexFunc(b.Videos, func(v study.Video) bool { return v.ID == p.Video }); i >= 0 && b.Videos[i].SHA256 != "" {
			at := p.Halt
			if at == 0 {
				at = p.From
			}
			return timeAddress(b.Videos[i].SHA256, at)
		}
	}
	if len(b.Videos) > 0 && b.Videos[0].SHA256 != "" {
		return timeAddress(b.Videos[0].SHA256, 0)
	}
	return ""
}

// timeAddress leads to the frame that a video shows at an instant.
func timeAddress(sha string, t mark.FileTime) string {
	return fmt.Sprintf("/media/%s/at/%.3f", sha, float64(t))
}

// touchCards lists the touches of a bout in the order of its sheet; those of no
// line stand at the end. A touch that cannot be read is listed as such.
func (s *Server) touchCards(ctx context.Context, of study.ID, b *study.BoutSheet) ([]TouchCard, error) {
	docs, err := s.c.Shelf.Library.List(ctx, study.KindTouch, of)
	if err != nil {
		return nil, err
	}
	cards := []TouchCard{}
	for _, d := range docs {
		card := TouchCard{ID: d.ID, Saved: d.Saved, Title: string(d.ID), Done: study.DoneNew}
		if g, err := s.papers.touch(d); err == nil {
			card.Line, card.Title, card.Done, card.Picture = g.line, g.title, g.done, g.picture
		}
		cards = append(cards, card)
	}
	place := map[string]int{}
	for i, p := range b.Bout.Sheet {
		place[p.ID] = i + 1
	}
	order := func(c TouchCard) int {
		if i := place[c.Line]; i > 0 {
			return i
		}
		return len(place) + 1
	}
	slices.SortStableFunc(cards, func(a, b TouchCard) int { return order(a) - order(b) })
	return cards, nil
}

// stamp is the state of a document. What a step forward would repeat is looked up
// only where there is one.
func (s *Server) stamp(ctx context.Context, d study.Document) (Stamp, error) {
	out := Stamp{ID: d.ID, Revision: d.Revision, Gesture: d.Gesture, Saved: d.Saved, CanUndo: d.CanUndo, CanRedo: d.CanRedo}
	if d.CanUndo {
		out.UndoGesture = d.Gesture
	}
	if d.CanRedo {
		all, err := s.c.Shelf.Library.History(ctx, d.ID)
		if err != nil {
			return Stamp{}, err
		}
		i := slices.IndexFunc(all, func(h study.Document) bool { return h.Revision == d.Revision })
		if i >= 0 && i+1 < len(all) {
			out.RedoGesture = all[i+1].Gesture
		}
	}
	return out, nil
}
