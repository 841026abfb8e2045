package camera

import (
	"errors"
	"math"
	"testing"

	"mesure/sport/piste"
)

// Check 1.7: focal length and k1 from one view, against the truth and against
// OpenCV 4.6.0 calibrateCamera. The default priors are on.
func TestPlaceFocal(t *testing.T) {
	for _, c := range checkCameras(t) {
		opt := Options{Distortion: c.K1 != 0}
		p, err := Place(c.picture(c.Exact), Options{Distortion: c.K1 != 0, Priors: Priors{Flat: true}})
		if err != nil {
			t.Errorf("%s exact: %v", c.Name, err)
			continue
		}
		f := c.K[0][0]
		near(t, c.Name+" exact f", float64(p.Focal.Mean), f, 2e-6*f)
		if c.K1 != 0 {
			near(t, c.Name+" exact k1", float64(p.K1.Mean), c.K1, 3e-7)
		}
		for k := range 3 {
			near(t, c.Name+" exact centre", float64(p.Position[k].Mean), c.Centre[k], 1e-4)
		}
		// So do the default priors, which the picture overrules.
		if p, err = Place(c.picture(c.Exact), opt); err != nil {
			t.Errorf("%s exact: %v", c.Name, err)
			continue
		}
		near(t, c.Name+" exact f with priors", float64(p.Focal.Mean), f, 2e-6*f)
		flat, err := Place(c.picture(c.Noisy), Options{Distortion: c.K1 != 0, Priors: Priors{Flat: true}})
		if err != nil {
			t.Errorf("%s noisy: %v", c.Name, err)
			continue
		}
		want := c.OpenCV.CalNoisy
		near(t, c.Name+" noisy f", float64(flat.Focal.Mean), want.F, 1e-4*want.F)
		near(t, c.Name+" noisy RMS", float64(flat.RMS), want.RMS, 1e-4)
		if c.K1 != 0 {
			near(t, c.Name+" noisy k1", float64(flat.K1.Mean), want.K1, 1e-4*math.Abs(want.K1))
		}
		with, err := Place(c.picture(c.Noisy), opt)
		if err != nil {
			t.Errorf("%s with priors: %v", c.Name, err)
			continue
		}
		near(t, c.Name+" noisy f with priors", float64(with.Focal.Mean), want.F, 1e-4*want.F)
		t.Logf("%-26s f %.3f±%.3f  cv %.3f  with priors %+.5f %%  %v", c.Name, flat.Focal.Mean, flat.Focal.SD, want.F, 100*(float64(with.Focal.Mean)/want.F-1), with.Warnings)
	}
}

// Check 1.12: degenerate sets. OpenCV returns a finite map for some of them.
func TestDegenerate(t *testing.T) {
	var data struct {
		Cases []struct {
			Name  string
			Plane [][2]float64
			Pixel [][2]number
			Must  string
		}
	}
	load(t, "cam_degenerate.json", &data)
	named := map[string]error{
		"4_collinear_one_side": ErrCollinear, "7_collinear_one_side": ErrCollinear,
		"3_points": ErrTooFew, "4_points_one_duplicated": ErrRepeated, "2_points_twice": ErrRepeated,
		"3_of_4_collinear": ErrCollinear, "4_of_5_collinear": ErrCollinear,
		"on_guard_box_swapped": ErrSwapped, "mirror_image": ErrMirrored, "nan_pixel": ErrNotFinite,
		"all_pixels_equal": ErrCollapsed, "pixels_collinear": ErrEdgeOn,
	}
	refused, accepted := 0, 0
	for _, c := range data.Cases {
		pic := Picture{Width: 1280, Height: 720}
		for i, p := range c.Plane {
			pic.Points = append(pic.Points, Point{On: piste.Place{X: p[0], Y: p[1]}, At: pixel([2]float64{float64(c.Pixel[i][0]), float64(c.Pixel[i][1])})})
		}
		_, err := Place(pic, Options{})
		m, herr := FitHomography(pic.Points)
		t.Logf("%s: %v", c.Name, err)
		if c.Must == "accept" {
			accepted++
			if err != nil || herr != nil {
				t.Errorf("%s: refused: %v, %v", c.Name, err, herr)
			}
			continue
		}
		refused++
		want := named[c.Name]
		if want == nil {
			t.Errorf("%s: the test names no refusal for it", c.Name)
			continue
		}
		if !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", c.Name, err, want)
		}
		if want == ErrMirrored {
			if herr != nil || len(m.Warnings) != 1 || m.Warnings[0].Code != CodeMirrored {
				t.Errorf("%s: the map should be returned with one warning: %v", c.Name, herr)
			}
		} else if !errors.Is(herr, want) {
			t.Errorf("%s: map: %v, want %v", c.Name, herr, want)
		}
	}
	if refused != 12 || accepted != 2 {
		t.Errorf("%d refusals and %d acceptances were tried, want 12 and 2", refused, accepted)
	}
}

func codes(ws []Warning) map[string]Warning {
	m := map[string]Warning{}
	for _, w := range ws {
		m[w.Code] = w
	}
	return m
}
