package web

import (
	"context"
	"errors"
	"slices"
	"sync"

	"mesure/quantity"
	"mesure/study"
)

// How many answers and how many bouts stay in memory.
const (
	threadsKept = 8
	asksKept    = 4
)

// threads has what was lately asked of the tactics of bouts. An answer holds for one
// turn: the count of all documents that were changed since the server began, because
// the habits of a fencer rest on every bout of theirs.
type threads struct {
	mu      sync.Mutex
	asks    []oneAsk    // the latest first
	answers []oneThread // the latest first
	// read is the reading that was lately asked for.
	read oneRead
	// measures are the gaps of the touches that were read, by the touch.
	measures map[study.ID]measure
}

type oneAsk struct {
	turn int64
	id   study.ID
	ask  study.TacticsAsk
}

type oneThread struct {
	turn int64
	// whole and key are those of the question: see inTactics.
	whole, key string
	t          *study.Tactics
}

type oneRead struct {
	turn int64
	id   study.ID
	r    *study.Reading
}

// measure is what the reading of one state of a touch said of its measure.
type measure struct {
	touch, bout state
	following   *study.Following
	gap         *quantity.Of[quantity.Metres]
	band        string
}

// answer returns an answer of this turn, nil where there is none.
func (x *threads) answer(turn int64, key string) *study.Tactics {
	x.mu.Lock()
	defer x.mu.Unlock()
	i := slices.IndexFunc(x.answers, func(a oneThread) bool { return a.turn == turn && a.key == key })
	if i < 0 {
		return nil
	}
	a := x.answers[i]
	x.answers = append([]oneThread{a}, slices.Delete(x.answers, i, i+1)...)
	return a.t
}

// whole returns the reading of the whole bout that another answer of this turn has; nil
// where none has it.
func (x *threads) whole(turn int64, key string) *study.BoutReading {
	x.mu.Lock()
	defer x.mu.Unlock()
	for _, a := range x.answers {
		if a.turn == turn && a.whole == key {
			return a.t.Bout
		}
	}
	return nil
}

// keep puts an answer first.
func (x *threads) keep(a oneThread) {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.answers = append([]oneThread{a}, x.answers[:min(len(x.answers), threadsKept-1)]...)
}

// tacticsAsk is what the library knows for the tactics of a bout, with the measures of
// its touches that were taken apart.
func (s *Server) tacticsAsk(ctx context.Context, id study.ID, turn int64) (study.TacticsAsk, error) {
	x := &s.threads
	x.mu.Lock()
	if i := slices.IndexFunc(x.asks, func(a oneAsk) bool { return a.turn == turn && a.id == id }); i >= 0 {
		defer x.mu.Unlock()
		return x.asks[i].ask, nil
	}
	x.mu.Unlock()
	ask, err := s.c.Shelf.TacticsAsk(ctx, id)
	if err != nil {
		return ask, s.stored(err)
	}
	for i := range ask.Seen {
		if err := s.measured(ctx, &ask.Seen[i]); err != nil {
			return ask, err
		}
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	x.asks = append([]oneAsk{{turn, id, ask}}, x.asks[:min(len(x.asks), asksKept-1)]...)
	return ask, nil
}

// measured writes into a touch at which measure it began, where its marks tell. Each
// state of a touch is read for it once; one that cannot be read tells nothing.
func (s *Server) measured(ctx context.Context, t *study.SeenTouch) error {
	d, err := s.c.Shelf.Library.Get(ctx, t.ID)
	if errors.Is(err, study.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	g, err := s.papers.touch(d)
	if err != nil || g.done == study.DoneNew || g.done == study.DonePlaced {
		return nil // told where it is opened; or nothing to measure yet
	}
	of, err := s.c.Shelf.Library.Get(ctx, d.Of)
	if err != nil {
		return err
	}
	kept, _ := s.follows.kept(t.ID)
	s.threads.mu.Lock()
	m, ok := s.threads.measures[t.ID]
	s.threads.mu.Unlock()
	if !ok || m.touch != stateOf(d) || m.bout != stateOf(of) || m.following != kept.Following {
		m = measure{touch: stateOf(d), bout: stateOf(of), following: kept.Following}
		r, err := s.readTouch(ctx, t.ID, [2][]study.Fit{})
		if err != nil {
			return err
		}
		if r != nil {
			m.gap, m.band = study.MeasureOf(r)
		}
		s.threads.mu.Lock()
		if s.threads.measures == nil {
			s.threads.measures = map[study.ID]measure{}
		}
		s.threads.measures[t.ID] = m
		s.threads.mu.Unlock()
	}
	t.Gap, t.Band = m.gap, m.band
	return nil
}

// readingAt is the reading of the touch asked about, with what the other touches of the
// bout show of its fencers; nil where it was not taken apart or tells no measure.
func (s *Server) readingAt(ctx context.Context, ask study.TacticsAsk, turn int64) (*study.Reading, error) {
	line := lineAt(ask.Bout, ask.At)
	i := slices.IndexFunc(ask.Seen, func(t study.SeenTouch) bool { return line != "" && t.Line == line })
	if i < 0 || ask.Seen[i].Gap == nil {
		return nil, nil
	}
	id, x := ask.Seen[i].ID, &s.threads
	x.mu.Lock()
	last := x.read
	x.mu.Unlock()
	if last.turn == turn && last.id == id {
		return last.r, nil
	}
	known, err := s.knownOf(ctx, id)
	if err != nil {
		return nil, err
	}
	r, err := s.readTouch(ctx, id, known)
	if err != nil {
		return nil, err
	}
	x.mu.Lock()
	x.read = oneRead{turn, id, r}
	x.mu.Unlock()
	return r, nil
}

// readTouch reads a stored touch with few draws. One that cannot be read gives nil.
func (s *Server) readTouch(ctx context.Context, id study.ID, known [2][]study.Fit) (*study.Reading, error) {
	on, err := s.c.Shelf.Touch(ctx, id)
	if err != nil {
		return nil, s.stored(err)
	}
	if err := s.indexed(ctx, on.Touch); err != nil {
		return nil, unread(ctx, err)
	}
	leave, err := s.reading.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	kept, _ := s.follows.kept(id)
	videos := s.footage()
	r, err := s.read(ctx, on.Touch, videos, study.ReadOptions{Draws: fewDraws, Path: videos.path(ctx), Partial: true, Cameras: s.cameras, Following: kept.Following, Known: known})
	if err != nil {
		return nil, unread(ctx, err)
	}
	return r, nil
}

// unread passes on what ends the question; that a touch cannot be read does not.
func unread(ctx context.Context, err error) error {
	if errors.Is(err, errBusy) || ctx.Err() != nil {
		return err
	}
	return nil
}
