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
	// The two coordinates are marked with independent errors, so that each may
	// be taken in by itself.
	return p.learned(float64(sd), p.row(d.lens[0], d.turn[0], d.centre[0]), p.row(d.lens[1], d.turn[1], d.centre[1])), true
}

// SupposingOn does the same for one more mark on a line: of its place it tells what
// lies across the line's image. The second result is false for a mark near which
// the camera does not show the line.
func (p *Placing) SupposingOn(m LineMark) (*Placing, bool) {
	sd := m.SD
	if sd == 0 {
		sd = mark.DefaultSD
	}
	var d sensitivity
	f, ok := p.lens.plumb(p.pose, straight{at(m.A), at(m.B)}, m.At, &d)
	if !ok || !(sd > 0) {
		return nil, false
	}
	u, v := p.row(d.lens[0], d.turn[0], d.centre[0]), p.row(d.lens[1], d.turn[1], d.centre[1])
	for i := range u {
		u[i] = f.across[0]*u[i] + f.across[1]*v[i]
	}
	return p.learned(float64(sd), u), true
}

// learned is a copy of the camera that has learned numbers which answer to the
// fitted ones by these rows, each seen with this error.
func (p *Placing) learned(sd float64, rows ...[]float64) *Placing {
	out := *p
	out.cov = slices.Clone(p.cov)
	for _, row := range rows {
		out.learn(row, square(sd))
	}
	q := newPlacing(solved{lens: out.lens, pose: out.pose, at: out.at, cov: out.cov, n: out.n}, quantity.Ratio(out.scale))
	q.RMS, q.Residuals, q.Warnings, q.weight = p.RMS, p.Residuals, p.Warnings, p.weight
	return q
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
