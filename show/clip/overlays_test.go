package clip

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

func (s *shoot) JoinOverlays(_ context.Context, path string, pieces []string, f Form) error {
	return s.Join(context.Background(), path, pieces, f, nil, nil)
}

// Overlays that were called off go on from the shots that were done, have the frames of
// the clip, and come out as those that were never called off.
func TestOverlaysGoOn(t *testing.T) {
	if testing.Short() {
		t.Skip("renders overlays twice")
	}
	dir := t.TempDir()
	path, cache := filepath.Join(dir, "overlays.mov"), filepath.Join(dir, "pieces")
	f := filmOf(t, wholeBoard())
	f.st = stageOf(f.form, 160)
	half := f.Frames() / 2
	ctx, stop := context.WithCancel(t.Context())
	err := f.RenderOverlays(ctx, path, cache, &shoot{}, func(x float64) {
		if x >= share(half, f.Frames()) {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Fatalf("overlays that were called off say %v", err)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("overlays stand there that were never finished")
	}
	kept, _ := os.ReadDir(cache)
	if len(kept) == 0 || len(kept) >= len(f.sections()) {
		t.Fatalf("%d of %d sections are kept", len(kept), len(f.sections()))
	}
	before := map[string]os.FileInfo{}
	for _, k := range kept {
		before[k.Name()], _ = k.Info()
	}
	var shares []float64
	if err := f.RenderOverlays(t.Context(), path, cache, &shoot{}, func(x float64) { shares = append(shares, x) }); err != nil {
		t.Fatal(err)
	}
	if !slices.IsSorted(shares) || shares[0] < share(1, f.Frames()) || shares[len(shares)-1] != 1 {
		t.Error("the share that is done goes back, or does not end at 1")
	}
	for name, was := range before {
		if now, err := os.Stat(filepath.Join(cache, name)); err != nil || !now.ModTime().Equal(was.ModTime()) {
			t.Errorf("%s was rendered again", name)
		}
	}
	got, _ := os.ReadFile(path)
	var want []byte // what the sink writes of a piece is how many frames it got
	for _, p := range f.sections() {
		for range p.times {
			want = append(want, byte(p.frames))
		}
	}
	if !bytes.Equal(got, want) {
		t.Errorf("the shots have %v frames, those of the clip %v", got, want)
	}
	// Pieces of the clip lie in the same folder under other names.
	for _, p := range f.Pieces() {
		if f.Drawn(cache, p) {
			t.Errorf("the overlays took the place of the piece %s", p.Shot)
		}
	}
}
