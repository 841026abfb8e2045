package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// deliver fills a folder so that nobody ever sees a half-written file in it.
// write gets an empty folder on the same disk; when it succeeds, its files are
// flushed to the disk and renamed into place. A folder that is new appears in
// one step; in one that exists, files of the same name are replaced, those that
// match one of the patterns of own and were not written again are removed, and
// all others stay. When write fails, nothing is left, not even the new parents.
func deliver(dir string, own []string, write func(tmp string) error) (err error) {
	dir = filepath.Clean(dir)
	made, err := makeParents(dir)
	if err != nil {
		return at(dir, err)
	}
	defer func() {
		if err != nil {
			for _, d := range made {
				os.Remove(d) // only goes where it is empty
			}
		}
	}()

	isNew := false
	parent := dir
	switch info, err := os.Stat(dir); {
	case errors.Is(err, fs.ErrNotExist):
		isNew, parent = true, filepath.Dir(dir)
	case err != nil:
		return at(dir, err)
	case !info.IsDir():
		return &fault{code: wrongUse, where: dir, text: "is a file, not a folder", hint: "Give --out a new name."}
	}
	tmp, err := makeTemporary(parent)
	if err != nil {
		return at(dir, err)
	}
	defer os.RemoveAll(tmp)
	if err := write(tmp); err != nil {
		return err
	}
	if err := flush(tmp); err != nil {
		return at(dir, err)
	}
	if isNew {
		err = os.Rename(tmp, dir)
	} else {
		err = moveInto(tmp, dir, own)
	}
	if err != nil {
		return at(dir, err)
	}
	return at(dir, flushFolder(parent))
}

// makeParents makes the missing parents of dir and returns them, the deepest
// first.
func makeParents(dir string) (made []string, err error) {
	for p := filepath.Dir(dir); ; p = filepath.Dir(p) {
		if _, err := os.Stat(p); err == nil || p == filepath.Dir(p) {
			break
		}
		made = append(made, p)
	}
	return made, os.MkdirAll(filepath.Dir(dir), 0o777)
}

// temporaryPrefix starts the name of a folder that is being written.
const temporaryPrefix = ".mesure-writing-"

func makeTemporary(parent string) (string, error) {
	for i := 0; ; i++ {
		tmp := filepath.Join(parent, temporaryPrefix+strconv.Itoa(os.Getpid())+"-"+strconv.Itoa(i))
		err := os.Mkdir(tmp, 0o777)
		if !errors.Is(err, fs.ErrExist) {
			return tmp, err
		}
	}
}

// moveInto renames every file of tmp into dir, folder by folder, and removes
// what an earlier run left there.
func moveInto(tmp, dir string, own []string) error {
	moved := map[string]bool{}
	err := filepath.WalkDir(tmp, func(path string, e fs.DirEntry, err error) error {
		if err != nil || path == tmp {
			return err
		}
		rel, err := filepath.Rel(tmp, path)
		if err != nil {
			return err
		}
		to := filepath.Join(dir, rel)
		if e.IsDir() {
			if err := os.Mkdir(to, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
				return err
			}
			return nil
		}
		moved[to] = true
		return os.Rename(path, to)
	})
	if err != nil {
		return err
	}
	for _, pattern := range own {
		old, err := filepath.Glob(filepath.Join(literal(dir), pattern))
		if err != nil {
			return err
		}
		for _, path := range old {
			if !moved[path] {
				if err := os.Remove(path); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// literal escapes what a pattern would not take for itself. Where a backslash
// parts folders, patterns know no escape.
func literal(path string) string {
	if filepath.Separator == '\\' {
		return path
	}
	return strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(path)
}

// flush waits until every file and folder under dir is on the disk.
func flush(dir string) error {
	return filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case e.IsDir():
			return flushFolder(path)
		}
		f, err := os.Open(path)
		if err != nil {
			return err
		}
		defer f.Close()
		return f.Sync()
	})
}

// flushFolder flushes the names in a folder. Systems that cannot are let off.
func flushFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) {
		return fmt.Errorf("the disk does not confirm: %w", err)
	}
	return nil
}
