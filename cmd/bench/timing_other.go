//go:build !linux

package main

import "time"

// processor is the time by the clock: what a process spends on processors is not told
// alike everywhere.
func processor() time.Duration { return time.Since(started) }
