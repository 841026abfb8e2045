package camera

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// onLine marks a named line of the piste where this share of the way from its
// first end to its second shows. The second result is false where it does not.
func (s scene) onLine(rng *rand.Rand, sd float64, name string, share float64) (LineMark, bool) {
	a, b, ok := piste.LineNamed(name, piste.Width)
	if !ok {
		panic(name)
	}
	x := at(a).plus(at(b).minus(at(a)).times(share))
	px, ok := s.lens.project(s.pose, x, nil)
	if !ok || px.U < 0 || px.V < 0 || px.U > float64(s.width-1) || px.V > float64(s.height-1) {
		return LineMark{}, false
	}
	return LineMark{Name: name, A: a, B: b, SD: quantity.Pixels(sd),
		At: mark.Pixel{U: px.U + sd*rng.NormFloat64(), V: px.V + sd*rng.NormFloat64()}}, true
}

// lines marks lines at these shares; it panics where one does not show.
func (s scene) lines(rng *rand.Rand, sd float64, marks ...any) []LineMark {
	var out []LineMark
	name := ""
	for _, m := range marks {
		if n, ok := m.(string); ok {
			name = n
			continue
		}
		l, ok := s.onLine(rng, sd, name, m.(float64))
		if !ok {
			panic(name + " does not show there")
		}
		out = append(out, l)
	}
	return out
}

func (c checkCamera) scene() scene {
	return scene{c.lens(), c.pose(), c.ImageSize[0], c.ImageSize[1]}
}

// shownLines marks every line of the piste that a check camera shows, at four
// places each where they show.
func (c checkCamera) shownLines(rng *rand.Rand, sd float64) []LineMark {
	var out []LineMark
	for _, name := range piste.LineNames() {
		for _, share := range []float64{0.03, 0.31, 0.37, 0.43, 0.49, 0.55, 0.61, 0.67, 0.97} {
			if m, ok := c.scene().onLine(rng, sd, name, share); ok {
				out = append(out, m)
			}
		}
	}
	return out
}

// Check 1.3 with lines: from exact marks on lines alone, without one crossing, the
// camera of every check scene comes out again. The pixels are those of the stored
// cameras (OpenCV 4.6.0), whose own pixels this test's projection meets.
func TestLinesGiveTheCamera(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	tried := 0
	for _, c := range checkCameras(t) {
		for i, p := range c.Plane { // the scene is the stored one
			px, ok := c.lens().project(c.pose(), vec{p[0], p[1], 0}, nil)
			if !ok || math.Hypot(px.U-c.Exact[i][0], px.V-c.Exact[i][1]) > 1e-8 {
				t.Fatalf("%s: %v shows at %v, stored %v", c.Name, p, px, c.Exact[i])
			}
		}
		pic := Picture{Width: c.ImageSize[0], Height: c.ImageSize[1], Lines: c.shownLines(rng, 0)}
		p, err := Place(pic, Options{Distortion: c.K1 != 0, Priors: Priors{Flat: true}})
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		tried++
		f := c.K[0][0]
		near(t, c.Name+" f", float64(p.Focal.Mean), f, 1e-6*f)
		for k := range 3 {
			near(t, c.Name+" centre", float64(p.Position[k].Mean), c.Centre[k], 1e-6*math.Abs(c.Centre[1])+1e-6)
		}
		if c.K1 != 0 {
			near(t, c.Name+" k1", float64(p.K1.Mean), c.K1, 1e-6)
		}
		for r := range 3 {
			for k := range 3 {
				near(t, c.Name+" turn", p.pose.turn[r][k], c.R[r][k], 1e-6)
			}
		}
		if len(p.Residuals) != len(pic.Lines) || !(p.RMS < 1e-6) {
			t.Errorf("%s: %d residuals for %d marks, RMS %g px", c.Name, len(p.Residuals), len(pic.Lines), p.RMS)
		}
	}
	if tried != 19 {
		t.Errorf("%d cameras were placed, want 19", tried)
	}
}

// What is enough: eight equations that tell different things.
func TestEnoughLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	s := sideOn()
	points := s.picture(rng, 0, 1).Points
	pick := func(names ...string) []Point {
		var out []Point
		for _, n := range names {
			for _, p := range points {
				if p.Name == n {
					out = append(out, p)
				}
			}
		}
		if len(out) != len(names) {
			t.Fatalf("%v do not all show", names)
		}
		return out
	}
	for _, c := range []struct {
		name   string
		points []Point
		lines  []LineMark
		want   error
	}{
		{"both edges and two lines across, two marks each", nil, s.lines(rng, 0, "near-edge", .3, .6, "far-edge", .35, .7, "left-on-guard", .2, .8, "right-on-guard", .3, .9), nil},
		{"two points and two marks on two other lines", pick("left-on-guard-near", "left-on-guard-far"), s.lines(rng, 0, "near-edge", .5, .7, "far-edge", .5, "centre", .3), ErrOpen},
		{"two points and four marks on two lines across", pick("left-on-guard-near", "right-on-guard-far"), s.lines(rng, 0, "left-on-guard", .8, "right-on-guard", .2, "near-edge", .6, "far-edge", .4), nil},
		{"three points and a line at two places", pick("left-on-guard-near", "left-on-guard-far", "right-on-guard-near"), s.lines(rng, 0, "far-edge", .4, "centre", .5), nil},
		{"five marks on three lines across, three on two along", nil, s.lines(rng, 0, "left-on-guard", .2, .8, "centre", .1, .6, "right-on-guard", .5, "near-edge", .4, .6, "far-edge", .5), nil},
		// Two points and two lines that pass neither: the line through the points
		// meets the lines in two more places: four on one line (Hartley &
		// Zisserman, chapter 4).
		{"two points and two lines at two places each", pick("left-on-guard-near", "right-on-guard-near"), s.lines(rng, 0, "far-edge", .4, .6, "centre", .3, .9), ErrOpen},
		{"two points and two crossing lines", pick("left-on-guard-near", "right-on-guard-far"), s.lines(rng, 0, "axis", .4, .6, "centre", .1, .9), ErrOpen},
		{"too few marks", nil, s.lines(rng, 0, "near-edge", .3, .6, "far-edge", .35, .7, "centre", .2, .8, "axis", .5), ErrOpen},
		{"lines along only", nil, s.lines(rng, 0, "near-edge", .3, .4, .5, .6, "far-edge", .3, .5, .7, "axis", .3, .4, .5, .6), ErrOpen},
		{"lines across only", nil, s.lines(rng, 0, "left-on-guard", .1, .4, .9, "centre", .1, .5, .9, "right-on-guard", .2, .5, .9), ErrOpen},
		{"three lines", nil, s.lines(rng, 0, "near-edge", .3, .4, .5, .6, "far-edge", .3, .5, .7, "centre", .1, .5, .9), ErrOpen},
		{"three lines across and one along", nil, s.lines(rng, 0, "left-on-guard", .1, .4, .9, "centre", .1, .5, .9, "right-on-guard", .2, .5, .9, "far-edge", .4, .5, .6), ErrOpen},
		{"three points on a line and marks on that line", pick("left-on-guard-near", "right-on-guard-near"), s.lines(rng, 0, "near-edge", .35, .4, .5, .6), ErrOpen},
		{"one place of a line marked again and again", nil, append(s.lines(rng, 0, "near-edge", .3, .6, "far-edge", .35, .7, "left-on-guard", .2, .8), s.lines(rng, 0, "right-on-guard", .3, .3, .3)...), ErrOpen},
	} {
		// Degenerate sets stay so under marking noise, which blurs the numbers.
		for _, noise := range []float64{0, 1.5} {
			pic := Picture{Width: s.width, Height: s.height}
			for _, p := range c.points {
				p.At.U += noise * rng.NormFloat64()
				p.At.V += noise * rng.NormFloat64()
				p.SD = 1.5
				pic.Points = append(pic.Points, p)
			}
			for _, m := range c.lines {
				m.At.U += noise * rng.NormFloat64()
				m.At.V += noise * rng.NormFloat64()
				m.SD = 1.5
				pic.Lines = append(pic.Lines, m)
			}
			p, err := Place(pic, Options{Priors: Priors{Flat: noise == 0, Roll: RollSD * quantity.Radians(noise)}})
			if !errors.Is(err, c.want) {
				t.Errorf("%s, noise %g: %v, want %v", c.name, noise, err, c.want)
			}
			if w := codes(warningsOf(p))[CodeNoSpare]; err == nil && 2*len(c.points)+len(c.lines) == 8 {
				if w.Doubt != 1 || !strings.Contains(w.Text, " marks on lines leave one equation") {
					t.Errorf("%s, noise %g: eight equations for seven numbers: %v", c.name, noise, p.Warnings)
				}
			}
			if err == nil && noise == 0 {
				near(t, c.name+": f", float64(p.Focal.Mean), s.lens.Fx, 1e-6*s.lens.Fx)
			}
		}
	}
	// Four lines through one point of a free court.
	var star []LineMark
	for k := range 6 {
		a := vec{1, 0.2, 0}
		d := vec{math.Cos(float64(k)), math.Sin(float64(k)), 0}
		for _, r := range []float64{-1, 0.7} {
			star = append(star, LineMark{A: a.place(), B: a.plus(d).place(), At: s.see(rng, 1, a.plus(d.times(r))), SD: 1})
		}
	}
	if _, err := Place(Picture{Width: s.width, Height: s.height, Lines: star}, Options{}); !errors.Is(err, ErrOpen) {
		t.Errorf("lines through one point: %v", err)
	}
}

func warningsOf(p *Placing) []Warning {
	if p == nil {
		return nil
	}
	return p.Warnings
}

// The linear start from exact marks on lines is the map of the floor to the
// picture that is stored with the check cameras (OpenCV 4.6.0).
func TestLineStart(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 9))
	tried := 0
	for _, c := range checkCameras(t) {
		if c.K1 != 0 {
			continue
		}
		tried++
		marks := Picture{Lines: c.shownLines(rng, 0)}.whole()
		h, placed, err := startMap(marks)
		if err != nil {
			t.Errorf("%s: %v", c.Name, err)
			continue
		}
		want := scaled([9]float64{c.H[0][0], c.H[0][1], c.H[0][2], c.H[1][0], c.H[1][1], c.H[1][2], c.H[2][0], c.H[2][1], c.H[2][2]})
		for i, p := range c.Plane {
			px, ok := h.Project(piste.Place{X: p[0], Y: p[1]})
			if !ok || math.Hypot(px.U-c.Exact[i][0], px.V-c.Exact[i][1]) > 1e-6 {
				t.Errorf("%s: %v shows at %v, stored %v", c.Name, p, px, c.Exact[i])
			}
		}
		for k := range want {
			near(t, c.Name+" map", h.H[k], want[k], 1e-6*math.Max(1, math.Abs(want[k])))
		}
		for i, q := range placed {
			px, _ := h.Project(q.On)
			near(t, c.Name+" place of a mark", math.Hypot(px.U-marks[i].At.U, px.V-marks[i].At.V), 0, 1e-6)
		}
	}
	if tried < 10 {
		t.Errorf("%d cameras tried, want 10 or more", tried)
	}
}

// A camera swung to one point shows it at its mark, and turned no further.
func TestSwung(t *testing.T) {
	s := sideOn()
	q := Point{On: piste.Place{X: 1.5, Y: 0.75}, At: mark.Pixel{U: 300, V: 500}}
	before, _ := s.lens.project(s.pose, at(q.On), nil)
	r, ok := swung(s.pose.turn, s.pose.centre, s.lens, q)
	if !ok {
		t.Fatal("not swung")
	}
	px, _ := s.lens.project(pose{r, s.pose.centre}, at(q.On), nil)
	near(t, "u", px.U, q.At.U, 1e-9)
	near(t, "v", px.V, q.At.V, 1e-9)
	x0, y0, _ := s.lens.ray(before)
	x1, y1, _ := s.lens.ray(q.At)
	angle := math.Acos(vec{x0, y0, 1}.unit().dot(vec{x1, y1, 1}.unit()))
	trace := 0.0
	for i, row := range r.mul(s.pose.turn.transposed()) {
		trace += row[i]
	}
	near(t, "angle", math.Acos((trace-1)/2), angle, 1e-9)
}

// Two routes: crossings, and a mark on each of the two lines through them, give
// the same camera where the marks are exact, and agree where they are not.
func TestCrossingsAsLines(t *testing.T) {
	tried := 0
	for _, c := range checkCameras(t) {
		opt := Options{Distortion: c.K1 != 0, Priors: Priors{Flat: true}}
		for _, pixels := range [][][2]float64{c.Exact, c.Noisy} {
			crossings := c.picture(pixels)
			lines := Picture{Width: crossings.Width, Height: crossings.Height}
			for _, p := range crossings.Points {
				x, y := p.On.X, p.On.Y
				lines.Lines = append(lines.Lines,
					LineMark{A: piste.Place{X: x, Y: -1}, B: piste.Place{X: x, Y: 1}, At: p.At, SD: p.SD},
					LineMark{A: piste.Place{X: -1, Y: y}, B: piste.Place{X: 1, Y: y}, At: p.At, SD: p.SD})
			}
			a, err := Place(crossings, opt)
			if err != nil {
				t.Fatalf("%s: %v", c.Name, err)
			}
			b, err := Place(lines, opt)
			if err != nil {
				t.Errorf("%s: %v", c.Name, err)
				continue
			}
			tried++
			exact := pixels[0] == c.Exact[0]
			agree := func(what string, p, q, sdP, sdQ float64) {
				// Lines that meet at a sharp angle in the picture weigh the noise of
				// their crossing otherwise.
				tol := 2 * math.Hypot(sdP, sdQ)
				if exact {
					tol = 1e-6 * math.Max(1, math.Abs(p))
				}
				near(t, c.Name+" "+what, q, p, tol)
			}
			agree("f", float64(a.Focal.Mean), float64(b.Focal.Mean), float64(a.Focal.SD), float64(b.Focal.SD))
			for k := range 3 {
				agree("centre", float64(a.Position[k].Mean), float64(b.Position[k].Mean), float64(a.Position[k].SD), float64(b.Position[k].SD))
			}
		}
	}
	if tried != 38 {
		t.Errorf("%d pictures tried, want 38", tried)
	}
}

// The derivatives of line residuals are those of the residuals, with lens
// distortion and away from the start too.
func TestLineSlopes(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 9))
	for _, c := range checkCameras(t)[:14] {
		l := c.lens()
		l.K1 = -0.1
		known := l.stated()
		known.Skew, known.Fy, known.K2 = 4, known.Fx*1.02, 0.02
		marks := c.shownLines(rng, 3)
		var points []Point
		for _, m := range marks {
			points = append(points, m.asPoint())
		}
		for _, opt := range []Options{{}, {Distortion: true}, {Distortion: true, Cropped: true}, {Lens: &known}} {
			opt.Priors = opt.Priors.filled()
			s := seed{lens: l, pose: c.pose()}
			if opt.Lens != nil {
				s.lens = opt.Lens.optics()
			}
			b := single(s, points, nil, c.ImageSize[0], opt)
			for i := range b.start {
				b.start[i] += 0.01 * rng.NormFloat64()
			}
			r := make([]float64, b.count())
			b.residuals(r, b.start)
			for i := range points {
				if math.Abs(r[i]) > 1e6 {
					t.Fatalf("%s: mark %d does not show", c.Name, i)
				}
			}
			compare(t, c.Name, b)
		}
	}
}

// The foot of the perpendicular is on the line, and nothing on the line is nearer
// to the mark: against a fine walk along the projected line.
func TestPlumb(t *testing.T) {
	s := sideOn()
	rng := rand.New(rand.NewPCG(5, 9))
	tried := 0
	for _, k1 := range []float64{0, -0.25, 0.1} {
		s.lens.K1 = k1
		for _, name := range []string{"far-edge", "left-on-guard", "right-warning"} {
			a, b, _ := piste.LineNamed(name, piste.Width)
			for range 10 {
				x := at(a).plus(at(b).minus(at(a)).times(0.3 + 0.4*rng.Float64()))
				px, _ := s.lens.project(s.pose, x, nil)
				m := mark.Pixel{U: px.U + 20*rng.NormFloat64(), V: px.V + 20*rng.NormFloat64()}
				f, ok := s.lens.plumb(s.pose, straight{at(a), at(b)}, m, nil)
				if !ok {
					t.Fatalf("%s does not show", name)
				}
				least := math.Inf(1)
				for i := -8000; i <= 8000; i++ {
					q, ok := s.lens.project(s.pose, x.plus(at(b).minus(at(a)).times(float64(i)*5e-4)), nil)
					if ok {
						least = math.Min(least, math.Hypot(q.U-m.U, q.V-m.V))
					}
				}
				near(t, name, math.Abs(f.off), least, 0.05)
				if math.Abs(f.off) > least {
					t.Errorf("%s: the foot is %.9g px away, a place of the line %.9g", name, f.off, least)
				}
				sight, ok := s.lens.sight(s.pose, f.at)
				if !ok {
					t.Fatal("no ray through the foot")
				}
				hit := sight.dir.times(-s.pose.centre[2] / sight.dir[2]).plus(s.pose.centre)
				near(t, name+" lies under its foot", hit.minus(straight{at(a), at(b)}.nearest(hit)).norm(), 0, 1e-9)
				near(t, name+" foot", math.Hypot(f.at.U-m.U, f.at.V-m.V), math.Abs(f.off), 1e-9)
				tried++
			}
		}
	}
	if tried != 90 {
		t.Fatalf("%d marks tried, want 90", tried)
	}
}

// Stated uncertainty is kept where lines take part: 400 noisy placings.
func TestLineCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 9))
	s := sideOn()
	for _, c := range []struct {
		name   string
		points int
		lines  []any
	}{
		{"lines alone", 0, []any{"near-edge", .3, .5, .65, "far-edge", .3, .45, .7, "left-on-guard", .2, .8, "right-on-guard", .3, .9, "centre", .4}},
		{"two crossings and lines", 2, []any{"near-edge", .3, .6, "far-edge", .35, .7, "left-on-guard", .3, "right-on-guard", .3, .9}},
	} {
		var focal, centre, floor, share1 share
		chi, dof := 0.0, 0
		failed := 0
		for range 400 {
			pic := s.picture(rng, 1.5, 1)
			pic.Points = pic.Points[:c.points]
			pic.Lines = s.lines(rng, 1.5, c.lines...)
			p, err := Place(pic, Options{Priors: withoutScale()})
			if err != nil {
				failed++
				t.Log(err)
				continue
			}
			focal.add(p.Focal.Covers(quantity.Pixels(s.lens.Fx)))
			for k := range 3 {
				centre.add(p.Position[k].Covers(quantity.Metres(s.pose.centre[k])))
			}
			for range 4 {
				x := vec{rng.Float64()*6 - 3, rng.Float64()*1.4 - 0.7, 0}
				j, err := p.Floor(s.see(rng, 1.5, x), 1.5)
				if err != nil {
					t.Fatal(err)
				}
				for k := range 2 {
					floor.add(math.Abs(j.Mean[k]-x[k]) < normal975*j.SD(k))
				}
			}
			for i, r := range p.Residuals {
				chi += square(float64(r.Off) / 1.5)
				if i >= c.points {
					share1.add(r.Share < normal975)
				}
			}
			dof += 2*c.points + len(pic.Lines) - 7
		}
		t.Logf("%s: χ²/dof %.3f, %d failed", c.name, chi/float64(dof), failed)
		if failed > 0 {
			t.Errorf("%s: %d of 400 were not placed", c.name, failed)
		}
		near(t, c.name+": χ² over degrees of freedom", chi/float64(dof), 1, 0.15)
		focal.within(t, c.name+": focal length", 0.92, 0.98)
		centre.within(t, c.name+": camera place", 0.92, 0.98)
		floor.within(t, c.name+": floor", 0.92, 0.98)
		share1.within(t, c.name+": residuals", 0.92, 0.98)
	}
}

// Sparse and ill-shaped choices of marks, drawn at random, still lead to the fit
// that a start from the true camera finds, or to a better one.
func TestSparseLinesFindTheFit(t *testing.T) {
	rng := rand.New(rand.NewPCG(77, 9))
	cams, names := checkCameras(t), piste.LineNames()
	placed, missed := 0, 0
	for range 300 {
		c := cams[rng.IntN(len(cams))]
		pic := Picture{Width: c.ImageSize[0], Height: c.ImageSize[1]}
		k := rng.IntN(3)
		for _, i := range rng.Perm(len(c.Plane))[:k] {
			p := c.points(c.Exact)[i]
			p.At.U += rng.NormFloat64()
			p.At.V += rng.NormFloat64()
			p.SD = 1
			pic.Points = append(pic.Points, p)
		}
		for tries, want := 0, 8-2*k+rng.IntN(8); len(pic.Lines) < want && tries < 500; tries++ {
			if m, ok := c.scene().onLine(rng, 1, names[rng.IntN(len(names))], rng.Float64()); ok {
				pic.Lines = append(pic.Lines, m)
			}
		}
		f, err := newFrame(pic, Options{Distortion: c.K1 != 0})
		if err != nil {
			t.Fatal(err)
		}
		if general(f.pic.Points) != nil {
			continue
		}
		truth, err := f.best(f.pic.Points, nil, []seed{{c.lens(), c.pose(), 0}})
		if err != nil {
			continue // hardly determined: not even the truth leads anywhere
		}
		placed++
		if s, err := f.fresh(f.pic.Points); err != nil || s.cost > truth.cost+0.01 {
			missed++
			t.Logf("%s: %d points, %d line marks: %v, cost %.2f, from the truth %.2f", c.Name, len(pic.Points), len(pic.Lines), err, s.cost, truth.cost)
		}
	}
	if t.Logf("%d of %d missed", missed, placed); placed < 150 || missed > placed/50 {
		t.Errorf("%d of %d fits were missed", missed, placed)
	}
}
