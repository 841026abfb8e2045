package camera

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/sport/mark"
	"mesure/sport/piste"
)

// A lifted foot does not tilt the plane of action.
func TestPlaneLiftedFoot(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 3))
	s := sideOn()
	p, err := Place(s.picture(rng, 1, 1), Options{})
	if err != nil {
		t.Fatal(err)
	}
	stand := func(x, h float64) Sighting { return Sighting{At: s.see(rng, 0, vec{x, 0.1, h}), SD: 1} }
	feet := []Sighting{stand(-2, 0.02), stand(-1.7, 0.02), stand(-1, 0.02), stand(1, 0.02), stand(1.7, 0.02), stand(2, 0.02)}
	flat, err := FitPlane(p, feet)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "plane", float64(flat.At0.Mean), 0.1, 3*float64(flat.At0.SD))
	for _, h := range []float64{0.25, 0.4, 0.8} {
		lifted := append(append([]Sighting(nil), feet...), stand(-0.7, h))
		got, err := FitPlane(p, lifted)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "plane with a lifted foot", float64(got.At0.Mean), float64(flat.At0.Mean), 0.035)
		near(t, "slope with a lifted foot", float64(got.Slope.Mean), float64(flat.Slope.Mean), 0.015)
	}
	none, err := FitPlane(p, nil)
	if err != nil || math.Abs(float64(none.At0.SD-PlaneSD)) > 1e-12 || none.At0.Mean != 0 || codes(none.Warnings)[CodeFewFeet].Text == "" {
		t.Errorf("no feet: %+v, %v", none, err)
	}
	if _, err := FitPlane(p, []Sighting{{At: mark.Pixel{U: math.NaN()}}}); !errors.Is(err, ErrNotFinite) {
		t.Errorf("NaN foot: %v", err)
	}
}

// Locate refuses by name.
func TestLocateRefuses(t *testing.T) {
	s := scene{optics{Fx: 1100, Fy: 1100, Cx: 640, Cy: 360}, lookAt(vec{0, -12, 3}, vec{0, 0, 0.6}), 1280, 720}
	p, err := Place(s.picture(rand.New(rand.NewPCG(15, 3)), 1, 1), Options{})
	if err != nil {
		t.Fatal(err)
	}
	mid := mark.Pixel{U: 640, V: 360}
	for _, c := range []struct {
		plane Plane
		s     Sighting
		want  error
	}{
		{AxisPlane(), Sighting{At: mark.Pixel{U: math.NaN()}}, ErrNotFinite},
		{AxisPlane(), Sighting{At: mid, SD: -1}, ErrSD},
		{PlaneAt(-20), Sighting{At: mid}, ErrBehind},
		{planeOf([2]float64{0, 1e6}, [2][2]float64{}, nil, [2][]float64{}), Sighting{At: mid}, ErrAlong},
	} {
		if _, err := p.Locate(c.plane, []Sighting{c.s}); !errors.Is(err, c.want) {
			t.Errorf("%v, want %v", err, c.want)
		}
	}
	if j, err := p.Locate(AxisPlane(), nil); err != nil || j.Len() != 0 {
		t.Errorf("no sightings: %v %v", j, err)
	}
}

// A line is cut to the picture and follows the lens.
func TestProjectLine(t *testing.T) {
	c := checkCameras(t)[11]
	if c.Name != "k1m0.25_f900_720" {
		t.Fatal(c.Name)
	}
	p, err := Place(c.picture(c.Exact), Options{Distortion: true, Priors: Priors{Flat: true}})
	if err != nil {
		t.Fatal(err)
	}
	line := p.ProjectLine(piste.Place{X: -7, Y: 1.5}, piste.Place{X: 7, Y: 1.5}, 1280, 720)
	if len(line) < 6 {
		t.Fatalf("a bent line needs more than %d points", len(line))
	}
	for i, px := range line {
		if px.U < -0.5 || px.V < -0.5 || px.U > 1279.5 || px.V > 719.5 {
			t.Errorf("%v lies outside the picture", px)
		}
		x, y, _ := p.lens.ray(px)
		d := p.pose.turn.back(vec{x, y, 1})
		k := -p.pose.centre[2] / d[2]
		near(t, "y on the line", p.pose.centre[1]+k*d[1], 1.5, 2e-3)
		if i > 0 && !(px.U > line[i-1].U) {
			t.Errorf("the line turns back at %v", px)
		}
	}
	// Behind the camera, and from behind it into the picture.
	if got := p.ProjectLine(piste.Place{Y: -20}, piste.Place{Y: -30}, 1280, 720); got != nil {
		t.Errorf("a line behind the camera shows: %v", got)
	}
	if got := p.ProjectLine(piste.Place{Y: -30}, piste.Place{Y: 3}, 1280, 720); len(got) < 2 {
		t.Error("a line that comes from behind the camera does not show")
	}
	if _, ok := p.Project(piste.Place{Y: -20}); ok {
		t.Error("a point behind the camera shows")
	}
	if got := p.ProjectLine(piste.Place{X: 300, Y: 0}, piste.Place{X: 320, Y: 0}, 1280, 720); got != nil {
		t.Errorf("a line far off the picture shows: %v", got)
	}
}
