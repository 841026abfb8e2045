package main

import (
	"context"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	showalbum "mesure/show/album"
	"mesure/show/clip"
	"mesure/show/plate"
	showreport "mesure/show/report"
	"mesure/show/script"
	"mesure/show/sheet"
	"mesure/show/tell"
	"mesure/study"
	"mesure/video"
)

// tellOptions are the values that "mesure tell" works with.
type tellOptions struct {
	readOptions
	// Out is the folder of the breakdown.
	Out string
	// Clip, Sheet and HandOff are what is written besides report, plates and script.
	Clip, Sheet, HandOff bool
	// Telling is the file of a telling; empty takes that of the library, else a draft.
	Telling string
	// NoFollow leaves the takes as they are marked where a clip is made.
	NoFollow bool
	// set are the flags that were given: they go before what a telling says.
	set map[string]bool
	// HideNames is --names anonymous by its older name.
	HideNames bool
	Names     plate.Naming
	Level     script.Level
	Form      clip.Form
	Lesson    bool
	Paper     sheet.Paper
	Pictures  showalbum.Pictures
	Overlays  string
}

// What overlays alone are written as.
const (
	overlaysProRes = "prores"
	overlaysWebM   = "webm"
	overlaysPNG    = "png"
	overlaysNone   = "none"
)

func newTellCommand(b *bench) *cobra.Command {
	o := tellOptions{Overlays: overlaysProRes}
	cmd := &cobra.Command{
		Use:   "tell TOUCH|FILE --out DIR",
		Short: "Write the breakdown of one touch: report, plates, script, clip, sheet, hand-off",
		Long: `Measure one touch and write its breakdown into a folder: report.html (one file,
opens offline), the plates as SVG and PNG, the script, and reading.json. With
--clip also the clip, with captions; with --sheet the lesson sheet as HTML and
PDF; with --hand-off one zip for your own editor: overlays alone with
transparency, cuts, captions and all numbers.

How it is told stands in telling.json: change words and shots there (or at the
desk) and give it back with --telling. A touch of the library is told as the
desk has it. Flags that are given go before what a telling says. The timing is
told of the instant from which the race is run, or of the one that --at names.

For a clip the takes are followed first where that was not done yet. Ctrl-C
leaves nothing half-written; finished pieces of a clip are kept, and the next
run goes on from there. Every file is complete when it appears. Files of an
earlier breakdown in the folder are replaced, others stay.

` + exitHelp(badFile, refused, badVideo, library, disk),
		Example: "  mesure tell touch.json --out breakdown\n  mesure tell touch.json --out breakdown --clip --sheet --hand-off\n  mesure tell touch.json --out phone --clip --shape 9:16 --names initials",
		Args:    arguments("TOUCH|FILE"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Touch = args[0]
			o.set = map[string]bool{}
			cmd.Flags().Visit(func(f *pflag.Flag) { o.set[f.Name] = true })
			if err := o.check(); err != nil {
				return err
			}
			w, err := runTell(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			return b.show(w, func() { b.printWritten(w) })
		},
	}
	addReadFlags(cmd, &o.readOptions)
	cmd.Flags().Lookup("follow").Usage = "follow camera and points first, also without a clip"
	addAtFlag(cmd, &o.timingOptions)
	addTellFlags(cmd.Flags(), &o)
	return cmd
}

func addTellFlags(f *pflag.FlagSet, o *tellOptions) {
	f.StringVar(&o.Out, "out", "", "the folder to write")
	word(f, "out", "DIR")
	f.BoolVar(&o.Clip, "clip", false, "write the clip and its captions")
	f.BoolVar(&o.Sheet, "sheet", false, "write the sheet as HTML and PDF")
	f.BoolVar(&o.HandOff, "hand-off", false, "write the zip for your own editor")
	f.StringVar(&o.Telling, "telling", "", "tell it as this file says: an edited telling.json")
	word(f, "telling", "FILE")
	f.BoolVar(&o.NoFollow, "no-follow", false, "make the clip from the marks alone")
	addChoice(f, &o.Names, "names", "what the fencers are called; anonymous leaves clubs and events out too", plate.Named, plate.Initials, plate.Anonymous)
	f.BoolVar(&o.HideNames, "hide-names", false, "the same as --names anonymous")
	addChoice(f, &o.Level, "level", "who listens: it changes words and depth, not facts", script.Beginner, script.Club, script.Competitor)
	addChoice(f, &o.Form.Shape, "shape", "aspect of the clip", clip.Wide, clip.Upright, clip.Square)
	addCount(f, &o.Form.Lines, "lines", "shorter side of the clip in pixels, else 720", 720, 1080)
	addCount(f, &o.Form.Rate, "rate", "frames a second of the clip, else 30", 24, 25, 30, 50, 60)
	addChoice(f, &o.Form.File, "file", "H.264 in MP4, or VP9 in WebM", "mp4", "webm")
	addChoice(f, &o.Form.Sound, "sound", "the sound of the takes where they play at speed, or none", "none", "original")
	addChoice(f, &o.Form.Captions, "captions", "captions in the picture, or in captions.vtt alone", "burnt", "file")
	f.BoolVar(&o.Lesson, "lesson", false, "a sheet with questions, drills and what to watch for")
	addChoice(f, &o.Paper, "paper", "paper of the sheet", sheet.A4, sheet.Letter)
	addChoice(f, &o.Pictures.Theme, "theme", "look of the plates: video has the shapes of screens, print is safe without colour", "paper", "night", "print", "video")
	f.BoolVar(&o.Pictures.PDF, "pdf", false, "write each plate as PDF too")
	f.BoolVar(&o.Pictures.Transparent, "transparent", false, "plates without a ground")
	f.IntVar(&o.Pictures.Width, "width", showalbum.WidePixels, "width of the plates as PNG in pixels")
	word(f, "width", "PIXELS")
	addChoice(f, &o.Overlays, "overlays", "how the hand-off has the overlays: ProRes 4444, VP9 with transparency, one PNG a frame", overlaysProRes, overlaysWebM, overlaysPNG, overlaysNone)
}

// check refuses what does not go together, before anything is read.
func (o *tellOptions) check() error {
	if o.Out == "" {
		return misuseHint("Name the folder to write, such as --out breakdown.", "--out is missing")
	}
	if w := o.Pictures.Width; w < showalbum.LeastPixels || w > showalbum.MostPixels {
		return misuse("--width: %d is not between %d and %d", w, showalbum.LeastPixels, showalbum.MostPixels)
	}
	if o.HideNames {
		if o.set["names"] && o.Names != plate.Anonymous {
			return misuse("--hide-names and --names %s contradict each other: give one of the two", o.Names)
		}
		o.Names, o.set["names"] = plate.Anonymous, true
	}
	if o.NoFollow && o.Follow {
		return misuse("--follow and --no-follow contradict each other: give one of the two")
	}
	o.Follow = o.Follow || (o.Clip || o.HandOff) && !o.NoFollow
	return nil
}

// written is what a breakdown consists of.
type written struct {
	Folder string   `json:"folder"`
	Files  []string `json:"files"`
	// Finding is the race in one sentence; empty where there is no race.
	Finding string `json:"finding"`
	Doubts  int    `json:"doubts"`
	// Clip is what the clip is; nil without one.
	Clip *writtenClip `json:"clip,omitempty"`
	// Notes are what the coach should know of it, each in one sentence.
	Notes []string `json:"notes,omitempty"`
}

// writtenClip is a clip in numbers.
type writtenClip struct {
	Frames int     `json:"frames"`
	Rate   int     `json:"rate"`
	Width  int     `json:"width"`
	Height int     `json:"height"`
	Lasts  float64 `json:"lasts_s"`
	Shots  int     `json:"shots"`
}

func runTell(ctx context.Context, b *bench, o tellOptions) (*written, error) {
	given, err := o.given()
	if err != nil {
		return nil, err
	}
	s, r, e, err := b.read(ctx, o.readOptions)
	if err != nil {
		return nil, err
	}
	defer s.close()
	if o.asked() {
		if err := tellTiming(ctx, r, o.Touch, o.timingOptions); err != nil {
			return nil, err
		}
	}
	if r, err = unlessEnded(ctx, func() (*study.Reading, error) { return showreport.Timed(r) }); err != nil {
		return nil, at(o.Touch, err)
	}
	if given == nil {
		if given, err = s.told(ctx); err != nil {
			return nil, err
		}
	}
	w := &written{Folder: o.Out, Doubts: len(doubtsOf(r))}
	if r.Race != nil {
		w.Finding = r.Race.Finding
	}
	t := &teller{b: b, o: o, source: s, engine: e, reading: r, given: given, w: w}
	return w, deliver(o.Out, ownFiles(), func(tmp string) error { return t.write(ctx, tmp) })
}

// given reads the telling that a file has; nil where none was named.
func (o tellOptions) given() (*tell.Telling, error) {
	if o.Telling == "" {
		return nil, nil
	}
	f, err := openInput(o.Telling)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return tell.Read(f, o.Telling)
}

func (b *bench) printWritten(w *written) {
	if w.Finding != "" {
		b.wrapped(b.out, "", sentence(w.Finding))
		fmt.Fprintln(b.out)
	}
	if w.Doubts > 0 {
		b.wrapped(b.out, "", fmt.Sprintf("Doubts: %d. The report and \"mesure read\" name them.", w.Doubts))
		fmt.Fprintln(b.out)
	}
	for _, n := range w.Notes {
		b.wrapped(b.out, "", n)
	}
	if len(w.Notes) > 0 {
		fmt.Fprintln(b.out)
	}
	if c := w.Clip; c != nil {
		fmt.Fprintf(b.out, "The clip: %.1f s, %d shots, %d × %d, %d frames a second\n", c.Lasts, c.Shots, c.Width, c.Height, c.Rate)
	}
	fmt.Fprintf(b.out, "Open %s\n", filepath.Join(w.Folder, reportName))
	fmt.Fprintf(b.out, "  and %d other files beside it\n", len(w.Files)-1)
}

// reportName is the file of a breakdown that is opened first.
const reportName = "report.html"

// overlayFormat is the film that overlays are written as; false for none.
func (o tellOptions) overlayFormat() (video.Format, bool) {
	switch o.Overlays {
	case overlaysProRes:
		return video.FormatProRes, true
	case overlaysWebM:
		return video.FormatWebMAlpha, true
	}
	return video.FormatProRes, false
}
