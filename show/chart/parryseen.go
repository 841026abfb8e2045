package chart

import (
	"errors"
	"math"
	"strings"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/study"
	"mesure/timing"
)

// ErrNoParrySeen says that the reading has no parry that was seen.
var ErrNoParrySeen = errors.New("no parry was seen here: write it on the stave, with both blades marked before and after it")

// ParrySeen draws a parry that was seen against what its own distance asked for: the
// turn of the other blade and the smallest one that would have served, on one scale,
// with what was made beyond it; how far the line of the point then passes the target, on
// a scale of what is too small, enough and larger than needed; and the race of the
// riposte after it.
//
// It returns ErrNoParrySeen where the reading has neither a parry that was seen nor a
// riposte, ErrNoParry without any parry, and panics without a reading of a touch.
func ParrySeen(r *study.Reading, o Options) (*draw.Drawing, error) {
	if r == nil || r.Touch == nil {
		panic("chart: a parry needs a reading of a touch")
	}
	c, err := newParried(r, o)
	if err != nil {
		return nil, err
	}
	var parts []part
	finding, desc := "", ""
	if c.p.Riposte != nil {
		finding = c.p.Riposte.Finding
		parts = c.riposte(c.p.Observed != nil)
	}
	if s := c.p.Observed; s != nil {
		if j := s.Judged; j.Draws < 1 || !j.Made.IsValid() || !j.Asked.IsValid() || !j.Clear.IsValid() {
			return nil, ErrNoParrySeen
		}
		words, more := headline(s.Finding)
		if finding = words; finding == "" {
			finding = plate.Name(c.p.Defender) + "’s parry: " + plate.SizeWords(s.Judged.Size)
		}
		desc = "The parry seen turned the other blade by " + plate.Degrees(s.Judged.Made) + ", asked for was " + plate.Degrees(s.Judged.Asked) + ": " + plate.SizeWords(s.Judged.Size) + ", " + s.Judged.Reason + "."
		parts = append([]part{headed("The turn of the other blade"), c.turnBars(), headed("By how much its line then passes the " + c.target()), c.clearance(),
			said(c.o, c.reason()), said(c.o, more)}, parts...)
	}
	if len(parts) == 0 {
		return nil, ErrNoParrySeen
	}
	if desc == "" {
		var more string
		desc = finding
		finding, more = headline(finding)
		parts = append(parts, said(c.o, more))
	}
	return leafOf(c.o, finding, desc, parrySource(r, o.anonymous()), parts), nil
}

// sentenceOf ends words with a full stop.
func sentenceOf(s string) string {
	if s == "" || strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}

// reason is why the parry is called what it is, and who had the leverage in it.
func (c *parried) reason() string {
	j := c.p.Observed.Judged
	s := capital(plate.SizeWords(j.Size)) + ": " + j.Reason + "."
	if j.Size == timing.SizeNone {
		s = capital(j.Reason) + "."
	}
	if j.Leverage.IsValid() && 2*j.Touching.Mean >= 1 {
		s += " The own " + string(j.DefenderPart) + " holds the other’s " + string(j.AttackerPart) + ", leverage " + plate.FigureOf(j.Leverage, inTimes).Text + "."
	}
	return s + " The hand travelled " + plate.Centimetres(j.Travel) + " and the own blade turned by " + plate.Degrees(j.Sweep) + "."
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

const turnRow draw.MM = 6

// turnBars are the turn that was made and the smallest that would have served, on one
// scale; what was made beyond it is hatched.
func (c *parried) turnBars() part {
	j := c.p.Observed.Judged
	rows := []struct {
		words string
		q     quantity.Of[quantity.Radians]
		own   bool
	}{{"asked before it closed", j.AskedBefore, false}, {"asked", j.Asked, false}, {"made", j.Made, true}}
	if !(j.Asked.Mean > j.AskedBefore.Mean*quantity.Radians(timing.ClosingAsked)) {
		rows = rows[1:]
	}
	return part{height: draw.MM(len(rows))*turnRow + axisHeight, draw: func(l *leaf, b draw.Box) {
		th := c.o.Theme
		left := draw.MM(0)
		for _, r := range rows {
			left = max(left, draw.Text{S: r.words, Font: draw.Serif, Size: l.Type.Text}.Width())
		}
		left += 3
		longest := 5 * math.Pi / 180
		for _, r := range rows {
			longest = math.Max(longest, float64(r.q.Hi))
		}
		const number = 22 // room for a number after the longest bar
		per := (b.W - left - number) / draw.MM(longest)
		x := func(r quantity.Radians) draw.MM { return b.X + left + per*draw.MM(math.Max(0, float64(r))) }
		for i, r := range rows {
			mid := b.Y + turnRow*draw.MM(i) + turnRow/2
			colour := th.Brass
			if r.own {
				colour = c.hue(c.p.Defender)
			} else if len(rows) == 3 && i == 0 {
				colour = th.Quiet
			}
			l.Text(draw.Text{At: draw.Pt{X: b.X, Y: mid + l.Type.Text*draw.XShare/2}, S: r.words, Font: draw.Serif, Size: l.Type.Text, Colour: th.Ink})
			end := r.q.Mean
			bar := func(from, to quantity.Radians) *draw.Path {
				return draw.Box{X: x(from), Y: mid - 1.6, W: max(x(to)-x(from), 0.01), H: 3.2}.Path()
			}
			if r.own && end > j.Asked.Mean {
				l.Fill(bar(0, j.Asked.Mean), colour.Fade(0.55))
				l.Hatch(bar(j.Asked.Mean, end), draw.Hatch{Colour: colour, Width: 0.3, Gap: 0.9, Rising: true})
				l.Stroke(bar(j.Asked.Mean, end), draw.Pen{Colour: colour, Width: 0.25})
			} else {
				l.Fill(bar(0, end), colour.Fade(0.55))
			}
			band(l, r.q, mid, 4.2, x, colour)
			l.Stroke(draw.Segment(draw.Pt{X: x(end), Y: mid - 2.4}, draw.Pt{X: x(end), Y: mid + 2.4}), draw.Pen{Colour: colour, Width: 0.7})
			words := plate.Degrees(r.q)
			l.Text(draw.Text{At: draw.Pt{X: x(r.q.Hi) + 1.5, Y: mid + l.Type.Label*draw.CapShare/2}, S: words, Font: draw.SansBold, Size: l.Type.Label, Colour: colour})
		}
		y := b.Y + turnRow*draw.MM(len(rows))
		degrees := longest * 180 / math.Pi
		axisOf(l, draw.Box{X: b.X, Y: y, W: b.W, H: axisHeight}, b.X+left, degrees, float64(per)*math.Pi/180, degreeStep(degrees), 1, "degrees about the attacker’s hand; hatched what is beyond the smallest turn")
	}}
}

func degreeStep(longest float64) float64 {
	for _, s := range [...]float64{1, 2, 5, 10, 20, 30} {
		if longest/s <= 7 {
			return s
		}
	}
	return 45
}

// Heights of the scale of the clearance.
const (
	clearHead draw.MM = 9.4
	clearHigh draw.MM = 7
)

// Lengths on the scale of the clearance, in metres.
const (
	clearLeast = -0.10
	clearMost  = 0.20
)

// clearance is the verdict: how far the line passes the target after the parry, on a
// scale with what is too small, enough and larger than needed.
func (c *parried) clearance() part {
	j := c.p.Observed.Judged
	high := clearHead + clearHigh + axisHeight + c.chanceRows()
	return part{height: high, draw: func(l *leaf, b draw.Box) {
		th := c.o.Theme
		margin := float64(c.p.Parry.Margin)
		lo := math.Max(-0.4, math.Min(clearLeast, float64(j.Clear.Lo)-0.02))
		hi := math.Min(0.6, math.Max(clearMost, float64(j.Clear.Hi)+0.02))
		const edge = 3
		per := (b.W - 2*edge) / draw.MM(hi-lo)
		x := func(v quantity.Metres) draw.MM {
			return b.X + edge + per*draw.MM(math.Max(lo, math.Min(hi, float64(v)))-lo)
		}
		y := b.Y + clearHead
		zones := []struct {
			from, to float64
			words    string
		}{{lo, 0, "meets it"}, {0, margin, "too small"}, {margin, margin + float64(timing.ParryExcess), "enough"}, {margin + float64(timing.ParryExcess), hi, "larger than needed"}}
		upright := draw.Box{X: x(j.Clear.Mean) - 0.6, Y: b.Y + 4, W: 1.2, H: clearHead}
		taken := &words{room: draw.Box{X: b.X, Y: b.Y - 1, W: b.W, H: b.H}, taken: []draw.Box{upright}}
		var later []func() // "enough" has its place first
		for i, z := range zones {
			box := draw.Box{X: x(quantity.Metres(z.from)), Y: y, W: x(quantity.Metres(z.to)) - x(quantity.Metres(z.from)), H: clearHigh}
			switch i {
			case 0:
				l.Fill(box.Path(), c.hue(c.p.Defender).Fade(0.22))
			case 1:
				l.Hatch(box.Path(), draw.Hatch{Colour: c.hue(c.p.Defender).Fade(0.6), Width: 0.2, Gap: 1})
			case 2:
				l.Stroke(box.Path(), draw.Pen{Colour: th.Ink, Width: 0.5})
			default:
				l.Fill(box.Path(), th.Faint)
			}
			t := draw.Text{S: z.words, Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.Middle}
			if i == 2 {
				t.Font, t.Colour = draw.SansBold, th.Ink
			}
			// Beside the upright only on the own side of it; else the line below names it.
			mid, half := box.X+box.W/2, t.Width()/2+0.5
			beside := upright.Right() + half
			if mid < upright.X+upright.W/2 {
				beside = upright.X - half
			}
			name := func() { taken.put(l, t, draw.Pt{X: mid, Y: y - 1.4}, draw.Pt{X: beside, Y: y - 1.4}) }
			if i == 2 {
				name()
			} else {
				later = append(later, name)
			}
		}
		for _, name := range later {
			name()
		}
		mid := y + clearHigh/2
		colour := c.hue(c.p.Defender)
		band(l, j.Clear, mid, 4.4, x, colour)
		l.Stroke(draw.Segment(draw.Pt{X: x(j.Clear.Mean), Y: b.Y + 4.4}, draw.Pt{X: x(j.Clear.Mean), Y: y + clearHigh + 0.6}), draw.Pen{Colour: colour, Width: 0.8})
		// The number stands above the words, where it cannot be taken for one of them.
		t := draw.Text{S: plate.Centimetres(j.Clear), Font: draw.SansBold, Size: l.Type.Label, Colour: colour, Anchor: draw.Middle, At: draw.Pt{X: x(j.Clear.Mean), Y: b.Y + 3.4}}
		if t.Box().Right() > b.Right() {
			t.At.X, t.Anchor = b.Right(), draw.End
		} else if t.Box().X < b.X {
			t.At.X, t.Anchor = b.X, draw.Start
		}
		l.Text(t)
		c.clearAxis(l, draw.Box{X: b.X, Y: y + clearHigh, W: b.W, H: axisHeight}, lo, hi, x)
		c.chances(l, draw.Box{X: b.X, Y: y + clearHigh + axisHeight, W: b.W, H: c.chanceRows()})
	}}
}

func (c *parried) clearAxis(l *leaf, b draw.Box, lo, hi float64, x func(quantity.Metres) draw.MM) {
	th := c.o.Theme
	y := b.Y + 0.8
	pen := draw.Pen{Colour: th.Rule, Width: 0.25}
	l.Stroke(draw.Segment(draw.Pt{X: x(quantity.Metres(lo)), Y: y}, draw.Pt{X: x(quantity.Metres(hi)), Y: y}), pen)
	step := 0.05
	if hi-lo > 0.45 {
		step = 0.1
	}
	for i := math.Ceil(lo/step - 1e-9); i*step <= hi+1e-9; i++ {
		px := x(quantity.Metres(i * step))
		l.Stroke(draw.Segment(draw.Pt{X: px, Y: y}, draw.Pt{X: px, Y: y + 1}), pen)
		l.Text(draw.Text{At: draw.Pt{X: px, Y: y + 4}, S: strings.Replace(strings.TrimSuffix(plate.Centimetres(quantity.Exactly(quantity.Metres(i*step))), nb+"cm"), "-", "−", 1), Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.Middle})
	}
	l.Text(draw.Text{At: draw.Pt{X: b.Right(), Y: y + 7.4}, S: "centimetres between the line and the " + c.target(), Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet, Anchor: draw.End})
}

// sizes are those of a parry that are worth a word: that nothing was asked only where it
// may be so.
func (c *parried) sizes() []int {
	if c.p.Observed.Judged.Chances[0].Mean < 0.005 {
		return []int{1, 2, 3}
	}
	return []int{0, 1, 2, 3}
}

func (c *parried) chanceColumns() int {
	if c.o.Layout == plate.Phone {
		return 2
	}
	return 4
}

// chanceRows is the room for the chances of the sizes.
func (c *parried) chanceRows() draw.MM {
	n := c.chanceColumns()
	return draw.MM((len(c.sizes())+n-1)/n)*4.4 + 1
}

// chances says how likely each size is.
func (c *parried) chances(l *leaf, b draw.Box) {
	j, n := c.p.Observed.Judged, c.chanceColumns()
	w := b.W / draw.MM(min(n, len(c.sizes())))
	for k, i := range c.sizes() {
		s := timing.Sizes()[i]
		f, colour := draw.Sans, l.Theme.Quiet
		if s == j.Size {
			f, colour = draw.SansBold, l.Theme.Ink
		}
		l.Text(draw.Text{At: draw.Pt{X: b.X + w*draw.MM(k%n), Y: b.Y + 3 + 4.4*draw.MM(k/n)}, S: plate.SizeWords(s) + " " + plate.Percent(j.Chances[i]), Font: f, Size: l.Type.Fine, Colour: colour})
	}
}

// riposte is the race after the parry, one bar for each way.
func (c *parried) riposte(says bool) []part {
	r := c.p.Riposte
	ways := []struct {
		words string
		w     timing.RiposteWay
	}{{"direct", r.Result.Direct}, {"along the blade", r.Result.AlongTheBlade}, {"with a disengage", r.Result.Indirect}}
	const row = 8.4
	words := ""
	if says {
		words = sentenceOf(r.Finding)
	}
	finding := said(c.o, words)
	return []part{headed("The riposte against the remise"), {height: row*draw.MM(len(ways)) + 1, draw: func(l *leaf, b draw.Box) {
		th := c.o.Theme
		left := draw.MM(0)
		for _, w := range ways {
			left = max(left, draw.Text{S: w.words, Font: draw.Serif, Size: l.Type.Text}.Width())
		}
		left += 3
		for i, w := range ways {
			y := b.Y + row*draw.MM(i)
			l.Text(draw.Text{At: draw.Pt{X: b.X, Y: y + 2.2 + l.Type.Text*draw.XShare/2}, S: w.words, Font: draw.Serif, Size: l.Type.Text, Colour: th.Ink})
			x := b.X + left
			wide := b.W - left
			both := outcome{chance: w.w.Both, left: true, right: true}
			own := outcome{chance: w.w.RiposteOnly, left: c.p.Defender == 0, right: c.p.Defender != 0}
			other := outcome{chance: w.w.RemiseOnly, left: c.p.Defender != 0, right: c.p.Defender == 0}
			for _, o := range []outcome{own, both, other, {chance: w.w.Neither}} {
				part := wide * draw.MM(o.chance.Mean)
				(&race{Sheet: l.Sheet}).outcomeFill(o, draw.Box{X: x, Y: y, W: part, H: 4})
				x += part
			}
			says := "riposte alone " + plate.Percent(w.w.RiposteOnly) + ", both " + plate.Percent(w.w.Both) + ", remise alone " + plate.Percent(w.w.RemiseOnly)
			t := draw.Text{At: draw.Pt{X: b.X + left, Y: y + 7}, S: says, Font: draw.Sans, Size: l.Type.Fine, Colour: th.Quiet}
			if t.Box().Right() > b.Right() {
				t.S = "riposte " + plate.Percent(w.w.RiposteOnly) + ", both " + plate.Percent(w.w.Both) + ", remise " + plate.Percent(w.w.RemiseOnly)
			}
			l.Text(t)
		}
	}}, finding}
}
