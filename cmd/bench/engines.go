package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"time"

	"mesure/sport/mark"
	"mesure/video"
)

// engines measures how fast frames reach a Go consumer, beside ffmpeg decoding
// the same clip to nowhere, by turns in one run.
func engines(ctx context.Context) ([]line, error) {
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		return []line{{"native engine", "ffmpeg is not here", "at least 0.8 ×", unknown}}, nil
	}
	dir, err := os.MkdirTemp("", "mesure-bench-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	clip := filepath.Join(dir, "clip.mp4")
	// A moving picture with noise, at about the rate of a broadcast.
	if out, err := exec.CommandContext(ctx, "ffmpeg", "-nostdin", "-v", "error", "-f", "lavfi", "-i", "testsrc2=size=1280x720:rate=30:duration=30,noise=alls=6:allf=t",
		"-c:v", "libx264", "-preset", "veryfast", "-b:v", "4800k", "-pix_fmt", "yuv420p", clip).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("ffmpeg: %w: %s", err, out)
	}
	const turns = 5
	var bare, ours, ratios []float64
	frames := 0
	for range turns {
		start := time.Now()
		if out, err := exec.CommandContext(ctx, "ffmpeg", "-nostdin", "-v", "error", "-i", clip, "-f", "null", "-").CombinedOutput(); err != nil {
			return nil, fmt.Errorf("ffmpeg: %w: %s", err, out)
		}
		a := time.Since(start).Seconds()
		n, b, err := consume(ctx, "native", clip)
		if err != nil {
			return nil, err
		}
		frames = n
		bare, ours, ratios = append(bare, float64(n)/a), append(ours, float64(n)/b), append(ratios, a/b)
	}
	n, seconds, err := consume(ctx, "embedded", clip)
	if err != nil {
		return nil, err
	}
	ratio := median(ratios)
	return []line{
		{fmt.Sprintf("ffmpeg to nowhere, 720p, %d frames", frames), fmt.Sprintf("%.0f frames/s", median(bare)), "", noGoal},
		{"native engine to a Go consumer", fmt.Sprintf("%.0f frames/s", median(ours)), "", noGoal},
		{"  ratio, median of the turns", fmt.Sprintf("%.2f ×", ratio), "at least 0.8 ×", within(ratio >= 0.8)},
		{"embedded engine to a Go consumer", fmt.Sprintf("%.0f frames/s", float64(n)/seconds), "", noGoal},
	}, nil
}

// consume reads every frame of a clip and returns how many there were and how
// long they took, without the time of the probe.
func consume(ctx context.Context, engine, path string) (int, float64, error) {
	e, err := video.Choose(engine)
	if err != nil {
		return 0, 0, err
	}
	clip, err := e.Probe(ctx, path, nil)
	if err != nil {
		return 0, 0, err
	}
	start, n, sum := time.Now(), 0, 0
	err = e.Frames(ctx, path, clip, 0, mark.Frame(clip.Frames()-1), func(f video.Frame) error {
		n++
		sum += int(f.Y[len(f.Y)/2])
		return nil
	})
	if err != nil {
		return 0, 0, err
	}
	if n != clip.Frames() || sum == 0 {
		return 0, 0, fmt.Errorf("%s: %d of %d frames came", engine, n, clip.Frames())
	}
	return n, time.Since(start).Seconds(), nil
}

func median(v []float64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}
