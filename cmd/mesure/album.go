package main

import (
	"context"
	"image"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"mesure/bundle"
	showalbum "mesure/show/album"
	showreport "mesure/show/report"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// stills gets single frames of the videos of a touch.
type stills struct {
	engine video.Engine
	source source
}

// ownFiles are the names that only breakdowns use: a plate that matches and is
// not of this touch was left by an earlier one.
func ownFiles() []string {
	own := []string{"race*", "stave*"}
	for _, kind := range []showreport.Kind{showreport.KindGaps, showreport.KindPlacing, showreport.KindWindows, showreport.KindMap, showreport.KindParry, showreport.KindSeen, showreport.KindStand, showreport.KindStarted, showreport.KindFit,
		showreport.KindFrame, showreport.KindGhosts, showreport.KindPlan, showreport.KindSide} {
		own = append(own, "plates/"+string(kind)+"-*")
	}
	var files []string
	for _, name := range own {
		files = append(files, name+".svg", name+".png")
	}
	return files
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

// breakdown writes every file of a breakdown and tells how far it is.
func (a *album) breakdown(ctx context.Context, tell func(share float64)) error {
	frames, got := len(a.reading.Told())+len(a.reading.Placings), 0
	made, err := showalbum.Make(a.reading, func(take string, f mark.Frame) (image.Image, error) {
		got++
		tell(drawShare * float64(got) / float64(frames+1))
		return a.still(ctx, take, f)
	}, bundle.Papers{}, showalbum.Options{HideNames: a.hideNames, Program: "Mesure " + version()})
	if err != nil {
		return err
	}
	var work []func() error
	for _, f := range made.Files() {
		if f.Name == showalbum.TouchName {
			continue // the touch file is what the command was given
		}
		work = append(work, func() error { return a.file(f.Name, func(w *os.File) error { return f.Write(w) }) })
	}
	return together(ctx, work, func(done int) {
		tell(drawShare + (1-drawShare)*float64(done)/float64(len(work)))
	})
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
