package chart

import (
	"math"
	"strconv"
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/timing"
)

// stop is an instant on the map with its number.
type stop struct {
	timing.Stop
	number int
	here   bool
	at     draw.Pt
}

// number gives the stops that can be drawn their numbers.
func (c *distance) number() {
	for i, s := range c.m.Path {
		if s.Gap.IsValid() && s.Lead.IsValid() {
			c.stops = append(c.stops, stop{Stop: s, number: len(c.stops) + 1, here: i == c.m.Here})
		}
	}
}

// Sizes of stops and their tags in millimetres.
const (
	tagRadius  draw.MM = 2.1
	stopRadius draw.MM = 0.8
)

// way draws the stops with their doubt, the line from one to the next and the number
// of each beside it, and then the names of the zones where there is room.
func (c *distance) way() {
	th := c.Theme
	pts := make([]draw.Pt, len(c.stops))
	for i := range c.stops {
		s := &c.stops[i]
		s.at = draw.Pt{X: c.x(s.Gap.Mean), Y: c.y(s.Lead.Mean)}
		pts[i] = s.at
	}
	under := new(draw.Path)
	if len(pts) > 1 {
		under.Join(draw.Polyline(pts...))
	}
	for _, s := range c.stops {
		under.Join(c.arms(s, false)).Join(c.arms(s, true))
	}
	c.Stroke(under, draw.Pen{Colour: th.Ground, Width: 1.5, Cap: draw.RoundCap})
	if len(pts) > 1 {
		c.Stroke(draw.Polyline(pts...), draw.Pen{Colour: th.Ink, Width: 0.5, Cap: draw.RoundCap})
	}
	for _, here := range [2]bool{false, true} { // the one pointed at on top
		for _, s := range c.stops {
			if s.here == here {
				c.cross(s)
			}
		}
	}
	var tags []draw.Box
	for i := range c.stops {
		tags = append(tags, c.tag(c.stops[i], tags, pts))
	}
	c.names(tags, pts)
}

// arms are the lines of a stop over the 95 % of gap and lead, or over a standard
// deviation on each side.
func (c *distance) arms(s stop, sd bool) *draw.Path {
	g0, g1, l0, l1 := s.Gap.Lo, s.Gap.Hi, s.Lead.Lo, s.Lead.Hi
	if sd {
		g0, g1, l0, l1 = s.Gap.Mean-s.Gap.SD, s.Gap.Mean+s.Gap.SD, s.Lead.Mean-s.Lead.SD, s.Lead.Mean+s.Lead.SD
	}
	p := new(draw.Path)
	if a, b := c.x(g0), c.x(g1); b > a {
		p.Move(a, s.at.Y).Line(b, s.at.Y)
	}
	if a, b := c.y(l0), c.y(l1); a > b {
		p.Move(s.at.X, a).Line(s.at.X, b)
	}
	return p
}

// cross draws a stop: arms over the 95 % of gap and lead, thick over a standard
// deviation.
func (c *distance) cross(s stop) {
	colour, size := c.Theme.Ink, stopRadius
	if s.here {
		colour, size = c.Theme.Brass, 1.5
	}
	c.Stroke(c.arms(s, false), draw.Pen{Colour: colour, Width: 0.3})
	c.Stroke(c.arms(s, true), draw.Pen{Colour: colour, Width: 0.9})
	if !s.Inside { // an open ring at the edge
		c.Fill(draw.Circle(s.at, size+0.7), c.Theme.Ground)
		c.Stroke(draw.Circle(s.at, size+0.2), draw.Pen{Colour: colour, Width: 0.5})
		return
	}
	c.dots([]draw.Pt{s.at}, size+0.6, c.Theme.Ground)
	c.dots([]draw.Pt{s.at}, size, colour)
}

// dots draws discs of one radius: as ends of lines too short to be seen, which takes a
// fifth of the room of circles.
func (c *distance) dots(at []draw.Pt, r draw.MM, colour draw.Colour) {
	const length = 0.01
	p := new(draw.Path)
	for _, q := range at {
		p.Move(q.X-length/2, q.Y).Line(q.X+length/2, q.Y)
	}
	c.Stroke(p, draw.Pen{Colour: colour, Width: 2 * r, Cap: draw.RoundCap})
}

// disc draws the disc of a number, brass for the stop that is pointed at.
func (c *distance) disc(s stop, at draw.Pt) {
	fill, edge, ink := c.Theme.Ground, c.Theme.Ink, c.Theme.Ink
	if s.here {
		fill, edge, ink = c.Theme.Brass, c.Theme.Brass, c.Theme.Ground
	}
	c.dots([]draw.Pt{at}, tagRadius+0.17, edge)
	c.dots([]draw.Pt{at}, tagRadius-0.17, fill)
	c.Text(tagText(c.Type, s.number, at, ink))
}

// tag puts the number of a stop beside it, where it covers no other, and returns where.
func (c *distance) tag(s stop, taken []draw.Box, pts []draw.Pt) draw.Box {
	box := func(p draw.Pt) draw.Box {
		return draw.Box{X: p.X - tagRadius, Y: p.Y - tagRadius, W: 2 * tagRadius, H: 2 * tagRadius}
	}
	best, cost := s.at, math.Inf(1)
	for _, far := range [...]draw.MM{4, 5.5, 7.5, 10, 13, 17} {
		for k := range 16 {
			sin, cos := math.Sincos(2*math.Pi*float64(k)/16 + math.Pi/4)
			p := draw.Pt{X: s.at.X + far*draw.MM(cos), Y: s.at.Y - far*draw.MM(sin)}
			b := box(p).Grow(0.4)
			if b.X < c.plot.X || b.Right() > c.plot.Right() || b.Y < c.plot.Y || b.Bottom() > c.plot.Bottom() {
				continue
			}
			v := float64(far)
			for _, o := range taken {
				if b.Meets(o) {
					v += 1000
				}
			}
			v += 30 * c.crowded(p, tagRadius+0.5, pts)
			if v < cost {
				best, cost = p, v
			}
		}
		if cost < float64(far)+1 {
			break
		}
	}
	edge := c.Theme.Ink
	if s.here {
		edge = c.Theme.Brass
	}
	if d := draw.MM(math.Hypot(float64(best.X-s.at.X), float64(best.Y-s.at.Y))); d > tagRadius+1.2 {
		c.Stroke(draw.Segment(s.at, best), draw.Pen{Colour: edge, Width: 0.25})
	}
	c.disc(s, best)
	return box(best)
}

// tagText is the number in a tag.
func tagText(ty plate.Type, n int, at draw.Pt, colour draw.Colour) draw.Text {
	size := ty.Fine
	if n > 9 {
		size *= 0.85
	}
	return draw.Text{At: draw.Pt{X: at.X, Y: at.Y + size*draw.CapShare/2}, S: strconv.Itoa(n), Font: draw.SansBold, Size: size, Colour: colour, Anchor: draw.Middle}
}

// crowded counts what of the way lies within a radius of a point.
func (c *distance) crowded(p draw.Pt, r draw.MM, pts []draw.Pt) (n float64) {
	for i := range pts {
		if i > 0 && fromSegment(p, pts[i-1], pts[i]) < r {
			n++
		}
		if fromSegment(p, pts[i], pts[i]) < r+stopRadius {
			n++
		}
		s := c.stops[i]
		if fromSegment(p, draw.Pt{X: c.x(s.Gap.Lo), Y: s.at.Y}, draw.Pt{X: c.x(s.Gap.Hi), Y: s.at.Y}) < r ||
			fromSegment(p, draw.Pt{X: s.at.X, Y: c.y(s.Lead.Lo)}, draw.Pt{X: s.at.X, Y: c.y(s.Lead.Hi)}) < r {
			n += 0.6
		}
	}
	return n
}

// names writes the name of each zone into it, the longest that there is room for.
func (c *distance) names(tags []draw.Box, pts []draw.Pt) {
	for z, zone := range timing.Zones() {
		sum, middle := c.sums(int8(z))
		for _, name := range c.zoneNames(zone) {
			lines := strings.Split(name, "\n")
			size, leading := c.Type.Label, c.Type.Label*1.15
			w := draw.MM(0)
			for _, l := range lines {
				w = max(w, draw.Text{S: l, Font: draw.SansBold, Size: size}.Width())
			}
			b, ok := c.room(sum, middle, w+3, draw.MM(len(lines)-1)*leading+size+1.4, tags, pts)
			if !ok {
				continue
			}
			tags = append(tags, b)
			c.Fill(b.Grow(-0.3).Round(1), c.Theme.Ground.Fade(0.88))
			for i, l := range lines {
				c.Text(draw.Text{At: draw.Pt{X: b.X + b.W/2, Y: b.Y + 0.7 + size*0.84 + draw.MM(i)*leading}, S: l, Font: draw.SansBold, Size: size, Colour: c.Theme.Ink, Anchor: draw.Middle})
			}
			break
		}
	}
}

// sums counts the cells of a zone from the corner of the grid to each place, so that
// those of any rectangle follow from four numbers, and returns the middle of the zone.
func (c *distance) sums(zone int8) ([]int, draw.Pt) {
	nx, ny := c.m.Grid.Gaps, c.m.Grid.Leads
	sum := make([]int, (nx+1)*(ny+1))
	mx, my, n := 0.0, 0.0, 0.0
	for i := range nx {
		for j := range ny {
			one := 0
			if c.of[i*ny+j] == zone {
				one = 1
				mx, my, n = mx+float64(i), my+float64(j), n+1
			}
			sum[(i+1)*(ny+1)+j+1] = one + sum[i*(ny+1)+j+1] + sum[(i+1)*(ny+1)+j] - sum[i*(ny+1)+j]
		}
	}
	if n == 0 {
		return sum, draw.Pt{}
	}
	return sum, draw.Pt{X: c.plot.X + c.plot.W*draw.MM(mx/n/float64(nx-1)), Y: c.plot.Bottom() - c.plot.H*draw.MM(my/n/float64(ny-1))}
}

// room finds the box of this size nearest to the middle of a zone that lies in it and
// covers nothing.
func (c *distance) room(sum []int, middle draw.Pt, w, h draw.MM, taken []draw.Box, pts []draw.Pt) (draw.Box, bool) {
	nx, ny := c.m.Grid.Gaps, c.m.Grid.Leads
	dx, dy := c.plot.W/draw.MM(nx-1), c.plot.H/draw.MM(ny-1)
	ci, cj := int(math.Ceil(float64(w/dx)))+1, int(math.Ceil(float64(h/dy)))+1
	best, cost := draw.Box{}, draw.MM(math.Inf(1))
	for i := 0; i+ci <= nx; i++ {
		for j := 0; j+cj <= ny; j++ {
			in := sum[(i+ci)*(ny+1)+j+cj] - sum[i*(ny+1)+j+cj] - sum[(i+ci)*(ny+1)+j] + sum[i*(ny+1)+j]
			if in != ci*cj {
				continue
			}
			x0, y1 := c.plot.X+draw.MM(i)*dx, c.plot.Bottom()-draw.MM(j)*dy
			b := draw.Box{X: x0 + (draw.MM(ci-1)*dx-w)/2, Y: y1 - (draw.MM(cj-1)*dy+h)/2, W: w, H: h}
			mid := draw.Pt{X: b.X + w/2, Y: b.Y + h/2}
			far := fromSegment(mid, middle, middle)
			if far >= cost || !c.free(b, taken, pts) {
				continue
			}
			best, cost = b, far
		}
	}
	return best, !math.IsInf(float64(cost), 1)
}

// free reports whether a box covers no other and nothing of the way.
func (c *distance) free(b draw.Box, taken []draw.Box, pts []draw.Pt) bool {
	for _, o := range taken {
		if b.Meets(o.Grow(0.6)) {
			return false
		}
	}
	// The way is looked at along lines through the box as high as it is apart.
	for y := b.Y; y < b.Bottom()+1; y += 2 {
		for x := b.X; x < b.Right()+2; x += 2 {
			p := draw.Pt{X: min(x, b.Right()), Y: min(y, b.Bottom())}
			if c.crowded(p, 1.8, pts) > 0 {
				return false
			}
		}
	}
	return true
}

// mostListed is how many stops the list says; the others stand in the map only.
const mostListed = 10

// listed are the stops of the list: all, or the first ones with the one pointed at.
func (c *distance) listed() []stop {
	if len(c.stops) <= mostListed {
		return c.stops
	}
	all := append([]stop{}, c.stops[:mostListed]...)
	for _, s := range c.stops[mostListed:] {
		if s.here {
			all[mostListed-1] = s
		}
	}
	return all
}

// listHeight is the room of the list below the map.
func (c *distance) listHeight(l plate.Layout) draw.MM {
	n := draw.MM(len(c.listed()))
	if n == 0 {
		return 0
	}
	h := stopRow
	if l == plate.Phone {
		h += 4.4
	}
	extra := draw.MM(0)
	if len(c.stops) > mostListed {
		extra = stopRow
	}
	return headHeight + n*h + extra
}

// list says each stop in words: when, how far, with which lead, and what it means.
func (c *distance) list() {
	all := c.listed()
	if len(all) == 0 {
		return
	}
	sectionHead(c.Sheet, c.take(headHeight), "The way of this touch")
	th, ty := c.Theme, c.Type
	rows := make([]listRow, len(all))
	var gaps, leads, zones draw.MM // the widths of the columns
	for i, s := range all {
		r := listRow{name: draw.Text{S: plate.Typeset(s.Name), Font: draw.Serif, Size: ty.Text, Colour: th.Ink},
			gap:  draw.Text{S: plate.Metres(s.Gap), Font: draw.SansBold, Size: ty.Label, Colour: th.Ink},
			lead: draw.Text{S: c.leadWords(s.Lead), Font: draw.Sans, Size: ty.Label, Colour: th.Quiet},
			sure: draw.Text{S: c.sureOf(s.Stop), Font: draw.SansBold, Size: ty.Label, Colour: th.Ink},
			zone: draw.Text{S: c.zoneOf(s.Stop), Font: draw.Serif, Size: ty.Text, Colour: th.Ink}}
		if s.here {
			r.name.Font = draw.SerifBold
		}
		gaps, leads, zones = max(gaps, r.gap.Width()), max(leads, r.lead.Width()), max(zones, r.zone.Width())
		rows[i] = r
	}
	for i, r := range rows {
		row := c.take(stopRow)
		mid := draw.Pt{X: row.X + tagRadius, Y: row.Y + row.H/2}
		c.disc(all[i], mid)
		base := mid.Y + ty.Text*draw.XShare/2
		x := row.X + 2*tagRadius + 2
		if c.Layout == plate.Wide {
			zone := row.Right() - zones
			lead := zone - 14 - leads
			gap := lead - 3.5
			put(&c.Group, r.zone, zone, base, draw.Start)
			put(&c.Group, r.sure, zone-2.5, base, draw.End)
			put(&c.Group, r.lead, lead, base, draw.Start)
			put(&c.Group, r.gap, gap, base, draw.End)
			put(&c.Group, cut(r.name, gap-gaps-2.5-x), x, base, draw.Start)
			continue
		}
		put(&c.Group, r.gap, row.Right(), base, draw.End)
		put(&c.Group, cut(r.name, row.Right()-r.gap.Width()-2-x), x, base, draw.Start)
		second := c.take(4.4)
		base = second.Y + 2.4
		r.lead.Size, r.zone.Size, r.zone.Font, r.zone.Colour = ty.Fine, ty.Fine, draw.Sans, th.Quiet
		if r.sure.S != "" {
			r.zone.S += ", " + r.sure.S
		}
		put(&c.Group, r.lead, second.Right(), base, draw.End)
		put(&c.Group, cut(r.zone, second.Right()-r.lead.Width()-2-x), x, base, draw.Start)
	}
	if more := len(c.stops) - len(all); more > 0 {
		row := c.take(stopRow)
		put(&c.Group, draw.Text{S: "and " + strconv.Itoa(more) + " more on the map", Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}, row.X+2*tagRadius+2, row.Y+row.H/2, draw.Start)
	}
}

// listRow is what the list says of a stop.
type listRow struct{ name, gap, lead, sure, zone draw.Text }

// put writes a text at a place.
func put(g *draw.Group, t draw.Text, x, y draw.MM, a draw.Anchor) {
	t.At, t.Anchor = draw.Pt{X: x, Y: y}, a
	g.Text(t)
}

// cut shortens a text to a width, with an ellipsis.
func cut(t draw.Text, width draw.MM) draw.Text {
	whole := []rune(t.S)
	for n := len(whole); n > 0 && t.Width() > width; n-- {
		t.S = strings.TrimRight(string(whole[:n-1]), " ,") + "…"
	}
	return t
}
