package video

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"
)

// loopFrames is how many frames a long clip has before they come again.
const loopFrames = 50

// longClip writes a clip of many frames without much work: a short one, many
// times over. Its frames are numbered from 0 to loopFrames − 1 again and again.
func longClip(t *testing.T, width, height, frames int) string {
	t.Helper()
	dir := t.TempDir()
	short, long := filepath.Join(dir, "short.mp4"), filepath.Join(dir, "long.mp4")
	e := Embedded()
	w, err := e.Create(context.Background(), short, Spec{Width: width, Height: height, Rate: 50, Quality: 30, Preset: "ultrafast"})
	if err != nil {
		t.Fatal(err)
	}
	f := NewFrame(width, height)
	for n := range loopFrames {
		paintCode(f, n)
		if err := w.YUV(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	tool(t, e, short, long, nil, "-y", "-stream_loop", strconv.Itoa(frames/loopFrames-1), "-i", inputHere, "-c", "copy", "-f", "mp4", outputHere)
	return long
}

// ours returns the processes that this one has started and that still run, and
// the most memory that any of them ever held, in bytes.
func ours() (running []int, most int64) {
	list, err := os.ReadDir("/proc")
	if err != nil {
		panic(err)
	}
	for _, d := range list {
		pid, err := strconv.Atoi(d.Name())
		if err != nil {
			continue
		}
		b, err := os.ReadFile(filepath.Join("/proc", d.Name(), "status"))
		if err != nil {
			continue
		}
		s := string(b)
		if statusField(s, "PPid") != strconv.Itoa(os.Getpid()) || strings.HasPrefix(statusField(s, "State"), "Z") {
			continue
		}
		running = append(running, pid)
		if kib, err := strconv.ParseInt(strings.TrimSuffix(statusField(s, "VmHWM"), " kB"), 10, 64); err == nil {
			most = max(most, kib<<10)
		}
	}
	return running, most
}

func statusField(status, name string) string {
	for _, line := range strings.Split(status, "\n") {
		if v, ok := strings.CutPrefix(line, name+":"); ok {
			return strings.TrimSpace(v)
		}
	}
	return ""
}

// TestMemoryIsBounded reads 600 frames of 0.46 MB, 276 MB in all, slowly: the
// reader must not run ahead and neither process may keep them.
func TestMemoryIsBounded(t *testing.T) {
	if testing.Short() {
		t.Skip("the race detector has a memory of its own: the full run has it")
	}
	const width, height, frames, few = 640, 480, 600, 4
	const bound = 400 << 20 // above what an embedded decoder needs before its first frame
	path := longClip(t, width, height, frames)
	for _, e := range engines(t) {
		Rest()
		ctx := context.Background()
		clip, err := e.Probe(ctx, path, nil)
		if err != nil || clip.Frames() != frames {
			t.Fatalf("%d frames: %v", clip.Frames(), err)
		}
		buffers := map[*byte]bool{}
		seen, most, atStart := 0, int64(0), int64(0)
		var before, during runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		err = e.Frames(ctx, path, clip, 0, frames-1, func(f Frame) error {
			buffers[&f.Y[0]] = true
			if c := readCode(f, 0); c != int(f.Number)%loopFrames {
				t.Errorf("%s: frame %d shows %d", e.Name(), f.Number, c)
			}
			if seen++; seen%100 == 0 {
				time.Sleep(20 * time.Millisecond)
				_, m := ours()
				most = max(most, m)
				if seen == 100 {
					atStart = m
				}
				runtime.ReadMemStats(&during)
			}
			return nil
		})
		if err != nil || seen != frames {
			t.Fatalf("%s: %d frames: %v", e.Name(), seen, err)
		}
		if len(buffers) > few {
			t.Errorf("%s: the frames lay in %d buffers, want at most %d", e.Name(), len(buffers), few)
		}
		if grown := int64(during.TotalAlloc) - int64(before.TotalAlloc); grown > 20<<20 {
			t.Errorf("%s: reading allocated %d MB", e.Name(), grown>>20)
		}
		if most == 0 || most > bound || most-atStart > 40<<20 {
			t.Errorf("%s: the decoder held %d MB, %d MB at frame 100", e.Name(), most>>20, atStart>>20)
		}
		t.Logf("%s: decoder at most %d MB, %d buffers here", e.Name(), most>>20, len(buffers))
	}
}

// TestCancel cancels each kind of work in the middle. Only children that wait
// for work may then be left.
func TestCancel(t *testing.T) {
	path := longClip(t, 640, 480, 400)
	for _, e := range engines(t) {
		clip, err := e.Probe(context.Background(), path, nil)
		if err != nil {
			t.Fatal(err)
		}
		works := map[string]func(ctx context.Context, cancel func()) error{
			"frames": func(ctx context.Context, cancel func()) error {
				return e.Frames(ctx, path, clip, 0, 399, func(f Frame) error {
					if f.Number == 20 {
						cancel()
					}
					return nil
				})
			},
			"probe": func(ctx context.Context, cancel func()) error {
				_, err := e.Probe(ctx, path, func(share float64) {
					if share >= packetShare {
						cancel()
					}
				})
				return err
			},
			"still": func(ctx context.Context, cancel func()) error {
				time.AfterFunc(5*time.Millisecond, cancel)
				_, err := e.Still(ctx, path, clip, 399)
				return err
			},
			"before the start": func(ctx context.Context, cancel func()) error {
				cancel()
				_, err := e.Probe(ctx, path, nil)
				return err
			},
		}
		for _, name := range []string{"frames", "probe", "still", "before the start"} {
			ctx, cancel := context.WithCancel(context.Background())
			began := time.Now()
			err := works[name](ctx, cancel)
			cancel()
			if !errors.Is(err, context.Canceled) {
				t.Errorf("%s, %s: %v, want the error of the context", e.Name(), name, err)
			}
			t.Logf("%s, %s: %v", e.Name(), name, time.Since(began))
			nothingRuns(t, e, name)
		}
		// An error of the caller ends the work as well.
		mine := fmt.Errorf("enough")
		err = e.Frames(context.Background(), path, clip, 0, 399, func(f Frame) error {
			if f.Number == 3 {
				return mine
			}
			return nil
		})
		if err != mine {
			t.Errorf("%s: got %v, want the caller's error", e.Name(), err)
		}
		nothingRuns(t, e, "caller's error")
	}
}

// nothingRuns wants no process of ours but the children that wait.
func nothingRuns(t *testing.T, e Engine, after string) {
	t.Helper()
	var running []int
	for range 100 {
		running, _ = ours()
		children.mu.Lock()
		waiting := len(children.idle)
		children.mu.Unlock()
		if len(running) <= waiting {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Errorf("%s: after %s the processes %v still run", e.Name(), after, running)
}

// TestProgress wants shares that rise to 1.
func TestProgress(t *testing.T) {
	path := longClip(t, 160, 120, 300)
	for _, e := range engines(t) {
		var shares []float64
		if _, err := e.Probe(context.Background(), path, func(s float64) { shares = append(shares, s) }); err != nil {
			t.Fatal(err)
		}
		if len(shares) < 5 || shares[len(shares)-1] != 1 {
			t.Fatalf("%s: progress %v", e.Name(), shares)
		}
		for i, s := range shares {
			if s < 0 || s > 1 || i > 0 && s <= shares[i-1] {
				t.Fatalf("%s: progress %v", e.Name(), shares)
			}
		}
	}
}

// TestLongVideosAreNotDecodedToBeProbed wants the first frames of a long video to
// agree with its packets, so that the rest need not be decoded.
func TestLongVideosAreNotDecodedToBeProbed(t *testing.T) {
	path := longClip(t, 160, 120, 300)
	for _, e := range engines(t) {
		e := e.(*engine)
		ctx := context.Background()
		d, packets, err := e.examine(ctx, path, true, 1, func(float64) {})
		if err != nil {
			t.Fatal(err)
		}
		head, _, err := e.decodeTimes(ctx, path, d, headFrames, len(packets.pts), func(float64) {})
		if err != nil || len(head) != headFrames || !agree(packets.times(d), head, headFrames) {
			t.Errorf("%s: the first %d frames are at %v: %v", e.Name(), len(head), head, err)
		}
	}
}
