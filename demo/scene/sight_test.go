package scene

import (
	"image"
	"math"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
)

// TestHidesAsWorkedOutByHand: an eye at (0, −10, 1) looks past a ball of radius
// 0.1 m about (0, −1, 1). The line to (x, 0, 1) passes the middle of the ball at
// 9x/√(100 + x²) metres: 0.0990 for x = 0.11, 0.1026 for x = 0.114. A place inside
// the slack of 5 cm behind the ball's near side is not hidden, a place before the
// ball never.
func TestHidesAsWorkedOutByHand(t *testing.T) {
	eye := Vec{0, -10, 1}
	ball := []Solid{ellipsoid(Jacket, LimbTrunk, Vec{0, -1, 1}, Vec{X: 1}, Vec{Y: 1}, Vec{Z: 1}, 0.1, 0.1, 0.1, 0)}
	for _, c := range []struct {
		p    Vec
		want bool
	}{
		{Vec{0, 0, 1}, true}, {Vec{0.11, 0, 1}, true}, {Vec{0.114, 0, 1}, false}, {Vec{-0.114, 0, 1}, false},
		{Vec{0, 0, 1.11}, true}, {Vec{0, 0, 1.114}, false},
		{Vec{0, -1.06, 1}, false}, {Vec{0, -1.04, 1}, true}, // the near side is at y = −1.1
		{Vec{0, -2, 1}, false},
	} {
		if got := hides(ball, eye, c.p, strangers); got != c.want {
			t.Errorf("%+v: hidden %t, by hand %t", c.p, got, c.want)
		}
	}
	trunk := func(w mark.What) func(*Solid) float64 { return func(k *Solid) float64 { return slackOf(w, k) } }
	if hides(ball, eye, Vec{0, 0, 1}, trunk(mark.Hip)) || !hides(ball, eye, Vec{0, 0, 1}, trunk(mark.FrontKnee)) {
		t.Error("the trunk hides the hip inside it, or not the knee behind it")
	}
	// A shoe of this ball's size hides its own toe from 8 cm behind the near side on.
	shoe := []Solid{ball[0]}
	shoe[0].Part, shoe[0].Limb = Shoe, limbRearShank
	for _, c := range []struct {
		y    float64
		w    mark.What
		want bool
	}{{-1.03, mark.RearToe, false}, {-1.01, mark.RearToe, true}, {-1.03, mark.FrontToe, true}} {
		if got := hides(shoe, eye, Vec{0, c.y, 1}, trunk(c.w)); got != c.want {
			t.Errorf("%s at %.2f m: hidden %t", c.w, c.y, got)
		}
	}
}

// sighted is the first touch at its start with the camera moved to where the test
// wants it.
func sighted(cam Camera, graphics ...image.Rectangle) *Sight {
	f := Films()[0]
	v := f.Sight(&f.Shots[0], 0)
	v.cam, v.graphics = cam, graphics
	return v
}

// TestShowsOfFigures: what cameras at known places must and cannot see of two
// right-handed fencers on guard. The turned rear foot (64° inwards) of the right
// fencer points to the platform: his heel lies 0.27·sin 64° = 0.24 m behind the toe,
// under the ankle, whose shank stands in the line of sight. The left fencer's points
// away: the heel is seen, and the toe stands out beside it. From behind, the left
// fencer stands before the right one.
func TestShowsOfFigures(t *testing.T) {
	f := Films()[0]
	platform := f.Camera(&f.Shots[0], 0)
	for _, s := range mark.Sides {
		for _, w := range mark.Points() {
			want := !(s == mark.Right && w == mark.RearHeel)
			if got := sighted(platform).Shows(s, w); got != want {
				t.Errorf("from the platform, %s of %s: %t", w, s, got)
			}
		}
	}
	behind := Camera{At: Vec{-9, 0, 1.3}, Pan: quantity.Radians(math.Pi / 2), Focal: 2000}
	v := sighted(behind)
	for _, c := range []struct {
		s    mark.Side
		w    mark.What
		want bool
	}{
		{mark.Left, mark.Hip, true}, {mark.Left, mark.Mask, true},
		{mark.Right, mark.Hip, false}, {mark.Right, mark.Shoulder, false},
	} {
		if got := v.Shows(c.s, c.w); got != c.want {
			t.Errorf("from behind, %s of %s: %t", c.w, c.s, got)
		}
	}
	away := platform
	away.Pan += quantity.Radians(math.Pi)
	if v := sighted(away); v.Shows(mark.Left, mark.Mask) || v.ShowsFloor(Vec{}) {
		t.Error("a camera that looks away sees the bout")
	}
}

// TestGraphicsHide: a graphic over the mask's pixel hides the mask, one that ends
// a pixel before it does not.
func TestGraphicsHide(t *testing.T) {
	f := Films()[0]
	cam := f.Camera(&f.Shots[0], 0)
	at, _ := cam.Project(f.At(0)[mark.Left].Mask)
	u, v := int(math.Round(at.U)), int(math.Round(at.V))
	if sighted(cam, image.Rect(u, v, u+1, v+1)).Shows(mark.Left, mark.Mask) {
		t.Error("the graphic over the pixel does not hide")
	}
	if !sighted(cam, image.Rect(u-9, v-9, u, v+9), image.Rect(u+1, v-9, u+9, v+9), image.Rect(u-9, v-9, u+9, v), image.Rect(u-9, v+1, u+9, v+9)).Shows(mark.Left, mark.Mask) {
		t.Error("graphics beside the pixel hide")
	}
}

// TestMostIsSeen: in every shot every point of interest but the turned rear heel
// can be seen now and then, and some are hidden at times, or following would have
// nothing to lose.
func TestMostIsSeen(t *testing.T) {
	for _, f := range Films() {
		for k := range f.Shots {
			s := &f.Shots[k]
			hidden := 0
			for _, side := range mark.Sides {
				for _, w := range mark.Points() {
					seen := 0
					for n := 0; n < s.Frames; n += 3 {
						if f.Sight(s, s.At(mark.Frame(n))).Shows(side, w) {
							seen++
						} else {
							hidden++
						}
					}
					t.Logf("touch %d, %s: %s of %s on %d of %d frames", f.Number, s.ID, w, side, seen, (s.Frames+2)/3)
					if seen == 0 && w != mark.RearHeel {
						t.Errorf("touch %d, %s: the %s of %s is never seen", f.Number, s.ID, w, side)
					}
				}
			}
			if hidden == 0 {
				t.Errorf("touch %d, %s: nothing is ever hidden", f.Number, s.ID)
			}
		}
	}
}
