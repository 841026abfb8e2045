package camera

import (
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
	"mesure/sport/piste"
)

// Placing is the camera of one picture. It does not change once made.
type Placing struct {
	// Focal length in pixels; its interval follows the law of its logarithm.
	Focal quantity.Of[quantity.Pixels]
	// Position of the camera in the world frame.
	Position [3]quantity.Of[quantity.Metres]
	// Roll is the angle between the picture's horizontal axis and the floor.
	Roll quantity.Of[quantity.Radians]
	// K1 is the radial distortion; nil where it was not fitted.
	K1 *quantity.Of[quantity.Ratio]
	// RMS is the root mean square distance between marks and fitted points or
	// lines, all marks alike.
	RMS       quantity.Pixels
	Residuals []Residual
	Warnings  []Warning

	lens   optics
	pose   pose
	at     [lensCount]int
	cov    []float64
	n      int
	scale  float64
	weight []float64 // of each point, as a factor of its residual
}

// Residual is how far one mark lies from where the camera puts its point or line.
// Those of the points come first, then those of the line marks, in order.
type Residual struct {
	// Name of the point, or "on" and the name of the line.
	Name string
	At   mark.Pixel
	// Fitted is where the camera puts the point, or the place of the line that
	// shows nearest to the mark.
	Fitted mark.Pixel
	// Off is the distance between the two, and Share its ratio to what the
	// marking noise leads one to expect of a mark in this position.
	Off   quantity.Pixels
	Share quantity.Ratio
}

// newPlacing states a fitted camera as quantities.
func newPlacing(s solved, scale quantity.Ratio) *Placing {
	p := &Placing{lens: s.lens, pose: s.pose, at: s.at, cov: s.cov, n: s.n, scale: float64(scale)}
	sd := func(i int) float64 { return math.Sqrt(math.Max(0, s.cov[i*s.n+i])) }
	f, sf := s.lens.Fx, sd(atFocal)
	// A camera that sees the floor all but edge-on leaves its focal length open by more
	// than a number can hold.
	wide := min(normal975*sf, farthestLog)
	p.Focal = quantity.Of[quantity.Pixels]{Mean: quantity.Pixels(f), SD: quantity.Pixels(f * sf),
		Lo: quantity.Pixels(f * math.Exp(-wide)), Hi: quantity.Pixels(f * math.Exp(wide))}
	for k := range 3 {
		c := s.pose.centre[k]
		p.Position[k] = quantity.Normal(quantity.Metres(c), quantity.Metres(math.Hypot(sd(atCentre+k), c*p.scale)))
	}
	p.Roll = quantity.Normal(quantity.Radians(s.pose.roll()), quantity.Radians(math.Sqrt(s.rollVariance())))
	if i := s.at[lensK1]; i != fixed {
		k := quantity.Normal(quantity.Ratio(s.lens.K1), quantity.Ratio(sd(i)))
		p.K1 = &k
	}
	return p
}

// Lens returns the fitted lens.
func (p *Placing) Lens() Lens { return p.lens.stated() }

// Axes returns the camera's axes in the world frame: right, down and forward in
// the picture, each of length 1.
func (p *Placing) Axes() [3]piste.Place {
	return [3]piste.Place{p.pose.turn[0].place(), p.pose.turn[1].place(), p.pose.turn[2].place()}
}

// Covariance returns the fitted numbers with their covariance, in this order: the
// logarithm of the focal length in pixels, a small turn of the camera about its
// own axes (right, down, forward; radians, mean 0), the place in metres, and,
// where they were fitted, the principal point in pixels and k1. The scale of the
// court is not in it.
func (p *Placing) Covariance() quantity.Joint {
	mean := make([]float64, p.n)
	mean[atFocal] = math.Log(p.lens.Fx)
	copy(mean[atCentre:], p.pose.centre[:])
	for k, v := range [lensCount]float64{lensCx: p.lens.Cx, lensCy: p.lens.Cy, lensK1: p.lens.K1} {
		if i := p.at[k]; i != fixed {
			mean[i] = v
		}
	}
	return quantity.NewJoint(mean, p.cov)
}

// residuals fills RMS and Residuals.
func (p *Placing) residuals(pts []Point) {
	sum := 0.0
	for _, pt := range pts {
		if pt.line != nil {
			r := p.lineResidual(pt)
			sum += square(float64(r.Off))
			p.Residuals = append(p.Residuals, r)
			continue
		}
		px, sd2 := p.expected(at(pt.On))
		off := math.Hypot(px.U-pt.At.U, px.V-pt.At.V)
		sum += off * off
		// A fitted point has pulled the camera towards it: what is left is less
		// than the noise by the uncertainty of the fitted camera there.
		noise := 2 * square(pt.sd())
		left := math.Sqrt(math.Max(noise-sd2, noise/100))
		p.Residuals = append(p.Residuals, Residual{Name: pt.label(), At: pt.At, Fitted: px,
			Off: quantity.Pixels(off), Share: quantity.Ratio(off / left)})
	}
	if len(pts) > 0 {
		p.RMS = quantity.Pixels(math.Sqrt(sum / float64(len(pts))))
	}
}

// expected is where a point shows, and the variance of that, both axes together.
func (p *Placing) expected(x vec) (mark.Pixel, float64) {
	var d sensitivity
	px, ok := p.lens.project(p.pose, x, &d)
	if !ok {
		return px, 0
	}
	sum := 0.0
	for axis := range 2 {
		row := p.row(d.lens[axis], d.turn[axis], d.centre[axis])
		for a, va := range row {
			for b, vb := range row {
				sum += va * vb * p.cov[a*p.n+b]
			}
		}
	}
	return px, sum
}

// row spreads derivatives by the camera over the fitted numbers.
func (p *Placing) row(lens [lensCount]float64, turn, centre vec) []float64 {
	out := make([]float64, p.n)
	out[atFocal] = lens[lensFx]*p.lens.Fx + lens[lensFy]*p.lens.Fy
	copy(out[atTurn:], turn[:])
	copy(out[atCentre:], centre[:])
	for k, i := range p.at {
		if i != fixed {
			out[i] = lens[k]
		}
	}
	return out
}

// doubts warns of what the camera itself makes doubtful.
func (p *Placing) doubts(pts []Point) []Warning {
	var ws []Warning
	sight := middle(p.standing(pts)).minus(p.pose.centre)
	angle := quantity.Radians(math.Asin(clamp(-sight[2]/sight.norm(), -1, 1)))
	if angle < GrazingAngle {
		ws = append(ws, Warning{Code: CodeGrazing, Doubt: degrees(angle),
			Text: fmt.Sprintf("the camera looks along the floor, %.1f° above it, so that places across the piste are uncertain: film from higher up", degrees(angle))})
	}
	if rel := p.Focal.SD / p.Focal.Mean; quantity.Ratio(rel) > FocalWeak {
		ws = append(ws, Warning{Code: CodeFocal, Doubt: float64(rel),
			Text: fmt.Sprintf("the picture hardly shows the focal length (± %.0f %%), so that the prior decides it: add points nearer and farther away", 100*float64(rel))})
	}
	if right := p.pose.turn[0][0]; right < 0 {
		ws = append(ws, Warning{Code: CodeTurned, Doubt: right,
			Text: "x runs to the camera's left, so that the camera would stand on the far side: exchange left and right as well as near and far in the labels"})
	}
	if math.Abs(float64(p.Roll.Mean)) > 3*float64(RollSD) {
		ws = append(ws, Warning{Code: CodeRoll, Doubt: degrees(p.Roll.Mean),
			Text: fmt.Sprintf("the camera would be rolled by %.0f°: check the labels, unless it was held so", degrees(p.Roll.Mean))})
	}
	return ws
}

// Project returns where a place shows in the picture. The second result is false
// for a place that is not before the camera, or so far out that the fitted
// distortion no longer holds.
func (p *Placing) Project(x piste.Place) (mark.Pixel, bool) {
	return p.lens.project(p.pose, at(x), nil)
}

// Floor returns x and y in metres of the point of the floor that shows at px,
// marked with error sd (0: without error), with their covariance to first order:
//
//	P = C − d·C_z/d_z,  d the line of sight
//
// The covariance holds the camera, the mark and the scale of the court. It is
// for points that stand on the floor; a raised one belongs to Locate. It refuses
// pixels above the horizon, or less than HorizonSDs marking errors below it,
// with ErrHorizon.
func (p *Placing) Floor(px mark.Pixel, sd quantity.Pixels) (quantity.Joint, error) {
	if !finite(px.U, px.V, float64(sd)) {
		return quantity.Joint{}, ErrNotFinite
	}
	s, ok := p.lens.sight(p.pose, px)
	if !ok {
		return quantity.Joint{}, ErrOutside
	}
	margin := float64(HorizonSDs*quantity.Ratio(sd)) * math.Hypot(s.pixel[0][2], s.pixel[1][2])
	if !(s.dir[2]+margin < 0) || !(p.pose.centre[2] > 0) {
		return quantity.Joint{}, ErrHorizon
	}
	hit := p.meet(s, vec{0, 0, 1}, 0)
	n := p.n + 3
	rows := make([]float64, 2*n)
	for k := range 2 {
		hit.fill(p, rows[k*n:(k+1)*n], k)
		rows[k*n+p.n], rows[k*n+p.n+1], rows[k*n+p.n+2] = hit.pixel[0][k], hit.pixel[1][k], hit.at[k]
	}
	j := quantity.Stack(p.Covariance(), quantity.Independent([]float64{0, 0, 0}, []float64{float64(sd), float64(sd), p.scale})).Linear(rows, nil)
	j.Mean[0], j.Mean[1] = hit.at[0], hit.at[1]
	return j, nil
}

// crossing is where a line of sight meets a plane n·P = c, and how that answers
// to the camera, to the pixel and to c.
type crossing struct {
	at     vec
	ahead  float64 // along the line of sight, in units of its direction
	lens   [lensCount]vec
	turn   [3]vec
	centre [3]vec
	pixel  [2]vec
	offset vec
}

// meet intersects a line of sight with the plane n·P = c.
func (p *Placing) meet(s sightline, n vec, c float64) crossing {
	nd := n.dot(s.dir)
	x := crossing{ahead: (c - n.dot(p.pose.centre)) / nd}
	x.at = p.pose.centre.plus(s.dir.times(x.ahead))
	// A change of the line moves the crossing along the plane: what leaves the
	// plane is taken back along the line.
	along := func(v vec) vec { return v.minus(s.dir.times(n.dot(v) / nd)) }
	for k, v := range s.lens {
		x.lens[k] = along(v.times(x.ahead))
	}
	for k := range 3 {
		var e vec
		e[k] = 1
		x.turn[k] = along(s.turn[k].times(x.ahead))
		x.centre[k] = along(e)
	}
	for k, v := range s.pixel {
		x.pixel[k] = along(v.times(x.ahead))
	}
	x.offset = s.dir.times(1 / nd)
	return x
}

// fill writes the derivatives of coordinate k by the fitted numbers.
func (x crossing) fill(p *Placing, dst []float64, k int) {
	dst[atFocal] = x.lens[lensFx][k]*p.lens.Fx + x.lens[lensFy][k]*p.lens.Fy
	for a := range 3 {
		dst[atTurn+a] = x.turn[a][k]
		dst[atCentre+a] = x.centre[a][k]
	}
	for a, i := range p.at {
		if i != fixed {
			dst[i] = x.lens[a][k]
		}
	}
}

// farthestLog is where the interval of a focal length ends at the latest, as the logarithm
// of its ratio to the mean: 10²⁶ times.
const farthestLog = 60
