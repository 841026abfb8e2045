package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"mesure/sport/mark"
)

// Pieces that are too old go, those that were given up half-written a day ago, and the
// oldest of too many.
func TestPiecesAreBounded(t *testing.T) {
	dir, now := t.TempDir(), time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)
	for name, age := range map[string]time.Duration{
		"old.mp4": piecesAge + time.Hour, ".half-1.part.mp4": halfAge + time.Hour, ".half-2.part.mp4": time.Hour,
		"a.mp4": 3 * time.Hour, "b.mp4": 2 * time.Hour, "c.mp4": 30 * time.Minute,
	} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, make([]byte, 100), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, now.Add(-age), now.Add(-age)); err != nil {
			t.Fatal(err)
		}
	}
	prunePieces(dir, now, 300)
	left, err := filepath.Glob(filepath.Join(dir, "[a-z]*"))
	if err != nil {
		t.Fatal(err)
	}
	hidden, err := filepath.Glob(filepath.Join(dir, ".h*"))
	if err != nil {
		t.Fatal(err)
	}
	if len(left) != 2 || filepath.Base(left[0]) != "b.mp4" || filepath.Base(left[1]) != "c.mp4" || len(hidden) != 1 {
		t.Errorf("left: %v %v", left, hidden)
	}
}

// A frame is heard until the next one comes, the last as long as the one before it.
func TestEndOfAFrame(t *testing.T) {
	c := mark.Clip{Times: []mark.FileTime{10, 10.5, 11.5}}
	for f, want := range []mark.FileTime{10.5, 11.5, 12.5} {
		if got := endOf(c, mark.Frame(f)); got != want {
			t.Errorf("frame %d ends at %v, want %v", f, got, want)
		}
	}
	if got := endOf(mark.Clip{Times: []mark.FileTime{7}}, 0); got != 7 {
		t.Errorf("a single frame ends at %v", got)
	}
}
