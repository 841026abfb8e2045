package camera

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"mesure/sport/mark"
)

// Two routes to the floor, the plain map and the full camera, agree on exact
// marks, and nearly on noisy ones; so do their uncertainties.
func TestTwoRoutes(t *testing.T) {
	tried := 0
	for _, c := range checkCameras(t) {
		if c.K1 != 0 {
			continue
		}
		m, err := FitHomography(c.points(c.Exact))
		if err != nil {
			t.Fatal(err)
		}
		p, err := Place(c.picture(c.Exact), Options{Priors: Priors{Flat: true}})
		if err != nil {
			t.Fatal(err)
		}
		for _, px := range c.TestExact {
			tried++
			a, err := m.Floor(pixel(px), 0.5)
			if err != nil {
				t.Fatal(err)
			}
			b, err := p.Floor(pixel(px), 0.5)
			if err != nil {
				t.Fatal(err)
			}
			for k := range 2 {
				near(t, c.Name, a.Mean[k], b.Mean[k], 1e-6)
				// The camera has one number fewer to fit, so that it is surer.
				if ratio := b.SD(k) / a.SD(k); ratio > 1.000001 || ratio < 0.5 {
					t.Errorf("%s: the camera's SD is %.3f of the map's", c.Name, ratio)
				}
			}
		}
	}
	if tried < 50 {
		t.Errorf("only %d points were compared", tried)
	}
}

// The plane of action moves with the camera that saw the feet as it says it does.
func TestPlaneFollowsCamera(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 3))
	s := sideOn()
	p, err := Place(s.picture(rng, 1, 1), Options{})
	if err != nil {
		t.Fatal(err)
	}
	var feet []Sighting
	for _, x := range []float64{-2.2, -1.2, 0.9, 2.1} {
		px, _ := p.Project(vec{x, 0.1 + 0.01*x, float64(SoleHeight)}.place())
		feet = append(feet, Sighting{At: px, SD: 1})
	}
	base, err := FitPlane(p, feet)
	if err != nil {
		t.Fatal(err)
	}
	for k := range p.n {
		h := 1e-3 * math.Sqrt(p.cov[k*p.n+k])
		shifted := func(by float64) Plane {
			pl, err := FitPlane(nudged(p, k, by), feet)
			if err != nil {
				t.Fatal(err)
			}
			return pl
		}
		up, down := shifted(h), shifted(-h)
		sd := math.Sqrt(p.cov[k*p.n+k])
		// In metres and slope for one standard deviation of the camera's number;
		// the weights of the feet move a little too, which the plane leaves out: a
		// fiftieth of its uncertainty.
		d0 := float64(up.At0.Mean-down.At0.Mean) / (2 * h) * sd
		d1 := float64(up.Slope.Mean-down.Slope.Mean) / (2 * h) * sd
		near(t, "plane", base.of[0][k]*sd, d0, 0.01*math.Abs(d0)+0.02*float64(base.At0.SD))
		near(t, "slope", base.of[1][k]*sd, d1, 0.01*math.Abs(d1)+0.02*float64(base.Slope.SD))
	}
}

// Seen through the camera that saw the feet, a place carries the camera's errors
// once: the covariance of Locate is that of moving the camera, fitting the plane
// again and locating again, with the spread that is not the camera's beside it.
func TestLocateFollowsCamera(t *testing.T) {
	rng := rand.New(rand.NewPCG(43, 3))
	s := sideOn()
	p, err := Place(s.picture(rng, 1, 1), Options{Priors: withoutScale()})
	if err != nil {
		t.Fatal(err)
	}
	var feet []Sighting
	for _, x := range []float64{-2.2, -1.2, 0.9, 2.1} {
		px, _ := p.Project(vec{x, 0, float64(SoleHeight)}.place())
		feet = append(feet, Sighting{At: px, SD: 1, OffSD: 0.01})
	}
	base, err := FitPlane(p, feet)
	if err != nil {
		t.Fatal(err)
	}
	arms := []Sighting{{At: mark.Pixel{U: 500, V: 300}, SD: 1}, {At: mark.Pixel{U: 800, V: 320}, SD: 1}}
	got, err := p.Locate(base, arms)
	if err != nil {
		t.Fatal(err)
	}
	rest := *p // the same camera without its errors
	rest.cov = make([]float64, len(p.cov))
	still := base
	still.by = &rest
	want, err := rest.Locate(still, arms)
	if err != nil {
		t.Fatal(err)
	}
	jac := make([]float64, 6*p.n)
	for k := range p.n {
		h := 1e-3 * math.Sqrt(p.cov[k*p.n+k])
		at := func(by float64) []float64 {
			q := nudged(p, k, by)
			pl, err := FitPlane(q, feet)
			if err != nil {
				t.Fatal(err)
			}
			j, err := q.Locate(pl, arms)
			if err != nil {
				t.Fatal(err)
			}
			return j.Mean
		}
		up, down := at(h), at(-h)
		for r := range up {
			jac[r*p.n+k] = (up[r] - down[r]) / (2 * h)
		}
	}
	camera := p.Covariance().Linear(jac, nil)
	for a := range 6 {
		for b := range 6 {
			size := got.SD(a) * got.SD(b)
			near(t, "covariance", got.Covariance(a, b), want.Covariance(a, b)+camera.Covariance(a, b), 0.01*size)
		}
	}
	// Taken as if another camera had seen the feet, it comes out otherwise.
	apart := base
	apart.by = nudged(p, atFocal, 0)
	other, err := p.Locate(apart, arms)
	if err != nil {
		t.Fatal(err)
	}
	if d := math.Abs(other.SD(2)/got.SD(2) - 1); d < 1e-4 {
		t.Errorf("camera and plane do not vary together: %v and %v", got.SD(2), other.SD(2))
	}
}

// nudged is the camera with one of its numbers changed.
func nudged(p *Placing, k int, by float64) *Placing {
	q := *p
	switch {
	case k == atFocal:
		q.lens.Fx *= math.Exp(by)
		q.lens.Fy = q.lens.Fx
	case k < atCentre:
		var w vec
		w[k-atTurn] = by
		q.pose = q.pose.turned(w)
	default:
		q.pose.centre[k-atCentre] += by
	}
	return &q
}

// Nothing that is handed in is changed.
func TestInputsKept(t *testing.T) {
	rng := rand.New(rand.NewPCG(42, 3))
	pic := sideOn().picture(rng, 1.5, 1)
	pic.Points[2].At.U += 90
	before := slices.Clone(pic.Points)
	if _, err := Place(pic, Options{}); err != nil {
		t.Fatal(err)
	}
	if _, err := PlaceTogether([]Picture{pic, pic}, Options{}); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(before, pic.Points) {
		t.Error("the points were changed")
	}
	a, _ := Place(pic, Options{})
	b, _ := Place(pic, Options{})
	if a.Focal != b.Focal || !slices.Equal(a.cov, b.cov) {
		t.Error("the same picture gives two cameras")
	}
}
