package video

import (
	"context"
	"math"
	"path/filepath"
	"reflect"
	"testing"

	"mesure/sport/mark"
)

// TestEnginesAgree makes every kind of file and shows that each engine finds the
// frames that were put in, at the times that were put in, and that both engines
// say the same of it.
func TestEnginesAgree(t *testing.T) {
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
	return clip, codes
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
