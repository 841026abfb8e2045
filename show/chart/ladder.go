package chart

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
	"mesure/study"
)

// ErrNoLadder says that a touch has no place in a bout.
var ErrNoLadder = errors.New("the touch has no place in a bout: write its number and the score before it on the sheet")

// rung is one touch of the ladder.
type rung struct {
	number        int
	before, after bout.Score
	outcome       string // as study.BoutTouch has it; empty where it is not known
	gap           bool   // what lies between the touch before and this one is not written
}

// ladder is the score of a bout up to one touch in the making.
type ladder struct {
	o     Options
	r     *study.Reading
	rungs []rung // the last is the touch itself
	// worth are the chances of the left fencer to win before and after it; nil where they
	// are not known.
	worth *study.BoutTouch
	whole *study.BoutReading
}

// Ladder draws the touch within its bout: up the sheet the score, along it the touches up
// to this one; each fencer climbs a rung for a hit, with the square or the disc on it, both
// for a double, and a ring stands where nobody hit. The touch itself stands on brass. Below
// stand the chances to win before and after it, with their intervals, where the reading's
// tactics know them. It returns ErrNoLadder where neither the sheet nor the touch says a
// score, and panics without a reading of a touch.
func Ladder(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a ladder needs a reading of a touch")
	}
	c := &ladder{o: o.themed(), r: r}
	if !c.climb() {
		return nil, ErrNoLadder
	}
	parts := []part{c.steps(), c.key()}
	if c.worth != nil {
		parts = append(parts, headed("Chance of "+c.name(mark.Left)+" to win the bout"), c.chances())
	}
	return leafOf(c.o, c.finding(), c.desc(), c.source(), parts), nil
}

// climb finds the touches up to the one at hand.
func (c *ladder) climb() bool {
	t := c.r.Touch
	if x := c.r.Tactics; x != nil && x.Bout != nil {
		c.whole = x.Bout
		for _, b := range x.Bout.Touches {
			if b.Number > x.At || x.Fenced && b.Number == x.At && c.worth != nil {
				break
			}
			c.rungs = append(c.rungs, rung{b.Number, b.Before.Score, b.Score, b.Outcome, b.Gap})
			if x.Fenced && b.Number == x.At {
				c.worth = &b
			}
		}
		if c.worth != nil {
			return true
		}
		c.rungs = nil
	}
	lines, _ := study.SheetLines(t.Bout)
	for i, l := range lines {
		if t.Number > 0 && l.Number > t.Number {
			break
		}
		gap := i > 0 && lines[i-1].After != l.Before
		c.rungs = append(c.rungs, rung{l.Number, l.Before, l.After, outcomeOf(&l.Hit), gap})
	}
	if n := len(c.rungs); t.Number > 0 && n > 0 && c.rungs[n-1].number == t.Number {
		return true
	}
	if t.Number <= 0 {
		return false
	}
	// The sheet ends before this touch, or there is none: the touch knows its own score.
	own := rung{number: t.Number, before: t.Before, after: t.Before}
	if t.Lamps != nil && t.Bout.Weapon == bout.Epee {
		own.outcome = outcomeOf(t.Lamps)
		own.after = scoreAfter(t.Bout, t.Before, *t.Lamps)
	}
	if n := len(c.rungs); n > 0 {
		own.gap = c.rungs[n-1].after != own.before || c.rungs[n-1].number != own.number-1
	}
	c.rungs = append(c.rungs, own)
	return true
}

// scoreAfter is the score that lamps make of one, as the sheet of a bout counts it.
func scoreAfter(b bout.Bout, before bout.Score, l bout.Lamps) bout.Score {
	b.Start, b.First, b.Sheet = &before, 0, []bout.Phrase{{Lamps: l}}
	return b.Scored().Sheet[0].After
}

func outcomeOf(l *bout.Lamps) string {
	switch *l {
	case bout.Lamps{Left: true, Right: true}:
		return "double"
	case bout.Lamps{Left: true}:
		return "left"
	case bout.Lamps{Right: true}:
		return "right"
	}
	return "none"
}

// name is what a side is called.
func (c *ladder) name(s mark.Side) string {
	b := c.r.Touch.Bout
	return plate.Call(c.o.naming(), [2]string{b.Left.Name, b.Right.Name}).Say[s]
}

// this is the touch itself.
func (c *ladder) this() rung { return c.rungs[len(c.rungs)-1] }

func (c *ladder) finding() string {
	t := c.this()
	hit := c.hitWords(t)
	if c.worth != nil {
		b, a := c.worth.Before.Win, c.worth.After
		if t.outcome == "none" {
			return fmt.Sprintf("Nobody hit at %s: %s’s chance to win stays %s", scoreOf(t.before), c.name(mark.Left), plate.Percent(a))
		}
		return fmt.Sprintf("%s takes %s’s chance to win from %s to %s", hit, c.name(mark.Left), plate.Percent(b), plate.Percent(a))
	}
	switch {
	case t.outcome == "":
		return fmt.Sprintf("Touch %d was fenced at %s", t.number, scoreOf(t.before))
	case t.before == t.after:
		return fmt.Sprintf("%s leaves the score at %s", hit, scoreOf(t.after))
	}
	return fmt.Sprintf("%s makes it %s", hit, scoreOf(t.after))
}

// hitWords says the touch as the subject of a sentence.
func (c *ladder) hitWords(t rung) string {
	at := " at " + scoreOf(t.before)
	switch t.outcome {
	case "left":
		return "A hit of " + c.name(mark.Left) + at
	case "right":
		return "A hit of " + c.name(mark.Right) + at
	case "double":
		if t.before == t.after {
			return "A double that does not count" + at
		}
		return "A double" + at
	}
	return "A phrase without a hit" + at
}

func (c *ladder) source() string {
	from := "scores from the sheet of the bout"
	var odds string
	if c.whole != nil && c.worth != nil {
		odds = fmt.Sprintf("chances from the counts of the whole bout (%d and %d single hits, %s), phrases taken as independent, %s draws",
			c.whole.Rates.CountLeft, c.whole.Rates.CountRight, doublesWords(c.whole.Rates.CountDouble), plate.Count(c.whole.Draws))
		return plate.Sentences(plate.Origin(c.r.Touch, c.o.anonymous()), from, odds, plate.DoubtNote)
	}
	return plate.Sentences(plate.Origin(c.r.Touch, c.o.anonymous()), from, "scores are counted and have no doubt")
}

func doublesWords(n int) string {
	if n == 1 {
		return "1 double"
	}
	return strconv.Itoa(n) + " doubles"
}

func (c *ladder) desc() string {
	var b strings.Builder
	fmt.Fprintf(&b, "The score of the bout of %s against %s, touch by touch. ", c.name(mark.Left), c.name(mark.Right))
	for _, t := range c.rungs {
		if t.gap {
			b.WriteString("What came then is not written. ")
		}
		fmt.Fprintf(&b, "Touch %d at %s: %s. ", t.number, scoreOf(t.before), map[string]string{"left": "left hit", "right": "right hit", "double": "double", "none": "no hit", "": "not written"}[t.outcome])
	}
	if c.worth != nil {
		fmt.Fprintf(&b, "Chance of %s to win: %s before, %s after.", c.name(mark.Left), plate.Percent(c.worth.Before.Win), plate.Percent(c.worth.After))
	}
	return strings.TrimSpace(b.String())
}

// Sizes of the ladder, in millimetres.
const (
	rungMost  draw.MM = 7.5 // from rung to rung
	rungsHigh draw.MM = 62  // at most
	ladderIn  draw.MM = 8   // room for the numbers of the rungs
	ladderTop draw.MM = 5
	ladderLow draw.MM = 6.5 // the numbers of the touches
)

// steps is the ladder itself.
func (c *ladder) steps() part {
	lo, hi := c.span()
	step := min(rungMost, rungsHigh/draw.MM(max(1, hi-lo)))
	high := step * draw.MM(max(1, hi-lo))
	return part{height: ladderTop + high + ladderLow, draw: func(l *leaf, b draw.Box) {
		in := draw.Box{X: b.X + ladderIn, Y: b.Y + ladderTop, W: b.W - ladderIn - 3, H: high}
		y := func(score int) draw.MM { return in.Bottom() - step*draw.MM(score-lo) }
		c.ground(l, in, y, lo, hi, step)
		for _, s := range mark.Sides {
			c.staircase(l, in, y, s)
		}
		c.signs(l, in, y, min(2.6, step*0.62))
	}}
}

// span is the lowest and the highest rung.
func (c *ladder) span() (lo, hi int) {
	lo = min(c.rungs[0].before.Left, c.rungs[0].before.Right)
	for _, t := range c.rungs {
		hi = max(hi, t.after.Left, t.after.Right)
	}
	return lo, max(hi, lo+1)
}

// column is the middle of the column of a touch.
func (c *ladder) column(in draw.Box, i int) draw.MM {
	return in.X + c.wide(in)*(draw.MM(i)+0.5)
}

// wide is the width of a column: few touches do not spread over the whole sheet.
func (c *ladder) wide(in draw.Box) draw.MM { return min(12, in.W/draw.MM(len(c.rungs))) }

func (c *ladder) ground(l *leaf, in draw.Box, y func(int) draw.MM, lo, hi int, step draw.MM) {
	th, ty := l.Theme, l.Type
	last := len(c.rungs) - 1
	right := in.X + c.wide(in)*draw.MM(len(c.rungs))
	l.Fill(draw.Box{X: right - c.wide(in), Y: in.Y - 2.5, W: c.wide(in), H: in.H + 2.5 + ladderLow}.Round(0.8), th.Brass.Fade(0.2))
	every := 1
	if step < ty.Fine*1.25 {
		every = 5
	}
	for k := lo; k <= hi; k++ {
		l.Stroke(draw.Segment(draw.Pt{X: in.X, Y: y(k)}, draw.Pt{X: right, Y: y(k)}), draw.Pen{Colour: th.Rule.Fade(0.6), Width: 0.2})
		if (k-lo)%every == 0 || k == hi {
			l.Text(draw.Text{At: draw.Pt{X: in.X - 1.6, Y: y(k) + ty.Fine*draw.CapShare/2}, S: strconv.Itoa(k), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
		}
	}
	room := draw.Text{S: "88", Font: draw.Sans, Size: ty.Fine}.Width() + 1.2
	nth := max(1, int(float64(room/c.wide(in))+0.999))
	for i, t := range c.rungs {
		if (last-i)%nth != 0 {
			continue
		}
		font, colour := draw.Sans, th.Quiet
		if i == last {
			font, colour = draw.SansBold, th.Ink
		}
		l.Text(draw.Text{At: draw.Pt{X: c.column(in, i), Y: in.Bottom() + 4.6}, S: strconv.Itoa(t.number), Font: font, Size: ty.Fine, Colour: colour, Anchor: draw.Middle})
	}
	l.Text(draw.Text{At: draw.Pt{X: in.X - 1.6, Y: in.Bottom() + 4.6}, S: "touch", Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
}

func scoreAt(s bout.Score, of mark.Side) int {
	if of == mark.Left {
		return s.Left
	}
	return s.Right
}

// staircase is the score of one fencer; it breaks where touches are not written.
func (c *ladder) staircase(l *leaf, in draw.Box, y func(int) draw.MM, s mark.Side) {
	shift := draw.MM(0.35) // so that equal scores are both seen
	if s == mark.Left {
		shift = -shift
	}
	pen := draw.Pen{Colour: plate.Hue(l.Theme, s), Width: 0.55}
	if s == mark.Right {
		pen.Dash = []draw.MM{1.6, 0.8} // told apart without colour
	}
	path := new(draw.Path)
	half := c.wide(in) / 2
	for i, t := range c.rungs {
		x := c.column(in, i)
		from, to := y(scoreAt(t.before, s))+shift, y(scoreAt(t.after, s))+shift
		if i == 0 || t.gap {
			path.Move(x-half, from)
		} else {
			path.Line(x-half, from)
		}
		path.Line(x, from).Line(x, to).Line(x+half, to)
	}
	l.Stroke(path, pen)
}

// signs stand where a rung was climbed.
func (c *ladder) signs(l *leaf, in draw.Box, y func(int) draw.MM, size draw.MM) {
	th := l.Theme
	size = min(size, c.wide(in)*0.85)
	for i, t := range c.rungs {
		x := c.column(in, i)
		hit := [2]bool{t.outcome == "left" || t.outcome == "double", t.outcome == "right" || t.outcome == "double"}
		if t.outcome == "none" || t.outcome == "" {
			at := draw.Pt{X: x, Y: in.Bottom() + 1.2 - 2}
			at.Y = (y(t.before.Left) + y(t.before.Right)) / 2
			l.Fill(draw.Circle(at, size*0.36), th.Ground)
			l.Stroke(draw.Circle(at, size*0.36), draw.Pen{Colour: th.Quiet, Width: 0.3})
		}
		both := hit[0] && hit[1] && t.after.Left == t.after.Right
		for _, s := range mark.Sides {
			if !hit[s] {
				continue
			}
			at := draw.Pt{X: x, Y: y(scoreAt(t.after, s))}
			if both { // on one rung they stand side by side
				at.X += [2]draw.MM{-1, 1}[s] * size * 0.52
			}
			shape := plate.Shape(s, at, size)
			if t.before == t.after { // a double that does not count is open
				l.Fill(shape, th.Ground)
				l.Stroke(shape, draw.Pen{Colour: plate.Hue(th, s), Width: 0.4, Corner: draw.Sharp})
				continue
			}
			l.Fill(shape, plate.Hue(th, s))
		}
	}
}

// key says what the signs mean, and the score around the touch in figures.
func (c *ladder) key() part {
	const row draw.MM = 6
	return part{kind: draw.KeyStretch, height: row, draw: func(l *leaf, b draw.Box) {
		th, ty := l.Theme, l.Type
		x := b.X
		y := b.Y + 2.4
		seen := func(outcome string) bool {
			return slices.ContainsFunc(c.rungs, func(t rung) bool { return t.outcome == outcome })
		}
		put := func(words string, sign func(at draw.Pt) draw.MM) {
			w := sign(draw.Pt{X: x + 1.1, Y: y})
			t := draw.Text{At: draw.Pt{X: x + w + 2, Y: y + ty.Fine*draw.CapShare/2}, S: words, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}
			if t.Box().Right() > b.Right() {
				return
			}
			l.Text(t)
			x = t.Box().Right() + 4
		}
		for _, s := range mark.Sides {
			put(c.name(s), func(at draw.Pt) draw.MM {
				l.Fill(plate.Shape(s, at, 2.2), plate.Hue(th, s))
				return 1.2
			})
		}
		if seen("double") {
			put("double", func(at draw.Pt) draw.MM {
				l.Fill(plate.Shape(mark.Left, at, 2.2), plate.Hue(th, mark.Left))
				l.Fill(plate.Shape(mark.Right, draw.Pt{X: at.X + 2.3, Y: at.Y}, 2.2), plate.Hue(th, mark.Right))
				return 3.6
			})
		}
		if seen("none") {
			put("no hit", func(at draw.Pt) draw.MM {
				l.Stroke(draw.Circle(at, 0.9), draw.Pen{Colour: th.Quiet, Width: 0.3})
				return 1.2
			})
		}
		put("this touch", func(at draw.Pt) draw.MM {
			l.Fill(draw.Box{X: at.X - 1.1, Y: at.Y - 1.4, W: 2.2, H: 2.8}.Round(0.4), th.Brass.Fade(0.35))
			return 1.2
		})
	}}
}
