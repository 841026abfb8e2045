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

	"mesure/show/draw"
)

type fakeShelf struct {
	touches []Touch
	err     error
}

func (s fakeShelf) Touches(context.Context) ([]Touch, error) { return s.touches, s.err }

// folder makes two breakdowns, one of them with a hostile name and title, and a
// link that leads out.
func folder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for path, text := range map[string]string{
		"secret.txt":              "secret",
		"out/first/report.html":   "<p>the report</p>",
		"out/first/reading.json":  `{"title": "Touch 4 <script>"}`,
		"out/first/plates/a.svg":  "<svg xmlns='http://www.w3.org/2000/svg'/>",
		"out/a b&c/report.html":   "<p>other</p>",
		"out/.hidden/report.html": "half",
		"out/empty/readme.txt":    "no report",
	} {
		path = filepath.Join(dir, path)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink("../../secret.txt", filepath.Join(dir, "out", "first", "link.txt")); err != nil {
		t.Skipf("no symbolic links here: %v", err)
	}
	return filepath.Join(dir, "out")
}

func get(t *testing.T, h http.Handler, path, host string) (int, string, http.Header) {
	t.Helper()
	r := httptest.NewRequest(http.MethodGet, path, nil)
	r.Host = host
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Code, w.Body.String(), w.Header()
}

func TestListPage(t *testing.T) {
	h := Handler(fakeShelf{touches: []Touch{{ID: "touch-4", Title: "Direct <b>hit</b>", Of: "A. Norden – B. Quill"}}}, []string{folder(t), "no such folder"})
	code, body, header := get(t, h, "/", "127.0.0.1:8420")
	if code != http.StatusOK {
		t.Fatalf("status %d", code)
	}
	for _, want := range []string{
		`<a href="/breakdown/first/">Touch 4 &lt;script&gt;</a>`,
		`<a href="/breakdown/a%20b&amp;c/">a b&amp;c</a>`,
		"Direct &lt;b&gt;hit&lt;/b&gt;</b>, A. Norden – B. Quill", "touch-4",
	} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %q:\n%s", want, body)
		}
	}
	for _, none := range []string{"hidden", "empty/", "<script>"} {
		if strings.Contains(body, none) {
			t.Errorf("the page has %q", none)
		}
	}
	if got := header.Get("Content-Security-Policy"); !strings.HasPrefix(got, "default-src 'none'") {
		t.Errorf("policy %q", got)
	}
}

func TestEmptyAndTroubledListsSaySo(t *testing.T) {
	_, body, _ := get(t, Handler(fakeShelf{}, nil), "/", "localhost")
	if !strings.Contains(body, "mesure tell") || !strings.Contains(body, "mesure add") {
		t.Errorf("an empty list does not say what to do:\n%s", body)
	}
	_, body, _ = get(t, Handler(fakeShelf{err: errors.New("it is locked")}, nil), "/", "localhost")
	if !strings.Contains(body, "The library cannot be read: it is locked.") {
		t.Errorf("trouble is not told:\n%s", body)
	}
}

func TestBreakdownFiles(t *testing.T) {
	h := Handler(fakeShelf{}, []string{folder(t)})
	for path, want := range map[string]string{
		"/breakdown/first/":             "<p>the report</p>",
		"/breakdown/first/plates/a.svg": "<svg xmlns='http://www.w3.org/2000/svg'/>",
		"/breakdown/a%20b&c/":           "<p>other</p>",
	} {
		if code, body, _ := get(t, h, path, "localhost:1"); code != http.StatusOK || body != want {
			t.Errorf("%s: %d %q", path, code, body)
		}
	}
	for _, path := range []string{
		"/breakdown/none/", "/breakdown/first/none", "/breakdown/first/plates", "/breakdown/.hidden/",
		"/breakdown/first/link.txt", "/breakdown/first/..%2f..%2fsecret.txt", "/breakdown/first/%2e%2e/%2e%2e/secret.txt", "/breakdown/..%2f/secret.txt",
	} {
		if code, body, _ := get(t, h, path, "localhost"); code == http.StatusOK || strings.Contains(body, "secret") {
			t.Errorf("%s: %d %q", path, code, body)
		}
	}
}

func TestOtherHostsAreRefused(t *testing.T) {
	h := Handler(fakeShelf{}, nil)
	for _, host := range []string{"evil.example", "evil.example:8420", "127.0.0.1.evil.example", ""} {
		if code, _, _ := get(t, h, "/", host); code != http.StatusMisdirectedRequest {
			t.Errorf("host %q: %d", host, code)
		}
	}
	for _, host := range []string{"localhost", "127.0.0.1:1", "[::1]:8420"} {
		if code, _, _ := get(t, h, "/", host); code != http.StatusOK {
			t.Errorf("host %q: %d", host, code)
		}
	}
}

func TestOnlyReading(t *testing.T) {
	r := httptest.NewRequest(http.MethodPost, "/", nil)
	r.Host = "localhost"
	w := httptest.NewRecorder()
	Handler(fakeShelf{}, nil).ServeHTTP(w, r)
	if w.Code != http.StatusMethodNotAllowed {
		t.Errorf("POST: %d", w.Code)
	}
}

func TestServeEndsWithItsContext(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- Serve(ctx, l, Handler(fakeShelf{}, nil)) }()
	answer, err := http.Get("http://" + l.Addr().String() + "/")
	if err != nil {
		t.Fatal(err)
	}
	body, _ := io.ReadAll(answer.Body)
	answer.Body.Close()
	if !strings.Contains(string(body), "<h1>Mesure</h1>") {
		t.Errorf("got %q", body)
	}
	cancel()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("it does not end")
	}
}

func TestTheLookComesFromTheServerAlone(t *testing.T) {
	h := Handler(fakeShelf{}, nil)
	code, css, header := get(t, h, "/look.css", "localhost")
	if code != http.StatusOK || !strings.HasPrefix(header.Get("Content-Type"), "text/css") || !strings.Contains(css, draw.Paper().Ground.CSS()) {
		t.Errorf("%d %v %q", code, header, css)
	}
	n := 0
	for _, part := range strings.Split(css, "url(")[1:] {
		path, _, _ := strings.Cut(part, ")")
		if code, body, _ := get(t, h, path, "localhost"); code != http.StatusOK || !strings.HasPrefix(body, "wOFF") {
			t.Errorf("%s: %d", path, code)
		}
		n++
	}
	if n != len(draw.Fonts()) {
		t.Errorf("%d fonts, want %d", n, len(draw.Fonts()))
	}
	if code, _, _ := get(t, h, "/font/99.woff", "localhost"); code != http.StatusNotFound {
		t.Errorf("a font that is none: %d", code)
	}
}
