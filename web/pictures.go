package web

import "net/http"

// pictureRoutes registers the pictures and downloads of a breakdown.
func (s *Server) pictureRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /api/touches/{id}/picture/{name}", s.picture)
	mux.HandleFunc("GET /api/touches/{id}/file/{name}", s.file)
	mux.HandleFunc("GET /api/touches/{id}/breakdown.zip", s.zip)
}

func (s *Server) picture(w http.ResponseWriter, r *http.Request) { s.fail(w, r, notYet) }
func (s *Server) file(w http.ResponseWriter, r *http.Request)    { s.fail(w, r, notYet) }
func (s *Server) zip(w http.ResponseWriter, r *http.Request)     { s.fail(w, r, notYet) }
