package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"mesure/bundle"
	"mesure/demo"
	showreport "mesure/show/report"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// demoCache is where the videos of the demo are kept.
func demoCache() (string, error) { return cacheFolder("demo") }

// cacheFolder is where things are kept that can be made anew, beside the decoder.
func cacheFolder(name string) (string, error) {
	if dir := os.Getenv(video.CacheEnv); dir != "" {
		return filepath.Join(dir, name), nil
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		return "", &fault{code: disk, err: err, hint: "Name a folder to keep the videos in: " + video.CacheEnv + "=DIR."}
	}
	return filepath.Join(dir, "mesure", name), nil
}

func (b *bench) renderDemo(ctx context.Context, cache string, e video.Engine) (demo.Manifest, error) {
	p := b.start("drawing the invented bout")
	defer p.end()
	return demo.Render(ctx, cache, demo.Options{Engine: e}, p.set)
}

// readDemo reads every touch: once as a coach would, and more times with other
// marks for the comparison. The truth is never read.
func (b *bench) readDemo(ctx context.Context, cache string, made demo.Manifest, e video.Engine, o demoOptions) ([]*study.Reading, []demo.Sample, error) {
	p := b.start("reading the four touches")
	defer p.end()
	footage := probed{e, map[string]mark.Clip{}}
	for _, name := range made.Videos() {
		path := filepath.Join(cache, name)
		clip, err := e.Probe(ctx, path, nil)
		if err != nil {
			return nil, nil, err
		}
		footage.clips[path] = clip
	}
	samples := make([]demo.Sample, o.Markings*demo.Count)
	var work []func() error
	for n := range samples {
		work = append(work, func() error {
			m, i := n/demo.Count, n%demo.Count
			t := demo.Marked(i, o.Seed+uint64(m), o.Noise)
			ask := study.ReadOptions{Seed: o.Seed, Draws: study.MinDraws, Path: in(cache)}
			if m == 0 {
				ask.Draws, ask.Tactics = study.DefaultDraws, boutOf(&t)
			}
			r, err := study.Read(ctx, &t, footage, ask)
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

// probed is footage whose videos were looked at before: every marking of a touch
// is read from the same ones.
type probed struct {
	study.Footage
	clips map[string]mark.Clip
}

// Probe returns what was seen.
func (f probed) Probe(ctx context.Context, path string, tell func(share float64)) (mark.Clip, error) {
	if clip, seen := f.clips[path]; seen {
		return clip, nil
	}
	return f.Footage.Probe(ctx, path, tell)
}

// in finds the videos of the demo in a folder.
func in(dir string) func(study.Video) (string, error) {
	return func(v study.Video) (string, error) { return filepath.Join(dir, filepath.Base(v.File)), nil }
}

// replayed returns the first touch that has a slow take.
func replayed(readings []*study.Reading) int {
	for i, r := range readings {
		for _, c := range r.Clocks {
			if c.Factor.Mean != 1 {
				return i
			}
		}
	}
	return 0
}

// deliverDemo writes the folder: the breakdown, the comparison, the touch files
// and what they need.
func (b *bench) deliverDemo(ctx context.Context, d *demonstrated, cache string, made demo.Manifest, e video.Engine, readings []*study.Reading) error {
	told, err := showreport.Timed(readings[d.Told-1])
	if err != nil {
		return err
	}
	// Rendering a clip takes longer than all the rest; the last lines say how to make it.
	t := &teller{b: b, o: tellOptions{Out: d.Folder, Sheet: true, HandOff: true, Lesson: true, Overlays: overlaysNone},
		source: source{touch: told.Touch, path: in(cache)}, engine: e, reading: told, captions: true, w: &written{}}
	return deliver(d.Folder, ownFiles(), func(tmp string) error {
		if err := t.write(ctx, tmp); err != nil {
			return err
		}
		a := &album{dir: tmp, out: d.Folder}
		for name, what := range map[string]any{"accuracy.json": d.Accuracy, "reliability.json": d.reliability} {
			if err := a.file(name, func(f *os.File) error {
				e := json.NewEncoder(f)
				e.SetIndent("", "  ")
				return e.Encode(what)
			}); err != nil {
				return err
			}
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
		d.Files = slices.Sorted(slices.Values(append(a.files(), t.w.Files...)))
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
