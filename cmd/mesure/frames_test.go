package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"mesure/store/sqlite"
	"mesure/video"
	"mesure/web"
)

// The frames of these clips carry their number: a row of bright and dark blocks,
// the lowest bit at the left, and under it the same row inverted, so that a reader
// knows when it reads rubbish. The lower third moves.
const codeBits = 10

func codeFrame(f video.Frame, n int) {
	for y := range f.Height {
		for x := range f.Width {
			v, on := byte((x*5+y*3+n*11)%200), n>>(x*codeBits/f.Width)&1 == 1
			switch band := y * 3 / f.Height; {
			case band == 0 && on, band == 1 && !on:
				v = 230
			case band < 2:
				v = 20
			}
			f.Y[y*f.Width+x] = v
		}
	}
}

// codeIn reads the number of a frame; turned is true where the picture was turned
// clockwise by a quarter. It is −1 where there is none.
func codeIn(img image.Image, turned bool) int {
	b, n := img.Bounds(), 0
	w, h := b.Dx(), b.Dy()
	if turned {
		w, h = h, w
	}
	bright := func(x, y int) bool { // of the picture before it was turned
		if turned {
			x, y = h-1-y, x
		}
		r, g, b, _ := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
		return r+g+b > 3*0x8000
	}
	for bit := range codeBits {
		x := (2*bit + 1) * w / (2 * codeBits)
		switch a, b := bright(x, h/6), bright(x, h/2); {
		case a && !b:
			n |= 1 << bit
		case a == b:
			return -1
		}
	}
	return n
}

// codedClip writes a clip whose frames carry their number, with noise as a camera
// has it.
func codedClip(tb testing.TB, e video.Engine, width, height, frames int) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "coded.mp4")
	w, err := e.Create(tb.Context(), path, video.Spec{Width: width, Height: height, Rate: 30, Quality: 23, Preset: "ultrafast"})
	if err != nil {
		tb.Fatal(err)
	}
	f, seed := video.NewFrame(width, height), uint32(1)
	for n := range frames {
		codeFrame(f, n)
		for i := range f.Y {
			seed = seed*1664525 + 1013904223
			f.Y[i] += byte(seed>>24) & 15
		}
		if err := w.YUV(f); err != nil {
			tb.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		tb.Fatal(err)
	}
	return path
}

// servedFrames is a desk that serves one video; it returns what asks it for a frame.
func servedFrames(tb testing.TB, e video.Engine, path string) func(query string, n int) []byte {
	tb.Helper()
	lib, err := sqlite.Open(tb.Context(), filepath.Join(tb.TempDir(), "library"), sqlite.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	server := web.New(deskOf(lib, e, ""))
	at := httptest.NewServer(server.Handler())
	tb.Cleanup(func() {
		server.Close()
		at.Close()
		_ = lib.Close()
	})
	f, err := os.Open(path)
	if err != nil {
		tb.Fatal(err)
	}
	m, err := lib.AddMedia(tb.Context(), filepath.Base(path), f)
	_ = f.Close()
	if err != nil {
		tb.Fatal(err)
	}
	get := func(url string) []byte {
		answer, err := http.Get(url)
		if err != nil {
			tb.Fatal(err)
		}
		defer answer.Body.Close()
		body, err := io.ReadAll(answer.Body)
		if err != nil || answer.StatusCode != http.StatusOK {
			tb.Fatalf("%s: %d %.200s %v", url, answer.StatusCode, body, err)
		}
		return body
	}
	var times struct{ Times []float64 }
	if err := json.Unmarshal(get(at.URL+"/api/media/"+m.SHA256+"/times"), &times); err != nil || len(times.Times) == 0 {
		tb.Fatalf("%v %v", times, err)
	}
	return func(query string, n int) []byte {
		return get(fmt.Sprintf("%s/media/%s/frame/%d.jpg%s", at.URL, m.SHA256, n, query))
	}
}

// engines calls f with both engines; the native one only where it is.
func engines[T interface {
	testing.TB
	Run(string, func(T)) bool
}](t T, f func(t T, e video.Engine)) {
	t.Run(video.EmbeddedName, func(t T) { f(t, video.Embedded()) })
	t.Run(video.NativeName, func(t T) {
		e, err := video.Native()
		if err != nil {
			t.Skip("no ffmpeg on this machine")
		}
		f(t, e)
	})
}

// TestServedFramesAreExact: whatever the order in which they are asked for, the
// frame of a number shows that number. A rate that changes and a picture that is
// turned are what telephones write.
func TestServedFramesAreExact(t *testing.T) {
	const frames = 60
	base := codedClip(t, video.Embedded(), 320, 240, frames)
	clips := map[string]string{"plain": base, "turned": turnedClip(t, base)}
	if ffmpeg, err := exec.LookPath("ffmpeg"); err == nil {
		clips["uneven"] = unevenClip(t, ffmpeg, base)
	}
	for name, path := range clips {
		t.Run(name, func(t *testing.T) {
			engines(t, func(t *testing.T, e video.Engine) {
				frame := servedFrames(t, e, path)
				ask := func(query string, n int) {
					img, err := jpeg.Decode(bytes.NewReader(frame(query, n)))
					if err != nil {
						t.Fatal(err)
					}
					if got := codeIn(img, name == "turned"); got != n {
						t.Errorf("frame %d%s shows %d", n, query, got)
					}
				}
				rng := rand.New(rand.NewPCG(3, 4))
				for range 10 {
					ask("", rng.IntN(frames))
				}
				ask("?width=160", rng.IntN(frames))
				for n := frames - 1; n >= frames-12; n-- {
					ask("", n)
				}
				for n := range frames {
					ask("", n)
				}
			})
		})
	}
}

// turnedClip is a clip that asks to be turned clockwise by a quarter: the matrix of
// its track header says so (ISO/IEC 14496-12, section 8.3.2).
func turnedClip(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.Index(b, []byte("tkhd"))
	if at < 0 || b[at+4] != 0 {
		t.Fatal("no track header of version 0")
	}
	height := binary.BigEndian.Uint32(b[at+4+76+4:])
	for i, v := range []uint32{0, 1 << 16, 0, 0xFFFF0000, 0, 0, height, 0, 1 << 30} {
		binary.BigEndian.PutUint32(b[at+4+40+4*i:], v)
	}
	turned := filepath.Join(t.TempDir(), "turned.mp4")
	if err := os.WriteFile(turned, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return turned
}

// unevenClip is a clip whose rate changes and in which one frame stands for a third
// of a second.
func unevenClip(t *testing.T, ffmpeg, path string) string {
	t.Helper()
	uneven := filepath.Join(t.TempDir(), "uneven.mp4")
	said, err := exec.CommandContext(t.Context(), ffmpeg, "-nostdin", "-v", "error", "-i", path,
		"-vf", `settb=1/90000,setpts=3000*N+gte(N\,10)*30000-gte(N\,20)*1500*(N-20)`, "-fps_mode", "passthrough", "-enc_time_base", "1:90000",
		"-video_track_timescale", "90000", "-c:v", "libx264", "-preset", "ultrafast", "-bf", "2", "-crf", "15", uneven).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	return uneven
}

// BenchmarkFrames walks back through 200 frames of 720p as fast as they come, jumps,
// and walks through 1000 at the pace of a held key. The aims: a frame that is at
// hand below 5 ms, no wait longer than a run takes.
func BenchmarkFrames(b *testing.B) {
	const frames = 1000
	made, err := video.Choose("")
	if err != nil {
		b.Fatal(err)
	}
	path := codedClip(b, made, 1280, 720, frames)
	engines(b, func(b *testing.B, e video.Engine) {
		var frame func(string, int) []byte
		ms := func(n int) float64 {
			began := time.Now()
			_ = frame("", n)
			return float64(time.Since(began).Microseconds()) / 1000
		}
		for b.Loop() {
			frame = servedFrames(b, e, path)
			walk, back := []float64{}, []float64{}
			began := time.Now()
			for n := frames - 1; n >= frames-200; n-- {
				back = append(back, ms(n))
			}
			took := time.Since(began)
			report(b, "back", back)
			b.ReportMetric(200/took.Seconds(), "back-frames/s")
			frame = servedFrames(b, e, path) // with nothing at hand
			jumps := []float64{}
			for n := range 12 {
				jumps = append(jumps, ms((n*389+500)%frames))
			}
			report(b, "jump", jumps)
			for n := range frames {
				took := ms(n)
				walk = append(walk, took)
				time.Sleep(max(0, time.Second/30-time.Duration(took*1e6)))
			}
			report(b, "walk", walk)
			hits := []float64{}
			for n := frames - 100; n < frames; n++ {
				hits = append(hits, ms(n))
			}
			report(b, "hit", hits)
		}
		b.ReportMetric(0, "ns/op")
	})
}

// report gives the median, the 95th percentile and the longest wait.
func report(b *testing.B, what string, ms []float64) {
	slices.Sort(ms)
	b.ReportMetric(ms[len(ms)/2], what+"-median-ms")
	b.ReportMetric(ms[len(ms)*95/100], what+"-p95-ms")
	b.ReportMetric(ms[len(ms)-1], what+"-max-ms")
}
