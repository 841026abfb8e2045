package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"mesure/bundle"
	"mesure/demo"
	"mesure/quantity"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// demoOptions are the values that "mesure demo" works with.
type demoOptions struct {
	// Out is the folder to write.
	Out string
	// Touch is the one whose breakdown is written, from 1; 0 means the first that
	// has a slow replay.
	Touch int
	// Noise is the marking error of the invented coach.
	Noise quantity.Pixels
	Seed  uint64
	// Markings is how many times each touch is marked for the comparison with the
	// truth.
	Markings int
	Engine   engine
}

// Defaults of the demo.
const (
	defaultOut = "out"
	// defaultMarkings gives more than 500 gaps to compare.
	defaultMarkings = 8
	mostMarkings    = 1000
)

func newDemoCommand(b *bench) *cobra.Command {
	o := demoOptions{}
	var noise float64
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Make an invented bout, measure its four touches, tell one of them",
		Long: `Make an invented bout (drawn once, then kept in the cache), mark its four touches
as a careful hand would, with errors, and measure them. The folder then holds the
breakdown of one touch (open report.html), accuracy.json, which compares every
reading with the truth, and the touch files and videos to try the other commands
on.

` + exitHelp(badVideo, disk),
		Example: "  mesure demo\n  mesure demo --touch 2 --noise 3 --out trial",
		Args:    arguments(),
		RunE: func(cmd *cobra.Command, _ []string) error {
			o.Noise = quantity.Pixels(noise)
			d, err := runDemo(cmd.Context(), b, o)
			if err != nil {
				return err
			}
			return b.show(d, func() { b.printDemo(d) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.Out, "out", filepath.Join(defaultOut, "demo"), "the folder to write")
	word(f, "out", "DIR")
	f.IntVar(&o.Touch, "touch", 0, "the touch to tell, 1 to 4; 0: the one with a slow replay")
	word(f, "touch", "N")
	f.Float64Var(&noise, "noise", mark.DefaultSD, "marking error of the invented coach")
	word(f, "noise", "PIXELS")
	f.Uint64Var(&o.Seed, "seed", study.DefaultSeed, "seed of the marking errors and of the draws")
	word(f, "seed", "N")
	f.IntVar(&o.Markings, "markings", defaultMarkings, "how often each touch is marked to be compared with the truth")
	word(f, "markings", "N")
	f.Var(&o.Engine, "engine", "what writes and reads the videos")
	return cmd
}

// demonstrated is what the demo made.
type demonstrated struct {
	Folder   string      `json:"folder"`
	Touches  []demoTouch `json:"touches"`
	Told     int         `json:"told"`
	Accuracy demo.Report `json:"accuracy"`
	Files    []string    `json:"files"`
}

// demoTouch is one line of the summary.
type demoTouch struct {
	Title   string     `json:"title"`
	File    string     `json:"file"`
	Lamps   bout.Lamps `json:"lamps"`
	Finding string     `json:"finding"`
	race    *study.Race
}

func runDemo(ctx context.Context, b *bench, o demoOptions) (*demonstrated, error) {
	switch {
	case o.Touch < 0 || o.Touch > demo.Count:
		return nil, misuse("--touch: there is no touch %d; write 1 to %d", o.Touch, demo.Count)
	case !(o.Noise > 0) || !finite(float64(o.Noise)):
		return nil, misuse("--noise: a marking error is a positive number of pixels")
	case o.Markings < 1 || o.Markings > mostMarkings:
		return nil, misuse("--markings: %d is not between 1 and %d", o.Markings, mostMarkings)
	}
	e, err := o.Engine.open()
	if err != nil {
		return nil, err
	}
	cache, err := demoCache()
	if err != nil {
		return nil, err
	}
	made, err := b.renderDemo(ctx, cache, e)
	if err != nil {
		return nil, err
	}
	readings, samples, err := b.readDemo(ctx, cache, e, o)
	if err != nil {
		return nil, err
	}
	d := &demonstrated{Folder: o.Out, Told: o.Touch, Accuracy: demo.Accuracy(samples)}
	if d.Told == 0 {
		d.Told = replayed(readings) + 1
	}
	for i, r := range readings {
		t := demoTouch{Title: r.Touch.Title, File: fmt.Sprintf("touch-%d.json", i+1), race: r.Race}
		if r.Touch.Lamps != nil {
			t.Lamps = *r.Touch.Lamps
		}
		if r.Race != nil {
			t.Finding = r.Race.Finding
		}
		d.Touches = append(d.Touches, t)
	}
	return d, b.deliverDemo(ctx, d, cache, made, e, readings)
}

// demoCache is where the videos of the demo are kept, beside the decoder.
func demoCache() (string, error) {
	if dir := os.Getenv(video.CacheEnv); dir != "" {
		return filepath.Join(dir, "demo"), nil
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		return "", &fault{code: disk, err: err, hint: "Name a folder to keep the videos in: " + video.CacheEnv + "=DIR."}
	}
	return filepath.Join(dir, "mesure", "demo"), nil
}

func (b *bench) renderDemo(ctx context.Context, cache string, e video.Engine) (demo.Manifest, error) {
	p := b.start("drawing the invented bout")
	defer p.end()
	return demo.Render(ctx, cache, demo.Options{Engine: e}, p.set)
}

// readDemo reads every touch: once as a coach would, and more times with other
// marks for the comparison. The truth is never read.
func (b *bench) readDemo(ctx context.Context, cache string, e video.Engine, o demoOptions) ([]*study.Reading, []demo.Sample, error) {
	p := b.start("reading the four touches")
	defer p.end()
	samples := make([]demo.Sample, o.Markings*demo.Count)
	var work []func() error
	for n := range samples {
		work = append(work, func() error {
			m, i := n/demo.Count, n%demo.Count
			t := demo.Marked(i, o.Seed+uint64(m), o.Noise)
			ask := study.ReadOptions{Seed: o.Seed, Draws: fewestDraws, Path: in(cache)}
			if m == 0 {
				ask.Draws = study.DefaultDraws
			}
			r, err := study.Read(ctx, &t, e, ask)
			if err != nil {
				return fmt.Errorf("touch %d: %w", i+1, err)
			}
			samples[n] = demo.Sample{Touch: i, Reading: r}
			return nil
		})
	}
	err := together(ctx, work, func(done int) { p.set(float64(done) / float64(len(work))) })
	if err != nil {
		return nil, nil, err
	}
	readings := make([]*study.Reading, demo.Count)
	for i := range readings {
		readings[i] = samples[i].Reading
	}
	return readings, samples, nil
}

// in finds the videos of the demo in a folder.
func in(dir string) func(study.Video) (string, error) {
	return func(v study.Video) (string, error) { return filepath.Join(dir, filepath.Base(v.File)), nil }
}

// replayed returns the first touch that has a slow take.
func replayed(readings []*study.Reading) int {
	for i, r := range readings {
		for _, k := range r.Touch.Takes {
			if k.Slow() != 1 {
				return i
			}
		}
	}
	return 0
}

// deliverDemo writes the folder: the breakdown, the comparison, the touch files
// and what they need.
func (b *bench) deliverDemo(ctx context.Context, d *demonstrated, cache string, made demo.Manifest, e video.Engine, readings []*study.Reading) error {
	p := b.start("drawing the breakdown")
	defer p.end()
	return deliver(d.Folder, func(tmp string) error {
		told := readings[d.Told-1]
		from := stills{e, source{touch: told.Touch, path: in(cache)}}
		a := &album{dir: tmp, out: d.Folder, reading: told, from: from}
		if err := a.breakdown(ctx, p.set); err != nil {
			return err
		}
		if err := a.file("accuracy.json", func(f *os.File) error {
			e := json.NewEncoder(f)
			e.SetIndent("", "  ")
			return e.Encode(d.Accuracy)
		}); err != nil {
			return err
		}
		for i, r := range readings {
			t := *r.Touch
			t.Videos = append([]study.Video(nil), t.Videos...)
			made.Sign(&t)
			for k := range t.Videos {
				t.Videos[k].File = "video/" + filepath.Base(t.Videos[k].File)
			}
			if err := a.file(d.Touches[i].File, func(f *os.File) error { return bundle.WriteTouch(f, &t) }); err != nil {
				return err
			}
		}
		for _, f := range made.Files {
			folder := "truth"
			if strings.HasSuffix(f.Name, ".mp4") {
				folder = "video"
			}
			if err := a.copy(filepath.Join(cache, f.Name), folder+"/"+f.Name); err != nil {
				return err
			}
		}
		d.Files = a.files()
		return ctx.Err()
	})
}

// copy copies a file into the album.
func (a *album) copy(from, name string) error {
	in, err := os.Open(from)
	if err != nil {
		return at(from, err)
	}
	defer in.Close()
	return a.file(name, func(f *os.File) error {
		_, err := io.Copy(f, in)
		return err
	})
}

// lampWords says what the apparatus showed.
func lampWords(l bout.Lamps) string {
	switch {
	case l.Left && l.Right:
		return "both"
	case l.Left:
		return "left"
	case l.Right:
		return "right"
	}
	return "none"
}

func (b *bench) printDemo(d *demonstrated) {
	b.first("An invented bout, four touches, marked by an invented coach")
	rows := b.table("", "~touch", "lamps", ">left", ">right", ">both", ">neither")
	for i, t := range d.Touches {
		cells := []string{fmt.Sprint(i + 1), t.Title, lampWords(t.Lamps)}
		if r := t.race; r != nil {
			cells = append(cells, plate.Chance(r.LeftOnly.Mean), plate.Chance(r.RightOnly.Mean), plate.Chance(r.Both.Mean), plate.Chance(r.Neither.Mean))
		}
		rows.row(cells...)
	}
	rows.write(b.out)

	b.title("Against the truth, which no reading saw")
	g, m := d.Accuracy.Gaps, d.Accuracy.Moments
	check := b.table("", ">compared", ">half are within", ">95 % are within", ">intervals that hold it")
	check.row("gaps", fmt.Sprint(g.N), cm(g.MedianAbsError), cm(g.P95AbsError), plate.Chance(quantity.Chance(g.Coverage95)))
	check.row("moments", fmt.Sprint(m.N), fmt.Sprintf("%.1f ms", m.MedianAbsError), fmt.Sprintf("%.1f ms", m.P95AbsError), plate.Chance(quantity.Chance(m.Coverage95)))
	check.write(b.out)

	b.title("Where to look")
	look := b.table("", "~")
	look.row(filepath.Join(d.Folder, reportName), fmt.Sprintf("the breakdown of touch %d", d.Told))
	look.row("mesure read "+filepath.Join(d.Folder, d.Touches[0].File), "the numbers of another touch")
	open := "mesure open"
	if filepath.Dir(d.Folder) != defaultOut {
		open += " " + d.Folder
	}
	look.row(open, "the same in a browser")
	look.write(b.out)
}

// cm prints metres in centimetres.
func cm(metres float64) string { return fmt.Sprintf("%.1f cm", quantity.Metres(metres).Centimetres()) }
