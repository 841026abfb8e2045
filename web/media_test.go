package web

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"mesure/sport/mark"
)

func TestAVideoIsServedByParts(t *testing.T) {
	b := newBench(t)
	content := "\x00\x00\x00\x18ftypisom video " + strings.Repeat("0123456789", 100)
	up := b.uploaded("a.mp4", content)
	path := "/media/" + up.Media.SHA256 + "/video"
	w := b.ask(http.MethodGet, path, nil)
	if w.Code != http.StatusOK || w.Body.String() != content || w.Header().Get("Content-Type") != "video/mp4" || w.Header().Get("Accept-Ranges") != "bytes" {
		t.Errorf("%d %v", w.Code, w.Header())
	}
	w = b.ask(http.MethodGet, path, nil, header("Range", "bytes=4-7"))
	if w.Code != http.StatusPartialContent || w.Body.String() != "ftyp" {
		t.Errorf("a part: %d %q", w.Code, w.Body)
	}
	if w = b.ask(http.MethodGet, path, nil, header("Range", "bytes=99999-")); w.Code != http.StatusRequestedRangeNotSatisfiable {
		t.Errorf("a part that is not there: %d", w.Code)
	}
	if w = b.ask(http.MethodGet, path, nil, header("If-None-Match", `"`+up.Media.SHA256+`"`)); w.Code != http.StatusNotModified {
		t.Errorf("what the browser has: %d", w.Code)
	}
	if w = b.ask(http.MethodHead, path, nil); w.Code != http.StatusOK || w.Body.Len() != 0 {
		t.Errorf("HEAD: %d", w.Code)
	}
	times := must[Times](b, http.MethodGet, "/api/media/"+up.Media.SHA256+"/times", nil)
	if len(times.Times) != 100 || times.Times[1] != 0.04 {
		t.Errorf("the times: %v", times.Times)
	}
	none := strings.Repeat("0", 64)
	for _, p := range []string{"/media/" + none + "/video", "/api/media/" + none, "/api/media/" + none + "/times", "/media/" + none + "/at/1", "/media/" + up.Media.SHA256 + "/at/x"} {
		b.refused(http.StatusNotFound, http.MethodGet, p, nil)
	}
	// Its file is gone, as after a copy of half a library.
	if err := os.Remove(filepath.Join(b.lib.dir, up.Media.SHA256)); err != nil {
		t.Fatal(err)
	}
	b.refused(http.StatusNotFound, http.MethodGet, path, nil)
}

func TestVideoTypes(t *testing.T) {
	for head, want := range map[string]string{
		"\x00\x00\x00\x18ftypisom":                 "video/mp4",
		"\x00\x00\x00\x14ftypqt  ":                 "video/quicktime",
		"\x00\x00\x00\x08wide":                     "video/quicktime",
		"\x1a\x45\xdf\xa3\x01\x42\x82\x84webm":     "video/webm",
		"\x1a\x45\xdf\xa3\x01\x42\x82\x88matroska": "video/x-matroska",
		"RIFF\x00\x00\x00\x00AVI LIST":             "video/x-msvideo",
		"\x47\x40\x00\x10":                         "video/mp2t",
		"\x00\x00\x00\x00\x47\x40":                 "video/mp2t",
		"<html><script>":                           "application/octet-stream",
		"":                                         "application/octet-stream",
	} {
		if got := videoType([]byte(head)); got != want {
			t.Errorf("%q: %s, want %s", head, got, want)
		}
	}
}

// TestAnIndexIsMadeOnce however many ask, and one that gives up does not end it.
func TestAnIndexIsMadeOnce(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "slow video")
	var all sync.WaitGroup
	for range 10 {
		all.Go(func() {
			if clip, path, err := b.clip(context.Background(), up.Media.SHA256); err != nil || clip.Frames() != 100 || path == "" {
				t.Errorf("%d frames, %s, %v", clip.Frames(), path, err)
			}
		})
	}
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := b.clip(gone, up.Media.SHA256); err != context.Canceled {
		t.Errorf("who gives up: %v", err)
	}
	close(b.reel.free)
	all.Wait()
	if n := b.reel.probes[filepath.Join(b.lib.dir, up.Media.SHA256)]; n != 1 {
		t.Errorf("looked at %d times", n)
	}
	// The same through the footage of a touch: nothing is looked at again.
	f := b.footage()
	path, err := f.path(context.Background())(videoOf(up.Media))
	if err != nil {
		t.Fatal(err)
	}
	if clip, err := f.Probe(context.Background(), path, nil); err != nil || clip.Frames() != 100 || b.reel.probes[path] != 1 {
		t.Errorf("%d frames, %v, looked at %d times", clip.Frames(), err, b.reel.probes[path])
	}
}

// shelfOfClips keeps descriptions in memory.
type shelfOfClips struct {
	sync.Mutex
	of map[string]mark.Clip
}

func (s *shelfOfClips) Clip(sha string) (mark.Clip, bool) {
	s.Lock()
	defer s.Unlock()
	c, ok := s.of[sha]
	return c, ok
}

func (s *shelfOfClips) Keep(sha string, clip mark.Clip) {
	s.Lock()
	defer s.Unlock()
	s.of[sha] = clip
}

// TestAnIndexIsKept from one run to the next: nothing is looked at again.
func TestAnIndexIsKept(t *testing.T) {
	b := newBench(t)
	kept := &shelfOfClips{of: map[string]mark.Clip{}}
	b.c.Index = kept
	up := b.uploaded("a.mp4", "video one")
	bad := b.ask(http.MethodPost, "/api/media?name=b.mp4", "no film")
	if len(kept.of) != 1 || bad.Code != http.StatusUnprocessableEntity {
		t.Fatalf("%d kept, %d", len(kept.of), bad.Code)
	}
	next := New(b.c)
	defer next.Close()
	if clip, _, err := next.clip(context.Background(), up.Media.SHA256); err != nil || clip.Frames() != 100 || len(next.jobs.all()) != 0 {
		t.Errorf("%d frames, %v, %d jobs", clip.Frames(), err, len(next.jobs.all()))
	}
}

func TestAnIndexThatWasCancelledIsBegunAnew(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "slow video")
	j := must[[]Job](b, http.MethodGet, "/api/jobs", nil)[0]
	if w := b.ask(http.MethodDelete, "/api/jobs/"+j.ID, nil); w.Code != http.StatusNoContent {
		t.Fatal(w.Code)
	}
	if got := b.ends(j.ID); got.State != jobCancelled {
		t.Errorf("%+v", got)
	}
	close(b.reel.free)
	if clip, _, err := b.clip(context.Background(), up.Media.SHA256); err != nil || clip.Frames() != 100 {
		t.Errorf("%d frames, %v", clip.Frames(), err)
	}
	if got := must[BoutPaper](b, http.MethodGet, "/api/bouts/"+string(up.Bout), nil); got.Media[0].State != mediaReady {
		t.Errorf("%+v", got.Media)
	}
}

func TestAGateLetsSoManyIn(t *testing.T) {
	g := newGate(1)
	leave, err := g.enter(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := g.enter(gone); err != context.Canceled {
		t.Errorf("who waits and gives up: %v", err)
	}
	for range maxQueue { // as many as may wait
		g.queue <- struct{}{}
	}
	if _, err := g.enter(context.Background()); err != errBusy {
		t.Errorf("one too many: %v", err)
	}
	<-g.queue
	leave()
	if leave, err = g.enter(context.Background()); err != nil {
		t.Fatal(err)
	}
	leave()
}
