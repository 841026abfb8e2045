package timing

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"

	"mesure/quantity"
)

// The laws and the integral of this file are a route of their own to the numbers
// of a race: what the draws are held against where no closed form serves.

// TailedLaw is the law of a time that is the sum of a normal and an exponential
// part (ex-Gaussian), as reaction times are: quick ones pile up, slow ones trail.
// Mean and SD are those of the normal part, Tail is the mean of the exponential
// part. Tail zero is the normal law, SD zero a shifted exponential one.
//
// Source: Luce, Response Times, Oxford (1986), 3.2.
type TailedLaw struct{ Mean, SD, Tail quantity.Seconds }

// Of returns mean, standard deviation and the 95 % interval of the law.
func (l TailedLaw) Of() quantity.Of[quantity.Seconds] {
	return quantity.Of[quantity.Seconds]{
		Mean: l.Mean + l.Tail, SD: quantity.Seconds(math.Hypot(float64(l.SD), float64(l.Tail))),
		Lo: l.Quantile(0.025), Hi: l.Quantile(0.975),
	}
}

// Distribution returns the chance that the time does not exceed t.
func (l TailedLaw) Distribution(t quantity.Seconds) quantity.Chance {
	d, s, k := float64(t-l.Mean), float64(l.SD), float64(l.Tail)
	switch {
	case s == 0 && d < 0:
		return 0
	case s == 0 && k == 0:
		return 1
	case s == 0:
		return quantity.Chance(-math.Expm1(-d / k))
	case k == 0:
		return quantity.Chance(normalCDF(d / s))
	}
	return quantity.Chance(max(0, normalCDF(d/s)-tailTerm(d, s, k)))
}

// tailTerm is exp(σ²/2τ² − d/τ)·Φ(d/σ − σ/τ), τ times the density.
func tailTerm(d, s, k float64) float64 {
	z := d/s - s/k
	if z < -10 { // Φ(z) ≈ φ(z)/|z|; the product is φ(d/σ)/|z|, never 0·∞
		return math.Exp(-d*d/(2*s*s)) / (-z * math.Sqrt(2*math.Pi)) * (1 - 1/(z*z))
	}
	return math.Exp(s*s/(2*k*k)-d/k) * normalCDF(z)
}

// density returns the density at t, per second.
func (l TailedLaw) density(t float64) float64 {
	d, s, k := t-float64(l.Mean), float64(l.SD), float64(l.Tail)
	switch {
	case k == 0:
		return math.Exp(-d*d/(2*s*s)) / (s * math.Sqrt(2*math.Pi))
	case s == 0 && d < 0:
		return 0
	case s == 0:
		return math.Exp(-d/k) / k
	}
	return tailTerm(d, s, k) / k
}

// Quantile returns the time that the law does not exceed with the chance p. It
// panics unless 0 < p < 1.
func (l TailedLaw) Quantile(p quantity.Chance) quantity.Seconds {
	if !(p > 0 && p < 1) {
		panic("timing: a quantile needs a chance between 0 and 1")
	}
	lo, hi := l.span()
	for range 200 {
		mid := (lo + hi) / 2
		if l.Distribution(quantity.Seconds(mid)) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return quantity.Seconds((lo + hi) / 2)
}

// PromptLaw is the law of a reaction time whose reciprocal, the promptness, is
// normal with this mean and SD in 1/s (LATER): a decision that rises at a rate
// which varies from trial to trial.
//
// Source: Carpenter and Williams, Nature 377:59 (1995).
type PromptLaw struct{ Mean, SD quantity.Ratio }

// Distribution returns the chance that the time does not exceed t. It panics if
// SD is not positive.
func (l PromptLaw) Distribution(t quantity.Seconds) quantity.Chance {
	if !(l.SD > 0) {
		panic("timing: a law of promptness needs a spread")
	}
	if t <= 0 {
		return 0
	}
	return quantity.Chance(normalCDF(float64(l.Mean-quantity.Ratio(1/t)) / float64(l.SD)))
}

// Reach of the integration: what lies outside is below 10⁻¹⁵.
const (
	normalReach = 8.5 // standard deviations
	tailReach   = 36  // means of the exponential part
)

// span is the interval outside which nothing lies.
func (l TailedLaw) span() (lo, hi float64) {
	m, s, k := float64(l.Mean), float64(l.SD), float64(l.Tail)
	return m - normalReach*s, m + normalReach*s + tailReach*k
}

// Panels of the integration: with 16 Gauss–Legendre points each the rule is
// right to 10⁻¹² for panels no wider than the narrowest part of either law.
const (
	panelPoints = 16
	mostPanels  = 4000
)

// TailedRace is GaussianRace for arrivals with tails, independent of each other,
// by integration: LeftOnly = ∫ fR(t)·FL(t − window) dt, right to 10⁻¹⁰. It
// panics on a negative SD, tail or window, and on laws without any spread.
func TailedRace(left, right TailedLaw, window quantity.Seconds) Lamps {
	for _, l := range [2]TailedLaw{left, right} {
		if !(l.SD >= 0 && l.Tail >= 0 && l.SD+l.Tail > 0) || math.IsNaN(float64(l.Mean)) {
			panic("timing: a law of arrival needs a spread that is not negative")
		}
	}
	if !(window >= 0) {
		panic("timing: a window must not be negative")
	}
	l, r := earlier(left, right, window), earlier(right, left, window)
	return Lamps{
		LeftOnly: quantity.Chance(l), RightOnly: quantity.Chance(r),
		Both: quantity.Chance(max(0, 1-l-r)), LeftFirst: quantity.Chance(earlier(left, right, 0)),
	}
}

// earlier is the chance that a comes more than the window before b.
func earlier(a, b TailedLaw, window quantity.Seconds) float64 {
	lo, hi := b.span()
	width := math.Inf(1)
	for _, w := range [4]quantity.Seconds{a.SD, a.Tail, b.SD, b.Tail} {
		if w > 0 {
			width = min(width, float64(w))
		}
	}
	cuts := []float64{lo, hi}
	for _, t := range [2]float64{float64(b.Mean), float64(a.Mean + window)} { // kinks of a law without normal part
		if t > lo && t < hi {
			cuts = append(cuts, t)
		}
	}
	slices.Sort(cuts)
	sum := 0.0
	for i := 1; i < len(cuts); i++ {
		from, to := cuts[i-1], cuts[i]
		n := int(min(mostPanels, math.Ceil((to-from)/width)))
		for k := range n {
			x := from + (to-from)*float64(k)/float64(n)
			y := from + (to-from)*float64(k+1)/float64(n)
			sum += quad.Fixed(func(t float64) float64 {
				return b.density(t) * float64(a.Distribution(quantity.Seconds(t)-window))
			}, x, y, panelPoints, quad.Legendre{}, 0)
		}
	}
	return min(1, sum)
}
