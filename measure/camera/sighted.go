package camera

import (
	"math"

	"mesure/quantity"
)

// Sighted is a place on the plane of action, taken apart by where its error comes
// from, for points that are followed from frame to frame: what belongs to the frame
// alone averages out over frames, what frames share does not.
type Sighted struct {
	// At is x, y and z in metres.
	At [3]float64
	// Own is the covariance by the marking error.
	Own [3][3]float64
	// Off is the move of the place for one standard deviation of its distance from
	// the plane of action.
	Off [3]float64
	// Shared has one column for each error that all points and, nearly, all frames of
	// a take share (camera, plane, scale of the court): the move of the place for one
	// standard deviation of it. Own + Off·Offᵀ + Σ Shared·Sharedᵀ is the covariance
	// that Locate gives.
	Shared [][3]float64
}

// Sighter locates many sightings through one camera and one plane of action. It does
// not change once made.
type Sighter struct {
	p     *Placing
	plane Plane
	root  []float64 // of what all sightings share
}

// Sighter returns one for this camera.
func (p *Placing) Sighter(plane Plane) *Sighter {
	m := p.n + 3
	return &Sighter{p, plane, quantity.Joint{Mean: make([]float64, m), Cov: p.sharedWith(plane)}.Root()}
}

// Sighted locates one sighting as Locate does. It refuses with ErrNotFinite, ErrSD,
// ErrOutside, ErrAlong and ErrBehind.
func (s *Sighter) Sighted(g Sighting) (Sighted, error) {
	p, root := s.p, s.root
	x, err := p.onPlane(s.plane, g)
	if err != nil {
		return Sighted{}, err
	}
	m := p.n + 3
	jac := make([]float64, 3*m)
	p.spread(x, s.plane, jac, m)
	out := Sighted{At: x.at, Shared: make([][3]float64, m)}
	for c := range m {
		for k := range 3 {
			for i := c; i < m; i++ { // the root is lower triangular
				out.Shared[c][k] += jac[k*m+i] * root[i*m+c]
			}
		}
	}
	sd, off := g.sd(), g.offSD(ArmOffSD)
	for a := range 3 {
		out.Off[a] = off * x.offset[a]
		for b := range 3 {
			out.Own[a][b] = sd * sd * (x.pixel[0][a]*x.pixel[0][b] + x.pixel[1][a]*x.pixel[1][b])
		}
	}
	return out, nil
}

// MeanPlane is the plane of action over several frames of a take: the mean of theirs,
// weighted by how sure each is. The camera's error is in all of them alike, so that
// the mean is no surer than the surest of them. It is AxisPlane where there are none.
func MeanPlane(planes []Plane) Plane {
	if len(planes) == 0 {
		return AxisPlane()
	}
	var sum, weight [2]float64
	best := 0
	for i, p := range planes {
		t := p.total()
		if t[0][0] < planes[best].total()[0][0] {
			best = i
		}
		for k, v := range [2]float64{float64(p.At0.Mean), float64(p.Slope.Mean)} {
			w := 1 / math.Max(t[k][k], 1e-12)
			sum[k] += w * v
			weight[k] += w
		}
	}
	return planeOf([2]float64{sum[0] / weight[0], sum[1] / weight[1]}, planes[best].total(), nil, [2][]float64{})
}

// Across is y of the plane at a place along the piste.
func (pl Plane) Across(x float64) float64 {
	return float64(pl.At0.Mean) + float64(pl.Slope.Mean)*x
}
