package camera

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
)

// Place finds the camera of one picture: focal length, place and turn, and k1
// and the principal point where the options ask for them, as the most probable
// camera given the marks and weak priors. It makes smallest
//
//	Σ ρ(|mark − projected place|²/SD²) + Σ((quantity − prior mean)/prior SD)²
//
// where ρ is the plain square up to OutlierSDs and gives points beyond it less
// and less weight. Starts come from the map of the floor to the picture and from
// a grid of focal lengths, each with both poses that a flat target allows. The
// covariance is that of the straightened problem at the optimum; where the
// residuals are far above the marking noise it is widened by their ratio.
//
// World in metres, picture in pixels. Four or more points of the floor are
// needed, at least two of them off any line through the others. It refuses with
// the errors of this package (ErrTooFew, ErrCollinear, ErrMirrored …), and warns
// with the codes of this package where the answer is doubtful.
//
// Source: Hartley & Zisserman, Multiple View Geometry, 2nd ed., sections 4 and
// 8; Zhang, IEEE TPAMI 22(11):1330 (2000).
func Place(pic Picture, opt Options) (*Placing, error) {
	f, err := newFrame(pic, opt)
	if err != nil {
		return nil, err
	}
	if err := general(pic.Points); err != nil {
		return nil, err
	}
	s, named, err := f.fitted()
	if err != nil {
		return nil, err
	}
	s, weight, err := f.weighed(s, pic.Points)
	if err != nil {
		return nil, err
	}
	if ratio, _ := misfit(s.chi, f.spare(len(pic.Points), s.free)); !(ratio < hopeless) {
		return nil, fmt.Errorf("%s: %w", names(pic.Points), ErrNoFit)
	}
	return f.placing(s, weight, named), nil
}

// hopeless is the ratio of squared residuals to squared marking noise at which a
// fit is none: marks a hundred thousand errors off.
const hopeless = 1e10

// newFrame checks what does not depend on the fit.
func newFrame(pic Picture, opt Options) (frame, error) {
	if pic.Width < 1 || pic.Height < 1 || float64(pic.Width) > MaxCoordinate || float64(pic.Height) > MaxCoordinate {
		return frame{}, fmt.Errorf("%d×%d: %w", pic.Width, pic.Height, ErrPicture)
	}
	if l := opt.Lens; l != nil && !(l.Fx > 0 && l.Fy > 0 && finite(l.Fx, l.Fy, l.Skew, l.Cx, l.Cy, l.K1, l.K2)) {
		return frame{}, ErrLens
	}
	opt.Priors = opt.Priors.filled()
	return frame{pic, opt}, checked(pic.Points)
}

// fitted finds the fit to start from: that of all points or, where they do not
// agree, that with two labels exchanged or with one point left out, if all then
// agree. What was done is the warning. The odd points keep their labels: they are
// judged, and lose their weight, afterwards.
func (f frame) fitted() (solved, []Warning, error) {
	pts := f.pic.Points
	s, err := f.fresh(pts)
	chi := s.chi
	if err != nil {
		chi = math.Inf(1)
	} else if _, far := misfit(s.chi, f.spare(len(pts), s.free)); !far {
		return s, nil, nil
	}
	if len(pts) <= MinPoints {
		return s, nil, err
	}
	if i, j, t, ok := f.exchanged(pts, chi); ok {
		off := math.Max(t.offs(pts)[i], t.offs(pts)[j])
		return t, []Warning{{Code: CodeSwap, About: pts[i].label() + andBetween + pts[j].label(), Doubt: off,
			Text: fmt.Sprintf("exchanging the labels of %s and %s would make all points agree; as they stand, they lie %.0f marking errors off and have no weight: check them", pts[i].label(), pts[j].label(), off)}}, nil
	}
	if who, t := f.suspects(pts, chi); len(who) == 1 {
		i := who[0]
		off := t.offs(pts)[i]
		return t, []Warning{{Code: CodeDisagrees, About: pts[i].label(), Doubt: off,
			Text: fmt.Sprintf("%s lies %.0f marking errors from where the other points put it and has little weight: check its label and its mark", pts[i].label(), off)}}, nil
	}
	return s, nil, err
}

// placing states the result.
func (f frame) placing(s solved, weight []float64, named []Warning) *Placing {
	pts := f.pic.Points
	spare := f.spare(len(pts), s.free)
	ratio, far := misfit(s.chi, spare)
	if far {
		for i := range s.cov {
			s.cov[i] *= ratio
		}
	}
	p := newPlacing(s, f.opt.Priors.Scale)
	p.residuals(pts)
	p.weight = weight
	p.Warnings = append(p.Warnings, named...)
	p.Warnings = append(p.Warnings, discounted(pts, weight, s.offs(pts), named)...)
	if far {
		p.Warnings = append(p.Warnings, f.explain(s, math.Sqrt(ratio))...)
	}
	if spare <= 1 {
		p.Warnings = append(p.Warnings, Warning{Code: CodeNoSpare, Doubt: float64(spare),
			Text: fmt.Sprintf("%d points leave %d equations to spare, so that a wrong mark cannot show: add a point", len(pts), max(spare, 0))})
	}
	p.Warnings = append(p.Warnings, p.doubts(pts)...)
	p.Warnings = append(p.Warnings, f.pic.offImage()...)
	return p
}

// discounted warns of points that lost most of their weight, beside those that
// have been named.
func discounted(pts []Point, weight, off []float64, named []Warning) []Warning {
	known := map[string]bool{}
	for _, w := range named {
		for _, label := range strings.Split(w.About, andBetween) {
			known[label] = true
		}
	}
	var ws []Warning
	for i, w := range weight {
		if w < 0.5 && !known[pts[i].label()] {
			ws = append(ws, Warning{Code: CodeDisagrees, About: pts[i].label(), Doubt: off[i],
				Text: fmt.Sprintf("%s lies %.1f marking errors from where the other points put it and was given little weight: check its label and its mark", pts[i].label(), off[i])})
		}
	}
	return ws
}

// explain says that the residuals are far above the noise, and whether lens
// distortion would account for them.
func (f frame) explain(s solved, ratio float64) []Warning {
	pts := f.pic.Points
	mend := "check the labels and the marks"
	var more []Warning
	if !f.opt.Distortion && f.opt.Lens == nil && f.spare(len(pts), s.free) > 2 {
		mend = "check the labels and the marks, or let lens distortion be fitted"
		bent := f
		bent.opt.Distortion = true
		if t, err := bent.best(pts, nil, []seed{{s.lens, s.pose, 0}}); err == nil && t.chi*float64(DistortionGain) < s.chi {
			left := math.Sqrt(t.chi / math.Max(1, float64(f.spare(len(pts), t.free))))
			mend = "the lens distorts, so let k1 be fitted; or a label is wrong"
			more = append(more, Warning{Code: CodeDistortion, Doubt: t.lens.K1,
				Text: fmt.Sprintf("a lens distortion of k1 = %.3f would lower the residuals to %.1f times the marking noise: let it be fitted", t.lens.K1, left)})
		}
	}
	about := ""
	if who, _ := f.suspects(pts, s.chi); len(more) == 0 && len(who) > 1 && len(who) <= mostSuspects {
		all := make([]string, len(who))
		for k, i := range who {
			all[k] = pts[i].label()
		}
		about = strings.Join(all, andBetween)
		mend = "one of " + strings.Join(all, ", ") + " is probably wrong; check their labels and marks"
	}
	return append([]Warning{{Code: CodeMisfit, About: about, Doubt: ratio,
		Text: fmt.Sprintf("the residuals are %.1f times the marking noise: %s", ratio, mend)}}, more...)
}

// andBetween stands between the names of several points in Warning.About.
const andBetween = " and "

// mostSuspects is how many points a message blames at most.
const mostSuspects = 3

// degrees is for messages only.
func degrees(r quantity.Radians) float64 { return float64(r) * 180 / math.Pi }
