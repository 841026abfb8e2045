package camera

import (
	"fmt"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// Sighting is one mark of something that lies near the plane of action.
type Sighting struct {
	At mark.Pixel
	// SD is the marking error; zero means mark.DefaultSD.
	SD quantity.Pixels
	// Off is how far behind the plane of action the thing is expected to lie
	// (away from the camera), and OffSD the standard deviation of that; zero
	// means ArmOffSD in Locate and FeetOffSD in FitPlane.
	Off, OffSD quantity.Metres
}

func (s Sighting) sd() float64 {
	if s.SD == 0 {
		return mark.DefaultSD
	}
	return float64(s.SD)
}

func (s Sighting) offSD(usual quantity.Metres) float64 {
	if s.OffSD == 0 {
		return float64(usual)
	}
	return float64(s.OffSD)
}

func (s Sighting) checked() error {
	if !finite(s.At.U, s.At.V, float64(s.Off)) {
		return ErrNotFinite
	}
	if s.SD < 0 || s.OffSD < 0 || !finite(float64(s.SD), float64(s.OffSD)) {
		return ErrSD
	}
	return nil
}

// Plane is the plane of action, upright, y = At0 + Slope·x.
type Plane struct {
	// At0 is y where x = 0, and Slope the metres across per metre along.
	At0   quantity.Of[quantity.Metres]
	Slope quantity.Of[quantity.Ratio]
	// Warnings says what is doubtful about it.
	Warnings []Warning

	own [2][2]float64 // covariance without the camera's part
	by  *Placing      // the camera through which the feet were seen
	of  [2][]float64  // how the plane answers to that camera's numbers
}

// AxisPlane returns the plane over the long axis, as uncertain as it is before
// any foot is marked.
func AxisPlane() Plane { return PlaneAt(0) }

// PlaneAt returns the plane along x at this y, as uncertain as one that no foot
// mark fixes.
func PlaneAt(y quantity.Metres) Plane {
	return planeOf([2]float64{float64(y), 0}, [2][2]float64{{square(float64(PlaneSD)), 0}, {0, square(float64(SlopeSD))}}, nil, [2][]float64{})
}

func planeOf(m [2]float64, own [2][2]float64, by *Placing, of [2][]float64) Plane {
	p := Plane{own: own, by: by, of: of}
	v := [2]float64{own[0][0], own[1][1]}
	for k := range v {
		for a, x := range of[k] {
			for b, y := range of[k] {
				v[k] += x * y * by.cov[a*by.n+b]
			}
		}
	}
	p.At0 = quantity.Normal(quantity.Metres(m[0]), quantity.Metres(math.Sqrt(v[0])))
	p.Slope = quantity.Normal(quantity.Ratio(m[1]), quantity.Ratio(math.Sqrt(v[1])))
	return p
}

// footRounds bounds the rounds of reweighting the foot marks.
const footRounds = 40

// FitPlane finds the plane of action from marks on the soles of both fencers. A
// mark seen along the line C + λd and standing at height h ~ N(SoleHeight,
// SoleHeightSD²) lies at y(h); with the residual
//
//	e = y(h) − Off − At0 − Slope·x(h)
//
// the fit makes smallest −2 log of a Student law with FootTail degrees of freedom
// for each e, whose scale holds height, mark and OffSD, and of the priors
// At0 ~ N(0, PlaneSD²), Slope ~ N(0, SlopeSD²). A lifted foot, which reads far
// behind the plane, thereby loses its say instead of tilting it.
//
// Metres in the world frame. Without feet it returns AxisPlane and a warning.
// Marks that do not meet the floor are left out. The error is that of a mark
// which is not a number.
//
// Source: Lange, Little & Taylor, J. Am. Stat. Assoc. 84:881 (1989), for the
// Student law by reweighting.
func FitPlane(p *Placing, feet []Sighting) (Plane, error) {
	marks := make([]footMark, 0, len(feet))
	for i, f := range feet {
		if err := f.checked(); err != nil {
			return Plane{}, fmt.Errorf("foot mark %d: %w", i+1, err)
		}
		if m, ok := p.foot(f); ok {
			marks = append(marks, m)
		}
	}
	at0, slope := 0.0, 0.0
	var info [2][2]float64 // inverse covariance
	for range footRounds {
		info = [2][2]float64{{1 / square(float64(PlaneSD)), 0}, {0, 1 / square(float64(SlopeSD))}}
		var rhs [2]float64
		for _, m := range marks {
			e, v := m.residual(at0, slope)
			w := float64(FootTail+1) / (float64(FootTail) + e*e/v) / v
			info[0][0] += w
			info[0][1] += w * m.at[0]
			info[1][1] += w * m.at[0] * m.at[0]
			y := m.at[1] - m.off
			rhs[0] += w * y
			rhs[1] += w * y * m.at[0]
		}
		info[1][0] = info[0][1]
		det := info[0][0]*info[1][1] - info[0][1]*info[1][0]
		a := (info[1][1]*rhs[0] - info[0][1]*rhs[1]) / det
		b := (info[0][0]*rhs[1] - info[1][0]*rhs[0]) / det
		moved := math.Abs(a-at0) + math.Abs(b-slope)
		at0, slope = a, b
		if moved < 1e-9 {
			break
		}
	}
	pl := p.planeFrom(marks, at0, slope)
	if len(marks) < 2 {
		pl.Warnings = append(pl.Warnings, Warning{Code: CodeFewFeet, Doubt: float64(len(marks)),
			Text: fmt.Sprintf("the plane of action rests on %d foot marks and on the long axis of the piste: mark the feet of both fencers", len(marks))})
	}
	return pl, nil
}

// planeFrom returns the plane with its covariance and its answer to the camera.
func (p *Placing) planeFrom(marks []footMark, at0, slope float64) Plane {
	info := [2][2]float64{{1 / square(float64(PlaneSD)), 0}, {0, 1 / square(float64(SlopeSD))}}
	var of [2][]float64
	of[0], of[1] = make([]float64, p.n), make([]float64, p.n)
	type pull struct {
		w float64
		m footMark
	}
	var pulls []pull
	for _, m := range marks {
		e, v := m.residual(at0, slope)
		w := float64(FootTail+1) / (float64(FootTail) + e*e/v) / v
		info[0][0] += w
		info[0][1] += w * m.at[0]
		info[1][1] += w * m.at[0] * m.at[0]
		pulls = append(pulls, pull{w, m})
	}
	info[1][0] = info[0][1]
	det := info[0][0]*info[1][1] - info[0][1]*info[1][0]
	cov := [2][2]float64{{info[1][1] / det, -info[0][1] / det}, {-info[1][0] / det, info[0][0] / det}}
	for _, q := range pulls {
		for k := range p.n {
			de := (q.m.by[1][k] - slope*q.m.by[0][k]) * q.w
			of[0][k] += (cov[0][0] + cov[0][1]*q.m.at[0]) * de
			of[1][k] += (cov[1][0] + cov[1][1]*q.m.at[0]) * de
		}
	}
	return planeOf([2]float64{at0, slope}, cov, p, of)
}

// footMark is a mark on a sole, taken to the usual height of a sole.
type footMark struct {
	at     vec
	off    float64
	height [2]float64 // dx and dy per metre of height
	pixel  [2][2]float64
	sd     float64
	offSD  float64
	by     [2][]float64 // dx and dy by the camera's numbers
}

// foot is false where the line of sight does not come down to the floor.
func (p *Placing) foot(f Sighting) (footMark, bool) {
	s, ok := p.lens.sight(p.pose, f.At)
	if !ok || !(s.dir[2] < 0) || !(p.pose.centre[2] > float64(SoleHeight)) {
		return footMark{}, false
	}
	hit := p.meet(s, vec{0, 0, 1}, float64(SoleHeight))
	m := footMark{at: hit.at, off: float64(f.Off), sd: f.sd(), offSD: f.offSD(FeetOffSD)}
	for k := range 2 {
		m.height[k] = hit.offset[k]
		m.pixel[k] = [2]float64{hit.pixel[0][k], hit.pixel[1][k]}
		m.by[k] = make([]float64, p.n)
		hit.fill(p, m.by[k], k)
	}
	return m, finite(hit.at[0], hit.at[1])
}

// residual returns e and its variance at this plane.
func (m footMark) residual(at0, slope float64) (e, v float64) {
	e = m.at[1] - m.off - at0 - slope*m.at[0]
	h := m.height[1] - slope*m.height[0]
	a := m.pixel[1][0] - slope*m.pixel[0][0]
	b := m.pixel[1][1] - slope*m.pixel[0][1]
	return e, square(m.offSD) + square(h*float64(SoleHeightSD)) + (a*a+b*b)*square(m.sd)
}
