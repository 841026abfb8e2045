package web

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"sync"

	"mesure/study"
)

// readingsKept is how many readings stay in memory for the next question about the
// same touch; each holds the draws of its races and the tracks of its takes.
const readingsKept = 4

// readings has the readings of the touches that are looked at. A reading is never
// edited, so another frame and another "what if" are asked of the same one.
type readings struct {
	mu  sync.Mutex
	all []*oneReading // the latest first
}

// oneReading is the reading of one state of a touch, made once however many ask.
type oneReading struct {
	key       [sha256.Size]byte
	following *study.Following
	once      chan struct{} // holds a token while nobody makes it
	r         *study.Reading
}

// of returns the place of a reading, made where there is none.
func (s *readings) of(key [sha256.Size]byte, following *study.Following) *oneReading {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.IndexFunc(s.all, func(x *oneReading) bool { return x.key == key && x.following == following })
	if i < 0 {
		x := &oneReading{key: key, following: following, once: make(chan struct{}, 1)}
		x.once <- struct{}{}
		s.all = append([]*oneReading{x}, s.all[:min(len(s.all), readingsKept-1)]...)
		return x
	}
	x := s.all[i]
	s.all = append([]*oneReading{x}, slices.Delete(s.all, i, i+1)...)
	return x
}

// instant reads the timing of one instant, from the reading of the touch where that
// was kept.
func (s *Server) instant(ctx context.Context, id study.ID, t *study.Touch, draws int, known [2][]study.Fit, ask study.TimingAsk) (*study.Reading, error) {
	kept, _ := s.follows.kept(id)
	state, err := json.Marshal(t)
	if err != nil {
		return nil, err
	}
	key := sha256.Sum256(fmt.Appendf(state, "%s %d %v", id, draws, known))
	x := s.readings.of(key, kept.Following)
	select {
	case <-x.once:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	r := x.r
	if r == nil {
		videos := s.footage()
		r, err = s.read(ctx, t, videos, study.ReadOptions{Draws: draws, Path: videos.path(ctx), Partial: true, Cameras: s.cameras, Following: kept.Following, Known: known})
		x.r = r
	}
	x.once <- struct{}{}
	if err != nil {
		return nil, err
	}
	out := *r
	out.Timing, err = r.TimingAt(ask)
	return &out, err
}
