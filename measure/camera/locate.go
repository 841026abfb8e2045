package camera

import (
	"fmt"

	"mesure/quantity"
)

// Locate returns the places of the sightings, all together: x, y and z in metres
// of the first, then of the second, and so on, 3n numbers with their full
// covariance to first order. Each lies on its line of sight where that meets the
// plane of action, moved back by its Off:
//
//	n·P = At0 + Off,  n = (−Slope, 1, 0),  P = C + d·(At0 + Off − n·C)/(n·d)
//
// The covariance holds the camera, the plane and the scale of the court, which
// all sightings share, and the mark and OffSD, which each has to itself; a
// distance between two of them must be carried through it. A plane fitted by
// FitPlane from this very placing is taken with its dependence on the camera.
//
// It refuses with ErrNotFinite, ErrSD, ErrOutside, ErrAlong and ErrBehind, naming
// the sighting by its number from 1, and returns no places then.
func (p *Placing) Locate(plane Plane, sightings []Sighting) (quantity.Joint, error) {
	k := len(sightings)
	// Numbers that vary: those of the camera, two of the plane, the scale; then
	// three for each sighting (u, v, off), which only touch their own rows.
	rows, m := 3*k, p.n+3
	shared := p.sharedWith(plane)
	jac := make([]float64, rows*m)
	mean := make([]float64, rows)
	apart := make([][3][3]float64, k) // covariance that each has to itself
	for i, g := range sightings {
		x, err := p.onPlane(plane, g)
		if err != nil {
			return quantity.Joint{}, fmt.Errorf("sighting %d: %w", i+1, err)
		}
		copy(mean[3*i:], x.at[:])
		p.spread(x, plane, jac[3*i*m:(3*i+3)*m], m)
		sd, off := g.sd(), g.offSD(ArmOffSD)
		for a := range 3 {
			for b := range 3 {
				apart[i][a][b] = sd*sd*(x.pixel[0][a]*x.pixel[0][b]+x.pixel[1][a]*x.pixel[1][b]) +
					off*off*x.offset[a]*x.offset[b]
			}
		}
	}
	j := quantity.Joint{Mean: make([]float64, m), Cov: shared}.Linear(jac, mean)
	for i, c := range apart {
		for a := range 3 {
			for b := range 3 {
				j.Cov[(3*i+a)*rows+3*i+b] += c[a][b]
			}
		}
	}
	return j, nil
}

// sharedWith is the covariance of what all sightings share: the camera, the two
// numbers of the plane, the scale of the court.
func (p *Placing) sharedWith(plane Plane) []float64 {
	own, m := p.n, p.n+3
	shared := make([]float64, m*m)
	for a := range own {
		copy(shared[a*m:a*m+own], p.cov[a*own:(a+1)*own])
	}
	plain := plane.own
	if plane.by != nil && plane.by != p {
		plain = plane.total()
	}
	for a := range 2 {
		for b := range 2 {
			shared[(own+a)*m+own+b] = plain[a][b]
		}
	}
	shared[(own+2)*m+own+2] = square(p.scale)
	return shared
}

// onPlane is where the line of sight of a sighting meets the plane of action.
func (p *Placing) onPlane(plane Plane, g Sighting) (crossing, error) {
	if err := g.checked(); err != nil {
		return crossing{}, err
	}
	s, ok := p.lens.sight(p.pose, g.At)
	if !ok {
		return crossing{}, ErrOutside
	}
	n := vec{-float64(plane.Slope.Mean), 1, 0}
	if nd := n.dot(s.dir); !(nd*nd > square(alongLimit)*s.dir.dot(s.dir)*n.dot(n)) {
		return crossing{}, ErrAlong
	}
	x := p.meet(s, n, float64(plane.At0.Mean)+float64(g.Off))
	if !(x.ahead > 0) {
		return crossing{}, ErrBehind
	}
	return x, nil
}

// alongLimit is the sine of the angle between line of sight and plane of action
// below which they do not meet in any useful sense: half a degree.
const alongLimit = 0.00872653549837

// spread writes the three rows of derivatives of a place by the shared numbers.
func (p *Placing) spread(x crossing, plane Plane, dst []float64, m int) {
	for k := range 3 {
		row := dst[k*m : (k+1)*m]
		x.fill(p, row, k)
		row[p.n] = x.offset[k]
		row[p.n+1] = x.offset[k] * x.at[0]
		row[p.n+2] = x.at[k]
		if plane.by == p {
			for a := range p.n {
				row[a] += x.offset[k] * (plane.of[0][a] + x.at[0]*plane.of[1][a])
			}
		}
	}
}

// total is the covariance of the plane with the part of the camera that it was
// fitted through.
func (pl Plane) total() [2][2]float64 {
	t := pl.own
	for i := range 2 {
		for k := range 2 {
			for a, x := range pl.of[i] {
				for b, y := range pl.of[k] {
					t[i][k] += x * y * pl.by.cov[a*pl.by.n+b]
				}
			}
		}
	}
	return t
}
