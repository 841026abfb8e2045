//go:build !linux

package main

import "os"

// peakMemory is not told alike everywhere.
func peakMemory(*os.ProcessState) (float64, bool) { return 0, false }
