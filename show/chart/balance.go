package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/study"
	"mesure/tactics/payoff"
)

// Sizes of the balance, in millimetres.
const (
	balancePlot   draw.MM = 62
	balanceNumber draw.MM = 9   // room for the numbers of the upward axis
	balanceAxis   draw.MM = 9.5 // numbers and words below the plot
	balanceStep   draw.MM = 3.6 // one touch in the path of the habit
	balanceName   draw.MM = 33  // words at the ends of the lines, on the wide sheet
)

// balanceChart is a balance in the making.
type balanceChart struct {
	tacticsChart
	p *study.Payoff
	b study.BalanceCourse
	// mine are the indices in b.Mine and b.Worth that can be drawn.
	mine   []int
	lo, hi float64 // of the upward axis
	step   float64
}

// dashes tell the lines apart without their colour.
var dashes = [][]draw.MM{nil, {2.6, 1.1}, {0.9, 0.9}, {4, 1, 1, 1}, {1.6, 0.6}, {5, 1.4}}

// Balance draws what my choices are worth, as a chance to win the bout, over how often
// the opponent makes one of theirs (number i of the balances), the other choices of the
// opponent keeping their proportions: a line each with the band that holds 95 %, named at
// its end. The opponent's habit is a soft column, its way over the last touches runs below.
// Where two lines cross stands a diamond, with its interval on the axis below. It returns
// ErrNoBalance where there is no such balance and panics without tactics.
func Balance(x *study.Tactics, i int, o Options) (*draw.Drawing, error) {
	c := &balanceChart{tacticsChart: tacticsOf(x, o), p: x.Payoff}
	if c.p == nil || i < 0 || i >= len(c.p.Balances) {
		return nil, ErrNoBalance
	}
	c.b = c.p.Balances[i]
	for k, line := range c.b.Worth {
		if k < len(c.b.Mine) && len(line) == len(c.b.Shares) && len(line) > 1 {
			c.mine = append(c.mine, k)
		}
	}
	if len(c.mine) == 0 {
		return nil, ErrNoBalance
	}
	c.scale()
	parts := []part{c.headed("Chance of " + c.name(c.me()) + " to win the bout"), c.plot()}
	if c.o.Low == 0 {
		parts = append(parts, c.tips(), c.path())
	}
	parts = append(parts, keysPart(c.o, c.keys()))
	if !c.o.Bare {
		parts = append(parts, said(c.o, c.words()))
	}
	return leafOf(c.o, c.finding(), c.desc(), c.source(c.sources()...), parts), nil
}

// scale sets the upward axis to what is drawn.
func (c *balanceChart) scale() {
	c.lo, c.hi = 1, 0
	for _, k := range c.mine {
		for _, q := range c.b.Worth[k] {
			if q.IsValid() {
				c.lo, c.hi = math.Min(c.lo, float64(q.Lo)), math.Max(c.hi, float64(q.Hi))
			}
		}
	}
	c.step = 0.05
	if c.hi-c.lo > 0.25 {
		c.step = 0.1
	}
	c.lo = math.Max(0, math.Floor(c.lo/c.step+1e-9)*c.step)
	c.hi = math.Min(1, math.Ceil(c.hi/c.step-1e-9)*c.step)
	if c.hi-c.lo < c.step {
		c.lo, c.hi = math.Max(0, c.lo-c.step), math.Min(1, c.hi+c.step)
	}
}

func (c *balanceChart) their() string     { return wordOf(c.p.TheirWords, c.p.Theirs, c.b.Their) }
func (c *balanceChart) my(i int) string   { return wordOf(c.p.MineWords, c.p.Mine, i) }
func (c *balanceChart) line(k int) string { return c.my(c.b.Mine[k]) }

// crossings are the balance points of this choice of the opponent.
func (c *balanceChart) crossings() []payoff.Balance {
	var all []payoff.Balance
	for _, x := range c.p.Balance {
		if x.Choice == c.b.Their && x.Share.IsValid() {
			all = append(all, x)
		}
	}
	slices.SortStableFunc(all, func(p, q payoff.Balance) int { return cmp.Compare(p.Share.Mean, q.Share.Mean) })
	return all
}

func (c *balanceChart) finding() string {
	x, ok := c.decisive()
	if !ok {
		return fmt.Sprintf("However often %s makes the %s, the %s stays ahead", c.name(c.them()), c.their(), c.best())
	}
	if vague(x) {
		return fmt.Sprintf("At which share of %s by %s the answer tips cannot be told yet", c.their(), c.name(c.them()))
	}
	return fmt.Sprintf("Below %s of %s, the %s pays; above it, the %s", between(x.Share), c.their(), c.my(x.Below), c.my(x.Above))
}

// decisive is the crossing nearest to the habit.
func (c *balanceChart) decisive() (payoff.Balance, bool) {
	var best payoff.Balance
	found := false
	away := func(x payoff.Balance) float64 { return math.Abs(float64(x.Share.Mean - c.b.Habit.Mean)) }
	for _, x := range c.crossings() {
		if !found || away(x) < away(best) {
			best, found = x, true
		}
	}
	return best, found
}

// vague says whether a crossing may lie anywhere.
func vague(x payoff.Balance) bool { return x.Share.Lo < 0.02 && x.Share.Hi > 0.98 }

// best is the choice that is worth most at the habit.
func (c *balanceChart) best() string { return c.my(c.p.Reply.Choice) }

// words say where the habit stands: in the words of the study where it has some.
func (c *balanceChart) words() string {
	if len(c.b.Said) > 0 {
		return c.say(c.b.Said.String())
	}
	if c.p.TooLittle {
		return fmt.Sprintf("Too little is seen of %s to say on which side the habit lies.", c.name(c.them()))
	}
	words := fmt.Sprintf("%s makes the %s at %s.", c.name(c.them()), c.their(), between(c.b.Habit))
	if x, ok := c.decisive(); ok {
		side := " On which side of %s that lies cannot be told: that it lies beyond has a chance of %s."
		switch {
		case x.Past.Mean >= 0.95:
			side = " That lies beyond %s, with a chance of %s."
		case x.Past.Mean <= 0.05:
			side = " That lies short of %s: that it lies beyond has a chance of %s."
		}
		words += fmt.Sprintf(side, plate.Chance(x.Share.Mean), plate.Chance(x.Past.Mean))
	}
	return words
}

func (c *balanceChart) sources() []string {
	out := []string{fmt.Sprintf("all other choices of %s keep their proportions", c.name(c.them())), "the axis upward does not begin at nought"}
	if c.lo == 0 {
		out = out[:1]
	}
	return append(out, c.drawn()...)
}

func (c *balanceChart) desc() string {
	var b strings.Builder
	fmt.Fprintf(&b, "What choices of %s are worth over how often %s makes the %s. ", c.name(c.me()), c.name(c.them()), c.their())
	for _, k := range c.mine {
		line := c.b.Worth[k]
		fmt.Fprintf(&b, "The %s: %s at never, %s at always. ", c.line(k), plate.Percent(line[0]), plate.Percent(line[len(line)-1]))
	}
	for _, x := range c.crossings() {
		fmt.Fprintf(&b, "The %s and the %s are worth the same at %s. ", c.my(x.Below), c.my(x.Above), between(x.Share))
	}
	fmt.Fprintf(&b, "The habit: %s.", between(c.b.Habit))
	return b.String()
}

// plotHigh is how high the plot is.
func (c *balanceChart) plotHigh() draw.MM {
	if c.o.Low > 0 {
		return 44
	}
	return balancePlot
}

// frame is the room of the plot.
func (c *balanceChart) frame(b draw.Box) draw.Box {
	f := draw.Box{X: b.X + balanceNumber, Y: b.Y + 2, W: b.W - balanceNumber - 2.5, H: c.plotHigh()}
	if c.o.Layout == plate.Wide {
		f.W -= balanceName
	}
	return f
}

func balanceX(b draw.Box, v quantity.Chance) draw.MM {
	return b.X + b.W*draw.MM(math.Max(0, math.Min(1, float64(v))))
}

func (c *balanceChart) y(b draw.Box, v quantity.Chance) draw.MM {
	return b.Bottom() - b.H*draw.MM((math.Max(c.lo, math.Min(c.hi, float64(v)))-c.lo)/(c.hi-c.lo))
}

// colour of a line: the reply in the fencer's hue, the others in ink.
func (c *balanceChart) colour(l *leaf, k int) draw.Colour {
	if c.b.Mine[k] == c.p.Reply.Choice {
		return plate.Hue(l.Theme, c.me())
	}
	return l.Theme.Ink
}

func (c *balanceChart) plot() part {
	names := space(0)
	if c.o.Layout == plate.Phone {
		names = c.named()
	}
	return part{height: c.plotHigh() + 2 + balanceAxis + names.height, draw: func(l *leaf, all draw.Box) {
		b := c.frame(all)
		c.grid(l, b)
		c.column(l, b)
		for _, k := range c.mine {
			c.bandOf(l, b, k)
		}
		n := 0
		for _, k := range c.mine {
			if !c.banded(k) {
				c.whisker(l, b, k, n)
				n++
			}
			c.lineOf(l, b, k)
		}
		for _, x := range c.crossings() {
			c.crossing(l, b, x)
		}
		if c.o.Layout == plate.Wide {
			c.ends(l, b)
		} else {
			names.draw(l, draw.Box{X: all.X, Y: b.Bottom() + balanceAxis, W: all.W, H: names.height})
		}
	}}
}

func (c *balanceChart) grid(l *leaf, b draw.Box) {
	th, ty := l.Theme, l.Type
	n := int(math.Round((c.hi - c.lo) / c.step))
	for i := range n + 1 {
		v := c.lo + float64(i)*c.step
		y := c.y(b, quantity.Chance(v))
		l.Stroke(draw.Segment(draw.Pt{X: b.X, Y: y}, draw.Pt{X: b.Right(), Y: y}), draw.Pen{Colour: th.Rule.Fade(0.5), Width: 0.15})
		s := strconv.Itoa(int(math.Round(100 * v)))
		if i == n {
			s += nb + "%"
		}
		l.Text(draw.Text{At: draw.Pt{X: b.X - 1.4, Y: y + ty.Fine*draw.CapShare/2}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.End})
	}
	for i := range 6 {
		v := quantity.Chance(i) / 5
		x := balanceX(b, v)
		l.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Bottom()}, draw.Pt{X: x, Y: b.Bottom() + 1}), draw.Pen{Colour: th.Rule, Width: 0.2})
		s := strconv.Itoa(20 * i)
		if i == 5 {
			s += nb + "%"
		}
		l.Text(draw.Text{At: draw.Pt{X: x, Y: b.Bottom() + 1.6 + ty.Fine*draw.CapShare}, S: s, Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet, Anchor: draw.Middle})
	}
	t := draw.Text{At: draw.Pt{X: b.X, Y: b.Bottom() + 2.2 + ty.Fine*(draw.CapShare+lineShare)}, S: "how often " + c.name(c.them()) + " makes the " + c.their(), Font: draw.Sans, Size: ty.Fine, Colour: th.Ink}
	t.S = trimmed(t.S, t, b.W)
	l.Text(t)
}

// column is the habit: soft, from edge to edge of its interval.
func (c *balanceChart) column(l *leaf, b draw.Box) {
	q := c.b.Habit
	if !q.IsValid() {
		return
	}
	hue := plate.Hue(l.Theme, c.them())
	for _, e := range [2][2]quantity.Chance{{q.Lo, q.Hi}, {max(q.Lo, q.Mean-q.SD), min(q.Hi, q.Mean+q.SD)}} {
		from, to := balanceX(b, e[0]), balanceX(b, e[1])
		l.Fill(draw.Box{X: from, Y: b.Y, W: to - from, H: b.H}.Path(), hue.Fade(0.13))
	}
	x := balanceX(b, q.Mean)
	l.Stroke(draw.Segment(draw.Pt{X: x, Y: b.Y}, draw.Pt{X: x, Y: b.Bottom()}), draw.Pen{Colour: hue, Width: 0.3, Dash: []draw.MM{0.8, 0.8}})
	if c.p.TooLittle {
		from, to := balanceX(b, q.Lo), balanceX(b, q.Hi)
		l.Hatch(draw.Box{X: from, Y: b.Y, W: to - from, H: b.H}.Path(), draw.Hatch{Colour: l.Theme.Rule.Fade(0.5), Width: 0.18, Gap: 1.6})
	}
}

// banded says whether a line has its band: the best reply and the next best. Four bands
// on each other would be a fog; the others have their interval at the end.
func (c *balanceChart) banded(k int) bool {
	i := c.b.Mine[k]
	return len(c.mine) < 3 || i == c.p.Reply.Choice || i == c.p.Reply.Second
}

func (c *balanceChart) bandOf(l *leaf, b draw.Box, k int) {
	if !c.banded(k) {
		return
	}
	var up, down []draw.Pt
	for i, q := range c.b.Worth[k] {
		x := balanceX(b, c.b.Shares[i])
		up = append(up, draw.Pt{X: x, Y: c.y(b, q.Hi)})
		down = append([]draw.Pt{{X: x, Y: c.y(b, q.Lo)}}, down...)
	}
	p := draw.Polygon(append(up, down...)...)
	if c.b.Mine[k] == c.p.Reply.Choice {
		l.Fill(p, c.colour(l, k).Fade(0.16))
		return
	}
	l.Hatch(p, draw.Hatch{Colour: c.colour(l, k).Fade(0.28), Width: 0.16, Gap: 1.5, Rising: true})
}

// whisker is the interval of a line at its end.
func (c *balanceChart) whisker(l *leaf, b draw.Box, k, n int) {
	q := c.b.Worth[k][len(c.b.Shares)-1]
	x := b.Right() - 0.9 - draw.MM(n)*1.5
	l.Stroke(draw.Segment(draw.Pt{X: x, Y: c.y(b, q.Lo)}, draw.Pt{X: x, Y: c.y(b, q.Hi)}), draw.Pen{Colour: c.colour(l, k).Fade(0.7), Width: 0.35})
}

func (c *balanceChart) lineOf(l *leaf, b draw.Box, k int) {
	var pts []draw.Pt
	for i, q := range c.b.Worth[k] {
		pts = append(pts, draw.Pt{X: balanceX(b, c.b.Shares[i]), Y: c.y(b, q.Mean)})
	}
	l.Stroke(draw.Polyline(pts...), c.pen(l, k))
}

func (c *balanceChart) pen(l *leaf, k int) draw.Pen {
	pen := draw.Pen{Colour: c.colour(l, k), Width: 0.45}
	if c.b.Mine[k] == c.p.Reply.Choice {
		pen.Width = 0.75
		return pen
	}
	n := 0
	for _, i := range c.mine {
		if i == k {
			break
		}
		if c.b.Mine[i] != c.p.Reply.Choice {
			n++
		}
	}
	pen.Dash = dashes[(n+1)%len(dashes)]
	return pen
}

// crossing is a diamond where two lines meet, with an upright to the axis.
func (c *balanceChart) crossing(l *leaf, b draw.Box, x payoff.Balance) {
	at := draw.Pt{X: balanceX(b, x.Share.Mean), Y: c.y(b, x.Worth)}
	l.Stroke(draw.Segment(at, draw.Pt{X: at.X, Y: b.Bottom()}), draw.Pen{Colour: l.Theme.Ink, Width: 0.18})
	diamond(&l.Group, l.Theme, at, 1.5)
}

// diamond is the sign of two choices that are worth the same.
func diamond(g *draw.Group, th draw.Theme, at draw.Pt, r draw.MM) {
	p := draw.Polygon(draw.Pt{X: at.X, Y: at.Y - r}, draw.Pt{X: at.X + r, Y: at.Y}, draw.Pt{X: at.X, Y: at.Y + r}, draw.Pt{X: at.X - r, Y: at.Y})
	g.Fill(p, th.Ground)
	g.Stroke(p, draw.Pen{Colour: th.Ink, Width: 0.4})
}
