package plate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"mesure/show/draw"
)

// Fit composes a sheet of a fixed shape from a drawing that NewSheet began: its finding on
// top, its source line at the bottom, and between them its stretches, scaled together and
// set in one column or two. It tries every drawing handed in and takes the one of which
// most can be shown. Sentences are left out first, then pictures from the last, so that no
// type is smaller than the least of the layout; only where the first picture alone is too
// large is it scaled below that. It panics without a drawing, and for a layout without a
// height.
func Fit(l Layout, th draw.Theme, drawings ...*draw.Drawing) (*draw.Drawing, Fitted) {
	if l.Height() == 0 || len(drawings) == 0 {
		panic("plate: a fit needs a fixed shape and a drawing")
	}
	d, room, best := fitIn(l, th, drawings, "")
	if best.parts < best.of && best.parts > 0 {
		d, room, best = fitIn(l, th, drawings, fmt.Sprintf("Shows %d of %d parts, the report has all.", best.parts, best.of))
	}
	best.draw(d, room)
	return d, Fitted{Whole: !best.small && best.shown > 0.999, Least: best.least}
}

// fitIn writes finding and source line, with a word on what is left out at its end, and
// finds the arrangement that shows the most in the room between them.
func fitIn(l Layout, th draw.Theme, drawings []*draw.Drawing, left string) (*draw.Drawing, draw.Box, arrangement) {
	first := drawings[0]
	d := draw.New(l.Width(), l.Height(), first.Title, first.Desc)
	d.Ground, d.Source = th.Ground, strings.TrimSpace(first.Source+" "+left)
	room := headAndFoot(d, l, th)
	var best arrangement
	for _, from := range drawings {
		for columns := 1; columns <= 2; columns++ {
			if a, ok := arrange(from, room, columns, l.Least()); ok && (best.rows == nil || a.better(best)) {
				best = a
			}
		}
	}
	return d, room, best
}

// Fitted says how well a drawing fits a shape.
type Fitted struct {
	// Whole is true where every picture is shown and no type is too small.
	Whole bool
	// Least is the smallest type of the pictures.
	Least draw.MM
}

// headAndFoot writes the finding and the source line, and returns the room between them.
func headAndFoot(d *draw.Drawing, l Layout, th draw.Theme) draw.Box {
	ty := l.Type()
	side, above := l.Margin(), layouts[l].above
	inner := l.Width() - 2*side
	size := ty.Title
	title := draw.Balance(d.Title, draw.SerifBold, size, inner)
	if whole := (draw.Text{S: d.Title, Font: draw.SerifBold, Size: size}).Width(); l == Screen && whole > inner && whole*ty.Key/size <= inner {
		size *= inner / whole * 0.999 // a little smaller, and on one line
		title = []string{d.Title}
	}
	for ; len(title) > titleLines(l) && size > ty.Key; title = draw.Balance(d.Title, draw.SerifBold, size, inner) {
		size *= 0.95
	}
	fine := draw.Balance(together.Replace(d.Source), draw.Sans, ty.Fine, inner)
	if d.Source == "" {
		fine = nil
	}
	gap := ty.Title * 0.55
	top := above + size*draw.CapShare
	bodyTop := top + draw.MM(len(title)-1)*size*leading + size*draw.DescentShare + gap
	bottom := l.Height() - above
	fineTop := bottom - ty.Fine*draw.DescentShare - draw.MM(max(0, len(fine)-1))*ty.Fine*leading
	bodyBottom := fineTop - ty.Fine*draw.CapShare - gap
	if len(fine) == 0 {
		bodyBottom = bottom
	}
	d.Begin(draw.FindingStretch, draw.Box{X: side, Y: above, W: inner, H: bodyTop - gap - above})
	d.Paragraph(draw.Text{At: draw.Pt{X: side, Y: top}, S: strings.Join(title, "\n"), Font: draw.SerifBold, Size: size, Colour: th.Ink}, inner, size*leading)
	d.Begin(draw.SourceStretch, draw.Box{X: side, Y: bodyBottom + gap, W: inner, H: bottom - bodyBottom - gap})
	d.Paragraph(draw.Text{At: draw.Pt{X: side, Y: fineTop}, S: strings.Join(fine, "\n"), Font: draw.Sans, Size: ty.Fine, Colour: th.Quiet}, inner, ty.Fine*leading)
	room := draw.Box{X: side, Y: bodyTop, W: inner, H: bodyBottom - bodyTop}
	d.Begin(draw.FigureStretch, room)
	return room
}

// together keeps a number on the line of its doubt and its unit.
var together = strings.NewReplacer(" ± ", nb+"±"+nb, " ms", nb+"ms", " %", nb+"%", " cm", nb+"cm", " m ", nb+"m ")

// titleLines is how many lines a finding may have before its type gets smaller.
func titleLines(l Layout) int {
	if l == Screen {
		return 2
	}
	return 3
}

// unit is what is never parted: a head, its picture and the key below it.
type unit struct {
	stretches []draw.Stretch
	words     bool
	top, end  draw.MM // on the sheet that it comes from
	least     draw.MM // the smallest type in it
	box       draw.Box
	// keys came from a picture that was left out, as it explained this one too: from
	// keysTop to keysEnd on their sheet.
	keys             []draw.Stretch
	keysTop, keysEnd draw.MM
}

func (u unit) height() draw.MM { return u.end - u.top + u.keysEnd - u.keysTop }

// lines are all texts of a unit.
func (u unit) lines() []draw.Text {
	var all []draw.Text
	for _, s := range slices.Concat(u.stretches, u.keys) {
		all = append(all, s.Lines()...)
	}
	return all
}

// hand gives the axis and the legend of a picture that is left out to the one above it.
// A picture with a head of its own has a key of its own.
func (u unit) hand(above *unit) {
	if u.words || above.words || u.stretches[0].Kind == draw.HeadStretch {
		return
	}
	if len(u.keys) > 0 {
		above.keys, above.keysTop, above.keysEnd, above.least = u.keys, u.keysTop, u.keysEnd, min(above.least, u.least)
		return
	}
	for i, s := range u.stretches {
		if i > 0 && s.Kind == draw.KeyStretch {
			above.keys, above.keysTop, above.keysEnd, above.least = u.stretches[i:], s.Box.Y, u.end, min(above.least, u.least)
			return
		}
	}
}

// unitsOf parts the body of a sheet into its units, from the top.
func unitsOf(d *draw.Drawing) []unit {
	var all []unit
	body := d.H
	open := false // a head waits for what stands below it
	for _, s := range d.Stretches() {
		switch s.Kind {
		case draw.FindingStretch:
			continue
		case draw.SourceStretch:
			body = s.Box.Y
			continue
		}
		if n := len(all); n > 0 && (open || s.Kind == draw.KeyStretch && !all[n-1].words) {
			all[n-1].stretches = append(all[n-1].stretches, s)
			all[n-1].words = all[n-1].words || s.Kind == draw.WordsStretch
		} else {
			all = append(all, unit{stretches: []draw.Stretch{s}, words: s.Kind == draw.WordsStretch, top: s.Box.Y, box: s.Box})
		}
		open = s.Kind == draw.HeadStretch
	}
	if len(all) == 0 {
		w := d.Whole()
		all = []unit{{stretches: []draw.Stretch{w}, box: w.Box}}
		body = d.H
	}
	for i := range all {
		all[i].end = body
		if i+1 < len(all) {
			all[i].end = all[i+1].top
		}
		all[i].least = draw.MM(math.Inf(1))
		for _, t := range all[i].lines() {
			all[i].least = min(all[i].least, t.Size)
		}
	}
	return all
}

// arrangement is what stands in which column, at which scale.
type arrangement struct {
	rows        [][]unit // by column
	scale       float64
	width       draw.MM // of a column, on the sheet that it comes from
	shown, said float64 // share of the pictures and of the sentences that are kept
	least       draw.MM // the smallest type
	parts, of   int     // pictures that are kept, of so many
	small       bool    // it is smaller than it should be
}

func (a arrangement) better(b arrangement) bool {
	if a.small != b.small {
		return b.small
	}
	if math.Abs(a.shown-b.shown) > 0.01 {
		return a.shown > b.shown
	}
	if math.Abs(a.said-b.said) > 0.01 {
		return a.said > b.said
	}
	return a.scale > b.scale
}

// columnGap is the space between two columns.
const columnGap draw.MM = 7

// arrange finds what of a drawing can be shown in a room, and how large; false where it
// has no stretch, or no second column.
func arrange(d *draw.Drawing, room draw.Box, columns int, smallest draw.MM) (arrangement, bool) {
	units := unitsOf(d)
	if len(units) < columns {
		return arrangement{}, false
	}
	width := draw.MM(0)
	var pictures, sentences draw.MM
	of := 0
	for _, u := range units {
		width = max(width, u.box.W)
		if u.words {
			sentences += u.height()
		} else {
			pictures += u.height()
			of++
		}
	}
	fits := float64((room.W - columnGap*draw.MM(columns-1)) / draw.MM(columns) / width)
	for {
		least := draw.MM(math.Inf(1))
		for _, u := range units {
			least = min(least, u.least)
		}
		a := arrangement{width: width, said: 1}
		a.rows, a.scale = inColumns(units, room.H, columns, fits)
		a.least = least * draw.MM(a.scale)
		a.small = a.least < smallest*(1-1e-9)
		last := -1
		for i, u := range units {
			if u.words {
				last = i
			}
		}
		if last < 0 {
			last = len(units) - 1
		}
		if !a.small || last == 0 {
			var shown, said draw.MM
			a.of = of
			for _, u := range units {
				if u.words {
					said += u.height()
				} else {
					a.parts++
					shown += u.height()
				}
			}
			if pictures > 0 {
				a.shown = float64(shown / pictures)
			}
			if sentences > 0 {
				a.said = float64(said / sentences)
			}
			return a, len(a.rows) == columns
		}
		if last > 0 {
			units[last].hand(&units[last-1])
		}
		units = append(units[:last:last], units[last+1:]...)
	}
}

// inColumns sets units in so many columns at the largest scale at which they fit.
func inColumns(units []unit, room draw.MM, columns int, most float64) ([][]unit, float64) {
	fill := func(scale float64) [][]unit {
		rows, used := [][]unit{nil}, draw.MM(0)
		for _, u := range units {
			h := u.height() * draw.MM(scale)
			if n := len(rows); len(rows[n-1]) > 0 && used+h > room*(1+1e-9) {
				rows, used = append(rows, nil), 0
			}
			n := len(rows) - 1
			rows[n] = append(rows[n], u)
			used += h
			if used > room*(1+1e-9) {
				return nil
			}
		}
		if len(rows) > columns {
			return nil
		}
		return rows
	}
	if rows := fill(most); rows != nil {
		return rows, most
	}
	lo, hi := 0.0, most
	for range 40 {
		if mid := (lo + hi) / 2; fill(mid) != nil {
			lo = mid
		} else {
			hi = mid
		}
	}
	return fill(lo), lo
}

// draw sets the columns in the middle of the room.
func (a arrangement) draw(d *draw.Drawing, room draw.Box) {
	n := draw.MM(len(a.rows))
	s := draw.MM(a.scale)
	width := a.width * s
	x := room.X + (room.W-n*width-(n-1)*columnGap)/2
	tallest := draw.MM(0)
	for _, column := range a.rows {
		h := draw.MM(0)
		for _, u := range column {
			h += u.height() * s
		}
		tallest = max(tallest, h)
	}
	y0 := room.Y + (room.H-tallest)/2
	for _, column := range a.rows {
		y := y0
		for _, u := range column {
			for _, st := range u.stretches {
				d.Lift(st, x+(st.Box.X-u.box.X)*s, y+(st.Box.Y-u.top)*s, a.scale)
			}
			for _, st := range u.keys {
				d.Lift(st, x+(st.Box.X-u.box.X)*s, y+(u.end-u.top+st.Box.Y-u.keysTop)*s, a.scale)
			}
			y += u.height() * s
		}
		x += width + columnGap
	}
}
