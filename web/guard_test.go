package web

import (
	"bytes"
	"compress/gzip"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// header sets a header of a request; "Host" sets whom it calls.
func header(pairs ...string) func(*http.Request) {
	return func(r *http.Request) {
		for i := 0; i < len(pairs); i += 2 {
			if pairs[i] == "Host" {
				r.Host = pairs[i+1]
			} else {
				r.Header.Set(pairs[i], pairs[i+1])
			}
		}
	}
}

func TestWhoIsLetIn(t *testing.T) {
	b := newBench(t)
	b.c.Hosts = []string{"salle.local", "192.0.2.7"}
	up := b.uploaded("a.mp4", "video one")
	const (
		ok, gone = http.StatusOK, http.StatusNoContent
		host     = http.StatusMisdirectedRequest
		origin   = http.StatusForbidden
	)
	salle, page, video := "GET /api/salle", "GET /bout/x", "GET /media/"+up.Media.SHA256+"/video"
	job := "DELETE /api/jobs/1"
	for _, c := range []struct {
		name, what string
		headers    []string
		want       int
	}{
		{"this machine", salle, nil, ok},
		{"by number", salle, []string{"Host", "127.0.0.1"}, ok},
		{"by the other number", salle, []string{"Host", "[::1]:8420"}, ok},
		{"by a name given", salle, []string{"Host", "SALLE.local:8420"}, ok},
		{"by an address given", salle, []string{"Host", "192.0.2.7:8420"}, ok},
		{"a name of somebody else (rebinding)", salle, []string{"Host", "evil.example:8420"}, host},
		{"a name that begins like ours", salle, []string{"Host", "localhost.evil.example"}, host},
		{"no name", salle, []string{"Host", ""}, host},
		{"a colon", salle, []string{"Host", ":8420"}, host},
		{"pages too", page, []string{"Host", "evil.example"}, host},

		{"our own page", salle, []string{"Sec-Fetch-Site", "same-origin", "Origin", "http://localhost:8420"}, ok},
		{"typed", salle, []string{"Sec-Fetch-Site", "none"}, ok},
		{"another page", salle, []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "cors"}, origin},
		{"another page, as an image", video, []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors", "Sec-Fetch-Dest", "video"}, origin},
		{"another port of this machine", salle, []string{"Sec-Fetch-Site", "same-site"}, origin},
		{"another origin", salle, []string{"Origin", "http://evil.example"}, origin},
		{"an origin on another port", salle, []string{"Origin", "http://localhost:3000"}, origin},
		{"no origin to speak of", salle, []string{"Origin", "null"}, origin},
		{"an encrypted origin", salle, []string{"Origin", "https://localhost:8420"}, origin},
		{"a link to a page", page, []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"}, ok},
		{"a page in a frame", page, []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "iframe"}, origin},
		{"a link to what is no page", salle, []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"}, origin},

		{"a change by our own page", job, []string{"Sec-Fetch-Site", "same-origin", "Origin", "http://localhost:8420"}, gone},
		{"a change by another page", job, []string{"Sec-Fetch-Site", "cross-site", "Origin", "http://evil.example"}, origin},
		{"a change by an old browser", job, []string{"Origin", "http://evil.example"}, origin},
		{"a change from nowhere", job, []string{"Sec-Fetch-Site", "none"}, origin},
		{"a change by a program", job, nil, gone},
	} {
		method, path, _ := strings.Cut(c.what, " ")
		w := b.ask(method, path, nil, header(c.headers...))
		if w.Code != c.want {
			t.Errorf("%s: %d, want %d: %s", c.name, w.Code, c.want, w.Body)
		}
		if c.want >= 400 && strings.Contains(w.Body.String(), up.Media.SHA256) {
			t.Errorf("%s: was told something", c.name)
		}
	}
}

// TestWhatEveryAnswerForbids: nothing is loaded from elsewhere, nothing that stands
// in a page runs, nobody frames it.
func TestWhatEveryAnswerForbids(t *testing.T) {
	b := newBench(t)
	for _, path := range []string{"/", "/bout/x", "/touch/x", "/touch/x/breakdown", "/nowhere", "/api/salle", "/look.css", "/assets/main-abc.js", "/assets/none.js", "/api/none"} {
		h := b.ask(http.MethodGet, path, nil).Header()
		policy := h.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "connect-src 'self'", "frame-ancestors 'none'", "base-uri 'none'"} {
			if !strings.Contains(policy, want) {
				t.Errorf("%s: the policy lacks %q: %s", path, want, policy)
			}
		}
		if strings.Contains(policy, "unsafe") {
			t.Errorf("%s: the policy is %s", path, policy)
		}
		for name, want := range map[string]string{
			"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Cross-Origin-Resource-Policy": "same-origin",
			"Cross-Origin-Opener-Policy": "same-origin", "X-Frame-Options": "DENY",
		} {
			if h.Get(name) != want {
				t.Errorf("%s: %s is %q", path, name, h.Get(name))
			}
		}
		if h.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s: opened to other pages", path)
		}
	}
}

// TestNothingOutsideIsServed asks for files by every way round.
func TestNothingOutsideIsServed(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "video one")
	for _, path := range []string{
		"/assets/../secret.txt", "/assets/%2e%2e/secret.txt", "/assets/..%2fsecret.txt", "/secret.txt", "/assets/", "/assets",
		"/media/../../../etc/passwd/video", "/media/..%2f..%2f..%2fetc%2fpasswd/video", "/media/" + strings.Repeat(".", 64) + "/video",
		"/media/" + strings.ToUpper(up.Media.SHA256) + "/video", "/media/" + up.Media.SHA256 + "/../video", "/font/..%2f..%2fsecret.txt", "/media//video",
	} {
		w := b.ask(http.MethodGet, path, nil)
		if w.Code == http.StatusOK || strings.Contains(w.Body.String(), "secret") && !strings.Contains(path, "secret") || strings.Contains(w.Body.String(), "root:") {
			t.Errorf("%s: %d %s", path, w.Code, w.Body)
		}
	}
	for _, path := range []string{"/secret.txt", "/assets/..%2fsecret.txt"} {
		if w := b.ask(http.MethodGet, path, nil); strings.TrimSpace(w.Body.String()) == "secret" {
			t.Errorf("%s: serves %s", path, w.Body)
		}
	}
}

func TestWhatIsKeptAndWhatIsCompressed(t *testing.T) {
	b := newBench(t)
	up := b.uploaded("a.mp4", "video one"+strings.Repeat("x", 4096))
	for path, want := range map[string]struct {
		cache  string
		zipped bool
	}{
		"/":                                    {"no-cache", false}, // too small to gain
		"/assets/main-abc.js":                  {forever, true},
		"/api/salle":                           {"no-store", false},
		"/media/" + up.Media.SHA256 + "/video": {forever, false},
		"/api/media/" + up.Media.SHA256 + "/times": {"no-store", false},
	} {
		w := b.ask(http.MethodGet, path, nil, header("Accept-Encoding", "gzip"))
		if w.Code != http.StatusOK || w.Header().Get("Cache-Control") != want.cache || (w.Header().Get("Content-Encoding") == "gzip") != want.zipped {
			t.Errorf("%s: %d, %v", path, w.Code, w.Header())
		}
		if want.zipped {
			r, err := gzip.NewReader(w.Body)
			if err != nil {
				t.Fatal(err)
			}
			if plain, err := io.ReadAll(r); err != nil || len(plain) < 1024 {
				t.Errorf("%s: %d bytes, %v", path, len(plain), err)
			}
		}
	}
	if got := b.ask(http.MethodGet, "/assets/main-abc.js", nil).Header().Get("Content-Type"); got != "text/javascript; charset=utf-8" {
		t.Errorf("a script is said to be %s", got)
	}
	if w := b.ask(http.MethodGet, "/bout/any", nil); !strings.Contains(w.Body.String(), "<title>desk") || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
		t.Errorf("a page: %s", w.Body)
	}
	if w := b.ask(http.MethodGet, "/nowhere", nil); w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), "<title>desk") {
		t.Errorf("a lost page: %d %s", w.Code, w.Body)
	}
	bare := New(Config{Shelf: b.c.Shelf, Reel: b.reel})
	defer bare.Close()
	w := httptest.NewRecorder()
	r := httptest.NewRequest(http.MethodGet, "http://localhost/", nil)
	bare.Handler().ServeHTTP(w, r)
	if w.Code != http.StatusServiceUnavailable || !strings.Contains(w.Body.String(), "make build") {
		t.Errorf("without a desk: %d %s", w.Code, w.Body)
	}
}

func TestAPanicIsAFaultInWords(t *testing.T) {
	b := newBench(t)
	was := slog.Default()
	defer slog.SetDefault(was)
	var log bytes.Buffer
	slog.SetDefault(slog.New(slog.NewTextHandler(&log, nil)))
	b.c.Shelf.Library = nil
	w := b.ask(http.MethodGet, "/api/salle", nil)
	if w.Code != http.StatusInternalServerError || !strings.Contains(w.Body.String(), "What was acknowledged is safe") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if !strings.Contains(log.String(), "nil pointer") {
		t.Errorf("the log says %q", log.String())
	}
}
