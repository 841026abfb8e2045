package chart

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
)

// ErrNoReliability says that there is no bin with a count.
var ErrNoReliability = errors.New("there is nothing to compare: no prediction has an outcome")

// Calibration is how predicted chances compare with what came true.
type Calibration struct {
	// Of says what was predicted, in words such as "the lamps and the answers of 2 400
	// simulated touches".
	Of string
	// Finding is the title; empty lets the chart say the error of calibration.
	Finding string
	// Source stands below the chart.
	Source string
	Bins   []ReliabilityBin
	// Brier is the mean squared difference of chance and outcome, ECE the expected
	// calibration error: the mean difference of predicted and observed, weighted by count.
	// ECEByLuck is about what it would be if every chance were right; 0 where not known.
	Brier, ECE, ECEByLuck quantity.Ratio
	// N is how many predictions were compared.
	N int
}

// ReliabilityBin is the predictions of nearly the same chance.
type ReliabilityBin struct {
	// Predicted is the mean of their chances; Observed how often they came true, with
	// its binomial interval (quantity.FromCounts).
	Predicted quantity.Chance
	Observed  quantity.Of[quantity.Chance]
	N         int
}

// trust is a picture of reliability in the making.
type trust struct {
	o    Options
	x    Calibration
	bins []ReliabilityBin // that can be drawn
}

// Sizes of the plot, in millimetres.
const (
	trustSide   draw.MM = 84
	trustCounts draw.MM = 15
	trustNumber draw.MM = 9 // room for the numbers of the upward axis
)

// Reliability draws predicted chances against how often they came true, each with the
// interval that holds 95 % and its standard deviation, beside the line on which both are
// equal, and below how many predictions each rests on. It returns ErrNoReliability where
// no bin has a count.
func Reliability(x Calibration, o Options) (*draw.Drawing, error) {
	c := &trust{o: o.themed(), x: x}
	for _, b := range x.Bins {
		if b.N > 0 && b.Observed.IsValid() && b.Predicted >= 0 && b.Predicted <= 1 {
			c.bins = append(c.bins, b)
		}
	}
	if len(c.bins) == 0 {
		return nil, ErrNoReliability
	}
	finding := x.Finding
	if finding == "" {
		finding = "Predicted chances are off by " + percentOf(x.ECE) + " on average"
	}
	parts := []part{headed("How often it came true, by the chance that was predicted"), c.body()}
	return leafOf(c.o, finding, c.desc(), plate.Sentences(x.Source, "upright lines hold 95"+nb+"% (binomial), their thick part one standard deviation"), parts), nil
}

// percentOf prints a mean difference of chances: exact by its definition, a sum over
// what was counted.
func percentOf(r quantity.Ratio) string {
	return plate.FigureOf(quantity.Exactly(r), plate.InShares).Text
}

func (c *trust) facts() []fact {
	luck := ""
	if c.x.ECEByLuck > 0 {
		luck = "by luck alone it would be " + percentOf(c.x.ECEByLuck)
	}
	within := 0
	for _, b := range c.bins {
		if b.Observed.Covers(b.Predicted) {
			within++
		}
	}
	return []fact{
		{"chances are off by, on average", percentOf(c.x.ECE), luck},
		{"predictions compared", plate.Count(c.x.N), c.x.Of},
		{"intervals that hold the predicted chance", fmt.Sprintf("%d of %d", within, len(c.bins)), "about 19 of 20 should"},
		{"mean squared difference (Brier)", plate.FigureOf(quantity.Exactly(c.x.Brier), plate.InRatio).Text, "0 is perfect; half and half every time gives 0.250"},
	}
}

func (c *trust) body() part {
	side := min(trustSide, c.o.inner()-trustNumber)
	high := side + trustCounts + axisHeight + 4
	if c.o.Layout == plate.Phone {
		numbers := factsIn(c.o, c.facts(), 2, c.o.inner())
		return part{height: high + numbers.height, draw: func(l *leaf, b draw.Box) {
			c.plot(l, draw.Box{X: b.X + trustNumber, Y: b.Y + 2, W: side, H: side})
			numbers.draw(l, draw.Box{X: b.X, Y: b.Y + high, W: b.W, H: numbers.height})
		}}
	}
	width := c.o.inner() - side - trustNumber - 6
	numbers := factsIn(c.o, c.facts(), 2, width)
	return part{height: max(high, numbers.height), draw: func(l *leaf, b draw.Box) {
		c.plot(l, draw.Box{X: b.X + trustNumber, Y: b.Y + 2, W: side, H: side})
		numbers.draw(l, draw.Box{X: b.Right() - width, Y: b.Y + 2, W: width, H: numbers.height})
	}}
}

// plot draws the square, the counts below it and the axes.
func (c *trust) plot(l *leaf, b draw.Box) {
	th, ty := l.Theme, l.Type
	x := func(p float64) draw.MM { return b.X + b.W*draw.MM(math.Max(0, math.Min(1, p))) }
	y := func(p float64) draw.MM { return b.Bottom() - b.H*draw.MM(math.Max(0, math.Min(1, p))) }
	counts := draw.Box{X: b.X, Y: b.Bottom() + 4, W: b.W, H: trustCounts}
	foot := counts.Bottom()
	for i := 0; i <= 4; i++ {
		v := float64(i) / 4
		pen := draw.Pen{Colour: th.Rule.Fade(0.45), Width: 0.18}
		l.Stroke(draw.Segment(draw.Pt{X: x(v), Y: b.Y}, draw.Pt{X: x(v), Y: b.Bottom()}), pen)
		l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y(v)}, draw.Pt{X: b.Right(), Y: y(v)}), pen)
		s := strconv.Itoa(25 * i)
		l.Text(draw.Text{At: draw.Pt{X: b.X - 1.4, Y: y(v) + ty.Fine*draw.CapShare/2}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
		l.Stroke(draw.Segment(draw.Pt{X: x(v), Y: foot}, draw.Pt{X: x(v), Y: foot + 1}), draw.Pen{Colour: th.Rule, Width: 0.25})
		l.Text(draw.Text{At: draw.Pt{X: x(v), Y: foot + 4}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle})
	}
	l.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: foot + 7.4}, S: "% predicted", Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
	taken := &words{room: b.Grow(1)}
	inside := func(s string, anchor draw.Anchor, at draw.Pt) {
		taken.put(l, draw.Text{S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: anchor, Halo: th.Ground, HaloWidth: 0.6}, at)
	}
	inside("% came true", draw.Start, draw.Pt{X: b.X + 1.2, Y: b.Y + 1.2 + ty.Fine*draw.CapShare})
	inside("came true more often than predicted", draw.Start, draw.Pt{X: b.X + 1.2, Y: y(0.86)})
	inside("less often", draw.End, draw.Pt{X: b.Right() - 1.2, Y: y(0.12)})
	// Where both are equal.
	l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: b.Bottom()}, draw.Pt{X: b.Right(), Y: b.Y}), draw.Pen{Colour: th.Quiet, Width: 0.4, Dash: []draw.MM{1.6, 1}})
	most := 1
	for _, k := range c.bins {
		most = max(most, k.N)
	}
	var path []draw.Pt
	for _, k := range c.bins {
		path = append(path, draw.Pt{X: x(float64(k.Predicted)), Y: y(float64(k.Observed.Mean))})
	}
	l.Stroke(draw.Polyline(path...), draw.Pen{Colour: th.Ink.Fade(0.35), Width: 0.3})
	last := b.X - 10
	for _, k := range c.bins {
		px := x(float64(k.Predicted))
		q := k.Observed
		line := func(lo, hi float64, width draw.MM) {
			l.Stroke(draw.Segment(draw.Pt{X: px, Y: y(lo)}, draw.Pt{X: px, Y: y(hi)}), draw.Pen{Colour: th.Ink, Width: width})
		}
		line(float64(q.Lo), float64(q.Hi), 0.3)
		line(float64(q.Mean-q.SD), float64(q.Mean+q.SD), 0.9)
		r := 0.8 + 0.9*draw.MM(math.Sqrt(float64(k.N)/float64(most)))
		at := draw.Pt{X: px, Y: y(float64(q.Mean))}
		l.Fill(draw.Circle(at, r+0.4), th.Ground)
		l.Fill(draw.Circle(at, r), th.Ink)
		// How many it rests on.
		h := (trustCounts - 4) * draw.MM(float64(k.N)/float64(most))
		l.Fill(draw.Box{X: px - 1.6, Y: foot - h, W: 3.2, H: h}.Path(), th.Rule)
		t := draw.Text{At: draw.Pt{X: px, Y: foot - h - 0.9}, S: plate.Count(k.N), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle}
		if box := t.Box(); box.X > last+0.8 && box.Right() <= b.Right()+5 {
			l.Text(t)
			last = box.Right()
		}
	}
	l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: foot}, draw.Pt{X: b.Right(), Y: foot}), draw.Pen{Colour: th.Rule, Width: 0.25})
	l.Stroke(b.Path(), draw.Pen{Colour: th.Rule, Width: 0.25})
}

func (c *trust) desc() string {
	s := "Predicted chance against how often it came true"
	if c.x.Of != "" {
		s += ", of " + c.x.Of
	}
	for i, b := range c.bins {
		sep := "; "
		if i == 0 {
			sep = ": "
		}
		s += sep + plate.Chance(b.Predicted) + " predicted, " + plate.Percent(b.Observed) + " came true, " + plate.Count(b.N) + " times"
	}
	return s + "."
}
