package chart

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// ErrNoBout says that a bout has no touch to draw.
var ErrNoBout = errors.New("there is no touch in this bout: write at least one")

// boutChart is a picture of a bout in the making.
type boutChart struct {
	o    Options
	r    *study.BoutReading
	call plate.Calling
}

// Sizes of the bout chart, in millimetres.
const (
	boutPlot   draw.MM = 56
	boutBars   draw.MM = 22
	boutWorth  draw.MM = 20
	boutScore  draw.MM = 4.2 // one row of the score
	boutNumber draw.MM = 8   // room for the numbers of the upward axes
	boutNames  draw.MM = 5   // the line of names above the plot
)

// Bout draws a bout: the chance of the left fencer to win after each touch with
// the band that holds 95 % and the one of a standard deviation, the score along the
// axis, below what hung on each touch, and what a double was worth then. A square
// stands where the left fencer hit, a disc where the right one did, both shapes half
// and half for a double, a ring where nobody did. The line breaks where touches are
// missing. It returns ErrNoBout where there is no touch, and panics without a
// reading.
func Bout(r *study.BoutReading, o Options) (*draw.Drawing, error) {
	if r == nil {
		panic("chart: a bout chart needs a reading of a bout")
	}
	if len(r.Touches) == 0 || r.Heaviest < 0 || r.Heaviest >= len(r.Touches) {
		return nil, ErrNoBout
	}
	c := &boutChart{o: o.themed(), r: r, call: plate.Call(o.naming(), [2]string{r.Left, r.Right})}
	parts := []part{headed("Chance of " + c.name(mark.Left) + " to win after each touch, and the score"), c.course(),
		headed("What hung on each touch"), c.weights()}
	if r.Weapon == bout.Epee {
		parts = append(parts, headed("What a double was worth to "+c.name(mark.Left)+" then"), c.worths())
	}
	var rest string
	if !c.o.anonymous() {
		rest = c.call.Rename(strings.Join(r.Said[min(1, len(r.Said)):], " "))
	}
	parts = append(parts, said(c.o, rest))
	return leafOf(c.o, c.finding(), c.desc(), c.source(), parts), nil
}

// name is what a side is called on this chart.
func (c *boutChart) name(s mark.Side) string { return c.call.Say[s] }

func scoreOf(s bout.Score) string { return fmt.Sprintf("%d–%d", s.Left, s.Right) }

func (c *boutChart) finding() string {
	t := c.r.Touches[c.r.Heaviest]
	return fmt.Sprintf("Touch %d, at %s, weighed most: %s hung on it", t.Number, scoreOf(t.Before.Score), plate.Percent(t.Before.Importance))
}

func (c *boutChart) source() string {
	event := plate.EventName(c.r.Event)
	if c.o.anonymous() {
		event = ""
	}
	k := c.r.Rates
	last := ""
	if c.r.LastDoubleCounts {
		last = "the last double counts"
	}
	return plate.Sentences(event, fmt.Sprintf("bout to %d from its sheet alone", c.r.To), last,
		fmt.Sprintf("single hits %d and %d, doubles %d, half a count added to each; phrases taken as independent, with the rates of the whole bout", k.CountLeft, k.CountRight, k.CountDouble),
		"what hung on a touch is the chance after a hit less that after a hit against",
		fmt.Sprintf("%s draws, seed %d", plate.Count(c.r.Draws), c.r.Seed), plate.DoubtNote)
}

func (c *boutChart) desc() string {
	var b strings.Builder
	fmt.Fprintf(&b, "The bout of %s against %s to %d. Chance of %s to win at %s: %s. ", c.name(mark.Left), c.name(mark.Right), c.r.To, c.name(mark.Left), scoreOf(c.r.Start.Score), plate.Percent(c.r.Start.Win))
	for _, t := range c.r.Touches {
		fmt.Fprintf(&b, "Touch %d: %s, %s, %s; %s hung on it. ", t.Number, outcomeWord(t), scoreOf(t.Score), plate.Percent(t.After), plate.Percent(t.Before.Importance))
	}
	return strings.TrimSpace(b.String())
}

func outcomeWord(t study.BoutTouch) string {
	switch {
	case t.Outcome == "double" && t.Before.Void:
		return "void double"
	case t.Outcome == "none":
		return "no hit"
	}
	return t.Outcome
}

// frame is the room of a plot between the numbers of its axis and the edge.
func (c *boutChart) frame(b draw.Box) draw.Box {
	return draw.Box{X: b.X + boutNumber, Y: b.Y, W: b.W - boutNumber - 3, H: b.H}
}

// x is where touch i stands; −1 is the start.
func (c *boutChart) x(b draw.Box, i int) draw.MM {
	return b.X + b.W*draw.MM(float64(i+1)/float64(len(c.r.Touches)))
}

// every is how many touches share one number so that the widest has room.
func (c *boutChart) every(b draw.Box, widest draw.MM) int {
	step := float64(b.W) / float64(len(c.r.Touches))
	return max(1, int(math.Ceil(float64(widest+0.9)/step)))
}

// course is the line of chances with the score below it.
func (c *boutChart) course() part {
	height := boutNames + boutPlot + 3*boutScore + 3
	return part{height: height, draw: func(l *leaf, all draw.Box) {
		th, ty := l.Theme, l.Type
		b := c.frame(draw.Box{X: all.X, Y: all.Y + boutNames, W: all.W, H: boutPlot})
		y := func(v quantity.Chance) draw.MM {
			return b.Bottom() - b.H*draw.MM(math.Max(0, math.Min(1, float64(v))))
		}
		for i := 0; i <= 4; i++ {
			v := quantity.Chance(i) / 4
			width := draw.MM(0.18)
			if i == 2 {
				width = 0.35
			}
			l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y(v)}, draw.Pt{X: b.Right(), Y: y(v)}), draw.Pen{Colour: th.Rule.Fade(0.6), Width: width})
			s := strconv.Itoa(25 * i)
			if i == 4 {
				s += nb + "%"
			}
			l.Text(draw.Text{At: draw.Pt{X: b.X - 1.4, Y: y(v) + ty.Fine*draw.CapShare/2}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
		}
		for _, run := range c.runs() {
			c.run(l, b, run, y)
		}
		for i, t := range c.r.Touches {
			c.hit(l, draw.Pt{X: c.x(b, i), Y: y(t.After.Mean)}, t.Outcome)
		}
		c.key(l, draw.Box{X: b.X, Y: all.Y, W: b.W, H: boutNames})
		c.scores(l, b)
	}}
}

// spot is one point of the line.
type spot struct {
	i   int
	win quantity.Of[quantity.Chance]
}

// runs are the stretches of the line between gaps of the sheet.
func (c *boutChart) runs() [][]spot {
	run := []spot{{-1, c.r.Start.Win}}
	var all [][]spot
	for i, t := range c.r.Touches {
		if t.Gap {
			all = append(all, run)
			run = []spot{{i - 1, t.Before.Win}}
		}
		run = append(run, spot{i, t.After})
	}
	return append(all, run)
}

// run draws one stretch: both bands and the line.
func (c *boutChart) run(l *leaf, b draw.Box, run []spot, y func(quantity.Chance) draw.MM) {
	bandOf := func(ends func(q quantity.Of[quantity.Chance]) (lo, hi quantity.Chance)) {
		var up, down []draw.Pt
		for _, s := range run {
			lo, hi := ends(s.win)
			up = append(up, draw.Pt{X: c.x(b, s.i), Y: y(hi)})
			down = append([]draw.Pt{{X: c.x(b, s.i), Y: y(lo)}}, down...)
		}
		l.Fill(draw.Polygon(append(up, down...)...), l.Theme.Rule.Fade(0.3))
	}
	bandOf(func(q quantity.Of[quantity.Chance]) (lo, hi quantity.Chance) { return q.Lo, q.Hi })
	bandOf(func(q quantity.Of[quantity.Chance]) (lo, hi quantity.Chance) {
		return max(q.Lo, q.Mean-q.SD), min(q.Hi, q.Mean+q.SD)
	})
	var line []draw.Pt
	for _, s := range run {
		line = append(line, draw.Pt{X: c.x(b, s.i), Y: y(s.win.Mean)})
	}
	l.Stroke(draw.Polyline(line...), draw.Pen{Colour: l.Theme.Ink, Width: 0.45})
}

// hit is the sign of who hit.
func (c *boutChart) hit(l *leaf, at draw.Pt, outcome string) {
	size := draw.MM(2.1)
	if step := c.o.inner() / draw.MM(len(c.r.Touches)); step < 2.6 {
		size = max(1, step*0.8)
	}
	th := l.Theme
	switch outcome {
	case "left":
		l.Fill(plate.Shape(mark.Left, at, size), plate.Hue(th, mark.Left))
	case "right":
		l.Fill(plate.Shape(mark.Right, at, size), plate.Hue(th, mark.Right))
	case "double":
		const reach = 0.62 // of the size: half of each shape, side by side
		l.Fill(draw.Box{X: at.X - size*reach, Y: at.Y - size/2, W: size * reach, H: size}.Path(), plate.Hue(th, mark.Left))
		right := l.Clip(draw.Box{X: at.X, Y: at.Y - size, W: size, H: 2 * size}.Path())
		right.Fill(plate.Shape(mark.Right, at, size*1.1), plate.Hue(th, mark.Right))
	default:
		l.Fill(draw.Circle(at, size*0.42), th.Ground)
		l.Stroke(draw.Circle(at, size*0.42), draw.Pen{Colour: th.Quiet, Width: 0.3})
	}
}

// key says what the signs mean.
func (c *boutChart) key(l *leaf, b draw.Box) {
	x, y := b.X+1, b.Y+1.4
	signs := []struct{ outcome, words string }{{"left", c.name(mark.Left) + " hit"}, {"right", c.name(mark.Right) + " hit"}, {"double", "double"}, {"none", "no hit"}}
	for _, s := range signs {
		seen := false
		for _, t := range c.r.Touches {
			seen = seen || t.Outcome == s.outcome
		}
		text := draw.Text{At: draw.Pt{X: x + 2.2, Y: y + l.Type.Fine*draw.CapShare/2}, S: plate.Typeset(s.words), Font: draw.Sans, Size: l.Type.Fine, Colour: l.Theme.Quiet}
		if !seen || text.Box().Right() > b.Right() {
			continue
		}
		c.hit(l, draw.Pt{X: x, Y: y}, s.outcome)
		l.Text(text)
		x = text.Box().Right() + 4
	}
}

// scores writes the score after each touch, the left fencer's above, and the number of
// the touch below.
func (c *boutChart) scores(l *leaf, b draw.Box) {
	ty := l.Type
	step := c.every(b, draw.Text{S: "88", Font: draw.Sans, Size: ty.Fine}.Width())
	last := len(c.r.Touches) - 1
	y := b.Bottom() + 4
	write := func(i int, row draw.MM, s string, font draw.Font, colour draw.Colour) {
		l.Text(draw.Text{At: draw.Pt{X: c.x(b, i), Y: y + row*boutScore}, S: s, Font: font, Size: ty.Fine, Colour: colour, Anchor: draw.Middle})
	}
	for i, t := range c.r.Touches {
		// Counted back from the last, so that the end of the bout always has its score.
		if (last-i)%step != 0 {
			continue
		}
		write(i, 0, strconv.Itoa(t.Score.Left), draw.Sans, plate.Hue(l.Theme, mark.Left))
		write(i, 1, strconv.Itoa(t.Score.Right), draw.Sans, plate.Hue(l.Theme, mark.Right))
		write(i, 2, strconv.Itoa(t.Number), draw.Sans, l.Theme.Quiet)
	}
	// Heads of the rows, before the first number.
	for row, s := range [3]string{"L", "R", "touch"} {
		l.Text(draw.Text{At: draw.Pt{X: b.X - 1.4, Y: y + draw.MM(row)*boutScore}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet, Anchor: draw.End})
	}
}
