package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// Sizes of the habit picture, in millimetres.
const (
	habitPanel  draw.MM = 17  // from 0 to 100 % of one kind
	habitWords  draw.MM = 6.2 // above a panel
	habitMarks  draw.MM = 3   // below it: what was chosen
	habitNumber draw.MM = 8   // room for the numbers of the upward axis
	habitAxis   draw.MM = 8   // the numbers of the touches, and what they are
)

// changeSaid is how likely a change must be to be the title: three of four, as a race
// names its winner (our choice).
const changeSaid quantity.Chance = 0.75

// habitKinds is how many kinds of choice are drawn.
const habitKinds = 4

// habitChart is a picture of one fencer's habit in the making.
type habitChart struct {
	tacticsChart
	h *study.Habit
	s mark.Side
	// stands are those that are drawn, line those of them before the touch asked about,
	// kinds how many panels.
	stands []study.HabitStand
	line   []study.HabitStand
	kinds  int
}

// Habit draws how likely one fencer was to make each of the main kinds of choice as the
// bout went on: a panel each, the line the share after each touch, the bands 95 % and a
// standard deviation. Below a panel stands a shape where that kind was chosen. A hatch
// lies where too little had been seen to say anything, an upright with its interval where
// the habit is likely to have changed. What came at the touch
// asked about, where it was fenced, stands after the end of the line. It returns ErrNoHabit where no choice of the side
// is known and panics without tactics.
func Habit(x *study.Tactics, s mark.Side, o Options) (*draw.Drawing, error) {
	c := &habitChart{tacticsChart: tacticsOf(x, o), s: s, h: x.Habits[s]}
	if c.h == nil || len(c.h.Choices) == 0 {
		return nil, ErrNoHabit
	}
	c.kinds = min(habitKinds, len(c.h.Choices))
	for _, stand := range c.h.Course {
		if len(stand.Shares) < c.kinds || stand.Number > x.At {
			continue
		}
		c.stands = append(c.stands, stand)
		if stand.Number < x.At {
			c.line = c.stands
		}
	}
	var parts []part
	for k := range c.kinds {
		parts = append(parts, c.panel(k))
	}
	parts = append(parts, c.axis(), keysPart(c.o, c.keys()))
	if !c.o.Bare {
		parts = append(parts, said(c.o, c.words()))
	}
	return leafOf(c.o, c.finding(), c.desc(), c.source(c.sources()...), parts), nil
}

// finding says no more than the intervals allow.
func (c *habitChart) finding() string {
	name, top := c.name(c.s), c.h.Choices[0]
	if c.h.TooLittle {
		return fmt.Sprintf("Too little is seen of %s to speak of a habit", name)
	}
	if g := c.h.Change; g != nil && g.Sure.Mean >= changeSaid {
		return fmt.Sprintf("%s, the %s: %s before touch %d, %s since", name, choiceWords(g.Kind), plate.Percent(g.Before), g.Since, plate.Percent(g.After))
	}
	word := plate.Typeset(top.Word)
	if len(c.h.Choices) > 1 {
		if second := c.h.Choices[1]; top.Share.Lo <= second.Share.Hi {
			return fmt.Sprintf("%s: the %s comes first at %s, but the %s may be as likely", name, word, plate.Percent(top.Share), plate.Typeset(second.Word))
		}
	}
	return fmt.Sprintf("%s’s likeliest choice is the %s: %s", name, word, plate.Percent(top.Share))
}

// words say the change, the order and what is left out.
func (c *habitChart) words() string {
	var all []string
	if g := c.h.Change; g != nil {
		all = append(all, fmt.Sprintf("That the habit changed has a chance of %s; if it did, between touch %d and touch %d, most likely at %d.", plate.Percent(g.Sure), g.From, g.To, g.Since))
	}
	switch o := c.h.Order; o.Says {
	case "repeats":
		all = append(all, fmt.Sprintf("The same choice came twice running %d times, more often than chance has it (about %.1f).", o.Repeats, float64(o.Expected)))
	case "alternates":
		all = append(all, fmt.Sprintf("The same choice came twice running %d times, more seldom than chance has it (about %.1f).", o.Repeats, float64(o.Expected)))
	}
	if c.h.TooLittle {
		all = append(all, fmt.Sprintf("What was seen weighs %.1f choices; nothing is said below six.", c.h.Weight))
	}
	return strings.Join(all, " ")
}

func (c *habitChart) sources() []string {
	out := []string{c.countWords()}
	if n := len(c.h.Choices) - c.kinds; n > 0 {
		var rest []string
		for _, x := range c.h.Choices[c.kinds:] {
			rest = append(rest, plate.Typeset(x.Word)+" "+plate.Percent(x.Share))
		}
		out = append(out, "not drawn: "+strings.Join(rest, ", "))
	}
	return append(out, "older choices weigh less; bands hold 95"+nb+"% and one standard deviation", plate.DoubtNote)
}

// countWords says what was seen.
func (c *habitChart) countWords() string {
	bout, with, others := 0, 0, 0
	for _, x := range c.h.Choices {
		bout, with, others = bout+x.Bout, with+x.Opponent, others+x.Others
	}
	parts := []string{plural(bout, "choice", "choices") + " in this bout"}
	if with > 0 {
		parts = append(parts, fmt.Sprintf("%d earlier against this opponent", with))
	}
	if others > 0 {
		parts = append(parts, fmt.Sprintf("%d against others", others))
	}
	return strings.Join(parts, ", ")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func (c *habitChart) desc() string {
	var b strings.Builder
	fmt.Fprintf(&b, "How likely %s makes each choice before touch %d: ", c.name(c.s), c.x.At)
	for i, x := range c.h.Choices {
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%s %s", plate.Typeset(x.Word), between(x.Share))
	}
	b.WriteString(". ")
	for _, s := range c.stands {
		if s.Chose < 0 || s.Chose >= len(c.h.Choices) {
			continue
		}
		fmt.Fprintf(&b, "At touch %d %s came", s.Number, plate.Typeset(c.h.Choices[s.Chose].Word))
		if s.Number < c.x.At {
			fmt.Fprintf(&b, "; after it %s stood at %s", plate.Typeset(c.h.Choices[0].Word), between(s.Shares[0]))
		}
		b.WriteString(". ")
	}
	return strings.TrimSpace(b.String())
}

// frame is the room of a panel's plot.
func (c *habitChart) frame(b draw.Box) draw.Box {
	return draw.Box{X: b.X + habitNumber, Y: b.Y + habitWords, W: b.W - habitNumber - 2, H: habitPanel}
}

// place is where stand i lies along the axis.
func (c *habitChart) place(b draw.Box, i int) draw.MM {
	if len(c.stands) < 2 {
		return b.X + b.W/2
	}
	return b.X + b.W*draw.MM(i)/draw.MM(len(c.stands)-1)
}

// placeOf is where a touch of this number lies, also between stands.
func (c *habitChart) placeOf(b draw.Box, number int) draw.MM {
	for i, s := range c.stands {
		if s.Number >= number {
			return c.place(b, i)
		}
	}
	return c.place(b, len(c.stands)-1)
}

func habitY(b draw.Box, v quantity.Chance) draw.MM {
	return b.Bottom() - b.H*draw.MM(math.Max(0, math.Min(1, float64(v))))
}

// little is how many stands from the start too little had been seen.
func (c *habitChart) little() int {
	n := 0
	for n < len(c.line) && c.line[n].TooLittle {
		n++
	}
	return n
}

// panel draws one kind of choice.
func (c *habitChart) panel(k int) part {
	return part{height: habitWords + habitPanel + habitMarks + 1.6, draw: func(l *leaf, all draw.Box) {
		b, th, ty := c.frame(all), l.Theme, l.Type
		hue := plate.Hue(th, c.s)
		c.heads(l, all, b, k)
		for _, v := range [3]quantity.Chance{0, 0.5, 1} {
			y := habitY(b, v)
			l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), draw.Pen{Colour: th.Rule.Fade(0.6), Width: 0.16})
			s := strconv.Itoa(int(math.Round(100 * float64(v))))
			if v == 1 {
				s += nb + "%"
			}
			l.Text(draw.Text{At: draw.Pt{X: b.X - 1.2, Y: y + ty.Fine*draw.CapShare/2}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
		}
		if n := c.little(); n > 0 {
			right := c.place(b, min(n, len(c.line)-1))
			l.Hatch(draw.Box{X: b.X, Y: b.Y, W: max(right-b.X, 1.2), H: b.H}.Path(), draw.Hatch{Colour: th.Rule.Fade(0.55), Width: 0.18, Gap: 1.3, Rising: true})
		}
		c.change(l, b, k)
		bandOf := func(ends func(q quantity.Of[quantity.Chance]) (lo, hi quantity.Chance)) {
			var up, down []draw.Pt
			for i, s := range c.line {
				lo, hi := ends(s.Shares[k])
				up = append(up, draw.Pt{X: c.place(b, i), Y: habitY(b, hi)})
				down = append([]draw.Pt{{X: c.place(b, i), Y: habitY(b, lo)}}, down...)
			}
			l.Fill(draw.Polygon(append(up, down...)...), hue.Fade(0.2))
		}
		if len(c.line) > 1 {
			bandOf(func(q quantity.Of[quantity.Chance]) (lo, hi quantity.Chance) { return q.Lo, q.Hi })
			bandOf(func(q quantity.Of[quantity.Chance]) (lo, hi quantity.Chance) {
				return max(q.Lo, q.Mean-q.SD), min(q.Hi, q.Mean+q.SD)
			})
		}
		var line []draw.Pt
		for i, s := range c.line {
			line = append(line, draw.Pt{X: c.place(b, i), Y: habitY(b, s.Shares[k].Mean)})
		}
		if len(line) > 1 {
			l.Stroke(draw.Polyline(line...), draw.Pen{Colour: hue, Width: 0.5})
		}
		if n := len(c.line); n > 0 && n < len(c.stands) {
			x := (c.place(b, n-1) + c.place(b, n)) / 2
			l.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y}, draw.Pt{X: x, Y: b.Bottom() + habitMarks}), draw.Pen{Colour: th.Brass, Width: 0.3})
		}
		for i, s := range c.stands {
			at := draw.Pt{X: c.place(b, i), Y: b.Bottom() + habitMarks/2 + 0.4}
			switch {
			case s.Chose == k:
				l.Fill(plate.Shape(c.s, at, 2), hue)
			case s.Chose >= 0:
				l.Stroke(draw.Segment(draw.Pt{X: at.X, Y: at.Y - 0.5}, draw.Pt{X: at.X, Y: at.Y + 0.5}), draw.Pen{Colour: th.Rule, Width: 0.25})
			}
		}
	}}
}

// heads are the word of the kind and its share now.
func (c *habitChart) heads(l *leaf, all, b draw.Box, k int) {
	x, ty := c.h.Choices[k], l.Type
	y := b.Y - 2.4
	number := draw.Text{At: draw.Pt{X: b.Right() + 1.5, Y: y}, S: between(x.Share), Font: draw.SansBold, Size: ty.Label, Colour: plate.Hue(l.Theme, c.s), Anchor: draw.End}
	word := draw.Text{At: draw.Pt{X: all.X, Y: y}, S: plate.Typeset(x.Word), Font: draw.SansBold, Size: ty.Label, Colour: l.Theme.Ink}
	word.S = trimmed(word.S, word, number.Box().X-all.X-2)
	l.Text(word)
	l.Text(number)
	seen := draw.Text{At: draw.Pt{X: word.Box().Right() + 2.4, Y: y}, S: c.seenWords(x), Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet}
	if seen.Box().Right()+2 < number.Box().X {
		l.Text(seen)
	}
}

// seenWords say what was seen of one kind.
func (c *habitChart) seenWords(x study.HabitChoice) string {
	s := fmt.Sprintf("%d here", x.Bout)
	if n := x.Opponent + x.Others; n > 0 {
		s += fmt.Sprintf(", %d in other bouts", n)
	}
	return s
}

// change is the upright where the habit changed, with its interval.
func (c *habitChart) change(l *leaf, b draw.Box, k int) {
	g := c.h.Change
	if g == nil || len(c.stands) < 2 {
		return
	}
	from, to := c.placeOf(b, g.From), c.placeOf(b, g.To)
	l.Fill(draw.Box{X: from, Y: b.Y, W: max(to-from, 0.6), H: b.H}.Path(), l.Theme.Rule.Fade(0.22))
	x := c.placeOf(b, g.Since)
	l.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y - 0.4}, draw.Pt{X: x, Y: b.Bottom()}), draw.Pen{Colour: l.Theme.Ink, Width: 0.3, Dash: []draw.MM{1.2, 0.9}})
}

// axis has the numbers of the touches.
func (c *habitChart) axis() part {
	return part{kind: draw.KeyStretch, height: habitAxis, draw: func(l *leaf, all draw.Box) {
		b, ty := c.frame(all), l.Type
		b.Y = all.Y
		step, last := 1, len(c.stands)-1
		for wide := (draw.Text{S: "888", Font: draw.Sans, Size: ty.Fine}).Width(); last > 0 && float64(b.W)/float64(last)*float64(step) < float64(wide); {
			step++
		}
		start := draw.Text{}
		for i, s := range c.stands {
			t := draw.Text{At: draw.Pt{X: c.place(b, i), Y: b.Y + ty.Fine*draw.CapShare + 0.4}, S: strconv.Itoa(s.Number), Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet, Anchor: draw.Middle}
			switch {
			case i == 0 && s.Chose < 0 && s.Number < 1:
				t.S, t.Anchor, t.At.X = "before", draw.Start, b.X-habitNumber+0.5
				start = t
			case s.Number == c.x.At:
				t.Font, t.Colour = draw.SansBold, l.Theme.Brass
			case (last-i)%step != 0, start.S != "" && t.Box().X < start.Box().Right()+1:
				continue
			}
			l.Text(t)
		}
		l.Text(draw.Text{At: draw.Pt{X: b.Right() + 1.5, Y: b.Y + ty.Fine*(draw.CapShare+lineShare) + 0.6}, S: "after touch", Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet, Anchor: draw.End})
		l.Text(draw.Text{At: draw.Pt{X: all.X, Y: b.Y + ty.Fine*(draw.CapShare+lineShare) + 0.6}, S: "upward: how likely it comes next", Font: draw.Sans, Size: ty.Fine, Colour: l.Theme.Quiet})
	}}
}

func (c *habitChart) keys() []key {
	all := []key{{"chosen at this touch", 2.6, func(sh *plate.Sheet, b draw.Box) {
		sh.Fill(plate.Shape(c.s, draw.Pt{X: b.X + b.W/2, Y: b.Y + b.H/2}, 2), plate.Hue(sh.Theme, c.s))
	}}}
	if c.little() > 0 {
		all = append(all, key{"too little seen to say", 7, func(sh *plate.Sheet, b draw.Box) {
			sh.Hatch(b.Path(), draw.Hatch{Colour: sh.Theme.Rule.Fade(0.8), Width: 0.18, Gap: 1.3, Rising: true})
		}})
	}
	if c.h.Change != nil {
		all = append(all, key{"another habit from here on, and where that may lie", 7, func(sh *plate.Sheet, b draw.Box) {
			sh.Fill(b.Path(), sh.Theme.Rule.Fade(0.22))
			x := b.X + b.W*0.4
			sh.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y}, draw.Pt{X: x, Y: b.Bottom()}), draw.Pen{Colour: sh.Theme.Ink, Width: 0.3, Dash: []draw.MM{1.2, 0.9}})
		}})
	}
	return all
}
