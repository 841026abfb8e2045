package main

import (
	"syscall"
	"time"
)

// processor is the time that this process has spent on processors: on one core and
// unhindered, work takes no longer. Other processes on the machine do not count.
func processor() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return time.Since(started)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
