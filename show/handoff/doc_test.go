package handoff

import (
	"errors"
	"io"
	"strings"
	"testing"
)

// full is a disk that takes so many bytes and no more.
type full struct{ left int }

var errFull = errors.New("no space left on device")

func (f *full) Write(p []byte) (int, error) {
	if len(p) > f.left {
		return f.left, errFull
	}
	f.left -= len(p)
	return len(p), nil
}

func TestAFullDiskIsSaid(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"captions": func(w io.Writer) error { return WriteVTT(w, example) },
		"chapters": func(w io.Writer) error { return WriteChapters(w, example, 45) },
		"timeline": func(w io.Writer) error { return WriteTimeline(w, cutOf) },
		"numbers":  func(w io.Writer) error { return WriteNumbers(w, someNumbers) },
		"shots":    func(w io.Writer) error { return WriteShots(w, cutOf) },
		"schema":   func(w io.Writer) error { return WriteNumbersSchema(w, "numbers.csv") },
	} {
		for _, left := range []int{0, 5, 50} {
			if err := write(&full{left}); !errors.Is(err, errFull) {
				t.Errorf("%s on a disk with %d bytes: %v", name, left, err)
			}
		}
	}
}

func TestErrorsAreOneShortLine(t *testing.T) {
	e := &Error{"shot", 2, oneLine("a\nb" + strings.Repeat("é", 300)), "why"}
	if s := e.Error(); strings.Contains(s, "\n") || width(s) > 60 || !strings.HasPrefix(s, "shot 3 (a b") {
		t.Errorf("%q", s)
	}
}
