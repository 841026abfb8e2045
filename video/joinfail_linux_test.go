package video

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"mesure/sport/mark"
)

var small = Spec{Width: 64, Height: 48, Rate: 25, Preset: "ultrafast"}

// TestWhatCannotBeJoined wants one clear line each, nothing half-written and the old file
// kept.
func TestWhatCannotBeJoined(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	codedPiece(t, Embedded(), in("a.mp4"), small, 0, 5)
	other := small
	other.Width = 96
	codedPiece(t, Embedded(), in("wide.mp4"), other, 0, 3)
	other = small
	other.Preset = "slow"
	codedPiece(t, Embedded(), in("slow.mp4"), other, 0, 3)
	other = small
	other.Rate = 30
	codedPiece(t, Embedded(), in("fast.mp4"), other, 0, 3)
	other = small
	other.Format = FormatWebM
	codedPiece(t, Embedded(), in("vp9.webm"), other, 0, 3)
	whole, err := os.ReadFile(in("a.mp4"))
	if err != nil {
		t.Fatal(err)
	}
	write(string(whole[:len(whole)/2]))(t, in("cut.mp4"))
	write("ffconcat version 1.0\nfile '"+in("a.mp4")+"'\n")(t, in("list.mp4"))
	write("nothing of the kind")(t, in("text.mp4"))
	path := filepath.Join(out, "clip.mp4")
	cases := []struct {
		path   string
		pieces []string
		change func(*JoinOptions)
		want   *Error
		names  string
		says   string
	}{
		{path, nil, nil, ErrNotWritten, path, "nothing to join"},
		{path, []string{in("a.mp4"), in("gone.mp4")}, nil, ErrMissing, in("gone.mp4"), "no such file"},
		{path, []string{in("a.mp4"), in("wide.mp4")}, nil, ErrNotWritten, in("wide.mp4"), "96x48 pixels, not 64x48"},
		{path, []string{in("a.mp4"), in("slow.mp4")}, nil, ErrNotWritten, in("slow.mp4"), "in another way"},
		{path, []string{in("a.mp4"), in("fast.mp4")}, nil, ErrNotWritten, in("fast.mp4"), "every 0.033333 s"},
		{path, []string{in("a.mp4"), in("vp9.webm")}, nil, ErrNotWritten, in("vp9.webm"), "is not H.264 in MP4"},
		{path, []string{in("a.mp4"), in("cut.mp4")}, nil, ErrTruncated, in("cut.mp4"), "cut off"},
		{path, []string{in("a.mp4"), in("list.mp4")}, nil, ErrScript, in("list.mp4"), "names other files"},
		{path, []string{in("text.mp4")}, nil, ErrNotVideo, in("text.mp4"), "not a video"},
		{path, []string{"a\nb.mp4"}, nil, ErrNotWritten, `"a\nb.mp4"`, "line break"},
		{out, []string{in("a.mp4")}, nil, ErrFolder, out, "folder"},
		{filepath.Join(out, "nowhere", "c.mp4"), []string{in("a.mp4")}, nil, ErrMissing, filepath.Join(out, "nowhere", "c.mp4"), "no such folder"},
		{path, []string{in("a.mp4")}, func(o *JoinOptions) {
			o.Sounds = []Sound{{Path: in("a.mp4"), From: 1, To: 0.5}}
		}, ErrNotWritten, in("a.mp4"), "from 1 s to 0.5 s"},
		{path, []string{in("a.mp4")}, func(o *JoinOptions) {
			o.Sounds = []Sound{{Path: in("gone.mp4"), From: 0, To: 0.1}}
		}, ErrMissing, in("gone.mp4"), "no such file"},
		{path, []string{in("a.mp4")}, func(o *JoinOptions) { o.Chapters = []Chapter{{0.1, "a"}, {0.1, "b"}} }, ErrNotWritten, path, "chapter 2"},
	}
	for _, e := range engines(t) {
		write("what was here before")(t, path)
		for _, c := range cases {
			if e.Name() == EmbeddedName && len(c.pieces) > 1 && c.want == ErrNotWritten && !strings.Contains(c.says, "another way") {
				continue // the same judge
			}
			o := JoinOptions{Spec: small, Sound: true}
			if c.change != nil {
				c.change(&o)
			}
			err := e.Join(context.Background(), c.path, c.pieces, o)
			checkError(t, err, c.want, c.names, c.says)
			onlyFile(t, out, "clip.mp4")
		}
		if b, err := os.ReadFile(path); err != nil || string(b) != "what was here before" {
			t.Errorf("%s: the old file is gone: %v", e.Name(), err)
		}
	}
}

// TestJoinFails cancels a join and kills its tool while the clip grows: one clear error,
// nothing left, nothing running.
func TestJoinFails(t *testing.T) {
	dir := t.TempDir()
	piece := filepath.Join(dir, "piece.mp4")
	codedPiece(t, Embedded(), piece, small, 0, 50)
	pieces := make([]string, 300)
	for i := range pieces {
		pieces[i] = piece
	}
	for _, e := range engines(t) {
		for _, kill := range []bool{false, true} {
			Rest()
			out := t.TempDir()
			ctx, cancel := context.WithCancel(context.Background())
			ended := make(chan error, 1)
			path := filepath.Join(out, "clip.mp4")
			go func() { ended <- e.Join(ctx, path, pieces, JoinOptions{Spec: small, Sound: true}) }()
			grows := func() bool {
				list, _ := filepath.Glob(filepath.Join(out, ".clip-*.part.mp4"))
				if len(list) != 1 {
					return false
				}
				info, err := os.Stat(list[0])
				return err == nil && info.Size() > 0
			}
			for began := time.Now(); !grows(); time.Sleep(time.Millisecond) {
				if time.Since(began) > time.Minute || len(ended) > 0 {
					t.Fatalf("%s: the clip does not grow", e.Name())
				}
			}
			if kill {
				running, _ := ours()
				for _, pid := range running {
					_ = syscall.Kill(pid, syscall.SIGKILL)
				}
			} else {
				cancel()
			}
			err := <-ended
			cancel()
			var typed *Error
			if kill && (!errors.As(err, &typed) || typed.Path != path) || !kill && !errors.Is(err, context.Canceled) {
				t.Errorf("%s, killed %v: %v", e.Name(), kill, err)
			}
			onlyFile(t, out)
			nothingRuns(t, e, "a failed join")
		}
	}
}

// TestWriterWhoseToolIsKilled: the clip is refused in one line and nothing is left.
func TestWriterWhoseToolIsKilled(t *testing.T) {
	for _, e := range engines(t) {
		Rest()
		out := t.TempDir()
		path := filepath.Join(out, "clip.mp4")
		w, err := e.Create(context.Background(), path, small)
		if err != nil {
			t.Fatal(err)
		}
		f := NewFrame(small.Width, small.Height)
		for range 3 {
			if err := w.YUV(f); err != nil {
				t.Fatal(err)
			}
		}
		running, _ := ours()
		for _, pid := range running {
			_ = syscall.Kill(pid, syscall.SIGKILL)
		}
		for err == nil && w.Frames() < 100_000 {
			err = w.YUV(f)
		}
		closeErr := w.Close()
		if err == nil {
			err = closeErr
		}
		var typed *Error
		if len(running) != 1 || !errors.As(err, &typed) || typed.Path != path || closeErr == nil {
			t.Errorf("%s: %d processes, %v, closed with %v", e.Name(), len(running), err, closeErr)
		}
		onlyFile(t, out)
	}
}

// TestJoinOnAFullDisk has room for the pictures and not for the sound, or for neither.
func TestJoinOnAFullDisk(t *testing.T) {
	from := t.TempDir()
	piece := filepath.Join(from, "piece.mp4")
	w, err := Embedded().Create(context.Background(), piece, Spec{Width: 64, Height: 48, Rate: 25, Quality: 1, Preset: "ultrafast"})
	if err != nil {
		t.Fatal(err)
	}
	f := NewFrame(64, 48)
	for n := range 60 {
		noisy(f, uint32(n))
		if err := w.YUV(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	beep := filepath.Join(from, "beep.mov")
	beepVideo(t, beep, "-f", "mov")
	dir := mount(t, 0, "size=120k")
	path := filepath.Join(dir, "clip.mp4")
	for _, e := range engines(t) {
		for _, o := range []JoinOptions{
			{Spec: small},
			{Spec: small, Sound: true, Sounds: []Sound{{Path: beep, From: 0, To: 1.9}}},
		} {
			err := e.Join(context.Background(), path, []string{piece}, o)
			checkError(t, err, ErrDiskFull, path, "disk is full")
			onlyFile(t, dir)
		}
	}
}

// TestSilence wants a silent track where nothing is heard, and none where none is asked.
func TestSilence(t *testing.T) {
	dir := t.TempDir()
	piece := filepath.Join(dir, "piece.mp4")
	e := Embedded()
	codedPiece(t, e, piece, small, 0, 30)
	for _, sound := range []bool{false, true} {
		path := filepath.Join(dir, "clip.mp4")
		// A file without sound, and one whose stretch begins beyond its end.
		o := JoinOptions{Spec: small, Sound: sound, Sounds: []Sound{{Path: piece, From: 0.2, To: 0.9, At: 0.1}, {Path: piece, From: 5, To: 6, At: mark.FileTime(0.5)}}}
		if err := e.Join(context.Background(), path, []string{piece}, o); err != nil {
			t.Fatal(err)
		}
		streams, _, chapters, _ := ffprobed(t, path)
		if want := 1 + map[bool]int{true: 1}[sound]; len(streams) != want || len(chapters) != 0 {
			t.Errorf("sound %v: %d streams, %d chapters", sound, len(streams), len(chapters))
		}
		if sound {
			at, _, lasts := onsets(t, e, path)
			if len(at) != 0 || lasts < 1.15 || lasts > 1.23 {
				t.Errorf("tones at %v in %v s of silence", at, lasts)
			}
		}
	}
}

// FuzzReadPiece: whatever a file has in it, it is read or refused, and what is read has a
// count of frames that a file of its length can have.
func FuzzReadPiece(f *testing.F) {
	dir := f.TempDir()
	for _, format := range []Format{FormatMP4, FormatWebM} {
		s := small
		s.Format = format
		path := filepath.Join(dir, "a"+format.Ending())
		w, err := Embedded().Create(context.Background(), path, s)
		if err != nil {
			f.Fatal(err)
		}
		if err := errors.Join(w.YUV(NewFrame(64, 48)), w.YUV(NewFrame(64, 48)), w.Close()); err != nil {
			f.Fatal(err)
		}
		b, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		if p, err := readPiece(bytes.NewReader(b)); err != nil || p.frames != 2 || p.size != "64x48" {
			f.Fatalf("%v was read as %+v: %v", format, p, err)
		}
		f.Add(b)
		f.Add(b[:len(b)*2/3])
	}
	f.Add([]byte("\x00\x00\x00\x01ftyp\xff\xff\xff\xff\xff\xff\xff\xff"))
	f.Add([]byte("\x1a\x45\xdf\xa3\x01\xff\xff\xff\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := readPiece(bytes.NewReader(b))
		if err != nil && p.frames < 0 || err == nil && p.codec == "" {
			t.Errorf("%+v: %v", p, err)
		}
	})
}

// FuzzEscapeTitle: whatever the title, it stays one line that the tool cannot take for
// anything else, of a length that MP4 can count.
func FuzzEscapeTitle(f *testing.F) {
	f.Add("Préparation; a=b #1 \\ \n[CHAPTER]\r\x00")
	f.Add(strings.Repeat("剣", 100))
	f.Add("\xff\xfe" + strings.Repeat("é", 126))
	f.Fuzz(func(t *testing.T, s string) {
		line := escapeTitle(s)
		var plain strings.Builder
		for i := 0; i < len(line); i++ {
			switch c := line[i]; c {
			case '\\':
				if i++; i == len(line) {
					t.Fatalf("%q ends in the middle", line)
				}
				plain.WriteByte(line[i])
			case '=', ';', '#', '\n', '\r', 0:
				t.Fatalf("%q has a bare %q", line, c)
			default:
				plain.WriteByte(c)
			}
		}
		if got := plain.String(); len(got) > titleBytes || got != strings.ToValidUTF8(got, "") {
			t.Errorf("%q became %q", s, got)
		}
	})
}
