package stave

import (
	"slices"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// lane is one line of the stave with the room for its words.
type lane struct {
	y, h draw.MM
	rows int // of words
}

// line returns the height of the line itself: below its words.
func (l lane) line() draw.MM { return l.y + l.h - 1.35 }

// note is one action as it is written.
type note struct {
	action   bout.Action
	line     int
	from, to quantity.Of[quantity.Seconds]
	x, end   draw.MM // of the head and of the end of the bar, cut to the sheet
	noted    bout.PhraseNote
	word     draw.Text
	detail   draw.Text // small behind the word; empty where there is no room
	row      int
	shown    bool // the word
	begun    bool // the head lies before the left end
}

const (
	headSize  draw.MM = 2.5
	headRoom  draw.MM = 0.9 // from the head's centre to where its word begins
	wordGap   draw.MM = 1.6 // between two words
	detailGap draw.MM = 1.1 // between a word and its detail
	laneBase  draw.MM = 2.4 // the line and what is around it
	bareBase  draw.MM = 1.5
	mostRows          = 4
	widest    draw.MM = 40 // of a word
	lanesDown         = 3
)

// written settles where the actions stand and in which row of its lane each has
// its word.
func (f *figure) written() []note {
	var all []note
	for _, a := range f.r.Touch.Actions {
		line := slices.Index(bout.StaveLines[:], a.Line)
		from, ok := f.r.When(a.Take, a.From)
		to, ok2 := f.r.When(a.Take, a.To)
		if line < 0 || !ok || !ok2 || a.Who > mark.Right {
			continue
		}
		if to.Mean < from.Mean {
			from, to = to, from
		}
		if float64(to.Mean) < f.t0 || float64(from.Mean) > f.t1 {
			continue
		}
		n := note{action: a, line: line, from: from, to: to, noted: f.noted(a.ID)}
		n.x, n.end = f.x(float64(from.Mean)), f.x(float64(to.Mean))
		n.begun = n.x < f.x0
		n.x, n.end = max(n.x, f.x0), min(n.end, f.x1)
		all = append(all, n)
	}
	slices.SortStableFunc(all, func(a, b note) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	for s := range f.lanes {
		for i := range lanesDown {
			f.words(all, mark.Side(s), i)
		}
	}
	return all
}

// words sets the words of one lane: each above its own head; where the word
// before it leaves no room, one row higher; where there is no row, shortened.
func (f *figure) words(all []note, who mark.Side, line int) {
	rows := mostRows
	if f.o.Bare {
		rows = 1
	}
	var in []*note
	for i := range all {
		if all[i].action.Who == who && all[i].line == line {
			in = append(in, &all[i])
		}
	}
	used := 1
	// From the right, so that a word in a higher row stands over later words and
	// never over the way down to its own head.
	starts := make([]draw.MM, rows) // where the words of a row begin, so far
	for r := range starts {
		starts[r] = f.x1 + wordGap
	}
	for i := len(in) - 1; i >= 0; i-- {
		n := in[i]
		n.word = draw.Text{S: plate.Typeset(n.action.Word), Font: draw.Sans, Size: f.ty.Label, Colour: f.th.Ink}
		n.word.S = shortened(n.word, widest)
		n.detail = draw.Text{S: detail(n.noted), Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet}
		w := n.word.Width()
		at := min(n.x-headSize/2, f.x1-w)
		// With its detail where there is room, else the word alone.
		for _, whole := range [2]draw.MM{w + detailGap + n.detail.Width(), w} {
			if n.detail.S == "" && whole > w {
				continue
			}
			at = min(n.x-headSize/2, f.x1-whole)
			for r := range rows {
				if at+whole+wordGap <= starts[r] && at >= f.x0-headSize {
					n.row, n.shown = r, true
					// The way down to its head goes through the rows below: no earlier
					// word may lie across it.
					for lower := range r + 1 {
						starts[lower] = min(starts[lower], at)
					}
					used = max(used, r+1)
					break
				}
			}
			if n.shown {
				break
			}
			n.detail.S = ""
		}
		if !n.shown && n.word.S != "" {
			at = n.x - headSize/2
			n.word.S = shortened(n.word, starts[0]-wordGap-at)
			if n.shown = n.word.S != ""; n.shown {
				starts[0] = at
			}
		}
		n.word.At.X = max(at, f.x0-headSize/2)
		n.detail.At.X = n.word.At.X + n.word.Width() + detailGap
	}
	f.lanes[who][line].rows = used
}

// shortened cuts a word to this width, with a sign that it goes on; empty where
// not even three letters fit.
func shortened(t draw.Text, width draw.MM) string {
	letters := []rune(t.S)
	for n := len(letters); n >= 3; n-- {
		t.S = string(letters[:n])
		if n < len(letters) {
			t.S += "…"
		}
		if t.Width() <= width {
			return t.S
		}
	}
	return ""
}

func (f *figure) rowHeight() draw.MM { return f.ty.Label * 1.12 }

func (f *figure) laneHeight(who mark.Side, line int) draw.MM {
	h := laneBase + draw.MM(max(1, f.lanes[who][line].rows))*f.rowHeight()
	if f.o.Bare {
		return max(h-laneBase+bareBase, leastTarget)
	}
	return h
}

// staffs draws the six lines with their names.
func (f *figure) staffs() {
	for _, who := range mark.Sides {
		hue := plate.Hue(f.th, who)
		for i, l := range f.lanes[who] {
			y := l.line()
			f.Stroke(draw.Segment(draw.Pt{X: f.x0, Y: y}, draw.Pt{X: f.x1, Y: y}), draw.Pen{Colour: f.th.Rule.Fade(0.55), Width: 0.2})
			f.Text(draw.Text{At: draw.Pt{X: f.x0 - 1.8, Y: y + f.ty.Fine*draw.XShare/2}, S: bout.StaveLines[i], Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet, Anchor: draw.End})
		}
		y := f.lanes[who][1].line()
		left := f.x0 - f.gutter()
		const size = 2.4
		f.Fill(plate.Shape(who, draw.Pt{X: left + size/2, Y: y}, size), hue)
		f.Text(draw.Text{At: draw.Pt{X: left + size + 1.1, Y: y + f.ty.Fine*draw.CapShare/2}, S: plate.Name(who), Font: draw.SansBold, Size: f.ty.Fine, Colour: hue})
	}
}

// actions draws every action: a bar over the frames on which it went on, soft at
// its ends where the clock of its take is, and at its start a head that leans
// forward or back.
func (f *figure) actions() {
	over := f.Clip(draw.Box{X: f.x0 - headSize, Y: 0, W: f.x1 - f.x0 + 2*headSize, H: f.H}.Path())
	for _, n := range f.notes {
		who := n.action.Who
		hue, l := plate.Hue(f.th, who), f.lanes[who][n.line]
		y := l.line()
		for _, q := range [2]quantity.Of[quantity.Seconds]{n.from, n.to} {
			if lo, _, hi := f.xs(q); hi-lo > 0.3 {
				lo, hi = max(lo, f.x0), min(hi, f.x1)
				over.Fill(draw.Box{X: lo, Y: y - 1.1, W: max(0, hi-lo), H: 2.2}.Path(), hue.Fade(0.22))
			}
		}
		bar(over, n.noted.Nature, draw.Pt{X: n.x, Y: y}, draw.Pt{X: n.end, Y: y}, hue)
		if float64(n.to.Mean) <= f.t1 {
			end := draw.Pt{X: n.end, Y: y}
			if n.noted.Result != "" && !n.begun { // never on its own head
				end.X = max(end.X, n.x+headSize)
			}
			ending(over, n.noted.Result, end, hue, f.th.Ground)
		}
		if !n.begun {
			heads(over, who, bout.LeanOf(n.action.Word), n.noted, draw.Pt{X: n.x, Y: y}, hue, f.th.Ground)
		}
		if n.shown {
			n.word.At.Y = y - 1.75 - draw.MM(n.row)*f.rowHeight()
			if n.row > 0 {
				x := max(n.x, n.word.At.X)
				f.Stroke(draw.Segment(draw.Pt{X: x, Y: n.word.At.Y + 0.7}, draw.Pt{X: x, Y: y - headSize/2}), draw.Pen{Colour: hue.Fade(0.7), Width: 0.18})
			}
			n.word.Halo, n.word.HaloWidth = f.th.Ground, 0.35
			f.Text(n.word)
			if n.detail.S != "" {
				n.detail.At.Y = n.word.At.Y
				n.detail.Halo, n.detail.HaloWidth = f.th.Ground, 0.35
				f.Text(n.detail)
			}
		}
	}
}

// head is the mark of the fencer, leaning forward or back by a shear: the square
// becomes a rhomboid and the disc a slanting ellipse.
func head(who mark.Side, lean bout.Lean, c draw.Pt) *draw.Path {
	if lean == bout.Level {
		return plate.Shape(who, c, headSize)
	}
	const tilt = 0.62 // of the height
	k := draw.MM(lean) * tilt
	at := func(dx, dy draw.MM) (draw.MM, draw.MM) { return c.X + dx - k*dy, c.Y + dy }
	h := headSize / 2
	if who == mark.Left {
		p := new(draw.Path)
		for i, q := range [4][2]draw.MM{{-h, -h}, {h, -h}, {h, h}, {-h, h}} {
			x, y := at(q[0], q[1])
			if i == 0 {
				p.Move(x, y)
			} else {
				p.Line(x, y)
			}
		}
		return p.Close()
	}
	// The disc of plate.Shape, sheared: cubics stay cubics under a shear.
	const kappa = 0.5522847498307936 // handles of a quarter circle, 4(√2−1)/3
	r := h * 1.1284
	curve := [4][3][2]draw.MM{
		{{r, kappa * r}, {kappa * r, r}, {0, r}},
		{{-kappa * r, r}, {-r, kappa * r}, {-r, 0}},
		{{-r, -kappa * r}, {-kappa * r, -r}, {0, -r}},
		{{kappa * r, -r}, {r, -kappa * r}, {r, 0}},
	}
	x, y := at(r, 0)
	p := new(draw.Path).Move(x, y)
	for _, q := range curve {
		ax, ay := at(q[0][0], q[0][1])
		bx, by := at(q[1][0], q[1][1])
		cx, cy := at(q[2][0], q[2][1])
		p.Curve(ax, ay, bx, by, cx, cy)
	}
	return p.Close()
}
