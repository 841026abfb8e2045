package picture

import (
	"math"

	"mesure/demo/scene"
)

// speck is one pixel of one sub-sample of the figures.
type speck struct {
	depth float32 // metres along the ray; 0 where nothing was met
	n     [3]float32
	solid uint16 // 1 + index into Easel.solids
}

// box is a part of the picture, ends included.
type box struct{ u0, v0, u1, v1 int }

func (b box) empty() bool { return b.u1 < b.u0 || b.v1 < b.v0 }

func (b box) with(c box) box {
	if b.empty() {
		return c
	}
	if c.empty() {
		return b
	}
	return box{min(b.u0, c.u0), min(b.v0, c.v0), max(b.u1, c.u1), max(b.v1, c.v1)}
}

// rect returns the box around these real bounds, moved into the picture where it
// lies outside: what is between two boxes is then between them there too.
func rect(u0, v0, u1, v1 float64) box {
	into := func(x float64, size int) int { return int(math.Max(0, math.Min(float64(size-1), x))) }
	return box{
		into(math.Floor(u0), scene.Width), into(math.Floor(v0), scene.Height),
		into(math.Ceil(u1), scene.Width), into(math.Ceil(v1), scene.Height),
	}
}

// view is a camera made ready for casting rays.
type view struct {
	at                 vec
	right, down, ahead vec
	f                  float64
}

func newView(c scene.Camera) view {
	r, d, a := c.Axes()
	return view{c.At, r, d, a, float64(c.Focal)}
}

func (w *view) project(p vec) (u, v, z float64) {
	q := p.Sub(w.at)
	z = q.Dot(w.ahead)
	return centreU + w.f*q.Dot(w.right)/z, centreV + w.f*q.Dot(w.down)/z, z
}

// around returns where the picture can show a solid.
func (w *view) around(s *scene.Solid) box {
	ball := func(p vec, ru, rv float64) box {
		u, v, z := w.project(p)
		if z < 0.3 {
			return box{0, 0, -1, -1}
		}
		k := w.f / z * 1.03
		return rect(u-ru*k-1, v-rv*k-1, u+ru*k+1, v+rv*k+1)
	}
	switch s.Kind {
	case scene.Cone:
		return ball(s.A, s.RA, s.RA).with(ball(s.B, s.RB, s.RB))
	case scene.Cap:
		return ball(s.A.Add(s.Axes[0].Mul(s.RA-scene.GuardDepth/2)), 0.075, 0.075)
	}
	var ru, rv float64
	for i := range 3 {
		ru += math.Pow(s.Axes[i].Dot(w.right)*s.Half[i], 2)
		rv += math.Pow(s.Axes[i].Dot(w.down)*s.Half[i], 2)
	}
	return ball(s.A, math.Sqrt(ru), math.Sqrt(rv))
}

// cast draws the solids from first on into the specks, seen through the pixel
// centres shifted by (ju, jv). Neighbouring solids of one figure melt into one
// another where their depths are close.
func (e *Easel) cast(w *view, first int, ju, jv float64) box {
	var all box
	all = box{0, 0, -1, -1}
	for i := first; i < len(e.solids); i++ {
		s := &e.solids[i]
		b := w.around(s)
		if b.empty() {
			continue
		}
		all = all.with(b)
		a := aim(s, w.at)
		for v := b.v0; v <= b.v1; v++ {
			y := (float64(v) + jv - centreV) / w.f
			row := w.down.Mul(y).Add(w.ahead)
			for u := b.u0; u <= b.u1; u++ {
				x := (float64(u) + ju - centreU) / w.f
				k := 1 / math.Sqrt(1+x*x+y*y)
				d := vec{X: (row.X + w.right.X*x) * k, Y: (row.Y + w.right.Y*x) * k, Z: (row.Z + w.right.Z*x) * k}
				t, n, ok := a.hit(w.at, d)
				if !ok {
					continue
				}
				e.meet(&e.specks[v*scene.Width+u], i, first, float32(t), n)
			}
		}
	}
	return all
}

// meet enters one solid into a speck.
func (e *Easel) meet(p *speck, i, first int, t float32, n vec) {
	m := [3]float32{float32(n.X), float32(n.Y), float32(n.Z)}
	if p.depth == 0 {
		*p = speck{t, m, uint16(i + 1)}
		return
	}
	other := int(p.solid) - 1
	soft := float32(e.solids[i].Soft)
	if s := float32(e.solids[other].Soft); s < soft {
		soft = s
	}
	gap := p.depth - t // > 0: the new solid is nearer
	if other < first || soft == 0 || gap > soft || gap < -soft {
		if gap > 0 {
			*p = speck{t, m, uint16(i + 1)}
		}
		return
	}
	h := 0.5 + 0.5*gap/soft
	for j := range m {
		p.n[j] += (m[j] - p.n[j]) * h
	}
	p.depth = p.depth + (t-p.depth)*h - soft*h*(1-h)*0.5
	if gap > 0 {
		p.solid = uint16(i + 1)
	}
}
