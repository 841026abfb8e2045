package sqlite

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	driver "modernc.org/sqlite"
	code "modernc.org/sqlite/lib"
)

// Errors of a library beyond those of the contract.
var (
	ErrNoSpace    = errors.New("there is no space left on the disk of the library: free some and repeat; what was stored before is safe")
	ErrReadOnly   = errors.New("the library cannot be written: check the rights of its folder, or choose another one")
	ErrDamaged    = errors.New("the database of the library is damaged: put a copy of library.db back; the videos in media are not touched")
	ErrNewer      = errors.New("the library was written by a later version of this program: update the program")
	ErrNotLibrary = errors.New("this folder is not a library: name a new or an empty folder")
)

// explain puts the meaning before errors of the system and of SQLite that a
// person can do something about; others pass unchanged.
func explain(err error) error {
	if err == nil {
		return nil
	}
	for _, known := range []error{ErrNoSpace, ErrReadOnly, ErrDamaged, ErrNewer, ErrNotLibrary} {
		if errors.Is(err, known) {
			return err
		}
	}
	if meaning := meaningOf(err); meaning != nil {
		return fmt.Errorf("%w (%w)", meaning, err)
	}
	return err
}

func meaningOf(err error) error {
	var e *driver.Error
	if errors.As(err, &e) {
		// The low byte is the primary result code.
		switch e.Code() & 0xff {
		case code.SQLITE_FULL:
			return ErrNoSpace
		case code.SQLITE_READONLY, code.SQLITE_CANTOPEN, code.SQLITE_PERM:
			return ErrReadOnly
		case code.SQLITE_CORRUPT, code.SQLITE_NOTADB, code.SQLITE_FORMAT:
			return ErrDamaged
		}
		return nil
	}
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return ErrNoSpace
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return ErrReadOnly
	}
	return nil
}
