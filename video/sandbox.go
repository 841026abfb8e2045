package video

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"
	"time"
)

// files is the file system of the sandbox: the files of one job and nothing
// else. There are no folders to list, no links to follow, and nothing can be
// made, renamed or removed.
type files []granted

// granted is one file of the host that the sandbox may open under a name.
type granted struct {
	name, path string
	write      bool
	// said takes what the host has to say of writing.
	said io.Writer
}

// Open opens a granted file, for reading only unless it is the output.
func (f files) Open(name string) (fs.File, error) {
	if name == "." {
		return root{}, nil
	}
	for _, g := range f {
		if g.name != name {
			continue
		}
		if !g.write {
			file, err := os.Open(g.path)
			if err != nil {
				return nil, err
			}
			return readOnly{file}, nil
		}
		file, err := os.OpenFile(g.path, os.O_RDWR, 0)
		if err != nil {
			return nil, err
		}
		return readWrite{readOnly{file}, g.said}, nil
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// root is the mounted folder itself, which is shown as an empty one.
type root struct{}

func (root) Stat() (fs.FileInfo, error) { return rootInfo{}, nil }
func (root) Read([]byte) (int, error)   { return 0, fs.ErrInvalid }
func (root) Close() error               { return nil }

// readOnly is an open file without the methods that change it.
type readOnly struct{ file *os.File }

func (r readOnly) Stat() (fs.FileInfo, error)                   { return r.file.Stat() }
func (r readOnly) Read(b []byte) (int, error)                   { return r.file.Read(b) }
func (r readOnly) ReadAt(b []byte, off int64) (int, error)      { return r.file.ReadAt(b, off) }
func (r readOnly) Seek(offset int64, whence int) (int64, error) { return r.file.Seek(offset, whence) }
func (r readOnly) Close() error                                 { return r.file.Close() }

// readWrite is the output.
type readWrite struct {
	readOnly
	said io.Writer
}

func (r readWrite) Write(b []byte) (int, error) {
	n, err := r.file.Write(b)
	return n, r.aloud(err)
}

func (r readWrite) WriteAt(b []byte, off int64) (int, error) {
	n, err := r.file.WriteAt(b, off)
	return n, r.aloud(err)
}

// aloud says that the disk is full, for the parent to read: the guest has no
// number for this error and would only say that writing failed.
func (r readWrite) aloud(err error) error {
	if errors.Is(err, syscall.ENOSPC) {
		fmt.Fprintln(r.said, "[child] [error] No space left on device")
	}
	return err
}

// rootInfo describes root.
type rootInfo struct{}

func (rootInfo) Name() string       { return "." }
func (rootInfo) Size() int64        { return 0 }
func (rootInfo) Mode() fs.FileMode  { return fs.ModeDir | 0o500 }
func (rootInfo) ModTime() time.Time { return time.Unix(0, 0) }
func (rootInfo) IsDir() bool        { return true }
func (rootInfo) Sys() any           { return nil }
