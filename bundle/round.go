package bundle

import (
	"math"
	"strconv"

	"mesure/quantity"
)

// Digits of what is exported. Rounding happens here, once: the standard
// deviation keeps two digits, as section 7.2.6 of JCGM 100:2008 asks, and the
// mean and the interval end at the same place.
const (
	// sdDigits is how many digits a standard deviation keeps.
	sdDigits = 2
	// maxPlaces is the greatest number of decimal places of anything exported.
	maxPlaces = 6
	// chancePlaces is the number of decimal places of a probability: draws by
	// the ten thousand resolve no more.
	chancePlaces = 4
	// pixelPlaces is the number of decimal places of a place in the image.
	pixelPlaces = 2
	// residualPlaces is the number of decimal places of a residual in pixels.
	residualPlaces = 3
	// metrePlaces is the number of decimal places of a length without an SD of
	// its own: a tenth of a millimetre.
	metrePlaces = 4
)

// places returns to how many decimal places a number with this standard
// deviation is written: as many as its first two digits need, none below zero.
func places(sd float64) int {
	if !(sd > 0) || math.IsInf(sd, 0) {
		return maxPlaces
	}
	lead := int(math.Floor(math.Log10(sd)))
	return max(0, min(maxPlaces, sdDigits-1-lead))
}

// round returns x at this number of decimal places, never −0.
func round(x float64, places int) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'f', places, 64), 64)
	if err != nil {
		panic("bundle: a number does not round: " + err.Error())
	}
	return y + 0 // −0 becomes 0
}

// rounded is a quantity as it is exported.
type rounded struct{ mean, sd, lo, hi float64 }

// roundOf rounds a quantity, whose numbers are multiplied by scale first (1000
// for milliseconds).
func roundOf[U quantity.Unit](q quantity.Of[U], scale float64) rounded {
	n := places(float64(q.SD) * scale)
	at := func(x U) float64 { return round(float64(x)*scale, n) }
	return rounded{at(q.Mean), at(q.SD), at(q.Lo), at(q.Hi)}
}

// known returns a pointer to a number, nil where it is not finite: no draw told
// it.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// shares rounds probabilities that sum to 1 so that they still do: what the
// rounding leaves over goes to those that lost most by it, the first among
// equals.
func shares(p ...float64) []float64 {
	unit := math.Pow(10, chancePlaces)
	out := make([]float64, len(p))
	lost := make([]float64, len(p))
	left := unit
	for i, x := range p {
		if math.IsNaN(x) {
			return p
		}
		out[i] = math.Floor(x * unit)
		lost[i] = x*unit - out[i]
		left -= out[i]
	}
	for range int(min(left, float64(len(p)))) {
		most := 0
		for i := range lost {
			if lost[i] > lost[most] {
				most = i
			}
		}
		out[most]++
		lost[most] = -1
	}
	for i := range out {
		out[i] = round(out[i]/unit, chancePlaces)
	}
	return out
}
