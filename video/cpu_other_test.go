//go:build !linux

package video

import "time"

// cpuTime is not known here.
func cpuTime() time.Duration { return 0 }
