package web

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"mesure/study"
)

func videoOf(m Media) study.Video {
	return study.Video{ID: "video-1", File: m.Name, SHA256: m.SHA256}
}

// served starts a server on a port of its own and returns its address and what ends
// it.
func (b *bench) served() (address string, end func() error) {
	b.t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- b.Serve(ctx, l) }()
	return "http://" + l.Addr().String(), func() error { cancel(); return <-ended }
}

// heard is one event.
type heard struct{ name, data string }

// listens opens a stream of events; the channel is closed when it ends.
func (b *bench) listens(address string) <-chan heard {
	b.t.Helper()
	r, err := http.Get(address + "/api/events")
	if err != nil {
		b.t.Fatal(err)
	}
	if got := r.Header.Get("Content-Type"); got != "text/event-stream" {
		b.t.Fatalf("content type %s", got)
	}
	out := make(chan heard, 100)
	lines := bufio.NewScanner(r.Body)
	lines.Scan() // the first line is there once the window is known
	go func() {
		defer close(out)
		defer r.Body.Close()
		var h heard
		for lines.Scan() {
			if s, ok := strings.CutPrefix(lines.Text(), "event: "); ok {
				h.name = s
			} else if s, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				h.data = s
				out <- h
			}
		}
	}()
	return out
}

// next waits for an event of this name.
func next(t *testing.T, from <-chan heard, name string) string {
	t.Helper()
	for {
		select {
		case h, ok := <-from:
			if !ok {
				t.Fatal("the stream ended")
			}
			if h.name == name {
				return h.data
			}
		case <-time.After(5 * time.Second):
			t.Fatalf("no event %q", name)
		}
	}
}

func TestEveryWindowHearsOfAChange(t *testing.T) {
	b := newBench(t)
	address, end := b.served()
	one, two := b.listens(address), b.listens(address)
	up := b.uploaded("a.mp4", "video one")
	for _, w := range []<-chan heard{one, two} {
		var j Job
		if err := json.Unmarshal([]byte(next(t, w, "job")), &j); err != nil || j.Kind != jobIndex {
			t.Errorf("%+v %v", j, err)
		}
		var m Media
		for m.State != mediaReady { // it may be told of while it is indexed
			if err := json.Unmarshal([]byte(next(t, w, "media")), &m); err != nil || m.SHA256 != up.Media.SHA256 {
				t.Fatalf("%+v %v", m, err)
			}
		}
	}
	must[BoutPaper](b, http.MethodPut, "/api/bouts/"+string(up.Bout), save(1, "lines", lines(up.Media.SHA256, "one")))
	want := change{up.Bout, 2, study.KindBout}
	for _, w := range []<-chan heard{one, two} {
		var c change
		for c != want {
			if err := json.Unmarshal([]byte(next(t, w, "document")), &c); err != nil {
				t.Fatal(err)
			}
		}
	}
	b.ask(http.MethodDelete, "/api/bouts/"+string(up.Bout)+"?base=2", nil)
	if got := next(t, one, "document"); got != fmt.Sprintf(`{"id":%q,"revision":0,"kind":"bout"}`, up.Bout) {
		t.Errorf("removed: %s", got)
	}

	// Open streams do not keep the server from ending.
	began := time.Now()
	if err := end(); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took > graceTime {
		t.Errorf("ending took %v", took)
	}
	for range one {
	}
}

// TestAWindowThatSleepsHoldsNobody: what it missed is told once, in its newest
// state; where too much was missed it is let go.
func TestAWindowThatSleepsHoldsNobody(t *testing.T) {
	e := newEvents()
	l, err := e.listen()
	if err != nil {
		t.Fatal(err)
	}
	for i := range 1000 {
		e.tell("job", "1", i)
	}
	e.tell("media", "1", "x")
	some, keptUp := l.take()
	if len(some) != 2 || string(some[0].data) != "999" || !keptUp {
		t.Errorf("%d waiting, %v", len(some), keptUp)
	}
	for i := range maxWaiting + 1 {
		e.tell("document", fmt.Sprint(i), i)
	}
	if some, keptUp = l.take(); len(some) != maxWaiting || keptUp {
		t.Errorf("%d waiting, %v", len(some), keptUp)
	}
	for range maxStreams - 1 {
		if _, err := e.listen(); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := e.listen(); err != errBusy {
		t.Errorf("one window too many: %v", err)
	}
	e.leave(l)
	if _, err := e.listen(); err != nil {
		t.Error(err)
	}
}

// TestEndingEndsTheWork: a server that ends waits for its jobs and answers who waits.
func TestEndingEndsTheWork(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "slow video")
	waits := make(chan error, 1)
	go func() {
		_, _, err := b.clip(context.Background(), up.Media.SHA256)
		waits <- err
	}()
	b.Close()
	if err := <-waits; err == nil {
		t.Error("an index that was never made")
	}
	if j := b.jobs.start(jobCopy, "late", nil); j.state().State != jobCancelled {
		t.Errorf("a job after the end: %+v", j.state())
	}
	if w := b.ask(http.MethodGet, "/api/media/"+up.Media.SHA256, nil); w.Code != http.StatusServiceUnavailable && w.Code != http.StatusOK {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}
