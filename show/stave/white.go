package stave

import (
	"math"
	"slices"
	"strconv"

	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// gauge is the measure at one instant: the smaller of the two nearest gaps.
type gauge struct {
	in  study.Instant
	gap study.Gap
	x   draw.MM
}

// gauges lists the measure at every instant at which there is one, in time.
func gauges(r *study.Reading) []gauge {
	var all []gauge
	for _, in := range r.Instants {
		if !in.At.IsValid() {
			continue
		}
		if g, ok := Measure(in); ok {
			all = append(all, gauge{in: in, gap: g})
		}
	}
	slices.SortStableFunc(all, func(a, b gauge) int {
		switch {
		case a.in.At.Mean < b.in.At.Mean:
			return -1
		case a.in.At.Mean > b.in.At.Mean:
			return 1
		}
		return 0
	})
	return all
}

// Measure returns the gap that the white space shows at an instant: the smallest
// that was measured, of whichever fencer. It is false where none was.
func Measure(in study.Instant) (study.Gap, bool) {
	best, found := study.Gap{}, false
	for _, g := range in.Gaps {
		if g.Gap.IsValid() && (!found || g.Gap.Mean < best.Gap.Mean) {
			best, found = g, true
		}
	}
	return best, found
}

// whiteHeight returns the height of the white space beside this height of names
// and lines; a bare stave gives it what is left.
func (f *figure) whiteHeight(rest draw.MM) draw.MM {
	switch {
	case f.o.Bare && f.o.H > 0:
		return max(leastWhite, min(f.o.H, mostH)-rest-bareAxis-2*bareMargin)
	case f.o.Bare:
		return 20
	case f.o.Layout == plate.Phone:
		return 32
	}
	return 36
}

const (
	measured draw.MM = 2.6 // width of a measured place
	apart    draw.MM = 1   // of a number from what stands beside it
)

// leastWhite is the least height at which a measure can still be seen to close.
const leastWhite draw.MM = 6

// reachOf is how many metres the white space is high: the least of these steps
// that holds every gap of the reading with its doubt, so that zooming in time
// does not change it.
func reachOf(all []gauge) float64 {
	most := 0.0
	for _, g := range all {
		most = math.Max(most, float64(g.gap.Gap.Hi))
	}
	for _, step := range [...]float64{0.5, 1, 1.5, 2, 3, 4, 6, 8, 10, 14} {
		if most <= step {
			return step
		}
	}
	return most
}

// measure draws the white space: at each measured instant the blade lines stand
// as far apart as the measure is, with its doubt as a soft band at both; between
// two of them the staves reach out in a light hatch that claims nothing; where
// nothing was measured a dotted line keeps its place.
func (f *figure) measure() {
	all := gauges(f.r)
	f.reach = reachOf(all)
	mid, k := f.white.Y+f.white.H/2, float64(f.white.H)/f.reach/2
	half := func(m float64) draw.MM { return draw.MM(math.Max(0, m) * k) }
	for i := range all {
		all[i].x = f.x(float64(all[i].in.At.Mean))
	}
	box := draw.Box{X: f.x0, Y: f.white.Y, W: f.white.W, H: f.white.H}
	over := f.Clip(box.Grow(0.3).Path())

	first, last := f.x1, f.x1
	if len(all) > 0 {
		first, last = max(f.x0, min(all[0].x, f.x1)), max(f.x0, min(all[len(all)-1].x, f.x1))
	}
	for _, who := range mark.Sides {
		hue, sign, edge := plate.Hue(f.th, who), draw.MM(-1), f.white.Y
		if who == mark.Right {
			sign, edge = 1, f.white.Bottom()
		}
		dots := draw.Pen{Colour: f.th.Rule, Width: 0.3, Dash: []draw.MM{0.3, 1.5}, Cap: draw.RoundCap}
		for _, d := range [2][2]draw.MM{{f.x0, first}, {last, f.x1}} {
			if d[1]-d[0] > 1 {
				f.Stroke(draw.Segment(draw.Pt{X: d[0], Y: edge}, draw.Pt{X: d[1], Y: edge}), dots)
			}
		}
		if len(all) > 1 {
			pts := []draw.Pt{{X: all[0].x, Y: edge}}
			for _, g := range all {
				pts = append(pts, draw.Pt{X: g.x, Y: mid + sign*half(float64(g.gap.Gap.Mean))})
			}
			between := slices.Clone(pts[1:])
			pts = append(pts, draw.Pt{X: all[len(all)-1].x, Y: edge})
			if p, ok := f.seen(pts); ok {
				over.Fill(draw.Polygon(p...), hue.Fade(0.07))
				over.Hatch(draw.Polygon(p...), draw.Hatch{Colour: hue.Fade(0.32), Width: 0.16, Gap: 1.3, Rising: who == mark.Left})
			}
			over.Stroke(draw.Polyline(f.near(between)...), draw.Pen{Colour: hue.Fade(0.75), Width: 0.25, Dash: []draw.MM{1.2, 0.9}})
		}
		for _, g := range all {
			if !f.inside(float64(g.in.At.Mean)) {
				continue
			}
			q := g.gap.Gap
			lo, hi := half(float64(q.Lo)), half(float64(q.Hi))
			in, out := half(float64(q.Mean-q.SD)), half(float64(q.Mean+q.SD))
			at := half(float64(q.Mean))
			const w = measured
			soft := func(a, b draw.MM) {
				over.Fill(draw.Box{X: g.x - w/2, Y: min(mid+sign*a, mid+sign*b), W: w, H: b - a}.Path(), hue.Fade(0.3))
			}
			soft(lo, hi)
			soft(in, out)
			over.Stroke(draw.Segment(draw.Pt{X: g.x, Y: edge}, draw.Pt{X: g.x, Y: mid + sign*at}), draw.Pen{Colour: hue.Fade(0.8), Width: 0.3})
			over.Stroke(draw.Segment(draw.Pt{X: g.x - w/2, Y: mid + sign*at}, draw.Pt{X: g.x + w/2, Y: mid + sign*at}), draw.Pen{Colour: hue, Width: 0.7})
		}
	}
	if len(all) > 0 {
		f.scale(k)
	}
}

// seen returns the part of a band that is near the sheet, so that a hatch has no
// thousand lines for a phrase of which a tenth of a second is shown. It is false
// where nothing of it is.
func (f *figure) seen(pts []draw.Pt) ([]draw.Pt, bool) {
	if pts[len(pts)-1].X < f.x0 || pts[0].X > f.x1 {
		return nil, false
	}
	edge := pts[0].Y
	in := f.near(pts[1 : len(pts)-1])
	out := append([]draw.Pt{{X: in[0].X, Y: edge}}, in...)
	return append(out, draw.Pt{X: in[len(in)-1].X, Y: edge}), true
}

// near cuts a line that runs to the right at the edges of the sheet.
func (f *figure) near(line []draw.Pt) []draw.Pt {
	cut := func(a, b draw.Pt, x draw.MM) draw.Pt {
		return draw.Pt{X: x, Y: a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)}
	}
	var out []draw.Pt
	for i, p := range line {
		if i > 0 {
			q := line[i-1]
			for _, x := range [2]draw.MM{f.x0, f.x1} {
				if q.X < x && x < p.X {
					out = append(out, cut(q, p, x))
				}
			}
		}
		if p.X >= f.x0 && p.X <= f.x1 {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return line[:1]
	}
	return out
}

// scale draws beside the white space how long a metre is on it.
func (f *figure) scale(k float64) {
	length := 1.0
	switch {
	case f.reach < 1:
		length = 0.2
	case f.reach < 1.5:
		length = 0.5
	case f.reach > 4:
		length = 2
	}
	h := draw.MM(2 * k * length)
	mid := f.white.Y + f.white.H/2
	x := f.x0 - 1.6
	pen := draw.Pen{Colour: f.th.Quiet, Width: 0.25}
	f.Stroke(new(draw.Path).Move(x-0.8, mid-h/2).Line(x+0.8, mid-h/2).Move(x, mid-h/2).Line(x, mid+h/2).Move(x-0.8, mid+h/2).Line(x+0.8, mid+h/2), pen)
	words := strconv.FormatFloat(length, 'f', -1, 64) + nb + "m"
	t := draw.Text{At: draw.Pt{X: x - 1.6, Y: mid + f.ty.Fine*draw.CapShare/2}, S: words, Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet, Anchor: draw.End}
	f.Text(t)
}

// gaps prints the measure beside its instants where there is room, the instant of
// the race first, then those of moments, then the others from the ends inwards.
func (f *figure) gaps() {
	all := gauges(f.r)
	if len(all) == 0 {
		words := "not measured yet: mark both fencers on a frame that is placed"
		t := draw.Text{At: draw.Pt{X: (f.x0 + f.x1) / 2, Y: f.white.Y + f.white.H/2 + f.ty.Fine*draw.CapShare/2}, S: words, Font: draw.Sans, Size: f.ty.Fine, Colour: f.th.Quiet, Anchor: draw.Middle, Halo: f.th.Ground, HaloWidth: 0.6}
		if t.Width() > f.white.W-2 {
			t.S = "not measured yet"
		}
		f.Text(t)
		return
	}
	rank := func(i int) int {
		switch in := all[i].in; {
		case f.r.Race != nil && in.Take == f.r.Race.Take && in.Frame == f.r.Race.Frame:
			return 0
		case in.Moment != "":
			return 1
		}
		return 2 + min(i, len(all)-1-i)
	}
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rank(a) - rank(b) })

	var taken []draw.Box
	for _, g := range all { // no number stands on a measured place
		x := f.x(float64(g.in.At.Mean))
		taken = append(taken, draw.Box{X: x - measured/2, Y: f.white.Y, W: measured, H: f.white.H})
	}
	for _, i := range order {
		f.number(all[i], &taken)
	}
}

// number prints one measure: right or left of its instant, in the middle of the
// white space or off it.
func (f *figure) number(g gauge, taken *[]draw.Box) {
	if !f.inside(float64(g.in.At.Mean)) {
		return
	}
	x := f.x(float64(g.in.At.Mean))
	hue := plate.Hue(f.th, g.gap.Of)
	const size = 2.2
	t := draw.Text{S: plate.Metres(g.gap.Gap), Font: draw.SansBold, Size: f.ty.Label, Colour: hue, Halo: f.th.Ground, HaloWidth: 0.6}
	w := t.Width() + size + 0.9
	h := f.ty.Label * 1.1
	mid := f.white.Y + f.white.H/2
	var offs []draw.MM
	for o := draw.MM(0); o+h/2 < f.white.H/2; o += h {
		offs = append(offs, -o, o)
	}
	for _, off := range offs {
		for _, left := range [2]bool{false, true} {
			const away = measured/2 + apart + 0.2
			b := draw.Box{X: x + away, Y: mid + off - h/2, W: w, H: h}
			if left {
				b.X = x - away - w
			}
			if b.X < f.x0 || b.Right() > f.x1 || slices.ContainsFunc(*taken, b.Grow(apart).Meets) {
				continue
			}
			f.Fill(plate.Shape(g.gap.Of, draw.Pt{X: b.X + size/2, Y: b.Y + h/2}, size+0.7), f.th.Ground)
			f.Fill(plate.Shape(g.gap.Of, draw.Pt{X: b.X + size/2, Y: b.Y + h/2}, size), hue)
			t.At = draw.Pt{X: b.X + size + 0.9, Y: b.Y + h/2 + f.ty.Label*draw.CapShare/2}
			f.Text(t)
			*taken = append(*taken, b)
			return
		}
	}
}
