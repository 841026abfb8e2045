package demo

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"mesure/demo/scene"
	"mesure/sport/mark"
	"mesure/video"
)

func TestMain(m *testing.M) {
	video.RunChild()
	os.Exit(m.Run())
}

// short is the first touch cut to a few frames.
func short() []*scene.Film {
	f := scene.Films()[0]
	f.Shots[0].Frames = 4
	return []*scene.Film{f}
}

// TestRenderWritesAndKeeps draws a few frames with the embedded engine, finds
// them again, and draws afresh what was changed or is of another version.
func TestRenderWritesAndKeeps(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: it draws the hall, which TestRenderStopsCleanly does as well")
	}
	dir := filepath.Join(t.TempDir(), "new", "demo")
	ctx := context.Background()
	draw := func(films []*scene.Film) (Manifest, int) {
		t.Helper()
		steps, last := 0, 0.0
		m, err := render(ctx, dir, films, Options{Engine: video.Embedded()}, func(share float64) {
			if steps++; share < last || share > 1 {
				t.Errorf("progress goes from %.2f to %.2f", last, share)
			}
			last = share
		})
		if err != nil {
			t.Fatal(err)
		}
		if last != 1 {
			t.Errorf("progress ends at %.2f", last)
		}
		return m, steps
	}
	// One step for the hall and one for each frame.
	first, steps := draw(short())
	if steps != 1+4 || len(first.Files) != 2 || len(first.Videos()) != 1 {
		t.Fatalf("%d steps, manifest %+v", steps, first)
	}
	clip, err := video.Embedded().Probe(ctx, filepath.Join(dir, first.Videos()[0]), nil)
	if err != nil || clip.Frames() != 4 || clip.Width != scene.Width || clip.Height != scene.Height {
		t.Fatalf("the video is %+v, %v", clip, err)
	}
	again, steps := draw(short())
	if steps != 1 || again.Version != first.Version || again.Files[0] != first.Files[0] {
		t.Errorf("what was there was drawn again: %d steps", steps)
	}
	truth := filepath.Join(dir, truthFile(0))
	if err := os.WriteFile(truth, []byte("{}"), 0o644); err != nil {
		t.Fatal(err)
	}
	mended, steps := draw(short())
	if steps != 1+4 {
		t.Errorf("a damaged file was taken as it stood")
	}
	for i := range mended.Files {
		if mended.Files[i] != first.Files[i] {
			t.Errorf("equal scenes gave %+v and %+v", first.Files[i], mended.Files[i])
		}
	}
	other := short()
	other[0].Shots[0].Frames = 3
	if m, steps := draw(other); steps != 1+3 || m.Version == first.Version {
		t.Errorf("another film was taken for the old one: %d steps", steps)
	}
	left, err := filepath.Glob(filepath.Join(dir, ".*"))
	if err != nil || len(left) != 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}

// TestFileGoesOnAfterTheCut: the last live file holds frames of another camera after
// its take; the truth says where they begin, the take ends before them, and the
// picture jumps there and nowhere else.
func TestFileGoesOnAfterTheCut(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	truth, touch := TruthOf(3), Touches()[3]
	live, all := truth.Takes[0], scene.Films()
	if int(live.Cut) != len(live.Frames) || touch.Takes[0].To != live.Cut-1 || all[3].Shots[0].FileFrames() != len(live.Frames)+15 {
		t.Fatalf("the cut is at %d of %d frames, the take ends on %d", live.Cut, len(live.Frames), touch.Takes[0].To)
	}
	for i, k := range []int{0, 1, 2} {
		if c := TruthOf(k).Takes[0].Cut; c != 0 {
			t.Errorf("touch %d has a cut at %d", i, c)
		}
	}
	f := all[3]
	f.Shots = f.Shots[:1]
	f.Shots[0].Frames, f.Shots[0].Next.Frames = 3, 2
	dir, e, ctx := t.TempDir(), video.Embedded(), context.Background()
	m, err := render(ctx, dir, []*scene.Film{f}, Options{Engine: e}, func(float64) {})
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, m.Videos()[0])
	clip, err := e.Probe(ctx, path, nil)
	if err != nil || clip.Frames() != 5 {
		t.Fatalf("%d frames, %v", clip.Frames(), err)
	}
	var grey [5][]float64
	for n := range grey {
		img, err := e.Still(ctx, path, clip, mark.Frame(n))
		if err != nil {
			t.Fatal(err)
		}
		for y := 0; y < scene.Height; y += 8 {
			for x := 0; x < scene.Width; x += 8 {
				_, g, _, _ := img.At(x, y).RGBA()
				grey[n] = append(grey[n], float64(g>>8))
			}
		}
	}
	jump := func(n int) (sum float64) {
		for i := range grey[n] {
			sum += math.Abs(grey[n][i] - grey[n-1][i])
		}
		return sum / float64(len(grey[n]))
	}
	if a, cut, b := jump(2), jump(3), jump(4); cut < 15 || a > cut/4 || b > cut/4 {
		t.Errorf("the picture changes by %.1f, at the cut by %.1f, then by %.1f levels", a, cut, b)
	}
}

func TestRenderStopsCleanly(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	films := short()
	films[0].Shots[0].Frames = 100
	_, err := render(ctx, dir, films, Options{Engine: video.Embedded()}, func(share float64) {
		if share > 0.25 { // past the hall
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("a cancelled rendering returned %v", err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 0 {
		t.Errorf("left behind: %v %v", entries, err)
	}
	if _, err := render(context.Background(), filepath.Join(dir, "no\x00name"), short(), Options{}, func(float64) {}); err == nil {
		t.Error("a folder that cannot be made gave no error")
	}
}

// BenchmarkRender draws and writes the whole demo afresh. Set
// MESURE_DEMO_DIR to keep what it writes.
func BenchmarkRender(b *testing.B) {
	dir := os.Getenv("MESURE_DEMO_DIR")
	if dir == "" {
		dir = b.TempDir()
	}
	for b.Loop() {
		if _, err := Render(context.Background(), dir, Options{Afresh: true}, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(Duration())*scene.FrameRate, "frames")
}
