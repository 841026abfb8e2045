package video

import (
	"context"
	"image"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"mesure/sport/mark"
)

// woven returns interlaced frames as raw video: the earlier field of frame k shows
// picture 2k and the later one picture 2k+1.
func woven(width, height, count int, bottomFirst bool) []byte {
	var all []byte
	a, b := NewFrame(width, height), NewFrame(width, height)
	for k := range count {
		paintCode(a, 2*k)
		paintCode(b, 2*k+1)
		out := NewFrame(width, height)
		cw, ch := chroma(width, height)
		weave := func(dst, early, late []byte, w, h int) {
			for y := range h {
				from := early
				if (y%2 == 1) != bottomFirst {
					from = late
				}
				copy(dst[y*w:y*w+w], from[y*w:y*w+w])
			}
		}
		weave(out.Y, a.Y, b.Y, width, height)
		weave(out.U, a.U, b.U, cw, ch)
		weave(out.V, a.V, b.V, cw, ch)
		all = append(append(append(all, out.Y...), out.U...), out.V...)
	}
	return all
}

// interlaced writes a file of woven frames.
func interlaced(t *testing.T, path string, bottomFirst bool, more ...string) {
	t.Helper()
	const w, h, n = 160, 128, 20
	first := "1"
	if bottomFirst {
		first = "0"
	}
	args := []string{"-f", "rawvideo", "-pix_fmt", "yuv420p", "-s", "160x128", "-r", "25", "-i", "pipe:0", "-y", "-an", "-c:v", "mpeg2video", "-q:v", "2", "-g", "9", "-bf", "2", "-flags", "+ildct+ilme", "-top", first}
	tool(t, Embedded(), "", path, strings.NewReader(string(woven(w, h, n, bottomFirst))), append(append(args, more...), "-f", "mpegts", outputHere)...)
}

// TestFieldKShowsInstantK: a file whose fields carry numbers, the upper or the
// lower field first, gives field k at the k-th half interval, in both engines, in
// runs and one by one.
func TestFieldKShowsInstantK(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	for name, bottom := range map[string]bool{"upper first": false, "lower first": true} {
		path := filepath.Join(t.TempDir(), "fields.ts")
		interlaced(t, path, bottom)
		for _, e := range engines(t) {
			whole, err := e.Probe(context.Background(), path, nil)
			if err != nil {
				t.Fatal(err)
			}
			clip := whole.Split()
			if !whole.Interlaced || clip.Frames() != 40 {
				t.Fatalf("%s, %s: %d fields, interlaced %v", name, e.Name(), clip.Frames(), whole.Interlaced)
			}
			for k, at := range clip.Times {
				if d := float64(at-clip.Times[0]) - float64(k)/50; math.Abs(d) > 2e-5 {
					t.Fatalf("%s: field %d stands %v s off", name, k, d)
				}
			}
			next := mark.Frame(3)
			err = e.Frames(context.Background(), path, clip, 3, 36, func(f Frame) error {
				if code := readCode(f, 0); f.Number != next || code != int(next) || f.Time != clip.Times[next] {
					t.Errorf("%s, %s: field %d came as %d and shows instant %d", name, e.Name(), next, f.Number, code)
				}
				next++
				return nil
			})
			if err != nil || next != 37 {
				t.Fatalf("%s, %s: ended before field %d: %v", name, e.Name(), next, err)
			}
			for _, k := range []mark.Frame{0, 17, 39} {
				y, err := e.Luma(context.Background(), path, clip, k)
				if err != nil {
					t.Fatal(err)
				}
				f := Frame{Width: 160, Height: 128, Y: y.Pix}
				if code := readCode(f, 0); code != int(k) {
					t.Errorf("%s, %s: field %d alone shows instant %d", name, e.Name(), k, code)
				}
			}
		}
	}
}

// TestUnreeledFields: what is unreeled for following are the fields as well.
func TestUnreeledFields(t *testing.T) {
	path := filepath.Join(t.TempDir(), "fields.ts")
	interlaced(t, path, false)
	e := Embedded()
	whole, err := e.Probe(context.Background(), path, nil)
	if err != nil {
		t.Fatal(err)
	}
	greys, err := e.Unreel(context.Background(), path, whole.Split(), 5, 12)
	if err != nil {
		t.Fatal(err)
	}
	defer greys.Close()
	for k := mark.Frame(5); k <= 12; k++ {
		y, err := greys.Gray(k)
		if err != nil {
			t.Fatal(err)
		}
		if code := readCode(Frame{Width: 160, Height: 128, Y: y.Pix}, 0); code != int(k) {
			t.Errorf("field %d shows instant %d", k, code)
		}
	}
}

// TestFieldsOfAnotherWeaver: the filter tinterlace of the native ffmpeg weaves a
// bar that goes four pixels an instant to the right; in each field the bar must
// stand where the instant puts it, sharp, without the other field's bar.
func TestFieldsOfAnotherWeaver(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing in it runs side by side: the full run has it")
	}
	needNative(t)
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Fatal(err)
	}
	for _, how := range []struct{ mode, first string }{{"interleave_top", "1"}, {"interleave_bottom", "0"}} {
		path := filepath.Join(t.TempDir(), "bar.ts")
		source := `color=black:s=320x240:r=50:d=0.8,format=yuv420p,geq=lum='if(between(X\,20+4*N\,35+4*N)\,200\,40)':cb=128:cr=128,tinterlace=mode=` + how.mode
		out, err := exec.Command(ffmpeg, "-loglevel", "error", "-f", "lavfi", "-i", source, "-c:v", "mpeg2video", "-q:v", "1", "-flags", "+ildct+ilme", "-top", how.first, "-g", "1", path).CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		for _, e := range engines(t) {
			whole, err := e.Probe(context.Background(), path, nil)
			if err != nil {
				t.Fatal(err)
			}
			clip := whole.Split()
			if !whole.Interlaced || clip.Frames() != 40 {
				t.Fatalf("%s, %s: %+v of %d fields", how.first, e.Name(), whole.Interlaced, clip.Frames())
			}
			err = e.Frames(context.Background(), path, clip, 0, 39, func(f Frame) error {
				for _, y := range []int{50, 51, 120, 121} {
					sum, at := 0, 0
					for x := range f.Width {
						if f.Y[y*f.Width+x] > 120 {
							sum, at = sum+1, at+x
						}
					}
					if want := 27.5 + 4*float64(f.Number); sum != 16 || math.Abs(float64(at)/16-want) > 0.01 {
						t.Errorf("%s, %s: field %d, line %d: a bar of %d at %.1f, want 16 at %.1f", how.first, e.Name(), f.Number, y, sum, float64(at)/16, want)
					}
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestFieldsStayInPlace: a picture whose brightness runs evenly down the picture is
// the same in both fields, at any turn: neither field lies half a line off. The
// edge has nothing to interpolate from and is left out.
func TestFieldsStayInPlace(t *testing.T) {
	for _, turn := range []int{0, 90, 180, 270} {
		f := NewFrame(41, 38)
		for y := range f.Height {
			for x := range f.Width {
				f.Y[y*f.Width+x] = byte(20 + 5*y + x/4)
			}
		}
		// Lines that belong to the other field are spoilt: nothing of them may show.
		for _, lower := range []bool{false, true} {
			spoilt := f.Clone()
			for y := range f.Height {
				if (y&1 == 1) != lower {
					for x := range f.Width {
						spoilt.Y[y*f.Width+x] = 255
					}
				}
			}
			want := f.turned(turn, make([]byte, frameBytes(41, 38))).Clone()
			g := spoilt.turned(turn, make([]byte, frameBytes(41, 38)))
			g = g.field(lower, turn, make([]byte, frameBytes(41, 38)))
			inner := image.Rect(4, 4, g.Width-4, g.Height-4)
			for y := inner.Min.Y; y < inner.Max.Y; y++ {
				for x := inner.Min.X; x < inner.Max.X; x++ {
					if d := int(g.Y[y*g.Width+x]) - int(want.Y[y*g.Width+x]); d < -1 || d > 1 {
						t.Fatalf("turned %d, lower %v: (%d, %d) is off by %d", turn, lower, x, y, d)
					}
				}
			}
		}
	}
}
