package camera

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
	"mesure/sport/mark"
)

// agree compares a derivative with central differences.
func agree(t *testing.T, what string, got, want, size float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 2e-6*math.Max(math.Abs(want), size)) {
		t.Errorf("%s: derivative %.9g, differences %.9g", what, got, want)
	}
}

// The derivatives of every fit are those of its residuals, away from the start
// too, where the turn's own parameters are no longer small.
func TestBundleSlopes(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for _, c := range checkCameras(t)[:14] {
		l := c.lens()
		l.K1 = -0.1
		known := l.stated()
		for _, opt := range []Options{{}, {Distortion: true}, {Distortion: true, Cropped: true}, {Lens: &known}} {
			opt.Priors = opt.Priors.filled()
			s := seed{lens: l, pose: c.pose()}
			b := single(s, c.points(c.Exact), nil, c.ImageSize[0], opt)
			for i := range b.start {
				b.start[i] += 0.02 * rng.NormFloat64()
			}
			compare(t, c.Name, b)
		}
	}
}

// The same for a calibration with skew, separate focal lengths, k1 and k2.
func TestCalibrationSlopes(t *testing.T) {
	c := checkCameras(t)[2]
	b := &bundle{}
	v := &view{lens: optics{Fx: 800, Fy: 820, Skew: 3, Cx: 600, Cy: 300, K1: -0.2, K2: 0.1}, pose: c.pose(), points: c.points(c.Exact), slots: noSlots()}
	for k, x := range [lensCount]float64{800, 820, 3, 600, 300, -0.2, 0.1} {
		v.slots.lens[k] = b.add(x)
	}
	v.slots.turn = b.add(0.3, -0.2, 0.1)
	v.slots.centre = b.add(0.2, -12, 3)
	b.views = []*view{v}
	compare(t, "calibration", b)
}

func compare(t *testing.T, what string, b *bundle) {
	t.Helper()
	n, m := len(b.start), b.count()
	got := mat.NewDense(m, n, nil)
	b.jacobian(got, b.start)
	up, down := make([]float64, m), make([]float64, m)
	for k := range n {
		p := append([]float64(nil), b.start...)
		h := 1e-6 * math.Max(1, math.Abs(p[k]))
		p[k] += h
		b.residuals(up, p)
		p[k] -= 2 * h
		b.residuals(down, p)
		for r := range m {
			agree(t, what, got.At(r, k), (up[r]-down[r])/(2*h), 100)
		}
	}
}

// The covariance of Floor and Locate is the camera's, the mark's and the plane's
// carried through the formula by central differences.
func TestPlaceSlopes(t *testing.T) {
	tried := 0
	for _, c := range checkCameras(t) {
		if c.Name != "k1m0.12_f1100_720" && c.Name != "oblique_f1200_1080" {
			continue
		}
		tried++
		p, err := Place(c.picture(c.Noisy), Options{Distortion: true, Cropped: true})
		if err != nil {
			t.Fatal(err)
		}
		px := mark.Pixel{U: 500, V: 480}
		n := p.n
		// All numbers that vary: camera, u, v, scale, plane (2), off.
		vary := quantity.Stack(p.Covariance(), quantity.Independent(
			[]float64{px.U, px.V, 0, 0.1, 0.02, 0.03}, []float64{1.2, 1.2, p.scale, 0.07, 0.01, 0.15}))
		moved := func(x []float64) *Placing {
			q := *p
			q.lens.Fx = math.Exp(x[atFocal])
			q.lens.Fy = q.lens.Fx
			q.pose = q.pose.turned(vec(x[atTurn : atTurn+3]))
			q.pose.centre = vec(x[atCentre : atCentre+3])
			q.lens.Cx, q.lens.Cy, q.lens.K1 = x[p.at[lensCx]], x[p.at[lensCy]], x[p.at[lensK1]]
			return &q
		}
		want := vary.Through(func(dst, x []float64) {
			q := moved(x)
			s, _ := q.lens.sight(q.pose, mark.Pixel{U: x[n], V: x[n+1]})
			f := q.meet(s, vec{0, 0, 1}, 0)
			a := q.meet(s, vec{-x[n+4], 1, 0}, x[n+3]+x[n+5])
			for k := range 3 {
				dst[k] = f.at[k] * (1 + x[n+2])
				dst[3+k] = a.at[k] * (1 + x[n+2])
			}
		}, 6)
		floor, err := p.Floor(px, 1.2)
		if err != nil {
			t.Fatal(err)
		}
		plane := planeOf([2]float64{0.1, 0.02}, [2][2]float64{{0.07 * 0.07, 0}, {0, 0.01 * 0.01}}, nil, [2][]float64{})
		act, err := p.Locate(plane, []Sighting{{At: px, SD: 1.2, Off: 0.03, OffSD: 0.15}})
		if err != nil {
			t.Fatal(err)
		}
		for a := range 2 {
			near(t, "floor", floor.Mean[a], want.Mean[a], 1e-9)
			for b := range 2 {
				agree(t, "floor covariance", floor.Covariance(a, b), want.Covariance(a, b), 1e-2)
			}
		}
		for a := range 3 {
			near(t, "action", act.Mean[a], want.Mean[3+a], 1e-9)
			for b := range 3 {
				agree(t, "action covariance", act.Covariance(a, b), want.Covariance(3+a, 3+b), 1e-2)
			}
		}
	}
	if tried != 2 {
		t.Fatalf("%d cameras tried, want 2", tried)
	}
}
