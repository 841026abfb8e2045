package video

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"mesure/sport/mark"
)

// benchClip writes 300 frames of 720p with movement and so much noise that they
// take 4.7 Mb/s, as a bout on camera does; it is 60 frames, five times over.
func benchClip(b *testing.B) string {
	b.Helper()
	e, err := Choose("")
	if err != nil {
		b.Fatal(err)
	}
	dir := b.TempDir()
	short, long := filepath.Join(dir, "short.mp4"), filepath.Join(dir, "long.mp4")
	w, err := e.Create(context.Background(), short, Spec{Width: 1280, Height: 720, Rate: 30, Quality: 23, Preset: "veryfast"})
	if err != nil {
		b.Fatal(err)
	}
	f := NewFrame(1280, 720)
	seed := uint32(1)
	for n := range 60 {
		paintCode(f, n)
		for i := range f.Y {
			seed = seed*1664525 + 1013904223
			f.Y[i] += byte(seed>>24) & 15
		}
		if err := w.YUV(f); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
	if err := os.WriteFile(long, nil, 0o600); err != nil {
		b.Fatal(err)
	}
	p, err := e.(*engine).start(context.Background(), job{tool: ffmpegTool, input: short, output: long, args: []string{
		"-hide_banner", "-loglevel", "level+error", "-y", "-stream_loop", "4", "-i", inputHere, "-c", "copy", "-f", "mp4", outputHere}})
	if err != nil {
		b.Fatal(err)
	}
	if err := p.wait(); err != nil {
		b.Fatal(err)
	}
	return long
}

// frameRate reads a whole clip through the engine and returns frames a second.
func frameRate(b *testing.B, e Engine, path string, clip mark.Clip) float64 {
	b.Helper()
	ctx := context.Background()
	seen, sum := 0, 0
	began := time.Now()
	err := e.Frames(ctx, path, clip, 0, mark.Frame(clip.Frames()-1), func(f Frame) error {
		seen++
		sum += int(f.Y[len(f.Y)/2])
		return nil
	})
	took := time.Since(began)
	if err != nil || seen != clip.Frames() || sum == 0 {
		b.Fatalf("%d of %d frames: %v", seen, clip.Frames(), err)
	}
	return float64(seen) / took.Seconds()
}

// BenchmarkNative compares frames handed to Go with ffmpeg throwing them away,
// in turn and in the same run. The goal is a ratio of at least 0.8.
func BenchmarkNative(b *testing.B) {
	e := needNative(b)
	ffmpeg, err := exec.LookPath(ffmpegTool)
	if err != nil {
		b.Fatal(err)
	}
	path := benchClip(b)
	clip, err := e.Probe(context.Background(), path, nil)
	if err != nil {
		b.Fatal(err)
	}
	// The best of several rounds in turn, since other work disturbs both alike.
	const rounds = 5
	ours, theirs := 0.0, 0.0
	var ourWork, theirWork time.Duration
	for b.Loop() {
		for range rounds {
			worked := cpuTime()
			ours = max(ours, frameRate(b, e, path, clip))
			ourWork += cpuTime() - worked
			began := time.Now()
			worked = cpuTime()
			if err := exec.Command(ffmpeg, "-nostdin", "-v", "error", "-i", path, "-f", "null", "-").Run(); err != nil {
				b.Fatal(err)
			}
			theirs = max(theirs, float64(clip.Frames())/time.Since(began).Seconds())
			theirWork += cpuTime() - worked
		}
	}
	b.ReportMetric(ours, "frames/s")
	b.ReportMetric(theirs, "null-frames/s")
	b.ReportMetric(ours/theirs, "ratio")
	if ourWork > 0 { // less disturbed by other work on the machine
		b.ReportMetric(theirWork.Seconds()/ourWork.Seconds(), "cpu-ratio")
	}
	b.ReportMetric(0, "ns/op")
}

// BenchmarkEmbedded is the rate of the embedded engine at 720p.
func BenchmarkEmbedded(b *testing.B) {
	path := benchClip(b)
	clip, err := Embedded().Probe(context.Background(), path, nil)
	if err != nil {
		b.Fatal(err)
	}
	var each float64
	runs := 0
	for b.Loop() {
		each += 1 / frameRate(b, Embedded(), path, clip)
		runs++
	}
	b.ReportMetric(float64(runs)/each, "frames/s")
	b.ReportMetric(0, "ns/op")
}

// BenchmarkStill is one exact frame from the middle of a clip.
func BenchmarkStill(b *testing.B) {
	path := benchClip(b)
	engines := []Engine{Embedded()}
	if n, err := Native(); err == nil {
		engines = append(engines, n)
	}
	for _, e := range engines {
		b.Run(e.Name(), func(b *testing.B) {
			ctx := context.Background()
			clip, err := e.Probe(ctx, path, nil)
			if err != nil {
				b.Fatal(err)
			}
			n := 0
			for b.Loop() {
				if _, err := e.Still(ctx, path, clip, mark.Frame(n*37%clip.Frames())); err != nil {
					b.Fatal(err)
				}
				n++
			}
		})
	}
}

// BenchmarkWrite is a 720p picture to a clip, colours converted.
func BenchmarkWrite(b *testing.B) {
	engines := []Engine{Embedded()}
	if n, err := Native(); err == nil {
		engines = append(engines, n)
	}
	for _, e := range engines {
		b.Run(e.Name(), func(b *testing.B) {
			f := NewFrame(1280, 720)
			paintCode(f, 7)
			img := f.RGBA()
			w, err := e.Create(context.Background(), filepath.Join(b.TempDir(), "clip.mp4"), Spec{Width: 1280, Height: 720, Rate: 30})
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				img.Pix[0]++
				if err := w.RGBA(img); err != nil {
					b.Fatal(err)
				}
			}
			if err := w.Close(); err != nil {
				b.Fatal(err)
			}
		})
	}
}

// BenchmarkColour is the conversion of one 720p picture both ways.
func BenchmarkColour(b *testing.B) {
	f := NewFrame(1280, 720)
	paintCode(f, 7)
	img := f.RGBA()
	b.Run("to RGBA", func(b *testing.B) {
		for b.Loop() {
			f.RGBA()
		}
	})
	b.Run("from RGBA", func(b *testing.B) {
		for b.Loop() {
			f.SetRGBA(img)
		}
	})
}

// BenchmarkPlanes compares planes handed to a Writer with ffmpeg encoding the same frames
// from a file with the same options, in turn and in the same run. The goal is a ratio of
// at least 0.67 with everything that a clip draws; this is the share of the writing.
func BenchmarkPlanes(b *testing.B) {
	e := needNative(b)
	ffmpeg, err := exec.LookPath(ffmpegTool)
	if err != nil {
		b.Fatal(err)
	}
	const frames, width, height = 120, 1280, 720
	dir := b.TempDir()
	raw, err := os.Create(filepath.Join(dir, "raw.yuv"))
	if err != nil {
		b.Fatal(err)
	}
	var all []Frame
	seed := uint32(1)
	for n := range 30 {
		f := NewFrame(width, height)
		paintCode(f, n)
		for i := range f.Y {
			seed = seed*1664525 + 1013904223
			f.Y[i] += byte(seed>>24) & 7
		}
		all = append(all, f)
	}
	for n := range frames {
		f := all[n%len(all)]
		for _, plane := range [][]byte{f.Y, f.U, f.V} {
			if _, err := raw.Write(plane); err != nil {
				b.Fatal(err)
			}
		}
	}
	if err := raw.Close(); err != nil {
		b.Fatal(err)
	}
	spec := Spec{Width: width, Height: height, Rate: 30}.withDefaults(native{}.preset())
	ours, theirs := time.Duration(1<<62), time.Duration(1<<62)
	var ourWork, theirWork time.Duration
	for b.Loop() {
		began, worked := time.Now(), cpuTime()
		w, err := e.Create(context.Background(), filepath.Join(dir, "ours.mp4"), spec)
		if err != nil {
			b.Fatal(err)
		}
		for n := range frames {
			if err := w.Planes(all[n%len(all)].YCbCr()); err != nil {
				b.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
		ours, ourWork = min(ours, time.Since(began)), ourWork+cpuTime()-worked
		began, worked = time.Now(), cpuTime()
		args := append([]string{"-nostdin", "-v", "error", "-y", "-f", "rawvideo", "-pix_fmt", "yuv420p", "-s", "1280x720", "-r", "30", "-i", raw.Name()},
			append(spec.encode(nativeThreads()), filepath.Join(dir, "theirs.mp4"))...)
		if out, err := exec.Command(ffmpeg, args...).CombinedOutput(); err != nil {
			b.Fatalf("%v: %s", err, out)
		}
		theirs, theirWork = min(theirs, time.Since(began)), theirWork+cpuTime()-worked
	}
	b.ReportMetric(frames/ours.Seconds(), "frames/s")
	b.ReportMetric(theirs.Seconds()/ours.Seconds(), "ratio")
	if ourWork > 0 {
		b.ReportMetric(theirWork.Seconds()/ourWork.Seconds(), "cpu-ratio")
	}
	b.ReportMetric(0, "ns/op")
}
