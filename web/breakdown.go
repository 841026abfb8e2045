package web

import (
	"context"
	"fmt"
	"image"
	"net/url"
	"strings"
	"sync"

	"mesure/show/album"
	"mesure/show/plate"
	"mesure/show/report"
	"mesure/show/summary"
	"mesure/sport/mark"
	"mesure/study"
)

// breakdown answers with what can be shown and downloaded of a touch as it is
// stored. Of a touch that cannot be read yet, it says what is missing.
func (s *Server) breakdown(ctx context.Context, in *inID) (*body[Breakdown], error) {
	a, err := s.albumOf(ctx, in.ID, plate.Named)
	if err != nil {
		return nil, err
	}
	r := a.Reading()
	b := Breakdown{Title: r.Touch.Title, Summary: summary.Of(r), Plates: []PlateCard{}, Files: []FileCard{}}
	if r.Race != nil {
		b.Finding = r.Race.Finding
	}
	at := "/api/touches/" + url.PathEscape(string(in.ID))
	for _, p := range a.Plates {
		name := url.PathEscape(p.Name())
		c := PlateCard{Kind: string(p.Kind), Finding: p.Wide.Title, About: p.Wide.Desc, Wide: at + "/picture/" + name + ".svg", Phone: at + "/picture/" + name + "-phone.svg", PNG: at + "/picture/" + name + ".png"}
		if p.Kind != report.KindStave {
			c.Take, c.Frame = p.Take, p.Frame
		}
		b.Plates = append(b.Plates, c)
	}
	for _, f := range a.Files() {
		if !strings.Contains(f.Name, ".svg") && !strings.Contains(f.Name, ".png") {
			b.Files = append(b.Files, FileCard{Name: f.Name, About: f.About, Href: at + "/file/" + url.PathEscape(f.Name)})
		}
	}
	return &body[Breakdown]{b}, nil
}

// albumsKept bounds the drawn breakdowns in memory: each holds its frames, some
// 4 MB apiece.
const albumsKept = 4

// albums has the breakdowns that were asked for lately. One follows from what was
// read and how fencers are called, so it never grows old: another state of the
// touch is another breakdown.
type albums struct {
	mu   sync.Mutex
	kept []*madeAlbum // the latest first
}

type madeAlbum struct {
	inputs string
	names  plate.Naming
	once   sync.Once
	album  *album.Album
	err    error
}

// albumOf draws the breakdown of a touch as it is stored.
func (s *Server) albumOf(ctx context.Context, id study.ID, names plate.Naming) (*album.Album, error) {
	t, err := s.toldOf(ctx, id)
	if err != nil {
		return nil, err
	}
	return s.albumIn(t, names)
}

// albumIn draws the breakdown of a reading.
func (s *Server) albumIn(t *toldReading, names plate.Naming) (*album.Album, error) {
	r := t.r
	m := s.albums.of(t.key, names)
	m.once.Do(func() {
		// Others may wait for the same one: it is drawn to its end whoever leaves.
		m.album, m.err = album.Make(r, func(take string, f mark.Frame) (image.Image, error) {
			return s.still(s.life, r, take, f)
		}, s.c.Shelf.Papers, album.Options{Names: names, Program: s.c.Program})
	})
	if m.err != nil {
		s.albums.drop(m)
	}
	return m.album, m.err
}

// still decodes one frame of a take.
func (s *Server) still(ctx context.Context, r *study.Reading, id string, f mark.Frame) (image.Image, error) {
	take, _ := r.Touch.Take(id)
	v, ok := r.Touch.Video(take.Video)
	if !ok {
		return nil, fmt.Errorf("%w: take %q has no video", study.ErrNotFound, id)
	}
	clip, path, err := s.clip(ctx, v.SHA256)
	if err != nil {
		return nil, err
	}
	return s.c.Reel.Still(ctx, path, v.Clip(clip), f)
}

func (a *albums) of(inputs string, names plate.Naming) *madeAlbum {
	a.mu.Lock()
	defer a.mu.Unlock()
	for i, m := range a.kept {
		if m.inputs == inputs && m.names == names {
			copy(a.kept[1:i+1], a.kept[:i])
			a.kept[0] = m
			return m
		}
	}
	m := &madeAlbum{inputs: inputs, names: names}
	a.kept = append([]*madeAlbum{m}, a.kept...)
	if len(a.kept) > albumsKept {
		a.kept = a.kept[:albumsKept]
	}
	return m
}

// drop forgets one that could not be drawn.
func (a *albums) drop(m *madeAlbum) {
	a.mu.Lock()
	defer a.mu.Unlock()
	for i, k := range a.kept {
		if k == m {
			a.kept = append(a.kept[:i:i], a.kept[i+1:]...)
			return
		}
	}
}
