package chart

import (
	"math"
	"strconv"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// tickEvery is how much time lies between two ticks of a lane.
const tickEvery = quantity.Seconds(0.050)

// lanes draws the way of each point to its target, both to one scale.
func (c *race) lanes() {
	c.head("The way to the target, in true length; a tick every 50" + nb + "ms")
	longest := quantity.Metres(0.1)
	for _, s := range mark.Sides {
		if run := c.race.Runs[s]; run.Gap.IsValid() {
			longest = max(longest, run.Gap.Hi, run.Gap.Mean-closed(run))
		}
	}
	const start = 2.2 // room for the mark of the fencer
	scale := (c.in.W - start - 1.5) / draw.MM(longest)
	for i, s := range mark.Sides {
		if i > 0 {
			c.take(laneGap)
		}
		words := c.take(wordsHeight)
		lane := c.take(laneHeight)
		c.laneWords(s, words)
		if c.race.Runs[s].Gap.IsValid() {
			c.lane(s, draw.Box{X: lane.X + start, Y: lane.Y, W: scale * draw.MM(c.race.Runs[s].Gap.Mean), H: lane.H}, scale)
		}
		c.take(tickHeight)
	}
	axis := c.take(axisHeight)
	c.axis(axis, axis.X+start, float64(longest), float64(scale), metreStep(float64(longest)), 1, "metres from the point to the target, as marked")
}

const nb = "\u00a0"

func (c *race) laneWords(s mark.Side, b draw.Box) {
	run := c.race.Runs[s]
	y := b.Bottom() - 2.5
	const size = 2.6
	c.Fill(plate.Shape(s, draw.Pt{X: b.X + size/2, Y: y - c.Type.Text*draw.CapShare/2}, size), plate.Hue(c.Theme, s))
	gap := draw.Text{At: draw.Pt{X: b.Right(), Y: y}, S: plate.Metres(run.Gap), Font: draw.SansBold, Size: c.Type.Key, Colour: plate.Hue(c.Theme, s), Anchor: draw.End}
	c.Text(gap)
	who, action, target := plate.Name(s), plate.ActionWords(run.Action), plate.TargetWords(run.Target)
	// The longest words that leave the number room.
	for _, words := range [...]string{who + ": " + action + " to the " + target, who + ": " + action + ", " + target, who + ", " + target, who} {
		t := draw.Text{At: draw.Pt{X: b.X + size + 1.8, Y: y}, S: words, Font: draw.Serif, Size: c.Type.Text, Colour: c.Theme.Ink}
		if t.Box().Right()+2 <= gap.Box().X || words == who {
			c.Text(t)
			break
		}
	}
}

// after returns what a series of the run is worth at a time, between its steps
// on a straight line and beyond its end at rest.
func after(series []quantity.Metres, at quantity.Seconds) quantity.Metres {
	if len(series) == 0 || !(at > 0) {
		return 0
	}
	x := float64(at / study.TravelStep)
	i := int(x)
	if i >= len(series)-1 {
		return series[len(series)-1]
	}
	return series[i] + (series[i+1]-series[i])*quantity.Metres(x-float64(i))
}

// Rarely is the chance below which an arrival is not drawn but said: a band over
// the few draws that arrive would look like an answer.
const Rarely = quantity.Chance(0.05)

// arrives reports whether there is an arrival to be drawn.
func arrives(run study.Run) bool {
	return run.Arrival.IsValid() && run.Arrival.Mean > 0 && run.Arrives >= Rarely
}

// closed is what the opponent's movement has taken off the gap at the arrival,
// negative where he draws back.
func closed(run study.Run) quantity.Metres {
	if !arrives(run) {
		return 0
	}
	return after(run.Closing, run.Arrival.Mean)
}

// lane draws one lane; its box begins at the point and ends at the target.
func (c *race) lane(s mark.Side, b draw.Box, scale draw.MM) {
	run, hue, th := c.race.Runs[s], plate.Hue(c.Theme, s), c.Theme
	mid := b.Y + b.H/2
	x := func(m quantity.Metres) draw.MM { return b.X + scale*draw.MM(m) }

	c.Fill(draw.Box{X: b.X, Y: b.Y, W: max(b.W, 0), H: b.H}.Path(), th.Faint)
	end := tickEnd(run)
	gone := min(after(run.Travel, end), run.Gap.Mean)
	c.Fill(draw.Box{X: b.X, Y: b.Y, W: x(gone) - b.X, H: b.H}.Path(), hue.Fade(0.22))

	// The end of the lane is as soft as the gap is uncertain.
	for _, e := range [2][2]quantity.Metres{{run.Gap.Lo, run.Gap.Hi}, {run.Gap.Mean - run.Gap.SD, run.Gap.Mean + run.Gap.SD}} {
		c.Fill(draw.Box{X: x(e[0]), Y: b.Y - 0.9, W: x(e[1]) - x(e[0]), H: b.H + 1.8}.Path(), hue.Fade(0.3))
	}
	c.Stroke(draw.Segment(draw.Pt{X: b.Right(), Y: b.Y - 1.3}, draw.Pt{X: b.Right(), Y: b.Bottom() + 1.3}), draw.Pen{Colour: hue, Width: 0.7})

	last := c.ticks(run, b, x, hue, end)
	// What the opponent's own movement takes off or adds, in the lower half.
	if k := closed(run); math.Abs(float64(k)) > 0.005 {
		words := plate.Name(s.Other()) + " comes closer"
		if k < 0 {
			words = plate.Name(s.Other()) + " draws back"
		}
		from, to := max(b.X, min(x(run.Gap.Mean-k), x(run.Gap.Mean))), max(x(run.Gap.Mean-k), x(run.Gap.Mean))
		c.Hatch(draw.Box{X: from, Y: mid, W: to - from, H: b.H / 2}.Path(), draw.Hatch{Colour: plate.Hue(th, s.Other()).Fade(0.85), Width: 0.22, Gap: 1, Rising: s == mark.Left})
		t := draw.Text{S: words, Font: draw.Sans, Size: c.Type.Fine, Colour: th.Quiet, Anchor: draw.End, At: draw.Pt{X: to, Y: b.Bottom() + 3.2}}
		if t.Box().X > last+1.5 {
			c.Text(t)
		}
	}
	c.Fill(plate.Shape(s, draw.Pt{X: b.X, Y: mid}, 3.6), th.Ground)
	c.Fill(plate.Shape(s, draw.Pt{X: b.X, Y: mid}, 2.8), hue)
}

// tickEnd is until when ticks are drawn: the arrival, or all that was predicted
// where the point does not arrive.
func tickEnd(run study.Run) quantity.Seconds {
	last := study.TravelStep * quantity.Seconds(max(0, len(run.Travel)-1))
	if arrives(run) {
		return min(last, run.Arrival.Mean)
	}
	return last
}

// ticks marks where the point is every 50 ms; every second tick has its number
// where there is room. It returns how far right the numbers reach.
func (c *race) ticks(run study.Run, b draw.Box, x func(quantity.Metres) draw.MM, hue draw.Colour, end quantity.Seconds) (last draw.MM) {
	last = b.X
	for i := 1; quantity.Seconds(i)*tickEvery <= end+1e-9; i++ {
		at := quantity.Seconds(i) * tickEvery
		px := x(after(run.Travel, at))
		if px < b.X+2.2 {
			continue // still at the start
		}
		if px > x(run.Gap.Hi) {
			break
		}
		whole := i%2 == 0
		top, width := b.Y+b.H*0.45, draw.MM(0.3)
		if whole {
			top, width = b.Y, 0.4
		}
		c.Stroke(draw.Segment(draw.Pt{X: px, Y: top}, draw.Pt{X: px, Y: b.Bottom()}), draw.Pen{Colour: hue, Width: width})
		if !whole {
			continue
		}
		t := draw.Text{At: draw.Pt{X: px, Y: b.Bottom() + 3.2}, S: strconv.Itoa(int(math.Round(at.Milliseconds()))), Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.Middle}
		if box := t.Box(); box.X > last+1 {
			c.Text(t)
			last = box.Right()
		}
	}
	return last
}

// metreStep is the distance of the numbers on an axis of metres.
func metreStep(longest float64) float64 {
	for _, s := range [...]float64{0.1, 0.2, 0.25, 0.5, 1} {
		if longest/s <= 6 {
			return s
		}
	}
	return math.Ceil(longest / 6)
}

// axis draws a scale from 0 with numbers every step; the numbers are the
// distance times per.
func (c *race) axis(b draw.Box, x0 draw.MM, longest, scale, step, per float64, words string) {
	y := b.Y + 0.6
	pen := draw.Pen{Colour: c.Theme.Rule, Width: 0.25}
	c.Stroke(draw.Segment(draw.Pt{X: x0, Y: y}, draw.Pt{X: x0 + draw.MM(longest*scale), Y: y}), pen)
	decimals := 0
	for d := step * per; decimals < 2 && math.Abs(d-math.Round(d)) > 1e-9; d *= 10 {
		decimals++
	}
	for i := 0; float64(i)*step <= longest*1.0001; i++ {
		v := float64(i) * step
		px := x0 + draw.MM(v*scale)
		c.Stroke(draw.Segment(draw.Pt{X: px, Y: y}, draw.Pt{X: px, Y: y + 1}), pen)
		c.Text(draw.Text{At: draw.Pt{X: px, Y: y + 4}, S: strconv.FormatFloat(v*per, 'f', decimals, 64), Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.Middle})
	}
	c.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: y + 7.4}, S: words, Font: draw.Sans, Size: c.Type.Fine, Colour: c.Theme.Quiet, Anchor: draw.End})
}
