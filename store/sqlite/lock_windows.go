package sqlite

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lockAt is the byte that is locked: far behind the text, which others must be
// able to read.
const lockAt = 1 << 30

// hold takes the lock of an open file, or returns errHeld at once.
func hold(f *os.File) error {
	err := windows.LockFileEx(windows.Handle(f.Fd()),
		windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0,
		&windows.Overlapped{Offset: lockAt})
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_IO_PENDING) {
		return errHeld
	}
	return err
}

// syncDir does nothing: Windows keeps the names of files in its own journal.
func syncDir(string) error { return nil }
