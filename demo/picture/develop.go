package picture

import (
	"image"
	"math"
	"math/rand/v2"

	"mesure/demo/scene"
)

// cut copies the part of the wide picture that the camera sees.
func (s *Stage) cut(e *Easel, w *view) {
	// The wide picture's coordinates are linear in u before the division.
	du := w.right.Mul(1 / w.f)
	ax, ay, az := du.Dot(s.right)*s.focal, du.Dot(s.down)*s.focal, du.Dot(s.ahead)
	for v := range scene.Height {
		d := w.right.Mul(-centreU / w.f).Add(w.down.Mul((float64(v) - centreV) / w.f)).Add(w.ahead)
		x, y, z := d.Dot(s.right)*s.focal, d.Dot(s.down)*s.focal, d.Dot(s.ahead)
		out := e.base[3*v*scene.Width : 3*(v+1)*scene.Width]
		for u := range scene.Width {
			k := 1 / (z + az*float64(u))
			fx, fy := (x+ax*float64(u))*k+s.u0, (y+ay*float64(u))*k+s.v0
			i, j := int(fx), int(fy)
			kx, ky := float32(fx-float64(i)), float32(fy-float64(j))
			a := s.pix[3*(j*s.wide+i) : 3*(j*s.wide+i)+6 : 3*(j*s.wide+i)+6]
			b := s.pix[3*((j+1)*s.wide+i) : 3*((j+1)*s.wide+i)+6 : 3*((j+1)*s.wide+i)+6]
			o := out[3*u : 3*u+3 : 3*u+3]
			w00, w01 := (1-kx)*(1-ky), kx*(1-ky)
			w10, w11 := (1-kx)*ky, kx*ky
			o[0] = a[0]*w00 + a[3]*w01 + b[0]*w10 + b[3]*w11
			o[1] = a[1]*w00 + a[4]*w01 + b[1]*w10 + b[4]*w11
			o[2] = a[2]*w00 + a[5]*w01 + b[2]*w10 + b[5]*w11
		}
	}
}

// darken lays the shadows of the figures on the floor.
func (e *Easel) darken(w *view) {
	m := &e.shadow
	x1, y1 := m.x0+float64(m.wide)*shadowCell, m.y0+float64(m.high)*shadowCell
	u0, v0, u1, v1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, c := range [4]vec{{X: m.x0, Y: m.y0}, {X: x1, Y: m.y0}, {X: m.x0, Y: y1}, {X: x1, Y: y1}} {
		u, v, z := w.project(c)
		if z < 0.3 {
			continue
		}
		u0, v0, u1, v1 = math.Min(u0, u), math.Min(v0, v), math.Max(u1, u), math.Max(v1, v)
	}
	b := rect(u0, v0, u1, v1)
	for v := b.v0; v <= b.v1; v++ {
		y := (float64(v) - centreV) / w.f
		row := w.down.Mul(y).Add(w.ahead)
		for u := b.u0; u <= b.u1; u++ {
			d := row.Add(w.right.Mul((float64(u) - centreU) / w.f))
			if d.Z >= 0 {
				continue
			}
			t := -w.at.Z / d.Z
			k := m.at(w.at.X+d.X*t, w.at.Y+d.Y*t)
			if k == 1 {
				continue
			}
			p := e.base[3*(v*scene.Width+u):]
			p[0] *= k
			p[1] *= k
			p[2] *= k * 0.985
		}
	}
}

// lampRise is how long a lamp takes to full light, in seconds.
const lampRise = 0.012

// lamps lights the lamps of the apparatus: the lens, its glow in the air and on
// the floor below.
func (e *Easel) lamps(w *view, film *scene.Film, since float64) {
	lit := [2]bool{film.Lamps.Left, film.Lamps.Right}
	tints := [2]rgb{{3.2, 0.10, 0.06}, {0.10, 2.6, 0.30}}
	power := float32(math.Min(1, 0.35+since/lampRise))
	for side := range 2 {
		if !lit[side] {
			continue
		}
		c := lampAt(side)
		u, v, z := w.project(c)
		k := w.f / z
		b := rect(u-1.6*k, v-1.2*k, u+1.6*k, v+1.2*k)
		for y := b.v0; y <= b.v1; y++ {
			for x := b.u0; x <= b.u1; x++ {
				dx, dy := (float64(x)-u)/k, (float64(y)-v)/k
				inside := step(0.012, -0.012, math.Abs(dx)-lampHalfX) * step(0.012, -0.012, math.Abs(dy)-lampHalfZ)
				r2 := dx*dx + dy*dy
				glow := 0.26*math.Exp(-r2/0.030) + 0.055*math.Exp(-r2/0.25)
				core := 0.75 * math.Exp(-(dx*dx/0.003 + dy*dy/0.006)) * inside
				t := tints[side].mul(float32(inside*0.9+glow) * power).add(rgb{1, 0.9, 0.8}.mul(float32(core) * power))
				p := e.base[3*(y*scene.Width+x):]
				p[0] += t.r
				p[1] += t.g
				p[2] += t.b
			}
		}
	}
}

// tone maps linear light to a byte before noise: a soft shoulder, then the
// transfer curve of a screen.
var tone = func() (t [toneSize]float32) {
	for i := range t {
		x := float64(i) / (toneSize - 1) * toneMax
		x *= exposure
		y := x * (1 + x/6.5) / (1 + x*0.78)
		t[i] = float32(255 * math.Pow(math.Min(1, y), 1/2.2))
	}
	return t
}()

const (
	toneSize = 4096
	toneMax  = 4.0
	exposure = 1.16
	noiseSD  = 2.3 // grey levels in mid-tones
	noiseN   = 1 << 15
)

// grain is one list of normal numbers that every frame reads from another
// place.
var grain = func() (g [noiseN + 8]float32) {
	r := rand.New(rand.NewPCG(1, 4))
	for i := range g {
		g[i] = float32(r.NormFloat64() * noiseSD)
	}
	return g
}()

// develop lays the figures over the hall and turns light into bytes: vignette,
// exposure of the row, tone, noise. It clears the sums for the next frame.
func (e *Easel) develop(figures box, gain func(row int) float32, chance *rand.Rand) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, scene.Width, scene.Height))
	const inv = 1.0 / subSamples
	for v := range scene.Height {
		y := (float64(v) - centreV) / centreU
		at := chance.IntN(noiseN)
		taken := gain(v)
		row := img.Pix[v*img.Stride : v*img.Stride+4*scene.Width]
		for u := range scene.Width {
			i := v*scene.Width + u
			r, g, b := e.base[3*i], e.base[3*i+1], e.base[3*i+2]
			if v >= figures.v0 && v <= figures.v1 && u >= figures.u0 && u <= figures.u1 {
				if a := &e.acc[i]; a[3] != 0 {
					k := 1 - a[3]*inv
					r, g, b = r*k+a[0]*inv, g*k+a[1]*inv, b*k+a[2]*inv
					*a = [4]float32{}
				}
			}
			x := (float64(u) - centreU) / centreU
			fall := taken * float32(1-0.17*(x*x+y*y))
			n := grain[(at+u)&(noiseN-1):]
			luma := n[0]
			o := row[4*u : 4*u+4 : 4*u+4]
			o[0] = level(r*fall, luma+0.5*n[3])
			o[1] = level(g*fall, luma)
			o[2] = level(b*fall, luma+0.6*n[5])
			o[3] = 255
		}
	}
	return img
}

func level(x, noise float32) uint8 {
	i := int(x * (toneSize - 1) / toneMax)
	if i > toneSize-1 {
		i = toneSize - 1
	}
	v := tone[i]
	v += noise*(1.25-v/340) + 0.5
	switch {
	case v <= 0:
		return 0
	case v >= 255:
		return 255
	}
	return uint8(v)
}
