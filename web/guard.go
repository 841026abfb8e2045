package web

import (
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/klauspost/compress/gzhttp"
)

// pagePolicy lets a page load what this server serves, and nothing else.
const pagePolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; " +
	"media-src 'self' blob:; connect-src 'self'; font-src 'self'; worker-src 'self' blob:; " +
	"base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// paperPolicy lets a picture or a report that carries its own styles and pictures be
// looked at by itself; nothing in it runs, and it loads nothing.
const paperPolicy = "default-src 'none'; img-src data:; media-src data:; font-src data:; style-src 'unsafe-inline'; " +
	"base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox"

// asPaper allows an answer its own styles.
func asPaper(w http.ResponseWriter) { w.Header().Set("Content-Security-Policy", paperPolicy) }

// Patience within one request: how long the other side may send nothing.
const (
	bodyPatience   = 30 * time.Second
	uploadPatience = 2 * time.Minute
)

// guard lets only those pass that the library is served to. A page from elsewhere
// can point a name of its own at this machine (so the name that was called is
// looked at) and can send requests that it may not read (so the page that a request
// comes from is looked at). The headers tell the browser to load nothing from
// elsewhere and to hand nothing to it.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", pagePolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		h.Set("Cache-Control", "no-cache")
		if !s.known(r.Host) {
			http.Error(w, "Mesure does not answer to this name. Open it by the address that it printed.", http.StatusMisdirectedRequest)
			return
		}
		if !fromHere(r) {
			http.Error(w, "Mesure does not answer to other pages. Nothing was changed.", http.StatusForbidden)
			return
		}
		if strings.HasPrefix(r.URL.Path, "/api/") {
			h.Set("Cache-Control", "no-store")
		}
		if r.Body != nil && r.Body != http.NoBody {
			p := bodyPatience
			if r.URL.Path == "/api/media" {
				p = uploadPatience
			}
			r.Body = &patient{ReadCloser: r.Body, out: http.NewResponseController(w), patience: p}
		}
		defer s.caught(w, r)
		next.ServeHTTP(w, r)
	})
}

// caught answers where a handler panicked.
func (s *Server) caught(w http.ResponseWriter, r *http.Request) {
	v := recover()
	if v == nil {
		return
	}
	if err, ok := v.(error); ok && errors.Is(err, http.ErrAbortHandler) {
		panic(v)
	}
	slog.Error("web", "panic", v, "stack", string(debug.Stack()))
	s.fail(w, r, fmt.Errorf("%v", v))
}

// known reports whether a browser may call the server by this name.
func (s *Server) known(host string) bool {
	name := host
	if n, _, err := net.SplitHostPort(host); err == nil {
		name = n
	}
	name = strings.TrimSuffix(strings.TrimPrefix(name, "["), "]")
	switch strings.ToLower(name) {
	case "localhost", "127.0.0.1", "::1":
		return true
	}
	return name != "" && slices.ContainsFunc(s.c.Hosts, func(h string) bool { return strings.EqualFold(h, name) })
}

// fromHere reports whether a request comes from a page of this server, from the
// address bar, or from a program that is no browser. A link on another page may
// lead to a page of the desk, and to nothing else.
//
// Every browser of today sends Sec-Fetch-Site (W3C Fetch Metadata); older ones send
// Origin with whatever changes something.
func fromHere(r *http.Request) bool {
	looks := r.Method == http.MethodGet || r.Method == http.MethodHead
	if origin := r.Header.Get("Origin"); origin != "" {
		u, err := url.Parse(origin)
		if err != nil || u.Scheme != "http" || !strings.EqualFold(u.Host, r.Host) {
			return false
		}
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin":
		return true
	case "none":
		return looks
	}
	return looks && isPage(r.URL.Path) && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
}

// patient gives the other side so long to send the next part of a body.
type patient struct {
	io.ReadCloser
	out      *http.ResponseController
	patience time.Duration
}

// Read reads the next part.
func (p *patient) Read(b []byte) (int, error) {
	p.out.SetReadDeadline(time.Now().Add(p.patience))
	n, err := p.ReadCloser.Read(b)
	if err != nil {
		p.out.SetReadDeadline(time.Time{})
	}
	return n, err
}

// compressed sends text compressed. Videos, pictures and the stream of events are
// passed on as they are; answers to the hand are compressed quickly, what is kept by
// the browser is compressed well.
func compressed(next http.Handler) http.Handler {
	quick, well := zipped(next, gzip.BestSpeed), zipped(next, gzip.DefaultCompression)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch p := r.URL.Path; {
		case strings.HasPrefix(p, "/media/"), p == "/api/events":
			next.ServeHTTP(w, r)
		case strings.HasPrefix(p, "/api/"):
			quick.ServeHTTP(w, r)
		default:
			well.ServeHTTP(w, r)
		}
	})
}

func zipped(next http.Handler, level int) http.Handler {
	wrap, err := gzhttp.NewWrapper(
		gzhttp.MinSize(1024),
		gzhttp.CompressionLevel(level),
		gzhttp.ContentTypes([]string{"application/json", "application/problem+json", "text/html", "text/css", "text/javascript", "image/svg+xml"}),
	)
	if err != nil {
		panic("web: " + err.Error())
	}
	return wrap(next)
}
