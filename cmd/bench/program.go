package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"time"

	"mesure/video"
)

const binary = "bin/mesure"

// program measures the size of the binary and its start.
func program(ctx context.Context) ([]line, error) {
	info, err := os.Stat(binary)
	if err != nil {
		return nil, fmt.Errorf("%w: run make build first", err)
	}
	size := float64(info.Size()) / 1e6
	var starts []time.Duration
	for range 21 {
		t := time.Now()
		if err := exec.CommandContext(ctx, binary, "--help").Run(); err != nil {
			return nil, err
		}
		starts = append(starts, time.Since(t))
	}
	slices.Sort(starts)
	start := starts[len(starts)/2]
	return []line{
		{"size of the program", fmt.Sprintf("%.1f MB", size), "at most 80 MB", within(size <= 80)},
		{"start of mesure --help, median of 21", ms(start), "at most 100 ms", within(start <= 100*time.Millisecond)},
	}, nil
}

func ms(d time.Duration) string { return fmt.Sprintf("%.1f ms", d.Seconds()*1000) }

// demoFolder has the demo once it was drawn; main removes it.
var demoFolder string

// demoVideos is where the demo's videos lie.
func demoVideos() (string, error) {
	found, err := filepath.Glob(filepath.Join(demoFolder, "cache", "*", "*.mp4"))
	if err != nil || demoFolder == "" || len(found) == 0 {
		return "", fmt.Errorf("the demo was not drawn (%v)", err)
	}
	return filepath.Dir(found[0]), nil
}

// accuracy runs the demo and reads its comparison with the truth.
func accuracy(ctx context.Context) ([]line, error) {
	dir, err := os.MkdirTemp("", "mesure-bench-")
	if err != nil {
		return nil, err
	}
	demoFolder = dir
	out := filepath.Join(dir, "demo")
	// Twice into an empty cache of its own: drawn, then kept. The embedded engine
	// is the one that is always there, and the slower one.
	var took [2]time.Duration
	for i := range took {
		t := time.Now()
		cmd := exec.CommandContext(ctx, binary, "demo", "--out", out, "--engine", "embedded", "--json")
		cmd.Env = append(cmd.Environ(), video.CacheEnv+"="+filepath.Join(dir, "cache"))
		if msg, err := cmd.CombinedOutput(); err != nil {
			return nil, fmt.Errorf("mesure demo: %w: %s", err, msg)
		}
		took[i] = time.Since(t)
	}
	data, err := os.ReadFile(filepath.Join(out, "accuracy.json"))
	if err != nil {
		return nil, err
	}
	var a struct {
		Gaps struct {
			N        int     `json:"n"`
			Median   float64 `json:"median_abs_error_m"`
			P95      float64 `json:"p95_abs_error_m"`
			Coverage float64 `json:"coverage95"`
		} `json:"gaps"`
		Moments struct {
			N        int     `json:"n"`
			Median   float64 `json:"median_abs_error_ms"`
			P95      float64 `json:"p95_abs_error_ms"`
			Coverage float64 `json:"coverage95"`
		} `json:"moments"`
	}
	if err := json.Unmarshal(data, &a); err != nil {
		return nil, err
	}
	followed, err := followedLines(data)
	if err != nil {
		return nil, err
	}
	return append([]line{
		{fmt.Sprintf("gaps of the demo, 1.5 px, n = %d: median error", a.Gaps.N), fmt.Sprintf("%.1f cm", a.Gaps.Median*100), "at most 3 cm", within(a.Gaps.Median <= 0.03)},
		{"  95th percentile of the error", fmt.Sprintf("%.1f cm", a.Gaps.P95*100), "at most 10 cm", within(a.Gaps.P95 <= 0.10)},
		{"  coverage of the 95 % intervals", fmt.Sprintf("%.3f", a.Gaps.Coverage), "0.92 to 0.98, n ≥ 500", within(a.Gaps.Coverage >= 0.92 && a.Gaps.Coverage <= 0.98 && a.Gaps.N >= 500)},
		{fmt.Sprintf("moments of the demo, n = %d: median error", a.Moments.N), fmt.Sprintf("%.1f ms", a.Moments.Median), "", noGoal},
		{"  coverage of the 95 % intervals", fmt.Sprintf("%.3f", a.Moments.Coverage), "", noGoal},
		{"mesure demo, videos drawn, embedded engine", fmt.Sprintf("%.0f s", took[0].Seconds()), "at most 90 s", within(took[0] <= 90*time.Second)},
		{"  the same again, videos kept", fmt.Sprintf("%.1f s", took[1].Seconds()), "", noGoal},
	}, followed...), nil
}
