package picture

import (
	"math"

	"mesure/demo/scene"
	"mesure/sport/mark"
)

// fold is how the surface of the cloth leans, along a limb and across it.
type fold struct{ along, across float32 }

// The cloth map: a square of clothSize cells that repeats every clothSpan
// metres.
const (
	clothSize = 256
	clothSpan = 0.64
)

// newCloth makes creases: ridges that run mostly across a limb and slant, the
// slope of a sum of bent waves that repeats at the edges of the square.
func newCloth() []fold {
	height := make([]float64, clothSize*clothSize)
	wave := func(x, y, kx, ky, phase float64) float64 {
		return math.Sin(2*math.Pi*(kx*x+ky*y) + phase)
	}
	for j := range clothSize {
		for i := range clothSize {
			x, y := float64(i)/clothSize, float64(j)/clothSize
			bx := x + 0.05*wave(x, y, 1, 2, 0.3) + 0.03*wave(x, y, 3, -1, 1.1)
			by := y + 0.06*wave(x, y, 2, 1, 2.2) + 0.03*wave(x, y, -1, 3, 0.7)
			a := 0.5 + 0.5*wave(bx, by, 3, 1, 0.2)
			b := 0.5 + 0.5*wave(bx, by, 5, -2, 1.9)
			c := 1 - math.Abs(wave(bx, by, 2, 2, 4.1))
			keep := 0.5 + 0.5*wave(x, y, 1, -1, 0.9)*wave(x, y, 1, 2, 2.0)
			height[j*clothSize+i] = 0.013*a*a*keep + 0.0055*b*b*b*(1-keep) + 0.006*c*c*c*c*keep
		}
	}
	at := func(i, j int) float64 { return height[(j&(clothSize-1))*clothSize+i&(clothSize-1)] }
	out := make([]fold, clothSize*clothSize)
	cell := clothSpan / clothSize
	for j := range clothSize {
		for i := range clothSize {
			out[j*clothSize+i] = fold{
				float32((at(i+1, j) - at(i-1, j)) / (2 * cell)),
				float32((at(i, j+1) - at(i, j-1)) / (2 * cell)),
			}
		}
	}
	return out
}

func foldAt(cloth []fold, along, across float64) fold {
	i := int(math.Floor(along / clothSpan * clothSize))
	j := int(math.Floor(across / clothSpan * clothSize))
	return cloth[(j&(clothSize-1))*clothSize+i&(clothSize-1)]
}

// kit is the colours of one fencer.
type kit struct {
	sock, shoe, hair rgb
	name             *lettering
}

func kitOf(s mark.Side) kit {
	if s == mark.Left {
		return kit{ink(38, 66, 122), ink(44, 52, 70), ink(58, 42, 32), letter(leftName)}
	}
	return kit{ink(206, 98, 38), ink(206, 206, 202), ink(128, 92, 58), letter(rightName)}
}

// jacket is the white of the cloth.
var jacket = rgb{0.86, 0.855, 0.835}

// skinOf is what one solid needs for its shading, worked out once a sub-sample.
type skinOf struct {
	along, side, third vec // frame of the limb
	creased            float64
	length             float64
	kit                *kit
	wearer             *scene.Figure
	phase              float64
}

func (e *Easel) dress(from int, f *scene.Figure, k *kit) {
	for i := from; i < len(e.solids); i++ {
		s := &e.solids[i]
		d := skinOf{kit: k, wearer: f, creased: 0.55, phase: float64(s.Limb)*0.217 + float64(f.Side)*0.37}
		switch s.Kind {
		case scene.Cone:
			d.length = s.B.Sub(s.A).Len()
			d.along = s.B.Sub(s.A).Unit()
		default:
			d.along = s.Axes[2]
			if s.Kind == scene.Cap {
				d.along = vec{Z: 1}
			}
		}
		ref := f.Out
		if math.Abs(d.along.Dot(ref)) > 0.9 {
			ref = f.Fwd
		}
		d.side = ref.Sub(d.along.Mul(ref.Dot(d.along))).Unit()
		d.third = d.along.Cross(d.side)
		switch s.Part {
		case scene.Jacket:
			d.creased = 0.85
		case scene.Breeches:
			d.creased = 1.0
		case scene.Sock, scene.Glove:
			d.creased = 0.35
		case scene.Bib:
			d.creased = 0.25
		case scene.Bell, scene.Grip, scene.MaskMesh, scene.Shoe, scene.Skin:
			d.creased = 0
		}
		e.skins = append(e.skins, d)
	}
}

// Light in the hall: a soft key from the ceiling on the camera's side, daylight
// from the windows behind, and what the floor throws back.
var (
	keyFrom = vec{X: -0.42, Y: -0.58, Z: 0.70}
	rimFrom = vec{X: 0.30, Y: 0.82, Z: 0.48}
	keyTint = rgb{1.06, 1.01, 0.93}
	skyTint = rgb{0.225, 0.25, 0.29}
	lowTint = rgb{0.135, 0.102, 0.076}
	rimTint = rgb{0.62, 0.70, 0.80}
)

// shade returns the light that one speck sends to the camera along −d.
func (e *Easel) shade(p *speck, at, d vec, ao float32) rgb {
	i := int(p.solid) - 1
	s, skin := &e.solids[i], &e.skins[i]
	n := vec{X: float64(p.n[0]), Y: float64(p.n[1]), Z: float64(p.n[2])}.Unit()
	q := at.Sub(s.A)
	along, side, third := q.Dot(skin.along), q.Dot(skin.side), q.Dot(skin.third)
	if skin.creased > 0 {
		a := foldAt(e.cloth, along+skin.phase, side+skin.phase)
		b := foldAt(e.cloth, along+skin.phase, third+0.31)
		ws, wt := math.Abs(n.Dot(skin.third)), math.Abs(n.Dot(skin.side))
		k := -skin.creased
		n = n.Add(skin.along.Mul(k * (ws*float64(a.along) + wt*float64(b.along)))).
			Add(skin.side.Mul(k * ws * float64(a.across))).
			Add(skin.third.Mul(k * wt * float64(b.across))).Unit()
	}
	if s.Part == scene.Bell {
		return steel(n, d)
	}
	tint, sheen := e.tint(s, skin, at, n, q)
	key := float32(math.Max(0, (n.Dot(keyFrom)+0.18)/1.18))
	sky := float32(0.5 + 0.5*n.Z)
	grazing := math.Max(0, 1+n.Dot(d))
	edge := float32(grazing * grazing * grazing * math.Max(0, n.Dot(rimFrom)+0.25))
	low := float32(1)
	if at.Z < 0.5 {
		low = float32(0.62 + 0.38*step(0, 0.5, at.Z))
	}
	light := keyTint.mul(key * (0.35 + 0.65*ao)).add(skyTint.mul(sky * ao)).add(lowTint.mul((1 - sky) * ao)).mul(low)
	c := tint.by(light).add(rimTint.mul(edge * 0.55 * ao))
	if sheen > 0 {
		h := keyFrom.Sub(d).Unit()
		c = c.add(keyTint.mul(sheen * float32(math.Pow(math.Max(0, n.Dot(h)), 18))))
	}
	return c
}

// tint returns the colour of a part and how much it shines.
func (e *Easel) tint(s *scene.Solid, skin *skinOf, at, n, q vec) (rgb, float32) {
	switch s.Part {
	case scene.Jacket:
		if s.Limb == scene.LimbTrunk {
			return jacket.mul(e.print(skin, at, n)), 0
		}
		return jacket, 0
	case scene.Breeches:
		return rgb{0.80, 0.80, 0.795}, 0
	case scene.Sock:
		return skin.kit.sock, 0
	case scene.Shoe:
		return skin.kit.shoe, 0.10
	case scene.Glove:
		return rgb{0.66, 0.64, 0.60}, 0
	case scene.Bib:
		return jacket, 0
	case scene.Skin:
		return ink(204, 158, 130), 0
	case scene.Grip:
		return ink(40, 34, 30), 0.1
	}
	// The mask: mesh before, a strip of trim, hair behind.
	f := q.Dot(s.Axes[0]) / s.Half[0]
	z := q.Dot(s.Axes[2]) / s.Half[2]
	edge := f + 0.25*z
	switch {
	case edge < -0.42:
		return skin.kit.hair, 0
	case edge < -0.24:
		return rgb{0.55, 0.55, 0.54}, 0.05
	}
	return rgb{0.035, 0.037, 0.042}, 0.16
}

// steel mirrors the bright ceiling, the windows and the dark floor.
func steel(n, d vec) rgb {
	if n.Dot(d) > 0 {
		n = n.Mul(-1)
	}
	r := d.Sub(n.Mul(2 * d.Dot(n)))
	v := 0.10 + 0.55*step(-0.1, 0.75, r.Z) + 0.25*step(0.5, 1, r.Y)
	v += 1.1 * math.Pow(math.Max(0, r.Dot(keyFrom)), 30)
	return rgb{float32(0.95 * v), float32(0.97 * v), float32(v)}
}
