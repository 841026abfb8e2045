package camera

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
	"mesure/sport/mark"
)

// What one camera sees, another at the same place sees through H = K_B R_B R_Aᵀ K_A⁻¹:
// the 30 pairs of check 1.11 (cam_ptz_pairs.json; made with NumPy 1.24.2, exact).
func TestTurnedPairs(t *testing.T) {
	var data struct {
		Pairs []struct {
			Frm, To string
			H       [3][3]float64
		}
	}
	load(t, "cam_ptz_pairs.json", &data)
	var cams struct {
		Cameras []struct {
			Name string
			K, R [3][3]float64
			Size [2]int `json:"image_size"`
		}
	}
	load(t, "cam_piste.json", &cams)
	find := func(name string) scene {
		for _, c := range cams.Cameras {
			if c.Name == name {
				return scene{optics{Fx: c.K[0][0], Fy: c.K[1][1], Cx: c.K[0][2], Cy: c.K[1][2]},
					pose{turn{c.R[0], c.R[1], c.R[2]}, vec{1, -10, 2}}, c.Size[0], c.Size[1]}
			}
		}
		t.Fatalf("no camera %s", name)
		return scene{}
	}
	if len(data.Pairs) != 30 {
		t.Fatalf("%d pairs", len(data.Pairs))
	}
	for _, p := range data.Pairs {
		a, b := find(p.Frm), find(p.To)
		seen := 0
		for _, px := range []mark.Pixel{{U: 0, V: 0}, {U: 1900, V: 20}, {U: 900, V: 500}, {U: 40, V: 1000}, {U: 1800, V: 1070}} {
			w := p.H[2][0]*px.U + p.H[2][1]*px.V + p.H[2][2]
			want := mark.Pixel{U: (p.H[0][0]*px.U + p.H[0][1]*px.V + p.H[0][2]) / w, V: (p.H[1][0]*px.U + p.H[1][1]*px.V + p.H[1][2]) / w}
			got, _, _, ok := turned(a.lens, a.pose, b.lens, b.pose, px)
			if !ok {
				continue
			}
			seen++
			// The entries are printed to twelve decimals: times pixels of 10³, over w.
			tol := 1e-8 * math.Max(1e3, math.Abs(want.U)+math.Abs(want.V))
			near(t, p.Frm+" to "+p.To, got.U, want.U, tol)
			near(t, p.Frm+" to "+p.To, got.V, want.V, tol)
		}
		if seen < 3 {
			t.Errorf("%s to %s: %d points seen", p.Frm, p.To, seen)
		}
	}
}

// sweep is a camera that pans, tilts and zooms over n frames.
func sweep(n int) []scene {
	var all []scene
	for i := range n {
		s := float64(i) / float64(n-1)
		f := 1700 + 500*math.Sin(3*s)
		all = append(all, scene{optics{Fx: f, Fy: f, Cx: 640, Cy: 360},
			lookAt(vec{0.3, -10, 2.6}, vec{-2.5 + 5*s, 0, 0.6 + 0.3*math.Sin(7*s)}), 1280, 720})
	}
	return all
}

// linked is a take: marks on the piste in some pictures, links from every every-th.
func linked(rng *rand.Rand, cams []scene, marked []int, every int, sd float64) ([]Picture, []Link) {
	pics := make([]Picture, len(cams))
	for i := range pics {
		pics[i] = Picture{Width: 1280, Height: 720}
	}
	for _, i := range marked {
		pics[i] = cams[i].picture(rng, 1.5, 1)
	}
	var links []Link
	ref := 0
	for i := 1; i < len(cams); i++ {
		l := Link{From: ref, To: i, SD: quantity.Pixels(sd)}
		for len(l.Matches) < 16 {
			px := mark.Pixel{U: 1280 * rng.Float64(), V: 720 * rng.Float64()}
			to, _, _, ok := turned(cams[ref].lens, cams[ref].pose, cams[i].lens, cams[i].pose, px)
			if !ok || to.U < 0 || to.V < 0 || to.U > 1280 || to.V > 720 {
				continue
			}
			to.U += sd * rng.NormFloat64()
			to.V += sd * rng.NormFloat64()
			l.Matches = append(l.Matches, LinkMatch{px, to})
		}
		links = append(links, l)
		isMarked := false
		for _, m := range marked {
			isMarked = isMarked || m == i
		}
		if i-ref >= every || isMarked {
			ref = i
		}
	}
	return pics, links
}

// Between placed frames the floor is where it is, within what is stated: coverage over
// takes drawn anew (a simulation is the outside check here), narrower near placed
// frames than far from them.
func TestLinkedCoverage(t *testing.T) {
	cams := sweep(41)
	for _, marked := range [][]int{{0, 40}, {0}} {
		var cover share
		var early, late float64
		for seed := range uint64(25) {
			rng := rand.New(rand.NewPCG(seed, 77))
			pics, links := linked(rng, cams, marked, 8, 0.3)
			exact := DefaultPriors() // this piste is as long as the rules say
			exact.Scale = 1e-9
			got, err := PlaceLinked(pics, links, Options{Priors: exact})
			if err != nil {
				t.Fatal(err)
			}
			for i, p := range got.Placings {
				if p == nil {
					t.Fatalf("picture %d is not placed", i)
				}
				if i%5 != 2 {
					continue
				}
				s := cams[i]
				x := vec{s.at(), 0.4, 0}
				j, err := p.Floor(s.see(rng, 0, x), 0)
				if err != nil {
					t.Fatal(err)
				}
				cover.add(floorDistance(j, x) < 5.991) // χ² with 2 degrees of freedom, 95 %
				if i == 2 {
					early += j.SD(0)
				}
				if i == 37 || len(marked) == 2 && i == 22 {
					late += j.SD(0)
				}
			}
			if len(got.Drifts) != len(marked)-1 {
				t.Errorf("%d drifts", len(got.Drifts))
			}
			for _, d := range got.Drifts {
				if d.Picture != 40 || d.Share > 2 {
					t.Errorf("drift %+v", d)
				}
			}
		}
		cover.within(t, "linked", 0.90, 0.99)
		if !(late > early) {
			t.Errorf("placed %v: uncertain by %.4f near the placed frame, %.4f far from it", marked, early/25, late/25)
		}
	}
}

// Without noise the cameras are the true ones, forward and back, also through k1 and
// where only two points are marked on the second placed frame.
func TestLinkedExact(t *testing.T) {
	cams := sweep(31)
	rng := rand.New(rand.NewPCG(5, 5))
	pics, links := linked(rng, cams, []int{10, 30}, 8, 1e-7)
	for _, i := range []int{10, 30} {
		pics[i] = cams[i].picture(rng, 1e-4, 1)
	}
	pics[30].Points = pics[30].Points[:2]
	got, err := PlaceLinked(pics, links, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range got.Placings {
		if p == nil {
			t.Fatalf("picture %d is not placed", i)
		}
		near(t, "focal length", float64(p.Focal.Mean), cams[i].lens.Fx, 0.05)
		near(t, "place", float64(p.Position[1].Mean), -10, 1e-3)
	}
}

// A camera that was bumped between two placed frames, unknown to the links, is noticed.
func TestLinkedDrift(t *testing.T) {
	cams := sweep(41)
	rng := rand.New(rand.NewPCG(6, 5))
	pics, links := linked(rng, cams, []int{0, 40}, 8, 0.2)
	for k := range links {
		if links[k].From >= 16 {
			for m := range links[k].Matches {
				links[k].Matches[m].To.U += 6
			}
		}
	}
	got, err := PlaceLinked(pics, links, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Drifts) != 1 || got.Drifts[0].Share < DriftSDs {
		t.Fatalf("drifts %+v", got.Drifts)
	}
	if w, ok := codes(got.Placings[40].Warnings)[CodeDrift]; !ok || w.Text == "" {
		t.Errorf("warnings %v", got.Placings[40].Warnings)
	}
}

// What no link joins to a placed frame is not placed; what is refused is named by its
// own number.
func TestLinkedApart(t *testing.T) {
	cams := sweep(21)
	rng := rand.New(rand.NewPCG(7, 5))
	pics, links := linked(rng, cams, []int{0}, 8, 0.2)
	var first []Link
	for _, l := range links {
		if l.To <= 8 || l.From > 8 {
			first = append(first, l)
		}
	}
	got, err := PlaceLinked(pics, first, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range got.Placings {
		if (p != nil) != (i <= 8) {
			t.Errorf("picture %d placed: %v", i, p != nil)
		}
	}
	pics[12].Points = pics[0].Points[:1]
	_, err = PlaceLinked(pics, links, Options{})
	var in *PictureError
	if !errors.As(err, &in) || in.Picture != 12 {
		t.Errorf("refused with %v", err)
	}
}

// The rows of a link are the derivatives of its residuals: central differences as
// second route.
func TestLinkSlopes(t *testing.T) {
	cams := sweep(5)
	a := &Placing{lens: cams[0].lens, pose: cams[0].pose, at: noSlots().lens, n: 8}
	a.lens.K1 = -0.1
	a.at[lensK1] = 7
	b := &view{lens: cams[3].lens, pose: cams[3].pose}
	b.lens.K1 = -0.1
	l := Link{Matches: []LinkMatch{{mark.Pixel{U: 300, V: 200}, mark.Pixel{}}, {mark.Pixel{U: 900, V: 600}, mark.Pixel{}}}, SD: 1}
	jb, ja, _, ok := a.linkRows(b, l, true)
	if !ok {
		t.Fatal("no rows")
	}
	const h = 1e-6
	move := func(lens optics, q pose, k int, s float64) (optics, pose) {
		switch {
		case k == 0:
			lens.Fx *= math.Exp(s)
			lens.Fy = lens.Fx
		case k < 4:
			var w vec
			w[k-1] = s
			q = q.turned(w)
		case k == 7:
			lens.K1 += s
		}
		return lens, q
	}
	at := func(k int, s float64, ofA bool) []float64 {
		la, pa, lb, pb := a.lens, a.pose, b.lens, b.pose
		if ofA || k == 7 {
			la, pa = move(la, pa, k, s)
		}
		if !ofA || k == 7 {
			lb, pb = move(lb, pb, k, s)
		}
		_, _, off, _ := (&Placing{lens: la, pose: pa, at: a.at, n: 8}).linkRows(&view{lens: lb, pose: pb}, l, true)
		return off
	}
	check := func(what string, j *mat.Dense, k int, ofA bool) {
		up, down := at(k, h, ofA), at(k, -h, ofA)
		for r := range up {
			want := (up[r] - down[r]) / (2 * h)
			near(t, what, j.At(r, k), want, 1e-5*(1+math.Abs(want)))
		}
	}
	for k := range 4 {
		check("by the other camera", jb, k, false)
		check("by this camera", ja, k, true)
	}
	check("by k1", ja, 7, true)
}

// floorDistance is the squared Mahalanobis distance of a place of the floor.
func floorDistance(j quantity.Joint, x vec) float64 {
	a, b := j.Mean[0]-x[0], j.Mean[1]-x[1]
	va, vb, c := j.Covariance(0, 0), j.Covariance(1, 1), j.Covariance(0, 1)
	return (a*a*vb - 2*a*b*c + b*b*va) / (va*vb - c*c)
}
