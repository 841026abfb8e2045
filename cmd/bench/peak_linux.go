package main

import (
	"os"
	"syscall"
)

// peakMemory is the most memory that a process held, in MB.
func peakMemory(p *os.ProcessState) (float64, bool) {
	u, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0, false
	}
	return float64(u.Maxrss) * 1024 / 1e6, true
}
