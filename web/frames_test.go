package web

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"mesure/sport/mark"
	"mesure/study"
)

// shades is a reel whose frame n is a grey of 2n: a picture tells its number. It
// counts what it decodes.
type shades struct {
	study.Reel
	runs, frames atomic.Int32
	// slow is how long a frame takes.
	slow time.Duration
}

func shade(f mark.Frame) image.Image {
	g := image.NewGray(image.Rect(0, 0, 64, 36))
	for i := range g.Pix {
		g.Pix[i] = uint8(2 * f)
	}
	return g
}

func (l *shades) Still(_ context.Context, _ string, c mark.Clip, f mark.Frame) (image.Image, error) {
	l.frames.Add(1)
	return shade(shownBy(c, f)), nil
}

// shownBy is the shade of a frame: that of a field lies 3 above its number.
func shownBy(c mark.Clip, f mark.Frame) mark.Frame {
	if c.Fields {
		f = (f + 3) % 125
	}
	return f
}

func (l *shades) Run(ctx context.Context, _ string, c mark.Clip, from, to mark.Frame, fn func(mark.Frame, image.Image) error) error {
	l.runs.Add(1)
	for f := from; f <= to; f++ {
		select {
		case <-time.After(l.slow):
		case <-ctx.Done():
			return ctx.Err()
		}
		l.frames.Add(1)
		if err := fn(f, shade(shownBy(c, f))); err != nil {
			return err
		}
	}
	return nil
}

// shadesBench is a server with one video of 100 frames.
func shadesBench(t *testing.T, slow time.Duration) (*bench, *shades, string) {
	t.Helper()
	b := newBench(t)
	l := &shades{Reel: b.reel, slow: slow}
	b.c.Reel = l
	sha := b.uploaded("bout.mp4", "video of shades").Media.SHA256
	if _, _, err := b.clip(t.Context(), sha); err != nil {
		t.Fatal(err)
	}
	return b, l, sha
}

func numberIn(t *testing.T, body []byte) int {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	v, _, _, _ := img.At(5, 5).RGBA()
	return int(v>>8+1) / 2
}

func TestFramesAreExact(t *testing.T) {
	b, l, sha := shadesBench(t, 0)
	ask := func(f int) {
		t.Helper()
		w := b.ask(http.MethodGet, fmt.Sprintf("/media/%s/frame/%d.jpg", sha, f), nil)
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "image/jpeg" || w.Header().Get("Cache-Control") != forever {
			t.Fatalf("frame %d: %d %v", f, w.Code, w.Header())
		}
		if got := numberIn(t, w.Body.Bytes()); got != f {
			t.Fatalf("frame %d shows frame %d", f, got)
		}
	}
	for f := range 100 {
		ask(f)
	}
	if n := l.frames.Load(); n != 100 {
		t.Errorf("a walk through 100 frames decoded %d", n)
	}
	if n := l.runs.Load(); n > 2*100/runLength+2 {
		t.Errorf("a walk through 100 frames took %d runs", n)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		ask(rng.IntN(100))
	}
	if n := l.frames.Load(); n != 100 {
		t.Errorf("what was at hand was decoded again: %d frames", n)
	}
}

// TestFieldsAreFramesOfTheirOwn: asked for fields, a video has twice the frames at
// twice the stamps, and a field is never shown for the frame of its number, nor the
// other way round.
func TestFieldsAreFramesOfTheirOwn(t *testing.T) {
	b, _, sha := shadesBench(t, 0)
	whole := must[Times](b, http.MethodGet, "/api/media/"+sha+"/times", nil)
	split := must[Times](b, http.MethodGet, "/api/media/"+sha+"/times?fields=true", nil)
	if len(whole.Times) != 100 || len(split.Times) != 200 || split.Times[2] != whole.Times[1] || !(split.Times[1] > split.Times[0] && split.Times[1] < split.Times[2]) {
		t.Fatalf("%d stamps of frames, %d of fields", len(whole.Times), len(split.Times))
	}
	tags := map[string]bool{}
	for _, f := range []int{7, 8, 9, 110, 7} {
		for _, c := range []struct {
			ask  string
			want int
		}{{"", f}, {"?fields=1", (f + 3) % 125}, {"?fields=1&width=32", (f + 3) % 125}} {
			w := b.ask(http.MethodGet, fmt.Sprintf("/media/%s/frame/%d.jpg%s", sha, f, c.ask), nil)
			if c.ask == "" && f >= 100 {
				if w.Code != http.StatusNotFound {
					t.Errorf("frame %d of 100: %d", f, w.Code)
				}
				continue
			}
			if w.Code != http.StatusOK || numberIn(t, w.Body.Bytes()) != c.want {
				t.Errorf("%d%s: %d, shows %d, want %d", f, c.ask, w.Code, numberIn(t, w.Body.Bytes()), c.want)
			}
			tags[w.Header().Get("ETag")] = true
		}
	}
	if len(tags) != 3*3+2 {
		t.Errorf("%d tags for 11 pictures", len(tags))
	}
}

func TestFramesBackwards(t *testing.T) {
	b, l, sha := shadesBench(t, 0)
	for f := 99; f >= 0; f-- {
		w := b.ask(http.MethodGet, fmt.Sprintf("/media/%s/frame/%d.jpg", sha, f), nil)
		if got := numberIn(t, w.Body.Bytes()); got != f {
			t.Fatalf("frame %d shows frame %d", f, got)
		}
	}
	if n := l.frames.Load(); n > 120 {
		t.Errorf("a walk back through 100 frames decoded %d", n)
	}
}

// TestTheNextRunIsThereInTime: who walks on finds the next frames decoded ahead.
func TestTheNextRunIsThereInTime(t *testing.T) {
	b, l, sha := shadesBench(t, 0)
	for f := range runLength {
		b.ask(http.MethodGet, fmt.Sprintf("/media/%s/frame/%d.jpg", sha, f), nil)
	}
	for wait := time.Now(); l.frames.Load() < 2*runLength; time.Sleep(time.Millisecond) {
		if time.Since(wait) > 5*time.Second {
			t.Fatalf("after %d frames %d are decoded", runLength, l.frames.Load())
		}
	}
}

// TestTogether: many hands at once, each gets its own frame; for the race detector.
func TestTogether(t *testing.T) {
	b, _, sha := shadesBench(t, 100*time.Microsecond)
	var wg sync.WaitGroup
	for w := range 8 {
		wg.Go(func() {
			rng := rand.New(rand.NewPCG(uint64(w), 1))
			for range 40 {
				f := mark.Frame(rng.IntN(100))
				ctx, cancel := context.WithCancel(t.Context())
				if rng.IntN(4) == 0 {
					time.AfterFunc(time.Duration(rng.IntN(2000))*time.Microsecond, cancel)
				}
				body, err := b.pictures.get(ctx, sha, f, 0)
				gone := ctx.Err() != nil
				cancel()
				switch {
				case err != nil && !gone:
					t.Errorf("frame %d: %v", f, err)
				case err == nil && numberIn(t, body) != int(f):
					t.Errorf("frame %d shows frame %d", f, numberIn(t, body))
				}
			}
		})
	}
	wg.Wait()
}

func TestSmallFrames(t *testing.T) {
	b, _, sha := shadesBench(t, 0)
	w := b.ask(http.MethodGet, "/media/"+sha+"/frame/7.jpg?width=32", nil)
	img, err := jpeg.Decode(w.Body)
	if err != nil || img.Bounds().Dx() != 32 || img.Bounds().Dy() != 18 {
		t.Fatalf("%v %v", img, err)
	}
	for _, bad := range []string{"?width=0", "?width=99999", "?width=x"} {
		b.refused(http.StatusUnprocessableEntity, http.MethodGet, "/media/"+sha+"/frame/7.jpg"+bad, nil)
	}
}

func TestFramesThatAreNotThere(t *testing.T) {
	b, _, sha := shadesBench(t, 0)
	for _, path := range []string{
		"/media/" + sha + "/frame/100.jpg", "/media/" + sha + "/frame/-1.jpg", "/media/" + sha + "/frame/x.jpg", "/media/" + sha + "/frame/1.png",
		"/media/ffff/frame/1.jpg",
	} {
		b.refused(http.StatusNotFound, http.MethodGet, path, nil)
	}
}

// TestPicturesAreBounded: the oldest go when there is no room.
func TestPicturesAreBounded(t *testing.T) {
	b := newBench(t)
	big := make([]byte, picturesKept/4)
	for f := range mark.Frame(10) {
		b.pictures.keep(shot{"a", f, 0}, big)
	}
	if b.pictures.bytes > picturesKept || len(b.pictures.kept) != b.pictures.order.Len() || b.pictures.look(shot{"a", 9, 0}) == nil || b.pictures.look(shot{"a", 0, 0}) != nil {
		t.Errorf("%d bytes in %d pictures", b.pictures.bytes, len(b.pictures.kept))
	}
}

// TestAFrameIsSentOnce: a browser that has it is told that it is the same.
func TestAFrameIsSentOnce(t *testing.T) {
	b, l, sha := shadesBench(t, 0)
	path := "/media/" + sha + "/frame/7.jpg"
	tag := b.ask(http.MethodGet, path, nil).Header().Get("ETag")
	if other := b.ask(http.MethodGet, path+"?width=32", nil).Header().Get("ETag"); tag == "" || other == tag {
		t.Fatalf("two pictures, one tag: %s, %s", tag, other)
	}
	decoded := l.frames.Load()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.Host = "localhost"
	r.Header.Set("If-None-Match", tag)
	w := httptest.NewRecorder()
	b.Handler().ServeHTTP(w, r)
	if w.Code != http.StatusNotModified || w.Body.Len() != 0 || w.Header().Get("Cache-Control") != forever || l.frames.Load() > decoded+2*runLength {
		t.Errorf("%d, %d bytes, %v", w.Code, w.Body.Len(), w.Header())
	}
}

// TestAHandThatJumpsLeavesNoWorkBehind: the rest of a run that nobody waits for is
// not decoded.
func TestAHandThatJumpsLeavesNoWorkBehind(t *testing.T) {
	b, l, sha := shadesBench(t, 5*time.Millisecond)
	const jumps = 5
	for n := range jumps {
		if _, err := b.pictures.get(t.Context(), sha, mark.Frame(90-18*n), 0); err != nil {
			t.Fatal(err)
		}
	}
	for wait := time.Now(); !b.pictures.idle(); time.Sleep(time.Millisecond) {
		if time.Since(wait) > 5*time.Second {
			t.Fatal("it never ends")
		}
	}
	if n := l.frames.Load(); n > runLength+4*jumps {
		t.Errorf("%d frames were decoded for %d", n, jumps)
	}
}

func (p *pictures) idle() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, r := range p.runs {
		if !r.ended {
			return false
		}
	}
	return true
}
