package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"mesure/quantity"
)

// fixed marks a quantity of the camera that is not a parameter of the fit.
const fixed = -1

// slots says at which index of the parameters a view finds its quantities; fixed
// where it keeps the value that it has. Turn and centre are the first of three;
// the turn is taken against the view's own pose.
type slots struct {
	logFocal     int // sets Fx and Fy together: their logarithm
	lens         [lensCount]int
	turn, centre int
}

func noSlots() slots {
	s := slots{logFocal: fixed, turn: fixed, centre: fixed}
	for i := range s.lens {
		s.lens[i] = fixed
	}
	return s
}

// view is one picture in a fit: what is known of its camera, and its points.
type view struct {
	lens   optics
	pose   pose
	slots  slots
	points []Point
	weight []float64 // of each point, between 0 and 1; nil means all 1
	priors []prior
}

// camera returns lens and pose at these parameters.
func (v *view) camera(p []float64) (optics, pose) {
	l, q := v.lens, v.pose
	if v.slots.logFocal != fixed {
		l.Fx = math.Exp(p[v.slots.logFocal])
		l.Fy = l.Fx
	}
	for k, at := range [lensCount]*float64{&l.Fx, &l.Fy, &l.Skew, &l.Cx, &l.Cy, &l.K1, &l.K2} {
		if i := v.slots.lens[k]; i != fixed {
			*at = p[i]
		}
	}
	if i := v.slots.turn; i != fixed {
		q = q.turned(vec(p[i : i+3]))
	}
	if i := v.slots.centre; i != fixed {
		q.centre = vec(p[i : i+3])
	}
	return l, q
}

// scatter adds a sensitivity, times weight, to a row of the derivatives.
func (v *view) scatter(dst *mat.Dense, row int, p []float64, l optics, d *sensitivity, axis int, weight float64) {
	raw := dst.RawRowView(row)
	s := &v.slots
	if s.logFocal != fixed {
		raw[s.logFocal] += (d.lens[axis][lensFx]*l.Fx + d.lens[axis][lensFy]*l.Fy) * weight
	}
	for k, i := range s.lens {
		if i != fixed {
			raw[i] += d.lens[axis][k] * weight
		}
	}
	if i := s.turn; i != fixed {
		g := leftJacobian(vec(p[i : i+3])).back(d.turn[axis])
		for k := range g {
			raw[i+k] += g[k] * weight
		}
	}
	if i := s.centre; i != fixed {
		for k := range 3 {
			raw[i+k] += d.centre[axis][k] * weight
		}
	}
}

// wall is the residual, in marking errors, of a point that a camera cannot see:
// far above any real one, so that no step goes there.
const wall = 1e9

// bundle is a fit of several views at once.
type bundle struct {
	views  []*view
	start  []float64
	shared []prior // on parameters that views share
	links  []bundleLink
}

// add makes a new parameter and returns its index.
func (b *bundle) add(start ...float64) int {
	b.start = append(b.start, start...)
	return len(b.start) - len(start)
}

func (b *bundle) count() int {
	n := len(b.shared)
	for _, v := range b.views {
		n += equations(v.points) + len(v.priors)
	}
	for _, k := range b.links {
		n += k.count()
	}
	return n
}

// problem states the fit for quantity.Fit: residuals in marking errors, priors in
// their own standard deviations.
func (b *bundle) problem() quantity.Problem {
	return quantity.Problem{Count: b.count(), Residuals: b.residuals, Jacobian: b.jacobian}
}

func (b *bundle) residuals(dst, p []float64) {
	row := 0
	for _, v := range b.views {
		l, q := v.camera(p)
		for i, pt := range v.points {
			w := v.weightOf(i)
			if pt.line != nil {
				dst[row] = wall * w * pt.sd()
				if f, ok := l.plumb(q, *pt.line, pt.At, nil); ok {
					dst[row] = f.off * w
				}
				row++
				continue
			}
			px, ok := l.project(q, at(pt.On), nil)
			if !ok {
				far := wall * w * v.points[i].sd()
				dst[row], dst[row+1] = far, far
			} else {
				dst[row], dst[row+1] = (px.U-pt.At.U)*w, (px.V-pt.At.V)*w
			}
			row += 2
		}
		for _, r := range v.priors {
			dst[row] = r.residual(p, q)
			row++
		}
	}
	for _, r := range b.shared {
		dst[row] = r.residual(p, pose{})
		row++
	}
	for _, k := range b.links {
		k.residuals(dst[row:], p)
		row += k.count()
	}
}

func (b *bundle) jacobian(dst *mat.Dense, p []float64) {
	dst.Zero()
	row := 0
	for _, v := range b.views {
		l, q := v.camera(p)
		for i, pt := range v.points {
			var d sensitivity
			w := v.weightOf(i)
			if pt.line != nil {
				if f, ok := l.plumb(q, *pt.line, pt.At, &d); ok {
					v.scatter(dst, row, p, l, &d, 0, w*f.across[0])
					v.scatter(dst, row, p, l, &d, 1, w*f.across[1])
				}
				row++
				continue
			}
			if _, ok := l.project(q, at(pt.On), &d); ok {
				v.scatter(dst, row, p, l, &d, 0, w)
				v.scatter(dst, row+1, p, l, &d, 1, w)
			}
			row += 2
		}
		for _, r := range v.priors {
			r.slope(dst.RawRowView(row), p, v, q)
			row++
		}
	}
	for _, r := range b.shared {
		r.slope(dst.RawRowView(row), p, nil, pose{})
		row++
	}
	for _, k := range b.links {
		k.jacobian(dst, row, p)
		row += k.count()
	}
}

// weightOf is what a residual of point i is multiplied with.
func (v *view) weightOf(i int) float64 {
	w := 1 / v.points[i].sd()
	if v.weight != nil {
		w *= v.weight[i]
	}
	return w
}
