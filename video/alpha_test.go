package video

import (
	"context"
	"image"
	"image/color"
	"math"
	"path/filepath"
	"testing"
)

// overlay is a picture of blocks of 32 × 32 pixels, each of one colour and transparency:
// straight, as it is to come back.
var overlay = []color.NRGBA{
	{255, 0, 0, 255}, {0, 200, 0, 128}, {20, 40, 220, 64}, {0, 0, 0, 0},
	{255, 255, 255, 255}, {0, 0, 0, 255}, {240, 220, 30, 200}, {128, 128, 128, 16},
}

func overlayPicture() *image.RGBA {
	img := image.NewRGBA(image.Rect(10, 20, 10+32*len(overlay), 20+32)) // the origin is no matter
	for i, c := range overlay {
		for y := range 32 {
			for x := range 32 {
				img.Set(10+32*i+x, 20+y, c)
			}
		}
	}
	return img
}

// TestTransparent writes a picture of known colours and transparencies and reads its pixels
// back through FFmpeg's own decoder and scaler: what is transparent, how much, and the
// colour as it was before it was premultiplied.
func TestTransparent(t *testing.T) {
	for _, e := range engines(t) {
		for _, format := range []Format{FormatProRes, FormatWebMAlpha} {
			if testing.Short() && format == FormatWebMAlpha {
				continue
			}
			path := filepath.Join(t.TempDir(), "overlay"+format.Ending())
			img := overlayPicture()
			w, err := e.Create(context.Background(), path, Spec{Width: img.Rect.Dx(), Height: img.Rect.Dy(), Rate: 25, Format: format, Quality: 4})
			if err != nil {
				t.Fatal(err)
			}
			for range 2 {
				if err := w.RGBA(img); err != nil {
					t.Fatal(err)
				}
			}
			if err := w.Close(); err != nil {
				t.Fatalf("%s, %v: %v", e.Name(), format, err)
			}
			streams, _, _, _ := ffprobed(t, path)
			checkStream(t, streams[0], format, 2)
			var args []string
			if format == FormatWebMAlpha { // FFmpeg's own VP9 decoder leaves the transparency out
				args = []string{"-c:v", "libvpx-vp9"}
			}
			pix := tool(t, e, path, "", nil, append(args, "-i", inputHere, "-frames:v", "1",
				"-vf", "scale=in_color_matrix=bt709:flags=accurate_rnd+full_chroma_int", "-f", "rawvideo", "-pix_fmt", "rgba", "-")...)
			for i, want := range overlay {
				at := 4 * (16*img.Rect.Dx() + 32*i + 16)
				got := pix[at : at+4]
				limits := [4]int{5, 5, 5, 2}
				if want.A == 0 {
					limits = [4]int{255, 255, 255, 0} // what is clear has no colour
				} else if want.A < 32 {
					limits = [4]int{10, 10, 10, 2} // few steps are left of a premultiplied colour
				}
				for c, v := range []uint8{want.R, want.G, want.B, want.A} {
					if d := int(got[c]) - int(v); d > limits[c] || d < -limits[c] {
						t.Errorf("%s, %v: block %d came back as %v, want %v", e.Name(), format, i, got, want)
						break
					}
				}
			}
		}
	}
}

// TestClearPixelsTakeTheColourBesideThem: a codec must find no edge between a line and
// what is clear around it. Premultiplied again, the picture is what it was.
func TestClearPixelsTakeTheColourBesideThem(t *testing.T) {
	src := image.NewRGBA(image.Rect(0, 0, 21, 13))
	for x := range 21 {
		src.SetRGBA(x, 3, color.RGBA{200, 100, 0, 255})
		src.SetRGBA(x, 4, color.RGBA{100, 50, 0, 128}) // half of the same
	}
	dst := image.NewNRGBA(src.Rect)
	straighten(dst, src)
	for y := range 13 {
		for x := range 21 {
			want := color.NRGBA{200, 100, 0, 0}
			switch {
			case y == 3:
				want.A = 255
			case y == 4:
				want = color.NRGBA{199, 100, 0, 128} // 100·255/128
			case y >= 8:
				want = color.NRGBA{}
			}
			got := dst.NRGBAAt(x, y)
			for _, d := range []int{int(got.R) - int(want.R), int(got.G) - int(want.G), int(got.B) - int(want.B), 2 * (int(got.A) - int(want.A))} {
				if d > 1 || d < -1 {
					t.Fatalf("pixel (%d, %d) is %v, want %v", x, y, got, want)
				}
			}
			r, g, b, a := got.RGBA()
			p := src.RGBAAt(x, y)
			for _, pair := range [][2]float64{{float64(r) / 257, float64(p.R)}, {float64(g) / 257, float64(p.G)}, {float64(b) / 257, float64(p.B)}, {float64(a) / 257, float64(p.A)}} {
				if math.Abs(pair[0]-pair[1]) > 1 {
					t.Fatalf("pixel (%d, %d): %v premultiplied is not %v", x, y, got, p)
				}
			}
		}
	}
}
