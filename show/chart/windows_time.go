package chart

import (
	"math"
	"strconv"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
)

// timeline is an axis of seconds on the sheet.
type timeline struct {
	x0, span draw.MM
	t0, t1   float64
	// gap of the lines that are the ink of a stroke; zero means inkGap.
	gap draw.MM
}

// x is where an instant stands, at the nearest end for one beyond the axis.
func (l timeline) x(t quantity.Seconds) draw.MM {
	s := (float64(t) - l.t0) / (l.t1 - l.t0)
	if math.IsNaN(s) {
		s = 0
	}
	return l.x0 + l.span*draw.MM(math.Max(0, math.Min(1, s)))
}

// shows reports whether an instant lies on the axis.
func (l timeline) shows(t quantity.Seconds) bool { return float64(t) >= l.t0 && float64(t) <= l.t1 }

// sidedSDs are the standard deviations below and above the mean that give the 95 %
// interval: draws are seldom symmetric.
func sidedSDs(q quantity.Of[quantity.Seconds]) (below, above float64) {
	const z = 1.96
	below, above = float64(q.Mean-q.Lo)/z, float64(q.Hi-q.Mean)/z
	if !(below > 0) || !(above > 0) {
		return float64(q.SD), float64(q.SD)
	}
	return below, above
}

// before is the chance that an uncertain instant lies before t, for a split normal
// law.
func before(q quantity.Of[quantity.Seconds], t float64) float64 {
	below, above := sidedSDs(q)
	d, sd := t-float64(q.Mean), above
	if d < 0 {
		sd = below
	}
	switch {
	case sd > 0:
		return 0.5 * (1 + math.Erf(d/(sd*math.Sqrt2)))
	case d < 0:
		return 0
	}
	return 1
}

// taperSteps is how many points the point of a stroke has.
const taperSteps = 14

// taper is the outline of a stroke between two times: up above and down below its
// middle while a start is surely not later than the latest one, less by the chance
// that it is. It is empty where nothing of it is left.
func (l timeline) taper(latest quantity.Of[quantity.Seconds], from, to float64, mid, up, down draw.MM) *draw.Path {
	from, to = math.Max(from, l.t0), math.Min(to, l.t1)
	below, above := sidedSDs(latest)
	const reach = 2.2 // standard deviations: 1.4 % of the height, less than is seen
	to = math.Min(to, float64(latest.Mean)+reach*above)
	if !(to > from) {
		return new(draw.Path)
	}
	ts := []float64{from}
	for i := range taperSteps {
		z := reach * (2*float64(i)/(taperSteps-1) - 1)
		t := float64(latest.Mean) + z*above
		if z < 0 {
			t = float64(latest.Mean) + z*below
		}
		if t > ts[len(ts)-1]+1e-9 && t < to {
			ts = append(ts, t)
		}
	}
	ts = append(ts, to)
	upper, lower := make([]draw.Pt, 0, 2*len(ts)), make([]draw.Pt, 0, len(ts))
	fine := func(v draw.MM) draw.MM { return draw.MM(math.Round(float64(v)*100) / 100) }
	for _, t := range ts {
		s, x := draw.MM(1-before(latest, t)), fine(l.x(quantity.Seconds(t)))
		if below == 0 && above == 0 {
			s = 1 // an exact end is a square one
		}
		upper = append(upper, draw.Pt{X: x, Y: fine(mid - up*s)})
		lower = append(lower, draw.Pt{X: x, Y: fine(mid + down*s)})
	}
	upper, lower = thin(upper, nil), thin(lower, nil)
	for i := len(lower) - 1; i >= 0; i-- {
		upper = append(upper, lower[i])
	}
	return draw.Polygon(upper...)
}

// inkGap is the distance of the lines that make the ink of a stroke, and fullInk the
// chance from which it is full.
const (
	inkGap  = draw.MM(0.95)
	fullInk = 0.93
)

// ink fills a path as densely as a chance: with lines as wide as it takes, so that
// it can be read in black and white and with any colour vision.
func ink(g *draw.Group, p *draw.Path, chance float64, gap draw.MM, colour draw.Colour, rising bool) {
	if gap == 0 {
		gap = inkGap
	}
	switch {
	case p.Empty() || !(chance >= 0.02):
	case chance >= fullInk:
		g.Fill(p, colour)
	default:
		g.Hatch(p, draw.Hatch{Colour: colour, Width: gap * draw.MM(chance), Gap: gap, Rising: rising})
	}
}

// softSteps is in how many steps the beginning of a stroke grows to its full ink.
const softSteps = 5

// stroke draws one answer: the outline of the whole, and from its earliest start on
// the ink, as dense as the chance and less, in a few steps, where the start is not yet
// sure.
func (l timeline) stroke(g *draw.Group, earliest, latest quantity.Of[quantity.Seconds], chance float64, mid, up, down draw.MM, colour draw.Colour, rising bool, steps int) {
	outline := l.taper(latest, l.t0, l.t1, mid, up, down)
	if outline.Empty() {
		return
	}
	from := l.t0
	if told(earliest) {
		lo, hi := float64(earliest.Lo), float64(earliest.Hi)
		for i := range steps {
			a, b := lo+(hi-lo)*float64(i)/float64(steps), lo+(hi-lo)*float64(i+1)/float64(steps)
			ink(g, l.taper(latest, a, b, mid, up, down), chance*before(earliest, (a+b)/2), l.gap, colour, rising)
		}
		from = hi
	}
	ink(g, l.taper(latest, from, l.t1, mid, up, down), chance, l.gap, colour, rising)
	g.Stroke(outline, draw.Pen{Colour: colour, Width: 0.22})
}

// band draws an uncertain instant as a soft upright band.
func (l timeline) band(g *draw.Group, q quantity.Of[quantity.Seconds], top, bottom draw.MM, colour draw.Colour) {
	for _, e := range [2][2]quantity.Seconds{{q.Lo, q.Hi}, {q.Mean - q.SD, q.Mean + q.SD}} {
		if a, b := l.x(e[0]), l.x(e[1]); b > a {
			g.Fill(draw.Box{X: a, Y: top, W: b - a, H: bottom - top}.Path(), colour)
		}
	}
}

// scale draws the axis of a timeline with its words below.
func (l timeline) scale(sh *plate.Sheet, b draw.Box, words string) {
	y := b.Y + 0.6
	pen := draw.Pen{Colour: sh.Theme.Rule, Width: 0.25}
	sh.Stroke(draw.Segment(draw.Pt{X: l.x0, Y: y}, draw.Pt{X: l.x0 + l.span, Y: y}), pen)
	step := timeStep(l.t1 - l.t0)
	for i := math.Ceil(l.t0/step - 1e-9); i*step <= l.t1*1.0001; i++ {
		x := l.x(quantity.Seconds(i * step))
		sh.Stroke(draw.Segment(draw.Pt{X: x, Y: y}, draw.Pt{X: x, Y: y + 1}), pen)
		s := strconv.Itoa(int(math.Round(math.Abs(i) * step * 1000)))
		if i < 0 {
			s = "−" + s
		}
		sh.Text(draw.Text{At: draw.Pt{X: x, Y: y + 4}, S: s, Font: draw.Sans, Size: sh.Type.Fine, Colour: sh.Theme.Quiet, Anchor: draw.Middle})
	}
	t := draw.Text{At: draw.Pt{X: l.x0 + l.span, Y: y + 7.4}, S: words, Font: draw.Sans, Size: sh.Type.Fine, Colour: sh.Theme.Quiet, Anchor: draw.End}
	sh.Text(t)
}
