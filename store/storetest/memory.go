package storetest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"mesure/study"
)

// Memory returns an empty library that keeps documents in memory and videos in a
// folder of the test. It is gone when the test ends, and is otherwise as good a
// library as any: it passes Exercise. Its clock starts at 2026-01-01 UTC and is
// one second later at every change.
func Memory(t testing.TB) study.Library { return Indexed(t, nil) }

// Indexed is Memory with acts as this indexer finds them.
func Indexed(t testing.TB, acts study.Indexer) study.Library {
	return &memory{dir: t.TempDir(), now: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), acts: acts}
}

type memory struct {
	mu     sync.Mutex
	dir    string
	now    time.Time
	made   int
	docs   []*kept
	media  []study.Media
	closed bool
	acts   study.Indexer
}

// kept is a document with its kept states, oldest first.
type kept struct {
	id     study.ID
	kind   study.Kind
	of     study.ID
	states []study.Document
	at     int // index of the state now shown
	last   study.Revision
}

// show returns a copy of the state at i.
func (k *kept) show(i int) study.Document {
	d := k.states[i]
	d.Body = bytes.Clone(d.Body)
	d.CanUndo, d.CanRedo = i > 0, i < len(k.states)-1
	return d
}

// begin locks the library for one call.
func (m *memory) begin(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	m.mu.Lock()
	if m.closed {
		m.mu.Unlock()
		return errors.New("storetest: the library is closed")
	}
	return nil
}

func (m *memory) tick() time.Time {
	m.now = m.now.Add(time.Second)
	return m.now
}

func (m *memory) find(id study.ID) *kept {
	for _, k := range m.docs {
		if k.id == id {
			return k
		}
	}
	return nil
}

// onto finds a document whose current revision is base.
func (m *memory) onto(id study.ID, base study.Revision) (*kept, error) {
	k := m.find(id)
	if k == nil {
		return nil, notFound(string(id))
	}
	if d := k.show(k.at); d.Revision != base {
		return nil, &study.ConflictError{Current: d, Base: base}
	}
	return k, nil
}

func notFound(name string) error { return fmt.Errorf("%w: %q", study.ErrNotFound, name) }

func checkBody(body json.RawMessage) error {
	if !json.Valid(body) {
		return errors.New("the body of a document must be JSON: nothing was stored")
	}
	return nil
}

func (m *memory) Create(ctx context.Context, d study.Document) (study.Document, error) {
	if err := m.begin(ctx); err != nil {
		return study.Document{}, err
	}
	defer m.mu.Unlock()
	switch {
	case checkBody(d.Body) != nil:
		return study.Document{}, checkBody(d.Body)
	case d.Of != "" && m.find(d.Of) == nil:
		return study.Document{}, notFound(string(d.Of))
	case d.ID != "" && m.find(d.ID) != nil:
		return study.Document{}, fmt.Errorf("%w: %q", study.ErrExists, string(d.ID))
	}
	for d.ID == "" || m.find(d.ID) != nil {
		m.made++
		d.ID = study.ID(fmt.Sprintf("made%016d", m.made))
	}
	k := &kept{id: d.ID, kind: d.Kind, of: d.Of, last: 1}
	k.states = []study.Document{{ID: d.ID, Kind: d.Kind, Of: d.Of, Revision: 1, Gesture: d.Gesture, Saved: m.tick(), Body: bytes.Clone(d.Body)}}
	m.docs = append(m.docs, k)
	return k.show(0), nil
}

func (m *memory) Get(ctx context.Context, id study.ID) (study.Document, error) {
	if err := m.begin(ctx); err != nil {
		return study.Document{}, err
	}
	defer m.mu.Unlock()
	k := m.find(id)
	if k == nil {
		return study.Document{}, notFound(string(id))
	}
	return k.show(k.at), nil
}

func (m *memory) List(ctx context.Context, kind study.Kind, of study.ID) ([]study.Document, error) {
	if err := m.begin(ctx); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	var all []study.Document
	for _, k := range m.docs {
		if k.kind == kind && (of == "" || k.of == of) {
			all = append(all, k.show(k.at))
		}
	}
	return all, nil
}

func (m *memory) Save(ctx context.Context, id study.ID, base study.Revision, gesture string, body json.RawMessage) (study.Document, error) {
	return m.move(ctx, id, base, func(k *kept) error {
		if err := checkBody(body); err != nil {
			return err
		}
		k.last++
		k.states = append(k.states[:k.at+1], study.Document{
			ID: id, Kind: k.kind, Of: k.of, Revision: k.last, Gesture: gesture, Saved: m.tick(), Body: bytes.Clone(body),
		})
		k.at++
		return nil
	})
}

func (m *memory) Undo(ctx context.Context, id study.ID, base study.Revision) (study.Document, error) {
	return m.move(ctx, id, base, func(k *kept) error { return k.step(-1) })
}

func (m *memory) Redo(ctx context.Context, id study.ID, base study.Revision) (study.Document, error) {
	return m.move(ctx, id, base, func(k *kept) error { return k.step(1) })
}

func (k *kept) step(by int) error {
	if to := k.at + by; to < 0 || to >= len(k.states) {
		return fmt.Errorf("%w: %q is at revision %d", study.ErrNoStep, string(k.id), k.states[k.at].Revision)
	}
	k.at += by
	return nil
}

func (m *memory) move(ctx context.Context, id study.ID, base study.Revision, to func(k *kept) error) (study.Document, error) {
	if err := m.begin(ctx); err != nil {
		return study.Document{}, err
	}
	defer m.mu.Unlock()
	k, err := m.onto(id, base)
	if err != nil {
		return study.Document{}, err
	}
	if err := to(k); err != nil {
		return study.Document{}, err
	}
	return k.show(k.at), nil
}

func (m *memory) History(ctx context.Context, id study.ID) ([]study.Document, error) {
	if err := m.begin(ctx); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	k := m.find(id)
	if k == nil {
		return nil, notFound(string(id))
	}
	var all []study.Document
	for i := range k.states {
		all = append(all, k.show(i))
	}
	return all, nil
}

func (m *memory) Delete(ctx context.Context, id study.ID, base study.Revision) error {
	if err := m.begin(ctx); err != nil {
		return err
	}
	defer m.mu.Unlock()
	if _, err := m.onto(id, base); err != nil {
		return err
	}
	// Owners come before what belongs to them, so one pass finds all.
	gone := map[study.ID]bool{id: true}
	left := m.docs[:0]
	for _, k := range m.docs {
		if gone[k.id] || k.of != "" && gone[k.of] {
			gone[k.id] = true
			continue
		}
		left = append(left, k)
	}
	m.docs = left
	return nil
}

func (m *memory) AddMedia(ctx context.Context, name string, r io.Reader) (study.Media, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return study.Media{}, err
	}
	if err := m.begin(ctx); err != nil {
		return study.Media{}, err
	}
	defer m.mu.Unlock()
	sum := sha256.Sum256(data)
	v := study.Media{SHA256: hex.EncodeToString(sum[:]), Name: name, Bytes: int64(len(data))}
	for _, old := range m.media {
		if old.SHA256 == v.SHA256 {
			return old, nil
		}
	}
	if err := os.WriteFile(filepath.Join(m.dir, v.SHA256), data, 0o600); err != nil {
		return study.Media{}, err
	}
	v.Added = m.tick()
	m.media = append(m.media, v)
	return v, nil
}

func (m *memory) ListMedia(ctx context.Context) ([]study.Media, error) {
	if err := m.begin(ctx); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	return append([]study.Media(nil), m.media...), nil
}

func (m *memory) MediaPath(ctx context.Context, sum string) (string, error) {
	if err := m.begin(ctx); err != nil {
		return "", err
	}
	defer m.mu.Unlock()
	for _, v := range m.media {
		if v.SHA256 == sum {
			return filepath.Join(m.dir, sum), nil
		}
	}
	return "", notFound(sum)
}

func (m *memory) RemoveMedia(ctx context.Context, sum string) error {
	if err := m.begin(ctx); err != nil {
		return err
	}
	defer m.mu.Unlock()
	for i, v := range m.media {
		if v.SHA256 == sum {
			m.media = append(m.media[:i:i], m.media[i+1:]...)
			return os.Remove(filepath.Join(m.dir, sum))
		}
	}
	return notFound(sum)
}

// Check compares every video with its name; nothing else can be damaged.
func (m *memory) Check(ctx context.Context) ([]study.Warning, error) {
	if err := m.begin(ctx); err != nil {
		return nil, err
	}
	defer m.mu.Unlock()
	var found []study.Warning
	for _, v := range m.media {
		data, err := os.ReadFile(filepath.Join(m.dir, v.SHA256))
		sum := sha256.Sum256(data)
		if err != nil || hex.EncodeToString(sum[:]) != v.SHA256 {
			found = append(found, study.Warning{Code: "media-altered", About: v.SHA256, Doubt: 1, Text: "The file of the video " + v.Name + " was changed. Add the video again."})
		}
	}
	return found, nil
}

func (m *memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.closed = true
	return nil
}
