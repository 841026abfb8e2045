package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"image/jpeg"
	"maps"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"mesure/show/clip"
	"mesure/show/report"
	"mesure/show/tell"
	"mesure/sport/mark"
	"mesure/study"
)

// A film is a clip before it is written: the page looks at single frames of it. A frame
// is addressed by the key of its shot, which names its pixels, so a browser keeps what
// it has seen through every change of the storyboard that leaves the shot alone.

const (
	// filmsKept is how many films stay in memory: each holds its readings.
	filmsKept = 4
	// previewQuality is that of a picture that is looked at for a tenth of a second
	// (common practice, no source).
	previewQuality = 82
	// widestPreview bounds ?width=; the clip itself is never wider in its own pixels.
	widestPreview = 1920
)

// films has the films that were lately looked at.
type films struct {
	mu  sync.Mutex
	all []*madeFilm // the latest first
}

// madeFilm is a storyboard bound to a reading, and what shows its frames.
type madeFilm struct {
	id   study.ID
	of   string // a hash of what it was made of
	key  string
	film *clip.Film
	// studio is nil where this program has none; footage decodes for it, ahead.
	studio  clip.Studio
	footage *ahead
	form    clip.Form
}

// filmOf binds a telling, which was bound to the reading before, to its pictures.
// Errors: those of clip.Make.
func (s *Server) filmOf(id study.ID, t *toldReading, bound *tell.Telling, plates []report.Plate, others map[string]*study.Reading) (*madeFilm, error) {
	state, err := json.Marshal(bound)
	if err != nil {
		return nil, err
	}
	state = fmt.Appendf(state, "%s %s %s", id, t.key, followingKey(t.following))
	for _, other := range slices.Sorted(maps.Keys(others)) {
		kept, _ := s.follows.kept(study.ID(other))
		state = fmt.Appendf(state, " %s %s %s", other, others[other].Inputs, followingKey(kept.Following))
	}
	sum := sha256.Sum256(state)
	of := hex.EncodeToString(sum[:])
	if f := s.films.find(func(f *madeFilm) bool { return f.of == of && f.id == id }); f != nil {
		return f, nil
	}
	film, err := clip.Make(clip.Input{Reading: t.r, Script: bound.Script, Board: bound.Board, Plates: plates, Others: others, Program: s.c.Program})
	if err != nil {
		return nil, err
	}
	m := &madeFilm{id: id, of: of, film: film, form: bound.Board.Form}
	if m.key, err = filmKey(film, bound.Board.Form); err != nil {
		return nil, err
	}
	if s.c.StudioOf != nil {
		if m.studio, err = s.c.StudioOf(s.life, t.r, others); err != nil {
			return nil, err
		}
		m.footage = &ahead{Footage: m.studio, life: s.life, last: lastOf(t.r, others)}
	}
	s.films.keep(m)
	return m, nil
}

// followingKey tells one following from another; it lives as long as the program.
func followingKey(f *study.Following) string { return fmt.Sprintf("%p", f) }

// filmKey names a film: equal keys, equal pictures, sound and chapters.
func filmKey(f *clip.Film, form clip.Form) (string, error) {
	raw, err := json.Marshal([]any{f.Pieces(), f.Sounds(), f.Chapters(), f.Cues(), form})
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:16]), nil
}

// others reads the touches of the library that a storyboard plays beside the one that is
// told. One that is not there is not read; the film then says that it is missing.
func (s *Server) others(ctx context.Context, id study.ID, b clip.Board) (map[string]*study.Reading, error) {
	out := map[string]*study.Reading{}
	for _, shot := range b.Shots {
		if shot.Other == nil || shot.Other.Touch == "" || shot.Other.Touch == string(id) || out[shot.Other.Touch] != nil {
			continue
		}
		other := study.ID(shot.Other.Touch)
		d, err := s.c.Shelf.Library.Get(ctx, other)
		if errors.Is(err, study.ErrNotFound) || err == nil && d.Kind != study.KindTouch {
			continue
		}
		if err != nil {
			return nil, err
		}
		r, err := s.readTouch(ctx, other, [2][]study.Fit{})
		if err != nil {
			return nil, err
		}
		if r != nil {
			out[shot.Other.Touch] = r
		}
	}
	return out, nil
}

func (f *films) find(is func(*madeFilm) bool) *madeFilm {
	f.mu.Lock()
	defer f.mu.Unlock()
	i := slices.IndexFunc(f.all, is)
	if i < 0 {
		return nil
	}
	m := f.all[i]
	f.all = append([]*madeFilm{m}, slices.Delete(f.all, i, i+1)...)
	return m
}

func (f *films) keep(m *madeFilm) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.all = append([]*madeFilm{m}, f.all[:min(len(f.all), filmsKept-1)]...)
}

// onWire describes a film for the page.
func (m *madeFilm) onWire() *Film {
	w, h := m.film.Size()
	out := &Film{Key: m.key, Width: w, Height: h, Rate: rateOf(m.film), Frames: m.film.Frames(), Shots: []FilmShot{}, Cues: []FilmCue{}}
	for _, p := range m.film.Pieces() {
		out.Shots = append(out.Shots, FilmShot{Shot: p.Shot, Key: p.Key, First: p.First, Frames: p.Frames,
			Picture: fmt.Sprintf("/api/touches/%s/shot/%s", url.PathEscape(string(m.id)), url.PathEscape(p.Key))})
	}
	for _, c := range m.film.Cues() {
		out.Cues = append(out.Cues, FilmCue{From: c.From, To: c.To, Text: c.Text})
	}
	return out
}

// rateOf is how many frames a second a film has.
func rateOf(f *clip.Film) int {
	if f.Lasts() <= 0 {
		return 0
	}
	return int(float64(f.Frames())/float64(f.Lasts()) + 0.5)
}

// pieceKey is what a key of a shot looks like.
var pieceKey = regexp.MustCompile(`^[0-9A-Za-z_-]{8,128}$`)

// shotPicture answers with one frame of a shot as a JPEG.
func (s *Server) shotPicture(w http.ResponseWriter, r *http.Request) {
	key := r.PathValue("key")
	number, isJPEG := strings.CutSuffix(r.PathValue("file"), ".jpg")
	n, err := strconv.Atoi(number)
	if err != nil || n < 0 || !isJPEG || !pieceKey.MatchString(key) {
		s.fail(w, r, study.ErrNotFound)
		return
	}
	width, err := strconv.Atoi(r.URL.Query().Get("width"))
	if err != nil || width < narrowest || width > widestPreview {
		s.fail(w, r, &unfit{fmt.Sprintf("A picture of a shot is %d to %d pixels wide: say ?width=480.", narrowest, widestPreview)})
		return
	}
	tag := fmt.Sprintf(`"%s-%d-%d-%d"`, key, n, width, previewQuality)
	h := w.Header()
	if r.Header.Get("If-None-Match") == tag {
		h.Set("ETag", tag)
		h.Set("Cache-Control", forever)
		w.WriteHeader(http.StatusNotModified)
		return
	}
	body, err := s.shotJPEG(r.Context(), study.ID(r.PathValue("id")), key, n, width)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	h.Set("ETag", tag)
	h.Set("Content-Type", "image/jpeg")
	h.Set("Cache-Control", forever)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	_, _ = w.Write(body) // a browser that has left needs no answer
}

// shotJPEG draws one frame of the shot that has this key.
func (s *Server) shotJPEG(ctx context.Context, id study.ID, key string, n, width int) ([]byte, error) {
	k := shot{"shot " + string(id) + " " + key, mark.Frame(n), width}
	if body := s.pictures.look(k); body != nil {
		return body, nil
	}
	m, piece, err := s.filmWith(ctx, id, key)
	if err != nil {
		return nil, err
	}
	if n >= piece.Frames {
		return nil, fmt.Errorf("%w: the shot has %d frames", study.ErrNotFound, piece.Frames)
	}
	if m.studio == nil {
		return nil, noStudio
	}
	leave, err := s.decoding.enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	if body := s.pictures.look(k); body != nil { // drawn while this one waited
		return body, nil
	}
	picture, err := m.film.PictureAt(ctx, m.footage, piece.First+n, width)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture, &jpeg.Options{Quality: previewQuality}); err != nil {
		return nil, err
	}
	s.pictures.keep(k, b.Bytes())
	return b.Bytes(), nil
}

// filmWith returns a film of the touch that has the shot of this key: one that is at
// hand, else that of the telling as it is stored.
func (s *Server) filmWith(ctx context.Context, id study.ID, key string) (*madeFilm, clip.Piece, error) {
	var piece clip.Piece
	has := func(m *madeFilm) bool {
		if m.id != id {
			return false
		}
		all := m.film.Pieces()
		i := slices.IndexFunc(all, func(p clip.Piece) bool { return p.Key == key })
		if i >= 0 {
			piece = all[i]
		}
		return i >= 0
	}
	if m := s.films.find(has); m != nil {
		return m, piece, nil
	}
	now, err := s.tellingNow(ctx, id)
	if err != nil {
		return nil, piece, err
	}
	if now.film == nil || !has(now.film) {
		return nil, piece, fmt.Errorf("%w: the storyboard has no such shot any more", study.ErrNotFound)
	}
	return now.film, piece, nil
}

// noStudio: this program writes no clips.
var noStudio = &unfit{"This program cannot make clips. Script, sheet and plates are all there."}

// lastOf says which frame is the last of a take that may be decoded.
func lastOf(told *study.Reading, others map[string]*study.Reading) func(touch, take string) (mark.Frame, bool) {
	return func(touch, take string) (mark.Frame, bool) {
		r := told
		if touch != "" {
			r = others[touch]
		}
		if r == nil {
			return 0, false
		}
		k, ok := r.Touch.Take(take)
		return k.To, ok
	}
}
