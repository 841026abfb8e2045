package plate

import (
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// Gaps draws the frame with what was measured on it: the marked points, the gap
// from each point to its nearest target and to the one that is asked, and
// quietly those to the other targets. It returns ErrNotMeasured where the
// reading has no gap on this frame, and panics where the shot lacks its reading
// or its picture.
func Gaps(s Shot, o Options) (*draw.Drawing, error) {
	s.check()
	in, ok := s.instant()
	if !ok || len(in.Gaps) == 0 {
		return nil, ErrNotMeasured
	}
	asked := s.asked(o)
	main := prominent(in.Gaps, asked)
	finding := o.Finding
	if finding == "" {
		finding = gapFinding(in.Gaps)
	}
	w, h := s.size()
	l := o.Layout
	p := shown(l, pointsOf(in, main), w, h)
	picture := l.Width() * draw.MM(p.h()/p.w())
	legend := legendHeight(l, main)
	sh := NewSheet(l, o.theme(), finding, gapDesc(in, main), Sentences(Origin(s.Reading.Touch, o.naming() == Anonymous), Where(in), DoubtNote), picture+legend)
	box := draw.Box{X: 0, Y: sh.Body.Y, W: l.Width(), H: picture}
	sh.Begin(draw.FigureStretch, box)
	v := s.photo(sh, box, p)
	over := sh.Clip(box.Path())
	if pf, ok := s.placed(); ok {
		grid(over, v, pf, sh.Theme, quietGrid)
	}
	for _, g := range in.Gaps {
		if drawable(g) && !contains(main, g) {
			quietGap(over, v, g, sh.Theme)
		}
	}
	for _, g := range main {
		gapLine(over, v, g, sh.Theme)
	}
	marks(over, v, in, sh.Theme)
	labels(over, v, in, main, sh)
	below := draw.Box{X: sh.Inner().X, Y: box.Bottom(), W: sh.Inner().W, H: legend}
	sh.Begin(draw.KeyStretch, below)
	s.legend(sh, main, below, o)
	return sh.Drawing, nil
}

// asked returns the target that is asked of each side.
func (s Shot) asked(o Options) [2]mark.Target {
	a := o.Asked
	if r := s.Reading.Race; r != nil && r.Take == s.Take && r.Frame == s.Frame {
		for _, side := range mark.Sides {
			if a[side] == "" {
				a[side] = r.Runs[side].Target
			}
		}
	}
	return a
}

// prominent returns the nearest gap and the asked one of each side, left first.
func prominent(gaps []study.Gap, asked [2]mark.Target) []study.Gap {
	var out []study.Gap
	for _, side := range mark.Sides {
		for _, g := range gaps {
			if g.Of == side && drawable(g) && (g.Nearest || g.Target == asked[side]) {
				out = append(out, g)
			}
		}
	}
	return out
}

// drawable reports whether a gap is a number between two places.
func drawable(g study.Gap) bool { return g.Gap.IsValid() && finite(g.From) && finite(g.To) }

func contains(all []study.Gap, g study.Gap) bool {
	for _, x := range all {
		if x.Of == g.Of && x.Target == g.Target {
			return true
		}
	}
	return false
}

// gapFinding says the nearest gap of each side.
func gapFinding(gaps []study.Gap) string {
	var near [2]*study.Gap
	for i := range gaps {
		if gaps[i].Nearest {
			near[gaps[i].Of] = &gaps[i]
		}
	}
	l, r := near[mark.Left], near[mark.Right]
	say := func(g *study.Gap) string { return Metres(g.Gap) + " from the " + TargetWords(g.Target) }
	switch {
	case l != nil && r != nil && l.Target == r.Target:
		return "To the " + TargetWords(l.Target) + ", left’s point has " + Metres(l.Gap) + ", right’s " + Metres(r.Gap)
	case l != nil && r != nil:
		return "Left’s point is " + say(l) + ", right’s " + say(r)
	case l != nil:
		return "Left’s point is " + say(l)
	case r != nil:
		return "Right’s point is " + say(r)
	}
	return "What was measured on this frame"
}

func gapDesc(in study.Instant, main []study.Gap) string {
	var b strings.Builder
	b.WriteString("A frame of the video with the marked points of both fencers. Lines lead from each point to its target: ")
	for i, g := range main {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(g.Of.String() + "’s point to " + g.Of.Other().String() + "’s " + TargetWords(g.Target) + " " + Metres(g.Gap))
	}
	return b.String() + ". " + Where(in) + "."
}

// pointsOf lists everything the picture must show.
func pointsOf(in study.Instant, main []study.Gap) []mark.Pixel {
	var all []mark.Pixel
	for _, b := range in.Bodies {
		for _, p := range b.Points {
			all = append(all, p.At)
		}
	}
	for _, g := range main {
		all = append(all, g.From, g.To)
	}
	return all
}

// Lines on the picture, in millimetres. Each lies on a darker casing, so that it
// is seen on white cloth as on a dark hall.
const (
	gapWidth   draw.MM = 0.7
	casing     draw.MM = 0.45 // on each side
	softWidth  draw.MM = 2.6  // of the soft end
	quietWidth draw.MM = 0.3
)

func gapLine(g *draw.Group, v view, gap study.Gap, th draw.Theme) {
	a, b := v.at(gap.From), v.at(gap.To)
	hue := Hue(th, gap.Of)
	along := func(t float64) draw.Pt {
		return draw.Pt{X: a.X + (b.X-a.X)*draw.MM(t), Y: a.Y + (b.Y-a.Y)*draw.MM(t)}
	}
	line := draw.Segment(a, b)
	g.Stroke(line, draw.Pen{Colour: th.Ground.Fade(0.6), Width: gapWidth + 2*casing, Cap: draw.RoundCap})
	// The soft end: as much of the line as the doubt is of the gap.
	if m := float64(gap.Gap.Mean); m > 0 {
		for _, edge := range [2][2]quantity.Metres{{gap.Gap.Lo, gap.Gap.Hi}, {gap.Gap.Mean - gap.Gap.SD, gap.Gap.Mean + gap.Gap.SD}} {
			soft := draw.Segment(along(max(0, float64(edge[0])/m)), along(float64(edge[1])/m))
			g.Stroke(soft, draw.Pen{Colour: hue.Fade(0.3), Width: softWidth})
		}
	}
	g.Stroke(line, draw.Pen{Colour: hue, Width: gapWidth, Cap: draw.RoundCap})
	ring := draw.Circle(b, 1.1)
	g.Stroke(ring, draw.Pen{Colour: th.Ground.Fade(0.6), Width: gapWidth + 2*casing})
	g.Stroke(ring, draw.Pen{Colour: hue, Width: gapWidth})
}

func quietGap(g *draw.Group, v view, gap study.Gap, th draw.Theme) {
	line := draw.Segment(v.at(gap.From), v.at(gap.To))
	g.Stroke(line, draw.Pen{Colour: th.Ink.Fade(0.5), Width: quietWidth, Dash: []draw.MM{0.01, 1.1}, Cap: draw.RoundCap})
}

// Sizes of the marks, in millimetres.
const (
	tipSize   draw.MM = 3.0 // open, so that the tip of the blade is seen inside
	pointSize draw.MM = 1.5
)

func marks(g *draw.Group, v view, in study.Instant, th draw.Theme) {
	for _, side := range mark.Sides {
		hue := Hue(th, side)
		for _, p := range in.Bodies[side].Points {
			if !finite(p.At) {
				continue
			}
			c := v.at(p.At)
			if p.What == mark.Point {
				tip := Shape(side, c, tipSize)
				g.Stroke(tip, draw.Pen{Colour: th.Ground.Fade(0.6), Width: 1.3, Corner: draw.Sharp})
				g.Stroke(tip, draw.Pen{Colour: hue, Width: 0.6, Corner: draw.Sharp})
				continue
			}
			g.Fill(Shape(side, c, pointSize+0.6), th.Ground.Fade(0.7))
			g.Fill(Shape(side, c, pointSize), hue)
		}
	}
}

// bones are the pairs of points between which a label would cover a fencer.
var bones = [...][2]mark.What{
	{mark.Point, mark.Guard}, {mark.Guard, mark.Elbow}, {mark.Elbow, mark.Shoulder}, {mark.Shoulder, mark.Mask},
	{mark.Shoulder, mark.Hip}, {mark.Hip, mark.FrontKnee}, {mark.FrontKnee, mark.FrontHeel}, {mark.Hip, mark.RearHeel},
	{mark.FrontHeel, mark.FrontToe}, {mark.RearHeel, mark.RearToe},
}

func labels(g *draw.Group, v view, in study.Instant, main []study.Gap, sh *Sheet) {
	const far = 45 // mm: further from its line a label would not be read with it
	o := &obstacles{room: v.box.Grow(-1.2)}
	for _, b := range in.Bodies {
		at := map[mark.What]draw.Pt{}
		for _, p := range b.Points {
			c := v.at(p.At)
			at[p.What] = c
			half := pointSize
			switch p.What {
			case mark.Point:
				half = tipSize*0.7 + 0.6
			case mark.Mask:
				half = 3.5
			}
			o.boxes = append(o.boxes, draw.Box{X: c.X - half, Y: c.Y - half, W: 2 * half, H: 2 * half})
		}
		for _, bone := range bones {
			from, ok1 := at[bone[0]]
			to, ok2 := at[bone[1]]
			if ok1 && ok2 {
				o.line(from, to, 1.2)
			}
		}
	}
	for _, m := range main {
		o.line(v.at(m.From), v.at(m.To), softWidth/2)
	}
	for _, m := range main {
		a, b := v.at(m.From), v.at(m.To)
		mid := draw.Pt{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
		t := draw.Text{S: Metres(m.Gap), Font: draw.SansBold, Size: sh.Type.Key, Colour: Hue(sh.Theme, m.Of), Halo: haloOf(sh.Theme, 0.9), HaloWidth: 0.55}
		w, h := t.Width()+2.4, t.Size*draw.CapShare+2.4
		box, ok := o.settle(mid, w, h, far)
		if !ok {
			continue // the legend below says it
		}
		for _, share := range [...]draw.MM{0.5, 0.3, 0.7} {
			from := draw.Pt{X: a.X + (b.X-a.X)*share, Y: a.Y + (b.Y-a.Y)*share}
			end := nearestOn(box, from)
			if dist(end, from) <= 2.5 {
				break // it stands at its line
			}
			if o.covers(from, end) {
				continue
			}
			lead := draw.Segment(from, end)
			g.Stroke(lead, draw.Pen{Colour: sh.Theme.Ground.Fade(0.6), Width: 0.9})
			g.Stroke(lead, draw.Pen{Colour: Hue(sh.Theme, m.Of), Width: 0.25})
			o.line(from, end, 0.4)
			break
		}
		t.At = draw.Pt{X: box.X + 1.2, Y: box.Bottom() - 1.2}
		g.Text(t)
		o.boxes = append(o.boxes, box)
	}
}
