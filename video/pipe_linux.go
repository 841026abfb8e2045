package video

import (
	"os"
	"syscall"
)

// setPipeSize is F_SETPIPE_SZ of fcntl(2), which the standard library does not
// name, and pipeBytes the greatest size that Linux grants everybody
// (pipe(7), /proc/sys/fs/pipe-max-size).
const (
	setPipeSize = 1031
	pipeBytes   = 1 << 20
)

// widen makes a pipe hold more, so that fewer switches between the two processes
// are needed for one frame. It is no error when it does not work.
func widen(pipe any) {
	f, ok := pipe.(*os.File)
	if !ok {
		return
	}
	if c, err := f.SyscallConn(); err == nil {
		_ = c.Control(func(fd uintptr) {
			_, _, _ = syscall.Syscall(syscall.SYS_FCNTL, fd, setPipeSize, pipeBytes)
		})
	}
}
