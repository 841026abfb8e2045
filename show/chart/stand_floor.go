package chart

import (
	"math"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
	"mesure/timing"
)

// ground puts places along the piste on paper: those of a fencer count towards the
// opponent.
type ground struct {
	dir, zero [2]float64 // by side: metres along the sheet are dir·place + zero
	x0        draw.MM
	per       draw.MM // of a metre
	broken    bool
	at        float64 // middle of the break, in metres along the sheet
}

func (g ground) x(s mark.Side, at quantity.Metres) draw.MM {
	return g.x0 + g.per*draw.MM(g.dir[s]*float64(at)+g.zero[s])
}

// Between these distances of the front feet both fencers stand on one floor, in metres;
// others are drawn on a broken one, brokenGap apart.
const (
	nearestFeet = -0.8
	farthest    = 3.2
	brokenGap   = 0.9
)

// reachOf is the stretch of the floor that a fencer takes, counted towards the opponent.
func reachOf(c *study.Commit) (rear, front float64) {
	st := c.Stance
	rear = math.Min(float64(st.Rear.At.Mean), float64(st.Front.At.Mean)) - 0.2
	front = math.Max(float64(st.Front.At.Mean), float64(st.Rear.At.Mean)) + 0.2
	// Where the body runs, as far as the sheet should go for it.
	runs := math.Max(rear-0.4, math.Min(front+0.6, float64(c.Runs.Mean)))
	return math.Min(rear, runs-0.05), math.Max(front, runs+0.05)
}

func (c *stood) ground(b draw.Box) ground {
	var g ground
	var from, to [2]float64
	for _, s := range c.who {
		r, f := reachOf(c.c[s])
		g.dir[s] = 1
		from[s], to[s] = r, f
		if s == mark.Right {
			g.dir[s] = -1
			from[s], to[s] = -f, -r
		}
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	if len(c.who) == 2 {
		gap := -float64(c.c[mark.Right].Stance.Front.At.Mean) - float64(c.c[mark.Left].Stance.Front.At.Mean)
		if !(gap > nearestFeet && gap < farthest) {
			g.broken = true
			g.zero[mark.Right] = to[mark.Left] + brokenGap - from[mark.Right]
			from[mark.Right] += g.zero[mark.Right]
			to[mark.Right] += g.zero[mark.Right]
			g.at = to[mark.Left] + brokenGap/2
		}
	}
	for _, s := range c.who {
		lo, hi = math.Min(lo, from[s]), math.Max(hi, to[s])
	}
	g.per = min(b.W/draw.MM(hi-lo), 46)
	g.x0 = b.X + b.W/2 - g.per*draw.MM((lo+hi)/2)
	return g
}

// floorBelow is the room under the floor.
const floorBelow draw.MM = 13

// floor draws feet and hips on it.
func (c *stood) floor() part {
	g := c.ground(draw.Box{W: c.o.inner()})
	high := draw.MM(0)
	for _, s := range c.who {
		high = max(high, g.per*draw.MM(c.c[s].Stance.Height))
	}
	return part{height: high + 6 + floorBelow, draw: func(l *leaf, b draw.Box) {
		g := c.ground(b)
		y := b.Y + high + 6
		pen := draw.Pen{Colour: l.Theme.Quiet, Width: 0.4}
		if !g.broken {
			l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), pen)
		} else {
			x := g.x0 + g.per*draw.MM(g.at)
			l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: x - 1.2, Y: y}), pen)
			l.Stroke(draw.Segment(draw.Pt{X: x + 1.2, Y: y}, draw.Pt{X: b.Right(), Y: y}), pen)
			for _, dx := range [2]draw.MM{-1.2, 1.2} {
				l.Stroke(draw.Segment(draw.Pt{X: x + dx - 0.9, Y: y + 1.8}, draw.Pt{X: x + dx + 0.9, Y: y - 1.8}), pen)
			}
		}
		taken := &words{room: draw.Box{X: b.X, Y: b.Y, W: b.W, H: b.H}}
		for _, s := range c.who {
			c.stance(l, g, s, y, taken)
		}
	}}
}

// stance draws one fencer.
func (c *stood) stance(l *leaf, g ground, s mark.Side, y draw.MM, taken *words) {
	k, th, hue := c.c[s], l.Theme, plate.Hue(l.Theme, s)
	st := k.Stance
	hip := draw.Pt{X: g.x(s, st.Hip.Mean), Y: y - g.per*draw.MM(st.Height)}
	x := func(at quantity.Metres) draw.MM { return g.x(s, at) }

	// Base: from the outer edge of one foot to that of the other.
	base := y + 6.2
	r, f := x(st.Rear.At.Mean-timing.FootHalf), x(st.Front.At.Mean+timing.FootHalf)
	for _, foot := range [2]timing.Foot{st.Front, st.Rear} {
		band(l, foot.At, y+0.9, 1.8, x, hue)
	}
	pen := draw.Pen{Colour: hue, Width: 0.35}
	if st.Front.OnFloor < 0.5 || st.Rear.OnFloor < 0.5 { // there is none before the foot lands
		pen.Dash = []draw.MM{1.2, 0.9}
	}
	l.Stroke(new(draw.Path).Move(r, base-1.2).Line(r, base).Line(f, base).Line(f, base-1.2), pen)
	t := draw.Text{S: "base", Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.Middle}
	taken.put(l, t, draw.Pt{X: (r + f) / 2, Y: base + 3.4})

	// Legs are lines: knees are not known.
	lift := g.per * 0.13
	feet := [2]struct {
		foot  timing.Foot
		front bool
	}{{st.Front, true}, {st.Rear, false}}
	for _, e := range feet {
		at := draw.Pt{X: x(e.foot.At.Mean), Y: y - g.per*0.09}
		if e.foot.OnFloor < 0.5 {
			at.Y -= lift
		}
		l.Stroke(draw.Segment(hip, at), draw.Pen{Colour: th.Rule, Width: 0.45, Cap: draw.RoundCap})
	}
	for _, e := range feet {
		c.foot(l, g, s, e.foot, e.front, y, taken)
	}
	// The plumb from the hip, and from there to where the body runs.
	l.Stroke(draw.Segment(hip, draw.Pt{X: hip.X, Y: base}), draw.Pen{Colour: th.Quiet, Width: 0.25, Dash: []draw.MM{0.4, 0.9}, Cap: draw.RoundCap})
	band(l, st.Hip, base, 1.6, x, hue)
	edge := func(at quantity.Metres) draw.MM { // not beyond the sheet
		return max(taken.room.X, min(taken.room.Right(), x(at)))
	}
	band(l, k.Runs, y+3.4, 2.4, edge, th.Quiet)
	l.arrow(draw.Pt{X: hip.X, Y: y + 3.4}, draw.Pt{X: edge(k.Runs.Mean), Y: y + 3.4}, draw.Pen{Colour: th.Ink, Width: 0.7}, 2.4)
	if supposed(k) {
		l.Fill(plate.Shape(s, hip, 4.4), th.Ground)
		l.Stroke(plate.Shape(s, hip, 3.6), draw.Pen{Colour: hue, Width: 0.5, Dash: []draw.MM{0.8, 0.6}})
	} else {
		l.Fill(plate.Shape(s, hip, 4.8), th.Ground)
		l.Fill(plate.Shape(s, hip, 3.8), hue)
	}
	h := draw.Text{S: "hip", Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.Middle}
	if supposed(k) {
		h.S = "hip, supposed"
	}
	taken.put(l, h, draw.Pt{X: hip.X, Y: hip.Y - 3.4})
}

// foot draws one foot: on the floor full, in the air outlined and lifted, with when it
// lands.
func (c *stood) foot(l *leaf, g ground, s mark.Side, foot timing.Foot, front bool, y draw.MM, taken *words) {
	th, hue := l.Theme, plate.Hue(l.Theme, s)
	x := g.x(s, foot.At.Mean)
	way := draw.MM(g.dir[s])
	half, high := g.per*draw.MM(timing.FootHalf), g.per*0.085
	air := foot.OnFloor < 0.5
	at := y
	if air {
		at -= g.per * 0.13
	}
	// The front foot points at the opponent; the rear one stands across.
	shape := new(draw.Path)
	if front {
		shape.Move(x-way*half, at).Line(x-way*half, at-high).Line(x-way*half*0.1, at-high).
			Curve(x+way*half*0.3, at-high*0.9, x+way*half, at-high*0.75, x+way*half, at).Close()
	} else {
		shape.Move(x-way*half*0.55, at).Line(x-way*half*0.45, at-high).Line(x+way*half*0.4, at-high).
			Line(x+way*half*0.55, at).Close()
	}
	if !air {
		l.Fill(shape, th.Ground)
		l.Fill(shape, hue.Fade(math.Max(0.5, float64(foot.OnFloor))))
		if foot.OnFloor < 0.9 {
			l.Stroke(shape, draw.Pen{Colour: hue, Width: 0.3})
		}
		return
	}
	l.Fill(shape, th.Ground)
	l.Stroke(shape, draw.Pen{Colour: hue, Width: 0.5})
	for _, dx := range [2]draw.MM{-0.5, 0.5} {
		l.Stroke(draw.Segment(draw.Pt{X: x + dx*half, Y: at + 0.6}, draw.Pt{X: x + dx*half, Y: y}), draw.Pen{Colour: hue, Width: 0.25, Dash: []draw.MM{0.6, 0.6}})
	}
	words := "in the air"
	if foot.Lands.Mean > 0 || foot.Lands.SD > 0 {
		words = "lands in " + plate.Milliseconds(foot.Lands)
	}
	t := draw.Text{S: words, Font: draw.SansBold, Size: l.Type.Fine, Colour: hue, Anchor: draw.Middle, Halo: th.Ground, HaloWidth: 0.8}
	out := way
	if !front {
		out = -way
	}
	side := t
	side.Anchor = draw.Start
	if out < 0 {
		side.Anchor = draw.End
	}
	mid := at - high/2 + l.Type.Fine*draw.CapShare/2
	if !taken.put(l, side, draw.Pt{X: x + out*(half+1.5), Y: mid}) {
		taken.put(l, t, draw.Pt{X: x, Y: at - high - 1.6}, draw.Pt{X: x + out*half, Y: at - high - 5})
	}
}
