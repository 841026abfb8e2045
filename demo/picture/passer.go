package picture

import (
	"math"

	"mesure/demo/scene"
	"mesure/quantity"
)

// attire is the colours of somebody who passes by.
type attire struct{ coat, check, trousers, shoe, skin, hair, bag rgb }

var attires = [...]attire{
	{ink(92, 44, 58), ink(196, 176, 150), ink(44, 50, 66), ink(30, 28, 28), ink(188, 144, 116), ink(46, 34, 28), ink(150, 106, 52)},
	{ink(40, 74, 70), ink(170, 190, 160), ink(92, 84, 72), ink(120, 112, 104), ink(150, 106, 80), ink(24, 22, 22), ink(62, 64, 92)},
}

// How a walker is drawn: so many sub-samples over the time of exposure, spread
// over so many pixels, since the lens is sharp at the piste only.
const (
	samplesBehind = 4
	samplesBefore = 7
	softBehind    = 1.2 // pixels
	softBefore    = 3.2
)

// pass draws a walker, behind what stands nearer to the camera in the hall and
// over the figures where the walker is nearer than they.
func (s *Stage) pass(e *Easel, w *view, p *scene.Passer, look *attire, t quantity.Seconds, open float64) {
	samples, soft := samplesBehind, softBehind
	if p.Before() {
		samples, soft = samplesBefore, softBefore
	} else {
		s.contact(e, w, p.At(t))
	}
	all := box{0, 0, -1, -1}
	for i := range samples {
		k := (float64(i)+0.5)/float64(samples) - 0.5
		ju := soft * (math.Mod(0.5+float64(i+1)*0.7548776662, 1) - 0.5)
		jv := soft * (math.Mod(0.5+float64(i+1)*0.5698402910, 1) - 0.5)
		e.solids = append(e.solids[:0], p.Solids(t+quantity.Seconds(k*open))...)
		b := e.cast(w, 0, ju, jv)
		all = all.with(b)
		for v := b.v0; v <= b.v1; v++ {
			y := (float64(v) + jv - centreV) / w.f
			row := w.down.Mul(y).Add(w.ahead)
			for u := b.u0; u <= b.u1; u++ {
				at := &e.specks[v*scene.Width+u]
				if at.depth == 0 {
					continue
				}
				x := (float64(u) + ju - centreU) / w.f
				d := row.Add(w.right.Mul(x)).Mul(1 / math.Sqrt(1+x*x+y*y))
				if p.Before() || !s.blocked(w.at, d, float64(at.depth)) {
					c := e.wear(at, w.at.Add(d.Mul(float64(at.depth))), look)
					o := &e.sub[v*scene.Width+u]
					o[0], o[1], o[2], o[3] = o[0]+c.r, o[1]+c.g, o[2]+c.b, o[3]+1
				}
				at.depth = 0
			}
		}
	}
	e.cover(all, samples)
}

// cover lays the sums of a walker over the hall and over the figures drawn so far,
// and clears them.
func (e *Easel) cover(b box, samples int) {
	inv := 1 / float32(samples)
	for v := b.v0; v <= b.v1; v++ {
		for i := v*scene.Width + b.u0; i <= v*scene.Width+b.u1; i++ {
			s := &e.sub[i]
			if s[3] == 0 {
				continue
			}
			k := 1 - s[3]*inv
			for c := range 3 {
				e.base[3*i+c] = e.base[3*i+c]*k + s[c]*inv
			}
			a := &e.acc[i]
			a[0], a[1], a[2], a[3] = a[0]*k, a[1]*k, a[2]*k, a[3]*k
			*s = [4]float32{}
		}
	}
}

// blocked reports whether the table or what stands on it hides a place at this
// distance along a ray.
func (s *Stage) blocked(o, d vec, far float64) bool {
	for i := range s.blocks {
		if t, _, ok := s.blocks[i].hit(o, d); ok && t < far {
			return true
		}
	}
	return false
}

// contact darkens the floor under a walker.
func (s *Stage) contact(e *Easel, w *view, at vec) {
	const reach, spread, dark = 0.75, 0.30, 0.42
	u0, v0, _ := w.project(at.Add(vec{X: -reach, Y: reach}))
	u1, v1, _ := w.project(at.Add(vec{X: reach, Y: -reach}))
	b := rect(math.Min(u0, u1)-20, v0-3, math.Max(u0, u1)+20, v1+3)
	for v := b.v0; v <= b.v1; v++ {
		row := w.down.Mul((float64(v) - centreV) / w.f).Add(w.ahead)
		for u := b.u0; u <= b.u1; u++ {
			d := row.Add(w.right.Mul((float64(u) - centreU) / w.f)).Unit()
			t := floorAt(w.at, d)
			if math.IsInf(t, 1) || s.blocked(w.at, d, t) {
				continue
			}
			x, y := w.at.X+d.X*t-at.X, w.at.Y+d.Y*t-at.Y
			k := float32(1 - dark*math.Exp(-(x*x/(2*spread*spread)+y*y/(spread*spread))))
			p := e.base[3*(v*scene.Width+u):]
			p[0], p[1], p[2] = p[0]*k, p[1]*k, p[2]*k
		}
	}
}

// wear returns the light that one speck of a walker sends to the camera: a coat
// with a check, plain trousers, a bag with a stripe.
func (e *Easel) wear(p *speck, at vec, look *attire) rgb {
	k := &e.solids[int(p.solid)-1]
	n := vec{X: float64(p.n[0]), Y: float64(p.n[1]), Z: float64(p.n[2])}
	q := at.Sub(k.A)
	along, across := q.Z, q.X
	if k.Kind == scene.Cone {
		axis := k.B.Sub(k.A).Unit()
		along = q.Dot(axis)
		across = q.Dot(axis.Cross(vec{Y: 1}))
	}
	var c rgb
	switch k.Part {
	case scene.Coat:
		c = look.coat
		a, b := math.Mod(math.Abs(along+3), 0.09), math.Mod(math.Abs(across+3), 0.09)
		if a < 0.016 || b < 0.016 {
			c = c.mix(look.check, 0.65)
		}
		c = c.mul(float32(0.80 + 0.40*cloud(along*26, across*26)))
	case scene.Trousers:
		c = look.trousers.mul(float32(0.75 + 0.5*cloud(along*9+7, across*30)))
	case scene.Shoe:
		c = look.shoe
	case scene.Hair:
		c = look.hair.mul(float32(0.7 + 0.6*cloud(along*40, across*40)))
	case scene.Bag:
		c = look.bag
		if math.Abs(along) < 0.02 {
			c = look.check
		}
	default:
		c = look.skin
	}
	key := float32(math.Max(0, (n.Dot(keyFrom)+0.18)/1.18))
	sky := float32(0.5 + 0.5*n.Z)
	return c.by(keyTint.mul(0.85 * key).add(skyTint.mul(sky)).add(lowTint.mul(1 - sky)))
}
