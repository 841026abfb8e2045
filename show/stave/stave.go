package stave

import (
	"math"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// Options say how a stave is drawn. The zero value is wide, on paper, with its
// finding and its source line, over all that the takes show.
type Options struct {
	Layout plate.Layout
	// Theme of the page; the zero value means draw.Paper.
	Theme draw.Theme
	// HideNames leaves the names of the event and of the fencers out.
	HideNames bool
	// Names is how fencers are called; a stave calls them by their sides, and leaves the
	// event out where they are anonymous.
	Names plate.Naming
	// Bare leaves finding and source line out and keeps every line at one height,
	// whatever is written: for the desk, which redraws it under the hand.
	Bare bool
	// W and H are the size that a bare stave is fitted to; zero means that of the
	// layout. One that is too low is drawn as low as its words allow.
	W, H draw.MM
	// From and To are the true instants at its ends. Where To is not after From
	// they follow from the reading: the phrase where Phrase is true and something
	// is written, else all that the takes show.
	From, To mark.TrueTime
	Phrase   bool
}

// Stave is a stave that was drawn, and where things stand on it. Lengths are in
// the units of its sheet, millimetres.
type Stave struct {
	Drawing *draw.Drawing
	// X0 and X1 are where the true instants T0 and T1 stand; time runs evenly.
	X0, X1 draw.MM
	T0, T1 mark.TrueTime
	Lines  []Line
	Clocks []Clock
	// Legend says what the signs of a bare stave mean, for below it; nil where it has
	// none. Any other stave has its legend in the drawing.
	Legend *draw.Drawing
}

// Line is where one of the six lines stands, from the top: Y is the upper edge of
// its lane and H the height.
type Line struct {
	Who  mark.Side
	Line string
	Y, H draw.MM
}

// Clock has the true instant of every frame of a take, from its first. Takes
// whose video was not read have none.
type Clock struct {
	Take  string
	From  mark.Frame
	Times []mark.TrueTime
}

// Pixel is a CSS pixel on a bare stave: its words are then as large as the small
// words of the page.
const Pixel = draw.MM(1 / 4.25)

// leastTarget is the least height of what the hand is to hit: 24 CSS pixels (WCAG
// 2.2, success criterion 2.5.8), and a little for rounding.
const leastTarget = 24.3 * Pixel

// Limits of a bare stave.
const (
	leastW, mostW draw.MM = 60, 1200
	mostH         draw.MM = 400
)

// figure is a stave in the making.
type figure struct {
	*draw.Drawing
	o       Options
	th      draw.Theme
	ty      plate.Type
	width   draw.MM // of the sheet
	r       *study.Reading
	x0, x1  draw.MM
	t0, t1  float64 // true seconds
	top     draw.MM // upper edge of the upper stave
	bottom  draw.MM // lower edge of the lower stave
	lanes   [2][3]lane
	white   draw.Box // between the two staves
	flags   []pennant
	flagTop draw.MM
	axisY   draw.MM
	notes   []note
	keys    []sign // of the legend
	// reach is how many metres the white space is high.
	reach float64
}

// Heights and widths in millimetres.
const (
	axisHeight draw.MM = 8.4
	bareAxis   draw.MM = 5.2
	bareMargin draw.MM = 0.5  // above and below
	padTime            = 0.06 // of the span, on both sides of the phrase
	leastSpan          = 0.2  // seconds of a stave, at least
)

const nb = "\u00a0"

// Draw draws the stave of a reading, which may be a partial one: with nothing
// but a take it has its six lines and its axis of time. It panics without a
// reading of a touch.
func Draw(r *study.Reading, o Options) *Stave {
	if r == nil || r.Touch == nil {
		panic("stave: a stave needs a reading of a touch")
	}
	if o.Theme.Name == "" {
		o.Theme = draw.Paper()
	}
	f := &figure{o: o, th: o.Theme, ty: o.Layout.Type(), r: r}
	clocks := clocksOf(r)
	f.span(clocks)
	f.width = o.Layout.Width()
	m := o.Layout.Margin()
	f.x0, f.x1 = m+f.gutter(), f.width-m
	if o.Bare {
		f.ty = plate.Phone.Type()
		if f.low() {
			f.ty.Label = f.ty.Fine
		}
		if o.W > 0 {
			f.width = max(leastW, min(o.W, mostW))
		}
		f.x0, f.x1 = f.gutter()+1, f.width-2
	}
	f.notes = f.written()
	f.flags = f.uprights()
	height := f.stack()
	f.sheet(height)

	f.staffs()
	f.moments()
	f.measure()
	f.actions()
	f.gaps()
	f.axis(clocks)

	s := &Stave{Drawing: f.Drawing, X0: f.x0, X1: f.x1, T0: mark.TrueTime(f.t0), T1: mark.TrueTime(f.t1), Clocks: clocks}
	s.Legend = f.apart()
	for _, who := range mark.Sides {
		for i := range bout.StaveLines {
			k := i
			if who == mark.Right {
				k = len(bout.StaveLines) - 1 - i
			}
			l := f.lanes[who][k]
			s.Lines = append(s.Lines, Line{who, bout.StaveLines[k], l.y, l.h})
		}
	}
	return s
}

// SVG returns the stave as an element for a page that has our fonts, with this
// class.
func (s *Stave) SVG(class string) (string, error) {
	var b strings.Builder
	err := s.Drawing.PageSVG(&b, class)
	return b.String(), err
}

func clocksOf(r *study.Reading) []Clock {
	var all []Clock
	for _, k := range r.Touch.Takes {
		c := Clock{Take: k.ID, From: k.From}
		for f := k.From; f <= k.To; f++ {
			at, ok := r.When(k.ID, f)
			if !ok {
				break
			}
			c.Times = append(c.Times, mark.TrueTime(at.Mean))
		}
		if len(c.Times) > 0 {
			all = append(all, c)
		}
	}
	return all
}

// span settles which time is shown.
func (f *figure) span(clocks []Clock) {
	f.t0, f.t1 = float64(f.o.From), float64(f.o.To)
	if f.t1 > f.t0 && f.t1-f.t0 < 1e6 {
		f.t1 = math.Max(f.t1, f.t0+0.001)
		return
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	see := func(at float64) { lo, hi = math.Min(lo, at), math.Max(hi, at) }
	pad := 0.0
	if f.o.Phrase {
		for _, a := range f.r.Touch.Actions {
			for _, fr := range [2]mark.Frame{a.From, a.To} {
				if at, ok := f.r.When(a.Take, fr); ok {
					see(float64(at.Mean))
				}
			}
		}
		for _, m := range f.r.Moments {
			if m.At.IsValid() {
				see(float64(m.At.Lo))
				see(float64(m.At.Hi))
			}
		}
		for _, in := range f.r.Instants {
			if in.At.IsValid() {
				see(float64(in.At.Mean))
			}
		}
		if hi >= lo {
			pad = math.Max(0.04, padTime*(hi-lo))
			pad = math.Max(pad, (leastSpan-(hi-lo))/2)
		}
	}
	if hi < lo {
		for _, c := range clocks {
			see(float64(c.Times[0]))
			see(float64(c.Times[len(c.Times)-1]))
		}
	}
	if hi < lo {
		lo, hi = 0, 1
	}
	f.t0, f.t1 = lo-pad, math.Max(hi+pad, lo-pad+0.001)
}

// x returns where an instant stands.
func (f *figure) x(t float64) draw.MM {
	return f.x0 + draw.MM((t-f.t0)/(f.t1-f.t0))*(f.x1-f.x0)
}

// xs returns where an uncertain instant and the ends of its 95 % stand.
func (f *figure) xs(q quantity.Of[quantity.Seconds]) (lo, at, hi draw.MM) {
	return f.x(float64(q.Lo)), f.x(float64(q.Mean)), f.x(float64(q.Hi))
}

// inside reports whether an instant is shown.
func (f *figure) inside(t float64) bool { return t >= f.t0 && t <= f.t1 }

// gutter is the room for the names of the lines.
func (f *figure) gutter() draw.MM {
	if f.width < 120 {
		return 20
	}
	return 22
}

// stack settles the heights from the top and returns how high the body is.
func (f *figure) stack() draw.MM {
	y := f.flagRows() * f.flagHeight()
	if y > 0 {
		y += 0.8
	}
	if f.o.Bare {
		y = max(y, leastTarget)
	}
	f.top = y
	for i := range 3 {
		h := f.laneHeight(mark.Left, i)
		f.lanes[mark.Left][i] = lane{y: y, h: h}
		y += h
	}
	f.white = draw.Box{X: f.x0, Y: y, W: f.x1 - f.x0, H: f.whiteHeight(2*y - f.top)}
	y += f.white.H
	for i := 2; i >= 0; i-- {
		h := f.laneHeight(mark.Right, i)
		f.lanes[mark.Right][i] = lane{y: y, h: h}
		y += h
	}
	f.bottom = y
	f.axisY = y + 1
	if f.o.Bare {
		return y + bareAxis
	}
	f.keys = f.signs()
	if rows := f.keyed(f.keys, f.x0-f.gutter(), f.x1); rows > 0 {
		return y + axisHeight + legendGap + draw.MM(rows)*f.signRow()
	}
	return y + axisHeight
}

// sheet makes the sheet, and moves everything down to where its body begins.
func (f *figure) sheet(height draw.MM) {
	finding, desc := f.finding(), f.desc()
	if f.o.Bare {
		f.Drawing = draw.New(f.width, height+2*bareMargin, finding, desc)
		f.Ground = f.th.Ground
		f.shift(bareMargin)
		return
	}
	sh := plate.NewSheet(f.o.Layout, f.th, finding, desc, f.source(), height)
	f.Drawing = sh.Drawing
	f.shift(sh.Body.Y)
}

func (f *figure) shift(dy draw.MM) {
	f.top, f.bottom, f.axisY, f.white.Y = f.top+dy, f.bottom+dy, f.axisY+dy, f.white.Y+dy
	f.flagTop += dy
	for s := range f.lanes {
		for i := range f.lanes[s] {
			f.lanes[s][i].y += dy
		}
	}
}
