package chart

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/study"
)

// ErrNoFit says that a fit has nothing to draw.
var ErrNoFit = errors.New("nothing was fitted: follow the point through the movement")

// fitted is a picture of a fit in the making.
type fitted struct {
	o      Options
	p      study.Profile
	f      study.Fit
	hue    draw.Colour
	t0, t1 float64 // seconds
	y0, y1 float64 // metres
	usual  []study.FitPoint
}

// Heights of the picture of a fit.
const (
	fitPlot draw.MM = 58
	fitRest draw.MM = 15
	fitRow  draw.MM = 7.2
)

// Fit draws the movement of this index in Profile.Fits: the travel of the point that was
// followed, each place with its ±, the curve that was fitted to it and the usual one from
// which the fit began; below what the fit leaves over, on its own scale, and for each
// number of the movement what it was taken to be and what it has become.
//
// It returns ErrNoFit where there are no data or no curve, and panics without such a fit.
func Fit(p study.Profile, i int, o Options) (*draw.Drawing, error) {
	if i < 0 || i >= len(p.Fits) {
		panic("chart: a fit needs its place in the profile")
	}
	c := &fitted{o: o.themed(), p: p, f: p.Fits[i]}
	c.hue = plate.Hue(c.o.Theme, p.Who)
	c.f.Data, c.f.Curve = fitPoints(c.f.Data), fitPoints(c.f.Curve)
	if len(c.f.Data) == 0 || len(c.f.Curve) < 2 {
		return nil, ErrNoFit
	}
	c.extent()
	if !(c.t1 > c.t0) || !(c.y1 > c.y0) {
		return nil, ErrNoFit
	}
	parts := []part{headed(c.what()), c.travel(), headed("What the curve leaves over"), c.rest(), headed("What was taken as usual, and what the movement makes of it"), c.numbers(), said(c.o, c.unused())}
	where := "this touch"
	if c.f.Touch != "" {
		where = "touch " + c.f.Touch
	}
	if c.f.Take != "" {
		where += fmt.Sprintf(", take %s, frames %d to %d", c.f.Take, c.f.From, c.f.To)
	}
	source := plate.Sentences(where, "minimum-jerk curves of arm and body, fitted with the usual numbers as prior", plate.DoubtNote)
	return leafOf(c.o, c.finding(), c.desc(), source, parts), nil
}

// unused says why nothing of the fit is used.
func (c *fitted) unused() string {
	if c.f.Unused == "" {
		return ""
	}
	return "None of it is used for the profile: " + c.f.Unused + "."
}

// what was followed: the point where the arm moves, else the body.
func (c *fitted) what() string {
	if c.f.Prior.Arm.Mean == 0 {
		return "How far the body had gone"
	}
	return "How far the point had gone"
}

// fitPoints are those that are numbers, in order of time.
func fitPoints(all []study.FitPoint) []study.FitPoint {
	var out []study.FitPoint
	for _, p := range all {
		if finite(float64(p.At)) && finite(float64(p.Travel)) && finite(float64(p.SD)) {
			out = append(out, p)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At < out[j].At })
	return out
}

// extent finds the axes, and the usual curve over the same time.
func (c *fitted) extent() {
	c.t0, c.t1, c.y0, c.y1 = math.Inf(1), math.Inf(-1), 0, 0.05
	for _, p := range c.f.Curve {
		c.t0, c.t1 = math.Min(c.t0, float64(p.At)), math.Max(c.t1, float64(p.At))
		c.y0, c.y1 = math.Min(c.y0, float64(p.Travel)), math.Max(c.y1, float64(p.Travel))
	}
	for _, p := range c.f.Data {
		c.t0, c.t1 = math.Min(c.t0, float64(p.At)), math.Max(c.t1, float64(p.At))
		c.y0, c.y1 = math.Min(c.y0, float64(p.Travel-p.SD)), math.Max(c.y1, float64(p.Travel+p.SD))
	}
	prior := c.f.Prior
	if c.f.SeenBody == 0 { // the curve is that of the arm alone
		prior.Body = quantity.Exactly(quantity.Metres(0))
	}
	const steps = 60
	for k := range steps + 1 {
		t := quantity.Seconds(c.t0 + (c.t1-c.t0)*float64(k)/steps)
		s := prior.Travel(t)
		if !finite(float64(s)) {
			c.usual = nil
			break
		}
		c.usual = append(c.usual, study.FitPoint{At: t, Travel: s})
	}
	for _, p := range c.usual {
		c.y0, c.y1 = math.Min(c.y0, float64(p.Travel)), math.Max(c.y1, float64(p.Travel))
	}
	room := 0.04 * (c.y1 - c.y0)
	c.y0, c.y1 = c.y0-room, c.y1+room
}

// fitNumber is one number of a movement, before and after, in printed units.
type fitNumber struct {
	words      string
	prior, fit printed
	moved      bool // known better than before
	lo, hi     float64
}

// printed is a number in its unit, for a strip.
type printed struct {
	mean, sd, lo, hi float64
	text             string
}

func printedOf[U quantity.Unit](q quantity.Of[U], f plate.Form) printed {
	return printed{float64(q.Mean), float64(q.SD), float64(q.Lo), float64(q.Hi), plate.FigureOf(q, f).Text}
}

// numbersOf are those that the movement has.
func (c *fitted) numbersOf() []fitNumber {
	a, b := c.f.Prior, c.f.Fitted
	var out []fitNumber
	metres := func(words string, prior, fit quantity.Of[quantity.Metres]) {
		if prior.Mean != 0 || fit.Mean != 0 {
			out = append(out, fitNumber{words: words, prior: printedOf(prior, plate.InMetres), fit: printedOf(fit, plate.InMetres)})
		}
	}
	seconds := func(words string, has bool, prior, fit quantity.Of[quantity.Seconds]) {
		if has {
			out = append(out, fitNumber{words: words, prior: printedOf(prior, plate.InMilliseconds), fit: printedOf(fit, plate.InMilliseconds)})
		}
	}
	metres("arm", a.Arm, b.Arm)
	seconds("time of the arm", b.Arm.Mean != 0, a.ArmTime, b.ArmTime)
	metres("body", a.Body, b.Body)
	seconds("time of the body", b.Body.Mean != 0, a.BodyTime, b.BodyTime)
	seconds("body after the arm", b.Body.Mean != 0 && b.Arm.Mean != 0, a.Delay, b.Delay)
	for i := range out {
		n := &out[i]
		n.moved = n.fit.sd < 0.9*n.prior.sd
		n.lo, n.hi = math.Min(n.prior.lo, n.fit.lo), math.Max(n.prior.hi, n.fit.hi)
	}
	return out
}

func (c *fitted) finding() string {
	var known []string
	all := c.numbersOf()
	for i := 0; i < len(all); i++ {
		n := all[i]
		if !n.moved || n.words == "body after the arm" {
			continue
		}
		switch n.words {
		case "time of the arm", "time of the body":
			if len(known) > 0 && i > 0 && all[i-1].moved {
				known[len(known)-1] += " in " + n.fit.text
				continue
			}
		}
		known = append(known, n.words+" "+n.fit.text)
	}
	s := plate.Name(c.p.Who) + "’s " + plate.ActionWords(c.f.Action) + " as it was followed"
	if len(known) > 0 {
		s += ": " + strings.Join(known, ", ")
	}
	return s
}

func (c *fitted) desc() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d places of the point over time with the fitted curve and the usual one, off by %s on average. ", len(c.f.Data), plate.Centimetres(quantity.Exactly(c.f.RMS)))
	for _, n := range c.numbersOf() {
		fmt.Fprintf(&b, "%s: usual %s, fitted %s. ", capital(n.words), n.prior.text, n.fit.text)
	}
	return strings.TrimSpace(b.String())
}

// gutter holds the numbers of the upward axes.
const fitGutter draw.MM = 9

func (c *fitted) x(b draw.Box) func(t float64) draw.MM {
	return func(t float64) draw.MM {
		return b.X + fitGutter + (b.W-fitGutter-2)*draw.MM((t-c.t0)/(c.t1-c.t0))
	}
}

// travel is data and curves.
func (c *fitted) travel() part {
	return part{height: fitPlot + axisHeight + 1, draw: func(l *leaf, b draw.Box) {
		th, ty := l.Theme, l.Type
		x := c.x(b)
		y := func(m float64) draw.MM { return b.Y + fitPlot - fitPlot*draw.MM((m-c.y0)/(c.y1-c.y0)) }
		step := metreStep(c.y1 - c.y0)
		for i := math.Ceil(c.y0/step - 1e-9); i*step <= c.y1; i++ {
			l.Stroke(draw.Segment(draw.Pt{X: x(c.t0), Y: y(i * step)}, draw.Pt{X: x(c.t1), Y: y(i * step)}), draw.Pen{Colour: th.Rule.Fade(0.45), Width: 0.18})
			l.Text(draw.Text{At: draw.Pt{X: b.X + fitGutter - 1.4, Y: y(i*step) + ty.Fine*draw.CapShare/2}, S: strconv.Itoa(int(math.Round(i * step * 100))), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
		}
		curve := func(all []study.FitPoint, pen draw.Pen) {
			var pts []draw.Pt
			for _, p := range all {
				pts = append(pts, draw.Pt{X: x(float64(p.At)), Y: y(float64(p.Travel))})
			}
			l.Stroke(draw.Polyline(pts...), pen)
		}
		curve(c.usual, draw.Pen{Colour: th.Quiet, Width: 0.45, Dash: []draw.MM{1.6, 1.1}})
		curve(c.f.Curve, draw.Pen{Colour: c.hue, Width: 0.7, Cap: draw.RoundCap})
		for _, p := range c.f.Data {
			px := x(float64(p.At))
			l.Stroke(draw.Segment(draw.Pt{X: px, Y: y(float64(p.Travel - p.SD))}, draw.Pt{X: px, Y: y(float64(p.Travel + p.SD))}), draw.Pen{Colour: th.Ink.Fade(0.7), Width: 0.25})
			l.Fill(plate.Shape(c.p.Who, draw.Pt{X: px, Y: y(float64(p.Travel))}, 1.9), th.Ground)
			l.Fill(plate.Shape(c.p.Who, draw.Pt{X: px, Y: y(float64(p.Travel))}, 1.4), th.Ink)
		}
		// What is what, where the curves leave room: above on the left.
		ly := b.Y + 2.6
		if c.onCurve(c.t1) < 0 { // a retreat falls: below on the left
			ly = b.Y + fitPlot - 12
		}
		for i, k := range [3]string{"followed, with ±", "fitted", "usual"} {
			if i == 2 && len(c.usual) == 0 {
				continue
			}
			at := draw.Pt{X: x(c.t0) + 2, Y: ly + draw.MM(i)*4.6}
			end := draw.Pt{X: at.X + 7, Y: at.Y}
			switch i {
			case 0:
				l.Stroke(draw.Segment(draw.Pt{X: at.X + 3.5, Y: at.Y - 1.6}, draw.Pt{X: at.X + 3.5, Y: at.Y + 1.6}), draw.Pen{Colour: th.Ink.Fade(0.7), Width: 0.25})
				l.Fill(plate.Shape(c.p.Who, draw.Pt{X: at.X + 3.5, Y: at.Y}, 1.4), th.Ink)
			case 1:
				l.Stroke(draw.Segment(at, end), draw.Pen{Colour: c.hue, Width: 0.7})
			case 2:
				l.Stroke(draw.Segment(at, end), draw.Pen{Colour: th.Quiet, Width: 0.45, Dash: []draw.MM{1.6, 1.1}})
			}
			l.Text(draw.Text{At: draw.Pt{X: end.X + 2, Y: at.Y + ty.Fine*draw.XShare/2}, S: k, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Halo: th.Ground, HaloWidth: 0.6})
		}
		c.clock(l, draw.Box{X: b.X, Y: b.Y + fitPlot, W: b.W}, x, "centimetres over milliseconds from the start of the movement")
	}}
}

// clock is the axis of time.
func (c *fitted) clock(l *leaf, b draw.Box, x func(float64) draw.MM, words string) {
	th := l.Theme
	pen := draw.Pen{Colour: th.Rule, Width: 0.25}
	l.Stroke(draw.Segment(draw.Pt{X: x(c.t0), Y: b.Y}, draw.Pt{X: x(c.t1), Y: b.Y}), pen)
	step := laneStep(c.t1-c.t0, x(c.t1)-x(c.t0))
	for i := math.Ceil(c.t0/step - 1e-9); i*step <= c.t1+1e-9; i++ {
		px := x(i * step)
		l.Stroke(draw.Segment(draw.Pt{X: px, Y: b.Y}, draw.Pt{X: px, Y: b.Y + 1}), pen)
		s := strconv.Itoa(int(math.Round(math.Abs(i) * step * 1000)))
		if i < 0 {
			s = "−" + s
		}
		l.Text(draw.Text{At: draw.Pt{X: px, Y: b.Y + 4}, S: s, Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.Middle})
	}
	l.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: b.Y + 7.4}, S: words, Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.End})
}

// onCurve is the fitted curve at a time, straight between its points.
func (c *fitted) onCurve(t float64) float64 {
	k := c.f.Curve
	i := sort.Search(len(k), func(i int) bool { return float64(k[i].At) >= t })
	switch {
	case i == 0:
		return float64(k[0].Travel)
	case i == len(k):
		return float64(k[len(k)-1].Travel)
	}
	a, b := k[i-1], k[i]
	if b.At == a.At {
		return float64(b.Travel)
	}
	return float64(a.Travel) + float64(b.Travel-a.Travel)*(t-float64(a.At))/float64(b.At-a.At)
}

// rest is what the curve leaves over, with ±.
func (c *fitted) rest() part {
	return part{height: fitRest + 3, draw: func(l *leaf, b draw.Box) {
		th, ty := l.Theme, l.Type
		x := c.x(b)
		most := 0.01
		for _, p := range c.f.Data {
			most = math.Max(most, math.Abs(float64(p.Travel)-c.onCurve(float64(p.At)))+float64(p.SD))
		}
		most = math.Min(most, 0.5)
		mid := b.Y + fitRest/2
		y := func(m float64) draw.MM {
			return mid - fitRest/2*draw.MM(math.Max(-1, math.Min(1, m/most)))
		}
		scale := 0.01
		for _, s := range [...]float64{0.01, 0.02, 0.05, 0.1, 0.2} {
			if s <= most*0.95 {
				scale = s
			}
		}
		for _, m := range [3]float64{-scale, 0, scale} {
			pen := draw.Pen{Colour: th.Rule.Fade(0.45), Width: 0.18}
			if m == 0 {
				pen = draw.Pen{Colour: c.hue, Width: 0.5}
			}
			l.Stroke(draw.Segment(draw.Pt{X: x(c.t0), Y: y(m)}, draw.Pt{X: x(c.t1), Y: y(m)}), pen)
			s := strconv.Itoa(int(math.Round(math.Abs(m) * 100)))
			if m < 0 {
				s = "−" + s
			} else if m > 0 {
				s = "+" + s
			}
			l.Text(draw.Text{At: draw.Pt{X: b.X + fitGutter - 1.4, Y: y(m) + ty.Fine*draw.CapShare/2}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
		}
		for _, p := range c.f.Data {
			d := float64(p.Travel) - c.onCurve(float64(p.At))
			px := x(float64(p.At))
			l.Stroke(draw.Segment(draw.Pt{X: px, Y: y(d - float64(p.SD))}, draw.Pt{X: px, Y: y(d + float64(p.SD))}), draw.Pen{Colour: th.Ink.Fade(0.7), Width: 0.25})
			l.Fill(plate.Shape(c.p.Who, draw.Pt{X: px, Y: y(d)}, 1.4), th.Ink)
		}
		t := draw.Text{At: draw.Pt{X: b.Right(), Y: b.Y + fitRest + 2.6}, S: "centimetres; on average " + plate.Bare(c.f.RMS, plate.InCentimetres), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End}
		l.Text(t)
	}}
}

// numbers are the numbers of the movement, each on its own scale: the usual one as an
// open band, what it has become as a full one.
func (c *fitted) numbers() part {
	all := c.numbersOf()
	high := fitRow
	phone := c.o.Layout == plate.Phone
	if phone {
		high = fitRow + 4.4
	}
	return part{height: high*draw.MM(len(all)) + 1, draw: func(l *leaf, b draw.Box) {
		th, ty := l.Theme, l.Type
		left := draw.MM(0)
		for _, n := range all {
			left = max(left, draw.Text{S: n.words, Font: draw.Serif, Size: ty.Text}.Width())
		}
		left += 3
		for i, n := range all {
			y := b.Y + high*draw.MM(i)
			mid := y + fitRow/2
			l.Text(draw.Text{At: draw.Pt{X: b.X, Y: mid + ty.Text*draw.XShare/2}, S: n.words, Font: draw.Serif, Size: ty.Text, Colour: th.Ink})
			strip := draw.Box{X: b.X + left, Y: y, W: b.W - left, H: fitRow}
			before := draw.Text{S: "usual " + n.prior.text, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}
			after := draw.Text{S: "now " + n.fit.text, Font: draw.SansBold, Size: ty.Label, Colour: c.hue}
			if !n.moved {
				after.S = "as before"
				after.Font, after.Colour = draw.Sans, th.Quiet
			}
			if phone {
				before.At, after.At = draw.Pt{X: strip.X, Y: y + fitRow + 2.4}, draw.Pt{X: strip.Right(), Y: y + fitRow + 2.4}
			} else {
				const numbers = 66
				strip.W -= numbers
				before.At, after.At = draw.Pt{X: b.Right() - numbers + 3, Y: mid + ty.Fine*draw.XShare/2}, draw.Pt{X: b.Right(), Y: mid + ty.Fine*draw.XShare/2}
			}
			after.Anchor = draw.End
			l.Text(before)
			l.Text(after)
			c.strip(l, n, strip, mid)
		}
	}}
}

func (c *fitted) strip(l *leaf, n fitNumber, b draw.Box, mid draw.MM) {
	th := l.Theme
	if !(n.hi > n.lo) || !finite(n.lo) || !finite(n.hi) {
		return
	}
	x := func(v float64) draw.MM {
		return b.X + 1 + (b.W-2)*draw.MM(math.Max(0, math.Min(1, (v-n.lo)/(n.hi-n.lo))))
	}
	l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: mid}, draw.Pt{X: b.Right(), Y: mid}), draw.Pen{Colour: th.Rule.Fade(0.5), Width: 0.18})
	box := func(lo, hi float64, h draw.MM) *draw.Path {
		return draw.Box{X: x(lo), Y: mid - h/2, W: max(x(hi)-x(lo), 0.01), H: h}.Path()
	}
	l.Fill(box(n.prior.lo, n.prior.hi, 4.6), th.Faint)
	l.Stroke(box(n.prior.mean-n.prior.sd, n.prior.mean+n.prior.sd, 4.6), draw.Pen{Colour: th.Quiet, Width: 0.25})
	l.Fill(box(n.fit.lo, n.fit.hi, 2.6), c.hue.Fade(0.35))
	l.Fill(box(n.fit.mean-n.fit.sd, n.fit.mean+n.fit.sd, 2.6), c.hue.Fade(0.35))
	for _, e := range [2]struct {
		at     float64
		h      draw.MM
		colour draw.Colour
	}{{n.prior.mean, 4.6, th.Quiet}, {n.fit.mean, 3.6, c.hue}} {
		l.Stroke(draw.Segment(draw.Pt{X: x(e.at), Y: mid - e.h/2}, draw.Pt{X: x(e.at), Y: mid + e.h/2}), draw.Pen{Colour: e.colour, Width: 0.7})
	}
}
