package chart

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/timing"
)

// lanesHeight is the height of all lanes with the heads of their groups.
func (c *windows) lanesHeight(l plate.Layout) draw.MM {
	h := draw.MM(0)
	for _, g := range c.groups() {
		if g.words != "" {
			h += groupRow
		}
		if l == plate.Wide {
			h += draw.MM(len(g.of)) * c.answerRow()
		} else {
			h += draw.MM(len(g.of)) * (answerWords + answerLane + answerGap)
		}
	}
	return h
}

// answerRow is how high a lane of the wide sheet is with its space.
func (c *windows) answerRow() draw.MM {
	if c.low > 0 {
		return answerLane + 0.4
	}
	return answerRow
}

// fewAnswers is how many answers the least picture has.
const fewAnswers = 3

// groups are the answers shown, in their order: all of them, and in the least picture the
// one that decides and those whose chance lies nearest to even.
func (c *windows) groups() []group {
	all := answerGroups()
	if c.low == 0 {
		return all[:]
	}
	var flat []timing.Answer
	for _, g := range all {
		flat = append(flat, g.of...)
	}
	if c.low > 1 {
		near := slices.Clone(flat)
		away := func(a timing.Answer) float64 {
			e, ok := c.w.Of(a)
			if a == c.w.Deciding {
				return -1
			}
			if !ok || !open(e) {
				return 1
			}
			return math.Abs(float64(e.InTime.Mean) - 0.5)
		}
		slices.SortStableFunc(near, func(a, b timing.Answer) int { return cmp.Compare(away(a), away(b)) })
		near = near[:min(fewAnswers, len(near))]
		flat = slices.DeleteFunc(flat, func(a timing.Answer) bool { return !slices.Contains(near, a) })
	}
	return []group{{of: flat}}
}

// lanes draws a stroke for every answer, by groups.
func (c *windows) lanes() {
	for _, g := range c.groups() {
		if g.words != "" {
			b := c.take(groupRow)
			c.Text(draw.Text{At: draw.Pt{X: b.X, Y: b.Bottom() - 1.6}, S: g.words, Font: draw.SerifItalic, Size: c.Type.Label, Colour: c.Theme.Quiet, Halo: c.Theme.Ground, HaloWidth: 0.6})
		}
		for _, a := range g.of {
			e, ok := c.w.Of(a)
			if !ok {
				e = timing.Window{Answer: a}
			}
			if c.Layout == plate.Wide {
				c.wideLane(e, c.take(c.answerRow()))
			} else {
				c.phoneLane(e, c.take(answerWords), c.take(answerLane))
				c.take(answerGap)
			}
		}
	}
}

// nameOf is the name of an answer, bold where it lies nearest to even, quiet where it
// is as good as shut.
func (c *windows) nameOf(e timing.Window) draw.Text {
	t := draw.Text{S: plate.AnswerWords(e.Answer), Font: draw.Serif, Size: c.Type.Text, Colour: c.Theme.Ink}
	if e.Answer == c.w.Deciding {
		t.Font = draw.SerifBold
	}
	if e.InTime.Mean < Shut {
		t.Colour = c.Theme.Quiet
	}
	return t
}

// Shut is the chance below which an answer is as good as shut.
const Shut = 0.05

func (c *windows) wideLane(e timing.Window, b draw.Box) {
	mid := b.Y + b.H/2
	base := mid + c.Type.Text*draw.XShare/2 + 0.2
	name := c.nameOf(e)
	name.At = draw.Pt{X: b.X, Y: base}
	for name.Width() > nameColumn-1.5 && name.Size > c.Type.Fine {
		name.Size -= 0.1
	}
	c.Text(name)
	c.lane(e, mid)
	x := c.x0 + c.span + chanceEnd
	chance := draw.Text{At: draw.Pt{X: x, Y: base}, S: plate.Percent(e.InTime), Font: draw.SansBold, Size: c.Type.Label, Colour: c.Theme.Ink, Anchor: draw.End}
	c.Text(chance)
	c.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: base}, S: strings.TrimSuffix(spareWords(e), toSpare), Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End})
}

// columns heads the numbers beside the lanes of the wide sheet.
func (c *windows) columns(head draw.Box) {
	y := head.Bottom() - 2.2
	for _, k := range [...]struct {
		x draw.MM
		s string
	}{{c.x0 + c.span + chanceEnd, "in time"}, {head.Right(), "to spare"}} {
		c.Text(draw.Text{At: draw.Pt{X: k.x, Y: y}, S: k.s, Font: draw.SansBold, Size: c.Type.Fine, Colour: c.Theme.Quiet, Halo: c.Theme.Ground, HaloWidth: 1.2, Anchor: draw.End})
	}
}

// chanceEnd is where the chances end, behind the lanes of the wide sheet.
const chanceEnd draw.MM = 15.5

func (c *windows) phoneLane(e timing.Window, words, lane draw.Box) {
	y := words.Bottom() - 1.5
	name := c.nameOf(e)
	name.At = draw.Pt{X: words.X, Y: y}
	chance := draw.Text{At: draw.Pt{X: words.Right(), Y: y}, S: plate.Percent(e.InTime), Font: draw.SansBold, Size: c.Type.Text, Colour: c.Theme.Ink, Anchor: draw.End, Halo: c.Theme.Ground, HaloWidth: 0.6}
	spare := draw.Text{At: draw.Pt{X: words.Right() - 16.5, Y: y}, S: spareWords(e), Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End, Halo: c.Theme.Ground, HaloWidth: 0.6}
	name.Halo, name.HaloWidth = c.Theme.Ground, 0.6
	c.Text(name)
	c.Text(chance)
	if spare.Box().X > name.Box().Right()+1.5 {
		c.Text(spare)
	}
	c.lane(e, lane.Y+lane.H/2)
}

// lane draws the stroke of one answer about its middle, or why it has none.
func (c *windows) lane(e timing.Window, mid draw.MM) {
	half := answerLane / 2
	c.Stroke(draw.Segment(draw.Pt{X: c.x0, Y: mid}, draw.Pt{X: c.x0 + c.span, Y: mid}), draw.Pen{Colour: c.Theme.Rule.Fade(0.5), Width: 0.18})
	if !open(e) {
		if e.Answer != "" {
			t := draw.Text{At: draw.Pt{X: c.x0 + c.span/2, Y: mid + c.Type.Fine*draw.XShare/2}, S: c.emptyWords(e), Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.Middle, Halo: c.Theme.Ground, HaloWidth: 0.8}
			c.Text(t)
		}
		return
	}
	c.Stroke(draw.Segment(draw.Pt{X: c.x0, Y: mid - half}, draw.Pt{X: c.x0, Y: mid + half}), draw.Pen{Colour: c.Theme.Rule, Width: 0.3})
	tall := half * draw.MM(e.Possible.Mean)
	c.stroke(&c.Group, e.Earliest, e.Latest, float64(e.InTime.Mean), mid, tall, tall, plate.Hue(c.Theme, c.def), c.def == mark.Left, softSteps)
	x := c.x(e.Latest.Mean)
	if c.shows(e.Latest.Mean) {
		c.Stroke(draw.Segment(draw.Pt{X: x, Y: mid - half - 0.5}, draw.Pt{X: x, Y: mid + half + 0.5}), draw.Pen{Colour: c.Theme.Ink, Width: 0.35})
	}
}

// open reports whether an answer has a stroke.
func open(e timing.Window) bool {
	return told(e.Latest) && e.Possible.Mean >= 0.005 && e.Possible.Mean <= 1
}

func (c *windows) axis(b draw.Box, words string) { c.scale(c.Sheet, b, words) }
