package video

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"

	guest "github.com/tetratelabs/wazero/experimental/sys"
	"github.com/tetratelabs/wazero/sys"
)

// files is the file system of the sandbox: the files of one job and nothing
// else. There are no folders to list, no links to follow and nothing to make,
// rename or remove.
type files struct {
	guest.UnimplementedFS
	list []granted
}

// granted is one file of the host that the sandbox may open under a name.
type granted struct {
	name, path string
	write      bool
}

func (f *files) add(name, path string, write bool) {
	f.list = append(f.list, granted{name, path, write})
}

func (f *files) find(name string) (granted, bool) {
	for _, g := range f.list {
		if g.name == name {
			return g, true
		}
	}
	return granted{}, false
}

func isRoot(path string) bool { return path == "" || path == "." || path == "/" }

// OpenFile opens a granted file, for reading only unless it is the output.
func (f *files) OpenFile(path string, flag guest.Oflag, _ fs.FileMode) (guest.File, guest.Errno) {
	if isRoot(path) {
		return rootFolder{}, 0
	}
	g, ok := f.find(path)
	if !ok {
		return nil, guest.ENOENT
	}
	const wants = guest.O_RDWR | guest.O_WRONLY | guest.O_CREAT | guest.O_TRUNC
	mode := os.O_RDONLY
	if g.write {
		mode = os.O_RDWR
		if flag&guest.O_TRUNC != 0 {
			mode |= os.O_TRUNC
		}
	} else if flag&wants != 0 {
		return nil, guest.EROFS
	}
	file, err := os.OpenFile(g.path, mode, 0)
	if err != nil {
		return nil, told(err)
	}
	return &grantedFile{file: file}, 0
}

// Stat and Lstat tell of a granted file and of the root.
func (f *files) Stat(path string) (sys.Stat_t, guest.Errno) {
	if isRoot(path) {
		return rootFolder{}.Stat()
	}
	g, ok := f.find(path)
	if !ok {
		return sys.Stat_t{}, guest.ENOENT
	}
	info, err := os.Stat(g.path)
	if err != nil {
		return sys.Stat_t{}, told(err)
	}
	return statOf(info), 0
}

func (f *files) Lstat(path string) (sys.Stat_t, guest.Errno) { return f.Stat(path) }

// rootFolder is the mounted folder itself.
type rootFolder struct{ guest.UnimplementedFile }

func (rootFolder) IsDir() (bool, guest.Errno) { return true, 0 }
func (rootFolder) Stat() (sys.Stat_t, guest.Errno) {
	return sys.Stat_t{Mode: fs.ModeDir | 0o500, Nlink: 1}, 0
}
func (rootFolder) Readdir(int) ([]guest.Dirent, guest.Errno) { return nil, 0 }

// grantedFile is an open file. Only regular files come here.
type grantedFile struct {
	guest.UnimplementedFile
	file *os.File
}

func (g *grantedFile) IsDir() (bool, guest.Errno) { return false, 0 }

func (g *grantedFile) Stat() (sys.Stat_t, guest.Errno) {
	info, err := g.file.Stat()
	if err != nil {
		return sys.Stat_t{}, told(err)
	}
	return statOf(info), 0
}

func (g *grantedFile) Read(b []byte) (int, guest.Errno) { return ended(g.file.Read(b)) }

func (g *grantedFile) Pread(b []byte, off int64) (int, guest.Errno) {
	return ended(g.file.ReadAt(b, off))
}

func (g *grantedFile) Seek(offset int64, whence int) (int64, guest.Errno) {
	n, err := g.file.Seek(offset, whence)
	return n, told(err)
}

func (g *grantedFile) Write(b []byte) (int, guest.Errno) {
	n, err := g.file.Write(b)
	return n, told(err)
}

func (g *grantedFile) Pwrite(b []byte, off int64) (int, guest.Errno) {
	n, err := g.file.WriteAt(b, off)
	return n, told(err)
}

func (g *grantedFile) Truncate(size int64) guest.Errno { return told(g.file.Truncate(size)) }
func (g *grantedFile) Sync() guest.Errno               { return told(g.file.Sync()) }
func (g *grantedFile) Datasync() guest.Errno           { return told(g.file.Sync()) }
func (g *grantedFile) Close() guest.Errno              { return told(g.file.Close()) }

// ended turns the end of a file into no bytes and no error, as the guest has it.
func ended(n int, err error) (int, guest.Errno) {
	if err == io.EOF {
		err = nil
	}
	return n, told(err)
}

// told turns an error into a number of the guest. The guest has no number for a
// full disk, so this one is also said aloud for the parent to read.
func told(err error) guest.Errno {
	if err == nil {
		return 0
	}
	if errors.Is(err, syscall.ENOSPC) {
		fmt.Fprintln(os.Stderr, "[child] [error] No space left on device")
	}
	return guest.UnwrapOSError(err)
}

func statOf(info fs.FileInfo) sys.Stat_t {
	at := info.ModTime().UnixNano()
	return sys.Stat_t{Mode: info.Mode(), Nlink: 1, Size: info.Size(), Atim: at, Mtim: at, Ctim: at}
}
