package chart

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/study"
	"mesure/tactics/payoff"
)

// Sizes of the payoff grid, in millimetres.
const (
	payoffWord  draw.MM = 33 // the words of my choices
	payoffEdge  draw.MM = 33 // what a row is worth, and its share in the mixes
	payoffRow   draw.MM = 13.2
	payoffAside draw.MM = 1.6 // between two columns of words
	payoffFoot  draw.MM = 16  // their habit and their best mix
	payoffBar   draw.MM = 2.4
)

// Most choices that a sheet has room for.
const (
	payoffColumns   = 8
	payoffRows      = 9
	payoffRowsPhone = 4
)

// payoffChart is a grid in the making.
type payoffChart struct {
	tacticsChart
	p *study.Payoff
	// mine and theirs are the choices that are drawn: mine by worth, theirs by habit.
	mine, theirs []int
	restMine     []int
	restTheirs   []int
}

// Payoff draws what each choice is worth against each of the opponent's as a grid: a row
// for each of mine, the best against the habit first, a column for each of theirs, the
// likeliest first. A cell has the chance to win the bout, a bar of the four ends of the
// phrase and how often the two met. At the right stands what a row is worth against the
// habit and its share in the mix to fence with and in the even one, below how often the
// opponent makes each choice and would make it at best. A hatch lies where neither a model
// nor a phrase says anything. On the phone each of my best choices is a block. It returns
// ErrNoPayoff where there is none and panics without tactics.
func Payoff(x *study.Tactics, o Options) (*draw.Drawing, error) {
	c := &payoffChart{tacticsChart: tacticsOf(x, o), p: x.Payoff}
	if c.p == nil || len(c.p.Mine) == 0 || len(c.p.Theirs) == 0 || len(c.p.Table) != len(c.p.Mine) || len(c.p.Standings) != len(c.p.Mine) || len(c.p.Habit) != len(c.p.Theirs) {
		return nil, ErrNoPayoff
	}
	c.choose()
	var parts []part
	if c.o.Layout == plate.Phone {
		parts = c.blocks()
	} else {
		parts = []part{c.headed("Chance of " + c.name(c.me()) + " to win the bout, by what both choose"), c.grid(), keysPart(c.o, c.keys())}
	}
	if !c.o.Bare {
		parts = append(parts, said(c.o, c.words()))
	}
	return leafOf(c.o, c.finding(), c.desc(), c.source(c.sources()...), parts), nil
}

// choose puts the choices in order and keeps those that have room.
func (c *payoffChart) choose() {
	for i := range c.p.Mine {
		c.mine = append(c.mine, i)
	}
	slices.SortStableFunc(c.mine, func(a, b int) int {
		if r := c.p.Reply.Choice; a == r || b == r {
			return cmp.Compare(btoi(b == r), btoi(a == r))
		}
		return cmp.Compare(c.p.Standings[b].Worth.Mean, c.p.Standings[a].Worth.Mean)
	})
	for j := range c.p.Theirs {
		c.theirs = append(c.theirs, j)
	}
	slices.SortStableFunc(c.theirs, func(a, b int) int { return cmp.Compare(c.p.Habit[b].Mean, c.p.Habit[a].Mean) })
	rows := payoffRows
	if c.o.Layout == plate.Phone {
		rows = payoffRowsPhone
	}
	if len(c.mine) > rows {
		c.mine, c.restMine = c.mine[:rows], c.mine[rows:]
	}
	if len(c.theirs) > payoffColumns {
		c.theirs, c.restTheirs = c.theirs[:payoffColumns], c.theirs[payoffColumns:]
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (c *payoffChart) my(i int) string    { return wordOf(c.p.MineWords, c.p.Mine, i) }
func (c *payoffChart) their(j int) string { return wordOf(c.p.TheirWords, c.p.Theirs, j) }

// finding says no more than can be told apart.
func (c *payoffChart) finding() string {
	r := c.p.Reply
	switch {
	case c.p.TooLittle:
		return fmt.Sprintf("Too little is seen of %s: the mix stays the even one, worth %s whatever comes", c.name(c.them()), plate.Percent(c.p.Play.Floor))
	case r.Apart:
		return fmt.Sprintf("The %s is worth the most now: %s", c.my(r.Choice), plate.Percent(r.Worth))
	case len(c.p.Mine) > 1:
		return fmt.Sprintf("The %s comes first at %s, but the %s cannot be told from it", c.my(r.Choice), plate.Percent(r.Worth), c.my(r.Second))
	}
	return fmt.Sprintf("The %s is worth %s", c.my(r.Choice), plate.Percent(r.Worth))
}

// words say what answers the best reply, and where it stops.
func (c *payoffChart) words() string {
	r := c.p.Reply
	words := fmt.Sprintf("If %s sees the %s coming, the %s is the answer and leaves %s.", c.name(c.them()), c.my(r.Choice), c.their(r.Counter), plate.Percent(r.Left))
	if len(c.restMine) > 0 {
		var rest []string
		for _, i := range c.restMine {
			rest = append(rest, fmt.Sprintf("%s %s", c.my(i), plate.Percent(c.p.Standings[i].Worth)))
		}
		words += " Further choices against the habit: " + strings.Join(rest, ", ") + "."
	}
	return words
}

func (c *payoffChart) sources() []string {
	var out []string
	if c.p.Gap.IsValid() && c.p.Gap.Mean > 0 {
		gap := "measure " + plate.Metres(c.p.Gap)
		if w := plate.GapFromWords(c.p.GapFrom); w != "" {
			gap += ", " + w
		}
		out = append(out, gap)
	}
	out = append(out, fmt.Sprintf("race and windows weigh %s against what was seen", plate.Chance(c.p.Weight)))
	if len(c.restTheirs) > 0 {
		var rest []string
		for _, j := range c.restTheirs {
			rest = append(rest, c.their(j))
		}
		out = append(out, "seldom ones of "+c.name(c.them())+" not drawn: "+strings.Join(rest, ", "))
	}
	out = append(out, "the even mix asks for no knowledge of "+c.name(c.them()))
	return append(out, c.drawn()...)
}

func (c *payoffChart) desc() string {
	var b strings.Builder
	fmt.Fprintf(&b, "What each choice of %s is worth against each of %s, as a chance to win the bout. ", c.name(c.me()), c.name(c.them()))
	for _, i := range c.mine {
		fmt.Fprintf(&b, "The %s: %s against the habit", c.my(i), plate.Percent(c.p.Standings[i].Worth))
		for _, j := range c.theirs {
			fmt.Fprintf(&b, "; against the %s %s", c.their(j), plate.Percent(c.worth(i, j)))
		}
		b.WriteString(". ")
	}
	for _, j := range c.theirs {
		fmt.Fprintf(&b, "%s makes the %s at %s. ", c.name(c.them()), c.their(j), between(c.p.Habit[j]))
	}
	return strings.TrimSpace(b.String())
}

// at returns row i, column j of a table that may be smaller.
func cellAt[T any](all [][]T, i, j int) T {
	var none T
	if i < 0 || i >= len(all) || j < 0 || j >= len(all[i]) {
		return none
	}
	return all[i][j]
}

func shareAt[T any](all []T, i int) T {
	var none T
	if i < 0 || i >= len(all) {
		return none
	}
	return all[i]
}

func (c *payoffChart) worth(i, j int) quantity.Of[quantity.Chance] { return cellAt(c.p.Table, i, j) }

// blind says whether nothing is known of a cell but the prior.
func (c *payoffChart) blind(i, j int) bool {
	cell := cellAt(c.p.Cells, i, j)
	return cell.Sure == 0 && plate.SeenIn(cell.Seen) == 0
}

// best says whether a row is my best against a column.
func (c *payoffChart) best(i, j int) bool {
	for k := range c.p.Mine {
		if c.worth(k, j).Mean > c.worth(i, j).Mean {
			return false
		}
	}
	return true
}

// seenWords say how often two choices met in this bout and, faded, in all.
func (c *payoffChart) seenWords(i, j int) string {
	cell := cellAt(c.p.Cells, i, j)
	n := plate.SeenIn(cell.Seen)
	switch {
	case n == 0:
		return "not seen"
	case len(cell.Touches) > 0:
		return fmt.Sprintf("%d× here", len(cell.Touches))
	}
	return "earlier"
}

// ends draws the four ends of a phrase as one bar: mine from the left, theirs from the
// right, doubles and nothing between.
func (c *payoffChart) ends(g *draw.Group, th draw.Theme, e payoff.Ends, b draw.Box) {
	mine, theirs := plate.Hue(th, c.me()), plate.Hue(th, c.them())
	x := b.X
	for i, q := range [4]quantity.Of[quantity.Chance]{e.Me, e.Double, e.Nothing, e.Opponent} {
		w := b.W * draw.MM(q.Mean)
		box := draw.Box{X: x, Y: b.Y, W: w, H: b.H}
		x += w
		if w <= 0.05 {
			continue
		}
		switch i {
		case 0:
			g.Fill(box.Path(), mine)
		case 1:
			g.Hatch(box.Path(), draw.Hatch{Colour: mine, Width: 0.25, Gap: 0.8, Rising: true})
			g.Hatch(box.Path(), draw.Hatch{Colour: theirs, Width: 0.25, Gap: 0.8})
		case 3:
			g.Fill(box.Path(), theirs.Fade(0.35))
			g.Hatch(box.Path(), draw.Hatch{Colour: theirs, Width: 0.3, Gap: 0.62})
		}
	}
	g.Stroke(b.Path(), draw.Pen{Colour: th.Rule, Width: 0.15})
}

func (c *payoffChart) keys() []key {
	one := func(k int) func(sh *plate.Sheet, b draw.Box) {
		return func(sh *plate.Sheet, b draw.Box) {
			c.keysEnd(&sh.Group, sh.Theme, k, draw.Box{X: b.X, Y: b.Y + 0.4, W: b.W, H: payoffBar})
		}
	}
	all := []key{{c.name(c.me()) + " hits", 6, one(0)}, {"double", 6, one(1)}, {"nobody", 6, one(2)}, {c.name(c.them()) + " hits", 6, one(3)},
		{"best against that choice", 6, func(sh *plate.Sheet, b draw.Box) {
			y := b.Y + b.H/2 + 1
			sh.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), draw.Pen{Colour: sh.Theme.Ink, Width: 0.3})
		}}}
	for _, i := range c.mine {
		for _, j := range c.theirs {
			if c.blind(i, j) {
				return append(all, key{"nothing known: even chances are taken", 6, func(sh *plate.Sheet, b draw.Box) {
					sh.Hatch(b.Path(), blindHatch(sh.Theme))
				}})
			}
		}
	}
	return all
}

// keysEnd draws a bar that is one end alone: mine, double, nothing, theirs.
func (c *payoffChart) keysEnd(g *draw.Group, th draw.Theme, k int, b draw.Box) {
	var e payoff.Ends
	*[4]*quantity.Of[quantity.Chance]{&e.Me, &e.Double, &e.Nothing, &e.Opponent}[k] = quantity.Exactly[quantity.Chance](1)
	c.ends(g, th, e, b)
}

func blindHatch(th draw.Theme) draw.Hatch {
	return draw.Hatch{Colour: th.Rule.Fade(0.6), Width: 0.16, Gap: 1.6, Rising: true}
}
