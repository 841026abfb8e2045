package camera

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// panning is a camera that follows a phrase: pan, tilt and zoom differ.
func panning(k int) scene {
	to := []vec{{-4.5, 0, 0.5}, {-2, 0, 0.6}, {0.5, 0, 0.4}, {3, 0, 0.6}, {5.5, 0.2, 0.5}}[k]
	f := []float64{1500, 1600, 1800, 1500, 1400}[k]
	return scene{optics{Fx: f, Fy: f, Cx: 640, Cy: 360}, lookAt(vec{0.3, -10, 2.6}, to), 1280, 720}
}

// Pictures of one take share the camera's place: it is surer than in any one of
// them, and a picture of two points is placed through the others.
func TestPlaceTogether(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 3))
	var pics []Picture
	for k := range 5 {
		pics = append(pics, panning(k).picture(rng, 1.5, 1))
	}
	few := append([]Picture(nil), pics...)
	few[1].Points = few[1].Points[1:3]
	few[3].Points = few[3].Points[:3]
	for _, set := range [][]Picture{pics, few} {
		got, err := PlaceTogether(set, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != len(set) {
			t.Fatalf("%d placings of %d pictures", len(got), len(set))
		}
		for k, p := range got {
			s := panning(k)
			for a := range 3 {
				if p.Position[a] != got[0].Position[a] {
					t.Errorf("picture %d stands elsewhere", k+1)
				}
				near(t, "place", float64(p.Position[a].Mean), s.pose.centre[a], 4*float64(p.Position[a].SD))
			}
			near(t, "focal length", float64(p.Focal.Mean), s.lens.Fx, 4*float64(p.Focal.SD))
			if alone, err := Place(set[k], Options{}); err == nil && !(p.Position[1].SD < alone.Position[1].SD) {
				t.Errorf("picture %d: the place is no surer than alone: %v and %v", k+1, p.Position[1].SD, alone.Position[1].SD)
			}
			for _, w := range p.Warnings {
				if w.Code == CodeMoved || w.Code == CodeMisfit {
					t.Errorf("picture %d: %v", k+1, w)
				}
			}
			if _, thin := codes(p.Warnings)[CodeNoSpare]; thin != (len(set[k].Points) == 2) {
				t.Errorf("picture %d with %d points: %v", k+1, len(set[k].Points), p.Warnings)
			}
			j, err := p.Floor(s.see(rng, 0, vec{s.at(), 0.2, 0}), 0)
			if err != nil {
				t.Errorf("picture %d: %v", k+1, err)
				continue
			}
			near(t, "floor", j.Mean[0], s.at(), 4*j.SD(0))
			near(t, "floor", j.Mean[1], 0.2, 4*j.SD(1))
		}
	}
}

// at is where along the piste the camera looks.
func (s scene) at() float64 {
	f := s.pose.turn[2]
	return s.pose.centre[0] - f[0]*s.pose.centre[2]/f[2]
}

// One picture alone is the same as Place; a distorting lens is shared.
func TestTogetherDistortion(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 3))
	var pics []Picture
	for k := range 5 {
		s := panning(k)
		s.lens.K1 = -0.15
		pics = append(pics, s.picture(rng, 1, 1))
	}
	got, err := PlaceTogether(pics, Options{Distortion: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range got {
		near(t, "k1", float64(p.K1.Mean), -0.15, 4*float64(p.K1.SD))
	}
	one, err := PlaceTogether(pics[2:3], Options{Distortion: true})
	if err != nil {
		t.Fatal(err)
	}
	alone, err := Place(pics[2], Options{Distortion: true})
	if err != nil {
		t.Fatal(err)
	}
	if one[0].Focal != alone.Focal || one[0].Position != alone.Position {
		t.Error("one picture together differs from the picture alone")
	}
	if !(got[2].K1.SD < alone.K1.SD) {
		t.Errorf("k1 is no surer together: %v and %v", got[2].K1.SD, alone.K1.SD)
	}
}

// A camera that was carried is noticed; too few points are refused by name.
func TestTogetherDoubts(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 3))
	pics := []Picture{panning(1).picture(rng, 1, 1), panning(2).picture(rng, 1, 1)}
	moved := panning(3)
	moved.pose = lookAt(vec{3.3, -8, 1.6}, vec{3, 0, 0.5})
	pics = append(pics, moved.picture(rng, 1, 1))
	got, err := PlaceTogether(pics, Options{})
	if err != nil {
		t.Fatal(err)
	}
	seen := false
	for _, p := range got {
		if w := codes(p.Warnings)[CodeMoved]; w.Doubt > float64(MovedSDs) {
			seen = true
		}
	}
	if !seen {
		t.Error("the camera was carried and nobody noticed")
	}
	// A label that is wrong in one picture is named there, and two exchanged too.
	wrong := []Picture{pics[0], pics[1], panning(0).picture(rng, 1, 1)}
	wrong[1].Points = append([]Point(nil), wrong[1].Points...)
	wrong[1].Points[3].At.U += 70
	if got, err = PlaceTogether(wrong, Options{}); err != nil {
		t.Fatal(err)
	}
	if w := codes(got[1].Warnings)[CodeDisagrees]; w.About != wrong[1].Points[3].Name {
		t.Errorf("a wrong mark is not named: %v", got[1].Warnings)
	}
	near(t, "focal length beside a wrong mark", float64(got[1].Focal.Mean), panning(2).lens.Fx, 4*float64(got[1].Focal.SD))
	mirrored := []Picture{pics[0], pics[1]}
	mirrored[1].Points = append([]Point(nil), pics[1].Points...)
	for i := range mirrored[1].Points {
		mirrored[1].Points[i].At.U = 1279 - mirrored[1].Points[i].At.U
	}
	var in *PictureError
	if _, err := PlaceTogether(mirrored, Options{}); !errors.Is(err, ErrMirrored) || !errors.As(err, &in) || in.Picture != 1 {
		t.Errorf("a mirrored picture: %v", err)
	}
	thin := append([]Picture(nil), pics[:2]...)
	thin[1].Points = thin[1].Points[:1]
	if _, err := PlaceTogether(thin, Options{}); !errors.Is(err, ErrTooFew) {
		t.Errorf("one point: %v", err)
	}
	thin[0].Points, thin[1].Points = pics[0].Points[:3], pics[1].Points[:3]
	if _, err := PlaceTogether(thin, Options{}); !errors.Is(err, ErrShared) {
		t.Errorf("three points each: %v", err)
	}
	if _, err := PlaceTogether(nil, Options{}); !errors.Is(err, ErrShared) {
		t.Errorf("no picture: %v", err)
	}
}

// The joint fit keeps its stated uncertainty too, for a picture of three points.
func TestTogetherCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(24, 3))
	var focal, floor share
	for range 150 {
		var pics []Picture
		for k := range 5 {
			pics = append(pics, panning(k).picture(rng, 1.5, 1))
		}
		pics[3].Points = pics[3].Points[:3]
		got, err := PlaceTogether(pics, Options{Priors: withoutScale()})
		if err != nil {
			t.Fatal(err)
		}
		for k, p := range got {
			s := panning(k)
			focal.add(math.Abs(float64(p.Focal.Mean)-s.lens.Fx) < normal975*float64(p.Focal.SD))
			x := vec{s.at() + 0.3, 0.2, 0}
			j, err := p.Floor(s.see(rng, 1.5, x), 1.5)
			if err != nil {
				t.Fatal(err)
			}
			for a := range 2 {
				floor.add(math.Abs(j.Mean[a]-x[a]) < normal975*j.SD(a))
			}
		}
	}
	focal.within(t, "focal length", 0.92, 0.98)
	floor.within(t, "floor", 0.92, 0.98)
}

func withoutScale() Priors {
	p := DefaultPriors()
	p.Scale = 0
	return p
}
