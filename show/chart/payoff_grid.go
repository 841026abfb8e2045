package chart

import (
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
)

// grid is the whole table of the wide sheet.
func (c *payoffChart) grid() part {
	head := c.headHeight()
	height := head + draw.MM(len(c.mine))*payoffRow + payoffFoot
	return part{height: height, draw: func(l *leaf, b draw.Box) {
		step := c.step(b.W)
		c.heads(l, b, head, step)
		for n, i := range c.mine {
			row := draw.Box{X: b.X, Y: b.Y + head + draw.MM(n)*payoffRow, W: b.W, H: payoffRow}
			c.row(l, row, i, step)
		}
		c.foot(l, draw.Box{X: b.X, Y: b.Bottom() - payoffFoot, W: b.W, H: payoffFoot}, step)
	}}
}

func (c *payoffChart) step(width draw.MM) draw.MM {
	return (width - payoffWord - payoffEdge) / draw.MM(max(len(c.theirs), 3))
}

// column is the box of column n in a row.
func (c *payoffChart) column(row draw.Box, n int, step draw.MM) draw.Box {
	return draw.Box{X: row.X + payoffWord + draw.MM(n)*step, Y: row.Y, W: step, H: row.H}
}

// edges are the middles of the two columns at the right: worth and mixes.
func (c *payoffChart) edges(b draw.Box) (worth, mix draw.MM) {
	x := b.Right() - payoffEdge
	return x + payoffEdge*0.3, x + payoffEdge*0.79
}

// headLines breaks the word above a column, also after a hyphen: "counter-attack" and
// "counter-time" must not both end as "counter…".
func headLines(ty plate.Type, s string, font draw.Font, width draw.MM) []string {
	var lines []string
	line := ""
	fits := func(s string) bool { return draw.Text{S: s, Font: font, Size: ty.Fine}.Width() <= width }
	for _, word := range strings.Fields(s) {
		for _, piece := range strings.SplitAfter(word, "-") {
			sep := " "
			if line == "" || strings.HasSuffix(line, "-") && piece != word {
				sep = ""
			}
			if line != "" && !fits(line+sep+piece) {
				lines, line, sep = append(lines, line), "", ""
			}
			line += sep + piece
		}
	}
	lines = append(lines, line)
	if len(lines) > 3 {
		lines = append(lines[:2:2], strings.Join(lines[2:], " "))
	}
	return lines
}

// headHeight is the room of the words above the columns.
func (c *payoffChart) headHeight() draw.MM {
	ty, n := c.o.Layout.Type(), 2 // those of the two columns at the right
	for _, j := range c.theirs {
		n = max(n, len(headLines(ty, c.their(j), draw.SansBold, c.step(c.o.inner())-payoffAside)))
	}
	return draw.MM(n)*ty.Fine*lineShare + 2.4
}

// heads are the words above the columns.
func (c *payoffChart) heads(l *leaf, b draw.Box, head, step draw.MM) {
	ty, th := l.Type, l.Theme
	write := func(x, width draw.MM, s string, font draw.Font, colour draw.Colour) {
		t := draw.Text{S: s, Font: font, Size: ty.Fine, Colour: colour, Anchor: draw.Middle}
		lines := headLines(ty, s, font, width)
		for i, line := range lines {
			t.At = draw.Pt{X: x, Y: b.Y + head - 2 - draw.MM(len(lines)-1-i)*ty.Fine*lineShare}
			t.S = trimmed(line, t, width)
			l.Text(t)
		}
	}
	hue := plate.Hue(th, c.them())
	for n, j := range c.theirs {
		box := c.column(b, n, step)
		write(box.X+box.W/2, step-payoffAside, c.their(j), draw.SansBold, hue)
	}
	worth, mix := c.edges(b)
	write(worth, payoffEdge*0.55, "against the habit", draw.Sans, th.Quiet)
	write(mix, payoffEdge*0.38, "to fence with", draw.Sans, th.Quiet)
	y := b.Y + head - 0.6
	l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), draw.Pen{Colour: th.Rule, Width: 0.2})
}

// row is one of my choices.
func (c *payoffChart) row(l *leaf, b draw.Box, i int, step draw.MM) {
	ty, th := l.Type, l.Theme
	reply := i == c.p.Reply.Choice
	if reply {
		l.Fill(draw.Box{X: b.X - 2, Y: b.Y, W: b.W + 4, H: b.H}.Path(), th.Raised)
		l.Fill(draw.Box{X: b.X - 2, Y: b.Y, W: 0.9, H: b.H}.Path(), th.Brass)
	}
	word := draw.Text{At: draw.Pt{X: b.X, Y: b.Y + 4.4}, S: c.my(i), Font: draw.SansBold, Size: ty.Label, Colour: plate.Hue(th, c.me())}
	word.S = trimmed(word.S, word, payoffWord-1.5)
	l.Text(word)
	if s := c.standing(i); s != "" {
		l.Text(draw.Text{At: draw.Pt{X: b.X, Y: b.Y + 8.4}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet})
	}
	for n, j := range c.theirs {
		c.cell(l, c.column(b, n, step), i, j)
	}
	worth, mix := c.edges(b)
	s := c.p.Standings[i]
	l.Text(draw.Text{At: draw.Pt{X: worth, Y: b.Y + 4.6}, S: plate.Percent(s.Worth), Font: draw.SansBold, Size: ty.Label, Colour: th.Ink, Anchor: draw.Middle})
	l.Text(draw.Text{At: draw.Pt{X: worth, Y: b.Y + 8.6}, S: "best in " + plate.Chance(s.Best.Mean), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle})
	c.share(l, draw.Box{X: mix - payoffEdge*0.17, Y: b.Y + 1.6, W: payoffEdge * 0.34, H: 8}, shareAt(c.p.Play.Mix, i), shareAt(c.p.Play.Even, i))
	l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: b.Bottom()}, draw.Pt{X: b.Right(), Y: b.Bottom()}), draw.Pen{Colour: th.Rule.Fade(0.5), Width: 0.15})
}

// standing says how a row stands beside the best.
func (c *payoffChart) standing(i int) string {
	switch {
	case i == c.p.Reply.Choice:
		return "best against the habit"
	case c.p.Standings[i].Alike:
		return "cannot be told from it"
	}
	return ""
}

// share is a share of a mix with the even one below it.
func (c *payoffChart) share(l *leaf, b draw.Box, mix, even quantity.Chance) {
	ty, th := l.Type, l.Theme
	l.Text(draw.Text{At: draw.Pt{X: b.X + b.W/2, Y: b.Y + 3}, S: mixWords(mix), Font: draw.SansBold, Size: ty.Label, Colour: th.Ink, Anchor: draw.Middle})
	l.Fill(draw.Box{X: b.X, Y: b.Y + 4.4, W: b.W, H: 1}.Path(), th.Faint)
	l.Fill(draw.Box{X: b.X, Y: b.Y + 4.4, W: b.W * draw.MM(mix), H: 1}.Path(), th.Quiet)
	l.Text(draw.Text{At: draw.Pt{X: b.X + b.W/2, Y: b.Y + 9}, S: "even " + mixWords(even), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle})
}

// mixWords prints a share of a mix: a part that is not played is a dash.
func mixWords(v quantity.Chance) string {
	if v < 0.005 {
		return "–"
	}
	return plate.Chance(v)
}

// cell is one pair of choices.
func (c *payoffChart) cell(l *leaf, b draw.Box, i, j int) {
	ty, th := l.Type, l.Theme
	if c.blind(i, j) {
		l.Hatch(b.Grow(-0.5).Path(), blindHatch(th))
	}
	number := draw.Text{At: draw.Pt{X: b.X + b.W/2, Y: b.Y + 4.4}, S: plate.Percent(c.worth(i, j)), Font: draw.Sans, Size: ty.Label, Colour: th.Ink, Anchor: draw.Middle}
	if c.best(i, j) {
		number.Font = draw.SansBold
	}
	if number.Width() > b.W-2 {
		number.Size = ty.Fine
	}
	if c.blind(i, j) {
		number.Halo, number.HaloWidth = th.Ground, 0.8
	}
	l.Text(number)
	if c.best(i, j) {
		l.underline(number)
	}
	bar := draw.Box{X: b.X + 1.2, Y: b.Y + 6.1, W: b.W - 2.4, H: payoffBar}
	if b.W > 22 {
		bar.X, bar.W = b.X+b.W/2-9.8, 19.6
	}
	c.ends(&l.Group, th, cellAt(c.p.Ends, i, j), bar)
	seen := draw.Text{At: draw.Pt{X: b.X + b.W/2, Y: b.Y + 11.7}, S: c.seenWords(i, j), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle}
	seen.S = trimmed(seen.S, seen, b.W-0.8)
	if c.blind(i, j) {
		seen.Halo, seen.HaloWidth = th.Ground, 0.8
	}
	l.Text(seen)
}

// underline marks my best choice against one of theirs.
func (l *leaf) underline(t draw.Text) {
	b, y := t.Box(), t.At.Y+0.8
	l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), draw.Pen{Colour: l.Theme.Ink, Width: 0.3})
}

// foot is how often the opponent makes each choice, and would at best.
func (c *payoffChart) foot(l *leaf, b draw.Box, step draw.MM) {
	ty, th := l.Type, l.Theme
	hue := plate.Hue(th, c.them())
	label := func(y draw.MM, s string) {
		t := draw.Text{At: draw.Pt{X: b.X, Y: y}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}
		t.S = trimmed(t.S, t, payoffWord-1.5)
		l.Text(t)
	}
	label(b.Y+5.2, "how often it comes")
	label(b.Y+13.2, "in their best mix")
	for n, j := range c.theirs {
		box := c.column(b, n, step)
		x := box.X + box.W/2
		q := c.p.Habit[j]
		t := draw.Text{At: draw.Pt{X: x, Y: b.Y + 5.2}, S: plate.Percent(q), Font: draw.SansBold, Size: ty.Label, Colour: hue, Anchor: draw.Middle}
		if t.Width() > box.W-2.5 {
			t.Size = ty.Fine
		}
		l.Text(t)
		w := min(box.W-2.4, 19.6)
		c.habitBar(l, draw.Box{X: x - w/2, Y: b.Y + 6.8, W: w, H: 2}, q)
		l.Text(draw.Text{At: draw.Pt{X: x, Y: b.Y + 13.2}, S: mixWords(shareAt(c.p.Game.Column, j).Mean), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle})
	}
	worth, mix := c.edges(b)
	l.Text(draw.Text{At: draw.Pt{X: worth, Y: b.Y + 5.2}, S: plate.Percent(c.p.Play.Worth), Font: draw.SansBold, Size: ty.Label, Colour: th.Ink, Anchor: draw.Middle})
	l.Text(draw.Text{At: draw.Pt{X: mix, Y: b.Y + 5.2}, S: "the mix", Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle})
	l.Text(draw.Text{At: draw.Pt{X: worth, Y: b.Y + 13.2}, S: plate.Percent(c.p.Play.Floor), Font: draw.Sans, Size: ty.Fine, Colour: th.Ink, Anchor: draw.Middle})
	l.Text(draw.Text{At: draw.Pt{X: mix, Y: b.Y + 13.2}, S: "even mix", Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle})
}

// habitBar is a share from 0 to 100 % with its interval.
func (c *payoffChart) habitBar(l *leaf, b draw.Box, q quantity.Of[quantity.Chance]) {
	hue := plate.Hue(l.Theme, c.them())
	l.Stroke(b.Path(), draw.Pen{Colour: l.Theme.Rule, Width: 0.12})
	for _, e := range [2][2]quantity.Chance{{q.Lo, q.Hi}, {max(q.Lo, q.Mean-q.SD), min(q.Hi, q.Mean+q.SD)}} {
		from, to := balanceX(b, e[0]), balanceX(b, e[1])
		l.Fill(draw.Box{X: from, Y: b.Y, W: to - from, H: b.H}.Path(), hue.Fade(0.25))
	}
	x := balanceX(b, q.Mean)
	l.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y - 0.4}, draw.Pt{X: x, Y: b.Bottom() + 0.4}), draw.Pen{Colour: hue, Width: 0.45})
}

// blocks are the grid on a phone: a block for each of my best choices with a row for each
// of theirs and what their bars mean, then the opponent's habit.
func (c *payoffChart) blocks() []part {
	parts := []part{c.headed("Chance of " + c.name(c.me()) + " to win the bout")}
	for _, i := range c.mine {
		parts = append(parts, c.block(i))
	}
	return append(parts, keysPart(c.o, c.keys()), c.headed("How often "+c.name(c.them())+" makes it"), c.habitBlock())
}

const (
	blockHead draw.MM = 11
	blockRow  draw.MM = 5
	blockWord draw.MM = 31
)

func (c *payoffChart) block(i int) part {
	return part{height: blockHead + draw.MM(len(c.theirs))*blockRow + 2.4, draw: func(l *leaf, b draw.Box) {
		ty, th, s := l.Type, l.Theme, c.p.Standings[i]
		if i == c.p.Reply.Choice {
			box := draw.Box{X: b.X - 2.5, Y: b.Y, W: b.W + 5, H: b.H - 0.8}
			l.Fill(box.Path(), th.Raised)
			l.Fill(draw.Box{X: box.X, Y: box.Y, W: 0.9, H: box.H}.Path(), th.Brass)
		}
		worth := draw.Text{At: draw.Pt{X: b.Right(), Y: b.Y + 5}, S: plate.Percent(s.Worth), Font: draw.SansBold, Size: ty.Key, Colour: th.Ink, Anchor: draw.End}
		l.Text(worth)
		word := draw.Text{At: draw.Pt{X: b.X, Y: b.Y + 5}, S: c.my(i), Font: draw.SansBold, Size: ty.Text, Colour: plate.Hue(th, c.me())}
		word.S = trimmed(word.S, word, worth.Box().X-b.X-2)
		l.Text(word)
		small := "in neither mix"
		if mix, even := shareAt(c.p.Play.Mix, i), shareAt(c.p.Play.Even, i); max(mix, even) >= 0.005 {
			small = "to fence with " + mixWords(mix) + ", even " + mixWords(even)
		}
		if st := c.standing(i); st != "" {
			small = st + "; " + small
		}
		t := draw.Text{At: draw.Pt{X: b.X, Y: b.Y + 9}, S: small, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}
		t.S = trimmed(t.S, t, b.W)
		l.Text(t)
		for n, j := range c.theirs {
			c.blockLine(l, draw.Box{X: b.X, Y: b.Y + blockHead + draw.MM(n)*blockRow, W: b.W, H: blockRow}, i, j)
		}
	}}
}

// blockLine is one pair of choices in a block.
func (c *payoffChart) blockLine(l *leaf, b draw.Box, i, j int) {
	ty, th := l.Type, l.Theme
	y := b.Y + 3.4
	word := draw.Text{At: draw.Pt{X: b.X, Y: y}, S: c.their(j), Font: draw.Sans, Size: ty.Fine, Colour: plate.Hue(th, c.them())}
	word.S = trimmed(word.S, word, blockWord-1.5)
	l.Text(word)
	c.ends(&l.Group, th, cellAt(c.p.Ends, i, j), draw.Box{X: b.X + blockWord, Y: y - 2.2, W: 22, H: payoffBar})
	number := draw.Text{At: draw.Pt{X: b.X + blockWord + 24, Y: y}, S: plate.Percent(c.worth(i, j)), Font: draw.Sans, Size: ty.Label, Colour: th.Ink}
	if c.best(i, j) {
		number.Font = draw.SansBold
	}
	l.Text(number)
	if c.best(i, j) {
		l.underline(number)
	}
	seen := draw.Text{At: draw.Pt{X: b.Right(), Y: y}, S: c.seenWords(i, j), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End}
	if c.blind(i, j) {
		seen.S = "not known"
	}
	if seen.Box().X > number.Box().Right()+0.8 {
		l.Text(seen)
	}
}

func (c *payoffChart) habitBlock() part {
	return part{height: draw.MM(len(c.theirs))*blockRow + 4.5, draw: func(l *leaf, b draw.Box) {
		ty, th := l.Type, l.Theme
		for n, j := range c.theirs {
			y := b.Y + draw.MM(n)*blockRow + 3.4
			word := draw.Text{At: draw.Pt{X: b.X, Y: y}, S: c.their(j), Font: draw.Sans, Size: ty.Fine, Colour: plate.Hue(th, c.them())}
			word.S = trimmed(word.S, word, blockWord-1.5)
			l.Text(word)
			c.habitBar(l, draw.Box{X: b.X + blockWord, Y: y - 2.2, W: 22, H: 2}, c.p.Habit[j])
			l.Text(draw.Text{At: draw.Pt{X: b.X + blockWord + 24, Y: y}, S: plate.Percent(c.p.Habit[j]), Font: draw.SansBold, Size: ty.Label, Colour: plate.Hue(th, c.them())})
			l.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: y}, S: "best mix " + mixWords(shareAt(c.p.Game.Column, j).Mean), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
		}
	}}
}
