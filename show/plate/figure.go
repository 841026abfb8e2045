package plate

import (
	"math"
	"strconv"

	"mesure/quantity"
)

// nb is a no-break space: a number stays on one line with its doubt and unit.
const nb = "\u00a0"

// minus is the sign that belongs to figures, not the hyphen.
const minus = "−"

// unknown stands for a number that is not one.
const unknown = "not known"

// form says how a kind of quantity is printed: what one unit is worth, and how
// many decimals it may show at most and shows where it is exact.
type form struct {
	per      float64 // printed units in one unit of the quantity
	unit     string
	most     int // decimals, however small the doubt
	standing int // decimals of an exact value
}

var (
	inMetres       = form{1, "m", 3, 2}
	inCentimetres  = form{100, "cm", 1, 0}
	inSeconds      = form{1, "s", 3, 3}
	inMilliseconds = form{1000, "ms", 0, 0}
	inPercent      = form{100, "%", 0, 0}
	inPixels       = form{1, "px", 1, 1}
	inDegrees      = form{180 / math.Pi, "°", 1, 1}
	inRatio        = form{1, "", 3, 3}
)

// Metres prints a length, such as "0.42 ± 0.06 m". The value stops where its
// standard deviation does: one digit of it, two where the first is a 1
// (JCGM 100:2008, 7.2.6 allows two at most). An exact value stands alone.
func Metres(q quantity.Of[quantity.Metres]) string { return print(q, inMetres) }

// Centimetres prints a length, such as "42 ± 6 cm".
func Centimetres(q quantity.Of[quantity.Metres]) string { return print(q, inCentimetres) }

// Seconds prints an instant or a duration, such as "2.310 ± 0.012 s".
func Seconds(q quantity.Of[quantity.Seconds]) string { return print(q, inSeconds) }

// Milliseconds prints a duration, such as "34 ± 21 ms".
func Milliseconds(q quantity.Of[quantity.Seconds]) string { return print(q, inMilliseconds) }

// Percent prints a chance, such as "62 ± 1 %". A chance is never finer than one
// in a hundred, and one that rounds to nothing or to certainty says so: "< 1 %".
func Percent(q quantity.Of[quantity.Chance]) string {
	if edge := extreme(float64(q.Mean)); edge != "" && q.SD > 0 {
		return edge
	}
	return print(q, inPercent)
}

// Pixels prints a length in the picture, such as "1110 ± 60 px".
func Pixels(q quantity.Of[quantity.Pixels]) string { return print(q, inPixels) }

// Degrees prints an angle, such as "0.4 ± 0.2°".
func Degrees(q quantity.Of[quantity.Radians]) string { return print(q, inDegrees) }

// Ratio prints a pure number, such as "−0.012 ± 0.004".
func Ratio(q quantity.Of[quantity.Ratio]) string { return print(q, inRatio) }

// Chance prints a chance that stands beside the uncertain number from which it
// follows, such as "84 %".
func Chance(c quantity.Chance) string {
	v := float64(c)
	if edge := extreme(v); edge != "" && v != 0 && v != 1 {
		return edge
	}
	if math.IsNaN(v) {
		return unknown
	}
	return number(v*100, 0) + nb + "%"
}

// extreme returns the words for a chance that would round to 0 or 100 %.
func extreme(v float64) string {
	switch {
	case v < 0.005:
		return "<" + nb + "1" + nb + "%"
	case v >= 0.995:
		return ">" + nb + "99" + nb + "%"
	}
	return ""
}

// Count prints a whole number with its thousands apart, such as "20 000".
func Count(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + nb + s[i:]
	}
	return s
}

// MetresBetween prints the interval that holds 95 %, such as "0.30 to 0.54 m".
func MetresBetween(q quantity.Of[quantity.Metres]) string { return between(q, inMetres) }

// MillisecondsBetween prints the interval that holds 95 %.
func MillisecondsBetween(q quantity.Of[quantity.Seconds]) string { return between(q, inMilliseconds) }

// PercentBetween prints the interval that holds 95 %, "< 1 %" where all of it
// rounds to nothing and "> 99 %" where all of it rounds to certainty. Its ends
// are rounded outward, as the doubt of a chance is: "36 ± 1 %" is not "35 to
// 36 %".
func PercentBetween(q quantity.Of[quantity.Chance]) string {
	if edge := extreme(float64(q.Lo)); edge != "" && edge == extreme(float64(q.Hi)) && q.SD > 0 {
		return edge
	}
	q.Lo = quantity.Chance(math.Floor(float64(q.Lo)*100+roundOff) / 100)
	q.Hi = quantity.Chance(math.Ceil(float64(q.Hi)*100-roundOff) / 100)
	return between(q, inPercent)
}

// roundOff is less than any doubt that is printed and more than the last digits
// of a float64, so that 57 % stays 57 %.
const roundOff = 1e-9

func print[U quantity.Unit](q quantity.Of[U], f form) string {
	if !q.IsValid() {
		return unknown
	}
	mean, sd := float64(q.Mean)*f.per, float64(q.SD)*f.per
	tail := nb + f.unit
	if f.unit == "" || f.unit == "°" {
		tail = f.unit
	}
	if sd == 0 {
		return number(mean, f.standing) + tail
	}
	n := f.decimals(sd)
	// A doubt that would round to nothing is shown as one in the last place.
	least := math.Pow(10, -float64(n))
	return number(mean, n) + nb + "±" + nb + number(math.Max(sd, least), n) + tail
}

func between[U quantity.Unit](q quantity.Of[U], f form) string {
	if !q.IsValid() {
		return unknown
	}
	n := f.standing
	if q.SD > 0 {
		n = f.decimals(float64(q.SD) * f.per)
	}
	lo, hi := number(float64(q.Lo)*f.per, n), number(float64(q.Hi)*f.per, n)
	tail := nb + f.unit
	if f.unit == "" || f.unit == "°" {
		tail = f.unit
	}
	if lo == hi {
		return lo + tail
	}
	return lo + nb + "to" + nb + hi + tail
}

// decimals returns how many decimals a value with this doubt may show.
func (f form) decimals(sd float64) int {
	place := math.Floor(math.Log10(sd))
	n := -int(place)
	if sd/math.Pow(10, place) < 2 {
		n++
	}
	return min(max(n, 0), f.most)
}

// number prints a value with a true minus and without a negative zero.
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	for _, c := range s {
		if v < 0 && c >= '1' && c <= '9' {
			return minus + s
		}
	}
	return s
}
