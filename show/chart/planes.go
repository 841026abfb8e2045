package chart

import (
	"errors"
	"math"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// ErrNoPlan says that nothing of a frame can be drawn to scale.
var ErrNoPlan = errors.New("nothing on this frame has a place in space: place the piste on it and mark points of a fencer")

// planned is a picture to scale of one instant in the making: from above or from the side.
type planned struct {
	o      Options
	r      *study.Reading
	t      study.Tableau
	lo, hi float64 // the stretch of the piste that is shown, in metres
	per    draw.MM // of a metre
}

// Room beside the outermost point, and the shortest stretch that is shown, in metres.
const (
	planRoom  = 0.4
	planLeast = 3.0
)

func plannedOf(r *study.Reading, t study.Tableau, o Options) (*planned, error) {
	c := &planned{o: o.themed(), r: r, t: t, lo: math.Inf(1), hi: math.Inf(-1)}
	for _, side := range t.Spots {
		for _, s := range side {
			if usable(s) {
				c.lo, c.hi = math.Min(c.lo, s.Place.Mean[0]), math.Max(c.hi, s.Place.Mean[0])
			}
		}
	}
	if !(c.lo <= c.hi) {
		return nil, ErrNoPlan
	}
	c.lo, c.hi = c.lo-planRoom, c.hi+planRoom
	if more := planLeast - (c.hi - c.lo); more > 0 {
		c.lo, c.hi = c.lo-more/2, c.hi+more/2
	}
	c.per = c.o.inner() / draw.MM(c.hi-c.lo)
	return c, nil
}

func usable(s study.Spot) bool { return s.Place.Len() == 3 && s.Place.IsValid() }

// x is where a place along the piste stands in a box.
func (c *planned) x(b draw.Box, x float64) draw.MM { return b.X + c.per*draw.MM(x-c.lo) }

// spot finds a point of a fencer.
func (c *planned) spot(s mark.Side, w mark.What) (study.Spot, bool) {
	for _, k := range c.t.Spots[s] {
		if k.What == w && usable(k) {
			return k, true
		}
	}
	return study.Spot{}, false
}

// between finds what is compared of both.
func (c *planned) between(w mark.What) (study.Between, bool) {
	for _, b := range c.t.Between {
		if b.What == w && b.Along.IsValid() && b.Up.IsValid() {
			return b, true
		}
	}
	return study.Between{}, false
}

// cloud draws where a point may be: the outer ellipse holds 95 %, the inner one is one
// standard deviation, as 1/√5.991 of it.
func (c *planned) cloud(l *leaf, at draw.Pt, e study.Ellipse, hue draw.Colour) {
	sin, cos := math.Sincos(float64(e.Turn))
	for _, share := range [2]float64{1, 1 / math.Sqrt(5.991464547107979)} {
		var pts []draw.Pt
		for i := range 48 {
			s, k := math.Sincos(2 * math.Pi * float64(i) / 48)
			a, b := share*float64(e.Long)*k, share*float64(e.Short)*s
			pts = append(pts, draw.Pt{X: at.X + c.per*draw.MM(a*cos-b*sin), Y: at.Y - c.per*draw.MM(a*sin+b*cos)})
		}
		l.Fill(draw.Polygon(pts...), hue.Fade(0.16))
	}
}

// floorNames writes the names of the lines that are shown, where there is room.
func (c *planned) floorNames(l *leaf, b draw.Box, y draw.MM, w *words) {
	for _, k := range piste.Lines() {
		if k.X > c.lo && k.X < c.hi {
			t := draw.Text{S: lineName(k), Font: draw.Sans, Size: l.Type.Fine, Colour: l.Theme.Quiet, Anchor: draw.Middle}
			w.put(l, t, draw.Pt{X: c.x(b, k.X), Y: y})
		}
	}
}

// lineName says a line across the piste in a few words.
func lineName(k piste.Line) string {
	switch math.Abs(k.X) {
	case 0:
		return "centre"
	case piste.OnGuard:
		return "on guard, 2" + nb + "m"
	case piste.WarningZone:
		return "5" + nb + "m"
	}
	return "rear limit, 7" + nb + "m"
}

// scaleBar draws a metre in two halves with its right end at a point.
func (c *planned) scaleBar(l *leaf, right draw.Pt) {
	th := l.Theme
	half := c.per / 2
	x := right.X - c.per
	l.Fill(draw.Box{X: x, Y: right.Y - 0.5, W: half, H: 1}.Path(), th.Quiet)
	l.Stroke(draw.Box{X: x, Y: right.Y - 0.5, W: c.per, H: 1}.Path(), draw.Pen{Colour: th.Quiet, Width: 0.25, Corner: draw.Sharp})
	l.Text(draw.Text{At: draw.Pt{X: x - 1.4, Y: right.Y + l.Type.Fine*draw.CapShare/2}, S: "1" + nb + "m", Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.End})
}

// tip draws the point of a blade: open, so that the tip is seen inside.
func tip(l *leaf, s mark.Side, at draw.Pt) {
	shape := plate.Shape(s, at, 2.2)
	l.Stroke(shape, draw.Pen{Colour: plate.Hue(l.Theme, s), Width: 0.5, Corner: draw.Sharp})
}

// dimension is a distance along the piste between two places, drawn between two ticks.
func (c *planned) dimension(l *leaf, b draw.Box, from, to float64, y draw.MM, what string, q quantity.Of[quantity.Metres]) {
	th, ty := l.Theme, l.Type
	x0, x1 := c.x(b, math.Min(from, to)), c.x(b, math.Max(from, to))
	pen := draw.Pen{Colour: th.Ink, Width: 0.3}
	t := draw.Text{S: what + " " + plate.Metres(q), Font: draw.Sans, Size: ty.Label, Colour: th.Ink, Anchor: draw.Middle}
	mid := max(b.X+t.Width()/2, min((x0+x1)/2, b.Right()-t.Width()/2))
	t.At = draw.Pt{X: mid, Y: y + ty.Label*draw.CapShare/2}
	box := t.Box().Grow(1)
	l.Stroke(new(draw.Path).Move(x0, y-1.2).Line(x0, y+1.2).Move(x1, y-1.2).Line(x1, y+1.2), pen)
	if box.X > x0 && box.Right() < x1 {
		l.Stroke(new(draw.Path).Move(x0, y).Line(box.X, y).Move(box.Right(), y).Line(x1, y), pen)
		l.Text(t)
		return
	}
	l.Stroke(draw.Segment(draw.Pt{X: x0, Y: y}, draw.Pt{X: x1, Y: y}), pen)
	if t.At.X = x1 + 1.6; t.At.X+t.Width() <= b.Right() {
		t.Anchor = draw.Start
	} else {
		t.At.X, t.Anchor = x0-1.6, draw.End
	}
	l.Text(t)
}

// gapFacts are the nearest gaps of both as numbers.
func (c *planned) gapFacts() []fact {
	var all []fact
	for _, g := range c.t.Gaps {
		if g.Nearest && g.Gap.IsValid() {
			all = append(all, fact{g.Of.String() + "’s point to the " + plate.TargetWords(g.Target), plate.Metres(g.Gap), plate.BandWords(g.Band)})
		}
	}
	return all
}

// source is the line below the picture.
func (c *planned) source(seen string) string {
	rests := "ellipses hold 95" + nb + "% of where a point may be; they lie along the line of sight, because how far a point is from the camera is known least"
	return plate.Sentences(plate.Origin(c.r.Touch, c.o.anonymous()), plate.Where(c.t.Instant), seen, rests, plate.DoubtNote)
}

// who is the key of the two fencers.
func (c *planned) who() part {
	const row draw.MM = 5.2
	return part{kind: draw.KeyStretch, height: row, draw: func(l *leaf, b draw.Box) {
		x := b.X
		for _, s := range mark.Sides {
			l.Fill(plate.Shape(s, draw.Pt{X: x + 1.2, Y: b.Y + 2.2}, 2.2), plate.Hue(l.Theme, s))
			t := draw.Text{At: draw.Pt{X: x + 3.6, Y: b.Y + 2.2 + l.Type.Label*draw.CapShare/2}, S: c.called(s), Font: draw.Sans, Size: l.Type.Label, Colour: l.Theme.Ink}
			l.Text(t)
			x = t.Box().Right() + 7
		}
	}}
}

// called is what a fencer is called.
func (c *planned) called(s mark.Side) string {
	b := c.r.Touch.Bout
	return plate.Call(c.o.naming(), [2]string{b.Left.Name, b.Right.Name}).Say[s]
}

// tableauAt is the instant laid out; empty where no camera is known.
func tableauAt(r *study.Reading, at study.At) study.Tableau {
	if r == nil || r.Touch == nil {
		panic("chart: a plan needs a reading of a touch")
	}
	t, _ := r.TableauAt(at.Take, at.Frame)
	return t
}
