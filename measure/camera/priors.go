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

// overruled returns the priors without those whose share in what is known of
// their quantity is below PriorShare, and whether any was left out.
func (p Priors) overruled(s solved, width int) (Priors, bool) {
	out := p
	if _, sd, ok := p.Focal.law(); ok && slight(s.variance(atFocal), sd) {
		out.Focal = Range[quantity.Pixels]{}
	}
	if _, sd, ok := p.Height.law(); ok && slight(s.variance(atCentre+2)/square(s.pose.centre[2]), sd) {
		out.Height = Range[quantity.Metres]{}
	}
	if p.Roll > 0 && slight(s.rollVariance(), float64(p.Roll)) {
		out.Roll = 0
	}
	if i := s.at[lensK1]; p.K1 > 0 && i != fixed && slight(s.variance(i), float64(p.K1)) {
		out.K1 = 0
	}
	if i := s.at[lensCx]; p.Centre > 0 && i != fixed && slight(math.Max(s.variance(i), s.variance(i+1)), float64(p.Centre)*float64(width)) {
		out.Centre = 0
	}
	return out, out != p
}

// and returns the priors that stand in either.
func (p Priors) and(q Priors) Priors {
	return Priors{
		Focal:  Range[quantity.Pixels]{max(p.Focal.Min, q.Focal.Min), max(p.Focal.Max, q.Focal.Max)},
		Height: Range[quantity.Metres]{max(p.Height.Min, q.Height.Min), max(p.Height.Max, q.Height.Max)},
		Roll:   max(p.Roll, q.Roll), K1: max(p.K1, q.K1), Centre: max(p.Centre, q.Centre), Scale: max(p.Scale, q.Scale),
		Flat: p.Flat || q.Flat,
	}
}

// slight reports whether a prior of this standard deviation adds little to a
// quantity that is known with this variance.
func slight(variance, sd float64) bool { return variance < float64(PriorShare)*sd*sd }

func (s solved) variance(i int) float64 { return math.Max(0, s.cov[i*s.n+i]) }

func (s solved) rollVariance() float64 {
	g, v := rollSlope(s.pose), 0.0
	for a := range 3 {
		for b := range 3 {
			v += g[a] * g[b] * s.cov[(atTurn+a)*s.n+atTurn+b]
		}
	}
	return math.Max(0, v)
}
