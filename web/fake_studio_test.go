package web

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"os"
	"sync"
	"sync/atomic"
	"testing"

	"mesure/show/clip"
	"mesure/sport/mark"
	"mesure/study"
)

// fakeStudio decodes grey pictures that are as bright as their frame's number, and writes
// pieces that say how many frames they have.
type fakeStudio struct {
	mu sync.Mutex
	// runs lists what was decoded; hold is waited for by every piece, where it is set.
	runs []string
	hold chan struct{}
	lost []string
}

func (f *fakeStudio) Run(ctx context.Context, touch, take string, from, to mark.Frame, crop image.Rectangle, w, h int, fn func(mark.Frame, *image.YCbCr) error) error {
	f.mu.Lock()
	f.runs = append(f.runs, fmt.Sprintf("%s%s %d-%d", touch, take, from, to))
	f.mu.Unlock()
	for n := from; n <= to; n++ {
		p := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
		for i := range p.Y {
			p.Y[i] = uint8(40 + n)
		}
		for i := range p.Cb {
			p.Cb[i], p.Cr[i] = 128, 128
		}
		if err := fn(n, p); err != nil {
			return err
		}
	}
	return ctx.Err()
}

func (f *fakeStudio) Piece(ctx context.Context, path string, _ clip.Form, _, _ int) (clip.Sink, error) {
	if f.hold != nil {
		select {
		case <-f.hold:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	return &fakeSink{path: path}, nil
}

func (f *fakeStudio) Overlays(_ context.Context, path string, _ clip.Form, _, _ int) (clip.AlphaSink, error) {
	return &fakeAlpha{fakeSink{path: path}}, nil
}

func (f *fakeStudio) Join(_ context.Context, path string, pieces []string, _ clip.Form, _ []clip.Sound, _ []clip.Chapter) error {
	return os.WriteFile(path, fmt.Appendf(nil, "clip of %d shots", len(pieces)), 0o600)
}

func (f *fakeStudio) JoinOverlays(_ context.Context, path string, pieces []string, _ clip.Form) error {
	return os.WriteFile(path, fmt.Appendf(nil, "overlays of %d shots", len(pieces)), 0o600)
}

func (f *fakeStudio) Lost(clip.Form) []string { return f.lost }

type fakeSink struct {
	path   string
	frames int
}

func (s *fakeSink) Add(*image.YCbCr) error { s.frames++; return nil }
func (s *fakeSink) Close() error {
	return os.WriteFile(s.path, fmt.Appendf(nil, "%d frames", s.frames), 0o600)
}
func (s *fakeSink) Abort() { os.Remove(s.path) }

type fakeAlpha struct{ fakeSink }

func (s *fakeAlpha) Add(*image.RGBA) error { s.frames++; return nil }

// filmBench is a bench with a touch that can be told as a film.
func filmBench(t *testing.T) (*bench, string, *fakeStudio) {
	t.Helper()
	b, at := toldBench(t)
	f := &fakeStudio{lost: []string{"VP9 cannot be written here."}}
	b.c.StudioOf = func(context.Context, *study.Reading, map[string]*study.Reading) (clip.Studio, error) { return f, nil }
	b.c.Made, b.c.Pieces = t.TempDir(), t.TempDir()
	return b, at, f
}

// TestAFrameIsDecodedWithThoseThatFollow: single frames, one after the other, cost one
// run; what is decoded is what was asked for, and what is kept is bounded.
func TestAFrameIsDecodedWithThoseThatFollow(t *testing.T) {
	f := &fakeStudio{}
	a := &ahead{Footage: f, life: t.Context(), last: func(touch, take string) (mark.Frame, bool) { return 40, take == "live" }}
	see := func(take string, from, to mark.Frame) (seen []uint8) {
		t.Helper()
		err := a.Run(t.Context(), "", take, from, to, image.Rect(0, 0, 64, 36), 64, 36, func(n mark.Frame, p *image.YCbCr) error {
			seen = append(seen, p.Y[0])
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return seen
	}
	for n := mark.Frame(10); n < 26; n++ {
		if got := see("live", n, n); !bytes.Equal(got, []byte{byte(40 + n)}) {
			t.Fatalf("frame %d shows %v", n, got)
		}
	}
	if got := see("live", 25, 27); !bytes.Equal(got, []byte{65, 66, 67}) {
		t.Errorf("a run of three: %v", got)
	}
	see("live", 33, 33) // the last of its run: the next is begun
	see("live", 38, 40)
	see("other", 3, 3)
	want := "[live 10-33 live 34-40 other 3-3]"
	f.mu.Lock()
	got := fmt.Sprint(f.runs)
	f.mu.Unlock()
	if got != want {
		t.Errorf("decoded %s, want %s", got, want)
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	for i := range 4000 {
		a.put(aheadFrame{take: "x", f: mark.Frame(i)}, image.NewYCbCr(image.Rect(0, 0, 320, 180), image.YCbCrSubsampleRatio420))
	}
	if a.bytes > aheadBytes || len(a.kept) != len(a.order) {
		t.Errorf("%d bytes in %d frames, %d in order", a.bytes, len(a.kept), len(a.order))
	}
}

// TestAFrameComesBeforeItsRunEnds: who waits for a frame does not wait for those that
// follow; an error of the run reaches who still waits, and who has gone is not waited for.
func TestAFrameComesBeforeItsRunEnds(t *testing.T) {
	slow := &slowFootage{next: make(chan error)}
	a := &ahead{Footage: slow, life: t.Context(), last: func(string, string) (mark.Frame, bool) { return 40, true }}
	ask := func(ctx context.Context, n mark.Frame) error {
		return a.Run(ctx, "", "live", n, n, image.Rect(0, 0, 64, 36), 64, 36, func(mark.Frame, *image.YCbCr) error { return nil })
	}
	said := make(chan error)
	go func() { said <- ask(t.Context(), 10) }()
	slow.next <- nil // frame 10, and no more
	if err := <-said; err != nil {
		t.Fatal(err)
	}
	gone, leave := context.WithCancel(t.Context())
	leave()
	if err := ask(gone, 13); err == nil {
		t.Error("who has gone was waited for")
	}
	go func() { said <- ask(t.Context(), 12) }()
	slow.next <- nil
	slow.next <- nil
	if err := <-said; err != nil {
		t.Error(err)
	}
	broke := fmt.Errorf("the tape broke")
	slow.next <- broke
	if n := slow.runs.Load(); n != 1 {
		t.Errorf("%d runs for frames of one", n)
	}
	go func() { said <- ask(t.Context(), 39) }() // beyond the run that broke
	slow.next <- broke
	if err := <-said; err != broke {
		t.Errorf("the run broke, and who waited heard %v", err)
	}
}

// slowFootage hands out a frame for every nil that it gets, and ends with an error.
type slowFootage struct {
	clip.Footage
	next chan error
	runs atomic.Int32
}

func (s *slowFootage) Run(_ context.Context, _, _ string, from, to mark.Frame, _ image.Rectangle, w, h int, fn func(mark.Frame, *image.YCbCr) error) error {
	s.runs.Add(1)
	for n := from; n <= to; n++ {
		if err := <-s.next; err != nil {
			return err
		}
		if err := fn(n, image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)); err != nil {
			return err
		}
	}
	return nil
}
