//go:build !windows

package sqlite

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// hold takes the lock of an open file, or returns errHeld at once. It belongs
// to this opening of the file: a second one in the same process is refused too,
// and child processes do not inherit it.
func hold(f *os.File) error {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case errors.Is(err, unix.EINTR):
			continue
		case errors.Is(err, unix.EWOULDBLOCK):
			return errHeld
		}
		return err
	}
}

// syncDir makes the names in a folder as durable as the files.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
