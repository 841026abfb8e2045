package chart

import (
	"errors"
	"fmt"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// ErrNoRace says that the reading has no race.
var ErrNoRace = errors.New("there is no race in this reading: mark both points and a target of each on one frame")

// Options say how a chart is drawn. The zero value is wide, on paper.
type Options struct {
	Layout plate.Layout
	// Theme of the page; the zero value means draw.Paper.
	Theme draw.Theme
	// HideNames leaves the names of fencers and events out: Anonymous in short.
	HideNames bool
	// Names is how fencers are called.
	Names plate.Naming
	// Bare draws the lanes and the arrivals only, for a page on which the finding,
	// the outcomes and the source stand already.
	Bare bool
	// Low asks for a picture with less in it, for a sheet of a fixed shape: 1 for what is
	// needed to read the finding, 2 for the least of it. Zero is the whole picture.
	Low int
}

// race is a race chart in the making.
type race struct {
	*plate.Sheet
	race  *study.Race
	touch *study.Touch
	in    draw.Box // what is left of the body, from the top
}

// Heights in millimetres.
const (
	headHeight  draw.MM = 7   // a section head with the space above it
	wordsHeight draw.MM = 7.2 // the line of words above a lane
	laneHeight  draw.MM = 5.6
	tickHeight  draw.MM = 4.4 // numbers under a lane or an axis
	laneGap     draw.MM = 2.4
	axisHeight  draw.MM = 8.6
	gateHeight  draw.MM = 5
	arriveRow   draw.MM = 8
	barHeight   draw.MM = 5.6
	cellHeight  draw.MM = 16
)

// Race draws the race of a reading: the way of each point to its target in true
// length with a tick for every 50 ms of its predicted travel, the arrivals as
// bands beside a gate as wide as the double window of the apparatus, and the
// four outcomes with their chances. It returns ErrNoRace where the reading has
// none, and panics without a reading of a touch.
func Race(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a race needs a reading of a touch")
	}
	if r.Race == nil {
		return nil, ErrNoRace
	}
	if o.Theme.Name == "" {
		o.Theme = draw.Paper()
	}
	finding := r.Race.Finding
	if finding == "" {
		finding = "Whose point would arrive first"
	}
	lane := wordsHeight + laneHeight + tickHeight
	rows := draw.MM(1)
	if o.Layout == plate.Phone {
		rows = 2
	}
	note := marginWords(r.Race)
	inner := o.Layout.Width() - 2*o.Layout.Margin()
	noteHeight := draw.MM(0)
	if note != "" {
		noteHeight = draw.MM(len(draw.Wrap(note, draw.Serif, o.Layout.Type().Text, inner))) * o.Layout.Type().Text * lineShare
	}
	height := 3*headHeight + 2*lane + laneGap + axisHeight +
		gateHeight + 2*arriveRow + axisHeight +
		barHeight + 2 + rows*cellHeight +
		noteHeight
	if o.Bare {
		return bareRace(r, o, finding, 2*headHeight+2*lane+laneGap+axisHeight+gateHeight+2*arriveRow+axisHeight), nil
	}
	sheet := plate.NewSheet(o.Layout, o.Theme, finding, raceDesc(r), raceSource(r, o.anonymous()), height)
	c := &race{Sheet: sheet, race: r.Race, touch: r.Touch, in: sheet.Inner()}
	c.lanes()
	c.arrivals()
	c.outcomes()
	c.Begin(draw.WordsStretch, c.in)
	c.Paragraph(draw.Text{At: draw.Pt{X: c.in.X, Y: c.in.Y + c.Type.Text}, S: note, Font: draw.Serif, Size: c.Type.Text, Colour: c.Theme.Ink}, inner, c.Type.Text*lineShare)
	return c.Drawing, nil
}

// lineShare is the distance of two lines of a sentence as a share of its size.
const lineShare = 1.3

// bareRace draws what Options.Bare leaves of the race.
func bareRace(r *study.Reading, o Options, finding string, height draw.MM) *draw.Drawing {
	d := draw.New(o.Layout.Width(), height, plate.Typeset(finding), plate.Typeset(raceDesc(r)))
	d.Ground = o.Theme.Ground
	sheet := &plate.Sheet{Drawing: d, Theme: o.Theme, Layout: o.Layout, Type: o.Layout.Type(), Body: draw.Box{W: o.Layout.Width(), H: height}}
	c := &race{Sheet: sheet, race: r.Race, touch: r.Touch, in: sheet.Inner()}
	c.lanes()
	c.arrivals()
	return d
}

// take cuts the next part of this height off the body.
func (c *race) take(h draw.MM) draw.Box {
	b := draw.Box{X: c.in.X, Y: c.in.Y, W: c.in.W, H: h}
	c.in.Y += h
	c.in.H -= h
	return b
}

// head writes the head of a section: what it shows and, in the same line, the
// axis in plain words.
func (c *race) head(what string) {
	b := c.take(headHeight)
	c.Begin(draw.FigureStretch, b)
	y := b.Bottom() - 2.2
	t := draw.Text{At: draw.Pt{X: b.X, Y: y}, S: what, Font: draw.SansBold, Size: c.Type.Label, Colour: c.Theme.Quiet}
	c.Text(t)
	c.Stroke(draw.Segment(draw.Pt{X: b.X + t.Width() + 2.5, Y: y - 1.1}, draw.Pt{X: b.Right(), Y: y - 1.1}), draw.Pen{Colour: c.Theme.Rule.Fade(0.6), Width: 0.18})
}

// start says in words where the clock of the race stands at zero: at the frame
// that was measured, which a moment precedes by up to a frame.
func (c *race) start() string { return startWords(c.touch, c.race) }

func startWords(t *study.Touch, r *study.Race) string {
	frame := fmt.Sprintf("frame %d", r.Frame)
	m, ok := t.Moment(r.Moment)
	switch {
	case !ok:
		return frame
	case m.Name != "":
		return frame + ", “" + plate.Typeset(m.Name) + "”"
	}
	return frame + ", “" + m.ID + "”"
}

// marginWords says by how much, and what it hangs on.
func marginWords(r *study.Race) string {
	var b strings.Builder
	if r.Margin.IsValid() && r.Margin != (quantity.Of[quantity.Seconds]{}) {
		first, margin := mark.Left, r.Margin
		if margin.Mean < 0 {
			first, margin = mark.Right, negated(margin)
		}
		b.WriteString(plate.Name(first) + " is earlier by " + plate.Milliseconds(margin) + " (95 %: " + plate.MillisecondsBetween(margin) + ").")
		if counts := r.MarginCounts(); counts != "" {
			b.WriteString(" " + counts)
		}
	}
	if len(r.Matters) > 0 {
		m := r.Matters[0]
		b.WriteString(" Largest doubt: " + m.Name + " (" + plate.Chance(quantity.Chance(m.Share)) + "). " + plate.Sentences(strings.TrimSuffix(m.Mend, ".")))
	}
	return plate.Typeset(strings.TrimSpace(b.String()))
}

// negated turns a margin of the left point into one of the right.
func negated(q quantity.Of[quantity.Seconds]) quantity.Of[quantity.Seconds] {
	return quantity.Of[quantity.Seconds]{Mean: -q.Mean, SD: q.SD, Lo: -q.Hi, Hi: -q.Lo}
}

func raceSource(r *study.Reading, hide bool) string {
	from := ""
	for _, s := range mark.Sides {
		if p := r.Race.Runs[s].ParametersFrom; p != "" && !strings.Contains(from, p) {
			if from != "" {
				from += "; "
			}
			from += p
		}
	}
	if from != "" {
		from = "movement times: " + from
	}
	return plate.Sentences(plate.Origin(r.Touch, hide), from,
		fmt.Sprintf("%s draws, seed %d, readings version %s", plate.Count(r.Draws), r.Seed, r.Version), plate.DoubtNote)
}

func raceDesc(r *study.Reading) string {
	var b strings.Builder
	fmt.Fprintf(&b, "The race from %s. ", startWords(r.Touch, r.Race))
	for _, s := range mark.Sides {
		run := r.Race.Runs[s]
		fmt.Fprintf(&b, "%s: %s to the %s over %s, arrives after %s. ", plate.Name(s), plate.ActionWords(run.Action), plate.TargetWords(run.Target), plate.Metres(run.Gap), plate.Milliseconds(run.Arrival))
	}
	fmt.Fprintf(&b, "Left alone %s, both %s, right alone %s, neither %s.", plate.Percent(r.Race.LeftOnly), plate.Percent(r.Race.Both), plate.Percent(r.Race.RightOnly), plate.Percent(r.Race.Neither))
	return b.String()
}
