package web

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"mesure/study"
)

// ends waits until a job is over.
func (b *bench) ends(id string) Job {
	b.t.Helper()
	j, ok := b.jobs.find(id)
	if !ok {
		b.t.Fatalf("there is no job %s", id)
	}
	select {
	case <-j.ended:
	case <-time.After(10 * time.Second):
		b.t.Fatalf("job %s does not end", id)
	}
	return j.state()
}

func TestWhatIsNoVideoStaysOut(t *testing.T) {
	b := newBench(t)
	r := b.refused(http.StatusUnprocessableEntity, http.MethodPost, "/api/media?name=notes.txt", "some notes")
	if !strings.Contains(r.Detail, "This is not a video that can be read; use an MP4. Everything else is as it was.") {
		t.Errorf("%+v", r)
	}
	salle := must[Salle](b, http.MethodGet, "/api/salle", nil)
	if len(salle.Bouts) != 0 || len(salle.Loose) != 0 {
		t.Errorf("left behind: %+v", salle)
	}
	b.refused(http.StatusUnprocessableEntity, http.MethodPost, "/api/media?name=a.mp4", "")
	b.refused(http.StatusNotFound, http.MethodPost, "/api/media?name=a.mp4&bout=none", "video")
	b.refused(http.StatusRequestEntityTooLarge, http.MethodPost, "/api/media?name=a.mp4", strings.Repeat("x", 1<<20+1))
	// Without a length that is told, what is too long shows while it comes.
	w := b.ask(http.MethodPost, "/api/media?name=a.mp4", strings.Repeat("x", 1<<20+1), func(r *http.Request) { r.ContentLength = -1 })
	if w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("too long: %d %s", w.Code, w.Body)
	}
	b.lib.full = true
	b.refused(http.StatusInsufficientStorage, http.MethodPost, "/api/media?name=a.mp4", "video")
}

// TestABoutOpensWhileItsVideoIsIndexed: what takes long to index is in its bout at
// once; when it turns out that it cannot be read, it goes.
func TestABoutOpensWhileItsVideoIsIndexed(t *testing.T) {
	b := newBench(t)
	good := b.uploaded("good.mp4", "slow video")
	if good.Media.State != mediaIndexing || good.Media.Share != 0.25 {
		t.Errorf("while it is indexed: %+v", good.Media)
	}
	bad := b.uploaded("bad.mp4", "slow but nothing")
	must[BoutPaper](b, http.MethodGet, "/api/bouts/"+string(bad.Bout), nil)
	jobs := must[[]Job](b, http.MethodGet, "/api/jobs", nil)
	if len(jobs) != 2 || jobs[0].Kind != jobIndex || jobs[0].State != jobGoing {
		t.Errorf("the jobs: %+v", jobs)
	}
	if w := b.ask(http.MethodGet, "/media/"+good.Media.SHA256+"/video", nil); w.Code != http.StatusOK {
		t.Errorf("scrubbing while it is indexed: %d", w.Code)
	}
	close(b.reel.free)
	if j := b.ends(jobs[0].ID); j.State != jobDone || j.Result != good.Media.SHA256 {
		t.Errorf("the good one: %+v", j)
	}
	if j := b.ends(jobs[1].ID); j.State != jobFailedWord || !strings.Contains(j.Trouble, "use an MP4") {
		t.Errorf("the bad one: %+v", j)
	}
	for i := 0; ; i++ {
		if w := b.ask(http.MethodGet, "/api/bouts/"+string(bad.Bout), nil); w.Code == http.StatusNotFound {
			break
		} else if i == 100 {
			t.Fatalf("the bout of a video that cannot be read stays: %d %s", w.Code, w.Body)
		}
		time.Sleep(10 * time.Millisecond)
	}
	for i := 0; ; i++ { // the video that is of no use goes after its bout
		if all, _ := b.lib.ListMedia(context.Background()); len(all) == 1 {
			break
		} else if i == 100 {
			t.Fatalf("a video that cannot be read stays: %+v", all)
		}
		time.Sleep(10 * time.Millisecond)
	}
	if m := must[Media](b, http.MethodGet, "/api/media/"+good.Media.SHA256, nil); m.State != mediaReady || m.Clip.Last != 3.96 {
		t.Errorf("the good one: %+v", m)
	}
	if n := b.reel.probes[filepath.Join(b.lib.dir, good.Media.SHA256)]; n != 1 {
		t.Errorf("the video was looked at %d times", n)
	}
}

func TestAVideoIsRemovedWhereNothingNamesIt(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("one.mp4", "video one")
	path := "/api/media/" + up.Media.SHA256
	if r := b.refused(http.StatusUnprocessableEntity, http.MethodDelete, path, nil); !strings.Contains(r.Detail, "belongs to a bout") {
		t.Errorf("%+v", r)
	}
	if w := b.ask(http.MethodDelete, "/api/bouts/"+string(up.Bout)+"?base=1", nil); w.Code != http.StatusNoContent {
		t.Fatal(w.Code)
	}
	if w := b.ask(http.MethodDelete, path, nil); w.Code != http.StatusNoContent {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	b.refused(http.StatusNotFound, http.MethodDelete, path, nil)
	if again := b.uploaded("one.mp4", "video one"); again.Media.State != mediaReady {
		t.Errorf("%+v", again)
	}
}

func TestASecondVideoOfABout(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("one.mp4", "video one")
	for range 2 { // twice the same is one
		must[added](b, http.MethodPost, "/api/media?name=two.mp4&bout="+string(up.Bout), "video two")
	}
	p := must[BoutPaper](b, http.MethodGet, "/api/bouts/"+string(up.Bout), nil)
	if len(p.Sheet.Videos) != 2 || p.Sheet.Videos[1].ID != "video-2" || p.Stamp.Gesture != "add the video two.mp4" {
		t.Errorf("%+v", p)
	}
}

func TestAFileIsTakenInByItsPath(t *testing.T) {
	b := newBench(t)
	dir := t.TempDir()
	file := func(name, content string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	good := file("final_bout.mp4", "video one")
	for _, named := range []string{good, `"` + good + `"`, "file://" + good, " " + good + "\n"} {
		j := b.ends(must[Job](b, http.MethodPost, "/api/imports", object{"path": named}).ID)
		if j.State != jobDone || j.Kind != jobCopy || j.Share != 1 {
			t.Fatalf("%q: %+v", named, j)
		}
		p := must[BoutPaper](b, http.MethodGet, "/api/bouts/"+j.Result, nil)
		if p.Sheet.Bout.Event != "final bout" || p.Media[0].State != mediaReady {
			t.Errorf("%q: %+v", named, p)
		}
	}
	for name, path := range map[string]string{
		"is a folder":               dir,
		"There is no file":          filepath.Join(dir, "none.mp4"),
		"is not a whole path":       "final_bout.mp4",
		"is empty":                  file("empty.mp4", ""),
		"No file was named":         " ",
		"use an MP4":                file("notes.txt", "some notes"),
		"is not a whole path. Noth": "a\x00b",
	} {
		if r := b.refused(http.StatusUnprocessableEntity, http.MethodPost, "/api/imports", object{"path": path}); !strings.Contains(r.Detail, name) {
			t.Errorf("%q: %s", path, r.Detail)
		}
	}
	for _, path := range devices(t, dir) {
		if r := b.refused(http.StatusUnprocessableEntity, http.MethodPost, "/api/imports", object{"path": path}); !strings.Contains(r.Detail, "device or a pipe") {
			t.Errorf("%q: %s", path, r.Detail)
		}
	}
	b.c.NoPaths = true
	b.refused(http.StatusUnprocessableEntity, http.MethodPost, "/api/imports", object{"path": good})
}

// TestAClosedUploadLeavesNothing: the browser goes away in the middle.
func TestAClosedUploadLeavesNothing(t *testing.T) {
	b := newBench(t)
	web := httptest.NewServer(b.Handler())
	defer web.Close()
	c, err := net.Dial("tcp", web.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	io.WriteString(c, "POST /api/media?name=a.mp4 HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1000\r\n\r\nvideo")
	c.Close()
	web.Close() // waits for the request
	if all, _ := b.lib.ListMedia(context.Background()); len(all) != 0 {
		t.Errorf("left behind: %+v", all)
	}
}

func TestTheDemoComesOnce(t *testing.T) {
	b := newBench(t)
	b.refused(http.StatusUnprocessableEntity, http.MethodPost, "/api/demo", nil)
	calls, going := 0, make(chan struct{})
	b.c.Demo = func(ctx context.Context, progress func(float64)) (study.ID, error) {
		calls++
		progress(0.5)
		<-going
		d, err := b.lib.Create(ctx, study.Document{ID: "demo", Kind: study.KindBout, Body: []byte("{}")})
		return d.ID, err
	}
	first := must[Job](b, http.MethodPost, "/api/demo", nil)
	second := must[Job](b, http.MethodPost, "/api/demo", nil)
	if first.ID != second.ID {
		t.Errorf("two clicks, two jobs: %+v, %+v", first, second)
	}
	close(going)
	if j := b.ends(first.ID); j.Result != "demo" || j.State != jobDone {
		t.Errorf("%+v", j)
	}
	if third := must[Job](b, http.MethodPost, "/api/demo", nil); third.ID != first.ID || calls != 1 {
		t.Errorf("a third click: %+v after %d calls", third, calls)
	}
}

func TestAJobIsCancelled(t *testing.T) {
	b := newBench(t)
	j := b.jobs.start(jobCopy, "a long one", func(ctx context.Context, j *job) (string, error) {
		<-ctx.Done()
		return "", ctx.Err()
	})
	if w := b.ask(http.MethodDelete, "/api/jobs/"+j.state().ID, nil); w.Code != http.StatusNoContent {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if got := b.ends(j.state().ID); got.State != jobCancelled {
		t.Errorf("%+v", got)
	}
	b.refused(http.StatusNotFound, http.MethodDelete, "/api/jobs/99", nil)
}

// TestACopyThatIsCancelledLeavesNothing, also where the copy itself is done already.
func TestACopyThatIsCancelledLeavesNothing(t *testing.T) {
	b := newBench(t)
	b.headStart = 10 * time.Second
	ctx, cancel := context.WithCancel(context.Background())
	m, err := b.lib.AddMedia(ctx, "a.mp4", strings.NewReader("slow video"))
	if err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(20*time.Millisecond, cancel)
	if _, err := b.settle(ctx, m, "a.mp4", "", nil); !errors.Is(err, context.Canceled) {
		t.Errorf("settled: %v", err)
	}
	if s := must[Salle](b, http.MethodGet, "/api/salle", nil); len(s.Bouts) != 0 || len(s.Loose) != 0 {
		t.Errorf("left behind: %+v", s)
	}
}

func TestNamesOfVideos(t *testing.T) {
	for name, want := range map[string][2]string{
		"Club_night 7.mp4":   {"Club_night 7.mp4", "Club night 7"},
		"../../etc/passwd":   {"passwd", "passwd"},
		`C:\films\a.b.mov`:   {"a.b.mov", "a.b"},
		"":                   {"video", "video"},
		"\x00\x1b[31mred.ts": {"[31mred.ts", "[31mred"},
		".mp4":               {".mp4", ".mp4"},
		"\xff.mp4":           {".mp4", ".mp4"},
	} {
		if got := nameOfVideo(name); got != want[0] || titleOfVideo(got) != want[1] {
			t.Errorf("%q: %q, %q", name, got, titleOfVideo(got))
		}
	}
	if got := nameOfVideo(strings.Repeat("é", 500) + ".mp4"); len([]rune(got)) != maxName || !strings.HasSuffix(got, ".mp4") {
		t.Errorf("a long name: %q", got)
	}
}
