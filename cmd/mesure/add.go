package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"mesure/study"
)

// addOptions are the values that "mesure add" works with.
type addOptions struct {
	Video string
	// Touch is the path of a touch file; empty adds the video alone.
	Touch  string
	Engine engine
}

func newAddCommand(b *bench) *cobra.Command {
	var o addOptions
	cmd := &cobra.Command{
		Use:   "add VIDEO",
		Short: "Copy a video into the library, with the marks of a touch",
		Long: `Copy a video into the library. The copy is named by its content, so adding the
same file twice keeps one. With --touch, the marks of a touch file are stored as
well; the videos that it names are copied with it.

` + exitHelp(badFile, badVideo, library, disk),
		Example: "  mesure add bout.mp4\n  mesure add bout.mp4 --touch touch.json",
		Args:    arguments("VIDEO"),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.Video = args[0]
			a, err := runAdd(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			return b.show(a, func() { b.printAdded(a) })
		},
	}
	cmd.Flags().StringVar(&o.Touch, "touch", "", "a touch file whose marks belong to the video")
	word(cmd.Flags(), "touch", "FILE")
	cmd.Flags().Var(&o.Engine, "engine", "what decodes the video")
	return cmd
}

// added is what went into the library.
type added struct {
	Videos []addedVideo `json:"videos"`
	// Touch names the touch; empty where none was added.
	Touch string `json:"touch,omitempty"`
}

type addedVideo struct {
	SHA256 string `json:"sha256"`
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Frames int    `json:"frames"`
}

func runAdd(ctx context.Context, b *bench, o addOptions) (*added, error) {
	var touch *study.Touch
	if o.Touch != "" {
		var err error
		if touch, err = readTouchFile(o.Touch); err != nil {
			return nil, err
		}
	}
	e, err := o.Engine.open()
	if err != nil {
		return nil, err
	}
	// Everything is looked at before anything is copied.
	files, err := videosToAdd(o, touch)
	if err != nil {
		return nil, err
	}
	a := &added{}
	for _, f := range files {
		clip, err := b.probe(ctx, e, f.path)
		if err != nil {
			return nil, err
		}
		a.Videos = append(a.Videos, addedVideo{Width: clip.Width, Height: clip.Height, Frames: clip.Frames()})
	}
	lib, err := b.openLibrary(ctx)
	if err != nil {
		return nil, err
	}
	defer lib.Close()
	for i, f := range files {
		m, err := b.addMedia(ctx, lib, f.path)
		if err != nil {
			return nil, err
		}
		a.Videos[i].SHA256, a.Videos[i].Name, a.Videos[i].Bytes = m.SHA256, m.Name, m.Bytes
		if f.of >= 0 {
			touch.Videos[f.of].SHA256 = m.SHA256
			touch.Videos[f.of].File = filepath.Base(f.path)
		}
	}
	if touch != nil {
		d, err := shelve(ctx, lib, touch)
		if err != nil {
			return nil, err
		}
		a.Touch = string(d.ID)
	}
	return a, nil
}

// videoFile is a file to copy and the video of the touch that it is: −1 for
// none.
type videoFile struct {
	path string
	of   int
}

// videosToAdd pairs the video on the command line with one of the touch: the
// same content where that was recorded, else the same file, the same name, or
// the only one. The others of
// the touch are found beside its file.
func videosToAdd(o addOptions, touch *study.Touch) ([]videoFile, error) {
	if touch == nil {
		return []videoFile{{o.Video, -1}}, nil
	}
	mine, err := sameVideo(o, touch)
	if err != nil {
		return nil, err
	}
	if mine < 0 {
		return nil, &fault{code: badFile, where: o.Touch, text: fmt.Sprintf("/videos: none of them is %s", filepath.Base(o.Video)),
			hint: "Give the video that was marked, or correct its \"file\" and \"sha256\" there."}
	}
	files := []videoFile{{o.Video, mine}}
	find := beside(o.Touch)
	for i, v := range touch.Videos {
		if i == mine {
			continue
		}
		path, err := find(v)
		if err != nil {
			return nil, at(fmt.Sprintf("%s: /videos/%d", o.Touch, i), err)
		}
		files = append(files, videoFile{path, i})
	}
	return files, nil
}

// sameVideo returns which video of the touch the one on the command line is.
func sameVideo(o addOptions, touch *study.Touch) (int, error) {
	given, err := os.Stat(o.Video)
	if err != nil {
		return -1, nil // the engine says what is wrong with the file
	}
	folder := filepath.Dir(o.Touch)
	sum := ""
	for i, v := range touch.Videos {
		path := v.File
		if !filepath.IsAbs(path) {
			path = filepath.Join(folder, path)
		}
		if v.SHA256 == "" {
			if info, err := os.Stat(path); err == nil && os.SameFile(given, info) {
				return i, nil
			}
			continue
		}
		if sum == "" {
			if sum, err = hashFile(o.Video); err != nil {
				return -1, at(o.Video, err)
			}
		}
		if strings.EqualFold(sum, v.SHA256) {
			return i, nil
		}
	}
	for i, v := range touch.Videos {
		if filepath.Base(v.File) == filepath.Base(o.Video) && v.SHA256 == "" {
			return i, nil
		}
	}
	if len(touch.Videos) == 1 && touch.Videos[0].SHA256 == "" {
		return 0, nil
	}
	return -1, nil
}

// addMedia copies one file into the library and shows how far it is.
func (b *bench) addMedia(ctx context.Context, lib study.Library, path string) (study.Media, error) {
	f, err := os.Open(path)
	if err != nil {
		return study.Media{}, at(path, err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return study.Media{}, at(path, err)
	}
	p := b.start("copying " + filepath.Base(path))
	defer p.end()
	m, err := lib.AddMedia(ctx, filepath.Base(path), &counted{ctx: ctx, r: f, size: info.Size(), tell: p.set})
	return m, at(path, err)
}

// counted is a reader that tells how far it is and stops when ctx ends.
type counted struct {
	ctx        context.Context
	r          io.Reader
	done, size int64
	tell       func(share float64)
}

// Read reads the next part.
func (c *counted) Read(p []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := c.r.Read(p)
	c.done += int64(n)
	if c.size > 0 {
		c.tell(float64(c.done) / float64(c.size))
	}
	return n, err
}

func (b *bench) printAdded(a *added) {
	rows := b.table("video", ">picture", ">frames", ">size")
	for _, v := range a.Videos {
		rows.row(v.Name, fmt.Sprintf("%d × %d", v.Width, v.Height), fmt.Sprint(v.Frames), bytesOf(v.Bytes))
	}
	rows.write(b.out)
	if a.Touch != "" {
		fmt.Fprintf(b.out, "\nTouch %s is in the library. Measure it: mesure read %s\n", a.Touch, a.Touch)
	}
}
