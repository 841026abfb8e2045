package camera

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
	"mesure/sport/piste"
)

// CalibrateOptions say what Calibrate fits beside both focal lengths and the
// principal point.
type CalibrateOptions struct {
	// Skew lets the axes of the picture be askew.
	Skew bool
	// Radial is how many radial coefficients are fitted: 0, 1 or 2.
	Radial int
}

// Calibration is a lens found from several views of a flat target.
type Calibration struct {
	Lens Lens
	// Fitted has the numbers of the lens that were fitted, with their covariance,
	// in the order Fx, Fy, Skew, Cx, Cy, K1, K2, those left out that were not. The
	// noise is taken from the residuals.
	Fitted quantity.Joint
	// RMS is the root mean square distance over all points.
	RMS quantity.Pixels
	// Views has the camera of each view, in the frame of the target.
	Views []Stand
}

// Stand is where a camera stood and how it was turned: its axes in the frame of
// the points, right, down and forward in the picture, each of length 1.
type Stand struct {
	Position piste.Place
	Axes     [3]piste.Place
}

// Calibrate finds the lens of a camera from several views of a flat target of
// known points, taken with one lens setting: it makes smallest the sum over all
// views of |mark − projected point|²/SD², over the lens and every pose, without
// priors. The start is the closed form from the views' maps.
//
// Target in metres (z = 0), pictures in pixels. Two or more views that are
// turned against each other are needed. It refuses what FitHomography refuses,
// naming the view by its number from 1, and ErrNoFit where the views do not
// determine the lens.
//
// Line marks of the pictures are not looked at. The found lens serves as Options.Lens. Source: Z. Zhang, IEEE TPAMI
// 22(11):1330 (2000), sections 3.1 to 3.3.
func Calibrate(views []Picture, opt CalibrateOptions) (*Calibration, error) {
	if opt.Radial < 0 || opt.Radial > 2 {
		panic("camera: Calibrate fits 0, 1 or 2 radial coefficients")
	}
	if len(views) < 2 {
		return nil, fmt.Errorf("%d views of the target: %w", len(views), ErrNoFit)
	}
	maps := make([]*Homography, len(views))
	for i, v := range views {
		m, err := FitHomography(v.Points)
		if err != nil {
			return nil, fmt.Errorf("view %d: %w", i+1, err)
		}
		maps[i] = m
	}
	start, ok := closedForm(maps, opt.Skew)
	if !ok {
		return nil, fmt.Errorf("the views are not turned enough against each other: %w", ErrNoFit)
	}
	if !opt.Skew {
		start.Skew = 0
	}
	b, lens := &bundle{}, noSlots().lens
	for k, v := range [lensCount]float64{start.Fx, start.Fy, start.Skew, start.Cx, start.Cy, 0, 0} {
		if (k == lensSkew && !opt.Skew) || k-lensK1 >= opt.Radial {
			continue
		}
		lens[k] = b.add(v)
	}
	points := 0
	for i, v := range views {
		q := posesOf(maps[i].H, start, v.Points)
		if len(q) == 0 {
			return nil, fmt.Errorf("view %d: %w", i+1, ErrNoFit)
		}
		w := &view{lens: start, pose: q[0], points: v.Points, slots: slots{logFocal: fixed, lens: lens}}
		w.slots.turn = b.add(0, 0, 0)
		w.slots.centre = b.add(q[0].centre[:]...)
		b.views = append(b.views, w)
		points += len(v.Points)
	}
	if len(b.start) > b.count() {
		return nil, ErrTooFew
	}
	sol, err := quantity.Fit(b.problem(), b.start, quantity.Settings{})
	if sol.Cov == nil {
		return nil, fmt.Errorf("%w (%v)", ErrNoFit, err)
	}
	return b.calibration(sol, lens, points), nil
}

func (b *bundle) calibration(sol quantity.Solution, lens [lensCount]int, points int) *Calibration {
	noise := 1.0
	if dof := b.count() - len(b.start); dof > 0 {
		noise = sol.RSS / float64(dof)
	}
	c := &Calibration{}
	var index []int
	for _, i := range lens {
		if i != fixed {
			index = append(index, i)
		}
	}
	c.Fitted = sol.Joint(noise).Pick(index...)
	sum := 0.0
	for _, v := range b.views {
		l, q := v.camera(sol.P)
		c.Lens = l.stated()
		for _, p := range v.points {
			px, _ := l.project(q, at(p.On), nil)
			sum += square(px.U-p.At.U) + square(px.V-p.At.V)
		}
		c.Views = append(c.Views, Stand{q.centre.place(), [3]piste.Place{q.turn[0].place(), q.turn[1].place(), q.turn[2].place()}})
	}
	c.RMS = quantity.Pixels(math.Sqrt(sum / float64(points)))
	return c
}

// closedForm is Zhang's closed form for the lens from two or more maps (his
// section 3.1 and appendix B); without skew, b₁₂ is left out. For fewer than three
// views, and where the closed form has no real lens, the mean of the focal
// lengths that the maps suggest about the mean of the pictures serves.
func closedForm(maps []*Homography, skew bool) (optics, bool) {
	// Work in pixels of unit size: maps of the mean picture scale.
	var cx, cy, k float64
	for _, m := range maps {
		cx += m.to.cx / float64(len(maps))
		cy += m.to.cy / float64(len(maps))
		k += m.to.k / float64(len(maps))
	}
	pre := [9]float64{k, 0, -k * cx, 0, k, -k * cy, 0, 0, 1}
	rows := max(2*len(maps)+1, 6)
	a := mat.NewDense(rows, 6, nil)
	for i, m := range maps {
		h := mul9(pre, m.H)
		size := math.Sqrt(h[0]*h[0] + h[3]*h[3] + h[6]*h[6] + h[1]*h[1] + h[4]*h[4] + h[7]*h[7])
		for j := range h {
			h[j] /= size
		}
		c1, c2 := vec{h[0], h[3], h[6]}, vec{h[1], h[4], h[7]}
		v12, v11, v22 := zhangRow(c1, c2), zhangRow(c1, c1), zhangRow(c2, c2)
		a.SetRow(2*i, v12[:])
		for j := range v11 {
			v11[j] -= v22[j]
		}
		a.SetRow(2*i+1, v11[:])
	}
	if !skew || len(maps) < 3 {
		a.Set(2*len(maps), 1, 1)
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return optics{}, false
	}
	var v mat.Dense
	svd.VTo(&v)
	var b [6]float64
	for i := range b {
		b[i] = v.At(i, 5)
	}
	if l, ok := fromConic(b); ok && len(maps) >= 2 {
		return optics{Fx: l.Fx / k, Fy: l.Fy / k, Skew: l.Skew / k, Cx: l.Cx/k + cx, Cy: l.Cy/k + cy}, true
	}
	return meanFocal(maps, cx, cy)
}

// zhangRow is v_ij of Zhang's appendix.
func zhangRow(a, b vec) [6]float64 {
	return [6]float64{a[0] * b[0], a[0]*b[1] + a[1]*b[0], a[1] * b[1], a[2]*b[0] + a[0]*b[2], a[2]*b[1] + a[1]*b[2], a[2] * b[2]}
}

// fromConic reads the lens out of the image of the absolute conic.
func fromConic(b [6]float64) (optics, bool) {
	d := b[0]*b[2] - b[1]*b[1]
	cy := (b[1]*b[3] - b[0]*b[4]) / d
	lam := b[5] - (b[3]*b[3]+cy*(b[1]*b[3]-b[0]*b[4]))/b[0]
	fx, fy := math.Sqrt(lam/b[0]), math.Sqrt(lam*b[0]/d)
	skew := -b[1] * fx * fx * fy / lam
	cx := skew*cy/fy - b[3]*fx*fx/lam
	return optics{Fx: fx, Fy: fy, Skew: skew, Cx: cx, Cy: cy}, finite(fx, fy, skew, cx, cy) && fx > 0 && fy > 0
}

func meanFocal(maps []*Homography, cx, cy float64) (optics, bool) {
	sum, n := 0.0, 0.0
	for _, m := range maps {
		if fs := focals(m.H, cx, cy); len(fs) > 0 {
			sum += math.Log(fs[0])
			n++
		}
	}
	f := math.Exp(sum / n)
	return optics{Fx: f, Fy: f, Cx: cx, Cy: cy}, n > 0
}
