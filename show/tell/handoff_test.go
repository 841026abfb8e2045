package tell

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"mesure/show/clip"
	"mesure/show/handoff"
	"mesure/show/script"
	"mesure/study"
)

// handedOff is a short telling of the coach's own words, so that no sentence that is
// drafted stands in the golden file, with what its hand-off holds.
func handedOff(t testing.TB, r *study.Reading, names script.Naming) HandOff {
	t.Helper()
	s := &script.Script{Options: script.Options{Level: script.Club, Names: names, Language: "en"}, Inputs: r.Inputs, Title: "The extension into the preparation",
		Parts: []script.Part{{Kind: script.PartOpening, Lines: []script.Line{
			{Key: "own-1", Pieces: []script.Piece{{Text: "Maren & Öberg meet: 李明, مرحبا 🤺."}}},
			{Key: "own-2", Pieces: []script.Piece{{Text: "Watch the hand."}}},
		}}}}
	b := clip.Board{Form: clip.Form{Rate: 25, Captions: "file"}, Shots: []clip.Shot{
		{ID: "a", Kind: clip.Live, Title: "At speed", Take: "live", From: 0, To: 60, Layers: []string{}},
		{ID: "b", Kind: clip.Slow, Take: "live", From: 40, To: 52, Speed: 0.25, Layers: []string{}, Lines: []string{"opening own-1"}},
		{ID: "c", Kind: clip.Hold, Title: "Öberg’s choice", Take: "live", From: 51, Layers: []string{}, Lines: []string{"opening own-2"}},
		{ID: "d", Kind: clip.Plate, Title: "The end", Lasts: 4},
	}}
	f, err := clip.Make(clip.Input{Reading: r, Script: s, Board: b})
	if err != nil || len(f.Troubles()) > 0 {
		t.Fatal(err, f.Troubles())
	}
	return HandOff{Film: f, Script: s, Reading: r, Program: "Mesure 0",
		Overlays: []handoff.File{{Name: "overlays.mov", About: "the overlays", Write: func(w io.Writer) error { _, err := io.WriteString(w, "film"); return err }}}}
}

func zipped(t testing.TB, h HandOff) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := handoff.WriteZip(&b, "hand-off", h.Files()); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// spelled are the files of a hand-off whose text stands in the golden file; of the others,
// long tables and schemas that have tests of their own, the size and a hash do.
var spelled = []string{"README.txt", "captions.vtt", "chapters.vtt", "shots.csv"}

// listing is what a zip holds, in its order, as a text that can be compared by eye.
func listing(t testing.TB, body []byte) string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	if err != nil {
		t.Fatal(err)
	}
	var list, texts strings.Builder
	for _, f := range z.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		how := "packed"
		if f.Method == zip.Store {
			how = "stored"
		}
		fmt.Fprintf(&list, "%s %s %d bytes %x\n", f.Name, how, len(b), sha256.Sum256(b))
		if slices.Contains(spelled, filepath.Base(f.Name)) {
			text := strings.NewReplacer("\ufeff", "<BOM>", "\r", "<CR>").Replace(string(b))
			fmt.Fprintf(&texts, "\n-- %s --\n%s", f.Name, text)
		}
	}
	return list.String() + texts.String()
}

// The hand-off is what the golden file says, name by name and in its order, and the same
// bytes a second time.
func TestHandOffGolden(t *testing.T) {
	const path = "testdata/hand-off.txt"
	body := zipped(t, handedOff(t, filmed(t), script.Named))
	if again := zipped(t, handedOff(t, filmed(t), script.Named)); !bytes.Equal(again, body) {
		t.Error("a second hand-off of the same telling has other bytes")
	}
	got := listing(t, body)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		a, b := strings.Split(got, "\n"), strings.Split(string(want), "\n")
		for i := range a {
			if i >= len(b) || a[i] != b[i] {
				t.Errorf("the hand-off has changed (line %d): %s\nrun go test ./show/tell -update and look at the difference", i+1, a[i])
				break
			}
		}
		if len(b) > len(a) {
			t.Error("the golden file has lines that the hand-off lacks")
		}
	}
	if orphans, _ := filepath.Glob("testdata/*"); len(orphans) != 1 {
		t.Errorf("orphans beside the golden file: %v", orphans)
	}
}

// README.txt comes first and tells every file that follows, in their order, once; the
// frames of a sequence are told together.
func TestHandOffOrder(t *testing.T) {
	h := handedOff(t, filmed(t), script.Named)
	h.Overlays = OverlayFrames(h.Film)
	files := h.Files()
	if files[0].Name != "README.txt" || len(h.Overlays) != h.Film.Frames() {
		t.Fatalf("%s is first; %d overlays of %d frames", files[0].Name, len(h.Overlays), h.Film.Frames())
	}
	var b bytes.Buffer
	if err := files[0].Write(&b); err != nil {
		t.Fatal(err)
	}
	page, at := b.String(), 0
	for i, f := range files[1:] {
		if f.About == "" {
			if want := fmt.Sprintf("overlays/%06d.png", i-(len(files)-1-len(h.Overlays))); f.Name != want {
				t.Fatalf("file %d is %s, not %s", i, f.Name, want)
			}
			continue
		}
		told := "\n  " + f.Name + "\n      " + f.About + "\n"
		if k := strings.Index(page, told); k < at || strings.Count(page, told) != 1 {
			t.Errorf("%s is not told, or not at its place", f.Name)
		} else {
			at = k
		}
	}
	if !strings.Contains(page, fmt.Sprintf("overlays/000000.png …\n      the overlays alone with transparency, one picture a frame, %d in all", len(h.Overlays))) {
		t.Error("the sequence of overlays is not told")
	}
}

// Every frame of the sequence has transparency, a plate that covers all too.
func TestOverlayFramesAreOfOneKind(t *testing.T) {
	h := handedOff(t, filmed(t), script.Named)
	all := OverlayFrames(h.Film)
	for _, f := range []handoff.File{all[0], all[len(all)-1]} {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			t.Fatal(err)
		}
		if c, err := png.DecodeConfig(&b); err != nil || c.ColorModel != color.NRGBAModel || c.Width != 1280 {
			t.Errorf("%s: %v, %v", f.Name, c.ColorModel == color.NRGBAModel, err)
		}
	}
}

// Where names are hidden none stands in any file of the hand-off, titles and file names of
// the touch included.
func TestHandOffNamesNobody(t *testing.T) {
	r := filmed(t)
	touch := *r.Touch
	touch.Videos = []study.Video{{ID: "hall", File: `C:\films\Maren against Öberg.mp4`}}
	touch.Moments = slices.Clone(touch.Moments)
	touch.Moments[0].Name = "Maren launches"
	r.Touch = &touch
	h := handedOff(t, r, script.Anonymous)
	for _, f := range h.Files() {
		if f.Name == "captions.vtt" || f.Name == "script.md" { // the coach's own words
			continue
		}
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"Maren", "Ida", "Jonas", "Öberg", "films"} {
			if strings.Contains(b.String(), name) {
				t.Errorf("%s names %s", f.Name, name)
			}
		}
	}
}

// The cut in the coach's editor runs with the clip: each chapter begins in the table of
// shots when it does in the clip, to half a frame of the video, though an editor shows the
// last frame of a shot longer than the clip does.
func TestCutRunsWithTheClip(t *testing.T) {
	h := handedOff(t, filmed(t), script.Named)
	var b bytes.Buffer
	if err := handoff.WriteShots(&b, h.cut()); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(b.Bytes(), []byte("\ufeff")))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, c := range h.Film.Chapters() {
		for _, row := range rows[1:] {
			if row[2] != c.Title {
				continue
			}
			found++
			if at, err := strconv.ParseFloat(row[3], 64); err != nil || math.Abs(at-float64(c.At)) > 0.01 {
				t.Errorf("%q begins at %s s in the table and at %v s in the clip", c.Title, row[3], c.At)
			}
		}
	}
	if found != 3 {
		t.Errorf("%d of 3 chapters are in the table", found)
	}
}
