package track

import (
	"context"
	"image"
	"math"
	"testing"

	"mesure/sport/mark"
)

// strip is a film made of bytes: whatever is in a file.
type strip struct {
	w, h int
	pix  []byte
}

func (s strip) Gray(f mark.Frame) (*image.Gray, error) {
	g := image.NewGray(image.Rect(0, 0, s.w, s.h))
	for i := range g.Pix {
		if len(s.pix) > 0 {
			g.Pix[i] = s.pix[(i*(int(f)+1)+int(f)*7)%len(s.pix)]
		}
	}
	return g, nil
}

// Any pictures and any marks are followed without a panic, in the order of time, and
// what comes out are numbers: places with a doubt above nought, or lost.
func FuzzFollow(f *testing.F) {
	f.Add([]byte("a flat picture"), uint8(40), uint8(30), 5.0, 5.0, 30.0, 20.0, uint8(4))
	f.Add([]byte{0, 255, 3, 9, 200, 13, 77}, uint8(3), uint8(2), -4.0, 1e9, math.Inf(1), 2.0, uint8(9))
	f.Add([]byte{}, uint8(1), uint8(1), 0.0, 0.0, 0.0, 0.0, uint8(1))
	f.Fuzz(func(t *testing.T, pix []byte, w, h uint8, u0, v0, u1, v1 float64, n uint8) {
		film := strip{int(w%90) + 1, int(h%60) + 1, pix}
		last := mark.Frame(n%12) + 2
		ctx := context.Background()
		b, err := FollowBackground(ctx, film, 0, last, BackgroundOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range b.Links {
			if l.From >= l.To || !(l.SD > 0) || len(l.Matches) < 4 {
				t.Fatalf("link %+v", l)
			}
		}
		sound := func(steps []BridgeStep, err error) {
			if err != nil {
				return
			}
			for i, s := range steps {
				if i > 0 && steps[i-1].Frame == s.Frame {
					t.Fatalf("frame %d twice", s.Frame)
				}
				if !s.Lost && (!(s.SD > 0) || math.IsNaN(s.At.U+s.At.V) || !(s.Sure >= 0 && s.Sure <= 1)) {
					t.Fatalf("step %+v", s)
				}
			}
		}
		a, z := Anchor{Frame: 0, At: mark.Pixel{U: u0, V: v0}}, Anchor{Frame: last, At: mark.Pixel{U: u1, V: v1}}
		ground := GroundOf(b.Links)
		sound(Bridge(ctx, film, a, z, BridgeOptions{Ground: ground}))
		sound(Onward(ctx, film, a, last, BridgeOptions{Ground: ground}))
		guard := func(f mark.Frame) (BridgeStep, bool) {
			return BridgeStep{Frame: f, At: mark.Pixel{U: v0, V: u1}, SD: 1, Sure: 1}, f%3 != 2
		}
		sound(Blade(ctx, film, guard, a, z, BladeOptions{Ground: ground}))
	})
}
