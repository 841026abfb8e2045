package main

import (
	"context"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// stillOptions are the values that "mesure still" works with.
type stillOptions struct {
	Video string
	// Frames that are asked for by number.
	Frames []int
	// Every is the spacing, in seconds, of frames over the whole video; 0 asks for
	// none of them.
	Every float64
	// everyAsked tells a spacing of 0 that was written from none.
	everyAsked bool
	// Fields reads the video as two pictures a frame.
	Fields bool
	Out    string
	Engine engine
}

// rounding is by how much of a spacing a time stamp may fall short and still count.
const rounding = 1e-6

// mostStills bounds what one call writes: some 700 MB of pictures.
const mostStills = 500

func newStillCommand(b *bench) *cobra.Command {
	o := stillOptions{}
	cmd := &cobra.Command{
		Use:   "still VIDEO --out DIR",
		Short: "Write frames of a video as pictures, to find a touch and to mark it",
		Long: `Write frames of a video as PNG, exactly as they are measured: one pixel of the
picture is one pixel of the marks, and the number in the name is the number of
the frame in touch files. With --every, frames over the whole video, to find a
touch. With --fields, the frames of a video that a touch file reads as fields.

` + exitHelp(badVideo, disk),
		Example: "  mesure still bout.mp4 --every 5 --out look\n  mesure still bout.mp4 --frame 1204,1206 --out frames",
		Args:    arguments("VIDEO"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Video = args[0]
			o.everyAsked = cmd.Flags().Changed("every")
			s, err := runStill(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			return b.show(s, func() { b.printStills(s) })
		},
	}
	f := cmd.Flags()
	f.IntSliceVar(&o.Frames, "frame", nil, "frame numbers, counted from 0")
	word(f, "frame", "N,N")
	f.Lookup("frame").DefValue = "" // an empty list is no default worth printing
	f.Float64Var(&o.Every, "every", 0, "a frame every so many seconds")
	word(f, "every", "SECONDS")
	f.BoolVar(&o.Fields, "fields", false, "two pictures a frame, one for each field of interlaced video")
	f.StringVar(&o.Out, "out", "", "the folder to write")
	word(f, "out", "DIR")
	f.Var(&o.Engine, "engine", "what decodes the video")
	return cmd
}

// stillSet is what was written.
type stillSet struct {
	Folder string      `json:"folder"`
	Width  int         `json:"width"`
	Height int         `json:"height"`
	Frames int         `json:"frames_in_video"`
	Stills []stillFile `json:"stills"`
}

type stillFile struct {
	Frame mark.Frame    `json:"frame"`
	At    mark.FileTime `json:"at_s"`
	File  string        `json:"file"`
}

func runStill(ctx context.Context, b *bench, o stillOptions) (*stillSet, error) {
	switch {
	case o.Out == "":
		return nil, misuseHint("Name the folder to write, such as --out frames.", "--out is missing")
	case (o.everyAsked || o.Every != 0) && !(o.Every > 0 && finite(o.Every)):
		return nil, misuse("--every: a spacing is a positive number of seconds")
	case len(o.Frames) == 0 && o.Every == 0:
		return nil, misuseHint("Write --frame 120, or --every 5 to look over the whole video.", "no frame is asked for")
	}
	e, err := o.Engine.open()
	if err != nil {
		return nil, err
	}
	clip, err := b.probe(ctx, e, o.Video)
	if err != nil {
		return nil, err
	}
	clip = study.Video{Fields: o.Fields}.Clip(clip)
	frames, err := framesAsked(clip, o)
	if err != nil {
		return nil, err
	}
	s := &stillSet{Folder: o.Out, Width: clip.Width, Height: clip.Height, Frames: clip.Frames()}
	p := b.start("writing frames")
	defer p.end()
	return s, deliver(o.Out, nil, func(tmp string) error {
		for i, f := range frames {
			name := fmt.Sprintf("frame-%06d.png", f)
			if err := writeStill(ctx, e, o.Video, clip, f, filepath.Join(tmp, name)); err != nil {
				return err
			}
			s.Stills = append(s.Stills, stillFile{Frame: f, At: clip.Times[f], File: name})
			p.set(float64(i+1) / float64(len(frames)))
		}
		return nil
	})
}

// framesAsked lists the frames to write, in order and each once.
func framesAsked(clip mark.Clip, o stillOptions) ([]mark.Frame, error) {
	var frames []mark.Frame
	for _, n := range o.Frames {
		f := mark.Frame(n)
		if !clip.Has(f) {
			return nil, misuse("--frame: %d is not in the video, which shows frames 0 to %d", n, clip.Frames()-1)
		}
		frames = append(frames, f)
	}
	if o.Every > 0 {
		start, turns := clip.Times[0], -1.0
		for i, t := range clip.Times {
			if n := math.Floor(float64(t-start)/o.Every + rounding); n > turns {
				frames, turns = append(frames, mark.Frame(i)), n
			}
			if len(frames) > mostStills {
				break
			}
		}
	}
	slices.Sort(frames)
	frames = slices.Compact(frames)
	if len(frames) > mostStills {
		return nil, misuse("--every: that is more than %d frames; give a longer spacing", mostStills)
	}
	return frames, nil
}

func writeStill(ctx context.Context, e video.Engine, path string, clip mark.Clip, f mark.Frame, to string) (err error) {
	img, err := e.Still(ctx, path, clip, f)
	if err != nil {
		return err
	}
	file, err := os.Create(to)
	if err != nil {
		return at(to, err)
	}
	defer func() {
		if closed := file.Close(); err == nil {
			err = at(to, closed)
		}
	}()
	return at(to, png.Encode(file, img))
}

func (b *bench) printStills(s *stillSet) {
	t := b.table("~", ">frame", ">at")
	for _, f := range s.Stills {
		t.row(filepath.Join(s.Folder, f.File), fmt.Sprint(f.Frame), fmt.Sprintf("%.3f s", float64(f.At)))
	}
	t.write(b.out)
	b.wrapped(b.out, "  ", fmt.Sprintf("%d × %d pixels; the video shows frames 0 to %d.", s.Width, s.Height, s.Frames-1))
}
