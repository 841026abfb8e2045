package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// tree lists every file and folder under dir, hidden ones too.
func tree(t *testing.T, dir string) []string {
	t.Helper()
	var all []string
	err := filepath.WalkDir(dir, func(path string, _ fs.DirEntry, err error) error {
		if path != dir {
			rel, _ := filepath.Rel(dir, path)
			all = append(all, filepath.ToSlash(rel))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// fill writes what a breakdown might hold.
func fill(t *testing.T, text string) func(string) error {
	return func(tmp string) error {
		write(t, filepath.Join(tmp, "report.html"), text)
		write(t, filepath.Join(tmp, "plates", "a.svg"), text)
		return nil
	}
}

func TestDeliverMakesANewFolder(t *testing.T) {
	root := t.TempDir()
	if err := deliver(filepath.Join(root, "a", "b"), nil, fill(t, "1")); err != nil {
		t.Fatal(err)
	}
	want := []string{"a", "a/b", "a/b/plates", "a/b/plates/a.svg", "a/b/report.html"}
	if got := tree(t, root); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestDeliverKeepsWhatIsNotItsOwn(t *testing.T) {
	root := filepath.Join(t.TempDir(), "odd [*] name")
	write(t, filepath.Join(root, "notes.txt"), "mine")
	write(t, filepath.Join(root, "report.html"), "old")
	write(t, filepath.Join(root, "plates", "old.svg"), "left by an earlier run")
	write(t, filepath.Join(root, "plates", "old.txt"), "mine")
	if err := deliver(root, []string{"plates/*.svg"}, fill(t, "new")); err != nil {
		t.Fatal(err)
	}
	want := []string{"notes.txt", "plates", "plates/a.svg", "plates/old.txt", "report.html"}
	if got := tree(t, root); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if body, _ := os.ReadFile(filepath.Join(root, "report.html")); string(body) != "new" {
		t.Errorf("report is %q", body)
	}
}

func TestDeliverThatFailsLeavesNothing(t *testing.T) {
	root := t.TempDir()
	write(t, filepath.Join(root, "there", "report.html"), "old")
	broken := errors.New("broken")
	fail := func(tmp string) error {
		write(t, filepath.Join(tmp, "report.html"), "half")
		return broken
	}
	for _, dir := range []string{"a/b/c", "there"} {
		if err := deliver(filepath.Join(root, dir), nil, fail); !errors.Is(err, broken) {
			t.Errorf("%s: %v", dir, err)
		}
	}
	want := []string{"there", "there/report.html"}
	if got := tree(t, root); !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if body, _ := os.ReadFile(filepath.Join(root, "there", "report.html")); string(body) != "old" {
		t.Errorf("report is %q", body)
	}
}

func TestDeliverRefusesAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "x")
	write(t, file, "mine")
	if err := deliver(file, nil, fill(t, "1")); codeOf(err) != wrongUse {
		t.Errorf("got %v", err)
	}
}
