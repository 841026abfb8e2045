package plate

import (
	"math"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// late is the share of a part that comes at its end: what stands at the end of a line
// appears as the line arrives there.
func late(p float64) float64 {
	const from = 0.7
	return max(0, min(1, (p-from)/(1-from)))
}

// towards is the point this share of the way from a to b.
func towards(a, b draw.Pt, share float64) draw.Pt {
	return draw.Pt{X: a.X + (b.X-a.X)*draw.MM(share), Y: a.Y + (b.Y-a.Y)*draw.MM(share)}
}

// cased strokes a line on a dark casing, so that it is seen on white cloth as on a dark
// hall.
func (x *overlay) cased(p *draw.Path, pen draw.Pen) {
	under := pen
	under.Colour, under.Width = x.th.Ground.Fade(0.6*float64(pen.Colour.A)/255), pen.Width+2*casing
	if len(pen.Dash) == 0 {
		x.g.Stroke(p, under)
	}
	x.g.Stroke(p, pen)
}

// gap draws the first share p of the line from the point to its target, and the soft end
// that holds its doubt.
func (x *overlay) gap(gap study.Gap, p float64) {
	if p <= 0 {
		return
	}
	a, b := x.v.at(gap.From), x.v.at(gap.To)
	hue := Hue(x.th, gap.Of)
	line := draw.Segment(a, towards(a, b, p))
	x.g.Stroke(line, draw.Pen{Colour: x.th.Ground.Fade(0.6), Width: gapWidth + 2*casing, Cap: draw.RoundCap})
	if m := float64(gap.Gap.Mean); m > 0 && late(p) > 0 {
		for _, edge := range [2][2]quantity.Metres{{gap.Gap.Lo, gap.Gap.Hi}, {gap.Gap.Mean - gap.Gap.SD, gap.Gap.Mean + gap.Gap.SD}} {
			soft := draw.Segment(towards(a, b, max(0, float64(edge[0])/m)), towards(a, b, float64(edge[1])/m))
			x.g.Stroke(soft, draw.Pen{Colour: hue.Fade(0.3 * late(p)), Width: softWidth})
		}
	}
	x.g.Stroke(line, draw.Pen{Colour: hue, Width: gapWidth, Cap: draw.RoundCap})
	if late(p) > 0 {
		ring := draw.Circle(b, 1.1)
		x.g.Stroke(ring, draw.Pen{Colour: x.th.Ground.Fade(0.6 * late(p)), Width: gapWidth + 2*casing})
		x.g.Stroke(ring, draw.Pen{Colour: hue.Fade(late(p)), Width: gapWidth})
	}
}

func (x *overlay) quiet(gap study.Gap, p float64) {
	a, b := x.v.at(gap.From), x.v.at(gap.To)
	x.g.Stroke(draw.Segment(a, towards(a, b, p)), draw.Pen{Colour: x.th.Ink.Fade(0.5), Width: quietWidth, Dash: []draw.MM{0.01, 1.1}, Cap: draw.RoundCap})
}

// marks draws the points of one fencer.
func (x *overlay) marks(s mark.Side, p float64) {
	if p <= 0 {
		return
	}
	hue := Hue(x.th, s).Fade(p)
	for _, q := range x.t.Bodies[s].Points {
		if !finite(q.At) {
			continue
		}
		c := x.v.at(q.At)
		if q.What == mark.Point {
			tip := Shape(s, c, tipSize)
			x.g.Stroke(tip, draw.Pen{Colour: x.th.Ground.Fade(0.6 * p), Width: 1.3, Corner: draw.Sharp})
			x.g.Stroke(tip, draw.Pen{Colour: hue, Width: 0.6, Corner: draw.Sharp})
			continue
		}
		x.g.Fill(Shape(s, c, pointSize+0.6), x.th.Ground.Fade(0.7*p))
		x.g.Fill(Shape(s, c, pointSize), hue)
	}
}

// piste draws its lines.
func (x *overlay) piste(p float64) {
	if p > 0 {
		st := quietGrid
		st.colour = x.th.Ink
		st.opacity *= p
		grid(x.g, x.v, study.PlacedFrame{Grid: x.t.Grid}, x.th, st)
	}
}

// pisteWords names the lines across at their near ends.
func (x *overlay) pisteWords(p float64) {
	if p <= 0 {
		return
	}
	for _, l := range x.t.Grid {
		words := lineWords(l.Name)
		if words == "" || !drawnLine(l) {
			continue
		}
		near := l.Points[0]
		for _, q := range l.Points {
			if q.V > near.V {
				near = q
			}
		}
		at := x.v.at(near)
		at.Y += 2.4
		x.word(words, draw.Sans, x.ty.Fine, x.th.Ink.Fade(0.85*p), at, 14, p)
	}
}

// word sets a word about a place, or near it where that is taken; it is left out where
// there is no room. It reports where it stands.
func (x *overlay) word(s string, f draw.Font, size draw.MM, c draw.Colour, at draw.Pt, far draw.MM, p float64) (draw.Box, bool) {
	t := draw.Text{S: s, Font: f, Size: size, Colour: c, Halo: x.th.Ground.Fade(0.85 * p), HaloWidth: 0.45}
	w, h := t.Width()+1.2, size*draw.CapShare+1.6
	box := draw.Box{X: at.X - w/2, Y: at.Y - h/2, W: w, H: h}
	if x.o.Steady {
		// It stays inside the picture as it rides along, and does not jump.
		r := x.ob.room
		box.X = max(r.X, min(box.X, r.Right()-w))
		if box.Y < r.Y || box.Bottom() > r.Bottom() || w > r.W {
			return box, false
		}
	} else if !x.ob.free(box) {
		var ok bool
		if box, ok = x.ob.settle(at, w, h, far); !ok {
			return box, false
		}
	}
	t.At = draw.Pt{X: box.X + 0.6, Y: box.Bottom() - 0.8}
	x.g.Text(t)
	x.ob.boxes = append(x.ob.boxes, box)
	return box, true
}

// occupy takes the room of fencers, blades and lines, which no word may cover.
func (x *overlay) occupy() {
	for _, b := range x.t.Bodies {
		at := map[mark.What]draw.Pt{}
		for _, p := range b.Points {
			c := x.v.at(p.At)
			at[p.What] = c
			half := pointSize
			switch p.What {
			case mark.Point:
				half = tipSize*0.7 + 0.6
			case mark.Mask:
				half = 3.5
			}
			x.ob.boxes = append(x.ob.boxes, draw.Box{X: c.X - half, Y: c.Y - half, W: 2 * half, H: 2 * half})
		}
		for _, bone := range bones {
			from, ok1 := at[bone[0]]
			to, ok2 := at[bone[1]]
			if ok1 && ok2 {
				x.ob.line(from, to, 1.2)
			}
		}
	}
	if x.o.has(LayerGaps) {
		for _, m := range x.main {
			x.ob.line(x.v.at(m.From), x.v.at(m.To), softWidth/2)
		}
	}
	if x.o.has(LayerReach) {
		for _, a := range ArcsShown(x.t) {
			for i := 3; i < len(a.Line); i += 3 {
				x.ob.line(x.v.at(a.Line[i-3]), x.v.at(a.Line[i]), 0.5)
			}
		}
	}
}

// number writes the gap at its line.
func (x *overlay) number(m study.Gap, p float64) {
	p = late(p)
	if p <= 0 {
		return
	}
	a, b := x.v.at(m.From), x.v.at(m.To)
	hue := Hue(x.th, m.Of)
	t := draw.Text{S: Metres(m.Gap), Font: draw.SansBold, Size: x.ty.Key, Colour: hue.Fade(p), Halo: x.th.Ground.Fade(0.9 * p), HaloWidth: 0.55}
	w, h := t.Width()+2.4, t.Size*draw.CapShare+2.4
	mid := towards(a, b, 0.5)
	if x.o.Steady {
		x.ride(t, mid, w, h, m.Of)
		return
	}
	const far = 45 // mm: further from its line a label would not be read with it
	box, ok := x.ob.settle(mid, w, h, far)
	if !ok {
		return // the words below the picture say it
	}
	for _, share := range [...]float64{0.5, 0.3, 0.7} {
		from := towards(a, b, share)
		end := nearestOn(box, from)
		if dist(end, from) <= 2.5 {
			break // it stands at its line
		}
		if x.ob.covers(from, end) {
			continue
		}
		lead := draw.Segment(from, end)
		x.g.Stroke(lead, draw.Pen{Colour: x.th.Ground.Fade(0.6), Width: 0.9})
		x.g.Stroke(lead, draw.Pen{Colour: hue, Width: 0.25})
		x.ob.line(from, end, 0.4)
		break
	}
	t.At = draw.Pt{X: box.X + 1.2, Y: box.Bottom() - 1.2}
	x.g.Text(t)
	x.ob.boxes = append(x.ob.boxes, box)
}

// ride sets the number of a gap above its line for the left fencer and below it for the
// right one: as the line moves, it moves along. Where both lines lie on each other the two
// still stand apart.
func (x *overlay) ride(t draw.Text, mid draw.Pt, w, h draw.MM, s mark.Side) {
	off := -h/2 - 3.4
	if s == mark.Right {
		off = h/2 + 3.4
	}
	r := x.ob.room
	box := draw.Box{X: max(r.X, min(mid.X-w/2, r.Right()-w)), Y: max(r.Y, min(mid.Y+off-h/2, r.Bottom()-h)), W: w, H: h}
	t.At = draw.Pt{X: box.X + 1.2, Y: box.Bottom() - 1.2}
	x.g.Text(t)
	x.ob.boxes = append(x.ob.boxes, box)
}

// name writes who a fencer is below the feet.
func (x *overlay) name(s mark.Side, p float64) {
	n := x.o.Names[s]
	if p <= 0 || n == "" {
		return
	}
	low, sum, feet := draw.MM(math.Inf(-1)), draw.MM(0), 0
	for _, q := range x.t.Bodies[s].Points {
		if !finite(q.At) {
			continue
		}
		c := x.v.at(q.At)
		if low = max(low, c.Y); q.What.IsFoot() {
			sum += c.X
			feet++
		}
	}
	if feet == 0 {
		return
	}
	x.word(n, draw.SansBold, x.ty.Label, Hue(x.th, s).Fade(p), draw.Pt{X: sum / draw.MM(feet), Y: low + 5}, 10, p)
}
