package camera

import (
	"fmt"
	"math"
	"strings"
)

// verdict is what was found out about points that do not agree.
type verdict struct {
	named []Warning
	// blamed are points of which one is probably wrong.
	blamed []int
}

// fitted finds the fit to start from: that of all points or, where they do not
// agree, that with two labels exchanged or with one or two points left out, if
// all then agree. What was done is the warning, beside other causes that would
// account for the misfit as well. The odd points keep their labels: they are
// judged, and lose their weight, afterwards.
func (f frame) fitted() (solved, verdict, error) {
	pts := f.pic.Points
	s, err := f.fresh(pts)
	chi := s.chi
	if err != nil {
		chi = math.Inf(1)
	} else if _, far := misfit(s.chi, f.spare(pts, s.free)); !far {
		return s, verdict{}, nil
	}
	if equations(pts) <= 2*MinPoints {
		return s, verdict{}, err
	}
	if len(pts) > SearchPoints {
		if err != nil {
			return s, verdict{}, err
		}
		return s, verdict{named: append(f.width(chi), f.distortion(s)...)}, nil
	}
	if len(proper(pts)) < len(pts) { // the searches for what is wrong share these
		f.starts = f.sketched(pts, f.grid(pts))
		f.starts = f.starts[:min(len(f.starts), startsTried)]
	}
	if i, j, t, ok := f.exchanged(pts, chi); ok {
		off := math.Max(t.offs(pts)[i], t.offs(pts)[j])
		return t, verdict{named: []Warning{{Code: CodeSwap, About: pts[i].label() + andBetween + pts[j].label(), Doubt: off,
			Text: fmt.Sprintf("exchanging the labels of %s and %s would make all points agree; as they stand, they lie %.0f marking errors off and have little weight: check them", pts[i].label(), pts[j].label(), off)}}}, nil
	}
	causes := f.width(chi)
	if err == nil {
		causes = append(causes, f.distortion(s)...)
	}
	who, t := f.suspects(pts, chi)
	if len(who) == 0 {
		if w, u, ok := f.misnamed(pts, chi); ok {
			return u, verdict{named: append([]Warning{w}, causes...)}, nil
		}
	}
	if len(who) != 1 {
		pair, u, ok := f.twoSuspects(pts, chi)
		if !ok {
			if len(causes) > 0 || len(who) > mostSuspects {
				who = nil
			}
			return s, verdict{causes, who}, err
		}
		who, t = pair[:], u
	}
	off := t.offs(pts)
	var named []Warning
	for _, i := range who {
		named = append(named, offWarning(pts[i], off[i]))
	}
	return t, verdict{named: append(named, causes...)}, nil
}

// offWarning says that a point disagrees with the others.
func offWarning(p Point, off float64) Warning {
	if p.line != nil {
		return Warning{Code: CodeDisagrees, About: p.label(), Doubt: off,
			Text: fmt.Sprintf("the mark at %.0f, %.0f %s lies %.0f marking errors from where the other marks put the line and has little weight: check the name of the line and the mark", p.At.U, p.At.V, p.label(), off)}
	}
	return Warning{Code: CodeDisagrees, About: p.label(), Doubt: off,
		Text: fmt.Sprintf("%s lies %.0f marking errors from where the other points put it and has little weight: check its label and its mark", p.label(), off)}
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
			ws = append(ws, offWarning(pts[i], off[i]))
		}
	}
	return ws
}

// explain says that the residuals are far above the noise, and what may mend it.
func (f frame) explain(ratio float64, v verdict) Warning {
	pts := f.pic.Points
	mend, about := "check the labels and the marks", ""
	if !f.opt.Distortion && f.opt.Lens == nil {
		mend += ", or let lens distortion be fitted"
	}
	if len(v.blamed) > 1 {
		all := make([]string, len(v.blamed))
		for k, i := range v.blamed {
			all[k] = pts[i].label()
		}
		about = strings.Join(all, andBetween)
		mend = "one of " + strings.Join(all, ", ") + " is probably wrong; check their labels and marks"
	}
	for _, w := range v.named {
		switch w.Code {
		case CodeDistortion:
			mend = "the lens distorts, so let k1 be fitted; or a label is wrong"
		case CodeWidth:
			mend = "the court is not as wide as was said, or a label is wrong"
		}
	}
	return Warning{Code: CodeMisfit, About: about, Doubt: ratio,
		Text: fmt.Sprintf("the residuals are %.1f times the marking noise: %s", ratio, mend)}
}

// distortion warns where a radial coefficient would account for the misfit.
func (f frame) distortion(s solved) []Warning {
	pts := f.pic.Points
	if f.opt.Distortion || f.opt.Lens != nil || f.spare(pts, s.free) <= 2 {
		return nil
	}
	bent := f
	bent.opt.Distortion = true
	t, err := bent.best(pts, nil, []seed{{s.lens, s.pose, 0}})
	if err != nil || t.chi*float64(DistortionGain) >= s.chi {
		return nil
	}
	left := math.Sqrt(t.chi / math.Max(1, float64(f.spare(pts, t.free))))
	return []Warning{{Code: CodeDistortion, Doubt: t.lens.K1,
		Text: fmt.Sprintf("a lens distortion of k1 = %.3f would lower the residuals to %.1f times the marking noise: let it be fitted", t.lens.K1, left)}}
}

// andBetween stands between the names of several points in Warning.About.
const andBetween = " and "

// mostSuspects is how many points a message blames at most.
const mostSuspects = 3

// width warns where another width of the court would account for the misfit.
func (f frame) width(chi float64) []Warning {
	if k, ok := f.wider(chi); ok {
		return []Warning{widthWarning(k, f.pic.Points)}
	}
	return nil
}

// wider looks for a width of the court, as a factor of the one that was said, at
// which all points agree. It needs points to spare.
func (f frame) wider(chi float64) (float64, bool) {
	pts := f.pic.Points
	try := func(logFactor float64) (solved, float64) {
		wide := append([]Point(nil), pts...)
		for i := range wide {
			wide[i] = wide[i].stretched(math.Exp(logFactor))
		}
		s, err := f.fresh(wide)
		if err != nil {
			return s, math.Inf(1)
		}
		return s, s.chi
	}
	lo, hi := -math.Log(float64(WidthFactor)), math.Log(float64(WidthFactor))
	const golden = 0.6180339887498949
	a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
	_, fa := try(a)
	_, fb := try(b)
	for range widthSteps {
		if fa < fb {
			hi, b, fb = b, a, fa
			a = hi - golden*(hi-lo)
			_, fa = try(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + golden*(hi-lo)
			_, fb = try(b)
		}
	}
	s, best := try((lo + hi) / 2)
	if math.IsInf(best, 1) || f.spare(pts, s.free+1) < 3 {
		return 1, false
	}
	_, far := misfit(best, f.spare(pts, s.free+1))
	return math.Exp((lo + hi) / 2), !far && chi > best+float64(NamingMargin)
}

// widthSteps narrows the factor down to a few thousandths.
const widthSteps = 12

// widthWarning states the width that would make the points agree.
func widthWarning(factor float64, pts []Point) Warning {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		from, to := p.On.Y, p.On.Y
		if p.line != nil {
			from, to = p.line.a[1], p.line.b[1]
		}
		lo, hi = math.Min(lo, math.Min(from, to)), math.Max(hi, math.Max(from, to))
	}
	return Warning{Code: CodeWidth, Doubt: factor,
		Text: fmt.Sprintf("all points would agree if the court were %.2f m wide instead of %.2f m: measure it", (hi-lo)*factor, hi-lo)}
}
