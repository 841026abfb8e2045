package plate

import (
	"math"
	"strconv"

	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// ghosting is what lies on the picture of a movement being drawn.
type ghosting struct {
	q  *Sequence
	g  *draw.Group
	v  view
	sh *Sheet
	ob *obstacles
}

// place is where a point of an instant stands on the sheet.
func (x *ghosting) place(i int, p mark.Pixel) (draw.Pt, bool) {
	if p = x.q.turn[i].of(p); !finite(p) {
		return draw.Pt{}, false
	}
	return x.v.at(p), true
}

// points are those of a fencer at an instant.
func (x *ghosting) points(i int, s mark.Side) map[mark.What]draw.Pt {
	at := map[mark.What]draw.Pt{}
	for _, p := range x.q.at[i].Bodies[s].Points {
		if c, ok := x.place(i, p.At); ok {
			at[p.What] = c
		}
	}
	return at
}

// age is how strongly an instant is drawn.
func (x *ghosting) age(i int) float64 {
	return palest + (1-palest)*float64(i)/float64(len(x.q.at)-1)
}

func (x *ghosting) draw() {
	th := x.sh.Theme
	grid(x.g, x.v, study.PlacedFrame{Grid: x.q.at[len(x.q.at)-1].Grid}, th, gridStyle{th.Ink, quietGrid.opacity})
	for _, t := range x.q.traces() {
		x.trace(t)
	}
	for i := range x.q.at {
		for _, s := range mark.Sides {
			x.instant(i, s)
		}
	}
	for _, s := range mark.Sides {
		x.numbers(s)
	}
}

// instant draws the blade and the point of a fencer, and the body by its points where the
// picture does not show it.
func (x *ghosting) instant(i int, s mark.Side) {
	th, at := x.sh.Theme, x.points(i, s)
	hue := Hue(th, s).Fade(x.age(i))
	line := func(a, b draw.Pt, w draw.MM) {
		x.g.Stroke(draw.Segment(a, b), draw.Pen{Colour: th.Ground.Fade(0.5 * x.age(i)), Width: w + 0.6, Cap: draw.RoundCap})
		x.g.Stroke(draw.Segment(a, b), draw.Pen{Colour: hue, Width: w, Cap: draw.RoundCap})
	}
	if !x.q.apart && i < len(x.q.at)-1 {
		for _, bone := range bones[1:] {
			a, ok1 := at[bone[0]]
			b, ok2 := at[bone[1]]
			if ok1 && ok2 {
				line(a, b, 0.45)
			}
		}
	}
	guard, ok1 := at[mark.Guard]
	point, ok2 := at[mark.Point]
	if ok1 && ok2 {
		line(guard, point, 0.5)
		x.ob.line(guard, point, 0.8)
	}
	if ok2 {
		tip := Shape(s, point, 2.2)
		x.g.Stroke(tip, draw.Pen{Colour: th.Ground.Fade(0.6 * x.age(i)), Width: 1.1, Corner: draw.Sharp})
		x.g.Stroke(tip, draw.Pen{Colour: hue, Width: 0.5, Corner: draw.Sharp})
		x.ob.boxes = append(x.ob.boxes, draw.Box{X: point.X - 1.8, Y: point.Y - 1.8, W: 3.6, H: 3.6})
	}
	for _, w := range []mark.What{mark.FrontToe, mark.FrontHeel, mark.RearToe, mark.RearHeel} {
		if c, ok := at[w]; ok {
			x.g.Fill(Shape(s, c, 1.6), th.Ground.Fade(0.6*x.age(i)))
			x.g.Fill(Shape(s, c, 1.1), hue)
		}
	}
}

// head is where the number of an instant stands: above the mask, else by the point or hip.
func (x *ghosting) head(i int, s mark.Side) (draw.Pt, bool) {
	at := x.points(i, s)
	if c, ok := at[mark.Mask]; ok {
		c.Y -= 0.13 * x.v.box.H
		return c, true
	}
	for _, w := range []mark.What{mark.Point, mark.Hip} {
		if c, ok := at[w]; ok {
			return c, true
		}
	}
	return draw.Pt{}, false
}

// numbers stand above the head of a fencer; those of instants in a row at which the head
// hardly moved share one: "1–3".
func (x *ghosting) numbers(s mark.Side) {
	size := x.sh.Type.Label
	near := size * 2.2
	type group struct {
		from, to int
		at, sum  draw.Pt
		n        draw.MM
	}
	var all []group
	for i := range x.q.at {
		c, ok := x.head(i, s)
		if !ok {
			continue
		}
		if n := len(all); n > 0 && all[n-1].to == i-1 && dist(all[n-1].at, c) < near {
			g := &all[n-1]
			g.to, g.n = i, g.n+1
			g.sum = draw.Pt{X: g.sum.X + c.X, Y: g.sum.Y + c.Y}
			g.at = draw.Pt{X: g.sum.X / g.n, Y: g.sum.Y / g.n}
			continue
		}
		all = append(all, group{i, i, c, c, 1})
	}
	for _, g := range all {
		words := strconv.Itoa(g.from + 1)
		if g.to > g.from {
			words += "–" + strconv.Itoa(g.to+1)
		}
		x.number(words, g.at, s)
	}
}

// number sets a number near a place, in the shape of the fencer.
func (x *ghosting) number(words string, anchor draw.Pt, s mark.Side) {
	th, size := x.sh.Theme, x.sh.Type.Label
	t := draw.Text{S: words, Font: draw.SansBold, Size: size, Colour: th.Ink, Anchor: draw.Middle}
	h := size * 1.6
	w := max(h, t.Width()+size*0.9)
	box := draw.Box{X: anchor.X - w/2, Y: anchor.Y - h/2, W: w, H: h}
	if !x.ob.free(box) {
		var ok bool
		if box, ok = x.ob.settle(anchor, w, h, 16); !ok {
			return
		}
	}
	shape := box.Path()
	if s == mark.Right {
		shape = box.Round(h / 2)
	}
	x.g.Fill(shape, th.Ground.Fade(0.85))
	x.g.Stroke(shape, draw.Pen{Colour: Hue(th, s), Width: 0.35, Corner: draw.Sharp})
	t.At = draw.Pt{X: box.X + w/2, Y: box.Y + h/2 + size*draw.CapShare/2}
	x.g.Text(t)
	x.ob.boxes = append(x.ob.boxes, box.Grow(0.4))
}

// traces are the ways of both points through the movement.
func (q *Sequence) traces() []study.Track {
	var all []study.Track
	for _, t := range q.r.Tracks {
		if t.Take == q.take && t.What == mark.Point && len(t.Steps) > 1 {
			all = append(all, t)
		}
	}
	return all
}

// spot is one frame of a trace on the sheet.
type spot struct {
	at   draw.Pt
	half draw.MM // of the band that holds 95 %
}

// trace draws the way of a point from the first to the last instant: a line with its band
// where it was seen, nothing where it was lost.
func (x *ghosting) trace(t study.Track) {
	const two = 1.96 // standard deviations hold 95 % of a normal law
	first, last := x.q.frames[0], x.q.frames[len(x.q.frames)-1]
	base, ok := x.q.r.Turn(x.q.take, last)
	if !ok {
		return
	}
	var run []spot
	for _, s := range t.Steps {
		if s.Frame < first || s.Frame > last {
			continue
		}
		m, ok := x.q.r.Turn(x.q.take, s.Frame)
		seen := ok && (s.State == study.StateMarked || s.State == study.StateFollowed)
		back, flat := plane(m).inverse()
		if !seen || !flat {
			x.run(run, t.Who)
			run = nil
			continue
		}
		if p := plane(base).times(back).of(s.Smooth); finite(p) {
			run = append(run, spot{x.v.at(p), draw.MM(two * float64(s.SD) * x.v.scale)})
		}
	}
	x.run(run, t.Who)
}

func (x *ghosting) run(run []spot, s mark.Side) {
	if len(run) < 2 {
		return
	}
	hue := Hue(x.sh.Theme, s)
	var up, down, line []draw.Pt
	for i, p := range run {
		a, b := run[max(0, i-1)].at, run[min(len(run)-1, i+1)].at
		dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
		n := math.Hypot(dx, dy)
		if n == 0 {
			dx, dy, n = 1, 0, 1
		}
		nx, ny := draw.MM(-dy/n)*p.half, draw.MM(dx/n)*p.half
		up = append(up, draw.Pt{X: p.at.X + nx, Y: p.at.Y + ny})
		down = append([]draw.Pt{{X: p.at.X - nx, Y: p.at.Y - ny}}, down...)
		line = append(line, p.at)
	}
	x.g.Fill(draw.Polygon(append(up, down...)...), hue.Fade(0.25))
	pen := draw.Pen{Colour: hue, Width: 0.4, Cap: draw.RoundCap}
	if s == mark.Right {
		pen.Dash = []draw.MM{1.6, 0.9} // told apart without colour
	}
	x.g.Stroke(draw.Polyline(line...), draw.Pen{Colour: x.sh.Theme.Ground.Fade(0.5), Width: 1})
	x.g.Stroke(draw.Polyline(line...), pen)
}

// ghostKey says below the picture when each instant was.
type ghostKey struct {
	q *Sequence
	l Layout
}

func (k ghostKey) columns() int {
	if k.l == Wide {
		return 2
	}
	return 1
}

func (k ghostKey) row() draw.MM { return k.l.Type().Text*leading + 1.6 }

func (k ghostKey) height() draw.MM {
	n := (len(k.q.at) + k.columns() - 1) / k.columns()
	return draw.MM(n)*k.row() + 3
}

func (k ghostKey) draw(sh *Sheet, box draw.Box) {
	const gutter = 9
	th, ty := sh.Theme, sh.Type
	n := k.columns()
	rows := (len(k.q.at) + n - 1) / n
	w := (box.W - gutter*draw.MM(n-1)) / draw.MM(n)
	for i, t := range k.q.at {
		x := box.X + draw.MM(i/rows)*(w+gutter)
		base := box.Y + 3 + draw.MM(i%rows)*k.row() + ty.Text
		sh.Text(draw.Text{At: draw.Pt{X: x, Y: base}, S: strconv.Itoa(i + 1), Font: draw.SansBold, Size: ty.Text, Colour: th.Ink})
		when := draw.Text{At: draw.Pt{X: x + w, Y: base}, S: Seconds(t.At), Font: draw.Sans, Size: ty.Text, Colour: th.Ink, Anchor: draw.End}
		sh.Text(when)
		words := k.q.moment(i)
		if words == "" {
			words = "frame " + strconv.Itoa(int(t.Frame))
		}
		room := w - 5 - when.Width() - 3
		lines := draw.Wrap(Typeset(words), draw.Serif, ty.Text, room)
		s := lines[0]
		if len(lines) > 1 {
			s += " …"
		}
		sh.Text(draw.Text{At: draw.Pt{X: x + 5, Y: base}, S: s, Font: draw.Serif, Size: ty.Text, Colour: th.Quiet})
	}
}
