package web

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"mime"
	"net/http"
	"path"
	"strings"
	"time"

	"mesure/show/album"
	"mesure/show/draw"
	"mesure/show/report"
	"mesure/study"
)

// pictureRoutes registers the pictures and downloads of a breakdown.
func (s *Server) pictureRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /api/touches/{id}/picture/{name}", s.picture)
	mux.HandleFunc("GET /api/touches/{id}/file/{name...}", s.file)
	mux.HandleFunc("GET /api/touches/{id}/breakdown.zip", s.zip)
}

// asked is the album that a request names, with ?hide_names=1 without names.
func (s *Server) asked(r *http.Request) (*album.Album, error) {
	return s.albumOf(r.Context(), study.ID(r.PathValue("id")), r.URL.Query().Get("hide_names") == "1")
}

// pictureAlone lets a picture that is opened by itself have its own attributes for
// style, and nothing else.
const pictureAlone = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"

// picture answers with one plate, as SVG or PNG; ?theme=night is for a dark page.
func (s *Server) picture(w http.ResponseWriter, r *http.Request) {
	a, err := s.asked(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	name := r.PathValue("name")
	ending := path.Ext(name)
	name = strings.TrimSuffix(name, ending)
	for _, p := range a.Plates {
		d, width := formOf(p, name, r.URL.Query().Get("theme") == "night")
		if d == nil {
			continue
		}
		switch ending {
		case ".svg":
			w.Header().Set("Content-Security-Policy", pictureAlone)
			s.whole(w, r, "image/svg+xml", d.SVG)
			return
		case ".png":
			s.whole(w, r, "image/png", func(w io.Writer) error { return d.PNG(w, width) })
			return
		}
	}
	s.fail(w, r, study.ErrNotFound)
}

// formOf is the drawing of a plate under this name, nil where it is not its name.
func formOf(p report.Plate, name string, night bool) (*draw.Drawing, int) {
	pick := func(day, dark *draw.Drawing) *draw.Drawing {
		if night && dark != nil {
			return dark
		}
		return day
	}
	switch name {
	case p.Name():
		return pick(p.Wide, p.WideNight), album.WidePixels
	case p.Name() + "-phone":
		if p.Phone == nil {
			return pick(p.Wide, p.WideNight), album.PhonePixels
		}
		return pick(p.Phone, p.PhoneNight), album.PhonePixels
	}
	return nil, 0
}

// whole answers with something that is written first and sent then, so that what
// arrives is never half of it.
func (s *Server) whole(w http.ResponseWriter, r *http.Request, kind string, write func(io.Writer) error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", fmt.Sprint(b.Len()))
	_, _ = b.WriteTo(w) // a browser that has left needs no answer
}

// file hands out one file of the breakdown, to be kept; with ?open=1 a page is to be
// looked at: nothing in it runs and it loads nothing.
func (s *Server) file(w http.ResponseWriter, r *http.Request) {
	a, err := s.asked(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	for _, f := range a.Files() {
		if f.Name != r.PathValue("name") {
			continue
		}
		kind := mime.TypeByExtension(path.Ext(f.Name))
		if kind == "" {
			kind = "application/octet-stream"
		}
		if r.URL.Query().Get("open") == "1" && path.Ext(f.Name) == ".html" {
			asPaper(w)
		} else {
			w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": path.Base(f.Name)}))
		}
		s.whole(w, r, kind, f.Write)
		return
	}
	s.fail(w, r, study.ErrNotFound)
}

// zip hands out everything in one file. It is sent as it is made; one that breaks
// off is not a zip file, and every program says so.
func (s *Server) zip(w http.ResponseWriter, r *http.Request) {
	a, err := s.asked(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	id := r.PathValue("id")
	d, err := s.c.Shelf.Library.Get(r.Context(), study.ID(id))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": id + "-breakdown.zip"}))
	files := a.Files()
	about := album.File{Name: "README.txt", Write: func(w io.Writer) error { return readme(w, a, files, s.c.Program) }}
	if err := pack(r.Context(), w, id, d.Saved, append([]album.File{about}, files...)); err != nil {
		panic(http.ErrAbortHandler) // the connection is cut, so that half a file is not taken for a whole one
	}
}

// pack writes files as a zip file, in one folder, all of one time. They are made
// side by side, a few ahead of the one that is sent.
func pack(ctx context.Context, w io.Writer, folder string, saved time.Time, files []album.File) error {
	type making struct {
		name string
		body bytes.Buffer
		err  error
		done chan struct{}
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	made := make(chan *making, encoders-1)
	go func() {
		defer close(made)
		for _, f := range files {
			m := &making{name: f.Name, done: make(chan struct{})}
			go func() {
				m.err = f.Write(&m.body)
				close(m.done)
			}()
			select {
			case made <- m:
			case <-ctx.Done():
				return
			}
		}
	}()
	z := zip.NewWriter(w)
	for m := range made {
		<-m.done
		if m.err != nil {
			return m.err
		}
		h := &zip.FileHeader{Name: folder + "/" + m.name, Method: zip.Deflate, Modified: saved}
		if path.Ext(m.name) == ".png" {
			h.Method = zip.Store // it is small already
		}
		f, err := z.CreateHeader(h)
		if err != nil {
			return err
		}
		if _, err := m.body.WriteTo(f); err != nil {
			return err
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return z.Close()
}

// readme says what each file of a breakdown is.
func readme(w io.Writer, a *album.Album, files []album.File, program string) error {
	t := a.Reading().Touch
	title := t.Title
	if title == "" {
		title = "A touch"
	}
	if _, err := fmt.Fprintf(w, "%s\n\nMeasured with %s. Open report.html first. In every picture and table ± is one standard deviation.\n"+
		"Each picture is there as .svg, sharp at any size, and as .png, for slides and messages; -phone is the upright one.\n\n", title, program); err != nil {
		return err
	}
	for _, f := range files {
		if _, err := fmt.Fprintf(w, "%s\n    %s\n", f.Name, f.About); err != nil {
			return err
		}
	}
	_, err := fmt.Fprint(w, "\nEstimates for coaching, not decisions of a referee. Show footage only where you have the right to.\n")
	return err
}
