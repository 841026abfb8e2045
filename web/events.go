package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"sync"
	"time"

	"mesure/study"
)

// Limits of the stream of events.
const (
	heartbeat = 15 * time.Second
	// maxStreams is how many windows may listen at once.
	maxStreams = 64
	// maxWaiting is how many different things may have changed before a window that
	// does not read is let go; it then comes back and reads everything anew.
	maxWaiting = 512
)

// change tells that a document is in another state.
type change struct {
	ID study.ID `json:"id"`
	// Revision is zero for a document that was removed.
	Revision study.Revision `json:"revision"`
	Kind     study.Kind     `json:"kind"`
}

// event is one message to the windows. Of those with an equal key that a window
// has not read yet it gets the newest only.
type event struct {
	name, key string
	data      []byte
}

// events hands messages to every window that listens.
type events struct {
	mu      sync.Mutex
	ears    map[*ear]struct{}
	closed  chan struct{}
	closing sync.Once
}

// ear is one window that listens.
type ear struct {
	mu      sync.Mutex
	waiting []event
	deaf    bool
	ring    chan struct{} // holds one where something waits
}

func newEvents() *events {
	return &events{ears: map[*ear]struct{}{}, closed: make(chan struct{})}
}

// tell sends a message to every window; it never waits for one.
func (e *events) tell(name, key string, body any) {
	data, err := json.Marshal(body)
	if err != nil {
		panic("web: an event cannot be written: " + err.Error())
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	for ear := range e.ears {
		ear.put(event{name, name + " " + key, data})
	}
}

func (l *ear) put(v event) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i := range l.waiting {
		if l.waiting[i].key == v.key {
			l.waiting[i].data = v.data
			return
		}
	}
	if len(l.waiting) >= maxWaiting {
		l.deaf = true
	} else {
		l.waiting = append(l.waiting, v)
	}
	select {
	case l.ring <- struct{}{}:
	default:
	}
}

// take returns what waits, and whether the window kept up.
func (l *ear) take() ([]event, bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	some := l.waiting
	l.waiting = nil
	return some, !l.deaf
}

func (e *events) listen() (*ear, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if len(e.ears) >= maxStreams {
		return nil, errBusy
	}
	l := &ear{ring: make(chan struct{}, 1)}
	e.ears[l] = struct{}{}
	return l, nil
}

func (e *events) leave(l *ear) {
	e.mu.Lock()
	defer e.mu.Unlock()
	delete(e.ears, l)
}

// close ends every stream.
func (e *events) close() { e.closing.Do(func() { close(e.closed) }) }

// changed tells of a document's new state.
func (s *Server) changed(d study.Document) {
	s.used.told(s, d)
	s.turns.Add(1)
	s.events.tell("document", string(d.ID), change{d.ID, d.Revision, d.Kind})
}

// removed tells that a document is gone.
func (s *Server) removed(id study.ID, kind study.Kind) {
	s.turns.Add(1)
	if kind == study.KindTouch {
		s.follows.drop(id)
		s.used.told(s, study.Document{ID: id})
	}
	s.events.tell("document", string(id), change{id, 0, kind})
}

// stream answers with events until the window or the server goes away.
func (s *Server) stream(w http.ResponseWriter, r *http.Request) {
	l, err := s.events.listen()
	if err != nil {
		s.fail(w, r, err)
		return
	}
	defer s.events.leave(l)
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	out := http.NewResponseController(w)
	send := func(format string, args ...any) bool {
		// A window that sleeps with a full connection is let go.
		out.SetWriteDeadline(time.Now().Add(2 * heartbeat))
		_, err := fmt.Fprintf(w, format, args...)
		return err == nil && out.Flush() == nil
	}
	if !send("retry: 1000\n\n") {
		return
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return
		case <-s.events.closed:
			return
		case <-beat.C:
			if !send(": still here\n\n") {
				return
			}
		case <-l.ring:
			some, keptUp := l.take()
			for _, v := range some {
				if !send("event: %s\ndata: %s\n\n", v.name, v.data) {
					return
				}
			}
			if !keptUp {
				return
			}
		}
	}
}
