package camera

import (
	"math"

	"mesure/quantity"
)

// Range holds 95 % of a prior whose logarithm is normal. The zero Range states
// no prior.
type Range[U quantity.Unit] struct{ Min, Max U }

// law returns mean and standard deviation of the logarithm.
func (r Range[U]) law() (mean, sd float64, ok bool) {
	if !(r.Min > 0 && r.Max > r.Min) {
		return 0, 0, false
	}
	lo, hi := math.Log(float64(r.Min)), math.Log(float64(r.Max))
	return (lo + hi) / 2, (hi - lo) / (2 * normal975), true
}

// normal975 is the half-width of the 95 % interval of the normal distribution in
// standard deviations.
const normal975 = 1.959963984540054

// Priors is what is believed of a camera before the picture is looked at. The
// zero value stands for DefaultPriors; a field that is zero in any other value
// states no prior of that quantity.
type Priors struct {
	Focal  Range[quantity.Pixels]
	Height Range[quantity.Metres]
	// Roll is the standard deviation of the roll about 0.
	Roll quantity.Radians
	// K1 is the standard deviation of the radial coefficient about 0.
	K1 quantity.Ratio
	// Centre is the standard deviation of the principal point of a cropped
	// picture about the middle, as a share of the width.
	Centre quantity.Ratio
	// Scale is the standard deviation of the scale of the court: how far its
	// lines may be from where the rules put them. It does not enter the fit; it
	// widens what is measured.
	Scale quantity.Ratio
	// Flat asks for no priors at all where all other fields are zero.
	Flat bool
}

// DefaultPriors returns the priors for a camera at a piste.
func DefaultPriors() Priors {
	return Priors{
		Focal:  Range[quantity.Pixels]{FocalMin, FocalMax},
		Height: Range[quantity.Metres]{HeightMin, HeightMax},
		Roll:   RollSD, K1: K1SD, Centre: CentreSD, Scale: ScaleSD,
	}
}

// filled puts the defaults in for the zero value.
func (p Priors) filled() Priors {
	if p == (Priors{}) {
		return DefaultPriors()
	}
	return p
}

// Options say what is fitted. The zero value fits focal length, place and turn
// with the default priors.
type Options struct {
	// Distortion asks for the radial coefficient k1 as well.
	Distortion bool
	// Cropped lets the principal point move, for a picture that was cut from a
	// larger one.
	Cropped bool
	// Lens is a lens known beforehand, such as one that Calibrate found for this
	// very zoom and picture size; nothing of it is fitted then. Nil: not known.
	Lens   *Lens
	Priors Priors
}

// priorKind says what a prior is of.
type priorKind uint8

const (
	priorNumber priorKind = iota // a parameter itself
	priorLog                     // its logarithm
	priorRoll                    // the roll of a view
)

// prior is one residual (value − mean)/sd.
type prior struct {
	kind     priorKind
	index    int
	mean, sd float64
}

func (r prior) residual(p []float64, q pose) float64 {
	v := 0.0
	switch r.kind {
	case priorNumber:
		v = p[r.index]
	case priorLog:
		if !(p[r.index] > 0) {
			return wall
		}
		v = math.Log(p[r.index])
	case priorRoll:
		v = q.roll()
	}
	return (v - r.mean) / r.sd
}

func (r prior) slope(row, p []float64, v *view, q pose) {
	switch r.kind {
	case priorNumber:
		row[r.index] = 1 / r.sd
	case priorLog:
		row[r.index] = 1 / (p[r.index] * r.sd)
	case priorRoll:
		g := leftJacobian(vec(p[v.slots.turn : v.slots.turn+3])).back(rollSlope(q))
		for k := range g {
			row[v.slots.turn+k] = g[k] / r.sd
		}
	}
}

// rollSlope is the derivative of the roll by a small turn of the camera in its
// own frame: roll = asin R₀₂ and dR = [w]R.
func rollSlope(q pose) vec {
	s := q.turn[0][2]
	c := math.Sqrt(math.Max(1-s*s, 1e-12))
	// Row 0 of [w]R is w₁·R₂ − w₂·R₁.
	return vec{0, q.turn[2][2] / c, -q.turn[1][2] / c}
}
