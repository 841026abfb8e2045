package main

import "fmt"

// bytesOf prints the size of a file.
func bytesOf(n int64) string {
	const step = 1000
	if n < step {
		return fmt.Sprintf("%d B", n)
	}
	v, unit := float64(n), 0
	for v >= step && unit < len(byteUnits)-1 {
		v /= step
		unit++
	}
	return fmt.Sprintf("%.1f %cB", v, byteUnits[unit])
}

// byteUnits are the letters of the SI prefixes in steps of a thousand.
const byteUnits = " kMGTP"
