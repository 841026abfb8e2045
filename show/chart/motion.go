package chart

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// ErrNoMotion says that a track has no speed on two frames.
var ErrNoMotion = errors.New("nothing of this point was followed: mark it on two frames and follow")

// MotionChart is the speed of one point over true time, and where its frames stand.
// Lengths are in millimetres of its sheet.
type MotionChart struct {
	Drawing *draw.Drawing
	// X0 and X1 are the ends of the axis of time.
	X0, X1 draw.MM
	// X is where each frame stands, from From on; Says is the speed there in words, such
	// as "3.4 ± 0.3 m/s", and empty where the point was not seen.
	From mark.Frame
	X    []draw.MM
	Says []string
}

// SVG writes the chart to be set into a page whose fonts are there.
func (m *MotionChart) SVG(class string) (string, error) {
	var b strings.Builder
	err := m.Drawing.PageSVG(&b, class)
	return b.String(), err
}

// Heights in millimetres, and of what a bare chart consists.
const (
	motionHead draw.MM = 4.6 // room for the greatest speed, above the plot
	motionPlot draw.MM = 25
	motionRail draw.MM = 3.4
)

// motion is a chart of movement in the making.
type motion struct {
	*plate.Sheet
	track  study.Track
	hue    draw.Colour
	plot   draw.Box
	t0, t1 float64
	top    float64 // metres a second at the upper edge
}

// Motion draws the speed of a track, by its place in Reading.Tracks, over true time:
// the line with the band that holds 95 % and the one of a standard deviation, the
// greatest speed in words, and below it which frames were marked by hand (filled),
// followed (a line as thick as the tracker is sure), lost (hatched) or hidden (open).
// Where a point was not seen, the line is broken: the smoother's guess there is
// not shown. It returns ErrNoMotion where fewer than two frames have a speed, and
// panics without such a track.
func Motion(r *study.Reading, track int, o Options) (*MotionChart, error) {
	if r == nil || track < 0 || track >= len(r.Tracks) {
		panic("chart: a movement needs a track of a reading")
	}
	if o.Theme.Name == "" {
		o.Theme = draw.Paper()
	}
	t := r.Tracks[track]
	t.Steps = slices.DeleteFunc(slices.Clone(t.Steps), func(s study.TrackStep) bool { return !finite(float64(s.At)) })
	t0, t1, top, seen := extent(t)
	if seen < 2 || !(t1 > t0) {
		return nil, ErrNoMotion
	}
	height := motionHead + motionPlot + motionRail + axisHeight + 2
	finding := motionFinding(t)
	c := &motion{track: t, hue: plate.Hue(o.Theme, t.Who), t0: t0, t1: t1, top: top}
	if o.Bare {
		d := draw.New(o.Layout.Width(), height, plate.Typeset(finding), plate.Typeset(motionDesc(t)))
		d.Ground = o.Theme.Ground
		c.Sheet = &plate.Sheet{Drawing: d, Theme: o.Theme, Layout: o.Layout, Type: o.Layout.Type(), Body: draw.Box{W: o.Layout.Width(), H: height}}
	} else {
		source := plate.Sentences(plate.Origin(r.Touch, o.anonymous()), "take "+t.Take+", smoothed between marks and followed points", plate.DoubtNote)
		c.Sheet = plate.NewSheet(o.Layout, o.Theme, finding, motionDesc(t), source, height)
	}
	in := c.Inner()
	const gutter = 6.5 // numbers of the axis of speed
	c.plot = draw.Box{X: in.X + gutter, Y: in.Y + motionHead, W: in.W - gutter, H: motionPlot}
	c.scales()
	c.bands()
	c.line()
	c.peak()
	c.rail(draw.Box{X: c.plot.X, Y: c.plot.Bottom() + 1, W: c.plot.W, H: motionRail - 1.4})
	return c.placed(), nil
}

// extent is the stretch of time of a track and the speed that its chart reaches up
// to: of what was seen, two standard deviations above each, as far as that is not
// half as much again as the greatest.
func extent(t study.Track) (t0, t1, top float64, seen int) {
	t0, t1 = math.Inf(1), math.Inf(-1)
	greatest, upper := 0.0, 0.0
	for _, s := range t.Steps {
		t0, t1 = math.Min(t0, float64(s.At)), math.Max(t1, float64(s.At))
		if known(s) {
			seen++
			greatest = math.Max(greatest, float64(s.Speed.Mean))
			upper = math.Max(upper, float64(s.Speed.Mean+2*s.Speed.SD))
		}
	}
	top = math.Max(0.5, math.Min(upper, 1.5*greatest))
	step := metreStep(top)
	return t0, t1, math.Ceil(top/step-1e-9) * step, seen
}

func finite(x float64) bool { return x-x == 0 }

// known reports whether the point was seen on a frame and has a speed there.
func known(s study.TrackStep) bool {
	return (s.State == study.StateMarked || s.State == study.StateFollowed) && s.Speed.IsValid() && finite(float64(s.Speed.Mean)) && finite(float64(s.Speed.SD))
}

func (c *motion) x(at quantity.Seconds) draw.MM {
	return c.plot.X + c.plot.W*draw.MM((float64(at)-c.t0)/(c.t1-c.t0))
}

func (c *motion) y(v float64) draw.MM {
	return c.plot.Bottom() - c.plot.H*draw.MM(math.Max(0, math.Min(c.top, v))/c.top)
}

// scales draws the hairlines of speed and the axis of time.
func (c *motion) scales() {
	step := metreStep(c.top)
	decimals := 0
	if step != math.Round(step) {
		decimals = 1
	}
	if step == 0.25 {
		decimals = 2
	}
	for i := 0; float64(i)*step <= c.top*1.0001; i++ {
		v := float64(i) * step
		c.Stroke(draw.Segment(draw.Pt{X: c.plot.X, Y: c.y(v)}, draw.Pt{X: c.plot.Right(), Y: c.y(v)}), draw.Pen{Colour: c.Theme.Rule.Fade(0.45), Width: 0.18})
		c.Text(draw.Text{At: draw.Pt{X: c.plot.X - 1.2, Y: c.y(v) + c.Type.Fine*draw.CapShare/2}, S: strconv.FormatFloat(v, 'f', decimals, 64), Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End})
	}
	y := c.plot.Bottom() + motionRail
	pen := draw.Pen{Colour: c.Theme.Rule, Width: 0.25}
	c.Stroke(draw.Segment(draw.Pt{X: c.plot.X, Y: y}, draw.Pt{X: c.plot.Right(), Y: y}), pen)
	tick, decimals := clockStep(c.t1 - c.t0)
	for i := math.Ceil(c.t0/tick - 1e-9); i*tick <= c.t1+1e-9; i++ {
		px := c.x(quantity.Seconds(i * tick))
		c.Stroke(draw.Segment(draw.Pt{X: px, Y: y}, draw.Pt{X: px, Y: y + 1}), pen)
		s := strings.Replace(strconv.FormatFloat(i*tick, 'f', decimals, 64), "-", "−", 1)
		t := draw.Text{At: draw.Pt{X: px, Y: y + 4}, S: s, Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.Middle}
		if b := t.Box(); b.Right() <= c.plot.Right()+2 && b.X >= c.plot.X-2 {
			c.Text(t)
		}
	}
	c.Text(draw.Text{At: draw.Pt{X: c.plot.Right(), Y: y + 7.4}, S: "metres a second over seconds of true time", Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End})
}

// clockStep is the distance of the numbers on an axis of time, and their decimals.
func clockStep(length float64) (step float64, decimals int) {
	for d := 2; d >= -2; d-- {
		for _, m := range [...]float64{1, 2, 5} {
			if step = m * math.Pow(10, -float64(d)); length/step <= 7 {
				return step, max(0, d)
			}
		}
	}
	return step, 0
}

// stretches cuts the track into runs of frames on which the point was seen.
func (c *motion) stretches() [][]study.TrackStep {
	var all [][]study.TrackStep
	var run []study.TrackStep
	for _, s := range c.track.Steps {
		if known(s) {
			run = append(run, s)
			continue
		}
		if len(run) > 0 {
			all = append(all, run)
		}
		run = nil
	}
	if len(run) > 0 {
		all = append(all, run)
	}
	return all
}

// bands draws by how much the speed may be off.
func (c *motion) bands() {
	for _, run := range c.stretches() {
		for _, k := range [2]struct{ sds, fade float64 }{{1.96, 0.16}, {1, 0.24}} {
			var up, down []draw.Pt
			for _, s := range run {
				m, sd := float64(s.Speed.Mean), float64(s.Speed.SD)
				up = append(up, draw.Pt{X: c.x(s.At), Y: c.y(m + k.sds*sd)})
				down = append(down, draw.Pt{X: c.x(s.At), Y: c.y(m - k.sds*sd)})
			}
			for i := len(down) - 1; i >= 0; i-- {
				up = append(up, down[i])
			}
			c.Fill(draw.Polygon(up...), c.hue.Fade(k.fade))
		}
	}
}

// line draws the speed itself, broken where the point was not seen.
func (c *motion) line() {
	for _, run := range c.stretches() {
		var pts []draw.Pt
		for _, s := range run {
			pts = append(pts, draw.Pt{X: c.x(s.At), Y: c.y(float64(s.Speed.Mean))})
		}
		if len(pts) == 1 {
			c.Fill(draw.Circle(pts[0], 0.5), c.hue)
			continue
		}
		c.Stroke(draw.Polyline(pts...), draw.Pen{Colour: c.hue, Width: 0.55, Cap: draw.RoundCap})
	}
}

// peak writes the greatest speed beside where it is.
func (c *motion) peak() {
	p := c.track.Peak
	if p == nil || !p.IsValid() || !finite(float64(c.track.PeakAt)) {
		return
	}
	at := draw.Pt{X: c.x(c.track.PeakAt), Y: c.y(float64(p.Mean))}
	c.Fill(plate.Shape(c.track.Who, at, 2.6), c.Theme.Ground)
	c.Fill(plate.Shape(c.track.Who, at, 1.9), c.hue)
	t := draw.Text{At: draw.Pt{X: at.X, Y: at.Y - 2.2}, Anchor: draw.Middle, S: plate.FigureOf(*p, plate.InMetresPerSecond).Text, Font: draw.SansBold, Size: c.Type.Label, Colour: c.hue}
	if b := t.Box(); b.Right() > c.plot.Right() {
		t.At.X, t.Anchor = c.plot.Right(), draw.End
	} else if b.X < c.plot.X {
		t.At.X, t.Anchor = c.plot.X, draw.Start
	}
	c.Text(t)
}

// rail draws below the plot what each frame rests on.
func (c *motion) rail(b draw.Box) {
	mid := b.Y + b.H/2
	for i, s := range c.track.Steps {
		x0, x1 := c.x(s.At), c.x(s.At)
		if i > 0 {
			x0 = (x0 + c.x(c.track.Steps[i-1].At)) / 2
		}
		if i+1 < len(c.track.Steps) {
			x1 = (x1 + c.x(c.track.Steps[i+1].At)) / 2
		}
		part := draw.Box{X: x0, Y: b.Y, W: x1 - x0, H: b.H}
		switch s.State {
		case study.StateFollowed:
			// As thick as the tracker is sure.
			h := b.H * draw.MM(0.25+0.75*math.Max(0, math.Min(1, s.Sure)))
			part.Y, part.H = mid-h/2, h
			c.Fill(part.Path(), c.hue.Fade(0.55))
		case study.StateLost:
			c.Hatch(part.Path(), draw.Hatch{Colour: c.Theme.Quiet, Width: 0.2, Gap: 0.8, Rising: c.track.Who == mark.Left})
		case study.StateHidden:
			for _, y := range [2]draw.MM{b.Y, b.Bottom()} {
				c.Stroke(draw.Segment(draw.Pt{X: part.X, Y: y}, draw.Pt{X: part.Right(), Y: y}), draw.Pen{Colour: c.Theme.Quiet, Width: 0.2})
			}
		}
	}
	for _, s := range c.track.Steps {
		if s.State == study.StateMarked {
			c.Fill(plate.Shape(c.track.Who, draw.Pt{X: c.x(s.At), Y: mid}, b.H), c.hue)
		}
	}
}

// placed says where the frames stand.
func (c *motion) placed() *MotionChart {
	first, last := c.track.Steps[0].Frame, c.track.Steps[0].Frame
	for _, s := range c.track.Steps {
		first, last = min(first, s.Frame), max(last, s.Frame)
	}
	out := &MotionChart{Drawing: c.Drawing, X0: c.plot.X, X1: c.plot.Right(), From: first, X: make([]draw.MM, last-first+1), Says: make([]string, last-first+1)}
	for i := range out.X {
		out.X[i] = -1
	}
	for _, s := range c.track.Steps {
		out.X[s.Frame-first] = c.x(s.At)
		if known(s) {
			out.Says[s.Frame-first] = plate.FigureOf(s.Speed, plate.InMetresPerSecond).Text
		}
	}
	return out
}

// motionFinding is the chart in one sentence.
func motionFinding(t study.Track) string {
	who := plate.Name(t.Who) + "’s " + t.What.Word()
	if t.Peak == nil || !t.Peak.IsValid() {
		return "How fast " + strings.ToLower(plate.Name(t.Who)) + "’s " + t.What.Word() + " moves"
	}
	return who + " reaches " + plate.FigureOf(*t.Peak, plate.InMetresPerSecond).Text
}

func motionDesc(t study.Track) string {
	n := map[string]int{}
	for _, s := range t.Steps {
		n[s.State]++
	}
	return "The speed of " + strings.ToLower(plate.Name(t.Who)) + "’s " + t.What.Word() + " over true time, take " + t.Take + ": " +
		strconv.Itoa(n[study.StateMarked]) + " frames marked by hand, " + strconv.Itoa(n[study.StateFollowed]) + " followed, " +
		strconv.Itoa(n[study.StateLost]) + " lost, " + strconv.Itoa(n[study.StateHidden]) + " hidden."
}
