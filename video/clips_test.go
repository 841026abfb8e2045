package video

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"mesure/sport/mark"
)

// The barcode of a frame: codeBits blocks over the width of the picture, the
// lowest bit at the left, white for 1. The second band is the first one inverted,
// so that a reader knows when it reads rubbish; under it lies moving texture.
const codeBits = 10

func paintCode(f Frame, n int) {
	for y := range f.Height {
		for x := range f.Width {
			on := n>>(x*codeBits/f.Width)&1 == 1
			v := byte((x*5 + y*3 + n*11) % 200)
			switch band := y * 3 / f.Height; {
			case band == 0 && on, band == 1 && !on:
				v = 230
			case band < 2:
				v = 20
			}
			f.Y[y*f.Width+x] = v
		}
	}
	for i := range f.U {
		f.U[i], f.V[i] = byte(90+n%60), byte(160-n%60)
	}
}

// readCode reads the number of a frame that was turned clockwise by so many
// degrees; -1 where there is no barcode.
func readCode(f Frame, turned int) int {
	w, h := f.Width, f.Height
	if turned == 90 || turned == 270 {
		w, h = h, w
	}
	at := func(x, y int) byte { // of the frame before it was turned
		switch turned {
		case 90:
			x, y = h-1-y, x
		case 180:
			x, y = w-1-x, h-1-y
		case 270:
			x, y = y, w-1-x
		}
		return f.Y[y*f.Width+x]
	}
	n := 0
	for bit := range codeBits {
		x := (2*bit + 1) * w / (2 * codeBits)
		a, b := at(x, h/6), at(x, h/2)
		switch {
		case a > 128 && b < 128:
			n |= 1 << bit
		case a < 128 && b > 128:
		default:
			return -1
		}
	}
	return n
}

// tool runs a tool of an engine on files of the host, as the package does, and
// fails the test when the tool fails.
func tool(t *testing.T, e Engine, input, output string, stdin io.Reader, args ...string) []byte {
	t.Helper()
	out, said, err := tryTool(t, e, ffmpegTool, input, output, stdin, args...)
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", e.Name(), strings.Join(args, " "), err, said)
	}
	return out
}

func tryTool(t *testing.T, e Engine, name, input, output string, stdin io.Reader, args ...string) (out []byte, said string, err error) {
	t.Helper()
	if output != "" {
		if err := os.WriteFile(output, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	args = append([]string{"-hide_banner", "-loglevel", "level+error"}, args...)
	p, err := e.(*engine).start(context.Background(), job{tool: name, args: args, input: input, output: output, fed: stdin != nil})
	if err != nil {
		t.Fatal(err)
	}
	if stdin != nil {
		go func() {
			_, _ = io.Copy(p.in, stdin)
			_ = p.in.Close()
		}()
	}
	out, readErr := io.ReadAll(p.out)
	err = p.wait()
	if err == nil {
		err = readErr
	}
	return out, strings.Join(p.log.complaints(), "\n"), err
}

// coded returns count frames with barcodes as raw video, and the options that
// say so.
func coded(width, height, count int) (io.Reader, []string) {
	r, w := io.Pipe()
	go func() {
		b := make([]byte, frameBytes(width, height))
		for n := range count {
			paintCode(frameOver(b, width, height), n)
			if _, err := w.Write(b); err != nil {
				break
			}
		}
		w.Close()
	}()
	return r, []string{"-f", "rawvideo", "-pix_fmt", "yuv420p", "-s", fmt.Sprintf("%dx%d", width, height), "-r", "30", "-i", "pipe:0", "-y"}
}

// kind is one kind of file that cameras and programs write.
type kind struct {
	name string
	make func(t *testing.T, path string)
	// count frames are shown; the first one carries the number first.
	count, first int
	// time returns the time of the i-th frame shown, in seconds; tick is how
	// coarsely the container writes it.
	time func(i int) float64
	tick float64
	want mark.Clip // what is to be compared besides the times
}

const (
	codeWidth  = 160
	codeHeight = 120
	codeFrames = 40
)

// x264 are the options of a small clip with frames that depend on later ones.
func x264(more ...string) []string {
	return append([]string{"-an", "-c:v", "libx264", "-preset", "ultrafast", "-crf", "12", "-g", "12", "-bf", "2", "-b_strategy", "0", "-threads", "1"}, more...)
}

func steadyTime(start float64) func(int) float64 {
	return func(i int) float64 { return start + float64(i)/30 }
}

// uneven is the time of a frame in the clips of variable rate, in 1/90000 s: the
// frame rate changes twice and one frame stands for a third of a second.
func uneven(i int) int {
	t := 3000 * i
	if i >= 10 {
		t += 30000
	}
	if i >= 20 {
		t -= 1500 * (i - 20)
	}
	return t
}

const unevenFilter = `settb=1/90000,setpts=3000*N+gte(N\,10)*30000-gte(N\,20)*1500*(N-20)`

// kinds lists the files; base is a plain clip that several of them are cut from.
func kinds(base string) []kind {
	emb := Embedded()
	encode := func(w, h int, args ...string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			in, how := coded(w, h, codeFrames)
			tool(t, emb, "", path, in, append(append(how, args...), outputHere)...)
		}
	}
	recut := func(before []string, args ...string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			all := append(append(append([]string{"-y"}, before...), "-i", inputHere), args...)
			tool(t, emb, base, path, nil, append(all, outputHere)...)
		}
	}
	plain := mark.Clip{Width: codeWidth, Height: codeHeight, BitDepth: 8, Codec: "h264", Container: "mov,mp4,m4a,3gp,3g2,mj2"}
	with := func(change func(*mark.Clip)) mark.Clip { c := plain; change(&c); return c }
	turned := func(degrees int) kind {
		// Through the matrix a player is told to turn; ffmpeg writes one that turns
		// the other way than the number it is given.
		return kind{
			name: fmt.Sprintf("turned %d.mp4", degrees), count: codeFrames, time: steadyTime(0),
			make: recut(nil, "-c", "copy", "-metadata:s:v", fmt.Sprintf("rotate=%d", 360-degrees)),
			want: with(func(c *mark.Clip) {
				c.Rotation = degrees
				if degrees != 180 {
					c.Width, c.Height = codeHeight, codeWidth
				}
			}),
		}
	}
	return []kind{
		{name: "plain.mp4", make: recut(nil, "-c", "copy"), count: codeFrames, time: steadyTime(0), want: plain},
		{name: "uneven.mp4", make: encode(codeWidth, codeHeight, x264("-vf", unevenFilter, "-fps_mode", "passthrough", "-enc_time_base", "1:90000", "-video_track_timescale", "90000", "-f", "mp4")...),
			count: codeFrames, time: func(i int) float64 { return float64(uneven(i)) / 90000 }, want: plain},
		{name: "uneven.mkv", make: encode(codeWidth, codeHeight, x264("-vf", unevenFilter, "-fps_mode", "passthrough", "-enc_time_base", "1:90000", "-f", "matroska")...),
			count: codeFrames, time: func(i int) float64 { return float64(uneven(i)) / 90000 }, tick: 1e-3,
			want: with(func(c *mark.Clip) { c.Container = "matroska,webm" })},
		{name: "late.mp4", make: recut(nil, "-c", "copy", "-output_ts_offset", "1.5"), count: codeFrames, time: steadyTime(1.5), want: plain, tick: 1e-3},
		{name: "late.ts", make: recut(nil, "-c", "copy", "-muxdelay", "0", "-output_ts_offset", "10", "-f", "mpegts"), count: codeFrames, time: steadyTime(10), tick: 0.2,
			want: with(func(c *mark.Clip) { c.Container = "mpegts" })},
		// Cut between key frames without encoding: the frames from the key frame at
		// 12 on are in the file, an edit list hides those before 17.
		{name: "hidden preroll.mp4", make: recut([]string{"-ss", "0.5666667"}, "-c", "copy", "-f", "mp4"), count: codeFrames - 17, first: 17, time: steadyTime(0), tick: 1e-3, want: plain},
		{name: "no duration.mkv", make: recut(nil, "-c", "copy", "-f", "matroska", "-live", "1"), count: codeFrames, time: steadyTime(0), tick: 1e-3,
			want: with(func(c *mark.Clip) { c.Container = "matroska,webm" })},
		{name: "no frame count.mp4", make: recut(nil, "-c", "copy", "-f", "mp4", "-movflags", "frag_keyframe+empty_moov+default_base_moof"), count: codeFrames, time: steadyTime(0), tick: 0.1, want: plain},
		turned(90), turned(180), turned(270),
		{name: "odd size.mkv", make: encode(161, 121, "-c:v", "ffv1", "-f", "matroska"), count: codeFrames, time: steadyTime(0), tick: 1e-3,
			want: with(func(c *mark.Clip) { c.Width, c.Height, c.Codec, c.Container = 161, 121, "ffv1", "matroska,webm" })},
		{name: "bare stream.mp4", make: recut(nil, "-c", "copy", "-f", "h264"), count: codeFrames, time: steadyTime(0),
			want: with(func(c *mark.Clip) { c.Container = "h264" })},
		{name: "ten bits.mov", make: encode(codeWidth, codeHeight, "-c:v", "prores_ks", "-profile:v", "0", "-pix_fmt", "yuv422p10le", "-f", "mov"), count: codeFrames, time: steadyTime(0),
			want: with(func(c *mark.Clip) { c.Codec, c.BitDepth = "prores", 10 })},
		{name: "two fields.mpg", make: encode(codeWidth, codeHeight, "-c:v", "mpeg2video", "-q:v", "2", "-g", "9", "-bf", "2", "-flags", "+ildct+ilme", "-top", "1", "-f", "vob"), count: codeFrames, time: steadyTime(0.5), tick: 0.5,
			want: with(func(c *mark.Clip) { c.Codec, c.Container, c.Interlaced = "mpeg2video", "mpeg", true })},
		{name: "two fields.mp4", make: encode(codeWidth, 128, x264("-flags", "+ildct+ilme", "-top", "1", "-f", "mp4")...), count: codeFrames, time: steadyTime(0),
			want: with(func(c *mark.Clip) { c.Height, c.Interlaced = 128, true })},
		{name: "no stamps.avi", make: recut(nil, "-c", "copy", "-f", "avi"), count: codeFrames, time: steadyTime(0),
			want: with(func(c *mark.Clip) { c.Container = "avi" })},
		{name: "web.webm", make: encode(codeWidth, codeHeight, "-c:v", "libvpx-vp9", "-deadline", "realtime", "-cpu-used", "8", "-b:v", "1M", "-g", "12", "-f", "webm"), count: codeFrames, time: steadyTime(0), tick: 1e-3,
			want: with(func(c *mark.Clip) { c.Codec, c.Container = "vp9", "matroska,webm" })},
		{name: "wide pixels.mp4", make: encode(codeWidth, codeHeight, x264("-aspect", "16:9", "-f", "mp4")...), count: codeFrames, time: steadyTime(0),
			want: with(func(c *mark.Clip) { c.Width = 213 })},
		{name: "joined late.ts", make: func(t *testing.T, path string) {
			whole := filepath.Join(t.TempDir(), "whole.ts")
			recut(nil, "-c", "copy", "-f", "mpegts")(t, whole)
			b, err := os.ReadFile(whole)
			if err != nil {
				t.Fatal(err)
			}
			// From the middle of the first group on: its frames cannot be decoded.
			i := bytes.Index(b, []byte("FFmpeg")) // the service tables are sent again later
			if i < 0 {
				t.Fatal("no service table in the stream")
			}
			if err := os.WriteFile(path, b[188*(len(b)/188/5):], 0o600); err != nil {
				t.Fatal(err)
			}
		}, count: -1, time: steadyTime(0), tick: 5, want: with(func(c *mark.Clip) { c.Container = "mpegts" })},
	}
}

// makeBase writes the plain clip and returns its path.
func makeBase(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "base.mp4")
	in, how := coded(codeWidth, codeHeight, codeFrames)
	tool(t, Embedded(), "", path, in, append(append(how, x264("-f", "mp4")...), outputHere)...)
	return path
}

// engines returns those that are to be tested: the native one may only be
// missing on a machine of one's own.
func engines(t *testing.T) []Engine {
	t.Helper()
	all := []Engine{Embedded()}
	n, err := Native()
	switch {
	case err == nil:
		all = append(all, n)
	case os.Getenv("CI") == "true":
		t.Fatalf("the native engine must be tested where CI=true: %v", err)
	default:
		t.Logf("SKIPPED: THE NATIVE ENGINE IS NOT TESTED: %v", err)
	}
	return all
}

// needNative returns the native engine or skips loudly.
func needNative(t testing.TB) Engine {
	t.Helper()
	n, err := Native()
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the native engine must be tested where CI=true: %v", err)
		}
		t.Skipf("SKIPPED: NO NATIVE ENGINE: %v", err)
	}
	return n
}
