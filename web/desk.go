package web

import (
	"io/fs"
	"net/http"
	"path"
	"strings"
)

// deskRoutes registers the pages of the desk and what they load.
func (s *Server) deskRoutes(mux *http.ServeMux) {
	for _, page := range pages {
		mux.HandleFunc("GET "+page, s.page)
	}
	if s.c.Desk != nil {
		mux.Handle("GET /assets/", assets(s.c.Desk))
	}
	mux.HandleFunc("GET /", s.lost)
}

// lost answers at any other address; the desk says so in its own words.
func (s *Server) lost(w http.ResponseWriter, r *http.Request) {
	for _, dir := range []string{"/api/", "/media/", "/assets/", fontPath} {
		if strings.HasPrefix(r.URL.Path, dir) {
			http.NotFound(w, r)
			return
		}
	}
	s.pageAs(w, http.StatusNotFound)
}

// pages are the addresses that the desk answers to; it looks at the address itself.
var pages = []string{"/{$}", "/bout/{id}", "/bout/{id}/thread", "/bout/{id}/thread/{number}", "/touch/{id}", "/touch/{id}/breakdown"}

// isPage reports whether a path is a page of the desk.
func isPage(path string) bool {
	return path == "/" || strings.HasPrefix(path, "/bout/") || strings.HasPrefix(path, "/touch/")
}

// page serves the one page of the desk.
func (s *Server) page(w http.ResponseWriter, r *http.Request) { s.pageAs(w, http.StatusOK) }

func (s *Server) pageAs(w http.ResponseWriter, status int) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if s.c.Desk != nil {
		if body, err := fs.ReadFile(s.c.Desk, "index.html"); err == nil {
			w.WriteHeader(status)
			w.Write(body)
			return
		}
	}
	w.WriteHeader(http.StatusServiceUnavailable)
	w.Write([]byte(noDesk))
}

// noDesk is shown where the program was built without the desk.
const noDesk = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Mesure</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/look.css">
<h1>Mesure</h1>
<p>This program was built without the desk. The library is safe, and everything on the command line works.</p>
<p>To build the desk, install Node (22 or newer) and run <code>make build</code> in the source of Mesure, then start it again.</p>
</html>
`

// assetTypes are said here: the table of a machine may have others, and a browser
// runs no script that is said to be something else.
var assetTypes = map[string]string{
	".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".svg": "image/svg+xml",
	".json": "application/json", ".woff2": "font/woff2", ".woff": "font/woff", ".wasm": "application/wasm",
}

// assets serves what the pages load. The names hold a hash of the content, so a
// browser may keep it.
func assets(desk fs.FS) http.Handler {
	files := http.FileServerFS(desk)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if info, err := fs.Stat(desk, strings.TrimPrefix(r.URL.Path, "/")); err != nil || info.IsDir() {
			http.NotFound(w, r)
			return
		}
		if t := assetTypes[path.Ext(r.URL.Path)]; t != "" {
			w.Header().Set("Content-Type", t)
		}
		w.Header().Set("Cache-Control", forever)
		files.ServeHTTP(w, r)
	})
}
