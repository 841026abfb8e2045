package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// ErrNoWhatIf says that the reading answers no "what if".
var ErrNoWhatIf = errors.New("nothing was changed in this reading: ask its timing for a change")

// whatIf is a picture of a change in the making.
type whatIf struct {
	*plate.Sheet
	timeline
	tm       *study.Timing
	is       *study.WhatIf
	touch    *study.Touch
	att, def mark.Side
	in       draw.Box
}

// Heights and widths in millimetres.
const (
	halfLane    draw.MM = 3.4 // above and below the line of a row
	whatIfRow   draw.MM = 8.8
	whatIfWords draw.MM = 5.4 // above a lane on the phone
	whatIfBar   draw.MM = 4.4
	whatIfJoin  draw.MM = 4.6 // between the two bars
	whatIfCell  draw.MM = 15.4
	whatIfSide  draw.MM = 46
)

// WhatIf draws the race and the windows as they are and as they would be with the
// change that was asked for, from the same draws: in every row what is above the line
// is as it is, what is below as it would be, so that whatever the change moves stands
// out as a lack of symmetry; the differences stand beside. It returns ErrNoWhatIf where
// the reading answers none, and panics without a reading of a touch.
func WhatIf(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a what-if needs a reading of a touch")
	}
	if r.Timing == nil || r.Timing.WhatIf == nil {
		return nil, ErrNoWhatIf
	}
	if o.Theme.Name == "" {
		o.Theme = draw.Paper()
	}
	c := &whatIf{tm: r.Timing, is: r.Timing.WhatIf, touch: r.Touch, att: r.Timing.Attacker, def: r.Timing.Attacker.Other()}
	finding := c.is.Finding
	if finding == "" {
		finding = "What the change would do"
	}
	ty, margin := o.Layout.Type(), o.Layout.Margin()
	inner := o.Layout.Width() - 2*margin
	c.timeline = timeline{x0: margin + 1.5, span: inner - 3}
	if o.Layout == plate.Wide {
		c.timeline = timeline{x0: margin + nameColumn, span: inner - nameColumn - whatIfSide}
	}
	c.gap = 1.15 // there are twice as many strokes, half as high
	c.extent()

	change := c.changeWords()
	lines := draw.Wrap(change, draw.Serif, ty.Text, inner)
	keys := c.keys()
	if !c.races() && !c.doors() {
		keys = nil
	}
	height := draw.MM(len(lines))*ty.Text*lineShare + 2 + draw.MM(legendRows(keys, ty, inner))*legendRow
	if c.races() {
		height += c.raceHeight(o.Layout)
	}
	if c.doors() {
		height += c.doorsHeight(o.Layout)
	}
	if c.races() || c.doors() {
		height += axisHeight
	}
	desc := change + " " + c.desc()
	if o.Bare {
		d := draw.New(o.Layout.Width(), height, plate.Typeset(finding), plate.Typeset(desc))
		d.Ground = o.Theme.Ground
		c.Sheet = &plate.Sheet{Drawing: d, Theme: o.Theme, Layout: o.Layout, Type: ty, Body: draw.Box{W: o.Layout.Width(), H: height}}
	} else {
		source := plate.Sentences(plate.Origin(r.Touch, o.anonymous()), "both from the same draws: a difference is that of the change and not of luck",
			fmt.Sprintf("%s draws, seed %d, readings version %s", plate.Count(r.Draws), r.Seed, r.Version), plate.DoubtNote)
		c.Sheet = plate.NewSheet(o.Layout, o.Theme, finding, desc, source, height)
	}
	c.in = c.Inner()
	b := c.take(draw.MM(len(lines))*ty.Text*lineShare + 2)
	c.Paragraph(draw.Text{At: draw.Pt{X: b.X, Y: b.Y + ty.Text}, S: change, Font: draw.Serif, Size: ty.Text, Colour: c.Theme.Ink}, inner, ty.Text*lineShare)
	legendKeys(c.Sheet, keys, c.take(draw.MM(legendRows(keys, ty, inner))*legendRow))
	if c.races() {
		c.outcomes()
		c.arrivals()
	}
	if c.doors() {
		c.answers()
	}
	if c.races() || c.doors() {
		c.scale(c.Sheet, c.take(axisHeight), "milliseconds after "+startWords(c.touch, &study.Race{Frame: c.tm.At.Frame, Moment: c.tm.Moment}))
	}
	return c.Drawing, nil
}

// races and doors report whether both sides of a comparison are there.
func (c *whatIf) races() bool { return c.tm.Race != nil && c.is.Race != nil }
func (c *whatIf) doors() bool { return c.tm.Windows != nil && c.is.Windows != nil }

func (c *whatIf) take(h draw.MM) draw.Box {
	b := draw.Box{X: c.in.X, Y: c.in.Y, W: c.in.W, H: h}
	c.in.Y += h
	c.in.H -= h
	return b
}

// extent is one axis of time for the arrivals and for the answers.
func (c *whatIf) extent() {
	c.t0, c.t1 = 0, 0.1
	if c.doors() {
		for _, w := range [2]*study.Windows{c.tm.Windows, c.is.Windows} {
			a, b := windowsExtent(w)
			c.t0, c.t1 = math.Min(c.t0, a), math.Max(c.t1, b)
		}
	}
	if c.races() {
		for _, r := range [2]*study.Race{c.tm.Race, c.is.Race} {
			for _, run := range r.Runs {
				if arrives(run) {
					c.t1 = math.Max(c.t1, math.Min(float64(run.Arrival.Hi), 3)*1.01)
				}
			}
		}
	}
}

// changeWords says in one sentence what was changed, and what of it was refused.
func (c *whatIf) changeWords() string {
	ch := c.is.Change
	who := strings.ToLower(plate.Name(ch.Who))
	var parts []string
	length := func(m quantity.Metres) string {
		return plate.Centimetres(quantity.Exactly(quantity.Metres(math.Abs(float64(m)))))
	}
	if ch.Closer != 0 {
		parts = append(parts, "both were "+length(ch.Closer)+pick(ch.Closer > 0, " closer", " further apart"))
	}
	if ch.Earlier != 0 {
		ms := plate.Milliseconds(quantity.Exactly(quantity.Seconds(math.Abs(float64(ch.Earlier)))))
		parts = append(parts, who+" started "+ms+pick(ch.Earlier > 0, " earlier", " later"))
	}
	if ch.Longer != 0 {
		parts = append(parts, who+"’s arm reached "+length(ch.Longer)+pick(ch.Longer > 0, " further", " less far"))
	}
	if ch.Target != "" {
		parts = append(parts, who+" aimed at the "+plate.TargetWords(ch.Target))
	}
	s := "Nothing is changed."
	if n := len(parts); n > 0 {
		s = "If " + strings.Join(parts[:n-1], ", ") + pick(n > 1, " and ", "") + parts[n-1] + "."
	}
	if c.is.Refused != "" {
		s += " " + plate.Sentences(strings.TrimSuffix(c.is.Refused, "."))
	}
	return plate.Typeset(s)
}

func pick(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

// points says the difference of two chances in hundredths.
func points(now, then quantity.Chance) string {
	return signedDifference(math.Round(100*float64(then)) - math.Round(100*float64(now)))
}

func signedDifference(d float64) string {
	switch {
	case d > 0:
		return fmt.Sprintf("+%.0f", d)
	case d < 0:
		return fmt.Sprintf("−%.0f", -d)
	}
	return "same"
}

// shift says by how much earlier or later a mean time lies.
func shift(now, then quantity.Seconds) string {
	d := math.Round(1000*float64(then)) - math.Round(1000*float64(now))
	if d == 0 {
		return "same"
	}
	return fmt.Sprintf("%.0f", math.Abs(d)) + nb + "ms" + pick(d < 0, " earlier", " later")
}

// keys say which half is which.
func (c *whatIf) keys() []key {
	side := func(then bool) func(sh *plate.Sheet, b draw.Box) {
		return func(sh *plate.Sheet, b draw.Box) {
			mid := b.Y + b.H/2
			half := draw.Box{X: b.X, Y: mid - b.H/2, W: b.W, H: b.H / 2}
			colour := sh.Theme.Quiet
			if then {
				half.Y, colour = mid, plate.Hue(sh.Theme, c.def)
			}
			sh.Hatch(half.Path(), draw.Hatch{Colour: colour, Width: 0.45, Gap: 0.8, Rising: !then})
			sh.Stroke(half.Path(), draw.Pen{Colour: colour, Width: 0.22})
			sh.Stroke(draw.Segment(draw.Pt{X: b.X, Y: mid}, draw.Pt{X: b.Right(), Y: mid}), draw.Pen{Colour: sh.Theme.Ink, Width: 0.25})
		}
	}
	all := []key{{"above the line: as it is", 10, side(false)}, {"below: as it would be", 10, side(true)}}
	if !c.doors() {
		return all
	}
	upright := func(att bool) func(sh *plate.Sheet, b draw.Box) {
		return func(sh *plate.Sheet, b draw.Box) {
			pen := draw.Pen{Colour: sh.Theme.Ink, Width: 0.35}
			if att {
				pen = draw.Pen{Colour: plate.Hue(sh.Theme, c.att), Width: 0.6}
			}
			sh.Stroke(draw.Segment(draw.Pt{X: b.X + b.W/2, Y: b.Y}, draw.Pt{X: b.X + b.W/2, Y: b.Bottom()}), pen)
		}
	}
	return append(all, key{strings.ToLower(plate.Name(c.def)) + " is ready", 2, upright(false)}, key{strings.ToLower(plate.Name(c.att)) + " hits", 2, upright(true)})
}

func (c *whatIf) desc() string {
	var b strings.Builder
	if c.races() {
		now, then := outcomesOf(c.tm.Race), outcomesOf(c.is.Race)
		for i := range now {
			fmt.Fprintf(&b, "%s: %s, then %s. ", now[i].words, plate.Percent(now[i].chance), plate.Percent(then[i].chance))
		}
	}
	if c.doors() {
		for _, g := range answerGroups() {
			for _, a := range g.of {
				now, ok1 := c.tm.Windows.Of(a)
				then, ok2 := c.is.Windows.Of(a)
				if ok1 && ok2 {
					fmt.Fprintf(&b, "%s in time: %s, then %s. ", plate.AnswerWords(a), plate.Percent(now.InTime), plate.Percent(then.InTime))
				}
			}
		}
	}
	return strings.TrimSpace(b.String())
}
