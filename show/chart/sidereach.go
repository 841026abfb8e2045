package chart

import (
	"mesure/quantity"
	"mesure/show/draw"
	"mesure/show/plate"
	"mesure/sport/mark"
	"mesure/study"
)

// sideArc is an arc to scale: its places, and how far they are from the point.
type sideArc struct {
	study.Arc
	from study.Spot
}

// shown are the arcs whose point is known.
func (v *sideView) shown() []sideArc {
	var all []sideArc
	for _, a := range plate.ArcsShown(&v.c.t) {
		if from, ok := v.c.spot(a.Of, mark.Point); ok && len(a.Places) >= 2 && a.Reach.IsValid() && a.Reach.Mean > 0 {
			all = append(all, sideArc{a, from})
		}
	}
	return all
}

// line is the arc at another reach: the same directions from the point.
func (v *sideView) line(a sideArc, reach quantity.Metres) []draw.Pt {
	k := float64(max(reach, 0) / a.Reach.Mean)
	var pts []draw.Pt
	for _, p := range a.Places {
		x, z := a.from.Place.Mean[0]+k*(p.X-a.from.Place.Mean[0]), a.from.Place.Mean[2]+k*(p.Z-a.from.Place.Mean[2])
		pts = append(pts, v.place(x, z))
	}
	return pts
}

// arcs draws them with their soft bands.
func (v *sideView) arcs() {
	in := v.l.Clip(v.b.Path())
	for _, a := range v.shown() {
		hue := plate.Hue(v.l.Theme, a.Of)
		q := a.Reach
		for _, e := range [2][2]quantity.Metres{{q.Lo, q.Hi}, {q.Mean - q.SD, q.Mean + q.SD}} {
			near, far := v.line(a, e[0]), v.line(a, e[1])
			if len(near) < 2 || len(far) < 2 {
				continue
			}
			for i := len(near) - 1; i >= 0; i-- {
				far = append(far, near[i])
			}
			in.Fill(draw.Polygon(far...), hue.Fade(0.11))
		}
		if line := v.line(a, q.Mean); len(line) >= 2 {
			in.Stroke(draw.Polyline(line...), draw.Pen{Colour: hue, Width: 0.35, Dash: plate.ReachDash(a.Band), Cap: draw.RoundCap})
		}
	}
}

// arcNames writes what takes the point as far, at the upper end of each arc.
func (v *sideView) arcNames() {
	for _, a := range v.shown() {
		line := v.line(a, a.Reach.Mean)
		if len(line) == 0 {
			continue
		}
		t := draw.Text{S: plate.ReachWords(a.Band), Font: draw.Sans, Size: v.l.Type.Fine, Colour: plate.Hue(v.l.Theme, a.Of), Anchor: draw.Middle}
		var places []draw.Pt
		for i := len(line) - 1; i >= 0; i-- {
			places = append(places, draw.Pt{X: line[i].X, Y: line[i].Y - 1.2})
		}
		for i := range places[:min(len(places), 6)] {
			places = append(places, draw.Pt{X: places[i].X, Y: places[i].Y - t.Size})
		}
		v.words.put(v.l, t, places...)
	}
}
