package camera

import (
	"encoding/json"
	"os"
	"testing"

	"mesure/sport/piste"
)

// zhang is the data of Z. Zhang's demonstration and its published results, read
// from outside the project: they are not ours to copy.
type zhang struct {
	Size      [2]int         `json:"image_size"`
	Model     [][2]float64   `json:"model_xy"`
	Views     [][][2]float64 `json:"views"`
	Published struct {
		Alpha, Gamma, Beta, U0, V0, K1, K2 float64
		Poses                              []struct {
			R [3][3]float64
			T [3]float64
		} `json:"R_t"`
	} `json:"published"`
	SciPy struct {
		Values [7]float64 `json:"alpha_gamma_beta_u0_v0_k1_k2"`
		SD     [7]float64 `json:"sd"`
	} `json:"scipy_lm_with_skew"`
	PublishedPlain struct {
		Alpha, Gamma, Beta, U0, V0 float64
	} `json:"published_no_distortion"`
	Plain struct {
		RMS float64       `json:"rms"`
		K   [3][3]float64 `json:"K"`
	} `json:"opencv_no_distortion_no_skew"`
	NoSkew struct {
		RMS float64       `json:"rms"`
		K   [3][3]float64 `json:"K"`
		Rad [2]float64    `json:"k"`
	} `json:"opencv_k1k2_no_skew"`
	Maps []struct{ RMS float64 } `json:"homography_per_view"`
}

func loadZhang(t *testing.T) (zhang, []Picture) {
	t.Helper()
	const path = "../../../shared/checks/zhang1998.json"
	raw, err := os.ReadFile(path)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the outside check data are missing: %v", err)
		}
		t.Skipf("NOT CHECKED: Zhang's calibration data are missing: %v", err)
	}
	var z zhang
	if err := json.Unmarshal(raw, &z); err != nil {
		t.Fatal(err)
	}
	if len(z.Views) != 5 || len(z.Model) != 256 {
		t.Fatalf("%d views of %d points, want 5 of 256", len(z.Views), len(z.Model))
	}
	pics := make([]Picture, len(z.Views))
	for i, v := range z.Views {
		pics[i] = Picture{Width: z.Size[0], Height: z.Size[1]}
		for k, px := range v {
			pics[i].Points = append(pics[i].Points, Point{On: piste.Place{X: z.Model[k][0], Y: z.Model[k][1]}, At: pixel(px), SD: 1})
		}
	}
	return z, pics
}

// Check 1.14: Z. Zhang, MSR-TR-98-71 and IEEE TPAMI 22(11):1330 (2000), whose
// printed results are in z.Published; recomputed with SciPy 1.10.1.
func TestCalibrateZhang(t *testing.T) {
	z, pics := loadZhang(t)
	c, err := Calibrate(pics, CalibrateOptions{Skew: true, Radial: 2})
	if err != nil {
		t.Fatal(err)
	}
	l := c.Lens.optics()
	got := [7]float64{l.Fx, l.Skew, l.Fy, l.Cx, l.Cy, l.K1, l.K2}
	tol := [7]float64{2e-4, 2e-5, 2e-4, 2e-4, 2e-4, 5e-6, 5e-6}
	order := [7]int{0, 2, 1, 3, 4, 5, 6} // where Fitted has it
	for i, want := range z.SciPy.Values {
		near(t, "lens", got[i], want, tol[i])
		near(t, "its SD", c.Fitted.SD(order[i]), z.SciPy.SD[i], 1e-3*z.SciPy.SD[i])
	}
	near(t, "RMS", float64(c.RMS), 0.336434, 1e-6)
	p := z.Published
	for i, want := range [7]float64{p.Alpha, p.Gamma, p.Beta, p.U0, p.V0, p.K1, p.K2} {
		// To the digits that were printed.
		near(t, "printed lens", got[i], want, [7]float64{6e-3, 6e-5, 6e-3, 6e-4, 6e-4, 2e-6, 2e-5}[i])
	}
	if len(p.Poses) != 5 {
		t.Fatalf("%d poses, want 5", len(p.Poses))
	}
	for i, want := range p.Poses {
		a := c.Views[i].Axes
		r := turn{at(a[0]), at(a[1]), at(a[2])}
		tr := r.on(at(c.Views[i].Position)).times(-1)
		for k := range 3 {
			near(t, "printed translation", tr[k], want.T[k], 5e-4)
			for m := range 3 {
				near(t, "printed turn", r[k][m], want.R[k][m], 1e-5)
			}
		}
	}
}

// The same without skew and without distortion, against OpenCV 4.6.0.
func TestCalibrateZhangPlain(t *testing.T) {
	z, pics := loadZhang(t)
	c, err := Calibrate(pics, CalibrateOptions{Radial: 2})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range [][2]float64{{float64(c.Lens.Fx), z.NoSkew.K[0][0]}, {float64(c.Lens.Fy), z.NoSkew.K[1][1]}, {float64(c.Lens.Cx), z.NoSkew.K[0][2]}, {float64(c.Lens.Cy), z.NoSkew.K[1][2]}} {
		near(t, "no skew", v[0], v[1], 2e-3)
	}
	near(t, "k1", float64(c.Lens.K1), z.NoSkew.Rad[0], 1e-5)
	near(t, "k2", float64(c.Lens.K2), z.NoSkew.Rad[1], 5e-5)
	near(t, "RMS", float64(c.RMS), z.NoSkew.RMS, 1e-6)
	c, err = Calibrate(pics, CalibrateOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range [][2]float64{{float64(c.Lens.Fx), z.Plain.K[0][0]}, {float64(c.Lens.Fy), z.Plain.K[1][1]}, {float64(c.Lens.Cx), z.Plain.K[0][2]}, {float64(c.Lens.Cy), z.Plain.K[1][2]}} {
		near(t, "no distortion", v[0], v[1], 2e-3)
	}
	near(t, "RMS", float64(c.RMS), z.Plain.RMS, 1e-6)
	// Zhang's own result without distortion has skew.
	if c, err = Calibrate(pics, CalibrateOptions{Skew: true}); err != nil {
		t.Fatal(err)
	}
	p := z.PublishedPlain
	for _, v := range [][2]float64{{float64(c.Lens.Fx), p.Alpha}, {float64(c.Lens.Fy), p.Beta}, {float64(c.Lens.Cx), p.U0}, {float64(c.Lens.Cy), p.V0}} {
		near(t, "printed without distortion", v[0], v[1], 2e-3)
	}
	near(t, "printed skew", float64(c.Lens.Skew), p.Gamma, 2e-5)
}

// Check 1.15: plain maps on real corners, lens distortion left in.
func TestHomographyZhang(t *testing.T) {
	z, pics := loadZhang(t)
	if len(z.Maps) != 5 {
		t.Fatalf("%d maps, want 5", len(z.Maps))
	}
	for i, m := range z.Maps {
		h, err := FitHomography(pics[i].Points)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "RMS", float64(h.RMS), m.RMS, 1e-4)
	}
}

// One view cannot be calibrated, and views that are not turned neither.
func TestCalibrateRefuses(t *testing.T) {
	var flat Picture
	flat.Width, flat.Height = 1280, 720
	for _, x := range []float64{0, 1, 2} {
		for _, y := range []float64{0, 1} {
			flat.Points = append(flat.Points, Point{On: piste.Place{X: x, Y: y}, At: pixel([2]float64{300 + 200*x, 200 + 200*y})})
		}
	}
	if _, err := Calibrate([]Picture{flat}, CalibrateOptions{}); err == nil {
		t.Error("one view was taken")
	}
	if c, err := Calibrate([]Picture{flat, flat, flat}, CalibrateOptions{}); err == nil {
		t.Errorf("three equal frontal views were taken: %+v", c.Lens)
	}
}
