package sqlite

import (
	"context"
	"testing"

	"mesure/study"
)

// A library of an older version is brought forward with all it holds, in one
// step or not at all.
func TestMigrateForward(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	at := func(steps []string) (*library, error) { return open(ctx, dir, Options{}, steps) }
	l, err := at(migrations)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Create(ctx, study.Document{ID: "a", Kind: study.KindBout, Body: []byte(`1`)}); err != nil {
		t.Fatal(err)
	}
	l.Close()

	next := append(append([]string{}, migrations...),
		`ALTER TABLE document ADD COLUMN colour TEXT NOT NULL DEFAULT 'white'`)
	if _, err := at(append(next[:len(next):len(next)], `UPDATE document SET colour = 'red'; SYNTAX ERROR`)); err == nil {
		t.Fatal("a step that fails was taken")
	}
	if l, err = at(migrations); err != nil {
		t.Fatalf("after a failed step the library is no longer of its version: %v", err)
	}
	l.Close()
	for range 2 { // the second time there is nothing to do
		if l, err = at(next); err != nil {
			t.Fatal(err)
		}
		var colour string
		if err := l.db.QueryRow(`SELECT colour FROM document WHERE id = 'a'`).Scan(&colour); err != nil || colour != "white" {
			t.Errorf("colour %q, %v", colour, err)
		}
		if d, err := l.Get(ctx, "a"); err != nil || string(d.Body) != "1" {
			t.Errorf("the document is %+v, %v", d, err)
		}
		l.Close()
	}
}

// Every connection of the pool has the pragmas, not only the first.
func TestPragmasHoldForEveryConnection(t *testing.T) {
	ctx := context.Background()
	l, err := open(ctx, t.TempDir(), Options{}, migrations)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	for i := range 4 {
		c, err := l.db.Conn(ctx) // all are held at once, so each is another
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		for pragma, want := range map[string]string{"foreign_keys": "1", "journal_mode": "wal", "synchronous": "2", "busy_timeout": "10000"} {
			var got string
			if err := c.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
				t.Errorf("connection %d: %s is %q, want %q (%v)", i, pragma, got, want, err)
			}
		}
	}
}
