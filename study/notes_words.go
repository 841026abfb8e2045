package study

import (
	"math"
	"strconv"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
)

// unitWords is how a kind of quantity stands in a sentence: what one unit is worth and
// how many decimals it may have.
type unitWords struct {
	per  float64
	unit string
	most int
}

var (
	inMS    = unitWords{1000, " ms", 0}
	inCM    = unitWords{100, " cm", 1}
	inM     = unitWords{1, " m", 3}
	inSpeed = unitWords{1, " m/s", 2}
	inPct   = unitWords{100, " %", 0}
	inPlain = unitWords{1, "", 2}
)

// plusMinus writes a value with its ± (one standard deviation) as sentences have it: the
// value stops where the doubt does, which has one digit, two where the first is a 1
// (JCGM 100:2008, 7.2.6), as everywhere a number is printed.
func plusMinus[U quantity.Unit](q quantity.Of[U], w unitWords) string {
	mean, sd := float64(q.Mean)*w.per, float64(q.SD)*w.per
	unit := strings.ReplaceAll(w.unit, " ", "\u00a0")
	if !(sd > 0) {
		return digits(mean, min(w.most, 2)) + unit
	}
	n := w.decimals(sd)
	least := math.Pow(10, -float64(n))
	return digits(mean, n) + "\u00a0±\u00a0" + digits(max(sd, least), n) + unit
}

// decimals a doubt leaves.
func (w unitWords) decimals(sd float64) int {
	first := math.Floor(math.Log10(sd))
	if sd/math.Pow(10, first) < 1.95 {
		first-- // two digits where the first is a 1
	}
	return max(0, min(w.most, -int(first)))
}

func digits(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// called is how a fencer is called within a sentence.
func called(s mark.Side) string {
	if s == mark.Left {
		return "Left"
	}
	return "Right"
}

// below is the chance that a normal quantity is less than a bound; a half where both
// are equal and certain.
func below[U quantity.Unit](q quantity.Of[U], bound U) float64 {
	d := float64(bound - q.Mean)
	if sd := float64(q.SD); sd > 0 {
		return 0.5 * math.Erfc(-d/sd/math.Sqrt2)
	}
	switch {
	case d > 0:
		return 1
	case d < 0:
		return 0
	}
	return 0.5
}

// less is the difference of two quantities taken as independent.
func less[U quantity.Unit](a, b quantity.Of[U]) quantity.Of[U] {
	return quantity.Normal(a.Mean-b.Mean, U(math.Hypot(float64(a.SD), float64(b.SD))))
}

// scaled is a quantity multiplied by an exact number.
func scaled[U quantity.Unit](q quantity.Of[U], by float64) quantity.Of[U] {
	return quantity.Normal(U(float64(q.Mean)*by), U(float64(q.SD)*math.Abs(by)))
}
