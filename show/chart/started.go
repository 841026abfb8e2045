package chart

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// ErrNoStarts says that the reading has no start of a hand, a foot or a blade.
var ErrNoStarts = errors.New("nobody was seen to start: set the moments at which a hand or a foot begins to move, or follow them")

// starting is a picture of starts in the making.
type starting struct {
	o    Options
	s    *study.Started
	rank []int // of each start, from 1; 0 where it has no time
	rows []startRow
	// zero is the first start, from and to the ends of the axis, on the clock.
	zero, from, to float64
}

// startRow is a line of the picture: one part of one fencer.
type startRow struct {
	side mark.Side
	part string
}

// Heights of the picture of starts.
const (
	startHead  draw.MM = 5.6 // the name of a fencer
	startRowH  draw.MM = 7
	tempoRow   draw.MM = 9
	startBelow draw.MM = 1.5
)

// Started draws who started what, when, on one axis of time: the left fencer's lines
// from the top, feet outermost, then hand, then blade, the right fencer's in mirror
// order. A start that two frames bracket is a bracket, any other a soft band; a dashed
// upright is one that the movement proposes. A number says in which order they came, and
// the words how likely each is the first of all. The launch of the attack is an upright
// through all lines. Below, each fencer's time is counted in simple extensions of their
// own, from the launch or their first start on.
//
// It returns ErrNoStarts where the reading has none, and panics without a reading of a
// touch.
func Started(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: starts need a reading of a touch")
	}
	if r.Timing == nil || r.Timing.Started == nil {
		return nil, ErrNoStarts
	}
	c := &starting{o: o.themed(), s: r.Timing.Started}
	if !c.lay() {
		return nil, ErrNoStarts
	}
	title, rest := c.words()
	parts := []part{headed("When each part started"), c.lines(), headed("Counted in each fencer’s own simple extension"), c.tempi()}
	if f := c.facts(); len(f) > 0 {
		parts = append(parts, facts(o, f))
	}
	parts = append(parts, said(o, rest))
	at := ""
	if t := r.Timing.At; t.Take != "" {
		at = fmt.Sprintf("take %s, up to frame %d and the end of its phrase", t.Take, t.Frame)
	}
	proposed := ""
	if slices.ContainsFunc(c.s.Starts, proposal) {
		proposed = "dashed: as the movement proposes it, not set by the coach"
	}
	source := plate.Sentences(plate.Origin(r.Touch, o.anonymous()), at, "a bracket lies between two frames", proposed, fmt.Sprintf("%s draws, seed %d, readings version %s", plate.Count(max(c.s.Order.Draws, 1)), r.Seed, r.Version), plate.DoubtNote)
	return leafOf(c.o, title, c.desc(), source, parts), nil
}

// proposal reports whether a start is not the coach's.
func proposal(s study.StartOf) bool { return s.Proposal != "" && s.Moment == "" }

// partOrder is from the outermost line to the innermost.
var partOrder = []string{"rear foot", "front foot", "hand", "launch", "blade"}

func partIndex(p string) int {
	if i := slices.Index(partOrder, plate.PartWords(p)); i >= 0 {
		return i
	}
	return len(partOrder)
}

// lay finds the rows, the ranks and the axis; false where no start has a time.
func (c *starting) lay() bool {
	n := len(c.s.Starts)
	c.rank = make([]int, n)
	lo, hi := math.Inf(1), math.Inf(-1)
	c.zero = math.Inf(1)
	for _, s := range c.s.Starts {
		if !s.Time.IsValid() || s.Side < 0 || s.Side > 1 {
			continue
		}
		lo, hi = math.Min(lo, float64(s.Time.Lo)), math.Max(hi, float64(s.Time.Hi))
		c.zero = math.Min(c.zero, float64(s.Time.Mean))
		row := startRow{mark.Side(s.Side), s.Part}
		if !slices.Contains(c.rows, row) {
			c.rows = append(c.rows, row)
		}
	}
	if len(c.rows) == 0 {
		return false
	}
	slices.SortStableFunc(c.rows, func(a, b startRow) int {
		if a.side != b.side {
			return int(a.side) - int(b.side)
		}
		d := partIndex(a.part) - partIndex(b.part)
		if a.side == mark.Right {
			d = -d
		}
		if d == 0 {
			d = strings.Compare(a.part, b.part)
		}
		return d
	})
	k := 0
	for _, i := range c.s.Order.Sequence {
		if i >= 0 && i < n && c.s.Starts[i].Time.IsValid() {
			k++
			c.rank[i] = k
		}
	}
	for _, s := range mark.Sides {
		if from, ok := c.counted(s); ok {
			hi = math.Max(hi, from+float64(c.s.Tempo[s].Mean)*1.15)
		}
	}
	if end, ok := c.end(); ok {
		hi = math.Max(hi, end)
	}
	lo = math.Min(lo, c.zero)
	span := math.Max(hi-lo, 0.1)
	c.from, c.to = lo-0.03*span, math.Min(hi+0.04*span, lo+3)
	return true
}

// counted is from when a fencer's time is counted: the launch, else the first start.
func (c *starting) counted(s mark.Side) (float64, bool) {
	if t := c.s.Tempo[s]; !t.IsValid() || !(t.Mean > 0) {
		return 0, false
	}
	if l := c.s.Launch; l != nil && l.Who == s && l.At.IsValid() {
		return float64(l.At.Mean), true
	}
	first := math.Inf(1)
	for _, x := range c.s.Starts {
		if mark.Side(x.Side) == s && x.Time.IsValid() {
			first = math.Min(first, float64(x.Time.Mean))
		}
	}
	return first, finite(first)
}

// end is when the hit falls, by the count of the launch.
func (c *starting) end() (float64, bool) {
	l := c.s.Launch
	if l == nil || l.Tempi == nil || !l.Tempi.IsValid() || !l.At.IsValid() || !(l.Tempi.Mean > 0) {
		return 0, false
	}
	t := float64(l.At.Mean) + float64(l.Tempi.Mean)*float64(c.s.Tempo[l.Who].Mean)
	return t, finite(t)
}

// words are the title and what is said below.
func (c *starting) words() (title, rest string) {
	if c.s.Finding == "" {
		return "Who started what", ""
	}
	return headline(c.s.Finding)
}

func (c *starting) desc() string {
	var b strings.Builder
	for _, i := range c.s.Order.Sequence {
		if i < 0 || i >= len(c.s.Starts) {
			continue
		}
		s := c.s.Starts[i]
		fmt.Fprintf(&b, "%d: %s’s %s %s at %s. ", c.rank[i], plate.Name(mark.Side(s.Side)), plate.PartWords(s.Part), kindWords(s.Kind), plate.Seconds(s.Time))
	}
	if l := c.s.Launch; l != nil {
		fmt.Fprintf(&b, "%s launched %s, %s.", plate.Name(l.Who), plate.LaunchWords(l.Into), plate.Chance(l.Chance))
	}
	return strings.TrimSpace(b.String())
}

func kindWords(kind string) string {
	if kind == "" {
		return study.OnsetStarts
	}
	return kind
}

// facts are the order, the lags and the launch in numbers.
func (c *starting) facts() []fact {
	var all []fact
	var there [2]bool
	for _, r := range c.rows {
		there[r.side] = true
	}
	if o := c.s.Order; there[0] && there[1] {
		first := mark.Left
		if o.SideFirst[mark.Right].Mean > o.SideFirst[mark.Left].Mean {
			first = mark.Right
		}
		all = append(all, fact{strings.ToLower(plate.Name(first)) + " started first of all", plate.Percent(o.SideFirst[first]), "all in this order " + plate.Percent(o.Likelihood)})
	} else if len(c.s.Starts) > 1 {
		all = append(all, fact{"started in this order", plate.Percent(o.Likelihood), ""})
	}
	for _, s := range mark.Sides {
		if g := c.s.Lags[s]; g != nil {
			all = append(all, fact{poss(s) + " foot after the hand", plate.Milliseconds(g.Time), "hand first in " + plate.Chance(g.HandFirst)})
		}
	}
	if l := c.s.Launch; l != nil {
		if l.Into != study.LaunchNotFollowed {
			f := fact{"launched " + plate.LaunchWords(l.Into), plate.Chance(l.Chance), ""}
			if v := l.OppSpeed; v != nil && v.IsValid() {
				f.beside = "hip of the opponent comes at " + plate.FigureOf(*v, plate.InMetresPerSecond).Text
				if v.Mean < 0 {
					back := quantity.Normal(-v.Mean, v.SD)
					f.beside = "hip of the opponent goes back at " + plate.FigureOf(back, plate.InMetresPerSecond).Text
				}
			}
			all = append(all, f)
		}
		if q := l.Tempi; q != nil && q.IsValid() {
			all = append(all, fact{"launch to hit", plate.FigureOf(*q, plate.InRatio).Text, "of " + poss(l.Who) + " own extensions"})
		}
	}
	return all
}
