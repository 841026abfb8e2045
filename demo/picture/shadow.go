package picture

import (
	"math"

	"mesure/demo/scene"
)

// shadowMap is the darkness that the figures throw on the floor, on a grid of
// the world.
type shadowMap struct {
	x0, y0     float64
	wide, high int
	cells      []float32
}

const (
	shadowCell = 0.03 // metres
	shadowFar  = 1.6  // metres that the map reaches beyond the figures
)

// lamps of the ceiling that throw a shadow one can see: the horizontal drift
// for one metre of height, and their weight. The first is the diffuse light
// from straight above.
var ceiling = [...]struct{ dx, dy, weight, spread float64 }{
	{0, 0.03, 0.85, 0.42},
	{0.42, 0.30, 0.36, 0.10},
	{-0.36, 0.42, 0.26, 0.12},
}

// cover fills the map from the solids of both figures.
func (m *shadowMap) cover(solids []scene.Solid) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range solids {
		lo, hi = math.Min(lo, solids[i].A.X), math.Max(hi, solids[i].A.X)
	}
	m.x0, m.y0 = lo-shadowFar, -1.0
	m.wide, m.high = int((hi-lo+2*shadowFar)/shadowCell), int(3.0/shadowCell)
	if n := m.wide * m.high; cap(m.cells) < n {
		m.cells = make([]float32, n)
	}
	m.cells = m.cells[:m.wide*m.high]
	clear(m.cells)
	for i := range solids {
		s := &solids[i]
		switch s.Kind {
		case scene.Cone:
			n := 1 + int(s.B.Sub(s.A).Len()/0.07)
			for k := range n {
				t := (float64(k) + 0.5) / float64(n)
				m.splat(s.A.Mix(s.B, t), s.RA+(s.RB-s.RA)*t, s.B.Sub(s.A).Len()/float64(n))
			}
		case scene.Ellipsoid:
			r := (s.Half[0] + s.Half[1]) / 2
			m.splat(s.A, r, r)
		}
	}
}

// splat adds the shadow of a ball of this radius that stands for this length of
// limb.
func (m *shadowMap) splat(p vec, r, long float64) {
	for _, l := range ceiling {
		sigma := 0.018 + 0.62*r + l.spread*p.Z
		x, y := p.X+l.dx*p.Z, p.Y+l.dy*p.Z
		// The ball hides its own width of the lamp; the wider the penumbra the
		// thinner it lies.
		peak := l.weight * 1.25 * r * (long + r) / (sigma * sigma)
		if peak > 1.2*l.weight {
			peak = 1.2 * l.weight
		}
		reach := int(2.6*sigma/shadowCell) + 1
		ci, cj := int((x-m.x0)/shadowCell), int((y-m.y0)/shadowCell)
		for j := max(0, cj-reach); j <= min(m.high-1, cj+reach); j++ {
			dy := m.y0 + (float64(j)+0.5)*shadowCell - y
			gy := falloff(dy * dy / (2 * sigma * sigma))
			for i := max(0, ci-reach); i <= min(m.wide-1, ci+reach); i++ {
				dx := m.x0 + (float64(i)+0.5)*shadowCell - x
				m.cells[j*m.wide+i] += float32(peak * gy * falloff(dx*dx/(2*sigma*sigma)))
			}
		}
	}
}

// falloff is close to e^−x and quick.
func falloff(x float64) float64 {
	x = 1 - x/4
	if x <= 0 {
		return 0
	}
	return x * x * x * x
}

// at returns the share of the light that reaches the floor at (x, y).
func (m *shadowMap) at(x, y float64) float32 {
	fx, fy := (x-m.x0)/shadowCell-0.5, (y-m.y0)/shadowCell-0.5
	i, j := int(math.Floor(fx)), int(math.Floor(fy))
	if i < 0 || j < 0 || i >= m.wide-1 || j >= m.high-1 {
		return 1
	}
	kx, ky := float32(fx-float64(i)), float32(fy-float64(j))
	c := m.cells[j*m.wide+i:]
	a := c[0] + (c[1]-c[0])*kx
	b := c[m.wide] + (c[m.wide+1]-c[m.wide])*kx
	dark := a + (b-a)*ky
	return 1 / (1 + 0.62*dark)
}
