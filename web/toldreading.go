package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
	"sync"

	"mesure/show/report"
	"mesure/show/summary"
	"mesure/study"
)

// toldKept is how many readings of whole touches stay in memory for the page that
// tells them.
const toldKept = 4

// toldReadings has the readings of the touches that are told, with what their bout makes of
// them. One holds for a turn of all documents: a habit rests on every bout of a fencer.
type toldReadings struct {
	mu  sync.Mutex
	all []*toldReading // the latest first
}

// toldReading is what is known of one touch in one turn, read once however many ask.
type toldReading struct {
	turn      int64
	id        study.ID
	following *study.Following
	once      chan struct{} // holds a token while nobody reads
	r         *study.Reading
	// key tells what the reading says: equal keys, equal pictures and sentences.
	key string
}

func (t *toldReadings) of(turn int64, id study.ID, following *study.Following) *toldReading {
	t.mu.Lock()
	defer t.mu.Unlock()
	i := slices.IndexFunc(t.all, func(x *toldReading) bool { return x.turn == turn && x.id == id && x.following == following })
	if i < 0 {
		x := &toldReading{turn: turn, id: id, following: following, once: make(chan struct{}, 1)}
		x.once <- struct{}{}
		t.all = append([]*toldReading{x}, t.all[:min(len(t.all), toldKept-1)]...)
		return x
	}
	x := t.all[i]
	t.all = append([]*toldReading{x}, slices.Delete(t.all, i, i+1)...)
	return x
}

// toldOf reads a touch as it is stored, with all that is to be told of it.
func (s *Server) toldOf(ctx context.Context, id study.ID) (*toldReading, error) {
	kept, _ := s.follows.kept(id)
	x := s.tolds.of(s.turns.Load(), id, kept.Following)
	select {
	case <-x.once:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	defer func() { x.once <- struct{}{} }()
	if x.r != nil {
		return x, nil
	}
	r, err := s.readWhole(ctx, id, x.turn, kept.Following)
	if err != nil {
		return nil, err
	}
	// Script and sheet tell the instant that the report tells.
	if r, err = report.Timed(r); err != nil {
		return nil, err
	}
	key, err := toldKey(r)
	if err != nil {
		return nil, err
	}
	x.r, x.key = r, key
	return x, nil
}

// toldKey is a hash of what a reading says. The inputs have all but the tactics, which
// rest on other documents too.
func toldKey(r *study.Reading) (string, error) {
	h := sha256.New()
	h.Write([]byte(r.Inputs))
	if r.Tactics != nil {
		if err := json.NewEncoder(h).Encode(summary.TacticsOf(r.Tactics)); err != nil {
			return "", err
		}
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

// readWhole reads a stored touch, and what its bout makes of it where it stands on the
// sheet of one.
func (s *Server) readWhole(ctx context.Context, id study.ID, turn int64, following *study.Following) (*study.Reading, error) {
	on, err := s.c.Shelf.Touch(ctx, id)
	if err != nil {
		return nil, err
	}
	if err := s.indexed(ctx, on.Touch); err != nil {
		return nil, err
	}
	known, err := s.knownOf(ctx, id)
	if err != nil {
		return nil, err
	}
	var tactics *study.TacticsAsk
	if on.Document.Of != "" && on.Touch.Number > 0 {
		ask, err := s.tacticsAsk(ctx, on.Document.Of, turn)
		if err != nil {
			return nil, err
		}
		ask.At, tactics = on.Touch.Number, &ask
	}
	leave, err := s.reading.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	videos := s.footage()
	return s.read(ctx, on.Touch, videos, study.ReadOptions{Path: videos.path(ctx), Partial: true, Cameras: s.cameras, Following: following, Known: known, Tactics: tactics})
}
