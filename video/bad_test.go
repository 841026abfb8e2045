package video

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"mesure/sport/mark"
)

// bad is one thing that is handed in for a video and is none, or not a good one.
type bad struct {
	name string
	want *Error
	make func(t *testing.T, path string)
	// says is a part of the line that the user reads.
	says string
}

func write(content string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// onePicture encodes one grey frame of any size.
func onePicture(w, h int, args ...string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		b := bytes.Repeat([]byte{128}, frameBytes(w, h))
		how := []string{"-f", "rawvideo", "-pix_fmt", "yuv420p", "-s", fmt.Sprintf("%dx%d", w, h), "-r", "30", "-i", "pipe:0", "-y"}
		tool(t, Embedded(), "", path, bytes.NewReader(b), append(append(how, args...), outputHere)...)
	}
}

func cut(base string, remux []string, share float64) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		args := append(append([]string{"-y", "-i", inputHere, "-c", "copy"}, remux...), outputHere)
		tool(t, Embedded(), base, path, nil, args...)
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Truncate(path, int64(share*float64(info.Size()))); err != nil {
			t.Fatal(err)
		}
	}
}

func TestBadFilesHaveTheirOwnErrors(t *testing.T) {
	base := makeBase(t)
	victim := filepath.Join(t.TempDir(), "victim.mp4")
	copyFile(t, base, victim)
	mjpeg := []string{"-c:v", "mjpeg", "-q:v", "31", "-f", "mov"}
	cases := []bad{
		{"missing.mp4", ErrMissing, func(*testing.T, string) {}, "no such file"},
		{"folder.mp4", ErrFolder, func(t *testing.T, p string) { os.Mkdir(p, 0o700) }, "folder"},
		{"empty.mp4", ErrEmpty, write(""), "0 bytes"},
		{"text.mp4", ErrNotVideo, write(strings.Repeat("Dear coach, this is a letter and no video.\n", 40)), "not a video"},
		{"web page.mp4", ErrNotVideo, write("<!doctype html><html><body>404 not found</body></html>\n"), "not a video"},
		{"noise.mp4", ErrNotVideo, func(t *testing.T, p string) {
			b := make([]byte, 40_000)
			for i := range b {
				b[i] = byte(i * i * 31 >> 5)
			}
			write(string(b))(t, p)
		}, "not a video"},
		{"concat.mp4", ErrScript, write("ffconcat version 1.0\nfile '" + victim + "'\n"), "list"},
		{"concat without head.mp4", ErrScript, write("\n file " + "'" + victim + "'\n"), "list"},
		{"playlist.mp4", ErrScript, write("#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:10,\n" + victim + "\n#EXT-X-ENDLIST\n"), "list"},
		{"manifest.mp4", ErrScript, write(`<?xml version="1.0"?><MPD xmlns="urn:mpeg:dash:schema:mpd:2011"><Period/></MPD>`), "list"},
		{"index at the end, cut.mp4", ErrTruncated, cut(base, nil, 0.6), "cut off"},
		{"index at the start, cut.mp4", ErrTruncated, cut(base, []string{"-movflags", "+faststart"}, 0.6), "cut off"},
		{"sound only.mp4", ErrNoPicture, func(t *testing.T, p string) {
			tool(t, Embedded(), "", p, bytes.NewReader(make([]byte, 32000)), "-f", "s16le", "-ar", "16000", "-ac", "1", "-i", "pipe:0", "-c:a", "aac", "-f", "mp4", "-y", outputHere)
		}, "only sound"},
		{"1x1.mov", ErrTooSmall, onePicture(1, 1, "-c:v", "png", "-f", "mov"), "1 × 1 pixels"},
		{"larger than 8K.mov", ErrTooLarge, onePicture(8208, 64, mjpeg...), "8208 × 64 pixels"},
	}
	dir := t.TempDir()
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(dir, c.name)
			c.make(t, path)
			for _, e := range engines(t) {
				_, err := e.Probe(context.Background(), path, nil)
				checkError(t, err, c.want, path, c.says)
			}
		})
	}
}

// checkError wants a typed error of one line that says where, what and how to
// mend it.
func checkError(t *testing.T, err error, want *Error, path, says string) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Fatalf("got %v, want the error %s", err, want.Code)
	}
	var e *Error
	if !errors.As(err, &e) || e.Mend == "" {
		t.Fatalf("%v does not say how to mend it", err)
	}
	line := err.Error()
	if strings.Contains(line, "\n") || !strings.HasPrefix(line, path+": ") || !strings.Contains(line, says) {
		t.Fatalf("the line %q does not name %q first and say %q", line, path, says)
	}
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	b, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestListsAreNotFollowedBehindOurBack goes round the check of the first bytes
// and shows that the tools themselves refuse to open a second file.
func TestListsAreNotFollowedBehindOurBack(t *testing.T) {
	base := makeBase(t)
	list := filepath.Join(t.TempDir(), "list.mp4")
	write("ffconcat version 1.0\nfile '"+base+"'\n")(t, list)
	for _, e := range engines(t) {
		_, _, err := e.(*engine).examine(context.Background(), list, true, 1, func(float64) {})
		if !errors.Is(err, ErrNotVideo) {
			t.Errorf("%s: a concat script gave %v", e.Name(), err)
		}
	}
}

// TestTheSandboxSeesOneFile asks the embedded engine for a file that it was not
// given.
func TestTheSandboxSeesOneFile(t *testing.T) {
	base := makeBase(t)
	other := filepath.Join(filepath.Dir(base), "other.mp4")
	copyFile(t, base, other)
	for _, name := range []string{other, "/etc/passwd", guestRoot + "/../" + other, guestRoot + "/other.mp4"} {
		_, said, err := tryTool(t, Embedded(), ffprobeTool, base, "", nil, "-i", "file:"+name)
		if err == nil || !strings.Contains(said, "No such file") && !strings.Contains(said, "ermitted") && !strings.Contains(said, "Capabilities") {
			t.Errorf("%s could be opened: %v %s", name, err, said)
		}
	}
	// The input itself cannot be written.
	before, _ := os.ReadFile(base)
	_, _, err := tryTool(t, Embedded(), ffmpegTool, base, "", nil, "-y", "-i", inputHere, "-c", "copy", "-f", "mpegts", inputHere)
	after, _ := os.ReadFile(base)
	if !bytes.Equal(before, after) || len(before) == 0 {
		t.Errorf("the sandbox changed its input (%v)", err)
	}
}

func TestFramesBeyondTheEnd(t *testing.T) {
	base := makeBase(t)
	for _, e := range engines(t) {
		ctx := context.Background()
		clip, err := e.Probe(ctx, base, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range []mark.Frame{-1, mark.Frame(clip.Frames()), 1 << 40} {
			_, err := e.Still(ctx, base, clip, f)
			checkError(t, err, ErrNoFrame, base, fmt.Sprintf("no frame %d", f))
			_, err = e.Luma(ctx, base, clip, f)
			checkError(t, err, ErrNoFrame, base, "the video has 40 frames, from 0 to 39")
		}
		err = e.Frames(ctx, base, clip, 5, 4, func(Frame) error { return nil })
		checkError(t, err, ErrNoFrame, base, "does not come after")
	}
}

func TestFileChangedSinceItWasExamined(t *testing.T) {
	base := makeBase(t)
	path := filepath.Join(t.TempDir(), "clip.mp4")
	for _, e := range engines(t) {
		copyFile(t, base, path)
		ctx := context.Background()
		clip, err := e.Probe(ctx, path, nil)
		if err != nil {
			t.Fatal(err)
		}
		in, how := coded(176, 144, 12)
		tool(t, Embedded(), "", path, in, append(append(how, x264("-f", "mp4")...), outputHere)...)
		_, err = e.Still(ctx, path, clip, 3)
		checkError(t, err, ErrChanged, path, "no longer the one")
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
		_, err = e.Still(ctx, path, clip, 3)
		checkError(t, err, ErrMissing, path, "no such file")
	}
}

// Test8K shows that the largest usual picture is read.
func Test8K(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: one frame after the other")
	}
	path := filepath.Join(t.TempDir(), "8k.mov")
	onePicture(7680, 4320, "-c:v", "mjpeg", "-q:v", "31", "-f", "mov")(t, path)
	for _, e := range engines(t) {
		clip, err := e.Probe(context.Background(), path, nil)
		if err != nil || clip.Width != 7680 || clip.Height != 4320 || clip.Frames() != 1 {
			t.Fatalf("%s: %d × %d, %d frames: %v", e.Name(), clip.Width, clip.Height, clip.Frames(), err)
		}
		g, err := e.Luma(context.Background(), path, clip, 0)
		if err != nil || g.Rect.Dx() != 7680 || g.GrayAt(4000, 2000).Y < 100 || g.GrayAt(4000, 2000).Y > 150 {
			t.Fatalf("%s: %v", e.Name(), err)
		}
	}
}

// TestDamage flips bytes all over a video: whatever comes of it, it is a result
// or an error of this package, and no frame has a wrong number.
func TestDamage(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: one frame after the other")
	}
	base := makeBase(t)
	whole, err := os.ReadFile(base)
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, e := range engines(t) {
		for seed := range 12 {
			b := bytes.Clone(whole)
			for i := range 20 {
				at := (seed*7919 + i*104729 + i*i*31) % len(b)
				b[at] ^= byte(1 + (seed*31+i*17)%255)
			}
			path := filepath.Join(t.TempDir(), "damaged.mp4")
			write(string(b))(t, path)
			clip, err := e.Probe(context.Background(), path, nil)
			if err == nil {
				err = e.Frames(context.Background(), path, clip, 0, mark.Frame(clip.Frames()-1), func(f Frame) error {
					if !clip.Has(f.Number) || f.Time != clip.Times[f.Number] {
						t.Errorf("%s: frame %d at %v", e.Name(), f.Number, f.Time)
					}
					return nil
				})
			}
			var typed *Error
			if err != nil && !errors.As(err, &typed) {
				t.Errorf("%s, seed %d: %v is no error that says how to mend it", e.Name(), seed, err)
			}
			if errors.Is(err, ErrEngine) {
				t.Errorf("%s, seed %d: damage brought the engine down: %v", e.Name(), seed, err)
			}
			tried++
		}
	}
	if tried == 0 {
		t.Fatal("nothing was tried")
	}
}
