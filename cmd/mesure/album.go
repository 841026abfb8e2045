package main

import (
	"context"
	"image"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"mesure/bundle"
	"mesure/show/draw"
	"mesure/show/report"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// Widths of the pictures in pixels: a full screen, and a phone held upright.
const (
	widePixels  = 1920
	phonePixels = 1080
)

// stills gets single frames of the videos of a touch.
type stills struct {
	engine video.Engine
	source source
}

// ownFiles are the names that only breakdowns use: a plate that matches and is
// not of this touch was left by an earlier one.
func ownFiles() []string {
	return []string{"plates/gaps-*.svg", "plates/gaps-*.png", "plates/placing-*.svg", "plates/placing-*.png", "race*.svg", "race*.png"}
}

// album is the files of a breakdown while they are written.
type album struct {
	dir string
	// out is the folder as the user named it, for messages.
	out     string
	reading *study.Reading
	from    stills
	// hideNames leaves the names of fencers, clubs and events out of everything.
	hideNames bool

	mu    sync.Mutex
	names []string // of the files written
}

// files returns the names of the files written so far, in order.
func (a *album) files() []string {
	a.mu.Lock()
	defer a.mu.Unlock()
	return slices.Sorted(slices.Values(a.names))
}

// breakdown writes every file of a breakdown.
func (a *album) breakdown(ctx context.Context, tell func(share float64)) error {
	plates, err := a.draw(ctx, tell)
	if err != nil {
		return err
	}
	if err := a.file(reportName, func(f *os.File) error {
		return report.Write(f, a.reading, report.Options{HideNames: a.hideNames, Program: "Mesure " + version()}, plates...)
	}); err != nil {
		return err
	}
	r := a.reading
	if a.hideNames {
		r = nameless(r)
	}
	return a.file("reading.json", func(f *os.File) error { return bundle.WriteReading(f, r) })
}

// nameless returns a reading whose touch names nobody.
func nameless(r *study.Reading) *study.Reading {
	copied, touch := *r, *r.Touch
	touch.Bout.Event, touch.Bout.Round = "", ""
	touch.Bout.Left.Name, touch.Bout.Right.Name = "", ""
	touch.Bout.Left.Club, touch.Bout.Right.Club = "", ""
	copied.Touch = &touch
	return &copied
}

// draw makes the plates of a reading and tells how many of the frames that they
// need are there.
func (a *album) draw(ctx context.Context, tell func(share float64)) ([]report.Plate, error) {
	frames, got := len(a.reading.Instants)+len(a.reading.Placings), 0
	plates, err := report.Plates(a.reading, func(take string, f mark.Frame) (image.Image, error) {
		got++
		tell(drawShare * float64(got) / float64(frames+1))
		return a.still(ctx, take, f)
	}, a.hideNames)
	if err != nil {
		return nil, err
	}
	var work []func() error
	for _, p := range plates {
		name := p.Name()
		if p.Kind != report.KindRace {
			name = filepath.Join("plates", name)
		}
		work = append(work, func() error { return a.picture(name, p.Wide, widePixels) })
		if p.Phone != nil {
			work = append(work, func() error { return a.picture(name+"-phone", p.Phone, phonePixels) })
		}
	}
	err = together(ctx, work, func(done int) {
		tell(drawShare + (1-drawShare)*float64(done)/float64(len(work)))
	})
	return plates, err
}

// drawShare is the part of the work, about, that decoding and drawing take; the
// rest is writing the files.
const drawShare = 0.2

// still decodes one frame of a take.
func (a *album) still(ctx context.Context, id string, f mark.Frame) (image.Image, error) {
	take, _ := a.reading.Touch.Take(id)
	v, _ := a.reading.Touch.Video(take.Video)
	path, err := a.from.source.path(v)
	if err != nil {
		return nil, err
	}
	return a.from.engine.Still(ctx, path, a.reading.Clips[take.Video], f)
}

// picture writes a drawing as SVG and PNG.
func (a *album) picture(name string, d *draw.Drawing, width int) error {
	if err := a.file(name+".svg", func(f *os.File) error { return d.SVG(f) }); err != nil {
		return err
	}
	return a.file(name+".png", func(f *os.File) error { return d.PNG(f, width) })
}

// file writes one file of the album and notes its name.
func (a *album) file(name string, write func(*os.File) error) error {
	path := filepath.Join(a.dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return at(filepath.Join(a.out, name), err)
	}
	f, err := os.Create(path)
	if err != nil {
		return at(filepath.Join(a.out, name), err)
	}
	err = write(f)
	if bad := f.Close(); err == nil {
		err = bad
	}
	a.mu.Lock()
	a.names = append(a.names, filepath.ToSlash(name))
	a.mu.Unlock()
	return at(filepath.Join(a.out, name), err)
}
