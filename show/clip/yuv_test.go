package clip

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"
)

// The samples of full colours are those that every table of BT.709 bars at 100 % has,
// limited range, 8 bits (computed by hand from BT.709-6, items 3.2 to 3.5).
func TestSamplesAreThoseOfBT709(t *testing.T) {
	for _, c := range []struct{ rgb, yuv [3]byte }{
		{[3]byte{0, 0, 0}, [3]byte{16, 128, 128}}, {[3]byte{255, 255, 255}, [3]byte{235, 128, 128}},
		{[3]byte{255, 0, 0}, [3]byte{63, 102, 240}}, {[3]byte{0, 255, 0}, [3]byte{173, 42, 26}}, {[3]byte{0, 0, 255}, [3]byte{32, 240, 118}},
		{[3]byte{255, 255, 0}, [3]byte{219, 16, 138}}, {[3]byte{128, 128, 128}, [3]byte{126, 128, 128}},
	} {
		if got := sample(c.rgb[0], c.rgb[1], c.rgb[2]); got != c.yuv {
			t.Errorf("%v is %v, not %v", c.rgb, got, c.yuv)
		}
		p := newPlanes(2, 2)
		fill(p, p.Rect, c.yuv)
		q := rgba(p).Pix
		for i, v := range c.rgb {
			if d := int(q[i]) - int(v); d < -2 || d > 2 {
				t.Errorf("%v comes back as %v", c.rgb, q[:3])
			}
		}
	}
}

// colour is the other route: BT.709 in floating point, from samples to red, green and
// blue between 0 and 1 and back.
func toRGB(y, u, v float64) (r, g, b float64) {
	l, pb, pr := (y-16)/219, (u-128)/224, (v-128)/224
	r, b = l+1.5748*pr, l+1.8556*pb
	return r, (l - 0.2126*r - 0.0722*b) / 0.7152, b
}

func toYUV(r, g, b float64) (y, u, v float64) {
	l := 0.2126*r + 0.7152*g + 0.0722*b
	return 16 + 219*l, 128 + 224*(b-l)/1.8556, 128 + 224*(r-l)/1.5748
}

// Laying a sprite on planes gives what blending in red, green and blue gives: luma within
// rounding of each pixel, colour of the mean of four.
func TestBlendInYUVIsThatInRGB(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 7))
	for range 40 {
		base := newPlanes(16, 12)
		c := [3]byte{byte(40 + rnd.IntN(160)), byte(90 + rnd.IntN(80)), byte(90 + rnd.IntN(80))}
		fill(base, base.Rect, c)
		img := image.NewRGBA(image.Rect(3, 1, 14, 9)) // odd on purpose
		for i := 0; i < len(img.Pix); i += 4 {
			a := rnd.IntN(256)
			if rnd.IntN(3) == 0 {
				a = 0
			}
			for k := range 3 {
				img.Pix[i+k] = byte(rnd.IntN(a + 1))
			}
			img.Pix[i+3] = byte(a)
		}
		spriteOf(img).lay(base)
		br, bg, bb := toRGB(float64(c[0]), float64(c[1]), float64(c[2]))
		for y := 0; y < 12; y += 2 {
			for x := 0; x < 16; x += 2 {
				var su, sv float64
				for k := range 4 {
					px, py := x+k&1, y+k>>1
					q := img.RGBAAt(px, py)
					keep := 1 - float64(q.A)/255
					Y, U, V := toYUV(float64(q.R)/255+keep*br, float64(q.G)/255+keep*bg, float64(q.B)/255+keep*bb)
					if got := float64(base.Y[py*base.YStride+px]); math.Abs(got-Y) > 1.5 {
						t.Fatalf("luma at %d,%d is %v, not %.2f", px, py, got, Y)
					}
					su, sv = su+U/4, sv+V/4
				}
				m := (y/2)*base.CStride + x/2
				if math.Abs(float64(base.Cb[m])-su) > 1.6 || math.Abs(float64(base.Cr[m])-sv) > 1.6 {
					t.Fatalf("colour at %d,%d is %d, %d, not %.2f, %.2f", x, y, base.Cb[m], base.Cr[m], su, sv)
				}
			}
		}
	}
}

// A clear picture is no sprite, and what lies outside the planes is cut off.
func TestSpritesAtEdges(t *testing.T) {
	if spriteOf(image.NewRGBA(image.Rect(0, 0, 9, 9))) != nil {
		t.Error("a clear picture is a sprite")
	}
	img := image.NewRGBA(image.Rect(-5, -3, 25, 21))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	p := newPlanes(20, 18)
	spriteOf(img).lay(p)
	for i, v := range p.Y {
		if v != 235 {
			t.Fatalf("sample %d is %d", i, v)
		}
	}
}

// Eight samples at a time are mixed as one by one.
func TestMixIsTheMean(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 1))
	a, b := newPlanes(38, 6), newPlanes(38, 6)
	for _, p := range []*image.YCbCr{a, b} {
		for _, s := range [][]byte{p.Y, p.Cb, p.Cr} {
			for i := range s {
				s[i] = byte(rnd.IntN(256))
			}
		}
	}
	for _, w := range []int{0, 1, 77, 128, 255, 256} {
		p := newPlanes(42, 8)
		mix(p, image.Pt(2, 2), a, b, w)
		for y := range 6 {
			for x := range 38 {
				want := math.Floor((float64(a.Y[y*a.YStride+x])*float64(256-w)+float64(b.Y[y*b.YStride+x])*float64(w))/256 + 0.5)
				if got := p.Y[(y+2)*p.YStride+x+2]; float64(got) != want {
					t.Fatalf("w %d: %d at %d,%d, not %v", w, got, x, y, want)
				}
			}
		}
		if p.Y[0] != 16 || p.Cb[0] != 128 {
			t.Fatal("what lies outside was changed")
		}
	}
}
