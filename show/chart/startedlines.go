package chart

import (
	"math"
	"strconv"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
)

// gutter is the room for the names of the lines.
func (c *starting) gutter() draw.MM {
	ty := c.o.Layout.Type()
	w := draw.MM(16)
	for _, r := range c.rows {
		w = max(w, draw.Text{S: plate.PartWords(r.part), Font: draw.Serif, Size: ty.Text}.Width())
	}
	return w + 3
}

// x is where an instant on the clock stands.
func (c *starting) x(b draw.Box) func(t float64) draw.MM {
	x0, w := b.X+c.gutter(), b.W-c.gutter()
	return func(t float64) draw.MM {
		return x0 + w*draw.MM((math.Max(c.from, math.Min(c.to, t))-c.from)/(c.to-c.from))
	}
}

// lines draws a line for each part with its start.
func (c *starting) lines() part {
	names := 0
	for i, r := range c.rows {
		if i == 0 || r.side != c.rows[i-1].side {
			names++
		}
	}
	top := draw.MM(0)
	if _, hit := c.end(); hit || c.s.Launch != nil {
		top = 4 // for its word
	}
	high := top + draw.MM(names)*startHead + draw.MM(len(c.rows))*startRowH + startBelow
	return part{height: high + axisHeight, draw: func(l *leaf, b draw.Box) {
		th, ty := l.Theme, l.Type
		x := c.x(b)
		taken := &words{room: draw.Box{X: b.X, Y: b.Y, W: b.W, H: high}}
		c.launch(l, b, top, high, x, taken)
		y := b.Y + top
		for i, r := range c.rows {
			hue := plate.Hue(th, r.side)
			if i == 0 || r.side != c.rows[i-1].side {
				const size = 2.6
				base := y + startHead - 1.8
				l.Fill(plate.Shape(r.side, draw.Pt{X: b.X + size/2, Y: base - ty.Label*draw.CapShare/2}, size), hue)
				taken.put(l, draw.Text{S: plate.Name(r.side), Font: draw.SansBold, Size: ty.Label, Colour: hue}, draw.Pt{X: b.X + size + 1.6, Y: base})
				y += startHead
			}
			mid := y + startRowH/2
			l.Text(draw.Text{S: plate.PartWords(r.part), Font: draw.Serif, Size: ty.Text, Colour: th.Ink, At: draw.Pt{X: b.X, Y: mid + ty.Text*draw.XShare/2}})
			l.Stroke(draw.Segment(draw.Pt{X: x(c.from), Y: mid}, draw.Pt{X: x(c.to), Y: mid}), draw.Pen{Colour: th.Rule.Fade(0.5), Width: 0.18})
			// Earlier starts of a line are drawn before later ones.
			for _, k := range c.s.Order.Sequence {
				if k < 0 || k >= len(c.s.Starts) {
					continue
				}
				if s := c.s.Starts[k]; s.Time.IsValid() && mark.Side(s.Side) == r.side && s.Part == r.part {
					c.start(l, k, mid, x, hue, taken)
				}
			}
			y += startRowH
		}
		y += startBelow
		c.axis(l, draw.Box{X: b.X, Y: y, W: b.W, H: axisHeight}, x, "milliseconds from the first start")
	}}
}

// start draws one start and what is said of it.
func (c *starting) start(l *leaf, k int, mid draw.MM, x func(float64) draw.MM, hue draw.Colour, taken *words) {
	s, th, ty := c.s.Starts[k], l.Theme, l.Type
	q := s.Time
	// From then on it moves.
	l.Stroke(draw.Segment(draw.Pt{X: x(float64(q.Mean)), Y: mid}, draw.Pt{X: x(c.to), Y: mid}), draw.Pen{Colour: hue.Fade(0.45), Width: 0.9})
	const h = 2.2 // half of a bracket
	lo, hi := float64(q.Lo), float64(q.Hi)
	if s.Uniform {
		lo, hi = float64(q.Mean)-math.Sqrt(3)*float64(q.SD), float64(q.Mean)+math.Sqrt(3)*float64(q.SD)
		a, b := x(lo), x(hi)
		l.Fill(draw.Box{X: a, Y: mid - h, W: b - a, H: 2 * h}.Path(), hue.Fade(0.3))
		const foot = 0.8
		pen := draw.Pen{Colour: hue, Width: 0.45, Corner: draw.Sharp}
		l.Stroke(new(draw.Path).Move(a+foot, mid-h).Line(a, mid-h).Line(a, mid+h).Line(a+foot, mid+h), pen)
		l.Stroke(new(draw.Path).Move(b-foot, mid-h).Line(b, mid-h).Line(b, mid+h).Line(b-foot, mid+h), pen)
	} else {
		band(l, q, mid, 2*h, func(t quantity.Seconds) draw.MM { return x(float64(t)) }, hue)
	}
	pen := draw.Pen{Colour: hue, Width: 0.8}
	if proposal(s) {
		pen.Width, pen.Dash = 0.5, []draw.MM{0.8, 0.6}
	}
	px := x(float64(q.Mean))
	l.Stroke(draw.Segment(draw.Pt{X: px, Y: mid - h - 0.5}, draw.Pt{X: px, Y: mid + h + 0.5}), pen)
	taken.taken = append(taken.taken, draw.Box{X: x(lo) - 0.3, Y: mid - h, W: x(hi) - x(lo) + 0.6, H: 2 * h})
	if c.rank[k] > 0 && len(c.s.Starts) > 1 {
		n := draw.Text{S: strconv.Itoa(c.rank[k]), Font: draw.SansBold, Size: ty.Label, Colour: hue, Halo: th.Ground, HaloWidth: 0.7, Anchor: draw.End}
		y := mid + ty.Label*draw.CapShare/2
		taken.put(l, n, draw.Pt{X: x(lo) - 1.3, Y: y}, draw.Pt{X: x(hi) + 1.3 + n.Width(), Y: y})
	}
	says := kindWords(s.Kind)
	if k < len(c.s.Order.First) && c.s.Order.First[k].Mean >= Rarely && len(c.s.Starts) > 1 {
		says += ", first in " + shortChance(c.s.Order.First[k])
	}
	t := draw.Text{S: says, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Halo: th.Ground, HaloWidth: 0.8}
	y := mid + ty.Fine*draw.CapShare/2
	places := []draw.Pt{{X: x(hi) + 1.6, Y: y}, {X: x(lo) - 4.4 - t.Width(), Y: y}}
	if !taken.put(l, t, places...) {
		t.S = kindWords(s.Kind)
		places[1].X = x(lo) - 4.4 - t.Width()
		taken.put(l, t, places...)
	}
}

// shortChance is a chance without its ±, for a label; certainty by draws is not called
// certain.
func shortChance(q quantity.Of[quantity.Chance]) string {
	if q.SD > 0 && (q.Mean == 0 || q.Mean == 1) {
		return plate.Percent(q)
	}
	return plate.Chance(q.Mean)
}

// launch draws the start of the attack through all lines.
func (c *starting) launch(l *leaf, b draw.Box, top, high draw.MM, x func(float64) draw.MM, taken *words) {
	th := l.Theme
	upright := func(t float64, q quantity.Of[quantity.Seconds], words string, pen draw.Pen) {
		px := x(t)
		if q.SD > 0 && q.IsValid() {
			l.Fill(draw.Box{X: x(float64(q.Lo)), Y: b.Y + top, W: x(float64(q.Hi)) - x(float64(q.Lo)), H: high - top}.Path(), th.Rule.Fade(0.18))
		}
		l.Stroke(draw.Segment(draw.Pt{X: px, Y: b.Y + top - 0.6}, draw.Pt{X: px, Y: b.Y + high}), pen)
		w := draw.Text{S: words, Font: draw.SansBold, Size: l.Type.Fine, Colour: th.Ink, Anchor: draw.Middle}
		half := w.Width() / 2
		taken.put(l, w, draw.Pt{X: max(x(c.from)+half, min(x(c.to)-half, px)), Y: b.Y + 2.6}, draw.Pt{X: px + half + 1, Y: b.Y + 2.6}, draw.Pt{X: px - half - 1, Y: b.Y + 2.6})
	}
	if k := c.s.Launch; k != nil && k.At.IsValid() {
		upright(float64(k.At.Mean), k.At, plate.Name(k.Who)+"’s attack starts", draw.Pen{Colour: th.Ink, Width: 0.35})
	}
	if end, ok := c.end(); ok {
		upright(end, quantity.Of[quantity.Seconds]{}, "hit", draw.Pen{Colour: th.Ink, Width: 0.35, Dash: []draw.MM{1.2, 0.8}})
	}
}

// axis is the axis of time from the first start.
func (c *starting) axis(l *leaf, b draw.Box, x func(float64) draw.MM, words string) {
	th := l.Theme
	y := b.Y
	pen := draw.Pen{Colour: th.Rule, Width: 0.25}
	l.Stroke(draw.Segment(draw.Pt{X: x(c.from), Y: y}, draw.Pt{X: x(c.to), Y: y}), pen)
	step := laneStep(c.to-c.from, x(c.to)-x(c.from))
	for i := math.Ceil((c.from-c.zero)/step - 1e-9); c.zero+i*step <= c.to+1e-9; i++ {
		px := x(c.zero + i*step)
		l.Stroke(draw.Segment(draw.Pt{X: px, Y: y}, draw.Pt{X: px, Y: y + 1}), pen)
		s := strconv.Itoa(int(math.Round(i * step * 1000)))
		if i < 0 {
			s = "−" + s[1:]
		}
		l.Text(draw.Text{At: draw.Pt{X: px, Y: y + 4}, S: s, Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.Middle})
	}
	l.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: y + 7.4}, S: words, Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.End})
}

// tempi counts the time of each fencer in simple extensions of their own: full and open
// in turn, with ends that are the softer the further they are counted.
func (c *starting) tempi() part {
	var who []mark.Side
	for _, s := range mark.Sides {
		if _, ok := c.counted(s); ok {
			who = append(who, s)
		}
	}
	return part{height: tempoRow*draw.MM(len(who)) + 1, draw: func(l *leaf, b draw.Box) {
		th, x := l.Theme, c.x(b)
		for i, s := range who {
			from, _ := c.counted(s)
			hue, tempo := plate.Hue(th, s), c.s.Tempo[s]
			mid := b.Y + tempoRow*draw.MM(i) + 2.4
			const size = 2.6
			l.Fill(plate.Shape(s, draw.Pt{X: b.X + size/2, Y: mid}, size), hue)
			l.Text(draw.Text{At: draw.Pt{X: b.X + size + 1.6, Y: mid + l.Type.Label*draw.CapShare/2}, S: plate.Name(s), Font: draw.SansBold, Size: l.Type.Label, Colour: hue})
			room := draw.Box{X: x(c.from), Y: mid - 2.4, W: x(c.to) - x(c.from), H: 4.8}
			in := l.Clip(room.Path())
			for n := 1; n <= 40; n++ {
				t0, t1 := from+float64(n-1)*float64(tempo.Mean), from+float64(n)*float64(tempo.Mean)
				if t0 >= c.to {
					break
				}
				box := draw.Box{X: x(t0), Y: mid - 1.7, W: x(t1) - x(t0), H: 3.4}
				if n%2 == 1 {
					in.Fill(box.Path(), hue.Fade(0.5))
				}
				in.Stroke(box.Path(), draw.Pen{Colour: hue, Width: 0.3})
				if t1 < c.to {
					soft := float64(n) * float64(tempo.SD)
					in.Fill(draw.Box{X: x(t1 - soft), Y: mid - 2.3, W: x(t1+soft) - x(t1-soft), H: 4.6}.Path(), th.Rule.Fade(0.35))
				}
				t := draw.Text{S: strconv.Itoa(n), Font: draw.SansBold, Size: l.Type.Fine, Colour: th.Ink, Halo: th.Ground, HaloWidth: 0.8, Anchor: draw.Middle, At: draw.Pt{X: box.X + box.W/2, Y: mid + l.Type.Fine*draw.CapShare/2}}
				if box.W > t.Width()+2 && t.Box().Right() < room.Right() {
					l.Text(t)
				}
			}
			t := draw.Text{S: "one is " + plate.Milliseconds(tempo), Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, At: draw.Pt{X: x(c.from), Y: mid + 5.2}}
			if k := c.s.Launch; k != nil && k.Who == s {
				t.S += ", counted from the launch"
			} else {
				t.S += ", counted from the first start"
			}
			l.Text(t)
		}
	}}
}
