package stave

import (
	"fmt"
	"slices"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/study"
)

// pennant is the name of a moment at the head of its upright.
type pennant struct {
	at    quantity.Of[quantity.Seconds]
	x     draw.MM
	name  string
	time  string // printed; empty on the desk
	start bool   // the race runs from here
	row   int    // from the staves up
	left  bool   // hangs to the left of its upright
	shown bool
	w     draw.MM
}

const (
	mostFlagRows         = 4
	bareFlagRows         = 2
	flagPad      draw.MM = 0.9 // between an upright and its words
)

// flagHeight is the height of one row of names.
func (f *figure) flagHeight() draw.MM {
	if f.o.Bare {
		return f.ty.Label * 1.25
	}
	return f.ty.Label*1.15 + f.ty.Fine*1.2
}

// bareRows is how many rows of names the desk has: one where it is low.
func (f *figure) bareRows() int {
	if f.low() {
		return 1
	}
	return bareFlagRows
}

// low reports whether the desk has little height: it then spares a row of names
// and sets words in the finest size.
func (f *figure) low() bool { return f.o.Bare && f.o.H > 0 && f.o.H < lowDesk }

const lowDesk draw.MM = 56

// flagRows is how many rows of names there are; on the desk always as many as
// there can be.
func (f *figure) flagRows() draw.MM {
	if f.o.Bare {
		return draw.MM(f.bareRows())
	}
	rows := 0
	for _, g := range f.flags {
		if g.shown {
			rows = max(rows, g.row+1)
		}
	}
	return draw.MM(rows)
}

// MomentName is what a moment is called where it is printed.
func momentName(m study.MomentReading) string {
	if m.Moment.Name != "" {
		return plate.Typeset(m.Moment.Name)
	}
	return m.Moment.ID
}

// startOf returns the moment from which the race runs.
func startOf(r *study.Reading) string {
	if r.Touch.Race.From != "" {
		return r.Touch.Race.From
	}
	if r.Race != nil {
		return r.Race.Moment
	}
	return ""
}

// uprights settles which moments are shown and where their names stand. A name
// hangs to the right or to the left of its upright, in the lowest row where it
// meets no other name and no upright; the best of several orders is taken.
func (f *figure) uprights() []pennant {
	var all []pennant
	for _, m := range f.r.Moments {
		if !m.At.IsValid() || float64(m.At.Hi) < f.t0 || float64(m.At.Lo) > f.t1 {
			continue
		}
		g := pennant{at: m.At, x: f.x(float64(m.At.Mean)), name: momentName(m), start: m.Moment.ID == startOf(f.r)}
		g.x = max(f.x0, min(g.x, f.x1))
		g.w = f.flagName(g).Width()
		if !f.o.Bare {
			g.time = plate.Seconds(m.At)
			if g.start {
				g.time += ", the race starts"
			}
			g.w = max(g.w, f.flagTime(g).Width())
		}
		all = append(all, g)
	}
	slices.SortStableFunc(all, func(a, b pennant) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	var best []pennant
	most := -1
	for _, fromRight := range [2]bool{true, false} {
		for _, sides := range [...][]bool{{false, true}, {true, false}, {false}, {true}} {
			try := slices.Clone(all)
			if n := f.hang(try, fromRight, sides); n > most {
				best, most = try, n
			}
		}
	}
	return best
}

// hang gives each flag its row, from the right to the left or the other way, on
// the first of these sides that is free, and returns how good the result is: the
// start of the race counts most, then every name, then every row that is saved.
func (f *figure) hang(all []pennant, fromRight bool, lefts []bool) int {
	rows := mostFlagRows
	if f.o.Bare {
		rows = f.bareRows()
	}
	good, highest := 0, 0
	for k := range all {
		i := k
		if fromRight {
			i = len(all) - 1 - k
		}
		g := &all[i]
	search:
		for row := range rows {
			for _, left := range lefts {
				g.row, g.left = row, left
				if f.hangs(*g, i, all) {
					g.shown = true
					good += 2 * mostFlagRows
					if g.start {
						good += 1000
					}
					highest = max(highest, row)
					break search
				}
			}
		}
	}
	return good - highest
}

// ends returns from where to where the words of a flag go.
func (g pennant) ends() (from, to draw.MM) {
	if g.left {
		return g.x - flagPad - g.w, g.x - flagPad
	}
	return g.x + flagPad, g.x + flagPad + g.w
}

// hangs reports whether a flag is free of all that hang already.
func (f *figure) hangs(g pennant, i int, all []pennant) bool {
	from, to := g.ends()
	if to > f.x1+1 || from < f.x0-f.gutter() {
		return false
	}
	for j, o := range all {
		if j == i || !o.shown {
			continue
		}
		a, b := o.ends()
		switch {
		case o.row == g.row && from < b+1.5 && a < to+1.5:
			return false // words on words
		case o.row >= g.row && from-flagPad/2 < o.x && o.x < to+flagPad/2 && o.x != g.x:
			return false // its upright goes through these words
		case o.row <= g.row && a-flagPad/2 < g.x && g.x < b+flagPad/2 && o.x != g.x:
			return false // this upright would go through its words
		}
	}
	return true
}

func (f *figure) flagName(g pennant) draw.Text {
	t := draw.Text{S: g.name, Font: draw.Sans, Size: f.ty.Label, Colour: f.th.Ink}
	if g.start {
		t.Font, t.Colour = draw.SansBold, f.th.Brass
	}
	return t
}

func (f *figure) flagTime(g pennant) draw.Text {
	return draw.Text{S: g.time, Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet}
}

// moments draws each moment as a thin upright through both staves, with its
// interval as a soft bar and its name at the top.
func (f *figure) moments() {
	over := f.Clip(draw.Box{X: f.x0, Y: 0, W: f.x1 - f.x0, H: f.H}.Path())
	for _, g := range f.flags {
		colour := f.th.Quiet
		if g.start {
			colour = f.th.Brass
		}
		lo, _, hi := f.xs(g.at)
		over.Fill(draw.Box{X: lo, Y: f.top, W: max(hi-lo, 0.1), H: f.bottom - f.top}.Path(), colour.Fade(0.13))
		sd := float64(g.at.SD)
		a, b := f.x(float64(g.at.Mean)-sd), f.x(float64(g.at.Mean)+sd)
		over.Fill(draw.Box{X: a, Y: f.top, W: max(b-a, 0.1), H: f.bottom - f.top}.Path(), colour.Fade(0.13))
		if !f.inside(float64(g.at.Mean)) {
			continue
		}
		y := f.top - 0.8
		if g.shown {
			y = f.top - 0.8 - draw.MM(g.row+1)*f.flagHeight() + 0.4
		}
		f.Stroke(draw.Segment(draw.Pt{X: g.x, Y: y}, draw.Pt{X: g.x, Y: f.bottom}), draw.Pen{Colour: colour, Width: 0.22})
		if g.shown {
			f.flag(g, y)
		}
	}
}

// flag writes the name of a moment, and below it its instant.
func (f *figure) flag(g pennant, y draw.MM) {
	anchor, x := draw.Start, g.x+flagPad
	if g.left {
		anchor, x = draw.End, g.x-flagPad
	}
	t := f.flagName(g)
	t.At, t.Anchor = draw.Pt{X: x, Y: y + f.ty.Label*0.82}, anchor
	f.Text(t)
	if g.time != "" {
		s := f.flagTime(g)
		s.At, s.Anchor = draw.Pt{X: x, Y: t.At.Y + f.ty.Fine*1.15}, anchor
		f.Text(s)
	}
}

// unnamed lists the moments and actions whose words found no room.
func (f *figure) unnamed() []string {
	var all []string
	for _, g := range f.flags {
		if !g.shown {
			all = append(all, fmt.Sprintf("“%s” at %s", g.name, plate.Seconds(g.at)))
		}
	}
	for _, n := range f.notes {
		if n.word.S != plate.Typeset(n.action.Word) {
			all = append(all, fmt.Sprintf("%s, %s: %s from %s", n.action.Who, n.action.Line, plate.Typeset(n.action.Word), plate.Seconds(n.from)))
		}
	}
	return all
}
