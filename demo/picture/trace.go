package picture

import "math"

// block is a box with sides along the axes of the world.
type block struct {
	lo, hi vec
	tint   rgb
}

func blocks() []block {
	wood := ink(96, 78, 62)
	dark := ink(36, 38, 42)
	bx := func(x0, x1, y0, y1, z0, z1 float64, c rgb) block {
		return block{lo: vec{X: x0, Y: y0, Z: z0}, hi: vec{X: x1, Y: y1, Z: z1}, tint: c}
	}
	return []block{
		// The table of the scorer with its cloth, and the apparatus on it.
		bx(tableX-tableHalf, tableX+tableHalf, tableY-tableDepth, tableY+tableDepth, tableTop-0.035, tableTop, ink(168, 160, 146)),
		bx(tableX-tableHalf+0.02, tableX+tableHalf-0.02, tableY-tableDepth+0.012, tableY-tableDepth+0.02, 0.16, tableTop-0.035, ink(40, 58, 82)),
		bx(tableX-tableHalf+0.04, tableX-tableHalf+0.08, tableY+0.1, tableY+0.14, 0, tableTop, dark),
		bx(tableX+tableHalf-0.08, tableX+tableHalf-0.04, tableY+0.1, tableY+0.14, 0, tableTop, dark),
		bx(tableX-boxHalf, tableX+boxHalf, tableY-0.09, tableY+0.09, tableTop, boxTop, ink(30, 31, 34)),
		bx(tableX-0.10, tableX+0.10, tableY-0.095, tableY, tableTop+0.10, boxTop-0.08, ink(14, 15, 17)),
		// The bench of the spectators.
		bx(-12, 12, benchY-0.18, benchY+0.2, 0.38, 0.43, wood),
		bx(-12, 12, benchY+0.18, benchY+0.21, 0.55, 0.80, wood.mul(0.7)),
	}
}

func (b *block) hit(o, d vec) (float64, vec, bool) {
	t0, t1 := 0.0, math.Inf(1)
	var n vec
	oo, dd := [3]float64{o.X, o.Y, o.Z}, [3]float64{d.X, d.Y, d.Z}
	lo, hi := [3]float64{b.lo.X, b.lo.Y, b.lo.Z}, [3]float64{b.hi.X, b.hi.Y, b.hi.Z}
	for i := range 3 {
		if dd[i] == 0 {
			if oo[i] < lo[i] || oo[i] > hi[i] {
				return 0, n, false
			}
			continue
		}
		a, c := (lo[i]-oo[i])/dd[i], (hi[i]-oo[i])/dd[i]
		sign := -1.0
		if a > c {
			a, c, sign = c, a, 1
		}
		if a > t0 {
			t0 = a
			var m [3]float64
			m[i] = sign
			n = vec{X: m[0], Y: m[1], Z: m[2]}
		}
		t1 = math.Min(t1, c)
	}
	return t0, n, t0 < t1 && t0 > 0
}

// hall is everything that stands still.
type hall struct {
	people crowd
	blocks []block
}

func newHall() *hall { return &hall{people: newCrowd(12), blocks: blocks()} }

// lampAt returns the middle of the front of a lamp of the apparatus.
func lampAt(side int) vec {
	return vec{X: tableX - 0.205 + 0.41*float64(side), Y: tableY - 0.092, Z: (tableTop + boxTop) / 2}
}

// lampHalf is half the width and half the height of a lamp, in metres.
const (
	lampHalfX = 0.085
	lampHalfZ = 0.115
)

// unlit is the colour of the lamps before the hit.
func unlit(side int) rgb {
	if side == 0 {
		return ink(48, 16, 16)
	}
	return ink(15, 40, 21)
}

// The things on the floor stand between these depths and below this height.
const (
	thingsFrom = tableY - tableDepth - 0.05
	thingsTop  = 1.55
)

// light returns the light that comes along the ray o + t·d, d a unit vector, and
// how far it comes. Rays that meet the floor are mirrored once; rough turns the
// mirrored ray.
func (h *hall) light(o, d vec, rough vec) (rgb, float64) {
	tf := floorAt(o, d)
	if o.Y+d.Y*math.Min(tf, 100) > thingsFrom {
		if t, c, ok := h.object(o, d); ok && t < tf {
			return c, t
		}
	}
	tw := math.Inf(1)
	if d.Y > 0 {
		tw = (wallY - o.Y) / d.Y
	}
	if tw < tf {
		p := o.Add(d.Mul(tw))
		return wallColour(p.X, p.Z), tw
	}
	if math.IsInf(tf, 1) {
		return rgb{}, 100
	}
	return h.floorLight(o.Add(d.Mul(tf)), d, rough), tf
}

func floorAt(o, d vec) float64 {
	if d.Z >= 0 {
		return math.Inf(1)
	}
	return -o.Z / d.Z
}

// floorLight is the floor lit from the ceiling and the windows, with what it
// mirrors of the wall.
func (h *hall) floorLight(p, d, rough vec) rgb {
	c, mirror := floorColour(p.X, p.Y)
	pool := 0.66 + 0.20*math.Exp(-p.Y*p.Y/14) + 0.10*math.Sin(p.X*0.9)*math.Exp(-(p.Y-3)*(p.Y-3)/30)
	c = c.mul(float32(pool * h.shade(p)))
	m := vec{X: d.X, Y: d.Y, Z: -d.Z}.Add(rough.Mul(0.05)).Unit()
	if m.Z < 0.01 {
		m.Z = 0.01
	}
	fresnel := float32(math.Pow(1-math.Min(1, m.Z), 5))
	k := mirror * (0.25 + 0.75*fresnel)
	var seen rgb
	if t, o, ok := h.object(p.Add(vec{Z: 0.002}), m); mirror > 0.12 && ok && t > 0 {
		seen = o
	} else if m.Y > 0 {
		t := (wallY - p.Y) / m.Y
		seen = wallColour(p.X+m.X*t, p.Z+m.Z*t)
	}
	return c.add(seen.mul(k * 1.6))
}

// shade darkens the floor under the table and the bench.
func (h *hall) shade(p vec) float64 {
	under := func(x, y, hx, hy, soft, depth float64) float64 {
		dx := math.Max(0, math.Abs(p.X-x)-hx)
		dy := math.Max(0, math.Abs(p.Y-y)-hy)
		return 1 - depth*math.Exp(-(dx*dx+dy*dy)/(soft*soft))
	}
	return under(tableX, tableY, tableHalf*0.8, tableDepth*0.6, 0.28, 0.62) *
		under(0, benchY-0.1, 12, 0.25, 0.35, 0.66) *
		(0.72 + 0.28*step(0, 1.6, wallY-p.Y))
}

// object returns the nearest thing that stands on the floor.
func (h *hall) object(o, d vec) (float64, rgb, bool) {
	best, tint, found := math.Inf(1), rgb{}, false
	if d.Y > 0 && o.Z+d.Z*math.Max(0, thingsFrom-o.Y)/d.Y > thingsTop && d.Z >= 0 {
		return best, tint, false
	}
	for i := range h.blocks {
		b := &h.blocks[i]
		t, n, ok := b.hit(o, d)
		if !ok || t >= best {
			continue
		}
		best, found = t, true
		l := 0.30 + 0.42*math.Max(0, n.Z) + 0.22*math.Max(0, -n.Y) + 0.12*math.Abs(n.X)
		tint = b.tint.mul(float32(l))
		p := o.Add(d.Mul(t))
		if n.Y < 0 {
			for side := range 2 {
				c := lampAt(side)
				if math.Abs(p.Y-c.Y) < 0.01 && math.Abs(p.X-c.X) < lampHalfX && math.Abs(p.Z-c.Z) < lampHalfZ {
					tint = unlit(side)
				}
			}
		}
	}
	if t, c, ok := h.people.hit(o, d); ok && t < best {
		best, tint, found = t, c, true
	}
	return best, tint, found
}
