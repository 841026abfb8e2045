package scene

import (
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Size of every picture of the demo, in pixels.
const (
	Width  = 1280
	Height = 720
)

// Camera is where a camera stands and how it looks at one instant: a pinhole
// with square pixels and the principal point in the middle of the picture.
type Camera struct {
	At    Vec              // world frame, metres
	Pan   quantity.Radians // 0 looks along +y, + turns to +x
	Tilt  quantity.Radians // + looks up
	Roll  quantity.Radians // + turns the picture's right side down
	Focal quantity.Pixels
}

// Axes returns the picture's right, the picture's down and the line of sight in
// the world frame.
func (c Camera) Axes() (right, down, ahead Vec) {
	sp, cp := math.Sincos(float64(c.Pan))
	st, ct := math.Sincos(float64(c.Tilt))
	ahead = Vec{sp * ct, cp * ct, st}
	r := Vec{cp, -sp, 0}
	d := ahead.Cross(r)
	sr, cr := math.Sincos(float64(c.Roll))
	right = r.Mul(cr).Add(d.Mul(sr))
	down = d.Mul(cr).Sub(r.Mul(sr))
	return right, down, ahead
}

// centreU and centreV are the principal point: the middle of the picture, with
// the origin at the centre of the top-left pixel.
const (
	centreU = (Width - 1) / 2.0
	centreV = (Height - 1) / 2.0
)

// Project returns where the picture shows a place; the second result is false
// for a place behind the camera.
func (c Camera) Project(p Vec) (mark.Pixel, bool) {
	r, d, a := c.Axes()
	q := p.Sub(c.At)
	z := q.Dot(a)
	if z <= 0.1 {
		return mark.Pixel{}, false
	}
	f := float64(c.Focal)
	return mark.Pixel{U: centreU + f*q.Dot(r)/z, V: centreV + f*q.Dot(d)/z}, true
}

// Sees reports whether the place lies in the picture, this many pixels from its
// edge or more.
func (c Camera) Sees(p Vec, margin quantity.Pixels) bool {
	at, ok := c.Project(p)
	m := float64(margin)
	return ok && at.U >= m && at.U <= Width-1-m && at.V >= m && at.V <= Height-1-m
}

// tripod is a camera that stands still and follows the fencers: it pans and
// tilts after them, late and smoothly as a camera operator does, and zooms by
// key values.
type tripod struct {
	at     Vec
	height float64 // of the point it looks at
	offset float64 // along the piste, from the middle between the fencers
	zoom   track   // focal length in pixels
	sway   float64 // radians of slow unrest of the hand
}

// The operator's smoothing: the aim follows the fencers with this lag and this
// spread, in seconds.
const (
	operatorLag    = 0.10
	operatorSpread = 0.32
)

// camera returns the camera at an instant; middle gives the point between the
// fencers along the piste.
func (k *tripod) camera(t float64, middle func(float64) float64) Camera {
	var sum, weight float64
	for i := -12; i <= 12; i++ {
		s := float64(i) / 12 * 2.5
		w := math.Exp(-s * s / 2)
		sum += w * middle(t-operatorLag+s*operatorSpread)
		weight += w
	}
	x := sum/weight + k.offset
	q := Vec{x, 0, k.height}.Sub(k.at)
	pan := math.Atan2(q.X, q.Y)
	tilt := math.Atan2(q.Z, math.Hypot(q.X, q.Y))
	return Camera{
		At:    k.at,
		Pan:   quantity.Radians(pan + k.sway*math.Sin(2.1*t+0.4)),
		Tilt:  quantity.Radians(tilt + 0.7*k.sway*math.Sin(2.9*t+1.7)),
		Roll:  quantity.Radians(rad(0.22) + 0.25*k.sway*math.Sin(1.3*t)),
		Focal: quantity.Pixels(k.zoom.at(t)),
	}
}
