package web

import (
	"context"
	"fmt"
	"io"
	"mime"
	"net/http"
	"os"
	"path"
	"path/filepath"

	"mesure/show/album"
	"mesure/show/handoff"
	"mesure/show/plate"
	"mesure/show/script"
	"mesure/show/sheet"
	"mesure/show/tell"
	"mesure/study"
)

// Names of the files that follow from a telling.
const (
	sheetHTML, sheetPDF = "sheet.html", "sheet.pdf"
	scriptMD            = "script.md"
	captionsVTT         = "captions.vtt"
)

// sheetOf says how the sheet of a telling is wanted.
func (s *Server) sheetOf(t *tell.Telling) sheet.Options {
	return sheet.Options{Level: t.Script.Level, Names: t.Script.Names, Lesson: t.Lesson, Paper: sheet.Paper(t.Paper), Program: s.c.Program}
}

// toldFiles are the files that follow from a telling and cost little.
func (s *Server) toldFiles(now *tellingNow) []album.File {
	t, plates := now.bound, now.album.Plates
	files := []album.File{
		{Name: sheetHTML, About: "the sheet: opens in any browser, without a network", Write: func(w io.Writer) error { return sheet.WriteHTML(w, now.read.r, t.Script, plates, s.sheetOf(t)) }},
		{Name: sheetPDF, About: "the sheet, to print", Write: func(w io.Writer) error { return sheet.WritePDF(w, now.read.r, t.Script, plates, s.sheetOf(t)) }},
		{Name: scriptMD, About: "the script, with where each number comes from", Write: func(w io.Writer) error { return script.WriteMarkdown(w, t.Script, now.stale) }},
	}
	if now.film != nil {
		files = append(files, album.File{Name: captionsVTT, About: "the captions of the clip (WebVTT)", Write: func(w io.Writer) error { return handoff.WriteVTT(w, now.film.film.Cues()) }})
	}
	return files
}

// filesTold are the files of a telling for the zip: only where it calls the fencers as
// the request does, so that no name comes in that was left out. The clip is among them
// once it is made.
func (s *Server) filesTold(r *http.Request) ([]album.File, error) {
	names, err := namingOf(r)
	if err != nil {
		return nil, err
	}
	id := study.ID(r.PathValue("id"))
	now, err := s.tellingNow(r.Context(), id)
	if err != nil {
		return nil, err
	}
	if plate.Naming(now.bound.Script.Names) != names {
		return nil, nil
	}
	files := s.toldFiles(now)
	if now.film == nil {
		return files, nil
	}
	dir, err := s.madeFolder()
	if err != nil {
		return nil, err
	}
	name := madeName(id, now.film.key) + endOf(now.film.form.File)
	if _, err := os.Stat(filepath.Join(dir, name)); err == nil {
		files = append(files, album.File{Name: "clip" + filepath.Ext(name), About: "the clip", Write: func(w io.Writer) error { return copyFile(w, filepath.Join(dir, name)) }})
	}
	return files, nil
}

func copyFile(w io.Writer, path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = io.Copy(w, f)
	return err
}

// sheetFile answers with the sheet; with ?open=1 a page is to be looked at.
func (s *Server) sheetFile(w http.ResponseWriter, r *http.Request) {
	s.toldFile(w, r, path.Base(r.URL.Path))
}

func (s *Server) scriptFile(w http.ResponseWriter, r *http.Request) { s.toldFile(w, r, scriptMD) }

func (s *Server) captionsFile(w http.ResponseWriter, r *http.Request) { s.toldFile(w, r, captionsVTT) }

// toldFile answers with one file of a telling.
func (s *Server) toldFile(w http.ResponseWriter, r *http.Request, name string) {
	id := study.ID(r.PathValue("id"))
	now, err := s.tellingNow(r.Context(), id)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	kinds := map[string]string{sheetHTML: "text/html; charset=utf-8", sheetPDF: "application/pdf", scriptMD: "text/markdown; charset=utf-8", captionsVTT: "text/vtt; charset=utf-8"}
	for _, f := range s.toldFiles(now) {
		if f.Name != name {
			continue
		}
		if name == sheetHTML && r.URL.Query().Get("open") == "1" {
			asPaper(w)
		} else {
			w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": string(id) + "-" + name}))
		}
		s.whole(w, r, kinds[name], f.Write)
		return
	}
	s.fail(w, r, study.ErrNotFound)
}

// overlayShare is the share of a hand-off that rendering the overlays takes.
const overlayShare = 0.95

// handOff writes what a coach's own editor reads, with the overlays alone as a film with
// transparency.
func (s *Server) handOff(ctx context.Context, to string, now *tellingNow, doing func(what string, share float64)) error {
	m := now.film
	doing("rendering the overlays", 0)
	overlays := to + m.overlayEnd()
	defer os.Remove(overlays)
	if err := m.film.RenderOverlays(ctx, overlays, s.c.Pieces, m.studio, func(share float64) { doing("rendering the overlays", overlayShare*share) }); err != nil {
		return err
	}
	doing("packing", overlayShare)
	h := tell.HandOff{Film: m.film, Script: now.bound.Script, Stale: now.stale, Reading: now.read.r, Program: s.c.Program,
		Overlays: []handoff.File{{Name: "overlays" + m.overlayEnd(), About: "the overlays alone, with transparency, frame for frame with the clip", Write: func(w io.Writer) error { return copyFile(w, overlays) }}}}
	f, err := os.Create(to)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := handoff.WriteZip(f, string(m.id)+"-hand-off", h.Files()); err != nil {
		return fmt.Errorf("hand-off: %w", err)
	}
	return f.Close()
}

// overlayEnd is the ending of a film of overlays: the studio writes ProRes 4444.
func (m *madeFilm) overlayEnd() string { return ".mov" }
