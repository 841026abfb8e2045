package main

import (
	"context"
	"encoding/json"
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"mesure/bundle"
	"mesure/demo"
	"mesure/measure/track"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/video"
)

// panning is the touch of the demo with the long pan, and pointsAsked how many of its
// points are followed.
const (
	panning     = 1
	pointsAsked = 20
)

// followedTouch is the panning take with marks on so many points.
func followedTouch(videos string) (study.Touch, error) {
	t := demo.Handful(panning, 1, demo.HandfulOptions{})
	t.Takes = t.Takes[:1]
	take := t.Takes[0]
	out := func(id string) bool { return id != take.ID }
	t.Placings = slices.DeleteFunc(t.Placings, func(p study.Placing) bool { return out(p.Take) })
	t.Moments, t.Race = nil, study.RaceAsk{}
	t.Hidden = slices.DeleteFunc(t.Hidden, func(h mark.Hidden) bool { return out(h.Take) || h.What == mark.RearHeel })
	t.Marks = slices.DeleteFunc(t.Marks, func(m mark.Mark) bool { return out(m.Take) || m.What == mark.RearHeel })
	for i := range t.Videos {
		t.Videos[i].File = filepath.Join(videos, filepath.Base(t.Videos[i].File))
	}
	seen := map[string]bool{}
	for _, m := range t.Marks {
		seen[m.Who.String()+string(m.What)] = true
	}
	if len(seen) != pointsAsked {
		return t, fmt.Errorf("%d points are marked, want %d", len(seen), pointsAsked)
	}
	return t, nil
}

// following measures how fast a take is followed, and in how much memory.
func following(ctx context.Context) ([]line, error) {
	videos, err := demoVideos()
	if err != nil {
		return nil, err
	}
	t, err := followedTouch(videos)
	if err != nil {
		return nil, err
	}
	var lines []line
	frames := float64(t.Takes[0].To - t.Takes[0].From + 1)
	for _, name := range []string{video.NativeName, video.EmbeddedName} {
		e, err := video.Choose(name)
		if err != nil {
			continue
		}
		var rates []float64
		for range 3 {
			start := time.Now()
			if _, err := study.Follow(ctx, &t, e, study.FollowOptions{}); err != nil {
				return nil, err
			}
			rates = append(rates, frames/time.Since(start).Seconds())
		}
		slices.Sort(rates)
		rate := rates[1]
		lines = append(lines, line{fmt.Sprintf("a 720p take followed, camera and %d points, %s engine", pointsAsked, name), fmt.Sprintf("%.0f frames/s", rate), "at least 25 frames/s", within(rate >= 25)})
	}
	more, err := opticalFlow(ctx, t.Videos[0].File)
	if err != nil {
		return nil, err
	}
	lines = append(lines, more...)
	more, err = followMemory(ctx, &t)
	return append(lines, more...), err
}

// flowScript times OpenCV on two pictures.
const flowScript = `
import cv2, json, sys, time
a, b = cv2.imread(sys.argv[1], 0), cv2.imread(sys.argv[2], 0)
p = cv2.goodFeaturesToTrack(a, 200, 0.002, 10)
def median(f):
    t = []
    for _ in range(41):
        s = time.perf_counter(); f(); t.append(time.perf_counter() - s)
    return sorted(t)[20] * 1000
crit = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 30, 0.01)
print(json.dumps({"points": len(p), "version": cv2.__version__,
  "flow_ms": median(lambda: cv2.calcOpticalFlowPyrLK(a, b, p, None, winSize=(21, 21), maxLevel=3, criteria=crit))}))
`

// opticalFlow compares following 200 points from one frame to the next, the pyramid of
// the new frame in it, with OpenCV.
func opticalFlow(ctx context.Context, path string) ([]line, error) {
	e, err := video.Choose(video.Auto)
	if err != nil {
		return nil, err
	}
	clip, err := e.Probe(ctx, path, nil)
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp("", "mesure-bench-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	var pictures [2]*image.Gray
	var files [2]string
	for i := range pictures {
		g, err := e.Luma(ctx, path, clip, mark.Frame(40+i))
		if err != nil {
			return nil, err
		}
		pictures[i], files[i] = g, filepath.Join(dir, fmt.Sprintf("%d.pgm", i))
		body := append(fmt.Appendf(nil, "P5 %d %d 255\n", clip.Width, clip.Height), g.Pix...)
		if err := os.WriteFile(files[i], body, 0o600); err != nil {
			return nil, err
		}
	}
	from := track.NewPyramid(track.FromGray(pictures[0]), 0)
	points := track.Corners(from.Levels[0], track.CornerOptions{Most: 200, Quality: 0.002, Apart: 10})
	var took []time.Duration
	var to *track.Pyramid
	for range 41 {
		start := time.Now()
		to = to.Refill(pictures[1])
		track.Follow(from, to, points, nil, track.FollowOptions{})
		took = append(took, time.Since(start))
	}
	slices.Sort(took)
	ours := took[20].Seconds() * 1000
	l := line{what: fmt.Sprintf("%d points from one 720p frame to the next, against OpenCV", len(points)), measured: fmt.Sprintf("%.1f ms", ours), goal: "at most 3 ×"}
	said, err := exec.CommandContext(ctx, "/usr/bin/python3", "-c", flowScript, files[0], files[1]).Output()
	var cv struct {
		Points  int     `json:"points"`
		Version string  `json:"version"`
		Flow    float64 `json:"flow_ms"`
	}
	if err != nil || json.Unmarshal(said, &cv) != nil || cv.Flow == 0 {
		l.met = unknown
		return []line{l}, nil
	}
	l.measured = fmt.Sprintf("%.1f ms to %.1f ms (OpenCV %s, %d points): %.1f ×", ours, cv.Flow, cv.Version, cv.Points, ours/cv.Flow)
	l.met = within(ours <= 3*cv.Flow)
	return []line{l}, nil
}

// followMemory follows ten seconds of 1080p: the panning take at twice the size of a
// pixel and half the speed.
func followMemory(ctx context.Context, t *study.Touch) ([]line, error) {
	const what, most = "memory to follow 10 s of 1080p at 25 frames/s, without the decoder", 600.0
	tool, err := exec.LookPath("ffmpeg")
	if err != nil {
		return []line{{what, "", "at most 600 MB", unknown}}, nil
	}
	dir, err := os.MkdirTemp("", "mesure-bench-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	large := filepath.Join(dir, "large.mp4")
	const frames = 250
	if msg, err := exec.CommandContext(ctx, tool, "-nostdin", "-v", "error", "-i", t.Videos[0].File, "-frames:v", fmt.Sprint(frames),
		"-vf", "scale=1920:1080,setpts=2*PTS", "-r", "25", "-preset", "ultrafast", large).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("ffmpeg: %w: %s", err, msg)
	}
	big := *t
	big.Videos = []study.Video{{ID: t.Videos[0].ID, File: large}}
	big.Takes = slices.Clone(t.Takes)
	big.Takes[0].To = frames - 1
	big.Placings, big.Marks, big.Hidden = nil, nil, nil
	for _, h := range t.Hidden {
		if h.From < frames {
			h.To = min(h.To, frames-1)
			big.Hidden = append(big.Hidden, h)
		}
	}
	const grow = 1.5
	for _, p := range t.Placings {
		if p.Frame >= frames {
			continue
		}
		p.Points = slices.Clone(p.Points)
		for i := range p.Points {
			p.Points[i].At = mark.Pixel{U: grow * p.Points[i].At.U, V: grow * p.Points[i].At.V}
		}
		big.Placings = append(big.Placings, p)
	}
	for _, m := range t.Marks {
		if m.Frame < frames {
			m.At = mark.Pixel{U: grow * m.At.U, V: grow * m.At.V}
			big.Marks = append(big.Marks, m)
		}
	}
	var body strings.Builder
	if err := bundle.WriteTouch(&body, &big); err != nil {
		return nil, err
	}
	file := filepath.Join(dir, "touch.json")
	if err := os.WriteFile(file, []byte(body.String()), 0o600); err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, binary, "follow", file, "--json")
	cmd.Env = append(cmd.Environ(), video.CacheEnv+"="+dir)
	cmd.Stderr = nil
	start := time.Now()
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("mesure follow: %w", err)
	}
	took := time.Since(start)
	peak, ok := peakMemory(cmd.ProcessState)
	if !ok {
		return []line{{what, "", "at most 600 MB", unknown}}, nil
	}
	return []line{
		{what, fmt.Sprintf("%.0f MB", peak), "at most 600 MB", within(peak <= most)},
		{"  time to follow and read it", fmt.Sprintf("%.1f s", took.Seconds()), "", noGoal},
	}, nil
}
