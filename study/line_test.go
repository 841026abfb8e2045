package study

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"mesure/measure/camera"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// lined is a picture of the piste from the camera of show, with marks on lines
// and no crossing, without error but said to be marked to half a pixel.
func lined(t *testing.T) PlaceAsk {
	t.Helper()
	ask := PlaceAsk{Width: 1280, Height: 720}
	for _, name := range []string{"near-edge", "far-edge", "left-warning", "left-on-guard", "right-on-guard", "right-warning"} {
		a, b, ok := piste.LineNamed(name, piste.Width)
		if !ok {
			t.Fatalf("no line %s", name)
		}
		for _, s := range []float64{0.3, 0.45, 0.8} {
			if name[len(name)-4:] == "edge" && s > 0.7 {
				s = 0.7
			}
			at := show(piste.Place{X: a.X + s*(b.X-a.X), Y: a.Y + s*(b.Y-a.Y)})
			ask.Lines = append(ask.Lines, LineMark{Line: name, At: at, SD: 0.5})
		}
	}
	return ask
}

func TestPlaceByLinesAlone(t *testing.T) {
	ask := lined(t)
	r, err := Place(ask)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "focal length", float64(r.Camera.Focal.Mean), 1100, 5)
	for i, want := range []float64{0.5, -12, 3} {
		near(t, "position", float64(r.Camera.Position[i].Mean), want, 0.06)
	}
	near(t, "noise", float64(r.Noise), 0.5, 1e-12)
	if n := len(r.Camera.Residuals); n != len(ask.Lines) {
		t.Fatalf("%d residuals for %d marks", n, len(ask.Lines))
	}
	for i, e := range r.Camera.Residuals {
		if e.Name != "on "+ask.Lines[i].Line || e.At != ask.Lines[i].At || !(e.Off < 0.05) {
			t.Errorf("residual %d is %+v", i, e)
		}
	}
	// By two places instead of a name: the same camera.
	free := lined(t)
	for i, m := range free.Lines {
		free.Lines[i].A, free.Lines[i].B, _ = piste.LineNamed(m.Line, piste.Width)
		free.Lines[i].Line = ""
	}
	q, err := Place(free)
	if err != nil {
		t.Fatal(err)
	}
	if q.Camera.Focal != r.Camera.Focal || !strings.HasPrefix(q.Camera.Residuals[0].Name, "on the line (-7, -0.75)") {
		t.Errorf("free lines give %v, %q; named ones %v", q.Camera.Focal, q.Camera.Residuals[0].Name, r.Camera.Focal)
	}
}

func TestPlaceRefusesOpenLines(t *testing.T) {
	tried := 0
	for _, c := range []struct {
		name string
		ask  func(*PlaceAsk)
		at   string
		why  error
	}{
		{"edges only", func(a *PlaceAsk) { a.Lines = a.Lines[:6] }, "/lines", camera.ErrOpen},
		{"two points and an edge", func(a *PlaceAsk) { a.Points, a.Lines = hall().Points[:2], a.Lines[:3] }, "/lines", camera.ErrOpen},
		{"a line from a place to itself", func(a *PlaceAsk) { a.Lines[2].Line = "" }, "/lines", camera.ErrNoLine},
		{"three points", func(a *PlaceAsk) { a.Points, a.Lines = hall().Points[:3], nil }, "/points", camera.ErrTooFew},
	} {
		ask := lined(t)
		c.ask(&ask)
		_, err := Place(ask)
		var r *Refusal
		if !errors.As(err, &r) || r.At != c.at || !errors.Is(err, c.why) {
			t.Errorf("%s: got %v", c.name, err)
		}
		tried++
	}
	if tried != 4 {
		t.Fatal("not all were tried")
	}
}

// A reading takes marks on lines as well, and a touch without them keeps the
// name of its inputs.
func TestReadingWithLines(t *testing.T) {
	s := stage(3, 0.5)
	e := eye{at: [3]float64{0.4, -11, 2.9}, pan: 0.02 * -2, tilt: 0.17, focal: 1250}
	p := &s.touch.Placings[0]
	a, b, _ := piste.LineNamed("far-edge", piste.Width)
	for _, share := range []float64{0.35, 0.5, 0.6} {
		at := e.see([3]float64{a.X + share*(b.X-a.X), a.Y, 0})
		p.Lines = append(p.Lines, LineMark{Line: "far-edge", At: at, SD: 0.5})
	}
	var r Reading
	clip := mark.Clip{Width: 1280, Height: 720}
	if _, err := placeAll(s.touch, map[string]mark.Clip{"v": clip}, &r, ReadOptions{}); err != nil {
		t.Fatal(err)
	}
	on := 0
	for _, q := range r.Placings[0].Residuals {
		if q.Name == "on far-edge" {
			on++
			if !(q.Off < 2) {
				t.Errorf("%+v", q)
			}
		}
	}
	if on != 3 {
		t.Errorf("%d residuals on the far edge, want 3", on)
	}
	body, err := json.Marshal(Placing{})
	if err != nil || strings.Contains(string(body), "Lines") {
		t.Errorf("a placing without lines is hashed as %s, %v", body, err)
	}
}
