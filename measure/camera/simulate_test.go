package camera

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// lookAt is the pose of a level camera at c that looks at a point.
func lookAt(c, to vec) pose {
	f := to.minus(c).unit()
	r := f.cross(vec{0, 0, 1}).unit()
	return pose{turn{r, f.cross(r), f}, c}
}

// scene is an invented camera over a piste.
type scene struct {
	lens          optics
	pose          pose
	width, height int
}

// sideOn is a camera 12 m from the long axis and 3 m high.
func sideOn() scene {
	return scene{optics{Fx: 1100, Fy: 1100, Cx: 640, Cy: 360}, lookAt(vec{0.4, -12, 3}, vec{0, 0, 0.6}), 1280, 720}
}

// picture marks the named points that show, with this noise.
func (s scene) picture(rng *rand.Rand, sd float64, stretch float64) Picture {
	pic := Picture{Width: s.width, Height: s.height}
	for _, l := range piste.Lines() {
		if !l.Painted {
			continue
		}
		for _, e := range []string{piste.Near, piste.Far} {
			on, _ := piste.Named(l.Name+"-"+e, piste.Width)
			px, ok := s.lens.project(s.pose, at(on).times(stretch), nil)
			if !ok || px.U < 0 || px.V < 0 || px.U > float64(s.width-1) || px.V > float64(s.height-1) {
				continue
			}
			px.U += sd * rng.NormFloat64()
			px.V += sd * rng.NormFloat64()
			pic.Points = append(pic.Points, Point{Name: l.Name + "-" + e, On: on, At: px, SD: quantity.Pixels(sd)})
		}
	}
	return pic
}

func (s scene) see(rng *rand.Rand, sd float64, x vec) mark.Pixel {
	px, _ := s.lens.project(s.pose, x, nil)
	return mark.Pixel{U: px.U + sd*rng.NormFloat64(), V: px.V + sd*rng.NormFloat64()}
}

// share counts how often an interval covers.
type share struct{ hit, all int }

func (s *share) add(in bool) {
	s.all++
	if in {
		s.hit++
	}
}

func (s share) within(t *testing.T, what string, lo, hi float64) {
	t.Helper()
	got := float64(s.hit) / float64(s.all)
	t.Logf("%s: %d of %d = %.4f", what, s.hit, s.all, got)
	if s.all == 0 || got < lo || got > hi {
		t.Errorf("%s: intervals of 95 %% cover %.4f of %d, want %.2f to %.2f", what, got, s.all, lo, hi)
	}
}

// Stated uncertainty is kept: 300 noisy placings, the scale of the piste, the
// plane of action and the raised points drawn anew each time.
func TestCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(20261125, 4))
	for _, far := range []scene{sideOn(), {optics{Fx: 2600, Fy: 2600, Cx: 960, Cy: 540}, lookAt(vec{-3, -25, 5}, vec{0.5, 0, 0.5}), 1920, 1080}} {
		var focal, centre, floor, along, up, gap, gap3, plane share
		for range 300 {
			stretch := 1 + float64(ScaleSD)*rng.NormFloat64()
			p, err := Place(far.picture(rng, 1.5, stretch), Options{})
			if err != nil {
				t.Fatal(err)
			}
			focal.add(p.Focal.Covers(quantity.Pixels(far.lens.Fx)))
			for k := range 3 {
				centre.add(p.Position[k].Covers(quantity.Metres(far.pose.centre[k])))
			}
			for range 4 {
				x := vec{rng.Float64()*8 - 4, rng.Float64()*1.4 - 0.7, 0}
				j, err := p.Floor(far.see(rng, 1.5, x), 1.5)
				if err != nil {
					t.Fatal(err)
				}
				for k := range 2 {
					floor.add(math.Abs(j.Mean[k]-x[k]) < normal975*j.SD(k))
				}
			}
			y0, slope := float64(PlaneSD)*rng.NormFloat64(), float64(SlopeSD)*rng.NormFloat64()
			var feet []Sighting
			for _, x := range []float64{-2.2, -1.9, -1.2, -1.0, 0.9, 1.2, 1.8, 2.1} {
				h := float64(SoleHeight) + float64(SoleHeightSD)*rng.NormFloat64()
				feet = append(feet, Sighting{At: far.see(rng, 1.5, vec{x, y0 + slope*x + float64(FeetOffSD)*rng.NormFloat64(), h}), SD: 1.5})
			}
			pl, err := FitPlane(p, feet)
			if err != nil {
				t.Fatal(err)
			}
			plane.add(pl.At0.Covers(quantity.Metres(y0)))
			plane.add(pl.Slope.Covers(quantity.Ratio(slope)))
			var truth []vec
			var seen []Sighting
			for range 4 {
				x := rng.Float64()*5 - 2.5
				v := vec{x, y0 + slope*x + float64(ArmOffSD)*rng.NormFloat64(), 0.8 + rng.Float64()}
				truth = append(truth, v)
				seen = append(seen, Sighting{At: far.see(rng, 1.5, v), SD: 1.5})
			}
			j, err := p.Locate(pl, seen)
			if err != nil {
				t.Fatal(err)
			}
			for i, v := range truth {
				along.add(math.Abs(j.Mean[3*i]-v[0]) < normal975*j.SD(3*i))
				up.add(math.Abs(j.Mean[3*i+2]-v[2]) < normal975*j.SD(3*i+2))
			}
			for i := 0; i < len(truth); i += 2 {
				a, b := 3*i, 3*i+3
				dx := j.Covariance(a, a) + j.Covariance(b, b) - 2*j.Covariance(a, b)
				gap.add(math.Abs(j.Mean[b]-j.Mean[a]-(truth[i+1][0]-truth[i][0])) < normal975*math.Sqrt(dx))
				// All three coordinates at once, against χ² with three degrees.
				gap3.add(mahalanobis(j, a, truth[i]) < 7.814727903251178)
			}
		}
		focal.within(t, "focal length", 0.92, 0.98)
		centre.within(t, "camera place", 0.92, 0.98)
		floor.within(t, "floor", 0.92, 0.98)
		plane.within(t, "plane of action", 0.92, 0.995) // the Student law is wider than the normal feet here
		along.within(t, "along the piste", 0.92, 0.98)
		up.within(t, "height", 0.92, 0.98)
		gap.within(t, "difference along the piste", 0.92, 0.98)
		gap3.within(t, "place in space", 0.92, 0.98)
	}
}

func mahalanobis(j quantity.Joint, from int, x vec) float64 {
	p := j.Pick(from, from+1, from+2)
	var chol mat.Cholesky
	if !chol.Factorize(p.SymDense()) {
		return math.Inf(1)
	}
	d := mat.NewVecDense(3, []float64{p.Mean[0] - x[0], p.Mean[1] - x[1], p.Mean[2] - x[2]})
	var s mat.VecDense
	if chol.SolveVecTo(&s, d) != nil {
		return math.Inf(1)
	}
	return mat.Dot(d, &s)
}

// Check 1.5: Σ|r|²/σ² of a map is χ² with 2n − 8 degrees of freedom, and with
// n = 14 has mean 20 and variance 40; the RMS follows σ√(2 − 8/n).
func TestResidualLaw(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 20261125))
	const draws, sd = 2000, 0.5
	var c checkCamera
	for _, c = range checkCameras(t) {
		if c.Name == "side_12m_elev_f1100_720" {
			break
		}
	}
	sum, squares, rms := 0.0, 0.0, 0.0
	for range draws {
		pts := c.points(c.Exact)
		for i := range pts {
			pts[i].At.U += sd * rng.NormFloat64()
			pts[i].At.V += sd * rng.NormFloat64()
		}
		m, err := FitHomography(pts)
		if err != nil {
			t.Fatal(err)
		}
		chi := square(float64(m.RMS)) * float64(len(pts)) / (sd * sd)
		sum += chi
		squares += chi * chi
		rms += square(float64(m.RMS))
	}
	mean := sum / draws
	near(t, "mean", mean, 20, 0.03*20)
	near(t, "variance", squares/draws-mean*mean, 40, 0.10*40) // its own spread is 3.6 % here
	near(t, "RMS", math.Sqrt(rms/draws), sd*math.Sqrt(2-8.0/14), 0.03*sd)
}
