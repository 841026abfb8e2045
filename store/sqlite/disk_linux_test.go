package sqlite_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/sys/unix"

	"mesure/store/sqlite"
	"mesure/study"
)

// small mounts a disk of this many KiB and returns its folder. Only root may do
// so; elsewhere the test is skipped and says so.
func small(t *testing.T, kib int) string {
	t.Helper()
	dir := t.TempDir()
	if err := unix.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%dk", kib)); err != nil {
		t.Skipf("SKIPPED: no small disk can be mounted here (%v); run as root to test full and read-only disks", err)
	}
	t.Cleanup(func() {
		if err := unix.Unmount(dir, unix.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return dir
}

func entries(t *testing.T, dir string) int {
	t.Helper()
	n := 0
	err := filepath.WalkDir(dir, func(_ string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			n++
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestFullDisk(t *testing.T) {
	root := small(t, 4096)
	dir := filepath.Join(root, "library")
	_, m := stocked(t, dir)
	l := open(t, dir)
	holds(t, l, m)

	// A video that does not fit leaves nothing behind.
	before := entries(t, dir)
	_, err := l.AddMedia(ctx, "long.mp4", strings.NewReader(strings.Repeat("x", 8<<20)))
	if !errors.Is(err, sqlite.ErrNoSpace) || !strings.Contains(err.Error(), "free some and repeat") {
		t.Errorf("a video too large: %v", err)
	}
	if after := entries(t, dir); after != before {
		t.Errorf("a video too large left %d files", after-before)
	}
	holds(t, l, m)

	// Documents until nothing more fits: what was acknowledged stays.
	body := []byte(`"` + strings.Repeat("y", 100_000) + `"`)
	stored := 0
	for ; stored < 1000; stored++ {
		if _, err = l.Create(ctx, study.Document{ID: study.ID(fmt.Sprint("d", stored)), Kind: study.KindTouch, Body: body}); err != nil {
			break
		}
	}
	if stored == 0 || !errors.Is(err, sqlite.ErrNoSpace) {
		t.Fatalf("after %d documents: %v", stored, err)
	}
	count := func() int {
		all, err := l.List(ctx, study.KindTouch, "")
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range all {
			if string(d.Body) != string(body) {
				t.Errorf("%s is not what was stored", d.ID)
			}
		}
		return len(all)
	}
	if got := count(); got != stored {
		t.Errorf("%d documents are there, %d were acknowledged", got, stored)
	}
	holds(t, l, m)
	l.Close()
	l = open(t, dir)
	if got := count(); got != stored {
		t.Errorf("opened again, %d documents are there, %d were acknowledged", got, stored)
	}

	// With space again, work goes on.
	if err := unix.Mount("tmpfs", root, "tmpfs", unix.MS_REMOUNT, "size=16384k"); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Create(ctx, study.Document{ID: "after", Kind: study.KindTouch, Body: body}); err != nil {
		t.Error(err)
	}
	holds(t, l, m)
}

func TestReadOnlyFolder(t *testing.T) {
	root := small(t, 4096)
	dir := filepath.Join(root, "library")
	_, m := stocked(t, dir)
	if err := unix.Mount("tmpfs", root, "tmpfs", unix.MS_REMOUNT|unix.MS_RDONLY, ""); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{dir, filepath.Join(root, "new")} {
		if _, err := sqlite.Open(ctx, name, sqlite.Options{}); !errors.Is(err, sqlite.ErrReadOnly) || !strings.Contains(err.Error(), "check the rights of its folder") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := unix.Mount("tmpfs", root, "tmpfs", unix.MS_REMOUNT, ""); err != nil {
		t.Fatal(err)
	}
	holds(t, open(t, dir), m)
}
