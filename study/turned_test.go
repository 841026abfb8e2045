package study

import (
	"context"
	"math"
	"testing"

	"mesure/sport/mark"
	"mesure/sport/piste"
)

// What a place shows as in one frame is carried to where the camera's own projection
// puts it in another: two routes to one pixel, for places near and far.
func TestTurnCarriesPixels(t *testing.T) {
	film := paint(51)
	touch := handful(51, 2)
	r, err := Read(context.Background(), touch, film, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := touch.Placings[0].Frame, touch.Placings[len(touch.Placings)-1].Frame
	if a == b {
		t.Fatal("one frame only")
	}
	ma, okA := r.Turn("live", a)
	mb, okB := r.Turn("live", b)
	if _, between := r.Turn("live", (a+b)/2); !okA || !okB || between {
		t.Fatal("a placed frame without a turn, or one that is not placed with one")
	}
	ca, _ := r.CameraAt("live", a)
	cb, _ := r.CameraAt("live", b)
	moved := 0.0
	for _, x := range []piste.Place{{X: -1}, {X: 2, Y: 0.4}, {X: 0.5, Z: 1.7}, {X: 1, Y: 9, Z: 4}} {
		pa, seenA := ca.Project(x)
		pb, seenB := cb.Project(x)
		if !seenA || !seenB {
			t.Fatalf("%v is not seen", x)
		}
		got := carried(mb, ma, pa)
		if off := math.Hypot(got.U-pb.U, got.V-pb.V); off > 1e-6 {
			t.Errorf("%v: carried to %v, the camera shows it at %v", x, got, pb)
		}
		moved = math.Max(moved, math.Hypot(pb.U-pa.U, pb.V-pa.V))
	}
	if moved < 5 {
		t.Errorf("the camera turned by %v px: nothing is tested", moved)
	}
}

// carried is b·a⁻¹·p by Cramer's rule.
func carried(b, a [9]float64, p mark.Pixel) mark.Pixel {
	det := func(m [9]float64) float64 {
		return m[0]*(m[4]*m[8]-m[5]*m[7]) - m[1]*(m[3]*m[8]-m[5]*m[6]) + m[2]*(m[3]*m[7]-m[4]*m[6])
	}
	var d [3]float64
	for k := range d {
		m := a
		m[k], m[3+k], m[6+k] = p.U, p.V, 1
		d[k] = det(m) / det(a)
	}
	w := b[6]*d[0] + b[7]*d[1] + b[8]*d[2]
	return mark.Pixel{U: (b[0]*d[0] + b[1]*d[1] + b[2]*d[2]) / w, V: (b[3]*d[0] + b[4]*d[1] + b[5]*d[2]) / w}
}
