package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"mesure/show/clip"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
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
	// They lie in a folder for each way of encoding.
	if err := errors.Join(os.Mkdir(filepath.Join(dir, "native-1"), 0o700), os.Rename(filepath.Join(dir, "a.mp4"), filepath.Join(dir, "native-1", "a.mp4"))); err != nil {
		t.Fatal(err)
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
	left = slices.DeleteFunc(left, func(p string) bool { return filepath.Base(p) == "native-1" })
	if _, err := os.Stat(filepath.Join(dir, "native-1", "a.mp4")); err == nil {
		t.Error("the oldest of too many stayed in its folder")
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

// Another film under the name of the old one is met by none of the pieces that were kept,
// the same film by all of them: its content is in the keys, also where the touch does not
// name it.
func TestAnotherFilmHasOtherPieces(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clip.mp4")
	r := &study.Reading{
		Touch: &study.Touch{Videos: []study.Video{{ID: "main", File: "clip.mp4"}}, Takes: []mark.Take{{ID: "live", Video: "main", From: 0, To: 2}}},
		Clips: map[string]mark.Clip{"main": {Width: 64, Height: 48, Times: []mark.FileTime{0, 0.02, 0.04}}},
	}
	keyOf := func(content string) string {
		t.Helper()
		write(t, path, content)
		tl := &teller{reading: r, source: source{path: func(study.Video) (string, error) { return path, nil }}}
		program := must[string](t)(tl.madeBy())
		f := must[*clip.Film](t)(clip.Make(clip.Input{Reading: r, Program: program, Board: clip.Board{Shots: []clip.Shot{{ID: "a", Kind: clip.Live, Take: "live", To: 2}}}}))
		if len(f.Pieces()) != 1 {
			t.Fatalf("%v", f.Troubles())
		}
		return f.Pieces()[0].Key
	}
	first := keyOf("a film")
	if keyOf("another film") == first {
		t.Error("another film under the same name has the pieces of the first one")
	}
	if keyOf("a film") != first {
		t.Error("the same film does not find its pieces again")
	}
	// Where the touch names the content, that is in its inputs: nothing is read for it.
	r.Touch.Videos[0].SHA256 = "named"
	path = filepath.Join(t.TempDir(), "not there")
	tl := &teller{reading: r, source: source{path: func(study.Video) (string, error) { return path, nil }}}
	if made := must[string](t)(tl.madeBy()); made != program() {
		t.Errorf("%q", made)
	}
}

// lesser is an engine that lacks two encoders.
type lesser struct{ video.Engine }

func (lesser) Name() string { return "native" }
func (lesser) Doctor(context.Context) (video.Health, error) {
	return video.Health{Engine: "native", Version: "5.1", Can: []video.Ability{
		{Codec: "h264", Has: true, Needed: true},
		{Codec: "vp8", Lost: "such videos cannot be opened"},
		{Codec: "h264", Write: true, Has: true, Needed: true, Lost: "there are no clips in MP4"},
		{Codec: "vp9", Write: true, Lost: "there are no clips in WebM"},
		{Codec: "aac", Write: true, Sound: true, Lost: "clips in MP4 are silent"},
		{Codec: "opus", Write: true, Sound: true, Has: true, Lost: "clips in WebM are silent"},
	}}, nil
}

// What an engine cannot write is said of the form at hand, and by the doctor of all, with
// what is lost.
func TestWhatIsLostIsSaid(t *testing.T) {
	s := newStudio(lesser{}, video.FormatProRes, &study.Reading{}, nil, nil)
	for _, c := range []struct {
		form clip.Form
		want []string
	}{
		{clip.Form{}, nil},
		{clip.Form{Sound: "original"}, []string{"The native engine lacks an encoder for MP4: clips in MP4 are silent."}},
		{clip.Form{File: "webm", Sound: "original"}, []string{"The native engine lacks an encoder for WebM: there are no clips in WebM."}},
	} {
		if got := s.Lost(c.form); !slices.Equal(got, c.want) {
			t.Errorf("%+v: %q, want %q", c.form, got, c.want)
		}
	}
	f := engineFinding(t.Context(), lesser{}, "native engine", stateDoubt)
	for _, want := range []string{"Cannot read vp8: such videos cannot be opened", "Cannot write vp9: there are no clips in WebM", "Cannot write aac: clips in MP4 are silent"} {
		if !slices.Contains(f.Details, want) {
			t.Errorf("the doctor says %q; it lacks %q", f.Details, want)
		}
	}
}

// What two engines wrote cannot be joined, so pieces of one are not kept where the other
// one looks; equal engines look in one place.
func TestEachEngineKeepsItsPieces(t *testing.T) {
	t.Setenv(video.CacheEnv, t.TempDir())
	embedded := piecesFolder(video.Embedded())
	if embedded == "" || embedded != piecesFolder(video.Embedded()) || !strings.HasPrefix(filepath.Base(embedded), "embedded-") {
		t.Errorf("%s", embedded)
	}
	if n, err := video.Native(); err != nil {
		t.Log("NOT CHECKED: no native engine is here")
	} else if native := piecesFolder(n); native == embedded || native == "" {
		t.Errorf("both engines keep their pieces in %s", native)
	}
}
