package chart

import (
	"math"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/timing"
)

// plane is the plane in which the blades are shown.
type plane struct {
	words string
	// up is which number of a place goes upwards on paper: 1 across the piste, away
	// from the camera, or 2.
	up int
}

// plane chooses the view in which the attacking blade is pushed the most.
func (c *parried) plane() plane {
	if b := c.p.Asked.Best; b != nil && math.Abs(b.Towards[2]) > math.Abs(b.Towards[1]) {
		return plane{"from the side", 2}
	}
	return plane{"from above", 1}
}

// Widths of the thirds of a blade on paper, from the guard to the point.
var thirdWidths = [3]draw.MM{1.7, 1.15, 0.6}

// bladesHigh is the tallest that the picture of both blades may become, and bladesLow
// the lowest.
const bladesHigh, bladesLow draw.MM = 50, 32

// onPaper puts places of the world on paper.
type onPaper struct {
	up     int
	x0, y0 float64 // the middle of what is shown
	mid    draw.Pt
	per    draw.MM // of a metre
}

func (m onPaper) at(p space3) draw.Pt {
	return draw.Pt{X: m.mid.X + m.per*draw.MM(p[0]-m.x0), Y: m.mid.Y - m.per*draw.MM(p[m.up]-m.y0)}
}

// blades draws both blades in one plane, now and where the least parry ends.
func (c *parried) blades() part {
	best, p := c.p.Asked.Best, c.p.Parry
	ah, ap, dh, dp := c.place(timing.AttackersHand), c.place(timing.AttackersPoint), c.place(timing.DefendersHand), c.place(timing.DefendersPoint)
	zf, zt := c.place(timing.ZoneFrom), c.place(timing.ZoneTo)
	u := ap.less(ah)
	towards := space3(best.Towards)
	turned := func(k float64) space3 { // the attacking blade's line after the share k of the turn
		s, co := math.Sincos(float64(best.Way.Turn) * k)
		return u.times(co).plus(towards.times(u.length() * s))
	}
	after := turned(1)
	hand, point := spaceOf(best.Meeting.Hand), spaceOf(best.Meeting.Point)
	far := math.Max(zf.less(ah).length(), zt.less(ah).length()) + 0.1
	line := ah.plus(u.unit().times(far))
	lineAfter := ah.plus(after.unit().times(far))

	m := onPaper{up: c.plane().up}
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	grow := func(q space3, by float64) {
		x0, x1 = math.Min(x0, q[0]-by), math.Max(x1, q[0]+by)
		y0, y1 = math.Min(y0, q[m.up]-by), math.Max(y1, q[m.up]+by)
	}
	rim := float64(p.Radius.Mean + p.Margin)
	for _, q := range []space3{ah, ap, dh, dp, hand, point, line, lineAfter} {
		grow(q, 0.03)
	}
	grow(zf, rim+0.02)
	grow(zt, rim+0.02)
	m.x0, m.y0 = (x0+x1)/2, (y0+y1)/2
	m.per = min((c.o.inner()-2)/draw.MM(x1-x0), bladesHigh/draw.MM(y1-y0))
	height := max(bladesLow, m.per*draw.MM(y1-y0)+2)
	return part{height: height, draw: func(l *leaf, b draw.Box) {
		m.mid = draw.Pt{X: b.X + b.W/2, Y: b.Y + b.H/2}
		th, def, att := c.o.Theme, c.hue(c.p.Defender), c.hue(c.attacker)
		in := l.Clip(b.Path())
		in.Fill(capsule(m.at(zf), m.at(zt), m.per*draw.MM(rim)), def.Fade(0.10))
		in.Stroke(capsule(m.at(zf), m.at(zt), m.per*draw.MM(rim)), draw.Pen{Colour: def, Width: 0.35, Dash: []draw.MM{1.4, 1}})
		in.Fill(capsule(m.at(zf), m.at(zt), m.per*draw.MM(p.Radius.Mean)), def.Fade(0.16))
		in.Stroke(capsule(m.at(zf), m.at(zt), m.per*draw.MM(p.Radius.Mean)), draw.Pen{Colour: def, Width: 0.25})
		// Where the line of the point goes, now and after.
		in.Stroke(draw.Segment(m.at(ap), m.at(line)), draw.Pen{Colour: att.Fade(0.7), Width: 0.3, Dash: []draw.MM{0.4, 0.9}, Cap: draw.RoundCap})
		in.Stroke(draw.Segment(m.at(ah.plus(after)), m.at(lineAfter)), draw.Pen{Colour: att.Fade(0.7), Width: 0.3, Dash: []draw.MM{0.4, 0.9}, Cap: draw.RoundCap})
		for _, s := range [4]timing.Spot{timing.AttackersHand, timing.AttackersPoint, timing.DefendersHand, timing.DefendersPoint} {
			hue := att
			if s >= timing.DefendersHand {
				hue = def
			}
			c.doubt(in, m, s, hue)
		}
		c.outlined(in, m.at(ah), m.at(ah.plus(after)), c.attacker)
		c.solid(in, m.at(dh), m.at(dp), c.p.Defender)
		c.solid(in, m.at(ah), m.at(ap), c.attacker)
		c.outlined(in, m.at(hand), m.at(point), c.p.Defender)
		// The turn of the attacking blade, the travel of the own hand.
		var arc []draw.Pt
		for i := range 13 {
			arc = append(arc, m.at(ah.plus(turned(float64(i)/12).times(0.62))))
		}
		l.bent(arc, draw.Pen{Colour: th.Brass, Width: 0.7}, 2.4)
		l.arrow(m.at(dh), m.at(hand), draw.Pen{Colour: th.Ink, Width: 0.4, Dash: []draw.MM{1.2, 0.8}}, 2)
		var sweep []draw.Pt
		from, to := dp.less(dh).unit(), point.less(hand).unit()
		for i := range 13 {
			k := float64(i) / 12
			d := from.times(1 - k).plus(to.times(k))
			if d.length() < 1e-9 {
				continue
			}
			base := dh.times(1 - k).plus(hand.times(k))
			sweep = append(sweep, m.at(base.plus(d.unit().times(0.55*dp.less(dh).length()))))
		}
		l.bent(sweep, draw.Pen{Colour: th.Ink, Width: 0.4}, 2)
		x := m.at(spaceOf(best.Meeting.Place))
		l.Fill(draw.Circle(x, 1.7), th.Ground)
		l.Stroke(draw.Circle(x, 1.4), draw.Pen{Colour: th.Ink, Width: 0.5})
		l.Fill(draw.Circle(x, 0.6), th.Ink)
		for _, e := range [2]struct {
			s mark.Side
			p draw.Pt
		}{{c.attacker, m.at(ah)}, {c.p.Defender, m.at(dh)}} {
			l.Fill(plate.Shape(e.s, e.p, 4.2), th.Ground)
			l.Fill(plate.Shape(e.s, e.p, 3.2), c.hue(e.s))
		}
	}}
}

// bent is a curved arrow through points.
func (c *leaf) bent(pts []draw.Pt, pen draw.Pen, head draw.MM) {
	n := len(pts)
	if n < 3 {
		return
	}
	// Short curves have no room for a head.
	long := draw.MM(0)
	for i := 1; i < n; i++ {
		long += draw.MM(math.Hypot(float64(pts[i].X-pts[i-1].X), float64(pts[i].Y-pts[i-1].Y)))
	}
	if long < 1 {
		return
	}
	end := pts[n-1]
	k := n - 1
	for k > 0 && math.Hypot(float64(end.X-pts[k].X), float64(end.Y-pts[k].Y)) < float64(min(head, long/2)) {
		k--
	}
	c.Stroke(draw.Polyline(pts[:k+1]...), pen)
	c.arrow(pts[k], end, pen, min(head, long/2))
}

// thirds are the outlines of a blade from guard to point on paper.
func thirds(hand, point draw.Pt) (parts [3]*draw.Path) {
	dx, dy := point.X-hand.X, point.Y-hand.Y
	l := draw.MM(math.Hypot(float64(dx), float64(dy)))
	if !(l > 0.01) {
		return parts
	}
	nx, ny := -dy/l, dx/l
	const gap = 0.35
	for i, w := range thirdWidths {
		k0, k1 := draw.MM(i)/3, draw.MM(i+1)/3
		if i > 0 && l > 6 {
			k0 += gap / l
		}
		a, b := draw.Pt{X: hand.X + dx*k0, Y: hand.Y + dy*k0}, draw.Pt{X: hand.X + dx*k1, Y: hand.Y + dy*k1}
		h := w / 2
		parts[i] = draw.Polygon(draw.Pt{X: a.X + nx*h, Y: a.Y + ny*h}, draw.Pt{X: b.X + nx*h, Y: b.Y + ny*h},
			draw.Pt{X: b.X - nx*h, Y: b.Y - ny*h}, draw.Pt{X: a.X - nx*h, Y: a.Y - ny*h})
	}
	return parts
}

// solid draws a blade as it is, the forte the widest.
func (c *parried) solid(g *draw.Group, hand, point draw.Pt, s mark.Side) {
	for _, p := range thirds(hand, point) {
		if p != nil {
			g.Fill(p, c.hue(s))
		}
	}
	g.Fill(plate.Shape(s, point, 2), c.o.Theme.Ground)
	g.Stroke(plate.Shape(s, point, 1.5), draw.Pen{Colour: c.hue(s), Width: 0.4})
}

// outlined draws a blade as it would be.
func (c *parried) outlined(g *draw.Group, hand, point draw.Pt, s mark.Side) {
	for _, p := range thirds(hand, point) {
		if p != nil {
			g.Fill(p, c.o.Theme.Ground)
			g.Stroke(p, draw.Pen{Colour: c.hue(s), Width: 0.25, Corner: draw.Sharp})
		}
	}
	g.Fill(plate.Shape(s, hand, 2.4), c.o.Theme.Ground)
	g.Stroke(plate.Shape(s, hand, 2.4), draw.Pen{Colour: c.hue(s), Width: 0.4})
	g.Fill(plate.Shape(s, point, 1.5), c.o.Theme.Ground)
	g.Stroke(plate.Shape(s, point, 1.5), draw.Pen{Colour: c.hue(s), Width: 0.3})
}

// doubt draws how uncertain a place is in the plane.
func (c *parried) doubt(g *draw.Group, m onPaper, s timing.Spot, hue draw.Colour) {
	n := c.p.Parry.Places.Len()
	i, j := 3*int(s), 3*int(s)+m.up
	cov := c.p.Parry.Places.Cov
	at := m.at(c.place(s))
	for _, k := range [2]float64{1.96, 1} {
		xs, ys := oval(cov[i*n+i], cov[j*n+j], cov[i*n+j], k)
		var pts []draw.Pt
		for q := range xs {
			pts = append(pts, draw.Pt{X: at.X + m.per*draw.MM(xs[q]), Y: at.Y - m.per*draw.MM(ys[q])})
		}
		g.Fill(draw.Polygon(pts...), hue.Fade(0.10))
	}
}

// bladeFacts are the numbers of the least parry.
func (c *parried) bladeFacts() part {
	b := c.p.Asked.Best
	around := "towards " + clockWords(b.Clock)
	if b.Around {
		around = "around the other blade, not counted"
	}
	return facts(c.o, []fact{
		{"no part of the own blade travels more than", plate.Centimetres(b.Path), around},
		{"the hand travels", plate.Centimetres(b.Travel), "dashed arrow"},
		{"the own blade turns", plate.Degrees(b.Sweep), "thin arrow; the other one " + plate.Degrees(b.Turn) + ", brass"},
		{"leverage", plate.FigureOf(b.Leverage, inTimes).Text, "own " + string(b.Meeting.DefenderPart) + " on the other’s " + string(b.Meeting.AttackerPart)},
	})
}

// Heights of the lever.
const (
	leverRow  draw.MM = 6.4
	leverHead draw.MM = 5
	leverTail draw.MM = 4
)

// lever draws both blades straight, one below the other, aligned where they meet: the
// longer way from a hand to the meeting is the weaker hold.
func (c *parried) lever() part {
	b := c.p.Asked.Best
	words := said(c.o, c.leverWords())
	return part{height: leverHead + 2*leverRow + leverTail + words.height, draw: func(l *leaf, box draw.Box) {
		m := b.Meeting
		la := float64(c.place(timing.AttackersPoint).less(c.place(timing.AttackersHand)).length())
		ld := float64(c.place(timing.DefendersPoint).less(c.place(timing.DefendersHand)).length())
		a, d := float64(m.OnAttacker), float64(m.OnDefender)
		// The attacker's hand on his own side of the sheet.
		sign := draw.MM(1)
		if c.attacker == mark.Right {
			sign = -1
		}
		before, beyond := math.Max(a, ld-d), math.Max(la-a, d)
		const room = 3
		per := (box.W - 2*room) / draw.MM(before+beyond)
		x := box.X + room + per*draw.MM(before)
		if sign < 0 {
			x = box.X + room + per*draw.MM(beyond)
		}
		y := box.Y + leverHead
		for i, row := range [2]struct {
			s    mark.Side
			arm  float64 // from the hand to the meeting
			long float64
			way  draw.MM // from the meeting to the hand
			name timing.Part
		}{{c.attacker, a, la, -sign, m.AttackerPart}, {c.p.Defender, d, ld, sign, m.DefenderPart}} {
			mid := y + leverRow*draw.MM(i) + leverRow/2
			hand := draw.Pt{X: x + row.way*per*draw.MM(row.arm), Y: mid}
			point := draw.Pt{X: x - row.way*per*draw.MM(row.long-row.arm), Y: mid}
			hue := c.hue(row.s)
			l.Fill(draw.Box{X: min(hand.X, x), Y: mid - 1.9, W: max(hand.X-x, x-hand.X), H: 3.8}.Path(), hue.Fade(0.16))
			c.solid(&l.Group, hand, point, row.s)
			l.Fill(plate.Shape(row.s, hand, 4), c.o.Theme.Ground)
			l.Fill(plate.Shape(row.s, hand, 3), hue)
			t := draw.Text{S: plate.Centimetres(quantity.Exactly(quantity.Metres(row.arm))) + " on the " + string(row.name), Font: draw.SansBold, Size: l.Type.Label, Colour: hue, Halo: c.o.Theme.Ground, HaloWidth: 0.9, Anchor: draw.Middle}
			t.At = draw.Pt{X: (hand.X + x) / 2, Y: mid - 2.6}
			if i == 1 {
				t.At.Y = mid + 2.6 + l.Type.Label*draw.CapShare
			}
			if e := t.Box(); e.Right() > box.Right() {
				t.At.X, t.Anchor = box.Right(), draw.End
			} else if e.X < box.X {
				t.At.X, t.Anchor = box.X, draw.Start
			}
			l.Text(t)
		}
		l.Stroke(draw.Segment(draw.Pt{X: x, Y: y - 0.4}, draw.Pt{X: x, Y: y + 2*leverRow - 1}), draw.Pen{Colour: c.o.Theme.Ink, Width: 0.5})
		words.draw(l, draw.Box{X: box.X, Y: y + 2*leverRow + leverTail, W: box.W, H: words.height})
	}}
}

func (c *parried) leverWords() string {
	b := c.p.Asked.Best
	return "For the same press where they meet, " + poss(c.attacker) + " wrist needs " + plate.FigureOf(b.Leverage, inTimes).Text + " times the effort of " + poss(c.p.Defender) + "."
}

// poss is "Left’s" inside a sentence.
func poss(s mark.Side) string {
	if s == mark.Left {
		return "left’s"
	}
	return "right’s"
}
