package video

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"testing"

	"mesure/sport/mark"
)

// TestAs709Equations turns the colour bars of the standards into BT.709, limited range, and
// wants its nominal levels: BT.709-6 items 3.2 to 3.4 and section 4 (the same numbers as
// TestColourEquations has).
func TestAs709Equations(t *testing.T) {
	bars := map[[3]uint8][3]float64{
		{255, 255, 255}: {235, 128, 128}, {0, 0, 0}: {16, 128, 128}, {255, 0, 0}: {62.6, 102.3, 240},
		{0, 255, 0}: {172.6, 41.7, 26.3}, {0, 0, 255}: {31.8, 240, 117.7},
	}
	for _, c := range []Colour{{Matrix: BT601}, {Matrix: BT601, Full: true}, {Matrix: BT709, Full: true}, {Matrix: BT709}} {
		for rgb, want := range bars {
			f := NewFrame(6, 4)
			f.Colour = c
			img := image.NewRGBA(image.Rect(0, 0, 6, 4))
			for i := range 24 {
				img.SetRGBA(i%6, i/6, color.RGBA{rgb[0], rgb[1], rgb[2], 255})
			}
			f.SetRGBA(img)
			f.Number, f.Time = 7, 0.25
			g := f.As709()
			if g.Colour != screen || g.Number != 7 || g.Time != 0.25 {
				t.Fatalf("%v became %v, frame %d", c, g.Colour, g.Number)
			}
			for i, pair := range [][2]float64{{float64(g.Y[9]), want[0]}, {float64(g.U[4]), want[1]}, {float64(g.V[4]), want[2]}} {
				if d := pair[0] - pair[1]; math.Abs(d) > 1.4 { // two roundings, one weighed
					t.Errorf("%v in %v: component %d is %v, want %v", rgb, c, i, pair[0], pair[1])
				}
			}
		}
	}
	f := NewFrame(4, 4)
	if g := f.As709(); &g.Y[0] != &f.Y[0] {
		t.Error("a frame that is BT.709 already was copied")
	}
}

// TestAs709GoesTheWayOfRGBA compares with the second route, through red, green and blue, on
// a picture of smooth colours within their range.
func TestAs709GoesTheWayOfRGBA(t *testing.T) {
	for _, c := range []Colour{{Matrix: BT601}, {Matrix: BT601, Full: true}, {Matrix: BT709, Full: true}, {Matrix: BT2020}, {Matrix: BT2020, Transfer: HLG}} {
		const w, h = 65, 33
		f := NewFrame(w, h)
		f.Colour = c
		for i := range f.Y {
			f.Y[i] = byte(90 + i%w + 2*(i/w)/3)
		}
		cw, _ := chroma(w, h)
		for i := range f.U {
			f.U[i], f.V[i] = byte(110+i%cw), byte(146-i/cw)
		}
		want := NewFrame(w, h)
		want.SetRGBA(f.RGBA())
		got := f.As709()
		for p, pair := range [][2][]byte{{got.Y, want.Y}, {got.U, want.U}, {got.V, want.V}} {
			for i, v := range pair[0] {
				if d := int(v) - int(pair[1][i]); d > 2 || d < -2 {
					t.Fatalf("%v, plane %d, sample %d is %d, through RGBA %d", c, p, i, v, pair[1][i])
				}
			}
		}
	}
}

// centroid returns the centre of what is brighter than the ground, in pixels of package
// mark, within a part of the frame.
func centroid(f Frame, part image.Rectangle) (x, y float64) {
	var sum float64
	for v := part.Min.Y; v < part.Max.Y; v++ {
		for u := part.Min.X; u < part.Max.X; u++ {
			if k := float64(f.Y[v*f.Width+u]) - 40; k > 0 {
				sum += k
				x += k * float64(u)
				y += k * float64(v)
			}
		}
	}
	return x / sum, y / sum
}

// blobVideo shows a soft spot that moves by fractions of a pixel; base says how it is kept.
func blobVideo(t *testing.T, path string) {
	t.Helper()
	w, err := Embedded().Create(context.Background(), path, Spec{Width: 160, Height: 120, Rate: 25, Quality: 4})
	if err != nil {
		t.Fatal(err)
	}
	for n := range 6 {
		f := NewFrame(160, 120)
		cx, cy := 71.3+1.37*float64(n), 52.6-0.83*float64(n)
		for v := range 120 {
			for u := range 160 {
				d := (float64(u)-cx)*(float64(u)-cx) + (float64(v)-cy)*(float64(v)-cy)
				f.Y[v*160+u] = byte(32 + 190*math.Exp(-d/32))
			}
		}
		if err := w.YUV(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestPartsLieWhereTheFormulaSays reads a spot back from parts of every kind of picture: its
// centre in the whole frame, put through the formula of FramesAt, must be its centre in the
// part to a twentieth of a pixel. The frames are those that Frames has.
func TestPartsLieWhereTheFormulaSays(t *testing.T) {
	dir := t.TempDir()
	base := filepath.Join(dir, "base.mp4")
	blobVideo(t, base)
	remake := func(name string, args ...string) string {
		path := filepath.Join(dir, name)
		tool(t, Embedded(), base, path, nil, append(append([]string{"-y", "-i", inputHere}, args...), outputHere)...)
		return path
	}
	files := []string{
		base,
		remake("90.mp4", "-c", "copy", "-metadata:s:v", "rotate=270"),
		remake("180.mp4", "-c", "copy", "-metadata:s:v", "rotate=180"),
		remake("270.mp4", "-c", "copy", "-metadata:s:v", "rotate=90"),
		remake("wide.mkv", "-c:v", "ffv1", "-aspect", "16:9"),
		remake("fields.mkv", "-c:v", "ffv1", "-vf", "setfield=tff", "-field_order", "tt"),
		remake("odd.mkv", "-c:v", "ffv1", "-vf", "crop=151:113:2:2:exact=1"),
	}
	ctx := context.Background()
	for _, e := range engines(t) {
		for i, path := range files {
			usual := e.Name() == NativeName && i%5 == 0 || i == 1 // as it is, fields; turned
			if testing.Short() && i > 1 || !usual && os.Getenv(deepEnv) == "" {
				continue
			}
			name := e.Name() + " " + filepath.Base(path)
			clip, err := e.Probe(ctx, path, nil)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if filepath.Base(path) == "fields.mkv" {
				if !clip.Interlaced {
					t.Fatalf("%s: no fields", name)
				}
				clip = clip.Split()
			}
			last := mark.Frame(clip.Frames() - 1)
			whole := map[mark.Frame][2]float64{}
			all := image.Rect(0, 0, clip.Width, clip.Height)
			if err := e.Frames(ctx, path, clip, 1, last, func(f Frame) error {
				x, y := centroid(f, all)
				whole[f.Number] = [2]float64{x, y}
				return nil
			}); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			mid := whole[1]
			x0, y0 := int(mid[0])-38, int(mid[1])-36
			for _, c := range []struct {
				crop image.Rectangle
				w, h int
			}{
				{image.Rect(x0&^1, y0&^1, (x0+80)&^1, (y0+66)&^1), 120, 88}, // larger
				{image.Rect(x0|1, y0|1, x0|1+77, y0|1+63), 44, 40},          // smaller, odd edges
				{image.Rectangle{}, 96, 80},
				{all, clip.Width, clip.Height},
			}[:4-2*min(i, 1)] {
				at := c.crop
				if at.Empty() {
					at = all
				}
				next := mark.Frame(1)
				err := e.FramesAt(ctx, path, clip, 1, last, c.crop, c.w, c.h, func(f Frame) error {
					if f.Number != next || f.Time != clip.Times[next] || f.Width != c.w || f.Height != c.h || f.Colour != screen {
						return fmt.Errorf("frame %d at %v of %d × %d in %v", f.Number, f.Time, f.Width, f.Height, f.Colour)
					}
					next++
					x, y := centroid(f, image.Rect(0, 0, c.w, c.h))
					wantX := (whole[f.Number][0]+0.5-float64(at.Min.X))*float64(c.w)/float64(at.Dx()) - 0.5
					wantY := (whole[f.Number][1]+0.5-float64(at.Min.Y))*float64(c.h)/float64(at.Dy()) - 0.5
					if math.Abs(x-wantX) > 0.05 || math.Abs(y-wantY) > 0.05 {
						return fmt.Errorf("the spot of frame %d is at (%.3f, %.3f), want (%.3f, %.3f)", f.Number, x, y, wantX, wantY)
					}
					return nil
				})
				if err != nil || next != last+1 {
					t.Errorf("%s, part %v to %d × %d: %v, next frame %d", name, c.crop, c.w, c.h, err, next)
				}
			}
			out := image.Rect(4, 4, clip.Width+1, 40)
			if err := e.FramesAt(ctx, path, clip, 0, 0, out, 32, 32, nil); !errors.Is(err, ErrNoFrame) {
				t.Errorf("%s: a part outside of the picture gives %v", name, err)
			}
		}
	}
}

// TestEnginesScaleAlike: the parts of a picture with fine texture and colours of another
// kind are the same in both engines, and those of our own scaler are near them.
func TestEnginesScaleAlike(t *testing.T) {
	path := filepath.Join(t.TempDir(), "full 601.mkv")
	in, how := coded(codeWidth, codeHeight, 3)
	tool(t, Embedded(), "", path, in, append(how, "-c:v", "ffv1", "-color_range", "pc", "-pix_fmt", "yuvj420p", "-colorspace", "smpte170m", outputHere)...)
	crop := image.Rect(20, 10, 140, 110)
	var first []Frame
	for _, e := range engines(t) {
		clip, err := e.Probe(context.Background(), path, nil)
		if err != nil {
			t.Fatal(err)
		}
		own := newScaler(crop, 90, 60)
		i := 0
		err = e.FramesAt(context.Background(), path, clip, 0, 2, crop, 90, 60, func(f Frame) error {
			if e.Name() == EmbeddedName {
				first = append(first, f.Clone())
			} else if string(f.Y) != string(first[i].Y) || string(f.U) != string(first[i].U) || string(f.V) != string(first[i].V) {
				t.Errorf("frame %d is not the same in both engines", i)
			}
			i++
			var mine Frame
			if err := e.Frames(context.Background(), path, clip, f.Number, f.Number, func(g Frame) error {
				if g.Colour != (Colour{Matrix: BT601, Full: true}) {
					t.Errorf("the file says %v", g.Colour)
				}
				mine = own.frame(g).As709()
				return nil
			}); err != nil {
				return err
			}
			for p, pair := range [][2][]byte{{f.Y, mine.Y}, {f.U, mine.U}, {f.V, mine.V}} {
				sum := 0.0
				for k, v := range pair[0] {
					sum += math.Abs(float64(v) - float64(pair[1][k]))
				}
				if mean := sum / float64(len(pair[0])); mean > 1.5 {
					t.Errorf("%s, frame %d: plane %d is %.2f off our own scaler's", e.Name(), f.Number, p, mean)
				}
			}
			return nil
		})
		if err != nil || i != 3 {
			t.Fatalf("%s: %d frames: %v", e.Name(), i, err)
		}
	}
}
