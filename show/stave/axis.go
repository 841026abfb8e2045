package stave

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// axis draws the ruler of true time, and where frames stand wide enough apart a
// tick for each of them.
func (f *figure) axis(clocks []Clock) {
	y := f.axisY
	pen := draw.Pen{Colour: f.th.Rule, Width: 0.25}
	f.Stroke(draw.Segment(draw.Pt{X: f.x0, Y: y}, draw.Pt{X: f.x1, Y: y}), pen)
	f.frames(clocks, y)

	step, decimals := f.step()
	for i := math.Ceil(f.t0/step - 1e-9); i*step <= f.t1+1e-9; i++ {
		x := f.x(i * step)
		f.Stroke(draw.Segment(draw.Pt{X: x, Y: y}, draw.Pt{X: x, Y: y + 1.1}), pen)
		s := strconv.FormatFloat(math.Abs(i*step), 'f', decimals, 64)
		if i < 0 {
			s = "−" + s
		}
		t := draw.Text{At: draw.Pt{X: x, Y: y + 1.5 + f.ty.Fine*draw.CapShare + 0.4}, S: s, Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet, Anchor: draw.Middle}
		if b := t.Box(); b.Right() <= f.x1+1.5 && b.X >= f.x0-f.gutter() {
			f.Text(t)
		}
	}
	words := "seconds, true time"
	if f.o.Bare {
		f.Text(draw.Text{At: draw.Pt{X: f.x0 - f.gutter(), Y: y + 1.5 + f.ty.Fine*draw.CapShare + 0.4}, S: "seconds", Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet})
		return
	}
	f.Text(draw.Text{At: draw.Pt{X: f.x1, Y: y + 7.4}, S: words, Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet, Anchor: draw.End})
	f.Text(draw.Text{At: draw.Pt{X: f.x0 - f.gutter(), Y: y + 7.4}, S: f.key(), Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet})
	f.legend(&f.Group, f.keys, y+axisHeight+legendGap-1)
}

func (f *figure) key() string {
	if f.o.Layout == plate.Phone {
		return "white space: the measure, to scale"
	}
	return "white space: the measure, to scale; hatched between the frames that were measured"
}

// step returns the distance of the numbers of the ruler and their decimals.
func (f *figure) step() (step float64, decimals int) {
	most := math.Max(2, math.Floor(float64((f.x1-f.x0)/(f.ty.Fine*5.5))))
	for d := 3; d >= -3; d-- {
		for _, m := range [...]float64{1, 2, 5} {
			if step = m * math.Pow(10, -float64(d)); (f.t1-f.t0)/step <= most {
				return step, max(0, d)
			}
		}
	}
	return f.t1 - f.t0, 0
}

// leastTick is how far apart the frames must stand to be told apart.
const leastTick draw.MM = 0.8

func (f *figure) frames(clocks []Clock, y draw.MM) {
	ticks := new(draw.Path)
	for _, c := range clocks {
		n := len(c.Times)
		if n < 2 || (f.x(float64(c.Times[n-1]))-f.x(float64(c.Times[0])))/draw.MM(n-1) < leastTick {
			continue
		}
		for _, t := range c.Times {
			if f.inside(float64(t)) {
				ticks.Move(f.x(float64(t)), y).Line(f.x(float64(t)), y-0.7)
			}
		}
	}
	f.Stroke(ticks, draw.Pen{Colour: f.th.Rule.Fade(0.8), Width: 0.14})
}

// finding says in one sentence what the stave shows.
func (f *figure) finding() string {
	all := gauges(f.r)
	switch n := len(all); {
	case n > 1:
		a, b := all[0], all[n-1]
		verb := "goes from"
		// Only what the doubts of both cannot explain is a change.
		if d := float64(a.gap.Gap.Mean - b.gap.Gap.Mean); math.Abs(d) > 2*math.Hypot(float64(a.gap.Gap.SD), float64(b.gap.Gap.SD)) {
			if d > 0 {
				verb = "closes from"
			} else {
				verb = "opens from"
			}
		}
		return fmt.Sprintf("The measure %s %s%s to %s%s", verb, plate.Metres(a.gap.Gap), f.when(a.in), plate.Metres(b.gap.Gap), f.when(b.in))
	case n == 1:
		g := all[0].gap
		return fmt.Sprintf("%s’s point is %s from the %s%s", plate.Name(g.Of), plate.Metres(g.Gap), plate.TargetWords(g.Target), f.when(all[0].in))
	case len(f.r.Touch.Actions) > 0:
		return "The phrase in true time"
	}
	return "The phrase, still to be written"
}

// when names the moment of an instant, as words that follow on.
func (f *figure) when(in study.Instant) string {
	for _, m := range f.r.Moments {
		if in.Moment != "" && m.Moment.ID == in.Moment {
			return " at “" + momentName(m) + "”"
		}
	}
	return ""
}

// desc says for those who cannot see it what stands on the stave.
func (f *figure) desc() string {
	if f.o.Bare {
		return "" // the desk has lists of its own
	}
	var b strings.Builder
	b.WriteString("Time runs to the right. ")
	for _, m := range f.r.Moments {
		fmt.Fprintf(&b, "Moment “%s” at %s. ", momentName(m), plate.Seconds(m.At))
	}
	for _, who := range mark.Sides {
		for _, n := range f.notes {
			if a := n.action; a.Who == who {
				said := ""
				if s := inWords(n.noted); s != "" {
					said = " (" + s + ")"
				}
				fmt.Fprintf(&b, "%s, %s: %s from %s to %s. ", plate.Name(who), a.Line, plate.Typeset(a.Word)+said, plate.Seconds(n.from), plate.Seconds(n.to))
			}
		}
	}
	for _, g := range gauges(f.r) {
		fmt.Fprintf(&b, "%s from %s’s point to the %s at %s. ", plate.Metres(g.gap.Gap), strings.ToLower(plate.Name(g.gap.Of)), plate.TargetWords(g.gap.Target), plate.Seconds(g.in.At))
	}
	return strings.TrimSpace(b.String())
}

func (f *figure) source() string {
	from := []string{plate.Origin(f.r.Touch, f.o.HideNames || f.o.Names == plate.Anonymous)}
	if len(gauges(f.r)) > 0 {
		from = append(from, "the measure is the nearer point’s gap to its nearest target")
	}
	if u := f.unnamed(); len(u) > 0 {
		from = append(from, "without room for their words: "+strings.Join(u, ", "))
	}
	return plate.Sentences(append(from, plate.DoubtNote)...)
}
