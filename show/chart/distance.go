package chart

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// ErrNoMap says that the reading has no distance map.
var ErrNoMap = errors.New("there is no distance map in this reading: mark both points and a target of each on one frame, and ask for the map of its timing")

// distance is a distance map in the making.
type distance struct {
	*plate.Sheet
	m        *study.Map
	touch    *study.Touch
	att, def mark.Side
	in, plot draw.Box
	stops    []stop
	zones    [5]*draw.Path // by the order of timing.Zones
	of       []int8        // the zone of each cell
	fx, fy   []draw.MM     // the fine grid, see refine
	fine     []chances
}

// Heights in millimetres.
const (
	mapHeightWide  draw.MM = 92
	mapHeightPhone draw.MM = 88
	mapHeightLow   draw.MM = 48
	measureRow     draw.MM = 5.2
	leadGutter     draw.MM = 9
	stopRow        draw.MM = 5.4
)

// Distance draws the distance map of the pair: along the gap from the attacker's point
// to its target, in metres, and the lead by which the attacker starts, in
// milliseconds, the zones of who threatens whom, each with a tone and a hatch of its
// own; paler where fewer than three draws of four agree; the measure along the gap; and
// the instants of the touch as numbered stops with the 95 % of their gap and lead. The
// borders of the zones run where two are equally likely, by straight interpolation
// between the places of the map. It returns ErrNoMap where the reading has none, and
// panics without a reading of a touch.
func Distance(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a distance map needs a reading of a touch")
	}
	if r.Timing == nil || r.Timing.Map == nil || !drawable(r.Timing.Map) {
		return nil, ErrNoMap
	}
	if o.Theme.Name == "" {
		o.Theme = draw.Paper()
	}
	m := r.Timing.Map
	c := &distance{m: m, touch: r.Touch, att: m.Attacker, def: m.Attacker.Other()}
	finding := m.Finding
	if finding == "" {
		finding = "Who threatens whom, from how far"
	}
	ty := o.Layout.Type()
	inner := o.Layout.Width() - 2*o.Layout.Margin()
	mapHeight := mapHeightWide
	if o.Layout == plate.Phone {
		mapHeight = mapHeightPhone
	}
	if o.Low > 0 {
		mapHeight = mapHeightLow - 12*draw.MM(o.Low-1)
	}
	c.number()
	keys := c.keys()
	height := headHeight + measureRow + mapHeight + axisHeight + 1.5 + draw.MM(legendRows(keys, ty, inner))*legendRow
	list := draw.MM(0)
	if o.Low == 0 {
		list = c.listHeight(o.Layout)
	}
	if o.Bare {
		d := draw.New(o.Layout.Width(), height, plate.Typeset(finding), plate.Typeset(c.desc()))
		d.Ground = o.Theme.Ground
		c.Sheet = &plate.Sheet{Drawing: d, Theme: o.Theme, Layout: o.Layout, Type: ty, Body: draw.Box{W: o.Layout.Width(), H: height}}
	} else {
		c.Sheet = plate.NewSheet(o.Layout, o.Theme, finding, c.desc(), distanceSource(r, o.anonymous()), height+list)
	}
	c.in = c.Inner()
	sectionHead(c.Sheet, c.take(headHeight), "How much earlier "+strings.ToLower(plate.Name(c.att))+" starts, in milliseconds")
	strip := c.take(measureRow)
	body := c.take(mapHeight)
	c.plot = draw.Box{X: body.X + leadGutter, Y: body.Y, W: body.W - leadGutter - 1, H: body.H}
	c.outlines()
	c.fills()
	c.measure(draw.Box{X: c.plot.X, Y: strip.Y, W: c.plot.W, H: strip.H - 0.8})
	c.scales(c.take(axisHeight))
	c.way()
	c.take(1.5)
	c.Begin(draw.KeyStretch, c.in)
	legendKeys(c.Sheet, keys, c.take(draw.MM(legendRows(keys, ty, inner))*legendRow))
	if !o.Bare && o.Low == 0 {
		c.Begin(draw.FigureStretch, c.in)
		c.list()
	}
	return c.Drawing, nil
}

// drawable reports whether the map has all its cells, and numbers in them.
func drawable(m *study.Map) bool {
	g := m.Grid
	for _, c := range m.Cells {
		p := chancesOf(c)
		for _, v := range p {
			if !finite(v) {
				return false
			}
		}
	}
	return finite(float64(g.GapFrom)) && finite(float64(g.GapTo)) && finite(float64(g.LeadFrom)) && finite(float64(g.LeadTo)) &&
		g.Gaps > 1 && g.Leads > 1 && len(m.Cells) == g.Gaps*g.Leads && g.GapTo > g.GapFrom && g.LeadTo > g.LeadFrom
}

func (c *distance) take(h draw.MM) draw.Box {
	b := draw.Box{X: c.in.X, Y: c.in.Y, W: c.in.W, H: h}
	c.in.Y += h
	c.in.H -= h
	return b
}

// x and y are where a gap and a lead stand, at the edge for one beyond it.
func (c *distance) x(gap quantity.Metres) draw.MM {
	g := c.m.Grid
	return c.plot.X + c.plot.W*draw.MM(math.Max(0, math.Min(1, float64((gap-g.GapFrom)/(g.GapTo-g.GapFrom)))))
}

func (c *distance) y(lead quantity.Seconds) draw.MM {
	g := c.m.Grid
	return c.plot.Bottom() - c.plot.H*draw.MM(math.Max(0, math.Min(1, float64((lead-g.LeadFrom)/(g.LeadTo-g.LeadFrom)))))
}

// outlines finds the outline of every zone, and to which one each cell belongs.
func (c *distance) outlines() {
	c.refine()
	for z := range c.zones {
		c.zones[z] = c.field(func(p *chances) float64 { return p.ahead(z) }).around()
	}
	index := map[timing.Zone]int8{}
	for z, name := range timing.Zones() {
		index[name] = int8(z)
	}
	c.of = make([]int8, len(c.m.Cells))
	for k, cell := range c.m.Cells {
		c.of[k] = index[cell.Zone]
	}
}

// Sure is the chance from which a place of the map is drawn in full.
const Sure = 0.75

// fills paints the zones, their doubt and their borders.
func (c *distance) fills() {
	c.Fill(c.plot.Path(), c.Theme.Ground)
	for z, p := range c.zones {
		zoneFill(c.Sheet, z, p, c.att)
	}
	pale := c.field(func(p *chances) float64 { return Sure - p.sure() }).around()
	c.Fill(pale, c.Theme.Ground.Fade(0.5))
	attacker := new(draw.Path).Join(c.zones[3]).Join(c.zones[4])
	if !attacker.Empty() {
		g := c.Clip(attacker)
		for _, at := range [...]float64{0.1, 0.9} {
			g.Stroke(c.field(func(p *chances) float64 { return p[outruns] - at }).level(),
				draw.Pen{Colour: c.Theme.Ink, Width: 0.28, Dash: []draw.MM{1.4, 1.2}})
		}
	}
	for _, p := range c.zones {
		c.Stroke(p, draw.Pen{Colour: c.Theme.Ink, Width: 0.3})
	}
	c.Stroke(c.plot.Path(), draw.Pen{Colour: c.Theme.Quiet, Width: 0.35})
}

// zoneFill fills a path as the zone of this place in timing.Zones is filled, here and
// in the legend: by who hits, in the hue and the slant of that fencer, both crossed
// for a double, full where the attack outruns the parry.
func zoneFill(sh *plate.Sheet, zone int, p *draw.Path, att mark.Side) {
	if p.Empty() {
		return
	}
	a, d := plate.Hue(sh.Theme, att), plate.Hue(sh.Theme, att.Other())
	switch zone {
	case 1:
		sh.Fill(p, d.Fade(0.1))
		sh.Hatch(p, draw.Hatch{Colour: d, Width: 0.32, Gap: 1.7, Rising: att != mark.Left})
	case 2:
		sh.Hatch(p, draw.Hatch{Colour: a.Fade(0.85), Width: 0.26, Gap: 2.2, Rising: att == mark.Left})
		sh.Hatch(p, draw.Hatch{Colour: d.Fade(0.85), Width: 0.26, Gap: 2.2, Rising: att != mark.Left})
	case 3:
		sh.Fill(p, a.Fade(0.14))
		sh.Hatch(p, draw.Hatch{Colour: a, Width: 0.26, Gap: 3.2, Rising: att == mark.Left})
	case 4:
		sh.Fill(p, a.Fade(0.66))
	}
}

// measure draws the bands of the attacker's measure above the map, with ends as soft
// as the reach is uncertain, and a dotted line through the map at each.
func (c *distance) measure(b draw.Box) {
	reach := c.m.Reach
	if !(reach.Long.Mean > 0) || !reach.Short.IsValid() || !reach.Medium.IsValid() || !reach.Long.IsValid() {
		return
	}
	ends := [3]quantity.Of[quantity.Metres]{reach.Short, reach.Medium, reach.Long}
	words := [4][]string{{"short measure (extension)", "short measure", "short"}, {"medium measure (lunge)", "medium measure", "medium"},
		{"long measure (step and lunge)", "long measure", "long"}, {"out of measure", "out"}}
	c.Stroke(draw.Segment(draw.Pt{X: b.X, Y: b.Bottom()}, draw.Pt{X: b.Right(), Y: b.Bottom()}), draw.Pen{Colour: c.Theme.Rule, Width: 0.25})
	from := b.X
	for i := range words {
		to := b.Right()
		if i < len(ends) {
			to = max(from, c.x(ends[i].Mean))
		}
		for _, s := range words[i] {
			t := draw.Text{S: s, Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.Middle, At: draw.Pt{X: (from + to) / 2, Y: b.Bottom() - 1.5}, Halo: c.Theme.Ground, HaloWidth: 0.5}
			if t.Width()+2.4 <= to-from {
				c.Text(t)
				break
			}
		}
		from = to
	}
	for _, e := range ends {
		if e.Mean <= c.m.Grid.GapFrom || e.Mean >= c.m.Grid.GapTo {
			continue
		}
		lo, hi := c.x(e.Lo), c.x(e.Hi)
		c.Fill(draw.Box{X: lo, Y: b.Bottom() - 0.9, W: hi - lo, H: 0.9}.Path(), c.Theme.Rule.Fade(0.5))
		lo, hi = c.x(e.Mean-e.SD), c.x(e.Mean+e.SD)
		c.Fill(draw.Box{X: lo, Y: b.Bottom() - 0.9, W: hi - lo, H: 0.9}.Path(), c.Theme.Rule)
		x := c.x(e.Mean)
		c.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y + 0.6}, draw.Pt{X: x, Y: b.Bottom()}), draw.Pen{Colour: c.Theme.Quiet, Width: 0.3})
		c.Stroke(draw.Segment(draw.Pt{X: x, Y: c.plot.Y}, draw.Pt{X: x, Y: c.plot.Bottom()}), draw.Pen{Colour: c.Theme.Quiet, Width: 0.3, Dash: []draw.MM{0.3, 1.1}, Cap: draw.RoundCap})
	}
}

// scales draws the numbers of leads and gaps.
func (c *distance) scales(b draw.Box) {
	g := c.m.Grid
	step := timeStep(float64(g.LeadTo - g.LeadFrom))
	pen := draw.Pen{Colour: c.Theme.Rule, Width: 0.25}
	for i := math.Ceil(float64(g.LeadFrom)/step - 1e-9); i*step <= float64(g.LeadTo)+1e-9; i++ {
		y := c.y(quantity.Seconds(i * step))
		s := strconv.Itoa(int(math.Round(math.Abs(i) * step * 1000)))
		if i < 0 {
			s = "−" + s
		}
		t := draw.Text{At: draw.Pt{X: c.plot.X - 1.8, Y: y + c.Type.Fine*draw.CapShare/2}, S: s, Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End}
		if i == 0 { // both start at once
			t.Font, t.Colour = draw.SansBold, c.Theme.Ink
			c.Stroke(draw.Segment(draw.Pt{X: c.plot.X, Y: y}, draw.Pt{X: c.plot.Right(), Y: y}), draw.Pen{Colour: c.Theme.Ink.Fade(0.7), Width: 0.2})
		}
		c.Stroke(draw.Segment(draw.Pt{X: c.plot.X - 1, Y: y}, draw.Pt{X: c.plot.X, Y: y}), pen)
		c.Text(t)
	}
	step = metreStep(float64(g.GapTo))
	decimals := 1
	if step == 0.25 {
		decimals = 2
	}
	for i := math.Ceil(float64(g.GapFrom)/step - 1e-9); i*step <= float64(g.GapTo)+1e-9; i++ {
		x := c.x(quantity.Metres(i * step))
		c.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y}, draw.Pt{X: x, Y: b.Y + 1}), pen)
		c.Text(draw.Text{At: draw.Pt{X: x, Y: b.Y + 4}, S: strconv.FormatFloat(i*step, 'f', decimals, 64), Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.Middle})
	}
	words := "metres from " + strings.ToLower(plate.Name(c.att)) + "’s point"
	if c.m.Target != "" {
		words += " to the " + plate.TargetWords(c.m.Target)
	}
	c.Text(draw.Text{At: draw.Pt{X: c.plot.Right(), Y: b.Y + 7.4}, S: words, Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End})
}

func distanceSource(r *study.Reading, hide bool) string {
	m := r.Timing.Map
	return plate.Sentences(plate.Origin(r.Touch, hide),
		fmt.Sprintf("%d gaps by %d leads, %s draws, seed %d, readings version %s", m.Grid.Gaps, m.Grid.Leads, plate.Count(m.Draws), r.Seed, r.Version),
		"±"+nb+"is one standard deviation; the thin arms of a stop hold 95"+nb+"%, the thick ones a standard deviation")
}
