package chart

import (
	"math"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
)

// standRow is the height of one lane.
const standRow draw.MM = 5.6

// lanes are what a fencer may do, each from now on: hatched until it can start at the
// earliest, full from then on.
func (c *stood) lanes(s mark.Side, width draw.MM) part {
	k, ty := c.c[s], c.o.Layout.Type()
	left, right := draw.MM(0), draw.MM(0)
	for _, can := range k.Can {
		left = max(left, draw.Text{S: plate.DoesWords(can.Do), Font: draw.Serif, Size: ty.Text}.Width())
		right = max(right, draw.Text{S: canWords(can), Font: draw.SansBold, Size: ty.Fine}.Width())
	}
	left, right = left+2.5, right+2
	standRow := standRow
	if c.o.Low > 0 {
		standRow = 4.7
	}
	return part{height: standRow*draw.MM(len(k.Can)) + axisHeight + 1, draw: func(l *leaf, b draw.Box) {
		th, hue := l.Theme, plate.Hue(l.Theme, s)
		x0, x1 := b.X+left, b.Right()-right
		per := (x1 - x0) / draw.MM(c.until)
		x := func(t quantity.Seconds) draw.MM {
			return x0 + per*draw.MM(math.Max(0, math.Min(c.until, float64(t))))
		}
		for i, can := range k.Can {
			mid := b.Y + standRow*draw.MM(i) + standRow/2
			l.Text(draw.Text{At: draw.Pt{X: b.X, Y: mid + ty.Text*draw.XShare/2}, S: plate.DoesWords(can.Do), Font: draw.Serif, Size: ty.Text, Colour: th.Ink})
			lane := func(from, to draw.MM) *draw.Path {
				return draw.Box{X: from, Y: mid - 1.6, W: max(to-from, 0), H: 3.2}.Path()
			}
			l.Fill(lane(x0, x1), th.Faint.Fade(0.6))
			status := draw.Text{At: draw.Pt{X: x1 + 2, Y: mid + ty.Fine*draw.XShare/2}, S: canWords(can), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}
			hatch := draw.Hatch{Colour: hue, Width: 0.22, Gap: 0.95, Rising: true}
			switch {
			case can.Now >= 0.5:
				// As strong as it is likely.
				l.Fill(lane(x0, x1), hue.Fade(0.25+0.6*float64(can.Now)*float64(can.Now)))
				status.Font, status.Colour = draw.SansBold, th.Ink
			case !can.Known || !can.Next.IsValid():
				l.Hatch(lane(x0, x1), hatch)
			default:
				l.Hatch(lane(x0, x(can.Next.Mean)), hatch)
				if can.Next.Mean < quantity.Seconds(c.until) {
					l.Fill(lane(x(can.Next.Hi), x1), hue.Fade(0.6))
					// Full only by degrees where the start is uncertain.
					for j := range 6 {
						k := quantity.Seconds(float64(j) / 6)
						from := can.Next.Lo + (can.Next.Hi-can.Next.Lo)*k
						l.Fill(lane(x(from), x(can.Next.Hi)), hue.Fade(0.14))
					}
					l.Stroke(draw.Segment(draw.Pt{X: x(can.Next.Mean), Y: mid - 2.1}, draw.Pt{X: x(can.Next.Mean), Y: mid + 2.1}), draw.Pen{Colour: hue, Width: 0.7})
				}
			}
			l.Text(status)
		}
		y := b.Y + standRow*draw.MM(len(k.Can))
		l.Stroke(draw.Segment(draw.Pt{X: x0, Y: b.Y}, draw.Pt{X: x0, Y: y + 0.6}), draw.Pen{Colour: th.Ink, Width: 0.5})
		axisOf(l, draw.Box{X: b.X, Y: y, W: x1 - b.X, H: axisHeight}, x0, c.until, float64(per), laneStep(c.until, x1-x0), 1000, "milliseconds from now")
	}}
}

// laneStep is the distance of the numbers, so that they do not touch.
func laneStep(until float64, room draw.MM) float64 {
	for _, s := range [...]float64{0.05, 0.1, 0.2, 0.5} {
		if float64(room)*s/until >= 8 {
			return s
		}
	}
	return 1
}

// axisOf draws the scale of the race on any leaf.
func axisOf(l *leaf, b draw.Box, x0 draw.MM, longest, scale, step, per float64, words string) {
	(&race{Sheet: l.Sheet}).axis(b, x0, longest, scale, step, per, words)
}
