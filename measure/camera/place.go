package camera

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// Place finds the camera of one picture: focal length, place and turn, and k1
// and the principal point where the options ask for them, as the most probable
// camera given the marks and weak priors. It makes smallest
//
//	Σ ρ(|mark − projected place|²/SD²) + Σ ρ(d²/SD²) + Σ((quantity − prior mean)/prior SD)²
//
// where d is the distance in the picture of a line mark from its projected line,
// lens distortion followed, and ρ is the plain square up to OutlierSDs and gives
// marks beyond it less and less weight. Starts come from the map of the floor to
// the picture and from a grid of focal lengths, each with both poses that a flat
// target allows; with few line marks, also from a grid of cameras all round. A
// prior that the picture overrules (PriorShare) is left out of the last fit. The
// covariance is that of the straightened problem at the optimum; where the
// residuals are far above the marking noise it is widened by their ratio.
//
// World in metres, picture in pixels. Four or more points of the floor are
// needed, at least two of them off any line through the others; or points and
// line marks that give eight equations, two a point and one a line mark, and tell
// different things: two places each on two lines across and two along, say, or
// three points and two places of a line that passes none of them. A line tells two
// things however many marks it carries, so that three lines alone are never
// enough; parallel lines, lines through one point, and two points with two lines
// that pass neither leave the camera open too. It refuses with the errors of this
// package (ErrTooFew, ErrCollinear, ErrOpen, ErrMirrored …), and warns with the
// codes of this package where the answer is doubtful.
//
// Source: Hartley & Zisserman, Multiple View Geometry, 2nd ed., sections 2.2, 4
// and 8; Zhang, IEEE TPAMI 22(11):1330 (2000).
func Place(pic Picture, opt Options) (*Placing, error) {
	f, err := newFrame(pic, opt)
	if err != nil {
		return nil, err
	}
	pic = f.pic
	if err := general(pic.Points); err != nil {
		return nil, err
	}
	s, v, err := f.fitted()
	if err != nil {
		return nil, err
	}
	s, weight, err := f.weighed(s, pic.Points)
	if err != nil {
		return nil, err
	}
	s = f.released(s, weight)
	if ratio, _ := misfit(s.chi, f.spare(pic.Points, s.free)); !(ratio < hopeless) {
		return nil, fmt.Errorf("%s: %w", names(pic.Points), ErrNoFit)
	}
	return f.placing(s, weight, v), nil
}

// released fits once more without the priors that the picture overrules.
func (f frame) released(s solved, weight []float64) solved {
	free := f
	var some bool
	if free.opt.Priors, some = f.opt.Priors.overruled(s, f.pic.Width); !some {
		return s
	}
	t, err := free.best(f.pic.Points, weight, []seed{{s.lens, s.pose, 0}})
	if err != nil {
		return s
	}
	return t
}

// hopeless is the ratio of squared residuals to squared marking noise at which a
// fit is none: marks a hundred thousand errors off.
const hopeless = 1e10

// newFrame checks what does not depend on the fit, and puts the line marks behind
// the points.
func newFrame(pic Picture, opt Options) (frame, error) {
	if pic.Width < 1 || pic.Height < 1 || float64(pic.Width) > MaxCoordinate || float64(pic.Height) > MaxCoordinate {
		return frame{}, fmt.Errorf("%d×%d: %w", pic.Width, pic.Height, ErrPicture)
	}
	if opt.Lens != nil && !opt.Lens.optics().real() {
		return frame{}, ErrLens
	}
	opt.Priors = opt.Priors.filled()
	if err := checked(pic.Points); err != nil {
		return frame{}, err
	}
	for _, m := range pic.Lines {
		if err := m.checked(); err != nil {
			return frame{}, err
		}
	}
	pic.Points, pic.Lines = pic.whole(), nil
	return frame{pic: pic, opt: opt}, nil
}

// placing states the result.
func (f frame) placing(s solved, weight []float64, v verdict) *Placing {
	pts := f.pic.Points
	spare := f.spare(pts, s.free)
	ratio, far := misfit(s.chi, spare)
	if far {
		for i := range s.cov {
			s.cov[i] *= ratio
		}
	}
	p := newPlacing(s, f.opt.Priors.Scale)
	p.residuals(pts)
	p.weight = weight
	p.Warnings = append(p.Warnings, v.named...)
	p.Warnings = append(p.Warnings, discounted(pts, weight, s.offs(pts), v.named)...)
	if far {
		p.Warnings = append(p.Warnings, f.explain(math.Sqrt(ratio), v))
	}
	if spare <= 1 {
		p.Warnings = append(p.Warnings, spareWarning(pts, spare))
	}
	p.Warnings = append(p.Warnings, p.doubts(pts)...)
	p.Warnings = append(p.Warnings, f.pic.offImage()...)
	return p
}

// spareWarning says that no equation is left over to show a wrong mark.
func spareWarning(points []Point, spare int) Warning {
	n := len(proper(points))
	count := fmt.Sprintf("%d points", n)
	if more := len(points) - n; more > 0 {
		count += fmt.Sprintf(" and %d marks on lines", more)
	}
	left := "no equation"
	if spare > 0 {
		left = "one equation"
	}
	return Warning{Code: CodeNoSpare, Doubt: float64(spare),
		Text: fmt.Sprintf("%s leave %s to spare, so that a wrong mark hardly shows: add a point", count, left)}
}

// degrees is for messages only.
func degrees(r quantity.Radians) float64 { return float64(r) * 180 / math.Pi }
