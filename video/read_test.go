package video

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// TestEmbeddedCopyIsTheModules keeps our copy of the WebAssembly module equal to
// that of the Go module that go.mod names.
func TestEmbeddedCopyIsTheModules(t *testing.T) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "codeberg.org/gruf/go-ffmpreg").Output()
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the module cannot be found: %v", err)
		}
		t.Skipf("SKIPPED: NO GO TOOL TO FIND THE MODULE WITH: %v", err)
	}
	theirs, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(out)), "embed", "ffmpreg.wasm.gz"))
	if err != nil {
		t.Fatal(err)
	}
	if a, b := sha256.Sum256(theirs), sha256.Sum256([]byte(packed)); a != b {
		t.Fatalf("our copy has SHA-256 %x, the module's file %x: copy it again", b, a)
	}
}

// TestNothingIsUnpackedAtStart keeps the package that unpacks the module in its
// init function out of the program.
func TestNothingIsUnpackedAtStart(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d files: %v", len(files), err)
	}
	for _, name := range files {
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range f.Imports {
			if p := strings.Trim(i.Path.Value, `"`); strings.HasPrefix(p, "codeberg.org/gruf/go-ffmpreg/") && !strings.HasSuffix(p, "/wasm") {
				t.Errorf("%s imports %s", name, p)
			}
		}
	}
}

// The readers of what tools and processes say must bear anything.

func FuzzReadProbe(f *testing.F) {
	f.Add("packet|pts=0|pos=48|flags=K_\npacket|pts=N/A|pos=N/A|flags=_D\nstream|codec_name=h264|width=320|height=240|time_base=1/15360\nformat|format_name=mov|start_time=0.0|size=13089\n")
	f.Add("packet|pts=132000|pos=564|flags=K_|side_data|\n\n")
	f.Add("stream|width=-1|height=99999999999999999999|time_base=1/0|sample_aspect_ratio=0:0|displaymatrix=\\n0: 1 2 3\\n")
	f.Fuzz(func(t *testing.T, s string) {
		got, err := readProbe(strings.NewReader(s), int64(len(s)), func(share float64) {})
		if err != nil {
			t.Fatal(err)
		}
		if got.stream == nil || got.format == nil {
			return
		}
		d, err := newDetail("x.mp4", got.stream, got.format)
		if err != nil {
			return
		}
		if w, h := d.shown(); w < MinSide || h < MinSide || w > MaxWidth || h > MaxWidth {
			t.Errorf("a picture of %d × %d", w, h)
		}
		times := got.packets.times(d)
		for i := 1; i < len(times); i++ {
			if d.num > 0 && d.den > 0 && times[i] < times[i-1] {
				t.Errorf("times are not in order: %v", times)
			}
		}
	})
}

func FuzzToolLog(f *testing.F) {
	f.Add("[Parsed_showinfo_0 @ 0x1] [info] config in time_base: 1/15360, frame_rate: 30/1\n[Parsed_showinfo_0 @ 0x1] [info] n:   0 pts:      0 pts_time:0       pos:       48 fmt:yuv420p sar:1/1 s:320x240 i:P iskey:1 type:I\n")
	f.Add("[Parsed_showinfo_0 @ 0x1] [info] n:   1 pts:NOPTS pts_time:NOPTS i:T\n[mov @ 0x2] [error] moov atom not found\n[fatal]")
	f.Fuzz(func(t *testing.T, s string) {
		l := newToolLog()
		l.read(strings.NewReader(s))
		for range strings.Count(s, "\n") + 1 {
			if _, ok := l.next(); !ok {
				break
			}
		}
		if _, ok := l.next(); ok {
			t.Error("more frames than lines")
		}
		if len(l.complaints()) > keptLines || l.den == 0 {
			t.Error("too much was kept")
		}
	})
}

func FuzzMessages(f *testing.F) {
	f.Add(byte(msgOutput), []byte("hello"))
	f.Add(byte(0), []byte{})
	f.Fuzz(func(t *testing.T, kind byte, content []byte) {
		var b bytes.Buffer
		if err := (&messages{w: &b}).send(kind, content); err != nil {
			t.Fatal(err)
		}
		k, n, err := receive(&b)
		if err != nil || k != kind || n != len(content) {
			t.Fatalf("kind %d, %d bytes: %v", k, n, err)
		}
		got, err := receiveAll(&b, n)
		if err != nil || !bytes.Equal(got, content) || b.Len() != 0 {
			t.Fatalf("%q came back as %q: %v", content, got, err)
		}
		// Anything at all may come instead.
		if _, n, err := receive(bytes.NewReader(content)); err == nil && n > mostBytes {
			t.Errorf("a message of %d bytes was accepted", n)
		}
	})
}

func TestMessagesTooLongAreRefused(t *testing.T) {
	var head [headBytes]byte
	binary.LittleEndian.PutUint32(head[1:], mostBytes+1)
	if _, _, err := receive(bytes.NewReader(head[:])); err != errTooLong {
		t.Errorf("got %v", err)
	}
	if _, _, err := receive(bytes.NewReader(head[:3])); err != io.ErrUnexpectedEOF {
		t.Errorf("got %v", err)
	}
}

func TestChoose(t *testing.T) {
	t.Setenv(EngineEnv, "")
	if e, err := Choose(EmbeddedName); err != nil || e.Name() != EmbeddedName {
		t.Errorf("embedded: %v", err)
	}
	if e, err := Choose(Auto); err != nil || e.Name() == "" {
		t.Errorf("auto: %v", err)
	}
	t.Setenv(EngineEnv, EmbeddedName)
	if e, err := Choose(""); err != nil || e.Name() != EmbeddedName {
		t.Errorf("auto with %s=embedded: %v", EngineEnv, err)
	}
	t.Setenv(EngineEnv, "steam")
	_, err := Choose(Auto)
	checkError(t, err, ErrNoEngine, "steam", EngineEnv)
	t.Setenv(EngineEnv, "")
	_, err = Choose("steam")
	checkError(t, err, ErrNoEngine, "steam", "no video engine")
	t.Setenv("PATH", t.TempDir())
	if e, err := Choose(""); err != nil || e.Name() != EmbeddedName {
		t.Errorf("auto without ffmpeg: %v", err)
	}
	if _, err := Choose(NativeName); err == nil || !strings.Contains(err.Error(), "install ffmpeg") {
		t.Errorf("native without ffmpeg: %v", err)
	}
}

func TestDoctor(t *testing.T) {
	for _, e := range engines(t) {
		h, err := e.Doctor(t.Context())
		if err != nil || h.Version == "" || h.Where == "" || len(h.Missing()) != 0 {
			t.Errorf("%s: %+v: %v", e.Name(), h, err)
		}
		has := 0
		for _, a := range h.Can {
			if a.Has {
				has++
			}
		}
		if has < 10 {
			t.Errorf("%s can only %+v", e.Name(), h.Can)
		}
	}
}

// TestCacheFolderIsPrivate: what lies there is run as code.
func TestCacheFolderIsPrivate(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "cache")
	if err := os.MkdirAll(filepath.Join(dir, "engine"), 0o777); err != nil {
		t.Fatal(err)
	}
	t.Setenv(CacheEnv, dir)
	got, err := cacheFolder()
	if err != nil || !strings.HasPrefix(got, dir) {
		t.Fatalf("%s: %v", got, err)
	}
	if info, err := os.Stat(got); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o700 {
		t.Errorf("the folder has the rights %v: %v", info.Mode(), err)
	}
}
