package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"mesure/bundle"
	"mesure/demo"
	"mesure/show/album"
	"mesure/show/report"
	"mesure/show/script"
	"mesure/show/sheet"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// told is the touch of the demo that is told, from 0: the one with a slow replay.
const told = 3

// breakdownOfATouch measures what a coach waits for when a touch is told: the plates,
// the report with its sheet as PDF, and with ffmpeg the clip and the whole.
func breakdownOfATouch(ctx context.Context) ([]line, error) {
	if demoFolder == "" { // measured alone: the demo as it is in the cache of the user
		dir, err := os.MkdirTemp("", "mesure-bench-")
		if err != nil {
			return nil, err
		}
		demoFolder = dir
		if out, err := exec.CommandContext(ctx, binary, "demo", "--out", filepath.Join(dir, "demo"), "--markings", "1").CombinedOutput(); err != nil {
			return nil, fmt.Errorf("mesure demo: %w: %s", err, out)
		}
	}
	lines, err := platesAndPages(ctx)
	if err != nil {
		return nil, err
	}
	more, err := clipAndWhole(ctx)
	return append(lines, more...), err
}

// platesAndPages measures on a touch that was read and whose frames are decoded.
func platesAndPages(ctx context.Context) ([]line, error) {
	dir := filepath.Join(demoFolder, "demo")
	e, err := video.Choose(video.Auto)
	if err != nil {
		return nil, err
	}
	t := demo.Marked(told, 1, mark.DefaultSD)
	pathOf := func(v study.Video) (string, error) { return filepath.Join(dir, "video", filepath.Base(v.File)), nil }
	r, err := study.Read(ctx, &t, e, study.ReadOptions{Path: pathOf})
	if err != nil {
		return nil, err
	}
	if r, err = report.Timed(r); err != nil {
		return nil, err
	}
	type place struct {
		take string
		f    mark.Frame
	}
	seen := map[place]image.Image{}
	stills := func(take string, f mark.Frame) (image.Image, error) {
		if got := seen[place{take, f}]; got != nil {
			return got, nil
		}
		k, _ := t.Take(take)
		v, _ := t.Video(k.Video)
		path, err := pathOf(v)
		if err != nil {
			return nil, err
		}
		got, err := e.Still(ctx, path, r.Clips[k.Video], f)
		seen[place{take, f}] = got
		return got, err
	}
	drawn := func() (*album.Album, error) {
		return album.Make(r, stills, bundle.Papers{}, album.Options{Program: "Mesure"})
	}
	if _, err := drawn(); err != nil { // the frames are decoded, the fonts are read
		return nil, err
	}
	said, err := script.Draft(r, script.Options{})
	if err != nil {
		return nil, err
	}

	var plates int
	var svg, png, pages []time.Duration
	for range 5 {
		start := time.Now()
		a, err := drawn()
		if err != nil {
			return nil, err
		}
		plates = len(a.Plates)
		if err := writeAll(a.Files(), func(name string) bool { return strings.HasSuffix(name, ".svg") }); err != nil {
			return nil, err
		}
		svg = append(svg, time.Since(start))

		start = time.Now()
		wide := func(name string) bool { return strings.HasSuffix(name, ".png") && !strings.Contains(name, "phone") }
		if err := writeAll(a.Files(), wide); err != nil {
			return nil, err
		}
		png = append(png, time.Since(start))

		start = time.Now()
		if err := writeAll(a.Files(), func(name string) bool { return name == album.ReportName }); err != nil {
			return nil, err
		}
		if err := sheet.WritePDF(io.Discard, r, said, a.Plates, sheet.Options{Lesson: true, Program: "Mesure"}); err != nil {
			return nil, err
		}
		pages = append(pages, time.Since(start))
	}
	half := func(v []time.Duration) time.Duration {
		slices.Sort(v)
		return v[len(v)/2]
	}
	a, b, c := half(svg), half(png), half(pages)
	return []line{
		{fmt.Sprintf("the %d plates of a touch drawn and written as SVG, wide and for the phone, median of 5", plates), ms(a), "at most 500 ms", within(a <= 500*time.Millisecond)},
		{"  as PNG, 1920 pixels wide", fmt.Sprintf("%.2f s", b.Seconds()), "at most 3 s", within(b <= 3*time.Second)},
		{"  the report, and the lesson sheet as PDF", fmt.Sprintf("%.2f s", c.Seconds()), "at most 3 s", within(c <= 3*time.Second)},
	}, nil
}

// writeAll writes files of an album to nowhere, two at a time as the program does.
func writeAll(files []album.File, want func(name string) bool) error {
	const together = 2
	work, bad := make(chan album.File), make(chan error, together)
	for range together {
		go func() {
			var err error
			for f := range work {
				err = errors.Join(err, f.Write(io.Discard))
			}
			bad <- err
		}()
	}
	n := 0
	for _, f := range files {
		if want(f.Name) {
			work <- f
			n++
		}
	}
	close(work)
	var err error
	for range together {
		err = errors.Join(err, <-bad)
	}
	if n == 0 && err == nil {
		err = errors.New("the album has no such file")
	}
	return err
}

// clipAndWhole measures the clip in one run beside ffmpeg alone, which encodes the same
// pictures with the same settings, and the whole breakdown with nothing made before.
func clipAndWhole(ctx context.Context) ([]line, error) {
	const faster, atMost, whole = "at least 1.0 × real time", "at most 1.5 ×", "at most 60 s"
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		return []line{{"the clip, native engine", "ffmpeg is not here", faster, unknown}}, nil
	}
	dir, err := os.MkdirTemp("", "mesure-bench-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	cache := filepath.Join(dir, "cache")
	var made struct {
		Clip struct {
			Frames int     `json:"frames"`
			Rate   int     `json:"rate"`
			Width  int     `json:"width"`
			Height int     `json:"height"`
			Lasts  float64 `json:"lasts_s"`
		} `json:"clip"`
	}
	tell := func(flags ...string) (float64, error) {
		args := append([]string{"tell", filepath.Join(demoFolder, "demo", fmt.Sprintf("touch-%d.json", told+1)), "--out", filepath.Join(dir, "out"), "--json", "--engine", "native"}, flags...)
		cmd := exec.CommandContext(ctx, binary, args...)
		cmd.Env = append(cmd.Environ(), video.CacheEnv+"="+cache)
		var said strings.Builder
		cmd.Stderr = &said
		start := time.Now()
		out, err := cmd.Output()
		took := time.Since(start).Seconds()
		if err != nil {
			return 0, fmt.Errorf("mesure tell: %w: %s", err, said.String())
		}
		return took, json.Unmarshal(out, &made)
	}
	all, err := tell("--clip", "--sheet", "--hand-off")
	if err != nil {
		return nil, err
	}
	if made.Clip.Frames == 0 || made.Clip.Lasts <= 0 {
		return nil, errors.New("mesure tell: no clip was written")
	}
	var speeds, ratios []float64
	raw, file := filepath.Join(dir, "raw.yuv"), filepath.Join(dir, "out", "clip.mp4")
	for range 3 {
		plain, err := tell("--follow") // all but the clip
		if err != nil {
			return nil, err
		}
		if err := os.RemoveAll(filepath.Join(cache, "pieces")); err != nil { // nothing of it is kept
			return nil, err
		}
		with, err := tell("--follow", "--clip")
		if err != nil {
			return nil, err
		}
		alone, err := encoded(ctx, file, raw, fmt.Sprintf("%dx%d", made.Clip.Width, made.Clip.Height), fmt.Sprint(made.Clip.Rate))
		if err != nil {
			return nil, err
		}
		speeds = append(speeds, made.Clip.Lasts/(with-plain))
		ratios = append(ratios, (with-plain)/alone)
	}
	speed, ratio := median(speeds), median(ratios)
	each := all * 30 / made.Clip.Lasts
	return []line{
		{fmt.Sprintf("a clip of %.0f s, %dp%d, overlays in it: median of 3", made.Clip.Lasts, made.Clip.Height, made.Clip.Rate), fmt.Sprintf("%.2f × real time", speed), faster, within(speed >= 1)},
		{"  its time beside that of ffmpeg alone for the same pictures", fmt.Sprintf("%.2f ×", ratio), atMost, within(ratio <= 1.5)},
		{"the whole breakdown, followed, clip, sheet and hand-off", fmt.Sprintf("%.0f s", all), "", noGoal},
		{"  for a clip of 30 s, in proportion", fmt.Sprintf("%.0f s", each), whole, within(each <= 60)},
	}, nil
}

// encoded is how long ffmpeg alone needs for the pictures of a clip, which it reads as
// raw planes from the disk and writes with what the native engine asks of it.
func encoded(ctx context.Context, file, raw, size, rate string) (float64, error) {
	run := func(args ...string) error {
		out, err := exec.CommandContext(ctx, "ffmpeg", append([]string{"-nostdin", "-v", "error", "-y"}, args...)...).CombinedOutput()
		if err != nil {
			return fmt.Errorf("ffmpeg: %w: %s", err, out)
		}
		return nil
	}
	if err := run("-i", file, "-map", "0:v", "-f", "rawvideo", "-pix_fmt", "yuv420p", raw); err != nil {
		return 0, err
	}
	defer os.Remove(raw)
	start := time.Now()
	err := run("-f", "rawvideo", "-pix_fmt", "yuv420p", "-s", size, "-r", rate, "-i", raw,
		"-c:v", "libx264", "-preset", "veryfast", "-crf", fmt.Sprint(video.DefaultQuality), "-g", rate, file+".alone.mp4")
	return time.Since(start).Seconds(), err
}
