package main

import (
	"fmt"
	"math"
	"strconv"

	"mesure/quantity"
)

// Numbers are rounded here, once, at the edge: the ± keeps one digit, two where
// the first is a 1, and the value stops at the same place (JCGM 100:2008, 7.2.6:
// at most two digits of an uncertainty mean anything).

// decimalsFor returns how many decimals a value with this SD may show.
func decimalsFor(sd float64) int {
	if !(sd > 0) || math.IsInf(sd, 0) {
		return 0
	}
	place := math.Floor(math.Log10(sd))
	leading := sd / math.Pow(10, place)
	decimals := int(-place)
	if leading < 2 {
		decimals++
	}
	return max(decimals, 0)
}

// plusMinus prints "1.42 ± 0.06": the value with its standard deviation, both
// multiplied by scale (100 for centimetres of metres).
func plusMinus[U quantity.Unit](q quantity.Of[U], scale float64) string {
	mean, sd := float64(q.Mean)*scale, float64(q.SD)*scale
	if sd == 0 {
		return number(mean, -1)
	}
	d := decimalsFor(sd)
	return number(mean, d) + " ± " + number(sd, d)
}

// between prints "[55, 70]": the 95 % interval at the digits of the SD.
func between[U quantity.Unit](q quantity.Of[U], scale float64) string {
	d := decimalsFor(float64(q.SD) * scale)
	return "[" + number(float64(q.Lo)*scale, d) + ", " + number(float64(q.Hi)*scale, d) + "]"
}

// number prints v with this many decimals (−1: as many as it has), with a true
// minus and without "−0".
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if s[0] != '-' {
		return s
	}
	for _, c := range s[1:] {
		if c != '0' && c != '.' {
			return "−" + s[1:]
		}
	}
	return s[1:]
}

// percent prints a chance without its uncertainty, for one that stands beside
// the uncertain number it belongs to.
func percent(c quantity.Chance) string { return fmt.Sprintf("%.0f %%", float64(c)*100) }

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
