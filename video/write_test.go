package video

import (
	"context"
	"errors"
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"
)

func TestWriteAndReadBack(t *testing.T) {
	const count = 25
	for _, e := range engines(t) {
		ctx := context.Background()
		dir := t.TempDir()
		path := filepath.Join(dir, "Échappée * [1].mp4")
		w, err := e.Create(ctx, path, Spec{Width: codeWidth, Height: codeHeight, Rate: 30000, PerSeconds: 1001})
		if err != nil {
			t.Fatal(err)
		}
		f := NewFrame(codeWidth, codeHeight)
		for n := range count {
			paintCode(f, n)
			if err := w.YUV(f); err != nil {
				t.Fatal(err)
			}
			if _, err := os.Stat(path); err == nil {
				t.Fatalf("%s: the clip is seen before it is whole", e.Name())
			}
		}
		if err := w.Close(); err != nil || w.Frames() != count {
			t.Fatalf("%s: %d frames: %v", e.Name(), w.Frames(), err)
		}
		if err := w.Close(); err == nil {
			t.Errorf("%s: closed twice without an error", e.Name())
		}
		onlyFile(t, dir, filepath.Base(path))
		for _, reader := range engines(t) {
			clip, err := reader.Probe(ctx, path, nil)
			if err != nil || clip.Frames() != count {
				t.Fatalf("%s: %d frames: %v", reader.Name(), clip.Frames(), err)
			}
			seen := 0
			err = reader.Frames(ctx, path, clip, 0, count-1, func(f Frame) error {
				if c := readCode(f, 0); c != int(f.Number) {
					t.Errorf("%s: frame %d shows %d", reader.Name(), f.Number, c)
				}
				if off := math.Abs(float64(f.Time) - float64(f.Number)*1001/30000); off > 1e-4 {
					t.Errorf("%s: frame %d at %v", reader.Name(), f.Number, f.Time)
				}
				if want := (Colour{Matrix: BT709}); f.Colour != want {
					t.Errorf("%s: colour %v", reader.Name(), f.Colour)
				}
				seen++
				return nil
			})
			if err != nil || seen != count {
				t.Errorf("%s: %d frames: %v", reader.Name(), seen, err)
			}
		}
	}
}

func TestWrittenColoursComeBack(t *testing.T) {
	colours := []color.RGBA{{200, 30, 40, 255}, {20, 160, 60, 255}, {40, 60, 210, 255}, {240, 240, 240, 255}, {12, 12, 12, 255}, {128, 128, 128, 255}}
	for _, e := range engines(t) {
		path := filepath.Join(t.TempDir(), "colours.mp4")
		w, err := e.Create(context.Background(), path, Spec{Width: 32 * len(colours), Height: 64, Rate: 25, Quality: 8})
		if err != nil {
			t.Fatal(err)
		}
		img := image.NewRGBA(image.Rect(0, 0, 32*len(colours), 64))
		for x := range img.Rect.Dx() {
			for y := range 64 {
				img.SetRGBA(x, y, colours[x/32])
			}
		}
		for range 3 {
			if err := w.RGBA(img); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		clip, err := e.Probe(context.Background(), path, nil)
		if err != nil {
			t.Fatal(err)
		}
		still, err := e.Still(context.Background(), path, clip, 2)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range colours {
			got := still.(*image.RGBA).RGBAAt(32*i+16, 32)
			for c, d := range []int{int(got.R) - int(want.R), int(got.G) - int(want.G), int(got.B) - int(want.B)} {
				if d < -4 || d > 4 {
					t.Errorf("%s: %v came back as %v (channel %d)", e.Name(), want, got, c)
				}
			}
		}
	}
}

// onlyFile wants a folder with this one file and nothing half-written beside it.
func onlyFile(t *testing.T, dir string, names ...string) {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range list {
		got = append(got, f.Name())
	}
	if len(got) != len(names) || len(got) > 0 && got[0] != names[0] {
		t.Fatalf("the folder holds %q, want %q", got, names)
	}
}

func TestWhatCannotBeWritten(t *testing.T) {
	dir := t.TempDir()
	good := Spec{Width: 64, Height: 64, Rate: 25}
	change := func(f func(*Spec)) Spec { s := good; f(&s); return s }
	at := func(name string) string { return filepath.Join(dir, name) }
	cases := []struct {
		path string
		spec Spec
		want *Error
		says string
	}{
		{at("a.mp4"), change(func(s *Spec) { s.Width = 65 }), ErrNotWritten, "even width"},
		{at("a.mp4"), change(func(s *Spec) { s.Height = 1 }), ErrTooSmall, "64 × 1 pixels"},
		{at("a.mp4"), change(func(s *Spec) { s.Width = 10_000 }), ErrTooLarge, "10000 × 64 pixels"},
		{at("a.mp4"), change(func(s *Spec) { s.Rate = 0 }), ErrNotWritten, "no frame rate"},
		{at("a.mp4"), change(func(s *Spec) { s.Quality = 99 }), ErrNotWritten, "quality 99"},
		{at("a.mp4"), change(func(s *Spec) { s.Preset = "fast -i x" }), ErrNotWritten, "no preset"},
		{at("nowhere/a.mp4"), good, ErrMissing, "no such folder"},
		{dir, good, ErrFolder, "folder"},
	}
	for _, e := range engines(t) {
		for _, c := range cases {
			_, err := e.Create(context.Background(), c.path, c.spec)
			checkError(t, err, c.want, c.path, c.says)
		}
		// The tool refuses: the writer says so and leaves nothing.
		w, err := e.Create(context.Background(), at("b.mp4"), change(func(s *Spec) { s.Preset = "imaginary" }))
		if err != nil {
			t.Fatal(err)
		}
		f := NewFrame(64, 64)
		for err == nil && w.Frames() < 1000 {
			err = w.YUV(f)
		}
		if err == nil {
			err = w.Close()
		}
		checkError(t, err, ErrNotWritten, at("b.mp4"), "could not be written")
		// No frames at all.
		if w, err = e.Create(context.Background(), at("c.mp4"), good); err != nil {
			t.Fatal(err)
		}
		checkError(t, w.Close(), ErrNotWritten, at("c.mp4"), "no frames")
		// Given up.
		if w, err = e.Create(context.Background(), at("d.mp4"), good); err != nil {
			t.Fatal(err)
		}
		if err := w.YUV(f); err != nil {
			t.Fatal(err)
		}
		w.Abort()
		if err := w.YUV(f); err == nil {
			t.Error("a clip that was given up takes frames")
		}
		onlyFile(t, dir)
	}
}

func TestAClipIsReplacedWholeOrNotAtAll(t *testing.T) {
	for _, e := range engines(t) {
		dir := t.TempDir()
		path := filepath.Join(dir, "clip.mp4")
		write("what was here before")(t, path)
		ctx, cancel := context.WithCancel(context.Background())
		w, err := e.Create(ctx, path, Spec{Width: 320, Height: 240, Rate: 25})
		if err != nil {
			t.Fatal(err)
		}
		f := NewFrame(320, 240)
		for n := range 10 {
			paintCode(f, n)
			if err := w.YUV(f); err != nil {
				t.Fatal(err)
			}
		}
		cancel()
		began := time.Now()
		for err == nil && w.Frames() < 1_000_000 {
			err = w.YUV(f)
		}
		if closeErr := w.Close(); !errors.Is(err, context.Canceled) || !errors.Is(closeErr, context.Canceled) {
			t.Errorf("%s: cancelled with %v, closed with %v", e.Name(), err, closeErr)
		}
		t.Logf("%s: cancelled in %v", e.Name(), time.Since(began))
		if b, err := os.ReadFile(path); err != nil || string(b) != "what was here before" {
			t.Errorf("%s: the old file is gone: %v", e.Name(), err)
		}
		onlyFile(t, dir, "clip.mp4")
	}
}

// noisy fills a frame with what does not compress.
func noisy(f Frame, seed uint32) {
	for i := range f.Y {
		seed = seed*1664525 + 1013904223
		f.Y[i] = byte(seed >> 24)
	}
}

// TestEqualFramesGiveEqualFiles writes the same clip twice, side by side, so that the
// threads of the encoders meet in another order.
func TestEqualFramesGiveEqualFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: the engines run side by side in other tests")
	}
	for _, e := range engines(t) {
		for _, format := range []Format{FormatMP4, FormatWebM, FormatProRes, FormatWebMAlpha} {
			if (e.Name() == EmbeddedName || format > FormatWebM) && os.Getenv(deepEnv) == "" {
				continue // one thread, or key frames only
			}
			dir := t.TempDir()
			s := Spec{Width: codeWidth, Height: codeHeight, Rate: 25, Format: format}
			names := []string{filepath.Join(dir, "a"+format.Ending()), filepath.Join(dir, "b"+format.Ending())}
			t.Run(e.Name()+" "+format.String(), func(t *testing.T) {
				for _, name := range names {
					t.Run(filepath.Base(name), func(t *testing.T) {
						t.Parallel()
						codedPiece(t, e, name, s, 0, 30)
					})
				}
			})
			sameFile(t, names[0], names[1])
		}
	}
}
