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

// Plan draws one instant from above, to scale: the piste with its lines, feet, hips,
// weapon arms and blades, each point with the ellipse that holds 95 % of where it may be,
// and how far the two are apart along the piste. x runs to the right as the camera sees it,
// away from the camera is up. It returns ErrNoPlan where nothing of the frame has a place,
// and panics without a reading of a touch.
func Plan(r *study.Reading, at study.At, o Options) (*draw.Drawing, error) {
	return planOf(r, tableauAt(r, at), o)
}

func planOf(r *study.Reading, t study.Tableau, o Options) (*draw.Drawing, error) {
	c, err := plannedOf(r, t, o)
	if err != nil {
		return nil, err
	}
	parts := []part{c.above(), c.who(), facts(c.o, c.planFacts())}
	return leafOf(c.o, c.planFinding(), c.planDesc(), c.source("seen from above, to scale"), parts), nil
}

// apart lists what is compared along the piste, the most telling first.
var apart = []struct {
	what  mark.What
	words string
}{{mark.FrontToe, "front feet"}, {mark.Hip, "hips"}, {mark.Mask, "masks"}}

func (c *planned) planFinding() string {
	for _, a := range apart {
		if b, ok := c.between(a.what); ok {
			if b.Along.Mean < 0 {
				return fmt.Sprintf("They have passed each other: their %s are %s apart along the piste", a.words, plate.Metres(lengthOf(b.Along)))
			}
			return fmt.Sprintf("The %s are %s apart along the piste", a.words, plate.Metres(b.Along))
		}
	}
	return "Where the fencers stand on the piste"
}

// lengthOf turns a distance that is counted backwards round.
func lengthOf(q quantity.Of[quantity.Metres]) quantity.Of[quantity.Metres] {
	if q.Mean >= 0 {
		return q
	}
	return quantity.Of[quantity.Metres]{Mean: -q.Mean, SD: q.SD, Lo: -q.Hi, Hi: -q.Lo}
}

func (c *planned) planFacts() []fact {
	var all []fact
	for _, a := range apart {
		if b, ok := c.between(a.what); ok && len(all) < 2 {
			all = append(all, fact{a.words + " apart", plate.Metres(lengthOf(b.Along)), plate.MetresBetween(lengthOf(b.Along))})
		}
	}
	return append(all, c.gapFacts()...)
}

func (c *planned) planDesc() string {
	var b strings.Builder
	b.WriteString("A plan of the piste with both fencers, seen from above. ")
	for _, s := range mark.Sides {
		for _, w := range []mark.What{mark.FrontToe, mark.Hip, mark.Point} {
			if k, ok := c.spot(s, w); ok {
				fmt.Fprintf(&b, "%s’s %s: %s along the piste from the centre line. ", plate.Name(s), w.Word(), plate.Metres(quantity.Part[quantity.Metres](k.Place, 0)))
			}
		}
	}
	return strings.TrimSpace(b.String())
}

// Room about the strip in metres, and below it for the dimensions in millimetres.
const (
	planBeside         = 0.3
	planNames  draw.MM = 4.4
	planApart  draw.MM = 5.6
	planScale  draw.MM = 5
)

// above is the plan itself.
func (c *planned) above() part {
	half := float64(c.t.Width) / 2
	if !(half > 0) {
		half = piste.Width / 2
	}
	deep := half + planBeside
	for _, side := range c.t.Spots {
		for _, s := range side {
			if usable(s) { // a point may lie beside the strip
				deep = math.Max(deep, math.Min(2.5, math.Abs(s.Place.Mean[1])+0.2))
			}
		}
	}
	var dims []study.Between
	for _, a := range apart {
		if b, ok := c.between(a.what); ok && len(dims) < 2 {
			dims = append(dims, b)
		}
	}
	high := 2 * c.per * draw.MM(deep)
	return part{height: planNames + high + planApart*draw.MM(len(dims)) + planScale, draw: func(l *leaf, b draw.Box) {
		floor := draw.Box{X: b.X, Y: b.Y + planNames, W: b.W, H: high}
		y := func(y float64) draw.MM { return floor.Y + high/2 - c.per*draw.MM(y) }
		in := &planView{c: c, l: l, b: floor, y: y}
		in.strip(half)
		in.fencers()
		w := &words{room: draw.Box{X: b.X, Y: b.Y, W: b.W, H: planNames}}
		c.floorNames(l, floor, b.Y+planNames-1.6, w)
		row := floor.Bottom() + planApart/2
		for _, d := range dims {
			left, _ := c.spot(mark.Left, d.What)
			right, _ := c.spot(mark.Right, d.What)
			for _, a := range apart {
				if a.what == d.What {
					c.dimension(l, b, left.Place.Mean[0], right.Place.Mean[0], row, a.words, lengthOf(d.Along))
				}
			}
			row += planApart
		}
		c.scaleBar(l, draw.Pt{X: b.Right(), Y: b.Bottom() - planScale/2})
	}}
}

// planView is the floor being drawn.
type planView struct {
	c *planned
	l *leaf
	b draw.Box
	y func(float64) draw.MM
}

func (v *planView) at(s study.Spot) draw.Pt {
	return draw.Pt{X: v.c.x(v.b, s.Place.Mean[0]), Y: v.y(s.Place.Mean[1])}
}

// strip draws the piste.
func (v *planView) strip(half float64) {
	c, l, th := v.c, v.l, v.l.Theme
	x0, x1 := c.x(v.b, math.Max(c.lo, -piste.RearLimit-piste.RunBack)), c.x(v.b, math.Min(c.hi, piste.RearLimit+piste.RunBack))
	l.Fill(draw.Box{X: x0, Y: v.y(half), W: x1 - x0, H: v.y(-half) - v.y(half)}.Path(), th.Faint)
	line := func(a, b draw.Pt, pen draw.Pen) { l.Stroke(draw.Segment(a, b), pen) }
	for _, e := range [2]float64{-half, half} {
		line(draw.Pt{X: x0, Y: v.y(e)}, draw.Pt{X: x1, Y: v.y(e)}, draw.Pen{Colour: th.Quiet, Width: 0.35})
	}
	line(draw.Pt{X: x0, Y: v.y(0)}, draw.Pt{X: x1, Y: v.y(0)}, draw.Pen{Colour: th.Rule, Width: 0.2, Dash: []draw.MM{4, 1, 0.8, 1}})
	for _, k := range piste.Lines() {
		if k.X <= c.lo || k.X >= c.hi {
			continue
		}
		pen := draw.Pen{Colour: th.Quiet, Width: 0.45}
		if !k.Painted {
			pen.Dash = []draw.MM{1.8, 1.2}
		}
		x := c.x(v.b, k.X)
		line(draw.Pt{X: x, Y: v.y(half)}, draw.Pt{X: x, Y: v.y(-half)}, pen)
	}
}

// fencers draws both on a ground that they do not leave.
func (v *planView) fencers() {
	c, th := v.c, v.l.Theme
	in := &leaf{Sheet: v.l.Sheet}
	for _, s := range mark.Sides {
		hue := plate.Hue(th, s)
		for _, k := range c.t.Spots[s] {
			if usable(k) && (k.What.IsFoot() || k.What == mark.Hip || k.What == mark.Guard || k.What == mark.Point) {
				c.cloud(in, v.at(k), k.Above(), hue)
			}
		}
	}
	for _, s := range mark.Sides {
		hue := plate.Hue(th, s)
		pair := func(a, b mark.What, pen draw.Pen) {
			p, ok1 := c.spot(s, a)
			q, ok2 := c.spot(s, b)
			if ok1 && ok2 {
				in.Stroke(draw.Segment(v.at(p), v.at(q)), pen)
			}
		}
		foot := draw.Pen{Colour: hue, Width: c.per * 0.085, Cap: draw.RoundCap}
		pair(mark.FrontHeel, mark.FrontToe, foot)
		pair(mark.RearHeel, mark.RearToe, foot)
		body := draw.Pen{Colour: hue, Width: 0.5, Cap: draw.RoundCap}
		pair(mark.Hip, mark.Shoulder, body)
		pair(mark.Shoulder, mark.Elbow, body)
		pair(mark.Elbow, mark.Guard, body)
		pair(mark.Guard, mark.Point, draw.Pen{Colour: th.Ink, Width: 0.5, Cap: draw.RoundCap})
		for _, w := range []mark.What{mark.Hip, mark.Shoulder, mark.Elbow, mark.Guard} {
			if k, ok := c.spot(s, w); ok {
				in.Fill(plate.Shape(s, v.at(k), 1.5), hue)
			}
		}
		if k, ok := c.spot(s, mark.Mask); ok {
			in.Stroke(draw.Circle(v.at(k), c.per*0.11), draw.Pen{Colour: hue, Width: 0.4})
		}
		if k, ok := c.spot(s, mark.Point); ok {
			tip(in, s, v.at(k))
		}
	}
}
