package camera

import (
	"math"

	"mesure/sport/mark"
)

// plumb is the foot of the perpendicular, in the picture, from a mark on the image
// of a line.
type plumb struct {
	at mark.Pixel
	// across is the unit normal of the line's image there, and off the signed
	// distance from the mark to the foot along it.
	across [2]float64
	off    float64
}

// Newton's iteration along the image of a line, which the lens bends: it gains
// two digits a round at least, and one round is exact without distortion.
const (
	plumbRounds    = 40
	plumbTolerance = 1e-11 // pixels
)

// plumb drops the perpendicular from a mark on the image of a line. Where d is not nil it says how the foot answers to the camera if it stays
// the image of one place of the line: then across·d is the exact derivative of
// off, because moving along the line does not change the distance there. The
// second result is false where the line does not show near the mark.
func (l optics) plumb(p pose, s straight, m mark.Pixel, d *sensitivity) (plumb, bool) {
	d3 := s.along()
	moment := s.a.minus(p.centre).cross(d3) // normal of the plane of sight
	n := p.turn.on(moment)
	h := math.Hypot(n[0], n[1])
	if !(h > nearest*n.norm()) || h == 0 {
		return plumb{}, false
	}
	x, y, ok := l.ray(m)
	if !ok {
		y = (m.V - l.Cy) / l.Fy
		x = (m.U - l.Cx - l.Skew*y) / l.Fx
	}
	e := (n[0]*x + n[1]*y + n[2]) / (h * h)
	x, y = x-e*n[0], y-e*n[1]
	dir := [2]float64{-n[1] / h, n[0] / h}
	var f plumb
	var by [2][lensCount]float64
	var slope [2][2]float64
	for range plumbRounds {
		if f.at, ok = l.show(x, y); !ok {
			return f, false
		}
		slope = l.slope(x, y, &by)
		t := [2]float64{slope[0][0]*dir[0] + slope[0][1]*dir[1], slope[1][0]*dir[0] + slope[1][1]*dir[1]}
		size := math.Hypot(t[0], t[1])
		f.across = [2]float64{-t[1] / size, t[0] / size}
		step := (t[0]*(m.U-f.at.U) + t[1]*(m.V-f.at.V)) / size
		if !(math.Abs(step) > plumbTolerance) {
			break
		}
		x, y = x+dir[0]*step/size, y+dir[1]*step/size
	}
	f.off = f.across[0]*(f.at.U-m.U) + f.across[1]*(f.at.V-m.V)
	// The line of sight C + λ(x, y, 1) meets the line where λ is this inverse.
	ray := p.turn.back(vec{x, y, 1})
	inverse := ray.cross(d3).dot(moment) / moment.dot(moment)
	if !(inverse > 0) || math.IsNaN(f.off) {
		return f, false
	}
	if d != nil {
		d.lens = by
		for row := range 2 {
			g := vec{slope[row][0], slope[row][1], -(slope[row][0]*x + slope[row][1]*y)}
			d.turn[row] = vec{x, y, 1}.cross(g)
			d.centre[row] = p.turn.back(g).times(-inverse)
		}
	}
	return f, true
}

// offset is how far, in pixels, a mark lies from where the camera puts it, and
// where that is. The last result is false where the camera cannot show it.
func (l optics) offset(p pose, q Point) (mark.Pixel, float64, bool) {
	if q.line != nil {
		f, ok := l.plumb(p, *q.line, q.At, nil)
		return f.at, math.Abs(f.off), ok
	}
	px, ok := l.project(p, at(q.On), nil)
	return px, math.Hypot(px.U-q.At.U, px.V-q.At.V), ok
}
