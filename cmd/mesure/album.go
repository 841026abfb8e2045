package main

import (
	"context"
	"image"
	"os"
	"path/filepath"
	"slices"
	"sync"

	showalbum "mesure/show/album"
	"mesure/show/plate"
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

// ownFiles are the names that only breakdowns use: one that matches and was not written
// again was left by an earlier one.
func ownFiles() []string {
	own := []string{"race.*", "race-phone.*", "stave.*", "stave-phone.*", // where they lay before
		scriptName, tellingName, captionsName, handOffName, clipName + ".mp4", clipName + ".webm", sheetName + ".html", sheetName + ".pdf"}
	for _, ending := range []string{"svg", "png", "pdf"} {
		own = append(own, "plates/*."+ending)
	}
	return own
}

// album is the files of a breakdown while they are written.
type album struct {
	dir string
	// out is the folder as the user named it, for messages.
	out     string
	reading *study.Reading
	from    stills
	// pictures are the forms of the plates, names how fencers are called in everything.
	pictures showalbum.Pictures
	names    plate.Naming

	mu   sync.Mutex
	done []string // names of the files written
}

// files returns the names of the files written so far, in order.
func (a *album) files() []string {
	a.mu.Lock()
	defer a.mu.Unlock()
	return slices.Sorted(slices.Values(a.done))
}

// write writes files and tells how far it is.
func (a *album) write(ctx context.Context, files []showalbum.File, tell func(share float64)) error {
	var work []func() error
	for _, f := range files {
		work = append(work, func() error { return a.file(f.Name, func(w *os.File) error { return f.Write(w) }) })
	}
	return together(ctx, work, func(done int) { tell(float64(done) / float64(len(work))) })
}

// counted are the stills of the album; each is told before it is decoded.
func (a *album) counted(ctx context.Context, next func()) showreport.Stills {
	return func(take string, f mark.Frame) (image.Image, error) {
		next()
		return a.still(ctx, take, f)
	}
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
	a.note(name)
	return at(filepath.Join(a.out, name), err)
}

// note keeps the name of a file that was written.
func (a *album) note(name string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.done = append(a.done, filepath.ToSlash(name))
}
