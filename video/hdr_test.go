package video

import (
	"context"
	"image"
	"image/color"
	"math"
	"path/filepath"
	"testing"
)

// TestHighDynamicRangeLevels checks the laws at the levels that BT.2408-7 names
// (table 1, recalled from memory): reference white of 203 cd/m² is 75 % in HLG
// and 58 % in PQ, the 18 % grey card of 26 cd/m² 38 % in both.
func TestHighDynamicRangeLevels(t *testing.T) {
	hlg := func(s float64) float64 { return hlgNits * math.Pow(hlgLight(s), hlgGamma) }
	for _, c := range []struct {
		name           string
		got, want, tol float64
	}{
		{"HLG white", hlg(0.75), 203, 1},
		{"HLG grey card", hlg(0.38), 26, 1},
		{"HLG peak", hlg(1), 1000, 0.1},
		{"PQ white", pqNits(0.58), 203, 5},
		{"PQ grey card", pqNits(0.38), 26, 1.5},
		{"PQ peak", pqNits(1), 10000, 1e-6},
		{"no light", pqNits(0) + hlg(0), 0, 1e-9},
		{"bent at the knee", bend(knee+1e-9) - bend(knee-1e-9), 0, 1e-8},
		{"bent peak", bend(hlgNits / whiteNits), 1, 1e-3},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
}

// TestNarrowKeepsGreyAndSDRWhite: neutral stays neutral whatever the law, and
// more light never becomes less.
func TestNarrowKeepsGreyAndSDRWhite(t *testing.T) {
	for _, law := range []Transfer{SDR, HLG, PQ} {
		last := -1
		for g := range 256 {
			img := image.NewRGBA(image.Rect(0, 0, 1, 1))
			img.SetRGBA(0, 0, color.RGBA{uint8(g), uint8(g), uint8(g), 255})
			narrow(img, law)
			p := img.RGBAAt(0, 0)
			spread := max(p.R, p.G, p.B) - min(p.R, p.G, p.B)
			if spread > 1 || int(p.G) < last {
				t.Errorf("law %d: grey %d became %v after %d", law, g, p, last)
			}
			if law == SDR && (int(p.G)-g > 1 || g-int(p.G) > 1) {
				t.Errorf("grey %d of BT.2020 in standard range became %v", g, p)
			}
			last = int(p.G)
		}
	}
}

// TestTelephoneVideo writes a ten-bit HLG clip, as telephones do, and wants its
// white and its grey card on the screen.
func TestTelephoneVideo(t *testing.T) {
	path := filepath.Join(t.TempDir(), "telephone.mkv")
	in, how := coded(codeWidth, codeHeight, 3)
	tool(t, Embedded(), "", path, in, append(append(how, "-vf", "lutyuv=y=180:u=128:v=128", "-c:v", "ffv1", "-pix_fmt", "yuv420p10le",
		"-color_range", "tv", "-colorspace", "bt2020nc", "-color_trc", "arib-std-b67", "-color_primaries", "bt2020", "-f", "matroska"), outputHere)...)
	for _, e := range engines(t) {
		clip, err := e.Probe(context.Background(), path, nil)
		if err != nil || clip.BitDepth != 10 {
			t.Fatalf("%s: %d bits: %v", e.Name(), clip.BitDepth, err)
		}
		still, err := e.Still(context.Background(), path, clip, 1)
		if err != nil {
			t.Fatal(err)
		}
		// Luma 180 is 75 % of the range: reference white, 0.89 of the light of the
		// screen after the bend, 0.953 of its samples.
		p := still.(*image.RGBA).RGBAAt(80, 60)
		if p.R < 240 || p.R > 246 || p.R != p.G || p.G != p.B {
			t.Errorf("%s: white is shown as %v, want about 243", e.Name(), p)
		}
	}
}
