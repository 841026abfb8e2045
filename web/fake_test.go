package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"mesure/sport/mark"
	"mesure/study"
)

// memory is a library without a disk below its documents; its contract is that of
// study.Library, which the real ones are tested by.
type memory struct {
	dir   string
	mu    sync.Mutex
	docs  map[study.ID]*history
	order []study.ID
	media []study.Media
	// full fails every change as a full disk would.
	full bool
}

type history struct {
	states []study.Document
	at     int
}

var errFull = errors.New("no space left on device")

func (m *memory) state(h *history) study.Document {
	d := h.states[h.at]
	d.CanUndo, d.CanRedo = h.at > 0, h.at+1 < len(h.states)
	return d
}

func (m *memory) Create(_ context.Context, d study.Document) (study.Document, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.full {
		return d, errFull
	}
	if d.ID == "" {
		d.ID = study.ID(fmt.Sprintf("doc-%d", len(m.order)+1))
	}
	if m.docs[d.ID] != nil {
		return d, study.ErrExists
	}
	if d.Of != "" && m.docs[d.Of] == nil {
		return d, study.ErrNotFound
	}
	d.Revision, d.Saved = 1, time.Now()
	m.docs[d.ID] = &history{states: []study.Document{d}}
	m.order = append(m.order, d.ID)
	return d, nil
}

func (m *memory) Get(_ context.Context, id study.ID) (study.Document, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	h := m.docs[id]
	if h == nil {
		return study.Document{}, study.ErrNotFound
	}
	return m.state(h), nil
}

func (m *memory) List(_ context.Context, kind study.Kind, of study.ID) ([]study.Document, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var all []study.Document
	for _, id := range m.order {
		if h := m.docs[id]; h != nil && h.states[0].Kind == kind && (of == "" || h.states[0].Of == of) {
			all = append(all, m.state(h))
		}
	}
	return all, nil
}

func (m *memory) move(id study.ID, base study.Revision, f func(h *history) error) (study.Document, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	h := m.docs[id]
	switch {
	case h == nil:
		return study.Document{}, study.ErrNotFound
	case m.full:
		return study.Document{}, errFull
	case h.states[h.at].Revision != base:
		return study.Document{}, &study.ConflictError{Current: m.state(h), Base: base}
	}
	if err := f(h); err != nil {
		return study.Document{}, err
	}
	return m.state(h), nil
}

func (m *memory) Save(_ context.Context, id study.ID, base study.Revision, gesture string, body json.RawMessage) (study.Document, error) {
	return m.move(id, base, func(h *history) error {
		d := h.states[h.at]
		d.Revision, d.Gesture, d.Body, d.Saved = h.states[len(h.states)-1].Revision+1, gesture, body, time.Now()
		h.states = append(slices.Clip(h.states[:h.at+1]), d)
		h.at++
		return nil
	})
}

func (m *memory) Undo(_ context.Context, id study.ID, base study.Revision) (study.Document, error) {
	return m.move(id, base, func(h *history) error {
		if h.at == 0 {
			return study.ErrNoStep
		}
		h.at--
		return nil
	})
}

func (m *memory) Redo(_ context.Context, id study.ID, base study.Revision) (study.Document, error) {
	return m.move(id, base, func(h *history) error {
		if h.at+1 == len(h.states) {
			return study.ErrNoStep
		}
		h.at++
		return nil
	})
}

func (m *memory) History(_ context.Context, id study.ID) ([]study.Document, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.docs[id] == nil {
		return nil, study.ErrNotFound
	}
	return slices.Clone(m.docs[id].states), nil
}

func (m *memory) Delete(_ context.Context, id study.ID, base study.Revision) error {
	_, err := m.move(id, base, func(*history) error { return nil })
	if err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	for k, h := range m.docs {
		if k == id || h.states[0].Of == id {
			delete(m.docs, k)
		}
	}
	return nil
}

func (m *memory) AddMedia(ctx context.Context, name string, r io.Reader) (study.Media, error) {
	var body []byte
	for part := make([]byte, 1<<10); ; {
		if err := ctx.Err(); err != nil {
			return study.Media{}, err
		}
		n, err := r.Read(part)
		body = append(body, part[:n]...)
		if err == io.EOF {
			break
		}
		if err != nil {
			return study.Media{}, err
		}
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.full {
		return study.Media{}, errFull
	}
	sum := sha256.Sum256(body)
	sha := hex.EncodeToString(sum[:])
	for _, old := range m.media {
		if old.SHA256 == sha {
			return old, nil
		}
	}
	if err := os.WriteFile(filepath.Join(m.dir, sha), body, 0o600); err != nil {
		return study.Media{}, err
	}
	out := study.Media{SHA256: sha, Name: name, Bytes: int64(len(body)), Added: time.Now()}
	m.media = append(m.media, out)
	return out, nil
}

func (m *memory) ListMedia(context.Context) ([]study.Media, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return slices.Clone(m.media), nil
}

func (m *memory) MediaPath(_ context.Context, sha string) (string, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, v := range m.media {
		if v.SHA256 == sha {
			return filepath.Join(m.dir, sha), nil
		}
	}
	return "", study.ErrNotFound
}

func (m *memory) RemoveMedia(_ context.Context, sha string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	i := slices.IndexFunc(m.media, func(v study.Media) bool { return v.SHA256 == sha })
	if i < 0 {
		return study.ErrNotFound
	}
	m.media = slices.Delete(m.media, i, i+1)
	return os.Remove(filepath.Join(m.dir, sha))
}

func (m *memory) Check(context.Context) ([]study.Warning, error) { return nil, nil }
func (m *memory) Close() error                                   { return nil }

// plainPapers writes documents as JSON; a note "refuse me" is refused.
type plainPapers struct{}

// badPaper is what plainPapers refuse.
type badPaper struct{}

func (badPaper) Error() string { return "bad paper" }

func readJSON[T any](r io.Reader) (*T, error) {
	var v T
	err := json.NewDecoder(r).Decode(&v)
	return &v, err
}

func (plainPapers) ReadTouch(r io.Reader, _ string) (*study.Touch, error) {
	return readJSON[study.Touch](r)
}

func (plainPapers) ReadBout(r io.Reader, _ string) (*study.BoutSheet, error) {
	return readJSON[study.BoutSheet](r)
}

func (plainPapers) WriteTouch(w io.Writer, t *study.Touch) error {
	if t.Note == "refuse me" {
		return badPaper{}
	}
	return json.NewEncoder(w).Encode(t)
}

func (plainPapers) WriteBout(w io.Writer, b *study.BoutSheet) error {
	if b.Note == "refuse me" {
		return badPaper{}
	}
	return json.NewEncoder(w).Encode(b)
}

func (plainPapers) WriteReading(io.Writer, *study.Reading) error { return nil }

// badVideo is what reel says of a file that it cannot read.
type badVideo struct{}

func (badVideo) Error() string { return "not a video" }

// reel reads files that begin with "video": 100 frames at 25 a second. One that
// begins with "slow" takes until free is closed, then is "video" or not by its end.
type reel struct {
	free chan struct{}
	// probes counts how often each path was looked at.
	mu     sync.Mutex
	probes map[string]int
}

func (l *reel) Probe(ctx context.Context, path string, progress func(float64)) (mark.Clip, error) {
	l.mu.Lock()
	l.probes[path]++
	l.mu.Unlock()
	body, err := os.ReadFile(path)
	if err != nil {
		return mark.Clip{}, err
	}
	if bytes.HasPrefix(body, []byte("slow")) {
		if progress != nil {
			progress(0.25)
		}
		select {
		case <-l.free:
		case <-ctx.Done():
			return mark.Clip{}, ctx.Err()
		}
	}
	if !bytes.Contains(body, []byte("video")) {
		return mark.Clip{}, badVideo{}
	}
	c := mark.Clip{Width: 1280, Height: 720, Codec: "h264", Container: "mov", BitDepth: 8}
	for i := range 100 {
		c.Times = append(c.Times, mark.FileTime(float64(i)/25))
	}
	return c, nil
}

func (l *reel) Still(context.Context, string, mark.Clip, mark.Frame) (image.Image, error) {
	return image.NewGray(image.Rect(0, 0, 16, 9)), nil
}

func (l *reel) Run(_ context.Context, _ string, _ mark.Clip, from, to mark.Frame, fn func(mark.Frame, image.Image) error) error {
	for f := from; f <= to; f++ {
		if err := fn(f, image.NewGray(image.Rect(0, 0, 16, 9))); err != nil {
			return err
		}
	}
	return nil
}

// bench is a server with what is behind it.
type bench struct {
	*Server
	lib  *memory
	reel *reel
	t    testing.TB
}

// newBench makes a server on an empty library.
func newBench(t testing.TB) *bench {
	t.Helper()
	lib := &memory{dir: t.TempDir(), docs: map[study.ID]*history{}}
	r := &reel{free: make(chan struct{}), probes: map[string]int{}}
	s := New(Config{
		Shelf: study.Shelf{Library: lib, Papers: plainPapers{}}, Reel: r, Folder: "/library", Program: "mesure test",
		Desk: fstest.MapFS{
			"index.html":         {Data: []byte("<!doctype html><title>desk</title>")},
			"assets/main-abc.js": {Data: []byte(strings.Repeat("export const a = 1;\n", 200))},
			"secret.txt":         {Data: []byte("secret")},
		},
		Explain: func(err error) (Fault, bool) {
			switch {
			case errors.Is(err, errFull):
				return Fault{Kind: FaultSpace}, true
			case as[badVideo](err):
				return Fault{Kind: FaultVideo, What: "this is not a video that can be read", Mend: "use an MP4"}, true
			case as[badPaper](err):
				return Fault{Kind: FaultRefused, Problems: []Problem{{"/note", "this note is refused"}}}, true
			}
			return Fault{}, false
		},
		MaxUpload: 1 << 20,
	})
	s.headStart = 300 * time.Millisecond
	t.Cleanup(s.Close)
	return &bench{s, lib, r, t}
}

// empty removes every document and goes on in another test.
func (b *bench) empty(t testing.TB) {
	b.t = t
	b.lib.mu.Lock()
	defer b.lib.mu.Unlock()
	b.lib.docs, b.lib.order = map[study.ID]*history{}, nil
}

// ask sends a request as a page of the desk would.
func (b *bench) ask(method, path string, body any, change ...func(*http.Request)) *httptest.ResponseRecorder {
	b.t.Helper()
	var r io.Reader = http.NoBody
	switch v := body.(type) {
	case nil:
	case string:
		r = strings.NewReader(v)
	default:
		raw, err := json.Marshal(v)
		if err != nil {
			b.t.Fatal(err)
		}
		r = bytes.NewReader(raw)
	}
	req := httptest.NewRequest(method, path, r)
	req.Host = "localhost:8420"
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	for _, c := range change {
		c(req)
	}
	w := httptest.NewRecorder()
	b.Handler().ServeHTTP(w, req)
	return w
}

// must asks and reads the answer; another status than 200 ends the test.
func must[T any](b *bench, method, path string, body any) T {
	b.t.Helper()
	w := b.ask(method, path, body)
	var v T
	if w.Code != http.StatusOK {
		b.t.Fatalf("%s %s: %d %s", method, path, w.Code, w.Body)
	}
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
		b.t.Fatalf("%s %s: %v: %s", method, path, err, w.Body)
	}
	return v
}

// told is a refusal as the browser reads it.
type told struct {
	Detail string
	Errors []struct{ Message, Location string }
	Bout   *BoutPaper
	Touch  *TouchPaper
}

// refused asks and reads a refusal of this status.
func (b *bench) refused(status int, method, path string, body any) told {
	b.t.Helper()
	w := b.ask(method, path, body)
	var v told
	if w.Code != status {
		b.t.Fatalf("%s %s: %d, want %d: %s", method, path, w.Code, status, w.Body)
	}
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil || v.Detail == "" {
		b.t.Fatalf("%s %s: a refusal without words: %s", method, path, w.Body)
	}
	if got := w.Header().Get("Content-Type"); got != "application/problem+json" {
		b.t.Errorf("%s %s: content type %s", method, path, got)
	}
	return v
}

// upload sends a video and returns the answer.
func (b *bench) uploaded(name, content string) added {
	b.t.Helper()
	return must[added](b, http.MethodPost, "/api/media?name="+name, content)
}

// object makes JSON.
type object map[string]any
