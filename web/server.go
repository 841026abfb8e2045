package web

import (
	"context"
	"errors"
	"net"
	"net/http"
	"time"
)

// Limits of one connection: a local browser needs far less, and a stalled one
// must not hold the server.
const (
	headerTimeout = 5 * time.Second
	idleTimeout   = 2 * time.Minute
	// graceTime is how long requests under way may take when serving ends.
	graceTime = 2 * time.Second
)

// Handler answers every request: the list of what there is, and the files of
// the breakdowns.
func Handler(shelf Shelf, folders []string) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET /{$}", listPage(shelf, folders))
	mux.HandleFunc("GET /look.css", look)
	mux.HandleFunc("GET "+fontPath+"{file}", font)
	mux.Handle("GET /breakdown/{name}/{file...}", breakdownFiles(folders))
	return guard(mux)
}

// Serve answers requests on a listener until ctx ends, then lets those under
// way finish. It closes the listener. An end by ctx is no error.
func Serve(ctx context.Context, l net.Listener, h http.Handler) error {
	s := &http.Server{Handler: h, ReadHeaderTimeout: headerTimeout, IdleTimeout: idleTimeout}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(l) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), graceTime)
	defer cancel()
	if err := s.Shutdown(grace); err != nil {
		s.Close()
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// guard lets only this machine's own names pass (a page from elsewhere can
// point a name of its own at 127.0.0.1) and tells the browser to load nothing
// from anywhere else.
func guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !isLocal(r.Host) {
			http.Error(w, "Mesure answers only to localhost and 127.0.0.1.", http.StatusMisdirectedRequest)
			return
		}
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; img-src 'self' data:; media-src 'self' data:; font-src 'self' data:; style-src 'self' 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cache-Control", "no-cache")
		next.ServeHTTP(w, r)
	})
}

func isLocal(host string) bool {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	switch host {
	case "localhost", "127.0.0.1", "[::1]", "::1":
		return true
	}
	return false
}
