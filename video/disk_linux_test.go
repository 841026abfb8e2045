package video

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
)

// mount gives a small file system of its own; only root may.
func mount(t *testing.T, flags uintptr, options string) string {
	t.Helper()
	if os.Getuid() != 0 {
		t.Skip("SKIPPED: ONLY ROOT CAN MOUNT A SMALL DISK")
	}
	dir := t.TempDir()
	if err := syscall.Mount("none", dir, "tmpfs", flags, options); err != nil {
		t.Skipf("SKIPPED: NO SMALL DISK CAN BE MOUNTED HERE: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, 0) })
	return dir
}

func TestFullDisk(t *testing.T) {
	dir := mount(t, 0, "size=300k")
	path := filepath.Join(dir, "clip.mp4")
	for _, e := range engines(t) {
		w, err := e.Create(context.Background(), path, Spec{Width: 320, Height: 240, Rate: 25, Quality: 2, Preset: "ultrafast"})
		if err != nil {
			t.Fatal(err)
		}
		f := NewFrame(320, 240)
		for n := 0; err == nil && n < 200; n++ {
			noisy(f, uint32(n))
			err = w.YUV(f)
		}
		closeErr := w.Close()
		if err == nil {
			err = closeErr
		}
		checkError(t, err, ErrDiskFull, path, "disk is full")
		if closeErr == nil {
			t.Errorf("%s: the clip was closed without an error", e.Name())
		}
		onlyFile(t, dir)
	}
}

// TestTheDiskFillsAtTheEnd makes the room a little larger each time, up to more than the
// clip needs: wherever it ends, in the pictures, in the table of contents or while that
// is moved to the front, the clip is whole or it is not there and that is said.
func TestTheDiskFillsAtTheEnd(t *testing.T) {
	if testing.Short() {
		t.Skip("-short: writes many small clips")
	}
	dir := mount(t, 0, "size=1m")
	const page = 4096 // what such a disk counts in
	for _, e := range engines(t) {
		for _, format := range []Format{FormatMP4, FormatWebM} {
			name := "clip" + format.Ending()
			path := filepath.Join(dir, name)
			s := Spec{Width: 64, Height: 48, Rate: 25, Quality: 6, Format: format, Preset: "ultrafast"}
			fill := func() error {
				w, err := e.Create(context.Background(), path, s)
				if err != nil {
					return err
				}
				f := NewFrame(64, 48)
				for n := range 8 {
					noisy(f, uint32(n))
					if err := w.YUV(f); err != nil {
						break // Close says why
					}
				}
				return w.Close()
			}
			room := func(pages int64) {
				if err := syscall.Mount("none", dir, "tmpfs", syscall.MS_REMOUNT, "size="+strconv.FormatInt(pages*page, 10)); err != nil {
					t.Fatal(err)
				}
			}
			room(256)
			if err := fill(); err != nil {
				t.Fatal(err)
			}
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			needs := (int64(len(want)) + page - 1) / page
			whole := 0
			for pages := max(1, needs-3); pages <= needs+1; pages++ {
				_ = os.Remove(path)
				room(pages)
				if err := fill(); err != nil {
					checkError(t, err, ErrDiskFull, path, "disk is full")
					onlyFile(t, dir)
					continue
				}
				onlyFile(t, dir, name)
				sameBytes(t, path, want)
				whole++
			}
			if whole == 0 || whole == 5 {
				t.Errorf("%s, %v of %d pages: %d clips of 5 were written", e.Name(), format, needs, whole)
			}
			_ = os.Remove(path)
		}
	}
}

func sameBytes(t *testing.T, path string, want []byte) {
	t.Helper()
	got, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%s has %d bytes, whole it has %d: %v", path, len(got), len(want), err)
	}
}

// TestFullDevice needs no rights: /dev/full has room for nothing.
func TestFullDevice(t *testing.T) {
	for _, e := range engines(t) {
		ctx := context.Background()
		p, err := e.(*engine).start(ctx, job{tool: ffmpegTool, output: "/dev/full", fed: true, args: []string{
			"-hide_banner", "-loglevel", "level+error", "-y", "-f", "rawvideo", "-pix_fmt", "yuv420p", "-s", "64x64", "-i", "pipe:0",
			"-c:v", "rawvideo", "-f", "nut", outputHere}})
		if err != nil {
			t.Fatal(err)
		}
		for range 200 {
			if _, err = p.in.Write(make([]byte, frameBytes(64, 64))); err != nil {
				break
			}
		}
		_ = p.in.Close()
		err = p.wait()
		if err == nil {
			t.Fatalf("%s: wrote to a full device", e.Name())
		}
		checkError(t, judgeOutput("clip.mp4", p.log.complaints(), err), ErrDiskFull, "clip.mp4", "disk is full")
	}
}

func TestReadOnlyFolder(t *testing.T) {
	dir := "/sys" // nobody can make a file there, not even root
	if os.Getuid() != 0 {
		dir = t.TempDir()
		if err := os.Chmod(dir, 0o500); err != nil {
			t.Fatal(err)
		}
	}
	for _, e := range engines(t) {
		path := filepath.Join(dir, "clip.mp4")
		_, err := e.Create(context.Background(), path, Spec{Width: 64, Height: 64, Rate: 25})
		checkError(t, err, ErrReadOnly, path, "nothing may be written")
	}
}

func TestReadOnlyDisk(t *testing.T) {
	dir := mount(t, syscall.MS_RDONLY, "size=300k")
	for _, e := range engines(t) {
		path := filepath.Join(dir, "clip.mp4")
		_, err := e.Create(context.Background(), path, Spec{Width: 64, Height: 64, Rate: 25})
		checkError(t, err, ErrReadOnly, path, "nothing may be written")
	}
}

func TestFileThatMayNotBeRead(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("SKIPPED: ROOT MAY READ EVERYTHING")
	}
	path := filepath.Join(t.TempDir(), "locked.mp4")
	write("x")(t, path)
	if err := os.Chmod(path, 0); err != nil {
		t.Fatal(err)
	}
	_, err := Embedded().Probe(context.Background(), path, nil)
	checkError(t, err, ErrNoAccess, path, "may not be read")
	if !errors.Is(err, os.ErrPermission) {
		t.Errorf("the cause is lost: %v", err)
	}
}
