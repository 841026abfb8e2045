package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"mesure/bundle"
	showalbum "mesure/show/album"
	"mesure/show/clip"
	"mesure/show/handoff"
	"mesure/show/plate"
	showreport "mesure/show/report"
	"mesure/show/script"
	"mesure/show/sheet"
	"mesure/show/tell"
	"mesure/study"
	"mesure/video"
)

// teller writes the breakdown of one touch.
type teller struct {
	b       *bench
	o       tellOptions
	source  source
	engine  video.Engine
	reading *study.Reading
	// given is the telling to start from; nil drafts one.
	given *tell.Telling
	// captions are written beside the rest, also where no clip is.
	captions bool
	w        *written

	told   *tell.Telling
	stale  []script.Stale
	others map[string]*study.Reading
}

// Names of what a telling adds to a breakdown.
const (
	scriptName   = "script.md"
	tellingName  = "telling.json"
	captionsName = "captions.vtt"
	sheetName    = "sheet"
	handOffName  = "hand-off.zip"
	clipName     = "clip"
)

// program is how the program names itself in what it writes.
func program() string { return "Mesure " + version() }

// write writes everything into an empty folder.
func (t *teller) write(ctx context.Context, tmp string) error {
	a := &album{dir: tmp, out: t.o.Out, reading: t.reading, from: stills{t.engine, t.source}, pictures: t.o.Pictures, names: t.naming()}
	p := t.b.start("drawing")
	defer p.end()
	made, err := a.make(ctx, func(share float64) { p.set(drawShare * share) })
	if err != nil {
		return err
	}
	t.w.Notes = append(t.w.Notes, made.Notes()...)
	if err := t.bind(ctx, made.Plates); err != nil {
		return err
	}
	files := a.plain(made)
	add := func(name string, write func(w io.Writer) error) {
		files = append(files, showalbum.File{Name: name, Write: write})
	}
	add(scriptName, func(w io.Writer) error { return script.WriteMarkdown(w, t.told.Script, t.stale) })
	add(tellingName, func(w io.Writer) error { return tell.Write(w, t.told) })
	if t.o.Sheet {
		o := sheet.Options{Lesson: t.told.Lesson, Paper: sheet.Paper(t.told.Paper), Program: program()}
		add(sheetName+".html", func(w io.Writer) error { return sheet.WriteHTML(w, t.reading, t.told.Script, made.Plates, o) })
		add(sheetName+".pdf", func(w io.Writer) error { return sheet.WritePDF(w, t.reading, t.told.Script, made.Plates, o) })
	}
	if err := a.write(ctx, files, func(share float64) { p.set(drawShare + (1-drawShare)*share) }); err != nil {
		return err
	}
	p.end()
	if t.o.Clip || t.o.HandOff {
		if err := t.film(ctx, a, made.Plates); err != nil {
			return err
		}
	}
	t.w.Files = a.files()
	return nil
}

// naming is how fencers are called: as the flag says, else as the telling does.
func (t *teller) naming() plate.Naming {
	if t.given != nil && !t.o.set["names"] {
		return plate.Naming(t.given.Script.Names)
	}
	return t.o.Names
}

// bind makes the telling: the one that was given, bound to this reading, or a draft.
func (t *teller) bind(ctx context.Context, plates []showreport.Plate) (err error) {
	o := t.o
	if t.given == nil {
		t.told, err = tell.Draft(t.reading, plates, tell.Options{
			Options: script.Options{Level: o.Level, Names: script.Naming(o.Names)}, Form: o.Form, Lesson: o.Lesson, Paper: string(o.Paper),
		})
		return at(o.Touch, err)
	}
	given, words := *t.given, *t.given.Script
	given.Script = &words
	for flag, take := range map[string]func(){
		"names": func() { words.Names = script.Naming(o.Names) }, "level": func() { words.Level = o.Level },
		"lesson": func() { given.Lesson = o.Lesson }, "paper": func() { given.Paper = string(o.Paper) },
		"shape": func() { given.Board.Form.Shape = o.Form.Shape }, "lines": func() { given.Board.Form.Lines = o.Form.Lines },
		"rate": func() { given.Board.Form.Rate = o.Form.Rate }, "file": func() { given.Board.Form.File = o.Form.File },
		"sound": func() { given.Board.Form.Sound = o.Form.Sound }, "captions": func() { given.Board.Form.Captions = o.Form.Captions },
	} {
		if o.set[flag] {
			take()
		}
	}
	if o.Clip || o.HandOff {
		if t.others, err = t.source.beside(ctx, t.b, t.engine, o, given.Board); err != nil {
			return err
		}
	}
	t.told, t.stale, _, err = tell.Bind(&given, t.reading, plates, t.others)
	if n := len(t.stale); n > 0 {
		t.w.Notes = append(t.w.Notes, fmt.Sprintf("Of the script, %s no longer what is measured: %s marks where.", plural(n, "thing is", "things are"), scriptName))
	}
	return at(o.Touch, err)
}

// plural is a number with its noun.
func plural(n int, one, many string) string {
	if n == 1 {
		return "one " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// film writes what follows from the storyboard: the clip, and the hand-off.
func (t *teller) film(ctx context.Context, a *album, plates []showreport.Plate) error {
	made, err := t.madeBy()
	if err != nil {
		return err
	}
	f, err := clip.Make(clip.Input{Reading: t.reading, Script: t.told.Script, Board: t.told.Board, Plates: plates, Others: t.others, Program: made})
	if err != nil {
		return &fault{code: refused, where: t.o.Touch, err: err}
	}
	for _, x := range f.Troubles() {
		t.w.Notes = append(t.w.Notes, sentence(x.Error()))
	}
	if f.Frames() == 0 {
		return &fault{code: refused, where: t.o.Touch, text: "the storyboard has no shot that can be shown", hint: "Mark a take of it, or write shots into telling.json and give it with --telling."}
	}
	format, filmed := t.o.overlayFormat()
	s := newStudio(t.engine, format, t.reading, t.others, t.source.pathOf)
	pieces := piecesFolder(t.engine)
	if t.o.Clip {
		if err := t.clip(ctx, a, f, s, pieces); err != nil {
			return err
		}
	}
	if t.captions && !t.o.Clip {
		if err := t.writeCaptions(a, f); err != nil {
			return err
		}
	}
	if !t.o.HandOff {
		return nil
	}
	h := tell.HandOff{Film: f, Script: t.told.Script, Stale: t.stale, Reading: t.reading, Program: program()}
	switch {
	case filmed:
		path, err := t.overlays(ctx, a, f, s, pieces, format)
		if err != nil {
			return err
		}
		defer os.Remove(path)
		h.Overlays = []handoff.File{{Name: "overlays" + format.Ending(), About: "the overlays alone with transparency, frame for frame over the clip (" + format.String() + ")",
			Write: func(w io.Writer) error { return copyTo(w, path) }}}
	case t.o.Overlays == overlaysPNG:
		h.Overlays = tell.OverlayFrames(f)
	}
	return a.file(handOffName, func(w *os.File) error { return handoff.WriteZip(w, "hand-off", pausable(ctx, h.Files())) })
}

// madeBy names the program for the keys of kept pieces, and with it the content of every
// video that the touch does not name by its content: another film under the same name
// must not be met by the pieces of this one.
func (t *teller) madeBy() (string, error) {
	name := program()
	for _, v := range t.reading.Touch.Videos {
		if v.SHA256 != "" {
			continue
		}
		path, err := t.source.path(v)
		if err != nil {
			return "", err
		}
		sum, err := hashFile(path)
		if err != nil {
			return "", at(path, err)
		}
		name += " " + v.ID + "=" + sum
	}
	return name, nil
}

// clip renders the clip and writes its captions.
func (t *teller) clip(ctx context.Context, a *album, f *clip.Film, s *studio, pieces string) error {
	form := t.told.Board.Form
	t.w.Notes = append(t.w.Notes, s.Lost(form)...)
	name := clipName + formatOf(form).Ending()
	p := t.b.start("rendering the clip")
	defer p.end()
	if err := f.RenderTo(ctx, filepath.Join(a.dir, name), pieces, s, p.set); err != nil {
		return a.outside(err)
	}
	a.note(name)
	width, height := f.Size()
	t.w.Clip = &writtenClip{Frames: f.Frames(), Rate: s.spec(form, width, height, 0).Rate, Width: width, Height: height, Lasts: float64(f.Lasts()), Shots: len(f.Pieces())}
	return t.writeCaptions(a, f)
}

func (t *teller) writeCaptions(a *album, f *clip.Film) error {
	return a.file(captionsName, func(w *os.File) error { return handoff.WriteVTT(w, f.Cues()) })
}

// overlays renders the overlays alone and returns a file that the caller removes.
func (t *teller) overlays(ctx context.Context, a *album, f *clip.Film, s *studio, pieces string, format video.Format) (string, error) {
	path := filepath.Join(a.dir, ".overlays"+format.Ending())
	p := t.b.start("rendering the overlays")
	defer p.end()
	return path, a.outside(f.RenderOverlays(ctx, path, pieces, s, p.set))
}

// pausable ends the writing of files once ctx ends.
func pausable(ctx context.Context, files []handoff.File) []handoff.File {
	for i, f := range files {
		files[i].Write = func(w io.Writer) error {
			if err := ctx.Err(); err != nil {
				return err
			}
			return f.Write(w)
		}
	}
	return files
}

func copyTo(w io.Writer, path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = io.Copy(w, f)
	return err
}

// outside gives an error of a file that is being written the name that the user gave.
func (a *album) outside(err error) error {
	var v *video.Error
	if !errors.As(err, &v) || !strings.HasPrefix(v.Path, a.dir) {
		return err
	}
	named := *v
	named.Path = filepath.Join(a.out, strings.TrimPrefix(v.Path, a.dir))
	return &named
}

// plain are the files of an album that a breakdown has by itself.
func (a *album) plain(made *showalbum.Album) []showalbum.File {
	var files []showalbum.File
	for _, f := range made.Files() {
		if f.Name != showalbum.TouchName { // the touch file is what the command was given
			files = append(files, f)
		}
	}
	return files
}

// make draws every picture of the album and tells how far it is.
func (a *album) make(ctx context.Context, tell func(share float64)) (*showalbum.Album, error) {
	frames, got := len(a.reading.Told())+len(a.reading.Placings), 0
	return showalbum.Make(a.reading, a.counted(ctx, func() {
		got++
		tell(float64(got) / float64(frames+1))
	}), bundle.Papers{}, showalbum.Options{Names: a.names, Program: program(), Pictures: a.pictures})
}
