package camera

import (
	"encoding/json"
	"math"
	"math/big"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// Check 1.1: exact rational maps; the first is Heckbert 1989, section 2.2.3.
func TestHomographyExact(t *testing.T) {
	var data struct {
		Cases []struct {
			Name         string
			Plane, Pixel [][2]string
			H            [9]string   `json:"H_exact"`
			Centre       *[2]float64 `json:"centre_maps_to"`
		}
	}
	load(t, "homography_exact.json", &data)
	if len(data.Cases) == 0 {
		t.Fatal("no case")
	}
	num := func(s string) float64 {
		r, ok := new(big.Rat).SetString(s)
		if !ok {
			t.Fatalf("not a number: %q", s)
		}
		f, _ := r.Float64()
		return f
	}
	for _, c := range data.Cases {
		pts := make([]Point, len(c.Plane))
		for i := range pts {
			pts[i] = Point{On: piste.Place{X: num(c.Plane[i][0]), Y: num(c.Plane[i][1])},
				At: mark.Pixel{U: num(c.Pixel[i][0]), V: num(c.Pixel[i][1])}, SD: 0.01}
		}
		m, err := FitHomography(pts)
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		for k := range m.H {
			want := num(c.H[k])
			near(t, c.Name, m.H[k], want, 1e-10*math.Max(math.Abs(want), 1e-3))
		}
		if c.Centre != nil {
			px, ok := m.Project(middle(pts).place())
			if !ok {
				t.Errorf("%s: the centre does not show", c.Name)
			}
			near(t, "centre u", px.U, c.Centre[0], 1e-9)
			near(t, "centre v", px.V, c.Centre[1], 1e-9)
		}
	}
}

// Check 1.2: cross-ratios of piste lines are the same in every picture.
func TestCrossRatio(t *testing.T) {
	sets := []struct {
		x    [4]float64
		want float64
	}{{[4]float64{-7, -2, 2, 7}, 81.0 / 56}, {[4]float64{-7, -5, 5, 7}, 36.0 / 35}, {[4]float64{-7, -2, 0, 2}, 14.0 / 9}}
	for _, c := range checkCameras(t) {
		if c.K1 != 0 {
			continue
		}
		l, q := c.lens(), c.pose()
		for _, s := range sets {
			var px [4]mark.Pixel
			seen := true
			for i, x := range s.x {
				// An image line that crosses the piste askew.
				p, ok := l.project(q, vec{x, 0.3, 0}, nil)
				px[i], seen = p, seen && ok
			}
			if seen {
				near(t, c.Name, float64(CrossRatio(px)), s.want, 1e-9)
			}
		}
	}
}

// Check 1.3: 19 cameras, exact and noisy, against OpenCV 4.6.0 findHomography.
func TestHomographyCameras(t *testing.T) {
	for _, c := range checkCameras(t) {
		exact, err := FitHomography(c.points(c.Straight))
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		for i, p := range c.Plane {
			px, _ := exact.Project(piste.Place{X: p[0], Y: p[1]})
			if e := math.Hypot(px.U-c.Straight[i][0], px.V-c.Straight[i][1]); !(e < 1e-8) {
				t.Errorf("%s: exact point off by %.3g px", c.Name, e)
			}
		}
		noisy, err := FitHomography(c.points(c.straightened(t, c.Noisy)))
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		want := c.OpenCV.HNoisy
		near(t, c.Name+" RMS", float64(noisy.RMS), want.RMS, 1e-4)
		if float64(noisy.RMS) > want.RMS+1e-9 {
			t.Errorf("%s: RMS %.9f above OpenCV's %.9f", c.Name, noisy.RMS, want.RMS)
		}
		l := c.lens()
		l.K1 = 0
		for i, p := range c.TestPlane {
			px, ok := l.project(c.pose(), vec{p[0], p[1], 0}, nil)
			if !ok {
				t.Fatalf("%s: test point behind the camera", c.Name)
			}
			j, err := noisy.Floor(px, 0)
			if err != nil {
				t.Errorf("%s: %v", c.Name, err)
				continue
			}
			near(t, c.Name+" floor x", j.Mean[0], want.At[i][0], 5e-5)
			near(t, c.Name+" floor y", j.Mean[1], want.At[i][1], 5e-5)
		}
	}
}

// Check 1.4: floor uncertainty, first order and 20 000 OpenCV draws.
func TestHomographyUncertainty(t *testing.T) {
	for _, c := range checkCameras(t) {
		m, err := FitHomography(c.points(c.Straight))
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		l := c.lens()
		l.K1 = 0
		for i, p := range c.TestPlane {
			px, _ := l.project(c.pose(), vec{p[0], p[1], 0}, nil)
			for _, way := range []struct {
				name string
				sd   float64
				want [2]float64
				tol  float64
			}{
				{"first order", 0, c.OpenCV.FirstOrder.Calib[i], 1e-3},
				{"first order with mark", 0.5, c.OpenCV.FirstOrder.Plus[i], 1e-3},
				{"draws", 0, c.OpenCV.MC.SD[i], 0.025},
			} {
				j, err := m.Floor(px, quantity.Pixels(way.sd))
				if err != nil {
					t.Errorf("%s: %v", c.Name, err)
					continue
				}
				for k := range 2 {
					near(t, c.Name+" "+way.name, j.SD(k)*1000, way.want[k], way.tol*way.want[k])
				}
			}
		}
	}
}

// Check 1.11: pictures of one turning, zooming camera.
func TestBetweenPictures(t *testing.T) {
	var data struct {
		Pairs []struct {
			From string `json:"frm"`
			To   string
			H    [3][3]float64
		}
	}
	load(t, "cam_ptz_pairs.json", &data)
	if len(data.Pairs) != 30 {
		t.Fatalf("%d pairs, want 30", len(data.Pairs))
	}
	maps := map[string]*Homography{}
	for _, c := range checkCameras(t) {
		m := &Homography{}
		for i := range 9 {
			m.H[i] = c.H[i/3][i%3]
		}
		maps[c.Name] = m
	}
	for _, p := range data.Pairs {
		got := Between(maps[p.From], maps[p.To])
		for i := range 9 {
			want := p.H[i/3][i%3]
			size := math.Max(math.Abs(want), 1e-4)
			near(t, p.From+" to "+p.To, got[i], want, 1e-8*size+2e-12*math.Abs(p.H[0][2]))
		}
	}
}

// number reads a JSON number or the words that stand for none.
type number float64

func (n *number) UnmarshalJSON(raw []byte) error {
	var s string
	if json.Unmarshal(raw, &s) == nil {
		switch s {
		case "Infinity", "Inf":
			*n = number(math.Inf(1))
		default:
			*n = number(math.NaN())
		}
		return nil
	}
	return json.Unmarshal(raw, (*float64)(n))
}
