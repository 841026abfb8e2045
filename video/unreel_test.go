package video

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"mesure/sport/mark"
)

// TestUnreel hands out frames in any order, from memory and from a file, and each
// is the frame that its painted number says.
func TestUnreel(t *testing.T) {
	path := makeBase(t)
	ctx := context.Background()
	temp := t.TempDir()
	t.Setenv("TMPDIR", temp)
	for _, e := range engines(t) {
		clip, err := e.Probe(ctx, path, nil)
		if err != nil {
			t.Fatal(err)
		}
		size := clip.Width * clip.Height
		from, to := mark.Frame(3), mark.Frame(clip.Frames()-2)
		for _, held := range []int{1 << 30, 9 * size} {
			g, err := e.(*engine).unreel(ctx, path, clip, from, to, held)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range []mark.Frame{to, from, from + 7, to - 1, from + 7, from + 1, from + 2} {
				p, err := g.Gray(f)
				if err != nil {
					t.Fatalf("%s, %d bytes held, frame %d: %v", e.Name(), held, f, err)
				}
				want, err := e.Luma(ctx, path, clip, f)
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(p.Pix, want.Pix) {
					t.Errorf("%s, %d bytes held: frame %d is another picture", e.Name(), held, f)
				}
			}
			if _, err := g.Gray(to + 1); !errors.Is(err, ErrNoFrame) {
				t.Errorf("a frame that was not asked for gives %v", err)
			}
			if err := g.Close(); err != nil {
				t.Error(err)
			}
			if _, err := g.Gray(from); err == nil {
				t.Error("a closed take hands out frames")
			}
		}
		left, err := filepath.Glob(filepath.Join(temp, "*"))
		if err != nil || len(left) > 0 {
			t.Errorf("%s left %v (%v)", e.Name(), left, err)
		}
	}
}

// TestUnreelCancelled ends with the error of the context, also for one who waits.
func TestUnreelCancelled(t *testing.T) {
	path := makeBase(t)
	for _, e := range engines(t) {
		ctx, cancel := context.WithCancel(context.Background())
		clip, err := e.Probe(ctx, path, nil)
		if err != nil {
			t.Fatal(err)
		}
		g, err := e.Unreel(ctx, path, clip, 0, mark.Frame(clip.Frames()-1))
		if err != nil {
			t.Fatal(err)
		}
		cancel()
		for f := range clip.Frames() { // what had come before the end is there
			if _, err = g.Gray(mark.Frame(f)); err != nil {
				break
			}
		}
		if err != nil && !errors.Is(err, context.Canceled) {
			t.Errorf("%s: %v", e.Name(), err)
		}
		if err := g.Close(); err != nil {
			t.Error(err)
		}
	}
	_ = os.Remove(path)
}
