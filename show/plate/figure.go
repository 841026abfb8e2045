package plate

import (
	"math"
	"strconv"
	"strings"

	"mesure/quantity"
)

// nb is a no-break space: a number stays on one line with its doubt and unit.
const nb = "\u00a0"

// minus is the sign that belongs to figures, not the hyphen.
const minus = "−"

// unknown stands for a number that is not one.
const unknown = "not known"

// Form says how a kind of quantity is printed: what one unit is worth, and how
// many decimals it may show at most and shows where it is exact.
type Form struct {
	per      float64 // printed units in one unit of the quantity
	unit     string
	most     int  // decimals, however small the doubt
	standing int  // decimals of an exact value
	chance   bool // what rounds to nothing or to certainty says so
}

// The forms of numbers.
var (
	InMetres       = Form{1, "m", 3, 2, false}
	InCentimetres  = Form{100, "cm", 1, 0, false}
	InSeconds      = Form{1, "s", 3, 3, false}
	InMilliseconds = Form{1000, "ms", 0, 0, false}
	InPercent      = Form{100, "%", 0, 0, true}
	InPixels       = Form{1, "px", 1, 1, false}
	InDegrees      = Form{180 / math.Pi, "°", 1, 1, false}
	InRatio        = Form{1, "", 3, 3, false}
	// InShares is for shares that are not chances, such as a mean difference of chances.
	InShares = Form{100, "%", 1, 1, false}
	// InCounts is for counts in which older things weigh less than one.
	InCounts = Form{1, "", 1, 1, false}

	InMetresPerSecond = Form{1, "m/s", 2, 1, false}
)

// Figure is a printed number in parts. Value, Doubt, Low and High are decimal
// numbers with a point, a hyphen for the minus and no grouping; Doubt, Low and
// High are empty for an exact value. Text is the whole as print has it. Where the
// number is not one, or rounds to nothing or to certainty, Value has the words.
type Figure struct{ Value, Doubt, Low, High, Unit, Text string }

// FigureOf prints a number in parts. It is the one place where numbers are
// rounded: the value stops where its standard deviation does, which has one
// digit, two where the first is a 1 (JCGM 100:2008, 7.2.6 allows two at most).
// Low and High stop at the same place; those of a chance are rounded outward. An
// exact value stands alone.
func FigureOf[U quantity.Unit](q quantity.Of[U], f Form) Figure {
	if !q.IsValid() {
		return Figure{Value: unknown, Text: unknown}
	}
	if edge := extreme(float64(q.Mean)); f.chance && edge != "" && q.SD > 0 {
		lo, hi := f.ends(float64(q.Lo), float64(q.Hi), 0)
		return Figure{Value: strings.TrimSuffix(edge, nb+"%"), Low: lo, High: hi, Unit: f.unit, Text: edge}
	}
	mean, sd := float64(q.Mean)*f.per, float64(q.SD)*f.per
	if sd == 0 {
		v := decimal(mean, f.standing)
		return Figure{Value: v, Unit: f.unit, Text: signed(v) + f.tail()}
	}
	n := f.decimals(sd)
	// A doubt that would round to nothing is shown as one in the last place.
	least := math.Pow(10, -float64(n))
	out := Figure{Value: decimal(mean, n), Doubt: decimal(math.Max(sd, least), n), Unit: f.unit}
	out.Low, out.High = f.ends(float64(q.Lo), float64(q.Hi), n)
	out.Text = signed(out.Value) + nb + "±" + nb + out.Doubt + f.tail()
	return out
}

// Metres prints a length, such as "0.42 ± 0.06 m", as FigureOf rounds it.
func Metres(q quantity.Of[quantity.Metres]) string { return FigureOf(q, InMetres).Text }

// Centimetres prints a length, such as "42 ± 6 cm".
func Centimetres(q quantity.Of[quantity.Metres]) string { return FigureOf(q, InCentimetres).Text }

// Seconds prints an instant or a duration, such as "2.310 ± 0.012 s".
func Seconds(q quantity.Of[quantity.Seconds]) string { return FigureOf(q, InSeconds).Text }

// Milliseconds prints a duration, such as "34 ± 21 ms".
func Milliseconds(q quantity.Of[quantity.Seconds]) string { return FigureOf(q, InMilliseconds).Text }

// Percent prints a chance, such as "62 ± 1 %". A chance is never finer than one
// in a hundred, and one that rounds to nothing or to certainty says so: "< 1 %".
func Percent(q quantity.Of[quantity.Chance]) string { return FigureOf(q, InPercent).Text }

// Pixels prints a length in the picture, such as "1110 ± 60 px".
func Pixels(q quantity.Of[quantity.Pixels]) string { return FigureOf(q, InPixels).Text }

// Degrees prints an angle, such as "0.4 ± 0.2°".
func Degrees(q quantity.Of[quantity.Radians]) string { return FigureOf(q, InDegrees).Text }

// Ratio prints a pure number, such as "−0.012 ± 0.004".
func Ratio(q quantity.Of[quantity.Ratio]) string { return FigureOf(q, InRatio).Text }

// Chance prints a chance that stands beside the uncertain number from which it
// follows, such as "84 %".
func Chance(c quantity.Chance) string { return ChanceFigure(c).Text }

// ChanceFigure is Chance in parts.
func ChanceFigure(c quantity.Chance) Figure {
	v := float64(c)
	if edge := extreme(v); edge != "" && v != 0 && v != 1 {
		return Figure{Value: strings.TrimSuffix(edge, nb+"%"), Unit: "%", Text: edge}
	}
	return FigureOf(quantity.Exactly(c), InPercent)
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
func MetresBetween(q quantity.Of[quantity.Metres]) string { return between(q, InMetres) }

// MillisecondsBetween prints the interval that holds 95 %.
func MillisecondsBetween(q quantity.Of[quantity.Seconds]) string { return between(q, InMilliseconds) }

// PercentBetween prints the interval that holds 95 %, "< 1 %" where all of it
// rounds to nothing and "> 99 %" where all of it rounds to certainty. Its ends
// are rounded outward, as the doubt of a chance is: "36 ± 1 %" is not "35 to
// 36 %".
func PercentBetween(q quantity.Of[quantity.Chance]) string {
	if edge := extreme(float64(q.Lo)); edge != "" && edge == extreme(float64(q.Hi)) && q.SD > 0 {
		return edge
	}
	return between(q, InPercent)
}

// roundOff is less than any doubt that is printed and more than the last digits
// of a float64, so that 57 % stays 57 %.
const roundOff = 1e-9

// Bare prints a standard deviation by itself, such as "6 cm": one digit, two where
// the first is a 1.
func Bare[U quantity.Unit](sd U, f Form) string {
	v := float64(sd) * f.per
	if !(v > 0) || math.IsInf(v, 0) {
		return unknown
	}
	n := f.decimals(v)
	return number(math.Max(v, math.Pow(10, -float64(n))), n) + f.tail()
}

// ends prints the interval that holds 95 %, with so many decimals.
func (f Form) ends(lo, hi float64, n int) (low, high string) {
	if f.chance {
		lo, hi = math.Floor(lo*f.per+roundOff), math.Ceil(hi*f.per-roundOff)
		return decimal(lo, n), decimal(hi, n)
	}
	return decimal(lo*f.per, n), decimal(hi*f.per, n)
}

// tail is the unit as it stands behind a number.
func (f Form) tail() string {
	if f.unit == "" || f.unit == "°" {
		return f.unit
	}
	return nb + f.unit
}

func between[U quantity.Unit](q quantity.Of[U], f Form) string {
	if !q.IsValid() {
		return unknown
	}
	n := f.standing
	if q.SD > 0 {
		n = f.decimals(float64(q.SD) * f.per)
	}
	lo, hi := f.ends(float64(q.Lo), float64(q.Hi), n)
	lo, hi = signed(lo), signed(hi)
	if lo == hi {
		return lo + f.tail()
	}
	return lo + nb + "to" + nb + hi + f.tail()
}

// decimals returns how many decimals a value with this doubt may show.
func (f Form) decimals(sd float64) int {
	place := math.Floor(math.Log10(sd))
	n := -int(place)
	if sd/math.Pow(10, place) < 2 {
		n++
	}
	return min(max(n, 0), f.most)
}

// number prints a value with a true minus and without a negative zero.
func number(v float64, decimals int) string { return signed(decimal(v, decimals)) }

// decimal prints a value with a hyphen for the minus and without a negative zero.
func decimal(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	if v < 0 && strings.ContainsAny(s, "123456789") {
		return "-" + s
	}
	return s
}

// signed puts the true minus in place of the hyphen.
func signed(decimal string) string {
	if rest, ok := strings.CutPrefix(decimal, "-"); ok {
		return minus + rest
	}
	return decimal
}
