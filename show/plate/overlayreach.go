package plate

import (
	"mesure/show/draw"
	"mesure/sport/mark"
	"mesure/study"
)

// arcDrawable reports whether an arc has a line of numbers.
func arcDrawable(a study.Arc) bool {
	for _, p := range a.Line {
		if !finite(p) {
			return false
		}
	}
	return len(a.Line) >= 2 && a.Reach.IsValid()
}

// ReachWords says with which movement a point comes as far as an arc.
func ReachWords(band string) string {
	switch band {
	case "short":
		return "extension"
	case "medium":
		return "lunge"
	case "long":
		return "step and lunge"
	}
	return band
}

// ReachDash tells the movements apart without colour: an extension is a full line, a lunge a
// dashed one, a step and lunge a dotted one.
func ReachDash(band string) []draw.MM {
	switch band {
	case "medium":
		return []draw.MM{2.6, 1.4}
	case "long":
		return []draw.MM{0.01, 1.5}
	}
	return nil
}

// arc draws the first share p of an arc, from below to above, with the soft bands of its
// doubt.
func (x *overlay) arc(a study.Arc, p float64) {
	if p <= 0 {
		return
	}
	hue := Hue(x.th, a.Of)
	part := func(line []mark.Pixel) []draw.Pt {
		n := max(2, int(p*float64(len(line))+0.5))
		var out []draw.Pt
		for _, q := range line[:min(n, len(line))] {
			if finite(q) {
				out = append(out, x.v.at(q))
			}
		}
		return out
	}
	for i, soft := range a.Soft {
		near, far := part(soft.Near), part(soft.Far)
		if len(near) < 2 || len(far) < 2 {
			continue
		}
		for l, r := 0, len(near)-1; l < r; l, r = l+1, r-1 {
			near[l], near[r] = near[r], near[l]
		}
		x.g.Fill(draw.Polygon(append(far, near...)...), hue.Fade([2]float64{0.13, 0.17}[i]))
	}
	if line := part(a.Line); len(line) >= 2 {
		x.cased(draw.Polyline(line...), draw.Pen{Colour: hue, Width: 0.45, Dash: ReachDash(a.Band), Cap: draw.RoundCap})
	}
}

// arcWords names an arc above its upper end, or where it leaves the picture.
func (x *overlay) arcWords(a study.Arc, p float64) {
	p = late(p)
	if p <= 0 {
		return
	}
	room := x.ob.room
	for i := len(a.Line) - 1; i >= 0; i-- {
		at := x.v.at(a.Line[i])
		if !finite(a.Line[i]) || !room.Holds(at) {
			continue
		}
		at.Y -= 3
		x.word(ReachWords(a.Band), draw.Sans, x.ty.Label, Hue(x.th, a.Of).Fade(p), at, 14, p)
		return
	}
}
