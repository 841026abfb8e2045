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
	"mesure/timing"
)

// ErrNoWindows says that the reading has no windows.
var ErrNoWindows = errors.New("there are no windows in this reading: mark the attacker's point and a target of the defender on one frame, and ask for its timing")

// windows is a picture of windows in the making.
type windows struct {
	*plate.Sheet
	timeline
	w        *study.Windows
	tm       *study.Timing
	touch    *study.Touch
	att, def mark.Side
	in       draw.Box // what is left of the body, from the top
	events   []event
	rows     int // of the words of the events
	low      int // Options.Low
}

// Heights and widths in millimetres.
const (
	travelHeight draw.MM = 25  // the way of the attacker's point
	phaseHeight  draw.MM = 4.8 // the ribbon of what the defender can do meanwhile
	eventRow     draw.MM = 4.6
	answerLane   draw.MM = 5.2
	answerRow    draw.MM = 7.4 // of the wide sheet
	groupRow     draw.MM = 5.4
	answerWords  draw.MM = 5.2 // above a lane on the phone
	answerGap    draw.MM = 2.2 // below a lane on the phone
	nameColumn   draw.MM = 41
	sideColumn   draw.MM = 39
	scaleGutter  draw.MM = 7
)

// group is a few answers that have one idea.
type group struct {
	words string
	of    []timing.Answer
}

// answerGroups lists all answers in the order in which they are shown.
func answerGroups() [3]group {
	return [3]group{
		{"Hit into the attack", []timing.Answer{timing.ExtendSingle, timing.ExtendDouble, timing.OpposeInTheLine}},
		{"Parry it", []timing.Answer{timing.ParryLateral, timing.ParrySemi, timing.ParryCircular, timing.ParryStepBack}},
		{"Get away from it", []timing.Answer{timing.RetreatOut, timing.RemoveTarget}},
	}
}

// Windows draws when each answer to the attack of one instant can still be started, on
// one axis of time in milliseconds from that instant: above the way of the attacker's
// point, when it can be seen, when the defender is ready and when it hits; below a
// stroke for each answer. A stroke is as high as the chance that a start there serves
// (Possible times the chance that the latest start is not earlier, by a split normal
// law of its mean and 95 % interval), so it runs to a point; before the earliest sensible start it is an outline; its
// ink is as dense as the chance that a start on reacting is in time. It returns
// ErrNoWindows where the reading has none, and panics without a reading of a touch.
func Windows(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: windows need a reading of a touch")
	}
	if r.Timing == nil || r.Timing.Windows == nil {
		return nil, ErrNoWindows
	}
	if o.Theme.Name == "" {
		o.Theme = draw.Paper()
	}
	w := r.Timing.Windows
	finding := w.Finding
	if finding == "" {
		finding = "Which answers are still open"
	}
	finding, more := firstSentence(finding)
	c := &windows{low: o.Low, w: w, tm: r.Timing, touch: r.Touch, att: r.Timing.Attacker, def: r.Timing.Attacker.Other()}
	c.timeline = timeline{x0: o.Layout.Margin() + scaleGutter, span: o.Layout.Width() - 2*o.Layout.Margin() - scaleGutter - 1.5}
	if o.Layout == plate.Wide {
		c.timeline = timeline{x0: o.Layout.Margin() + nameColumn, span: o.Layout.Width() - 2*o.Layout.Margin() - nameColumn - sideColumn}
	}
	c.t0, c.t1 = windowsExtent(w)
	ty := o.Layout.Type()
	c.setEvents(ty)

	inner := o.Layout.Width() - 2*o.Layout.Margin()
	words := strings.TrimSpace(plate.Typeset(more) + " " + c.words())
	legend := legendRows(windowsLegend(c.def), ty, inner)
	height := draw.MM(0)
	if o.Low == 0 {
		height = headHeight + travelHeight + phaseHeight + 2.4
	}
	height = height + draw.MM(c.rows)*eventRow + 1 + headHeight + c.lanesHeight(o.Layout) + axisHeight + draw.MM(legend)*legendRow + 1
	if o.Layout == plate.Phone && o.Low == 0 {
		height += attackWords
	}
	if o.Bare {
		d := draw.New(o.Layout.Width(), height, plate.Typeset(finding), plate.Typeset(c.desc()))
		d.Ground = o.Theme.Ground
		c.Sheet = &plate.Sheet{Drawing: d, Theme: o.Theme, Layout: o.Layout, Type: ty, Body: draw.Box{W: o.Layout.Width(), H: height}}
	} else {
		lines := len(draw.Wrap(words, draw.Serif, ty.Text, inner))
		full := height + 3 + draw.MM(lines)*ty.Text*lineShare
		c.Sheet = plate.NewSheet(o.Layout, o.Theme, finding, c.desc(), windowsSource(r, o.anonymous()), full)
	}
	c.in = c.Inner()
	c.draw()
	if !o.Bare {
		c.Begin(draw.WordsStretch, c.in)
		c.Paragraph(draw.Text{At: draw.Pt{X: c.in.X, Y: c.in.Y + 3 + ty.Text*draw.CapShare}, S: words, Font: draw.Serif, Size: ty.Text, Colour: c.Theme.Ink}, inner, ty.Text*lineShare)
	}
	return c.Drawing, nil
}

// unbroken keeps a number on one line with its doubt and its unit.
var unbroken = strings.NewReplacer(" ± ", nb+"±"+nb, " ms", nb+"ms", " %", nb+"%", " cm", nb+"cm", " m ", nb+"m ")

// firstSentence parts a finding into its first sentence, which is the title, and the
// others, which are read after it.
func firstSentence(s string) (first, others string) {
	s = unbroken.Replace(s)
	for i := 0; i < len(s); {
		k := strings.Index(s[i:], ". ")
		if k < 0 {
			break
		}
		i += k + 2
		if i < len(s) && s[i] >= 'A' && s[i] <= 'Z' { // not a point within a number or a short word
			return s[:i-2], strings.TrimSuffix(s[i:], ".") + "."
		}
	}
	return s, ""
}

// windowsExtent is the stretch of time that is shown: from the instant, or from what
// lies before it, to the hit or the last time at which anything still happens.
func windowsExtent(w *study.Windows) (t0, t1 float64) {
	t0, t1 = 0, 0.1
	for _, q := range [...]quantity.Of[quantity.Seconds]{w.Cue.At, w.Ready} {
		if told(q) {
			t0, t1 = math.Min(t0, float64(q.Lo)), math.Max(t1, float64(q.Hi))
		}
	}
	t0 = math.Min(t0, float64(onsetOf(w)))
	if hits(w) {
		t1 = math.Max(t1, float64(w.Hit.Hi))
	} else {
		t1 = math.Max(t1, float64(study.TravelStep)*float64(len(w.Travel)-1))
	}
	for _, e := range w.Each {
		if told(e.Latest) {
			t1 = math.Max(t1, float64(e.Latest.Mean))
			t0 = math.Min(t0, math.Max(float64(e.Latest.Mean)-0.03, -0.3)) // a door that was shut before
		}
	}
	return math.Max(t0, -1), math.Min(t1, 3) * 1.01
}

// onsetOf is when the attack started, at the mean; the instant where not known.
func onsetOf(w *study.Windows) quantity.Seconds {
	if on := w.Exchange.Attack.Onset.Time; told(on) {
		return on.Mean
	}
	return 0
}

// told reports whether a time was computed: the zero value says that it was not.
func told(q quantity.Of[quantity.Seconds]) bool {
	return q.IsValid() && q != (quantity.Of[quantity.Seconds]{})
}

// hits reports whether there is a hit to be drawn.
func hits(w *study.Windows) bool { return told(w.Hit) && w.Arrives.Mean >= Rarely }

// take cuts the next part of this height off the body.
func (c *windows) take(h draw.MM) draw.Box {
	b := draw.Box{X: c.in.X, Y: c.in.Y, W: c.in.W, H: h}
	c.in.Y += h
	c.in.H -= h
	return b
}

func (c *windows) draw() {
	if c.low > 0 {
		c.drawLow()
		return
	}
	c.head(c.take(headHeight), "The way of "+strings.ToLower(plate.Name(c.att))+"’s point to the target")
	if c.Layout == plate.Phone {
		c.attackLine(c.take(attackWords))
	}
	travel := c.take(travelHeight)
	phases := c.take(phaseHeight + 2.4)
	words := c.take(draw.MM(c.rows)*eventRow + 1)
	head := c.take(headHeight)
	lanes := draw.Box{X: c.in.X, Y: c.in.Y, W: c.in.W, H: c.lanesHeight(c.Layout)}

	c.bands(travel.Y, words.Bottom())
	c.bands(lanes.Y, lanes.Bottom())
	c.travel(travel)
	c.phases(draw.Box{X: c.x0, Y: phases.Y + 1.4, W: c.span, H: phaseHeight})
	c.uprights(phases.Y+1.4+phaseHeight, words.Bottom(), true)
	c.uprights(lanes.Y, lanes.Bottom(), false)
	c.eventWords(words)
	c.head(head, "What "+strings.ToLower(plate.Name(c.def))+" can start, and until when")
	if c.Layout == plate.Wide {
		c.columns(head)
	}
	c.lanes()
	c.axis(c.take(axisHeight), "milliseconds after "+startWords(c.touch, &study.Race{Frame: c.tm.At.Frame, Moment: c.tm.Moment}))
	c.take(1)
	c.legend(windowsLegend(c.def))
}

// drawLow draws the answers alone, with the events that they are read against.
func (c *windows) drawLow() {
	head := c.take(headHeight)
	words := c.take(draw.MM(c.rows)*eventRow + 1)
	lanes := draw.Box{X: c.in.X, Y: c.in.Y, W: c.in.W, H: c.lanesHeight(c.Layout)}
	c.bands(words.Y, lanes.Bottom())
	c.uprights(words.Y, words.Bottom(), true)
	c.uprights(lanes.Y, lanes.Bottom(), false)
	c.eventWords(words)
	c.head(head, "What "+strings.ToLower(plate.Name(c.def))+" can start, and until when")
	if c.Layout == plate.Wide {
		c.columns(head)
	}
	c.lanes()
	c.axis(c.take(axisHeight), "milliseconds after "+startWords(c.touch, &study.Race{Frame: c.tm.At.Frame, Moment: c.tm.Moment}))
	c.take(1)
	c.legend(windowsLegend(c.def))
}

// head writes the head of a section with a hairline to the right edge.
func (c *windows) head(b draw.Box, what string) { sectionHead(c.Sheet, b, what) }

func sectionHead(sh *plate.Sheet, b draw.Box, what string) {
	y := b.Bottom() - 2.2
	t := draw.Text{At: draw.Pt{X: b.X, Y: y}, S: what, Font: draw.SansBold, Size: sh.Type.Label, Colour: sh.Theme.Quiet}
	sh.Text(t)
	if from := b.X + t.Width() + 2.5; from < b.Right() {
		sh.Stroke(draw.Segment(draw.Pt{X: from, Y: y - 1.1}, draw.Pt{X: b.Right(), Y: y - 1.1}), draw.Pen{Colour: sh.Theme.Rule.Fade(0.6), Width: 0.18})
	}
}

func windowsSource(r *study.Reading, hide bool) string {
	w := r.Timing.Windows
	from := ""
	if s := w.Exchange.Attack.Movement.Source; s != "" {
		from = "movement times: " + s
	}
	return plate.Sentences(plate.Origin(r.Touch, hide), from,
		fmt.Sprintf("%s draws, seed %d, readings version %s", plate.Count(w.Draws), r.Seed, r.Version), plate.DoubtNote)
}
