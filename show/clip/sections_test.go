package clip

import (
	"context"
	"crypto/sha256"
	"image"
	"slices"
	"testing"

	"mesure/show/report"
)

// TestSectionsAreTheShot: a shot that is drawn in sections, what stands for long once and
// shown again and again, has frame for frame the pixels of one that is drawn in one go.
func TestSectionsAreTheShot(t *testing.T) {
	if testing.Short() {
		t.Skip("draws every frame of long shots twice")
	}
	t.Parallel()
	for _, captions := range []string{"burnt", "file"} {
		// One with what is said, and one of every kind of shot.
		r := stagedReading(t)
		text := drafted(t, r)
		b, err := Draft(r, text, []report.Plate{card("", report.KindRace)}, Form{Captions: captions})
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, part := range text.Parts {
			for _, l := range part.Lines {
				said = append(said, part.Kind+" "+l.Key)
			}
		}
		said = said[:min(6, len(said))]
		b.Shots = append(b.Shots, Shot{ID: "said", Kind: Slow, Take: "live", From: 8, To: 13, Lines: said},
			Shot{ID: "said-held", Kind: Hold, Take: "live", From: 14, Lines: said})
		for _, x := range wholeBoard().Shots {
			if x.Lasts > 0 {
				x.Lasts += 8
			}
			x.ID = "whole-" + x.ID
			b.Shots = append(b.Shots, x)
		}
		f := filmOf(t, b)
		f.st = stageOf(f.form, 160)
		again, spoken, ends := 0, 0, 0
		for _, x := range f.shots {
			x.st = f.st
			drawn := func(s section) (all [][32]byte) {
				err := f.frames(context.Background(), s, &lamp{}, func(p *image.YCbCr, times int) error {
					h := sha256.Sum256(slices.Concat(p.Y, p.Cb, p.Cr))
					all = append(all, slices.Repeat([][32]byte{h}, times)...)
					return nil
				})
				if err != nil {
					t.Fatal(err)
				}
				return all
			}
			whole := drawn(section{x, 0, x.count, 1})
			var joined [][32]byte
			for _, s := range x.sections() {
				if s.from != len(joined) || s.frames < 1 || s.times < 1 {
					t.Fatalf("shot %s: a section begins at %d after %d frames", x.ID, s.from, len(joined))
				}
				joined = append(joined, slices.Repeat(drawn(s), s.times)...)
				again += s.times - 1
				if s.times > 1 && len(x.texts) > 1 {
					spoken++
				}
				if s.times > 1 && x.moving() {
					ends++
				}
			}
			if len(whole) != x.count || !slices.Equal(joined, whole) {
				t.Errorf("captions %s, shot %s (%s): %d frames in sections, %d in one go, or other pixels", captions, x.ID, x.Kind, len(joined), len(whole))
			}
		}
		if again < 10 || ends == 0 || captions == "burnt" && spoken == 0 {
			t.Errorf("captions %s: %d seconds are shown again, %d sections of several captions, %d at the end of what moves", captions, again, spoken, ends)
		}
	}
}
