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
	"strconv"
	"strings"
	"time"

	"mesure/show/album"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/show/report"
	"mesure/study"
)

// pictureRoutes registers the pictures and downloads of a breakdown.
func (s *Server) pictureRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /api/touches/{id}/picture/{name}", s.picture)
	mux.HandleFunc("GET /api/touches/{id}/file/{name...}", s.file)
	mux.HandleFunc("GET /api/touches/{id}/breakdown.zip", s.zip)
	mux.HandleFunc("GET /api/touches/{id}/shot/{key}/{file}", s.shotPicture)
	mux.HandleFunc("GET /api/touches/{id}/made/{file}", s.made)
	mux.HandleFunc("GET /api/touches/{id}/sheet.html", s.sheetFile)
	mux.HandleFunc("GET /api/touches/{id}/sheet.pdf", s.sheetFile)
	mux.HandleFunc("GET /api/touches/{id}/script.md", s.scriptFile)
	mux.HandleFunc("GET /api/touches/{id}/captions.vtt", s.captionsFile)
}

// asked is the album that a request names: ?names=initials or ?names=anonymous, for
// which ?hide_names=1 stands too.
func (s *Server) asked(r *http.Request) (*album.Album, error) {
	names, err := namingOf(r)
	if err != nil {
		return nil, err
	}
	return s.albumOf(r.Context(), study.ID(r.PathValue("id")), names)
}

func namingOf(r *http.Request) (plate.Naming, error) {
	q := r.URL.Query()
	n := plate.Naming(q.Get("names"))
	switch {
	case !n.IsValid():
		return n, &unfit{`Fencers are called by "names", "initials" or "anonymous".`}
	case n == "" && q.Get("hide_names") == "1":
		return plate.Anonymous, nil
	case n == "":
		return plate.Named, nil
	}
	return n, nil
}

// pictureAlone lets a picture that is opened by itself have its own attributes for
// style, and nothing else.
const pictureAlone = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"

// Bounds of ?width= for a plate, in pixels: the widest is that of a 4K screen.
const (
	narrowestPlate, widestPlate = 320, 3840
)

// picture answers with one plate as SVG, PNG or PDF. ?theme= is one of draw's, such as
// night for a dark page, print or video; ?clear=1 leaves the ground out; ?width= is that
// of a PNG.
func (s *Server) picture(w http.ResponseWriter, r *http.Request) {
	a, err := s.asked(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	q := r.URL.Query()
	theme, err := themeOf(q.Get("theme"))
	if err != nil {
		s.fail(w, r, err)
		return
	}
	name := r.PathValue("name")
	ending := path.Ext(name)
	name = strings.TrimSuffix(name, ending)
	for _, p := range a.Plates {
		d, width := formOf(p, name, theme)
		if d == nil {
			continue
		}
		if asked := q.Get("width"); asked != "" {
			n, err := strconv.Atoi(asked)
			if err != nil || n < narrowestPlate || n > widestPlate {
				s.fail(w, r, &unfit{fmt.Sprintf("A plate is %d to %d pixels wide.", narrowestPlate, widestPlate)})
				return
			}
			width = n
		}
		if q.Get("clear") == "1" {
			open := *d
			open.Ground = draw.Colour{}
			d = &open
		}
		switch ending {
		case ".svg":
			w.Header().Set("Content-Security-Policy", pictureAlone)
			s.whole(w, r, "image/svg+xml", d.SVG)
			return
		case ".png":
			s.whole(w, r, "image/png", func(w io.Writer) error { return d.PNG(w, width) })
			return
		case ".pdf":
			s.whole(w, r, "application/pdf", d.PDF)
			return
		}
	}
	s.fail(w, r, study.ErrNotFound)
}

// themeOf is the theme of this name; none is the page's own.
func themeOf(name string) (draw.Theme, error) {
	if name == "" {
		return draw.Paper(), nil
	}
	t, ok := draw.Themed(name)
	if !ok {
		return t, &unfit{fmt.Sprintf("There is no theme %q.", name)}
	}
	return t, nil
}

// formOf is the drawing of a plate under this name, nil where it is not its name. Where
// the page has its own form it is taken: a plate that stands on a picture is the same on
// every page.
func formOf(p report.Plate, name string, theme draw.Theme) (*draw.Drawing, int) {
	pick := func(l plate.Layout, day, dark *draw.Drawing) *draw.Drawing {
		switch {
		case theme == draw.Night() && dark != nil:
			return dark
		case (theme == draw.Night() || theme == draw.Paper()) && day != nil:
			return day
		}
		return p.In(l, theme)
	}
	switch name {
	case p.Name():
		return pick(plate.Wide, p.Wide, p.WideNight), album.WidePixels
	case p.Name() + "-phone":
		if p.Phone == nil {
			return pick(plate.Wide, p.Wide, p.WideNight), album.PhonePixels
		}
		return pick(plate.Phone, p.Phone, p.PhoneNight), album.PhonePixels
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
	told, err := s.filesTold(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	files = append(files, told...)
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
