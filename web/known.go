package web

import (
	"context"
	"errors"
	"sync"

	"mesure/sport/mark"
	"mesure/study"
)

// knowns has the movements that were followed in each touch: what one touch shows of a
// fencer, the readings of the bout's other touches know.
type knowns struct {
	mu sync.Mutex
	of map[study.ID]known
}

// known is what one state of a touch, in one state of its bout, showed.
type known struct {
	touch, bout state
	fits        [2][]study.Fit
}

// state tells one state of a document from every other.
type state struct {
	revision study.Revision
	saved    int64
}

func stateOf(d study.Document) state { return state{d.Revision, d.Saved.UnixNano()} }

// get returns what is remembered of a touch in this state.
func (k *knowns) get(id study.ID, touch, bout state) (known, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	x, ok := k.of[id]
	return x, ok && x.touch == touch && x.bout == bout
}

func (k *knowns) put(id study.ID, x known) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.of == nil {
		k.of = map[study.ID]known{}
	}
	k.of[id] = x
}

// forget drops what is remembered of a touch: something else was followed in it, or it
// is gone.
func (k *knowns) forget(id study.ID) {
	k.mu.Lock()
	defer k.mu.Unlock()
	delete(k.of, id)
}

// knownOf returns the movements of both fencers that were followed in the other touches
// of the bout. Each touch is read for them once; one that cannot be read gives none.
// It takes places at the gate of readings, so the caller must hold none.
func (s *Server) knownOf(ctx context.Context, id study.ID) (all [2][]study.Fit, err error) {
	d, err := s.c.Shelf.Library.Get(ctx, id)
	if err != nil || d.Of == "" {
		return all, err
	}
	of, err := s.c.Shelf.Library.Get(ctx, d.Of)
	if err != nil {
		return all, err
	}
	docs, err := s.c.Shelf.Library.List(ctx, study.KindTouch, d.Of)
	if err != nil {
		return all, err
	}
	for _, other := range docs {
		if other.ID == id {
			continue
		}
		x, ok := s.knowns.get(other.ID, stateOf(other), stateOf(of))
		if !ok {
			x = known{touch: stateOf(other), bout: stateOf(of)}
			if x.fits, err = s.fitsOf(ctx, other.ID); err != nil {
				if errors.Is(err, ctx.Err()) || errors.Is(err, errBusy) {
					return all, err
				}
				err = nil
			}
			s.knowns.put(other.ID, x)
		}
		for _, who := range mark.Sides {
			all[who] = append(all[who], x.fits[who]...)
		}
	}
	return all, nil
}

// fewDraws are those of a reading whose races nobody looks at.
const fewDraws = study.MinDraws

// fitsOf reads a stored touch for the movements that were followed in it.
func (s *Server) fitsOf(ctx context.Context, id study.ID) (fits [2][]study.Fit, err error) {
	kept, _ := s.follows.kept(id)
	if kept.Following == nil {
		return fits, nil
	}
	on, err := s.c.Shelf.Touch(ctx, id)
	if err != nil {
		return fits, err
	}
	if err := s.indexed(ctx, on.Touch); err != nil {
		return fits, err
	}
	leave, err := s.reading.enter(ctx)
	if err != nil {
		return fits, err
	}
	defer leave()
	videos := s.footage()
	r, err := s.read(ctx, on.Touch, videos, study.ReadOptions{Draws: fewDraws, Path: videos.path(ctx), Partial: true, Cameras: s.cameras, Following: kept.Following})
	if err != nil {
		return fits, err
	}
	for _, who := range mark.Sides {
		fits[who] = study.FitsOf(r, who)
	}
	return fits, nil
}
