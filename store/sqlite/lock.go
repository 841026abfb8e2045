package sqlite

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"time"

	"mesure/study"
)

// lock is the file that tells other processes that the library is open. The
// operating system holds it for this process and lets it go when the process
// ends, however it ends; the text inside is only for the message.
type lock struct{ file *os.File }

// errHeld is what hold returns where another has the lock.
var errHeld = errors.New("held by another")

// takeLock returns study.ErrLocked, with the process that holds it and since
// when, where another has the library open.
func takeLock(path string, now time.Time) (*lock, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := hold(f); err != nil {
		if errors.Is(err, errHeld) {
			err = fmt.Errorf("%w%s: close it there first", study.ErrLocked, holder(f))
		}
		f.Close()
		return nil, err
	}
	text := fmt.Sprintf("%d %s\n", os.Getpid(), now.UTC().Format(time.RFC3339))
	if err := errors.Join(f.Truncate(0), writeAt(f, text)); err != nil {
		f.Close()
		return nil, err
	}
	return &lock{f}, nil
}

func writeAt(f *os.File, text string) error {
	_, err := f.WriteAt([]byte(text), 0)
	return err
}

// holder says who holds the lock, as far as the file tells: " (process 4711,
// since 2026-03-07 18:30)".
func holder(f *os.File) string {
	data, err := io.ReadAll(io.NewSectionReader(f, 0, 200))
	if err != nil {
		return ""
	}
	pid, since, _ := strings.Cut(strings.TrimSpace(string(data)), " ")
	if _, err := strconv.Atoi(pid); err != nil {
		return ""
	}
	at, err := time.Parse(time.RFC3339, since)
	if err != nil {
		return " (process " + pid + ")"
	}
	return fmt.Sprintf(" (process %s, since %s)", pid, at.Local().Format("2006-01-02 15:04:05"))
}

// release lets the lock go. The file stays: to remove it would let two processes
// lock two files of one name.
func (l *lock) release() error {
	if l == nil {
		return nil
	}
	return errors.Join(l.file.Truncate(0), l.file.Close())
}
