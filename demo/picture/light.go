package picture

import "math"

// rgb is linear light.
type rgb struct{ r, g, b float32 }

func (a rgb) add(b rgb) rgb     { return rgb{a.r + b.r, a.g + b.g, a.b + b.b} }
func (a rgb) mul(k float32) rgb { return rgb{a.r * k, a.g * k, a.b * k} }
func (a rgb) by(b rgb) rgb      { return rgb{a.r * b.r, a.g * b.g, a.b * b.b} }
func (a rgb) mix(b rgb, k float32) rgb {
	return rgb{a.r + (b.r-a.r)*k, a.g + (b.g-a.g)*k, a.b + (b.b-a.b)*k}
}

// fromScreen is the linear light of the 256 levels of a screen.
var fromScreen = func() (t [256]float32) {
	for i := range t {
		t[i] = float32(math.Pow(float64(i)/255, 2.2))
	}
	return t
}()

// ink returns the linear light of a colour written as on a screen.
func ink(r, g, b uint8) rgb { return rgb{fromScreen[r], fromScreen[g], fromScreen[b]} }

// step rises smoothly from 0 at a to 1 at b.
func step(a, b, x float64) float64 {
	t := math.Max(0, math.Min(1, (x-a)/(b-a)))
	return t * t * (3 - 2*t)
}

// hash returns a number between 0 and 1 that follows from two integers.
func hash(x, y int32) float64 {
	h := uint32(x)*0x9E3779B1 ^ uint32(y)*0x85EBCA77
	h ^= h >> 15
	h *= 0x2C1B3C6D
	h ^= h >> 12
	h *= 0x297A2D39
	h ^= h >> 15
	return float64(h>>8) / (1 << 24)
}

// cloud is smooth value noise between 0 and 1 with bumps one unit apart.
func cloud(x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int32(fx), int32(fy)
	x, y = x-fx, y-fy
	x, y = x*x*(3-2*x), y*y*(3-2*y)
	a, b := hash(ix, iy), hash(ix+1, iy)
	c, d := hash(ix, iy+1), hash(ix+1, iy+1)
	return a + (b-a)*x + (c-a)*y + (a-b-c+d)*x*y
}

// clouds is the sum of three octaves of cloud, between 0 and 1.
func clouds(x, y float64) float64 {
	return (4*cloud(x, y) + 2*cloud(2.03*x+17, 2.03*y+5) + cloud(4.1*x+3, 4.1*y+29)) / 7
}
