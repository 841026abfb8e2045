package picture

import (
	"math"

	"mesure/demo/scene"
)

// person is one spectator on the bench: head, body and legs as ellipsoids.
type person struct {
	solids []scene.Solid
	tints  []rgb
}

// seat returns who sits on the seat of this number, or nil for an empty one.
func seat(n int) *person {
	if hash(int32(n), 41) < 0.30 {
		return nil
	}
	jitter := func(k int32) float64 { return hash(int32(n), k) - 0.5 }
	x := float64(n)*seatPitch + 0.12*jitter(1)
	tall := 1 + 0.10*jitter(2)
	lean := 0.10 * jitter(3)
	cloth := [...]rgb{
		ink(46, 58, 76), ink(88, 52, 46), ink(68, 74, 70), ink(118, 112, 100),
		ink(38, 40, 46), ink(96, 84, 62), ink(58, 84, 92), ink(140, 132, 124),
	}[int(hash(int32(n), 4)*991)%8]
	skin := ink(196, 152, 124).mix(ink(120, 82, 60), float32(hash(int32(n), 5)))
	hair := ink(44, 32, 26).mix(ink(150, 120, 84), float32(math.Pow(hash(int32(n), 6), 2)))
	legs := ink(40, 44, 54).mix(ink(74, 70, 64), float32(hash(int32(n), 7)))
	ex, ey, ez := vec{X: 1}, vec{Y: 1}, vec{Z: 1}
	egg := func(cx, cy, cz, a, b, c float64) scene.Solid {
		return scene.Solid{Kind: scene.Ellipsoid, A: vec{X: cx, Y: cy, Z: cz}, Axes: [3]vec{ex, ey, ez}, Half: [3]float64{a, b, c}}
	}
	p := &person{}
	put := func(s scene.Solid, c rgb) { p.solids, p.tints = append(p.solids, s), append(p.tints, c) }
	// Some sit back, some lean on their knees; some have long hair.
	slump := math.Max(0, 0.5*hash(int32(n), 8)-0.2)
	broad := 0.93 + 0.14*hash(int32(n), 9)
	put(egg(x, benchY-0.3*slump, 0.72*tall-0.1*slump, 0.205*broad, 0.15+0.2*slump, 0.33), cloth)
	put(egg(x+lean, benchY-0.04-0.8*slump, 0.92*tall-0.4*slump, 0.22*broad, 0.13, 0.16), cloth)
	hx, hy, hz := x+1.4*lean+0.05*jitter(10), benchY-0.06-1.1*slump, 1.20*tall-0.6*slump
	put(egg(hx, hy, hz, 0.080, 0.095, 0.116), skin)
	put(egg(hx, hy+0.045, hz+0.045, 0.090, 0.095, 0.096), hair)
	if hash(int32(n), 11) < 0.4 {
		put(egg(hx, hy+0.05, hz-0.06, 0.105, 0.07, 0.15), hair)
	}
	put(egg(x-0.10, benchY-0.26, 0.50, 0.085, 0.26, 0.085), legs)
	put(egg(x+0.10, benchY-0.26, 0.50, 0.085, 0.26, 0.085), legs)
	put(egg(x-0.11, benchY-0.47, 0.25, 0.065, 0.07, 0.27), legs)
	put(egg(x+0.11, benchY-0.47, 0.25, 0.065, 0.07, 0.27), legs)
	put(egg(x-0.22, benchY-0.13, 0.70*tall, 0.065, 0.15, 0.17), cloth.mul(0.85))
	put(egg(x+0.22, benchY-0.13, 0.70*tall, 0.065, 0.15, 0.17), cloth.mul(0.85))
	return p
}

// crowd is everybody on the bench.
type crowd struct {
	first int
	seats []*person
}

// newCrowd fills the bench from −span to +span metres.
func newCrowd(span float64) crowd {
	n := int(span / seatPitch)
	c := crowd{first: -n}
	for i := -n; i <= n; i++ {
		c.seats = append(c.seats, seat(i))
	}
	return c
}

// hit returns the light of the spectator whom the ray meets first.
func (c *crowd) hit(o, d vec) (float64, rgb, bool) {
	if d.Y <= 1e-6 {
		return 0, rgb{}, false
	}
	// Between the fronts and the backs of the seats the ray passes these seats.
	t0, t1 := (benchY-0.55-o.Y)/d.Y, (benchY+0.18-o.Y)/d.Y
	if t1 <= 0 || o.Z+d.Z*t0 < 0 && o.Z+d.Z*t1 < 0 || o.Z+d.Z*t1 > 1.5 && o.Z+d.Z*t0 > 1.5 {
		return 0, rgb{}, false
	}
	xa, xb := o.X+d.X*t0, o.X+d.X*t1
	lo := int(math.Floor((math.Min(xa, xb)-0.33)/seatPitch + 0.5))
	hi := int(math.Floor((math.Max(xa, xb)+0.33)/seatPitch + 0.5))
	best, tint, found := math.Inf(1), rgb{}, false
	for n := lo; n <= hi; n++ {
		i := n - c.first
		if i < 0 || i >= len(c.seats) || c.seats[i] == nil {
			continue
		}
		for k := range c.seats[i].solids {
			t, m, ok := c.seats[i].solids[k].Hit(o, d)
			if ok && t < best {
				best, found = t, true
				light := 0.24 + 0.36*math.Max(0, m.Z) + 0.22*math.Max(0, -m.Y) + 0.1*math.Max(0, m.X)
				tint = c.seats[i].tints[k].mul(float32(light))
			}
		}
	}
	return best, tint, found
}
