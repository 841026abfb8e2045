package demo

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/study"
)

// BoutID is the name of the invented bout in a library.
const BoutID study.ID = "demo-bout"

// Guided is the touch, 0 to Count − 1, that Shelve leaves half done for a
// newcomer to finish: its race is plain and it has no replay.
const Guided = 2

// How the coach of the demo marks.
const (
	shelfSeed  = 1
	shelfNoise = quantity.Pixels(mark.DefaultSD)
)

// Shelve puts the invented bout on a shelf, with the videos that Render has
// written to folder: one bout whose sheet says which lines were filmed and where,
// and the filmed touches, marked as by a coach. One of them, Guided, is half
// done. A bout that is there already stays as it is. When it fails, no document
// of the bout stays.
//
// Errors: those of the library and of the files.
func Shelve(ctx context.Context, shelf study.Shelf, folder string, made Manifest) (_ study.ID, err error) {
	const gesture = "add the invented bout"
	switch _, err := shelf.Library.Get(ctx, BoutID); {
	case err == nil:
		return BoutID, nil
	case !errors.Is(err, study.ErrNotFound):
		return "", err
	}
	media := map[string]study.Media{}
	for _, name := range made.Videos() {
		if media[name], err = addVideo(ctx, shelf.Library, filepath.Join(folder, name)); err != nil {
			return "", err
		}
	}
	named := func(v study.Video) study.Video {
		m := media[v.File]
		return study.Video{ID: v.ID, File: m.Name, SHA256: m.SHA256}
	}
	sheet := &study.BoutSheet{Bout: Bout(), Invented: true, Note: "Four touches of it are filmed, lines 6 to 9."}
	touches := make([]study.Touch, Count)
	for i, f := range scene.Films() {
		touches[i] = Marked(i, shelfSeed, shelfNoise)
		if i == Guided {
			touches[i] = halfDone(touches[i])
		}
		for k, v := range touches[i].Videos {
			touches[i].Videos[k] = named(v)
			v.ID = strings.TrimSuffix(v.File, filepath.Ext(v.File)) // names its touch as well
			sheet.Videos = append(sheet.Videos, named(v))
		}
		live := &f.Shots[0]
		p := &sheet.Bout.Sheet[f.Number-1]
		p.Video = sheet.Videos[len(sheet.Videos)-len(f.Shots)].ID
		p.To = frameTime(live.Frames - 1)
		p.Halt = min(p.To, frameTime(int(math.Ceil(float64(f.LampsAt-live.Start)*scene.FrameRate))))
	}
	var added []study.Document
	defer func() {
		for _, d := range added {
			if err != nil {
				err = errors.Join(err, shelf.Library.Delete(context.WithoutCancel(ctx), d.ID, d.Revision))
			}
		}
	}()
	for _, e := range earlierBouts { // first, so that the bout itself is the newest
		switch b, err := shelf.AddBout(ctx, e.id, gesture, e.sheetOf()); {
		case err == nil:
			added = append(added, b.Document)
		case !errors.Is(err, study.ErrExists): // kept from an earlier time
			return "", err
		}
	}
	b, err := shelf.AddBout(ctx, BoutID, gesture, sheet)
	if errors.Is(err, study.ErrExists) { // another window was quicker
		added = nil
		return BoutID, nil
	}
	if err != nil {
		return "", err
	}
	added = append(added, b.Document)
	for i := range touches {
		t := &touches[i]
		id := study.ID(fmt.Sprintf("%s-%s", BoutID, t.Line))
		if _, err := shelf.AddTouch(ctx, id, BoutID, gesture, t); err != nil {
			return "", err
		}
	}
	return BoutID, nil
}

// frameTime is the time stamp of a frame in every file of the demo.
func frameTime(n int) mark.FileTime { return mark.FileTime(float64(n) / scene.FrameRate) }

func addVideo(ctx context.Context, lib study.Library, path string) (study.Media, error) {
	f, err := os.Open(path)
	if err != nil {
		return study.Media{}, err
	}
	defer f.Close()
	return lib.AddMedia(ctx, filepath.Base(path), f)
}

// halfDone keeps of a marked touch what a coach has after a few minutes: the
// moment from which the race is run, and on its frame the piste and the left
// fencer.
func halfDone(t study.Touch) study.Touch {
	launch, _ := t.Moment(t.Race.From)
	on := func(take string, f mark.Frame) bool { return take == launch.Take && f == launch.By }
	t.Actions, t.Notes = nil, nil
	t.Moments = slices.DeleteFunc(t.Moments, func(m mark.Moment) bool { return m.ID != launch.ID })
	t.Placings = slices.DeleteFunc(t.Placings, func(p study.Placing) bool { return !on(p.Take, p.Frame) })
	t.Marks = slices.DeleteFunc(t.Marks, func(m mark.Mark) bool { return m.Who != mark.Left || !on(m.Take, m.Frame) })
	return t
}
