package chart

import (
	"math"

	"mesure/quantity"
	"mesure/show/draw"
	"mesure/timing"
)

// space3 is a place or a direction in the world frame, to be put on paper.
type space3 [3]float64

func (a space3) plus(b space3) space3 { return space3{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a space3) less(b space3) space3 { return space3{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a space3) times(k float64) space3 {
	return space3{a[0] * k, a[1] * k, a[2] * k}
}
func (a space3) dot(b space3) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a space3) cross(b space3) space3 {
	return space3{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func (a space3) length() float64 { return math.Sqrt(a.dot(a)) }
func (a space3) unit() space3    { return a.times(1 / a.length()) }

func placeOf(p timing.Parry, s timing.Spot) space3 {
	x := p.Places.Mean[3*int(s):]
	return space3{x[0], x[1], x[2]}
}

func spaceOf(m [3]quantity.Metres) space3 {
	return space3{float64(m[0]), float64(m[1]), float64(m[2])}
}

// sight is the view along the attacking blade from its hand: directions as angles
// from the blade, with up upwards and the attacker's right to the right. An angle from
// the blade is true to scale in every direction.
type sight struct {
	from         space3
	u, up, right space3
	centre       draw.Pt
	perRadian    draw.MM
}

func newSight(p timing.Parry) sight {
	s := sight{from: placeOf(p, timing.AttackersHand)}
	s.u = placeOf(p, timing.AttackersPoint).less(s.from).unit()
	up := space3{0, 0, 1}
	if up.cross(s.u).length() < 1e-6 { // the blade stands upright
		up = space3{1, 0, 0}
	}
	s.up = up.less(s.u.times(s.u.dot(up))).unit()
	s.right = s.u.cross(s.up)
	return s
}

// angles returns by how much a direction is off the blade, and the way there as a turn
// from up, clockwise.
func (s sight) angles(d space3) (off, clock float64) {
	off = math.Atan2(s.u.cross(d).length(), s.u.dot(d))
	return off, math.Atan2(d.dot(s.right), d.dot(s.up))
}

// at is where a turn of the blade by off towards clock stands on paper.
func (s sight) at(off, clock float64) draw.Pt {
	sin, cos := math.Sincos(clock)
	r := s.perRadian * draw.MM(off)
	return draw.Pt{X: s.centre.X + r*draw.MM(sin), Y: s.centre.Y - r*draw.MM(cos)}
}

// place is where a place in the world is seen.
func (s sight) place(x space3) draw.Pt {
	off, clock := s.angles(x.less(s.from))
	return s.at(off, clock)
}

// outline is the edge of what lies within r of the stretch from a to b, seen from the
// hand, as angles: from the direction of its nearest place outwards all round, where a
// line from the hand just passes it.
func (s sight) outline(a, b space3, r float64) (offs, clocks []float64) {
	ab := b.less(a)
	nearest := func(d space3) float64 { // of the ray along d to the stretch
		return rayToStretch(s.from, d, a, ab)
	}
	middle := a.plus(ab.times(0.5)).less(s.from)
	if !(middle.length() > 0) || nearest(middle.unit()) >= r {
		return nil, nil
	}
	m := middle.unit()
	if nearest(m.times(-1)) < r { // the hand is inside, and sees it all round
		return nil, nil
	}
	e := space3{0, 0, 1}.less(m.times(m[2]))
	if e.length() < 1e-6 {
		e = space3{1, 0, 0}.less(m.times(m[0]))
	}
	e = e.unit()
	f := m.cross(e)
	const steps = 72
	for i := range steps {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / steps)
		g := e.times(cos).plus(f.times(sin))
		lo, hi := 0.0, math.Pi
		for range 40 {
			mid := (lo + hi) / 2
			sm, cm := math.Sincos(mid)
			if nearest(m.times(cm).plus(g.times(sm))) < r {
				lo = mid
			} else {
				hi = mid
			}
		}
		sm, cm := math.Sincos(lo)
		off, clock := s.angles(m.times(cm).plus(g.times(sm)))
		offs, clocks = append(offs, off), append(clocks, clock)
	}
	return offs, clocks
}

// rayToStretch is the distance of the ray from p along the unit direction d to the
// stretch from a along ab: convex in the place along the stretch, so thirds close in.
func rayToStretch(p, d, a, ab space3) float64 {
	from := func(t float64) float64 {
		x := a.plus(ab.times(t)).less(p)
		along := math.Max(0, x.dot(d))
		return x.less(d.times(along)).length()
	}
	lo, hi := 0.0, 1.0
	for range 60 {
		t1, t2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if from(t1) <= from(t2) {
			hi = t2
		} else {
			lo = t1
		}
	}
	return from((lo + hi) / 2)
}

// spread is how far the line of the blade may be off the direction of the zone, in
// radians up and to the right, to first order: covariances of a direction's two angles.
func (s sight) spread(p timing.Parry) (upUp, rightRight, upRight float64) {
	n := p.Places.Len()
	hand, point := s.from, placeOf(p, timing.AttackersPoint)
	zone := placeOf(p, timing.ZoneFrom).plus(placeOf(p, timing.ZoneTo)).times(0.5)
	l, far := point.less(hand).length(), zone.less(hand).length()
	if !(far > 0) {
		return 0, 0, 0
	}
	form := func(e space3) []float64 { // the angle's change with each number
		g := make([]float64, n)
		for k := range 3 {
			g[3*int(timing.AttackersHand)+k] = e[k] * (1/far - 1/l)
			g[3*int(timing.AttackersPoint)+k] = e[k] / l
			g[3*int(timing.ZoneFrom)+k] = -e[k] / (2 * far)
			g[3*int(timing.ZoneTo)+k] = -e[k] / (2 * far)
		}
		return g
	}
	cov := func(a, b []float64) float64 {
		sum := 0.0
		for i := range n {
			for j := range n {
				sum += a[i] * p.Places.Cov[i*n+j] * b[j]
			}
		}
		return sum
	}
	gu, gr := form(s.up), form(s.right)
	return cov(gu, gu), cov(gr, gr), cov(gu, gr)
}

// oval is the outline of k standard deviations of two numbers, in their units.
func oval(xx, yy, xy, k float64) (xs, ys []float64) {
	sx := math.Sqrt(math.Max(0, xx))
	slope, rest := 0.0, yy
	if xx > 0 {
		slope = xy / sx
		rest = yy - slope*slope
	}
	sy := math.Sqrt(math.Max(0, rest))
	const steps = 36
	for i := range steps {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / steps)
		xs, ys = append(xs, k*sx*cos), append(ys, k*(slope*cos+sy*sin))
	}
	return xs, ys
}

// capsule is the outline of what lies within r of the stretch from a to b on paper.
func capsule(a, b draw.Pt, r draw.MM) *draw.Path {
	turn := math.Atan2(float64(b.Y-a.Y), float64(b.X-a.X))
	var pts []draw.Pt
	const steps = 16
	for i := range 2*steps + 2 {
		c, k := b, i
		if i > steps {
			c, k = a, i-1
		}
		sin, cos := math.Sincos(turn - math.Pi/2 + math.Pi*float64(k)/steps)
		pts = append(pts, draw.Pt{X: c.X + r*draw.MM(cos), Y: c.Y + r*draw.MM(sin)})
	}
	return draw.Polygon(pts...)
}
