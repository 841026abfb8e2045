package track

import (
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"mesure/sport/mark"
)

// reel is a film in memory.
type reel []*image.Gray

var errNoFrame = errors.New("no such frame")

func (r reel) Gray(f mark.Frame) (*image.Gray, error) {
	if f < 0 || int(f) >= len(r) {
		return nil, errNoFrame
	}
	return r[f], nil
}

// stage draws films whose movements are known exactly: a background that the camera
// pans over, things that move before it, and what a camera adds.
type stage struct {
	w, h   int
	back   Plane
	pan    func(t float64) (u, v float64) // of the background in the picture
	things []thing                        // later ones before earlier ones
	blades []stick
	gain   func(f int) float64
	noise  float64
	open   float64 // share of the frame for which the shutter is open
	quiet  []float64
}

// thing is a textured ellipse.
type thing struct {
	at         func(t float64) (u, v float64)
	half, tall float64 // half axes in pixels
	texture    Plane
	dark       float64 // multiplies the texture
}

// stick is a straight line from a root at an angle.
type stick struct {
	root   func(t float64) (u, v float64)
	angle  func(t float64) float64
	length func(t float64) float64
	wide   float64
	light  float64
	under  bool // behind all things
}

func (s *stage) shoot(n int, seed uint64) reel {
	rng := rand.New(rand.NewPCG(seed, 7))
	out := make(reel, n)
	for f := range n {
		sum := make([]float64, s.w*s.h)
		subs := 1
		if s.open > 0 {
			subs = 5
		}
		for k := range subs {
			t := float64(f)
			if subs > 1 {
				t += s.open * (float64(k)/float64(subs-1) - 0.5)
			}
			s.draw(sum, t, 1/float64(subs))
		}
		g := image.NewGray(image.Rect(0, 0, s.w, s.h))
		gain := 1.0
		if s.gain != nil {
			gain = s.gain(f)
		}
		for i, c := range sum {
			g.Pix[i] = uint8(max(0, min(255, math.Round(gain*c+s.noise*rng.NormFloat64()))))
		}
		out[f] = g
	}
	return out
}

func (s *stage) draw(sum []float64, t, share float64) {
	pu, pv := 0.0, 0.0
	if s.pan != nil {
		pu, pv = s.pan(t)
	}
	pic := make([]float64, s.w*s.h)
	if s.pan == nil && s.quiet != nil {
		copy(pic, s.quiet)
	} else {
		for y := range s.h {
			for x := range s.w {
				pic[y*s.w+x] = mirrored(s.back, float64(x)-pu, float64(y)-pv)
			}
		}
		if s.pan == nil {
			s.quiet = append([]float64(nil), pic...)
		}
	}
	for _, b := range s.blades {
		if b.under {
			s.stroke(pic, b, t)
		}
	}
	for _, th := range s.things {
		cu, cv := th.at(t)
		for y := max(0, int(cv-th.tall-2)); y < min(s.h, int(cv+th.tall+3)); y++ {
			for x := max(0, int(cu-th.half-2)); x < min(s.w, int(cu+th.half+3)); x++ {
				dx, dy := float64(x)-cu, float64(y)-cv
				r := math.Hypot(dx/th.half, dy/th.tall)
				cover := max(0, min(1, (1-r)*math.Min(th.half, th.tall)+0.5))
				if cover > 0 {
					c := th.dark * mirrored(th.texture, 100+dx, 100+dy)
					pic[y*s.w+x] += cover * (c - pic[y*s.w+x])
				}
			}
		}
	}
	for _, b := range s.blades {
		if !b.under {
			s.stroke(pic, b, t)
		}
	}
	for i, c := range pic {
		sum[i] += share * c
	}
}

func (s *stage) stroke(pic []float64, b stick, t float64) {
	u, v := b.root(t)
	sn, cs := math.Sincos(b.angle(t))
	l := b.length(t)
	for y := max(0, int(v-l-3)); y < min(s.h, int(v+l+4)); y++ {
		for x := max(0, int(u-l-3)); x < min(s.w, int(u+l+4)); x++ {
			dx, dy := float64(x)-u, float64(y)-v
			along, side := dx*cs+dy*sn, math.Abs(dy*cs-dx*sn)
			cover := max(0, min(1, b.wide/2+0.5-side)) * max(0, min(1, l+0.5-along)) * max(0, min(1, along+0.5))
			if cover > 0 {
				pic[y*s.w+x] += cover * (b.light - pic[y*s.w+x])
			}
		}
	}
}

// mirrored samples a picture by Catmull–Rom, mirrored beyond its edges.
func mirrored(p Plane, u, v float64) float64 {
	iu, iv := math.Floor(u), math.Floor(v)
	wu, wv := catmull(u-iu), catmull(v-iv)
	fold := func(i, n int) int {
		i = ((i % (2 * n)) + 2*n) % (2 * n)
		if i >= n {
			i = 2*n - 1 - i
		}
		return i
	}
	sum := 0.0
	for dy := range 4 {
		row := p.Pix[fold(int(iv)+dy-1, p.H)*p.W:][:p.W]
		line := 0.0
		for dx := range 4 {
			line += wu[dx] * float64(row[fold(int(iu)+dx-1, p.W)])
		}
		sum += wv[dy] * line
	}
	return sum
}

func catmull(t float64) [4]float64 {
	return [4]float64{
		((-t+2)*t - 1) * t / 2, ((3*t-5)*t*t + 2) / 2, ((-3*t+4)*t + 1) * t / 2, (t - 1) * t * t / 2,
	}
}

// still is a place that does not move.
func still(u, v float64) func(float64) (float64, float64) {
	return func(float64) (float64, float64) { return u, v }
}

// handIn is a stage whose background is scikit-image's astronaut.png (NASA, public
// domain), dimmed, with a bright thing of the same picture's texture that swings as a
// hand does: up to 10 pixels a frame.
func handIn(t testing.TB) (*stage, func(f float64) (u, v float64)) {
	t.Helper()
	base := readPlane(t, "testdata/img/klt_base.png")
	dim := NewPlane(base.W, base.H)
	for i, c := range base.Pix {
		dim.Pix[i] = 30 + 0.35*c
	}
	path := func(f float64) (float64, float64) {
		return 160 + 70*math.Sin(f/7), 120 + 18*math.Sin(f/4+1)
	}
	s := &stage{w: 320, h: 240, back: dim, noise: 2, open: 0.5}
	s.things = []thing{{at: path, half: 16, tall: 14, texture: base, dark: 0.9}}
	return s, path
}

// pixelAt is a path as a pixel.
func pixelAt(path func(float64) (float64, float64), f mark.Frame) mark.Pixel {
	u, v := path(float64(f))
	return mark.Pixel{U: u, V: v}
}
