package camera

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// checkCamera is one camera of testdata/cam_piste.json (OpenCV 4.6.0).
type checkCamera struct {
	Name      string
	ImageSize [2]int `json:"image_size"`
	K         [3][3]float64
	K1        float64
	R         [3][3]float64
	Centre    [3]float64    `json:"camera_centre"`
	H         [3][3]float64 `json:"true_H_plane_to_undistorted_pixel"`
	Plane     [][2]float64  `json:"plane_points_m"`
	Exact     [][2]float64  `json:"pixels_exact"`
	Sigma     float64       `json:"noise_sigma_px"`
	Noisy     [][2]float64  `json:"pixels_noisy"`
	TestPlane [][2]float64  `json:"test_plane_m"`
	TestExact [][2]float64  `json:"test_pixels_exact"`
	Straight  [][2]float64  `json:"pixels_exact_undistorted"`
	RollDeg   float64       `json:"roll_deg"`
	OpenCV    struct {
		Undistort5 float64 `json:"undistortPoints_default_5_iterations_max_err_px"`
		HExact     struct {
			H [3][3]float64
		} `json:"findHomography_exact"`
		HNoisy struct {
			H   [3][3]float64
			RMS float64      `json:"rms_reproj_px"`
			At  [][2]float64 `json:"test_plane_recovered_m"`
		} `json:"findHomography_noisy"`
		MC struct {
			SD [][2]float64 `json:"sd"`
		} `json:"mc_floor_sd_mm_calib_noise_only"`
		FirstOrder struct {
			Calib [][2]float64 `json:"calib_noise_only"`
			Plus  [][2]float64 `json:"calib_plus_0p5px_on_test_point"`
		} `json:"first_order_floor_sd_mm"`
		PnPExact struct {
			Iterative struct {
				Centre [3]float64 `json:"camera_centre"`
			}
		} `json:"solvePnP_exact"`
		PnPNoisy struct {
			Iterative struct {
				Centre [3]float64 `json:"camera_centre"`
			}
			IPPE []struct {
				Centre [3]float64 `json:"camera_centre"`
				RMS    float64    `json:"rms_px"`
			}
		} `json:"solvePnP_noisy"`
		CalExact focalAnswer `json:"calibrateCamera_single_view_exact"`
		CalNoisy focalAnswer `json:"calibrateCamera_single_view_noisy"`
	}
}

type focalAnswer struct {
	RMS, F, K1 float64
	Centre     [3]float64 `json:"camera_centre"`
}

func load(t testing.TB, name string, into any) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

func checkCameras(t testing.TB) []checkCamera {
	t.Helper()
	var all struct{ Cameras []checkCamera }
	load(t, "cam_piste.json", &all)
	if len(all.Cameras) != 19 {
		t.Fatalf("%d cameras, want 19", len(all.Cameras))
	}
	return all.Cameras
}

func (c checkCamera) lens() optics {
	return optics{Fx: c.K[0][0], Fy: c.K[1][1], Cx: c.K[0][2], Cy: c.K[1][2], K1: c.K1}
}

func (c checkCamera) pose() pose {
	return pose{turn{c.R[0], c.R[1], c.R[2]}, c.Centre}
}

func (c checkCamera) points(pixels [][2]float64) []Point {
	ps := make([]Point, len(pixels))
	for i, px := range pixels {
		ps[i] = Point{On: piste.Place{X: c.Plane[i][0], Y: c.Plane[i][1]}, At: pixel(px), SD: quantity.Pixels(c.Sigma)}
	}
	return ps
}

func (c checkCamera) picture(pixels [][2]float64) Picture {
	return Picture{Width: c.ImageSize[0], Height: c.ImageSize[1], Points: c.points(pixels)}
}

func pixel(p [2]float64) mark.Pixel { return mark.Pixel{U: p[0], V: p[1]} }

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, want %.12g within %.3g (off by %.3g)", what, got, want, tol, got-want)
	}
}

// straightened takes the true distortion out of noisy pixels, as the stored
// OpenCV homographies of distorting cameras were made.
func (c checkCamera) straightened(t *testing.T, px [][2]float64) [][2]float64 {
	t.Helper()
	out := make([][2]float64, len(px))
	l := c.lens()
	for i, p := range px {
		x, y, ok := l.ray(pixel(p))
		if !ok {
			t.Fatalf("%s: no ray through %v", c.Name, p)
		}
		out[i] = [2]float64{l.Fx*x + l.Cx, l.Fy*y + l.Cy}
	}
	return out
}
