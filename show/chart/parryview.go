package chart

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/timing"
)

// Sizes of the view along the blade, in millimetres.
const (
	viewHigh  draw.MM = 72
	viewWide  draw.MM = 82 // beside the numbers
	viewFrame draw.MM = 5  // round the dial, for the hours
	keyRow    draw.MM = 4.6

	viewHighLow draw.MM = 50
)

// view is the target as the attacker's hand sees it, and the numbers beside it.
func (c *parried) view() part {
	keys := c.keys()
	viewHigh, viewWide := viewHigh, viewWide
	if c.o.Low > 0 {
		viewHigh = viewHighLow
		viewWide = viewHigh
	}
	if c.o.Layout == plate.Phone {
		numbers := factsIn(c.o, c.askedFacts(), 2, c.o.inner())
		if c.o.Low > 1 {
			numbers = space(0)
		}
		high := draw.MM(len(keys))*keyRow + 2
		return part{height: viewHigh + high + numbers.height, draw: func(l *leaf, b draw.Box) {
			c.dial(l, draw.Box{X: b.X, Y: b.Y, W: b.W, H: viewHigh})
			c.drawKeys(l, keys, draw.Pt{X: b.X, Y: b.Y + viewHigh + 1})
			numbers.draw(l, draw.Box{X: b.X, Y: b.Y + viewHigh + high, W: b.W, H: numbers.height})
		}}
	}
	width := c.o.inner() - viewWide - 3
	numbers := factsIn(c.o, c.askedFacts(), 2, width)
	return part{height: max(viewHigh, numbers.height+draw.MM(len(keys))*keyRow+2), draw: func(l *leaf, b draw.Box) {
		c.dial(l, draw.Box{X: b.X, Y: b.Y, W: viewWide, H: viewHigh})
		x := b.X + viewWide + 3
		numbers.draw(l, draw.Box{X: x, Y: b.Y + 1.5, W: width, H: numbers.height})
		c.drawKeys(l, keys, draw.Pt{X: x, Y: b.Y + viewHigh - draw.MM(len(keys))*keyRow})
	}}
}

// askedFacts are the numbers that stand beside the view.
func (c *parried) askedFacts() []fact {
	a := c.p.Asked
	var all []fact
	if len(a.Ways) > 0 {
		all = append(all, fact{"smallest turn of the blade", plate.Degrees(a.Smallest), "towards " + clockWords(a.Ways[0].Clock) + ", " + sideWords(a.Ways[0].Clock)})
	} else {
		all = append(all, fact{"turn asked for", "none", "at the best estimate the line passes by"})
	}
	all = append(all, fact{"the line meets the " + c.target(), plate.Percent(a.Threatens), "with a margin of " + plate.Centimetres(quantity.Exactly(c.p.Parry.Margin))})
	if a.HandToZone.IsValid() && a.HandToZone.Mean > 0 {
		all = append(all, fact{"hand to the " + c.target(), plate.Metres(a.HandToZone), "the closer, the larger the turn"})
	}
	if known := c.p.Time; known.IsValid() && known.Mean > 0 {
		beside := ""
		if u := c.p.Usual; u.IsValid() && u.Mean > 0 {
			beside = "one of usual size " + plate.Milliseconds(u)
		}
		all = append(all, fact{"this parry takes", plate.Milliseconds(known), beside})
	}
	if a.TooClose.Mean >= 0.005 {
		all = append(all, fact{"hand already inside", plate.Percent(a.TooClose), "where no turn serves"})
	}
	if a.Arrived.Mean >= 0.005 {
		all = append(all, fact{"point already there", plate.Percent(a.Arrived), ""})
	}
	return all
}

// parryKey is one line that says what a mark means.
type parryKey struct {
	words string
	mark  func(l *leaf, b draw.Box)
}

func (c *parried) keys() []parryKey {
	th := c.o.Theme
	all := []parryKey{{"target, dashed with its margin", func(l *leaf, b draw.Box) {
		l.Fill(b.Path(), c.hue(c.p.Defender).Fade(0.25))
		l.Stroke(b.Grow(0.7).Path(), draw.Pen{Colour: c.hue(c.p.Defender), Width: 0.25, Dash: []draw.MM{0.9, 0.7}})
	}}}
	mid := func(b draw.Box) (draw.Pt, draw.Pt) {
		return draw.Pt{X: b.X, Y: b.Y + b.H/2}, draw.Pt{X: b.Right(), Y: b.Y + b.H/2}
	}
	if len(c.p.Asked.Ways) == 0 {
		return all
	}
	all = append(all, parryKey{"smallest turn that clears it", func(l *leaf, b draw.Box) {
		from, to := mid(b)
		l.arrow(from, to, draw.Pen{Colour: th.Brass, Width: 0.9}, 2.2)
	}})
	if c.p.Asked.Best != nil {
		all = append(all, parryKey{"turn that moves the own blade least", func(l *leaf, b draw.Box) {
			from, to := mid(b)
			l.arrow(from, to, draw.Pen{Colour: th.Ink, Width: 0.5}, 2)
		}})
	}
	all = append(all, parryKey{"turns to the other sides", func(l *leaf, b draw.Box) {
		from, to := mid(b)
		l.Stroke(draw.Segment(from, to), draw.Pen{Colour: th.Quiet, Width: 0.3})
		l.Fill(draw.Circle(to, 0.8), th.Quiet)
	}})
	for _, w := range c.p.Asked.Ways {
		if w.Around {
			return append(all, parryKey{"first around the other blade (circular)", func(l *leaf, b draw.Box) {
				from, to := mid(b)
				c.around(&l.Group, from, to)
			}})
		}
	}
	return all
}

func (c *parried) drawKeys(l *leaf, keys []parryKey, at draw.Pt) {
	for i, k := range keys {
		y := at.Y + draw.MM(i)*keyRow
		k.mark(l, draw.Box{X: at.X + 1, Y: y + 0.6, W: 5.4, H: 2.2})
		l.Text(draw.Text{At: draw.Pt{X: at.X + 9, Y: y + 1.7 + l.Type.Fine*draw.CapShare/2}, S: k.words, Font: draw.Sans, Size: l.Type.Fine, Colour: l.Theme.Quiet})
	}
}

// around draws a turn for which the own blade first goes around the other one.
func (c *parried) around(g *draw.Group, from, to draw.Pt) {
	th := c.o.Theme
	g.Stroke(draw.Segment(from, to), draw.Pen{Colour: th.Quiet, Width: 0.3, Dash: []draw.MM{0.9, 0.7}})
	g.Fill(draw.Circle(to, 1), th.Ground)
	g.Stroke(draw.Circle(to, 0.85), draw.Pen{Colour: th.Quiet, Width: 0.3})
}

// widest is the angle that the view reaches to: as far as most of the ways, for the
// smallest matter the most; longer ones leave it.
func (c *parried) widest(offs []float64) float64 {
	var turns []float64
	for _, w := range c.p.Asked.Ways {
		turns = append(turns, float64(w.Turn))
	}
	if len(turns) == 0 {
		turns = offs
	}
	far := 0.0
	if len(turns) > 0 {
		slices.Sort(turns)
		far = turns[len(turns)-1]
		if len(c.p.Asked.Ways) > 0 {
			far = math.Min(far, math.Max(1.6*turns[len(turns)*6/10], 3*turns[0]))
		}
	}
	return math.Min(math.Max(far*1.22, 4*math.Pi/180), 100*math.Pi/180)
}

// dial draws the view along the blade: rings of equal turn, the target and its margin,
// the defender's blade, the ways to turn and the doubt of where the line goes.
func (c *parried) dial(l *leaf, b draw.Box) {
	p, th := c.p.Parry, c.o.Theme
	s := newSight(p)
	zone := [2]space3{c.place(timing.ZoneFrom), c.place(timing.ZoneTo)}
	wide, wideClock := s.outline(zone[0], zone[1], float64(p.Radius.Mean+p.Margin))
	bare, bareClock := s.outline(zone[0], zone[1], float64(p.Radius.Mean))
	r := min(b.W, b.H)/2 - viewFrame
	reach := c.widest(wide)
	s.centre = draw.Pt{X: b.X + b.W/2, Y: b.Y + b.H/2}
	s.perRadian = r / draw.MM(reach)
	rim := draw.Circle(s.centre, r)

	l.Fill(rim, th.Raised)
	in := l.Clip(rim)
	hue := c.hue(c.p.Defender)
	shape := func(offs, clocks []float64) *draw.Path {
		var pts []draw.Pt
		for i := range offs {
			pts = append(pts, s.at(offs[i], clocks[i]))
		}
		return draw.Polygon(pts...)
	}
	if len(wide) > 0 {
		in.Fill(shape(wide, wideClock), hue.Fade(0.10))
		in.Stroke(shape(wide, wideClock), draw.Pen{Colour: hue, Width: 0.35, Dash: []draw.MM{1.4, 1}})
	}
	if len(bare) > 0 {
		in.Fill(shape(bare, bareClock), hue.Fade(0.16))
		in.Stroke(shape(bare, bareClock), draw.Pen{Colour: hue, Width: 0.25})
	}
	taken := &words{room: draw.Box{X: b.X, Y: b.Y, W: b.W, H: b.H}}
	c.rings(l, in, s, reach, taken)
	c.opposing(in, s)
	upUp, rightRight, upRight := s.spread(p)
	for _, k := range [2]float64{1.96, 1} {
		xs, ys := oval(rightRight, upUp, upRight, k)
		var pts []draw.Pt
		for i := range xs {
			pts = append(pts, draw.Pt{X: s.centre.X + s.perRadian*draw.MM(xs[i]), Y: s.centre.Y - s.perRadian*draw.MM(ys[i])})
		}
		in.Fill(draw.Polygon(pts...), c.hue(c.attacker).Fade(0.2))
	}
	c.spokes(l, in, s, reach, taken)
	l.Fill(plate.Shape(c.attacker, s.centre, 3.2), th.Ground)
	l.Stroke(plate.Shape(c.attacker, s.centre, 2.4), draw.Pen{Colour: c.hue(c.attacker), Width: 0.7})
}

// rings draws circles of equal turn with their degrees, and the hours round the rim.
func (c *parried) rings(l *leaf, in *draw.Group, s sight, reach float64, taken *words) {
	th := c.o.Theme
	degrees := reach * 180 / math.Pi
	step := 2.0
	for _, k := range [...]float64{2, 5, 10, 15, 20, 30} {
		step = k
		if degrees/k <= 4.2 {
			break
		}
	}
	r := s.perRadian * draw.MM(reach)
	l.Stroke(draw.Circle(s.centre, r), draw.Pen{Colour: th.Rule, Width: 0.3})
	for i := range 12 {
		turn := 2 * math.Pi * float64(i) / 12
		sin, cos := math.Sincos(turn)
		at := func(d draw.MM) draw.Pt {
			return draw.Pt{X: s.centre.X + d*draw.MM(sin), Y: s.centre.Y - d*draw.MM(cos)}
		}
		long := draw.MM(0.9)
		if i%3 == 0 {
			long = 1.6
			h := i
			if h == 0 {
				h = 12
			}
			p := at(r + 2.9)
			t := draw.Text{S: strconv.Itoa(h), Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.Middle}
			taken.put(l, t, draw.Pt{X: p.X, Y: p.Y + l.Type.Fine*draw.CapShare/2})
		}
		l.Stroke(draw.Segment(at(r), at(r+long)), draw.Pen{Colour: th.Rule, Width: 0.3})
	}
	for i := 1; float64(i)*step < degrees*0.97; i++ {
		at := s.perRadian * draw.MM(float64(i)*step*math.Pi/180)
		in.Stroke(draw.Circle(s.centre, at), draw.Pen{Colour: th.Rule.Fade(0.6), Width: 0.18})
		t := draw.Text{S: fmt.Sprintf("%g°", float64(i)*step), Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.Middle, Halo: th.Raised, HaloWidth: 0.8}
		var places []draw.Pt
		for k := range 8 { // between two ways, below first, clear of the arrows
			turn := 2 * math.Pi * (float64(7+(k+1)/2*(1-2*(k%2))) + 0.5) / 16
			if c.arrowNear(turn) {
				continue
			}
			sin, cos := math.Sincos(turn)
			places = append(places, draw.Pt{X: s.centre.X + at*draw.MM(sin), Y: s.centre.Y - at*draw.MM(cos) + l.Type.Fine*draw.CapShare/2})
		}
		taken.put(l, t, places...)
	}
}

// arrowNear reports whether an arrow points within a twelfth of a turn of this way.
func (c *parried) arrowNear(turn float64) bool {
	near := func(w timing.Way) bool { return math.Cos(turn-float64(w.Clock)) > math.Cos(math.Pi/6) }
	a := c.p.Asked
	return len(a.Ways) > 0 && near(a.Ways[0]) || a.Best != nil && near(a.Best.Way)
}

// opposing draws the defender's blade as the attacker's hand sees it, in thirds.
func (c *parried) opposing(in *draw.Group, s sight) {
	hand, point := c.place(timing.DefendersHand), c.place(timing.DefendersPoint)
	along := point.less(hand)
	hue := c.hue(c.p.Defender)
	for i, width := range [3]draw.MM{1.5, 1, 0.55} {
		const pieces = 12
		var pts []draw.Pt
		for k := range pieces + 1 {
			x := hand.plus(along.times((float64(i) + float64(k)/pieces) / 3))
			if x.less(s.from).length() > 0.02 {
				pts = append(pts, s.place(x))
			}
		}
		if len(pts) > 1 {
			in.Stroke(draw.Polyline(pts...), draw.Pen{Colour: c.o.Theme.Raised, Width: width + 0.8})
			in.Stroke(draw.Polyline(pts...), draw.Pen{Colour: hue, Width: width})
		}
	}
	at := s.place(hand)
	in.Fill(plate.Shape(c.p.Defender, at, 3.4), c.o.Theme.Raised)
	in.Fill(plate.Shape(c.p.Defender, at, 2.6), hue)
}

// spokes draws the turn to every side, the smallest in brass with its doubt.
func (c *parried) spokes(l *leaf, in *draw.Group, s sight, reach float64, taken *words) {
	a, th := c.p.Asked, c.o.Theme
	if len(a.Ways) == 0 {
		return
	}
	best := -1
	for i, w := range a.Ways[1:] {
		to := s.at(float64(w.Turn), float64(w.Clock))
		switch {
		case a.Best != nil && w.Clock == a.Best.Clock && w.Turn == a.Best.Way.Turn && w.Turn > 0:
			best = i + 1
		case w.Around:
			c.around(in, s.centre, to)
		default:
			in.Stroke(draw.Segment(s.centre, to), draw.Pen{Colour: th.Quiet, Width: 0.3})
			in.Fill(draw.Circle(to, 0.8), th.Quiet)
		}
	}
	if best > 0 {
		w := a.Ways[best]
		l.arrow(s.centre, s.at(math.Min(float64(w.Turn), reach), float64(w.Clock)), draw.Pen{Colour: th.Ink, Width: 0.5}, 2.6)
	}
	// The smallest turn, its end as soft as it is uncertain.
	w := a.Ways[0]
	across := func(off float64, half draw.MM) (draw.Pt, draw.Pt) {
		p := s.at(off, float64(w.Clock))
		sin, cos := math.Sincos(float64(w.Clock))
		return draw.Pt{X: p.X - half*draw.MM(cos), Y: p.Y - half*draw.MM(sin)}, draw.Pt{X: p.X + half*draw.MM(cos), Y: p.Y + half*draw.MM(sin)}
	}
	if q := a.Smallest; q.IsValid() && q.SD > 0 {
		shift := float64(w.Turn) - float64(q.Mean) // about the end that is drawn
		for _, e := range [2][2]float64{{float64(q.Lo), float64(q.Hi)}, {float64(q.Mean - q.SD), float64(q.Mean + q.SD)}} {
			p0, p1 := across(math.Max(0, e[0]+shift), 1.7)
			p2, p3 := across(math.Max(0, e[1]+shift), 1.7)
			l.Fill(draw.Polygon(p0, p1, p3, p2), th.Brass.Fade(0.3))
		}
	}
	l.arrow(s.centre, s.at(float64(w.Turn), float64(w.Clock)), draw.Pen{Colour: th.Brass, Width: 0.9}, 3)
	// Sizes stand just outside of the ends, the smallest and the best first.
	label := func(w timing.Way, words string, f draw.Font, colour draw.Colour) {
		t := draw.Text{S: words, Font: f, Size: l.Type.Fine, Colour: colour, Anchor: draw.Middle, Halo: th.Raised, HaloWidth: 0.9}
		var at []draw.Pt
		for _, out := range [...]draw.MM{3.4, 4.6, 6} {
			for _, turn := range [...]float64{0, 0.14, -0.14} {
				p := s.at(math.Min(float64(w.Turn)+float64(out/s.perRadian), reach-float64(2.6/s.perRadian)), float64(w.Clock)+turn)
				at = append(at, draw.Pt{X: p.X, Y: p.Y + l.Type.Fine*draw.CapShare/2})
			}
		}
		taken.put(l, t, at...)
	}
	label(w, plate.Degrees(a.Smallest), draw.SansBold, th.Brass)
	if best > 0 {
		label(a.Ways[best], c.wayDegrees(a.Ways[best]), draw.SansBold, th.Ink)
	}
	for i, w := range a.Ways[1:] {
		if i%2 == 0 && i+1 != best {
			label(w, c.wayDegrees(w), draw.Sans, th.Quiet)
		}
	}
}

// wayDegrees is the turn of one way at the means, no finer than the smallest is known: a
// least value where the way around is not counted.
func (c *parried) wayDegrees(w timing.Way) string {
	q := quantity.Exactly(w.Turn)
	if c.p.Asked.Smallest.IsValid() {
		q = quantity.Normal(w.Turn, c.p.Asked.Smallest.SD)
	}
	d := plate.FigureOf(q, plate.InDegrees).Value + "°"
	if w.Around {
		return "≥" + nb + d
	}
	return d
}
