package study

import (
	"errors"
	"math"
	"testing"

	"mesure/measure/camera"
	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// pinhole projects through a camera at c that looks at l, focal length f, into a
// picture of 1280 × 720: the law of the pinhole written out a second time, so
// that Place is not checked against its own code.
func pinhole(c, l [3]float64, f float64, p piste.Place) mark.Pixel {
	sub := func(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
	dot := func(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
	cross := func(a, b [3]float64) [3]float64 {
		return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
	}
	unit := func(a [3]float64) [3]float64 {
		n := math.Sqrt(dot(a, a))
		return [3]float64{a[0] / n, a[1] / n, a[2] / n}
	}
	forward := unit(sub(l, c))
	right := unit(cross(forward, [3]float64{0, 0, 1}))
	down := cross(forward, right)
	r := sub([3]float64{p.X, p.Y, p.Z}, c)
	return mark.Pixel{U: 640 + f*dot(r, right)/dot(r, forward), V: 360 + f*dot(r, down)/dot(r, forward)}
}

func show(p piste.Place) mark.Pixel {
	return pinhole([3]float64{0.5, -12, 3}, [3]float64{0, 0, 0.8}, 1100, p)
}

// hall is a picture of the piste from that camera, marked without error but said
// to be marked to half a pixel.
func hall() PlaceAsk {
	ask := PlaceAsk{Width: 1280, Height: 720}
	for _, n := range []string{"left-warning", "left-on-guard", "centre", "right-on-guard", "right-warning"} {
		for _, e := range []string{piste.Near, piste.Far} {
			p, _ := piste.Named(n+"-"+e, piste.Width)
			ask.Points = append(ask.Points, PlacedPoint{Name: n + "-" + e, On: p, At: show(p), SD: 0.5})
		}
	}
	return ask
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %g, want %g ± %g", what, got, want, tolerance)
	}
}

func TestPlaceFindsTheCamera(t *testing.T) {
	r, err := Place(hall())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "focal length", float64(r.Camera.Focal.Mean), 1100, 3)
	for i, want := range []float64{0.5, -12, 3} {
		p := r.Camera.Position[i]
		near(t, "position", float64(p.Mean), want, 0.05)
		if !(p.SD > 0.001 && p.SD < 0.5) {
			t.Errorf("SD of coordinate %d is %g", i, p.SD)
		}
	}
	near(t, "RMS", float64(r.Camera.RMS), 0, 0.05)
	near(t, "noise", float64(r.Noise), 0.5, 1e-12)
	if len(r.Camera.Residuals) != 10 || len(r.Camera.Warnings) != 0 || r.At != nil {
		t.Errorf("got %d residuals, warnings %v, at %v", len(r.Camera.Residuals), r.Camera.Warnings, r.At)
	}
}

func TestPlaceReadsAPointBothWays(t *testing.T) {
	for _, c := range []struct {
		name  string
		at    piste.Place
		plane quantity.Metres
	}{
		{"a hand over the long axis", piste.Place{X: 1, Z: 1.2}, 0},
		{"a hand half a metre behind it", piste.Place{X: -2, Y: 0.5, Z: 0.7}, 0.5},
	} {
		ask := hall()
		px := show(c.at)
		ask.At, ask.Plane = &px, c.plane
		r, err := Place(ask)
		if err != nil {
			t.Fatal(err)
		}
		a := r.At.Action
		if a == nil || r.At.Floor == nil {
			t.Fatalf("%s: got %+v", c.name, r.At)
		}
		near(t, c.name+": x", float64(a.X.Mean), c.at.X, 0.005)
		near(t, c.name+": y", float64(a.Y.Mean), c.at.Y, 1e-9)
		near(t, c.name+": z", float64(a.Z.Mean), c.at.Z, 0.005)
		// Check 1.10: P' = C + (P − C)·c/(c − h), where the floor would put it.
		k := 3 / (3 - c.at.Z)
		near(t, c.name+": floor x", float64(r.At.Floor.X.Mean), 0.5+(c.at.X-0.5)*k, 0.02)
		near(t, c.name+": floor y", float64(r.At.Floor.Y.Mean), -12+(c.at.Y+12)*k, 0.1)
		if !(a.Y.SD >= camera.ArmOffSD) {
			t.Errorf("%s: the spread across the plane is only %g m", c.name, a.Y.SD)
		}
		if r.At.SD != mark.DefaultSD {
			t.Errorf("%s: marking error %g", c.name, r.At.SD)
		}
	}
}

func TestPlaceAboveTheHorizonHasNoFloor(t *testing.T) {
	ask := hall()
	ask.At = &mark.Pixel{U: 640, V: 20}
	r, err := Place(ask)
	if err != nil {
		t.Fatal(err)
	}
	if r.At.Floor != nil || r.At.Action == nil || len(r.At.Warnings) != 1 || r.At.Warnings[0].Code != CodeNoPlace {
		t.Errorf("got %+v", r.At)
	}
}

func TestPlaceNamesFreePointsByTheirPlace(t *testing.T) {
	ask := hall()
	for i := range ask.Points {
		ask.Points[i].Name = ""
	}
	r, err := Place(ask)
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Camera.Residuals[0].Name; got != "(-5, -0.75) m" {
		t.Errorf("the first point is called %q", got)
	}
}

func TestPlaceRefuses(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name string
		ask  func(*PlaceAsk)
		at   string
		why  error
	}{
		{"no points", func(a *PlaceAsk) { a.Points = nil }, "/points", camera.ErrTooFew},
		{"one edge", func(a *PlaceAsk) {
			a.Points = []PlacedPoint{a.Points[0], a.Points[2], a.Points[4], a.Points[6], a.Points[8]}
		}, "/points", camera.ErrCollinear},
		{"no picture", func(a *PlaceAsk) { a.Width = 0 }, "/points", camera.ErrPicture},
		{"a mark that is no number", func(a *PlaceAsk) { a.Points[3].At.U = nan }, "/points", camera.ErrNotFinite},
		{"an image point that is no number", func(a *PlaceAsk) { a.At = &mark.Pixel{U: nan} }, "", camera.ErrNotFinite},
		{"an SD below zero", func(a *PlaceAsk) { a.At, a.AtSD = &mark.Pixel{}, -1 }, "", camera.ErrSD},
		{"a plane at infinity", func(a *PlaceAsk) { a.At, a.Plane = &mark.Pixel{}, quantity.Metres(math.Inf(1)) }, "", camera.ErrNotFinite},
	} {
		ask := hall()
		c.ask(&ask)
		_, err := Place(ask)
		var r *Refusal
		if !errors.As(err, &r) || r.At != c.at || !errors.Is(err, c.why) {
			t.Errorf("%s: got %v", c.name, err)
		}
	}
}
