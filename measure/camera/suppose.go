package camera

import (
	"slices"
	"strings"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// Supposing returns this camera as sure as it would be if one more point of the
// floor were marked in the picture with error sd (0: mark.DefaultSD), where the
// camera says that it shows. Nothing is fitted: with J the answer of the pixel to
// the fitted numbers and R = sd²·I,
//
//	C' = C − C Jᵀ (J C Jᵀ + R)⁻¹ J C
//
// which is the covariance of a fit with that point, to first order; the fitted
// numbers themselves stay. Residuals and warnings are those of the camera as it
// is. The second result is false for a point that the camera does not show.
//
// Source: D. Simon, Optimal State Estimation (2006), equation 3.45.
func (p *Placing) Supposing(on piste.Place, sd quantity.Pixels) (*Placing, bool) {
	if sd == 0 {
		sd = mark.DefaultSD
	}
	var d sensitivity
	if _, ok := p.lens.project(p.pose, at(on), &d); !ok || !(sd > 0) {
		return nil, false
	}
	out := *p
	out.cov = slices.Clone(p.cov)
	// The two coordinates are marked with independent errors, so that each may
	// be taken in by itself.
	for axis := range 2 {
		out.learn(p.row(d.lens[axis], d.turn[axis], d.centre[axis]), square(float64(sd)))
	}
	q := newPlacing(solved{lens: out.lens, pose: out.pose, at: out.at, cov: out.cov, n: out.n}, quantity.Ratio(out.scale))
	q.RMS, q.Residuals, q.Warnings, q.weight = p.RMS, p.Residuals, p.Warnings, p.weight
	return q, true
}

// learn narrows the covariance by one number that answers to the fitted ones by
// this row and is seen with this variance.
func (p *Placing) learn(row []float64, variance float64) {
	n := p.n
	gain := make([]float64, n)
	total := variance
	for a := range n {
		for b := range n {
			gain[a] += p.cov[a*n+b] * row[b]
		}
		total += row[a] * gain[a]
	}
	for a := range n {
		for b := range n {
			p.cov[a*n+b] -= gain[a] * gain[b] / total
		}
		p.cov[a*n+a] = max(p.cov[a*n+a], 0)
	}
}

// Named returns the marks that a warning is about, one by one.
func (w Warning) Named() []string {
	if w.About == "" {
		return nil
	}
	return strings.Split(w.About, andBetween)
}
