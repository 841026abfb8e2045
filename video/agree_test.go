package video

import (
	"context"
	"math"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"mesure/sport/mark"
)

// TestEnginesAgree makes every kind of file and shows that each engine finds the
// frames that were put in, at the times that were put in, and that both engines
// say the same of it.
func TestEnginesAgree(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	base := makeBase(t)
	dir := t.TempDir()
	all := kinds(base)
	if len(all) < 15 {
		t.Fatalf("only %d kinds of files", len(all))
	}
	for _, k := range all {
		t.Run(k.name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(dir, k.name)
			k.make(t, path)
			var first mark.Clip
			var firstCodes []int
			for i, e := range engines(t) {
				clip, codes := checkKind(t, e, path, k)
				if i == 0 {
					first, firstCodes = clip, codes
					continue
				}
				if !reflect.DeepEqual(clip, first) {
					t.Errorf("%s says %+v, the other engine %+v", e.Name(), clip, first)
				}
				if !reflect.DeepEqual(codes, firstCodes) {
					t.Errorf("%s shows %v, the other engine %v", e.Name(), codes, firstCodes)
				}
			}
		})
	}
}

func checkKind(t *testing.T, e Engine, path string, k kind) (mark.Clip, []int) {
	t.Helper()
	ctx := context.Background()
	clip, err := e.Probe(ctx, path, nil)
	if err != nil {
		t.Fatalf("%s: Probe: %v", e.Name(), err)
	}
	seen := clip
	seen.Times = nil
	if !reflect.DeepEqual(seen, k.want) {
		t.Errorf("%s: the clip is %+v, want %+v", e.Name(), seen, k.want)
	}
	if k.count >= 0 && clip.Frames() != k.count {
		t.Fatalf("%s: %d frames, want %d", e.Name(), clip.Frames(), k.count)
	}
	if clip.Frames() < 10 {
		t.Fatalf("%s: only %d frames", e.Name(), clip.Frames())
	}
	checkTimes(t, e, clip, k)

	var codes []int
	last := mark.Frame(clip.Frames() - 1)
	err = e.Frames(ctx, path, clip, 0, last, func(f Frame) error {
		if int(f.Number) != len(codes) || f.Time != clip.Times[f.Number] || f.Width != clip.Width || f.Height != clip.Height {
			t.Errorf("%s: frame %d at %v of %d × %d out of order", e.Name(), f.Number, f.Time, f.Width, f.Height)
		}
		codes = append(codes, readCode(f, clip.Rotation))
		return nil
	})
	if err != nil || len(codes) != clip.Frames() {
		t.Fatalf("%s: %d of %d frames: %v", e.Name(), len(codes), clip.Frames(), err)
	}
	start := k.first
	if k.count < 0 {
		start = codes[0]
	}
	for i, c := range codes {
		if c != start+i {
			t.Fatalf("%s: frame %d shows number %d, want %d", e.Name(), i, c, start+i)
		}
	}
	// Single frames by seeking must be the same ones.
	for _, f := range []mark.Frame{1, last/2 + 1, last} {
		err := e.Frames(ctx, path, clip, f, min(f+1, last), func(p Frame) error {
			if c := readCode(p, clip.Rotation); c != codes[p.Number] {
				t.Errorf("%s: sought frame %d shows number %d, want %d", e.Name(), p.Number, c, codes[p.Number])
			}
			f = p.Number + 1
			return nil
		})
		if err != nil {
			t.Errorf("%s: seeking frame %d: %v", e.Name(), f, err)
		}
	}
	checkShortWays(t, e.(*engine), path, clip)
	return clip, codes
}

// checkShortWays wants what usually answers to be right by itself, without the
// slower ways that would mend it: the times of the packets, and the first way to
// a frame in the middle.
func checkShortWays(t *testing.T, e *engine, path string, clip mark.Clip) {
	t.Helper()
	ctx := context.Background()
	d, packets, err := e.examine(ctx, path, true, 1, func(float64) {})
	if err != nil {
		t.Fatalf("%s: %v", e.Name(), err)
	}
	if !d.raw() && !d.gaps && !strings.Contains(path, "joined late") && !reflect.DeepEqual(packets.times(d), clip.Times) {
		t.Errorf("%s: the packets are at %v, the frames at %v", e.Name(), packets.times(d), clip.Times)
	}
	f := mark.Frame(clip.Frames()*2/3 + 1)
	next, err := e.decode(ctx, path, clip, d, d.whole(), f, f, waysTo(clip, d, f)[0], func(Frame) error { return nil })
	if err != nil || next != f+1 {
		t.Errorf("%s: the first way to frame %d fails: %v", e.Name(), f, err)
	}
}

// checkTimes compares with the times that were written: each within the tick of
// the container, which also bounds how much it may move the whole clip, and the
// intervals within a thousandth of a second.
func checkTimes(t *testing.T, e Engine, clip mark.Clip, k kind) {
	t.Helper()
	const ms = 1e-3
	for i, at := range clip.Times {
		if off := math.Abs(float64(at) - k.time(i)); off > k.tick+1e-9 {
			t.Fatalf("%s: frame %d at %v s, want %v (tick %v)", e.Name(), i, at, k.time(i), k.tick)
		}
		if i > 0 {
			if off := math.Abs(float64(at-clip.Times[i-1]) - (k.time(i) - k.time(i-1))); off > ms+1e-9 {
				t.Fatalf("%s: frame %d comes %v s after the one before, want %v", e.Name(), i, at-clip.Times[i-1], k.time(i)-k.time(i-1))
			}
		}
	}
}

// TestAFrameThatIsLost tells of a frame that the decoder does not give: the
// others keep their numbers, and the lost one is named.
func TestAFrameThatIsLost(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: one frame after the other")
	}
	base := makeBase(t)
	for _, e := range engines(t) {
		ctx := context.Background()
		clip, err := e.Probe(ctx, base, nil)
		if err != nil {
			t.Fatal(err)
		}
		const lost = 17
		full := clip.Times
		clip.Times = append(append(append([]mark.FileTime{}, full[:lost]...), (full[lost-1]+full[lost])/2), full[lost:]...)
		var got []mark.Frame
		err = e.Frames(ctx, base, clip, lost-2, lost+2, func(f Frame) error {
			got = append(got, f.Number)
			want := int(f.Number)
			if f.Number > lost {
				want--
			}
			if c := readCode(f, 0); c != want {
				t.Errorf("%s: frame %d shows %d, want %d", e.Name(), f.Number, c, want)
			}
			return nil
		})
		if err != nil || !reflect.DeepEqual(got, []mark.Frame{lost - 2, lost - 1, lost + 1, lost + 2}) {
			t.Errorf("%s: got frames %v: %v", e.Name(), got, err)
		}
		_, err = e.Still(ctx, base, clip, lost)
		checkError(t, err, ErrDamaged, base, "frame 17 ")
	}
}

// TestStillsAtTheSameTime asks for many frames at once.
func TestStillsAtTheSameTime(t *testing.T) {
	base := makeBase(t)
	for _, e := range engines(t) {
		clip, err := e.Probe(context.Background(), base, nil)
		if err != nil {
			t.Fatal(err)
		}
		fresh, _ := Choose(e.Name()) // knows nothing of the file yet
		errs := make(chan error)
		const many = 8
		for i := range many {
			go func() {
				f := mark.Frame(i * 5)
				errs <- fresh.Frames(context.Background(), base, clip, f, f, func(p Frame) error {
					if c := readCode(p, 0); c != int(f) {
						t.Errorf("%s: frame %d shows %d", e.Name(), f, c)
					}
					return nil
				})
			}()
		}
		for range many {
			if err := <-errs; err != nil {
				t.Errorf("%s: %v", e.Name(), err)
			}
		}
	}
}

func TestVersions(t *testing.T) {
	for said, want := range map[string]bool{
		"ffmpeg version 5.1.9-0+deb12u1 Copyright (c)": true,
		"ffmpeg version n5.1.10 Copyright":             true,
		"ffmpeg version 7.0 Copyright":                 true,
		"ffmpeg version 4.4.2-0ubuntu0.22.04.1 Copy":   false,
		"ffmpeg version 5.0.1 Copyright":               false,
		"ffmpeg version N-112345-gabcdef Copyright":    true,
		"ffmpeg version 10.0 Copyright":                true,
		"something else":                               false,
		"ffmpeg version 2024-01-01-git-abc Copyright":  true,
	} {
		if got := recentVersion(said); got != want {
			t.Errorf("%q is taken for recent: %v", said, got)
		}
	}
}
