package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"os/exec"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"time"

	"mesure/demo"
	"mesure/sport/mark"
	"mesure/study"
)

// instants is how many the reading that is timed has.
const instants = 5

// reel is the footage of a reading that is timed without its video: size and
// time stamps are known.
type reel struct{}

func (reel) Probe(context.Context, string, func(float64)) (mark.Clip, error) {
	c := mark.Clip{Width: 1280, Height: 720, BitDepth: 8}
	for i := range 1000 {
		c.Times = append(c.Times, mark.FileTime(float64(i)/50))
	}
	return c, nil
}

func (reel) Still(context.Context, string, mark.Clip, mark.Frame) (image.Image, error) {
	return nil, errors.New("no picture is needed")
}

// readingTime measures a reading of one touch with five instants on one core.
func readingTime(ctx context.Context) ([]line, error) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	t := demo.Marked(0, 1, mark.DefaultSD)
	var frames []mark.Frame
	for _, p := range t.Placings {
		frames = append(frames, p.Frame)
	}
	slices.Sort(frames)
	frames = slices.Compact(frames)
	if len(frames) < instants {
		return nil, fmt.Errorf("the demo marks %d frames, fewer than %d", len(frames), instants)
	}
	kept := frames[:instants]
	t.Placings = slices.DeleteFunc(t.Placings, func(p study.Placing) bool { return !slices.Contains(kept, p.Frame) })
	t.Marks = slices.DeleteFunc(t.Marks, func(m mark.Mark) bool { return !slices.Contains(kept, m.Frame) })
	var lines []line
	for _, c := range []struct {
		draws int
		goal  time.Duration
	}{{100_000, 300 * time.Millisecond}, {20_000, 80 * time.Millisecond}} {
		var times []time.Duration
		for range 9 {
			start := time.Now()
			r, err := study.Read(ctx, &t, reel{}, study.ReadOptions{Draws: c.draws})
			if err != nil {
				return nil, err
			}
			if len(r.Instants) != instants || r.Race == nil {
				return nil, fmt.Errorf("%d instants were read and the race is %v", len(r.Instants), r.Race != nil)
			}
			times = append(times, time.Since(start))
		}
		slices.Sort(times)
		took := times[len(times)/2]
		lines = append(lines, line{fmt.Sprintf("reading of %d instants, %d draws, one core", instants, c.draws), ms(took),
			fmt.Sprintf("at most %v", c.goal), within(took <= c.goal)})
	}
	return lines, nil
}

// raceDraws measures the draws of the race against the same model in NumPy.
func raceDraws(ctx context.Context) ([]line, error) {
	const draws = 100_000
	out, err := exec.CommandContext(ctx, "go", "test", "-run", "^$", "-bench", fmt.Sprintf("^BenchmarkRace$/^%d$", draws), "-benchtime", "2s", "-cpu", "1", "./timing").CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("go test ./timing: %w: %s", err, out)
	}
	own, err := number(out, `([0-9.e+]+) draws/s`)
	if err != nil {
		return nil, err
	}
	lines := []line{{"race, draws a second on one core", fmt.Sprintf("%.2f million", own/1e6), "", noGoal}}
	py := exec.CommandContext(ctx, "/usr/bin/python3", "timing/testdata/race_numpy.py", strconv.Itoa(draws))
	py.Env = append(py.Environ(), "OMP_NUM_THREADS=1", "OPENBLAS_NUM_THREADS=1")
	out, err = py.CombinedOutput()
	if err != nil {
		return append(lines, line{"the same model in NumPy", "NumPy is not here", "at least 3 ×", unknown}), nil
	}
	theirs, err := number(out, `draws_per_second ([0-9.e+]+)`)
	if err != nil {
		return nil, err
	}
	return append(lines,
		line{"the same model in NumPy, one thread", fmt.Sprintf("%.2f million", theirs/1e6), "", noGoal},
		line{"  ratio", fmt.Sprintf("%.1f ×", own/theirs), "at least 3 ×", within(own/theirs >= 3)}), nil
}

func number(out []byte, pattern string) (float64, error) {
	m := regexp.MustCompile(pattern).FindSubmatch(out)
	if m == nil {
		return 0, fmt.Errorf("no %q in: %s", pattern, bytes.TrimSpace(out))
	}
	return strconv.ParseFloat(string(m[1]), 64)
}
