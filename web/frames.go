package web

import "net/http"

// frameRoutes registers the single frames of a video.
func (s *Server) frameRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /media/{sha256}/frame/{file}", s.frame)
}

func (s *Server) frame(w http.ResponseWriter, r *http.Request) { s.fail(w, r, notYet) }
