package chart

import (
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/sport/piste"
	"mesure/study"
)

// Side draws one instant from the side, to scale: both fencers by their points and what
// joins them, blades, the floor with the lines of the piste, the nearest gaps, and arcs to
// where each point comes with an extension, a lunge, a step and lunge, with the ± of that
// reach as a soft band. Along the sheet runs x of the piste, up the height over the floor.
// It returns ErrNoPlan where nothing of the frame has a place, and panics without a reading
// of a touch.
func Side(r *study.Reading, at study.At, o Options) (*draw.Drawing, error) {
	return sideOf(r, tableauAt(r, at), o)
}

func sideOf(r *study.Reading, t study.Tableau, o Options) (*draw.Drawing, error) {
	c, err := plannedOf(r, t, o)
	if err != nil {
		return nil, err
	}
	parts := []part{c.aside(), c.who(), facts(c.o, c.sideFacts())}
	seen := "seen from the side, to scale"
	if len(plate.ArcsShown(&c.t)) > 0 {
		seen += "; arcs: how far each point comes in the plane of action"
	}
	return leafOf(c.o, c.sideFinding(), c.sideDesc(), c.source(seen), parts), nil
}

// sideFinding says whose point is higher, where that can be told.
func (c *planned) sideFinding() string {
	if b, ok := c.between(mark.Point); ok {
		switch {
		case b.Up.Lo > 0:
			return "Left’s point is higher by " + plate.Centimetres(b.Up)
		case b.Up.Hi < 0:
			return "Right’s point is higher by " + plate.Centimetres(lengthOf(b.Up))
		}
		return "Which point is higher cannot be told: they are within " + plate.Centimetres(lengthOf(b.Up)) + " of each other in height"
	}
	for _, s := range mark.Sides {
		if k, ok := c.spot(s, mark.Point); ok {
			return plate.Name(s) + "’s point is " + plate.Metres(quantity.Part[quantity.Metres](k.Place, 2)) + " over the floor"
		}
	}
	return "How the fencers stand, from the side"
}

func (c *planned) sideFacts() []fact {
	var all []fact
	for _, s := range mark.Sides {
		if k, ok := c.spot(s, mark.Point); ok {
			z := quantity.Part[quantity.Metres](k.Place, 2)
			all = append(all, fact{s.String() + "’s point over the floor", plate.Metres(z), plate.MetresBetween(z)})
		}
	}
	return append(all, c.gapFacts()...)
}

func (c *planned) sideDesc() string {
	var b strings.Builder
	b.WriteString("Both fencers from the side on the floor of the piste. ")
	for _, s := range mark.Sides {
		for _, w := range []mark.What{mark.Point, mark.Guard, mark.Mask, mark.FrontKnee} {
			if k, ok := c.spot(s, w); ok {
				fmt.Fprintf(&b, "%s’s %s: %s over the floor. ", plate.Name(s), w.Word(), plate.Metres(quantity.Part[quantity.Metres](k.Place, 2)))
			}
		}
	}
	for _, a := range plate.ArcsShown(&c.t) {
		if a.Reach.IsValid() {
			fmt.Fprintf(&b, "%s’s point comes %s: %s. ", plate.Name(a.Of), plate.Metres(a.Reach), plate.ReachWords(a.Band))
		}
	}
	return strings.TrimSpace(b.String())
}

// sideBones join points that are parts of one body.
var sideBones = [...][2]mark.What{
	{mark.Guard, mark.Elbow}, {mark.Elbow, mark.Shoulder}, {mark.Shoulder, mark.Mask}, {mark.Shoulder, mark.Hip},
	{mark.Hip, mark.FrontKnee}, {mark.FrontKnee, mark.FrontHeel}, {mark.Hip, mark.RearHeel},
	{mark.FrontHeel, mark.FrontToe}, {mark.RearHeel, mark.RearToe},
}

// Room over the highest point in metres, and below the floor in millimetres.
const (
	sideOver          = 0.3
	sideBelow draw.MM = 10
)

// aside is the elevation itself.
func (c *planned) aside() part {
	top := 1.6
	for _, side := range c.t.Spots {
		for _, s := range side {
			if usable(s) {
				top = math.Max(top, math.Min(3, s.Place.Mean[2]))
			}
		}
	}
	high := c.per * draw.MM(top+sideOver)
	return part{height: high + sideBelow, draw: func(l *leaf, b draw.Box) {
		air := draw.Box{X: b.X, Y: b.Y, W: b.W, H: high}
		v := &sideView{c: c, l: l, b: air, words: &words{room: air}}
		v.floor(draw.Box{X: b.X, Y: air.Bottom(), W: b.W, H: sideBelow})
		v.arcs()
		v.gaps()
		v.fencers()
		v.arcNames()
		c.scaleBar(l, draw.Pt{X: b.Right(), Y: b.Bottom() - 1.6})
	}}
}

// sideView is the air over the piste being drawn.
type sideView struct {
	c     *planned
	l     *leaf
	b     draw.Box
	words *words
}

func (v *sideView) place(x, z float64) draw.Pt {
	return draw.Pt{X: v.c.x(v.b, x), Y: v.b.Bottom() - v.c.per*draw.MM(z)}
}

func (v *sideView) at(s study.Spot) draw.Pt { return v.place(s.Place.Mean[0], s.Place.Mean[2]) }

// floor draws the ground with the lines of the piste, and heights in half metres.
func (v *sideView) floor(below draw.Box) {
	c, l, th := v.c, v.l, v.l.Theme
	for z := 0.5; c.per*draw.MM(z) < v.b.H-1; z += 0.5 {
		a, b := v.place(c.lo, z), v.place(c.hi, z)
		l.Stroke(draw.Segment(a, b), draw.Pen{Colour: th.Rule.Fade(0.45), Width: 0.15})
		t := draw.Text{At: draw.Pt{X: a.X, Y: a.Y - 0.8}, S: fmt.Sprintf("%.1f", z) + nb + "m", Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet}
		l.Text(t)
		v.words.taken = append(v.words.taken, t.Box())
	}
	l.Stroke(draw.Segment(v.place(c.lo, 0), v.place(c.hi, 0)), draw.Pen{Colour: th.Quiet, Width: 0.5})
	for _, k := range piste.Lines() {
		if k.X > c.lo && k.X < c.hi {
			at := v.place(k.X, 0)
			l.Stroke(draw.Segment(at, draw.Pt{X: at.X, Y: at.Y + 1.8}), draw.Pen{Colour: th.Quiet, Width: 0.45})
		}
	}
	w := &words{room: below}
	c.floorNames(l, v.b, below.Y+4.6, w)
}

// gaps draws the nearest gap of each fencer.
func (v *sideView) gaps() {
	for i, g := range v.c.t.Gaps {
		if !g.Nearest || i >= len(v.c.t.Ends) {
			continue
		}
		e := v.c.t.Ends[i]
		a, b := v.place(float64(e.From[0].Mean), float64(e.From[2].Mean)), v.place(float64(e.To[0].Mean), float64(e.To[2].Mean))
		hue := plate.Hue(v.l.Theme, g.Of)
		v.l.Stroke(draw.Segment(a, b), draw.Pen{Colour: hue, Width: 0.6, Cap: draw.RoundCap})
		v.l.Stroke(draw.Circle(b, 1.1), draw.Pen{Colour: hue, Width: 0.5})
	}
}

// fencers draws both.
func (v *sideView) fencers() {
	c, l, th := v.c, v.l, v.l.Theme
	in := &leaf{Sheet: l.Sheet}
	for _, s := range mark.Sides {
		for _, k := range c.t.Spots[s] {
			if usable(k) {
				c.cloud(in, v.at(k), k.Aside(), plate.Hue(th, s))
			}
		}
	}
	for _, s := range mark.Sides {
		hue := plate.Hue(th, s)
		for _, bone := range sideBones {
			p, ok1 := c.spot(s, bone[0])
			q, ok2 := c.spot(s, bone[1])
			if ok1 && ok2 {
				in.Stroke(draw.Segment(v.at(p), v.at(q)), draw.Pen{Colour: hue.Fade(0.75), Width: 0.6, Cap: draw.RoundCap})
				v.keepFree(v.at(p), v.at(q))
			}
		}
		p, ok1 := c.spot(s, mark.Guard)
		q, ok2 := c.spot(s, mark.Point)
		if ok1 && ok2 {
			in.Stroke(draw.Segment(v.at(p), v.at(q)), draw.Pen{Colour: th.Ink, Width: 0.55, Cap: draw.RoundCap})
			v.keepFree(v.at(p), v.at(q))
		}
		for _, k := range c.t.Spots[s] {
			if !usable(k) {
				continue
			}
			switch at := v.at(k); k.What {
			case mark.Point:
				tip(in, s, at)
			case mark.Mask:
				head := draw.Circle(at, c.per*0.12)
				in.Stroke(head, draw.Pen{Colour: hue, Width: 0.45})
				v.words.taken = append(v.words.taken, head.Bounds())
			default:
				in.Fill(plate.Shape(s, at, 1.4), hue)
			}
		}
	}
}

// keepFree keeps words off a line.
func (v *sideView) keepFree(a, b draw.Pt) {
	const step = 1.5 // mm
	n := max(1, int(math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y))/step))
	for i := range n + 1 {
		k := draw.MM(i) / draw.MM(n)
		v.words.taken = append(v.words.taken, draw.Box{X: a.X + (b.X-a.X)*k - 0.5, Y: a.Y + (b.Y-a.Y)*k - 0.5, W: 1, H: 1})
	}
}
