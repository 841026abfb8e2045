// Package specimen has the invented touch that the tests of show tell and draw, as it was
// read once and kept in show/testdata. It is for tests alone; what writes the files are the
// tests of packages plate (the reading), summary (its timing) and chart (its tactics).
//
// Most tests need Told. Every call reads the files anew, so a test may change what it gets.
package specimen

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"mesure/study"
)

// Reading is the reading without timing and tactics.
func Reading(t testing.TB) *study.Reading {
	t.Helper()
	r := &study.Reading{}
	load(t, "reading.json", r)
	return r
}

// Timed is the reading with its timing.
func Timed(t testing.TB) *study.Reading {
	t.Helper()
	r := Reading(t)
	load(t, "timing.json", r) // its fields are two of the reading's
	return r
}

// Told is the reading with its timing and its tactics.
func Told(t testing.TB) *study.Reading {
	t.Helper()
	r := Timed(t)
	r.Tactics = Tactics(t)
	return r
}

// Tactics are those of the bout alone.
func Tactics(t testing.TB) *study.Tactics {
	t.Helper()
	x := &study.Tactics{}
	load(t, "tactics.json", x)
	return x
}

// load reads a file of show/testdata, which lies beside the package under test.
func load(t testing.TB, name string, into any) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "testdata", name))
	if err == nil {
		err = json.Unmarshal(b, into)
	}
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}
