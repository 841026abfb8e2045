package picture

import (
	"image"
	"math"
	"math/rand/v2"

	"mesure/demo/scene"
	"mesure/quantity"
	"mesure/sport/mark"
)

// Easel holds the working memory for one frame at a time. It must not be used
// by two goroutines at once.
type Easel struct {
	base   []float32    // the hall, linear light, 3 numbers a pixel
	acc    [][4]float32 // the figures summed over the sub-samples: light and cover
	sub    [][4]float32 // one sub-sample
	specks []speck
	ao     []float32
	solids []scene.Solid
	skins  []skinOf
	cloth  []fold
	shadow shadowMap
	kits   [2]kit
	live   *broadcast
}

// NewEasel returns an easel for pictures of the size of the demo.
func NewEasel() *Easel {
	n := scene.Width * scene.Height
	return &Easel{
		base: make([]float32, 3*n), acc: make([][4]float32, n), sub: make([][4]float32, n),
		specks: make([]speck, n), ao: make([]float32, n),
		kits: [2]kit{kitOf(mark.Left), kitOf(mark.Right)}, live: newBroadcast(),
	}
}

// Exposure.
const (
	// Shutter is how long a live frame is exposed, in seconds of the file's
	// clock: 1/100 s at 50 frames a second.
	Shutter = 0.010
	// subSamples of the figures per frame, in time and inside the pixel.
	subSamples = 5
)

// Frame draws one frame of a shot. The picture is exposed around the instant of
// the frame, half before and half after.
func (s *Stage) Frame(e *Easel, film *scene.Film, shot *scene.Shot, f mark.Frame) *image.RGBA {
	t := shot.At(f)
	cam := film.Camera(shot, t)
	w := newView(cam)
	e.cloth = s.cloth
	s.cut(e, &w)
	open := Shutter / shot.Factor
	pass := func(before bool) {
		for i, p := range film.Passers {
			if p.Before() == before {
				s.pass(e, &w, p, &attires[(i+film.Number)%len(attires)], t, open)
			}
		}
	}
	pass(false)

	figs := film.At(t)
	e.solids = append(append(e.solids[:0], figs[0].Solids()...), figs[1].Solids()...)
	e.shadow.cover(e.solids)
	e.darken(&w)
	if t >= film.LampsAt {
		e.lamps(&w, film, float64(t-film.LampsAt))
	}
	all := box{0, 0, -1, -1}
	for i := range subSamples {
		k := (float64(i)+0.5)/subSamples - 0.5
		ju := math.Mod(0.5+float64(i+1)*0.7548776662, 1) - 0.5
		jv := math.Mod(0.5+float64(i+1)*0.5698402910, 1) - 0.5
		moved := film.At(t + quantity.Seconds(k*open))
		all = all.with(e.sample(&w, &moved, ju, jv, i == 0))
	}
	pass(true)
	seed := uint64(film.Number)<<40 ^ uint64(len(shot.ID))<<32 ^ uint64(f)
	img := e.develop(all, func(row int) float32 { return gain(film, shot, f, row) }, rand.New(rand.NewPCG(seed, 7)))
	e.live.draw(img, film, shot, f)
	return img
}

// sample draws both figures once and adds them up.
func (e *Easel) sample(w *view, figs *[2]scene.Figure, ju, jv float64, first bool) box {
	all := box{0, 0, -1, -1}
	e.solids, e.skins = e.solids[:0], e.skins[:0]
	for k := range figs {
		from := len(e.solids)
		e.solids = append(e.solids, figs[k].Solids()...)
		e.dress(from, &figs[k], &e.kits[k])
		all = all.with(e.cast(w, from, ju, jv))
	}
	if first {
		e.occlude(all)
	}
	for v := all.v0; v <= all.v1; v++ {
		y := (float64(v) + jv - centreV) / w.f
		row := w.down.Mul(y).Add(w.ahead)
		for u := all.u0; u <= all.u1; u++ {
			i := v*scene.Width + u
			p := &e.specks[i]
			if p.depth == 0 {
				continue
			}
			x := (float64(u) + ju - centreU) / w.f
			d := row.Add(w.right.Mul(x)).Mul(1 / math.Sqrt(1+x*x+y*y))
			c := e.shade(p, w.at.Add(d.Mul(float64(p.depth))), d, 1-e.ao[i])
			e.sub[i] = [4]float32{c.r, c.g, c.b, 1}
		}
	}
	for k := range figs {
		all = all.with(e.trail(w, &figs[k], ju, jv))
		all = all.with(e.strike(w, &figs[k], ju, jv))
	}
	for v := all.v0; v <= all.v1; v++ {
		for i := v*scene.Width + all.u0; i <= v*scene.Width+all.u1; i++ {
			if s := &e.sub[i]; s[3] != 0 {
				a := &e.acc[i]
				a[0] += s[0]
				a[1] += s[1]
				a[2] += s[2]
				a[3] += s[3]
				*s = [4]float32{}
			}
			e.specks[i].depth = 0
		}
	}
	return all
}

// occlude estimates from the depths around each pixel how much of the light is
// held back by what stands before it.
func (e *Easel) occlude(b box) {
	clear(e.ao)
	ring := [...][2]int{{4, 0}, {-4, 1}, {0, 4}, {1, -5}, {9, 7}, {-9, 6}, {7, -10}, {-8, -8}, {16, -3}, {-16, 2}, {2, -17}, {-3, 15}}
	for v := b.v0; v <= b.v1; v++ {
		for u := b.u0; u <= b.u1; u++ {
			i := v*scene.Width + u
			z := e.specks[i].depth
			if z == 0 {
				continue
			}
			var sum float32
			for k, r := range ring {
				x, y := u+r[0], v+r[1]
				if x < 0 || y < 0 || x >= scene.Width || y >= scene.Height {
					continue
				}
				o := e.specks[y*scene.Width+x].depth
				if o == 0 {
					continue
				}
				near := z - o
				reach := float32(0.020 + 0.006*float32(k))
				if near > reach*0.3 && near < 0.55 {
					sum += min(1, near/(3*reach)) * (1 - near/0.55)
				}
			}
			e.ao[i] = min(0.72, sum/float32(len(ring))*1.15)
		}
	}
}
