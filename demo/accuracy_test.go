package demo

import (
	"context"
	"errors"
	"image"
	"testing"

	"mesure/demo/scene"
	"mesure/sport/mark"
	"mesure/study"
)

// reelFootage tells of the demo's videos what an engine would, without drawing
// them.
type reelFootage struct{}

func (reelFootage) Probe(_ context.Context, path string, _ func(float64)) (mark.Clip, error) {
	for i, f := range scene.Films() {
		for k := range f.Shots {
			if s := &f.Shots[k]; fileOf(i, s) == path {
				c := mark.Clip{Width: scene.Width, Height: scene.Height, BitDepth: 8, Codec: "h264", Container: "mp4"}
				for n := range s.FileFrames() {
					c.Times = append(c.Times, mark.FileTime(float64(n)/scene.FrameRate))
				}
				return c, nil
			}
		}
	}
	return mark.Clip{}, errors.New("no such reel: " + path)
}

func (reelFootage) Still(context.Context, string, mark.Clip, mark.Frame) (image.Image, error) {
	return nil, errors.New("a reading needs no picture")
}

// readings reads every touch with marks from these seeds.
func readings(t testing.TB, seeds, draws int) []Sample {
	t.Helper()
	var all []Sample
	for seed := range seeds {
		for i := range Count {
			touch := Marked(i, uint64(seed+1), 1.5)
			r, err := study.Read(context.Background(), &touch, reelFootage{}, study.ReadOptions{Draws: draws, Seed: uint64(seed + 1)})
			if err != nil {
				t.Fatalf("touch %d, seed %d: %v", i, seed+1, err)
			}
			all = append(all, Sample{Touch: i, Reading: r})
		}
	}
	return all
}

// TestAccuracyReachesTheNumbers holds the readings of marked touches against the
// truth. The bounds are those that the product promises: median gap error 3 cm,
// 95th percentile 10 cm, coverage of the 95 % intervals between 0.92 and 0.98.
func TestAccuracyReachesTheNumbers(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: numbers, not races")
	}
	r := Accuracy(readings(t, 4, 2000))
	t.Logf("gaps %+v, moments %+v", r.Gaps, r.Moments)
	if r.Gaps.N < 500 || r.Moments.N < 4*20 {
		t.Fatalf("only %d gaps and %d moments were compared", r.Gaps.N, r.Moments.N)
	}
	if r.Gaps.MedianAbsError > 0.03 || r.Gaps.P95AbsError > 0.10 {
		t.Errorf("gap errors: median %.3f m, 95th percentile %.3f m", r.Gaps.MedianAbsError, r.Gaps.P95AbsError)
	}
	if r.Gaps.Coverage95 < 0.92 || r.Gaps.Coverage95 > 0.98 {
		t.Errorf("95 %% intervals of gaps hold %.3f of the truth", r.Gaps.Coverage95)
	}
	if r.Moments.MedianAbsError > 10 || r.Moments.Coverage95 < 0.90 {
		t.Errorf("moments: %+v", r.Moments)
	}
}
