package video

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"path/filepath"
	"strconv"
	"testing"
)

// TestColourEquations checks the colour arithmetic against the nominal levels of
// the colour bars in the standards, worked out from their formulas: BT.709-6
// item 3.2 to 3.4 and table 4, BT.601-7 section 2.5. Black is 16, white 235, and
// e.g. red in BT.709 is Y = 16 + 219·0.2126 = 62.6, Cr = 128 + 224/2 = 240.
func TestColourEquations(t *testing.T) {
	cases := []struct {
		colour  Colour
		rgb     [3]uint8
		y, u, v float64
	}{
		{Colour{Matrix: BT709, Full: false}, [3]uint8{0, 0, 0}, 16, 128, 128},
		{Colour{Matrix: BT709, Full: false}, [3]uint8{255, 255, 255}, 235, 128, 128},
		{Colour{Matrix: BT709, Full: false}, [3]uint8{255, 0, 0}, 62.6, 102.3, 240},
		{Colour{Matrix: BT709, Full: false}, [3]uint8{0, 255, 0}, 172.6, 41.7, 26.3},
		{Colour{Matrix: BT709, Full: false}, [3]uint8{0, 0, 255}, 31.8, 240, 117.7},
		{Colour{Matrix: BT601, Full: false}, [3]uint8{255, 0, 0}, 81.5, 90.2, 240},
		{Colour{Matrix: BT601, Full: false}, [3]uint8{0, 255, 0}, 144.6, 53.8, 34.2},
		{Colour{Matrix: BT601, Full: false}, [3]uint8{0, 0, 255}, 41.0, 240, 109.8},
		{Colour{Matrix: BT601, Full: true}, [3]uint8{255, 255, 255}, 255, 128, 128},
		{Colour{Matrix: BT601, Full: true}, [3]uint8{0, 255, 0}, 149.7, 43.5, 20.8},
		{Colour{Matrix: BT2020, Full: false}, [3]uint8{0, 255, 0}, 164.5, 47.6, 25.0},
	}
	for _, c := range cases {
		f := NewFrame(4, 4)
		f.Colour = c.colour
		img := image.NewRGBA(image.Rect(0, 0, 4, 4))
		for i := range 16 {
			img.SetRGBA(i%4, i/4, color.RGBA{c.rgb[0], c.rgb[1], c.rgb[2], 255})
		}
		f.SetRGBA(img)
		for i, pair := range [][2]float64{{float64(f.Y[5]), c.y}, {float64(f.U[1]), c.u}, {float64(f.V[1]), c.v}} {
			if d := pair[0] - pair[1]; d > 0.65 || d < -0.65 {
				t.Errorf("%v of %v: component %d is %v, want %v", c.rgb, c.colour, i, pair[0], pair[1])
			}
		}
		back := f.RGBA().RGBAAt(1, 1)
		for i, got := range []uint8{back.R, back.G, back.B} {
			if d := int(got) - int(c.rgb[i]); d > 2 || d < -2 {
				t.Errorf("%v of %v came back as %v", c.rgb, c.colour, back)
			}
		}
	}
}

// TestEveryGreyStaysGrey checks all greys, both ranges, odd sizes included.
func TestEveryGreyStaysGrey(t *testing.T) {
	for _, full := range []bool{false, true} {
		for g := range 256 {
			f := NewFrame(3, 5)
			f.Colour = Colour{Matrix: BT709, Full: full}
			img := image.NewRGBA(image.Rect(0, 0, 3, 5))
			for i := range img.Pix {
				img.Pix[i] = uint8(g)
			}
			f.SetRGBA(img)
			p := f.RGBA().RGBAAt(2, 4)
			if p.R != p.G || p.G != p.B || int(p.R)-g > 1 || g-int(p.R) > 1 {
				t.Fatalf("grey %d (full: %v) came back as %v", g, full, p)
			}
		}
	}
}

// TestStillMatchesTheScaler compares stills of files that state their colours in
// different ways with the same frame turned into RGB by FFmpeg's own scaler
// (libswscale 6.7.100, accurate rounding), which reads the same flags.
func TestStillMatchesTheScaler(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	const w, h = 128, 96
	in := make([]byte, frameBytes(w, h))
	f := frameOver(in, w, h)
	for y := range h {
		for x := range w {
			f.Y[y*w+x] = byte(40 + x + y/2)
		}
	}
	for y := range h / 2 {
		for x := range w / 2 {
			f.U[y*w/2+x] = byte(100 + x/2 + y/4)
			f.V[y*w/2+x] = byte(160 - x/3 - y/4)
		}
	}
	cases := []struct{ space, span, pix string }{
		{"bt709", "tv", "yuv420p"}, {"smpte170m", "tv", "yuv420p"}, {"bt709", "pc", "yuvj420p"}, {"smpte170m", "pc", "yuvj420p"},
	}
	for _, c := range cases {
		path := filepath.Join(t.TempDir(), "colour.mkv")
		tool(t, Embedded(), "", path, bytes.NewReader(in), "-f", "rawvideo", "-pix_fmt", c.pix, "-color_range", c.span, "-s", strconv.Itoa(w)+"x"+strconv.Itoa(h), "-i", "pipe:0",
			"-c:v", "libx264", "-qp", "1", "-preset", "ultrafast", "-pix_fmt", c.pix, "-color_range", c.span, "-colorspace", c.space, "-f", "matroska", "-y", outputHere)
		for _, e := range engines(t) {
			ctx := context.Background()
			clip, err := e.Probe(ctx, path, nil)
			if err != nil {
				t.Fatal(err)
			}
			still, err := e.Still(ctx, path, clip, 0)
			if err != nil {
				t.Fatal(err)
			}
			want := tool(t, e, path, "", nil, "-i", inputHere, "-frames:v", "1", "-vf", "scale=in_color_matrix="+c.space+":flags=accurate_rnd+full_chroma_int+bilinear", "-pix_fmt", "rgb24", "-f", "rawvideo", "-")
			if len(want) != 3*w*h {
				t.Fatalf("%d bytes of reference", len(want))
			}
			got := still.(*image.RGBA)
			worst := 0
			for y := 4; y < h-4; y++ {
				for x := 4; x < w-4; x++ {
					p := got.RGBAAt(x, y)
					for i, v := range []uint8{p.R, p.G, p.B} {
						worst = max(worst, int(v)-int(want[3*(y*w+x)+i]), int(want[3*(y*w+x)+i])-int(v))
					}
				}
			}
			if worst > 4 {
				t.Errorf("%s, %v: a channel is off by %d", e.Name(), c, worst)
			}
		}
	}
}

// TestTurnsAsPlayersDo compares frames of files that ask to be turned with those
// that FFmpeg turns by itself, which is the way a player shows them.
func TestTurnsAsPlayersDo(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	base := makeBase(t)
	checked := 0
	for _, angle := range []string{"90", "180", "270"} {
		path := filepath.Join(t.TempDir(), "turned.mp4")
		tool(t, Embedded(), base, path, nil, "-y", "-i", inputHere, "-c", "copy", "-metadata:s:v", "rotate="+angle, outputHere)
		for _, e := range engines(t) {
			clip, err := e.Probe(context.Background(), path, nil)
			if err != nil {
				t.Fatal(err)
			}
			g, err := e.Luma(context.Background(), path, clip, 7)
			if err != nil {
				t.Fatal(err)
			}
			want := tool(t, e, path, "", nil, "-i", inputHere, "-vf", `select=eq(n\,7)`, "-frames:v", "1", "-pix_fmt", "gray", "-f", "rawvideo", "-")
			same := 0
			for i, v := range g.Pix {
				// "gray" is full range: 16…235 stretched to 0…255.
				shown := (min(max(float64(v), 16), 235) - 16) * 255 / 219
				if d := shown - float64(want[i]); d > -3 && d < 3 {
					same++
				}
			}
			if len(want) != len(g.Pix) || same < len(g.Pix)*99/100 {
				t.Errorf("%s, rotate=%s: %d of %d pixels are as a player shows them", e.Name(), angle, same, len(g.Pix))
			}
			checked++
		}
	}
	if checked < 3 {
		t.Fatal("no turn was checked")
	}
}

func TestRotationFromMatrix(t *testing.T) {
	matrix := func(a, b, c, d string) string {
		return `\n00000000: ` + a + ` ` + b + ` 0\n00000001: ` + c + ` ` + d + ` 0\n00000002: 0 0 1073741824\n`
	}
	for _, c := range []struct {
		stream map[string]string
		want   int
	}{
		{map[string]string{}, 0},
		{map[string]string{"displaymatrix": matrix("65536", "0", "0", "65536")}, 0},
		{map[string]string{"displaymatrix": matrix("0", "65536", "-65536", "0")}, 90},
		{map[string]string{"displaymatrix": matrix("-65536", "0", "0", "-65536")}, 180},
		{map[string]string{"displaymatrix": matrix("0", "-65536", "65536", "0")}, 270},
		{map[string]string{"displaymatrix": matrix("60000", "2000", "-2000", "60000")}, 0},
		{map[string]string{"displaymatrix": matrix("0", "0", "0", "0")}, 0},
		{map[string]string{"displaymatrix": "rubbish"}, 0},
		{map[string]string{"tag:rotate": "90"}, 90},
		{map[string]string{"tag:rotate": "-90"}, 270},
		{map[string]string{"tag:rotate": "x"}, 0},
	} {
		if got := rotationOf(c.stream); got != c.want {
			t.Errorf("%v: turned by %d, want %d", c.stream, got, c.want)
		}
	}
}
