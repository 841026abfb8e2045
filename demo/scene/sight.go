package scene

import (
	"image"
	"math"

	"mesure/quantity"
	"mesure/sport/mark"
)

// How many metres before a point something may be met and still be taken for what
// the point lies on (own estimates, no source).
const (
	sightSlack = 0.05
	// shoeSlack is for the own shoe, which is this wide: toe and heel lie on the
	// middle of its sole, and are seen where its tip and its back are seen.
	shoeSlack = 0.08
)

// Sight is one instant as one camera shows it, made ready to be asked what of it
// can be seen. Blades and wires are too thin to hide anything.
type Sight struct {
	cam      Camera
	figs     [2]Figure
	solids   [2][]Solid
	passers  []Solid
	graphics []image.Rectangle
}

// Sight returns what a shot shows at an instant.
func (f *Film) Sight(s *Shot, t quantity.Seconds) *Sight {
	v := &Sight{cam: f.Camera(s, t), figs: f.At(t), graphics: s.Graphics}
	for i := range v.figs {
		v.solids[i] = v.figs[i].Solids()
	}
	for _, p := range f.Passers {
		if p.Before() {
			v.passers = append(v.passers, p.Solids(t)...)
		}
	}
	return v
}

// Shows reports whether a point of interest can be seen: it lies in the picture,
// no graphic is laid over it, and the line from the camera to it meets no body
// part of either fencer, and nobody before the piste, more than 5 cm before it. A point inside a body part (the
// mask, the hip, the shoulder, the elbow, the knee) is not hidden by the parts that
// it joins, nor the guard by its own bell. It panics for a name that is not one of
// mark.Points.
func (v *Sight) Shows(s mark.Side, w mark.What) bool {
	p := v.figs[s].Of(w)
	return v.uncovered(p) && v.clear(p, s, w)
}

// ShowsFloor reports whether a place of the floor can be seen.
func (v *Sight) ShowsFloor(p Vec) bool { return v.uncovered(p) && v.clear(p, mark.Left, "") }

// uncovered reports whether a place lies in the picture and beside the graphics.
func (v *Sight) uncovered(p Vec) bool {
	at, ok := v.cam.Project(p)
	if !ok || at.U < 0 || at.V < 0 || at.U > Width-1 || at.V > Height-1 {
		return false
	}
	for _, g := range v.graphics {
		// A rectangle of pixels reaches half a pixel beyond their centres.
		if at.U > float64(g.Min.X)-0.5 && at.U < float64(g.Max.X)-0.5 && at.V > float64(g.Min.Y)-0.5 && at.V < float64(g.Max.Y)-0.5 {
			return false
		}
	}
	return true
}

// clear reports whether the line of sight to a place meets nothing but what the
// point w of s lies in.
func (v *Sight) clear(p Vec, s mark.Side, w mark.What) bool {
	for _, side := range mark.Sides {
		slack := strangers
		if side == s {
			slack = func(k *Solid) float64 { return slackOf(w, k) }
		}
		if hides(v.solids[side], v.cam.At, p, slack) {
			return false
		}
	}
	return !hides(v.passers, v.cam.At, p, strangers)
}

// strangers is the slack of everybody else's solids.
func strangers(*Solid) float64 { return sightSlack }

// slackOf is how far before a point a solid of its own fencer may be met.
func slackOf(w mark.What, k *Solid) float64 {
	switch {
	case owns(w, k):
		return math.Inf(1)
	case k.Part == Shoe && (k.Limb == limbFrontShank && (w == mark.FrontToe || w == mark.FrontHeel) ||
		k.Limb == limbRearShank && (w == mark.RearToe || w == mark.RearHeel)):
		return shoeSlack
	}
	return sightSlack
}

// hides reports whether any solid stands between the eye and a place, further before
// it than its slack.
func hides(solids []Solid, eye, p Vec, slack func(*Solid) float64) bool {
	q := p.Sub(eye)
	far := q.Len()
	d := q.Unit()
	for i := range solids {
		k := &solids[i]
		if t, _, ok := k.Hit(eye, d); ok && far-t > slack(k) {
			return true
		}
	}
	return false
}

// owns reports whether a point lies inside this solid of its own fencer, so that
// what is seen of the solid shows where the point is.
func owns(w mark.What, k *Solid) bool {
	steel := k.Part == Bell || k.Part == Grip
	switch w {
	case mark.Guard:
		return steel
	case mark.Mask:
		return k.Limb == limbHead && !steel
	case mark.Hip:
		return k.Limb == LimbTrunk || k.Limb == limbFrontThigh
	case mark.Shoulder:
		return k.Limb == LimbTrunk || k.Limb == limbWeaponUpper
	case mark.Elbow:
		return k.Limb == limbWeaponUpper || k.Limb == limbWeaponFore
	case mark.FrontKnee:
		return k.Limb == limbFrontThigh || k.Limb == limbFrontShank
	}
	return false
}
