package scene

import (
	"math"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// performer is one fencer with everything that moves over time. Lengths along
// the piste are counted forward, towards the opponent: x = dir·p.
type performer struct {
	side  mark.Side
	build Build
	dir   float64 // +1 for the left fencer, −1 for the right one
	out   float64 // sign of y on the side of the weapon arm

	frontX, rearX   track // of the ankle over the floor
	frontY, rearY   float64
	frontUp, rearUp []flight
	frontPitch      track // + raises the toe
	rearPitch       track // − raises the heel
	rearYaw         track // of the rear foot, from forward to inside

	pelvisX, pelvisY, pelvisZ track
	lean, roll                track // of the trunk: forward, and to the outside
	hipYaw, shoulderYaw       track // 0 is quite side-on
	handF, handO, handU       track // of the fist from the weapon shoulder: forward, outside, up
	elbowOut                  track // how far the elbow turns outside: 0 straight down
	bladeUp, bladeOut         track // direction of the blade
	restF, restO, restU       track // of the other hand from its shoulder
	nod                       track // of the mask
}

// flight is one foot off the floor.
type flight struct{ start, end, height float64 }

// Shares of the foot before and behind the ankle (common practice, no source).
const ankleShare = 0.25

// fullStretch is how straight a limb is allowed to become.
const fullStretch = 0.9985

// Nobody stands still on guard: the hips spring a little in the knees and the
// point swings against them (own estimate, no source).
const (
	bounceRate = 1.9    // a second
	bounceHigh = 0.0055 // metres
	bounceTurn = 0.012  // radians
)

// bounce is the phase of the spring in the knees, −1 to 1.
func (p *performer) bounce(t float64) float64 {
	return math.Sin(2*math.Pi*bounceRate*t + float64(p.side)*2.3)
}

// swing is by how much the point hangs below its key direction, in radians.
func (p *performer) swing(t float64) float64 { return bounceTurn * p.bounce(t) }

func newPerformer(side mark.Side, hand bout.Hand, stature, frontX, spread float64) *performer {
	p := &performer{side: side, build: buildOf(stature), dir: 1}
	if side == mark.Right {
		p.dir = -1
	}
	p.out = -p.dir
	if hand == bout.LeftHand {
		p.out = p.dir
	}
	s := stature
	p.frontX.base, p.rearX.base = frontX, frontX-spread
	p.frontY, p.rearY = 0.015*p.out, 0.055*p.out
	p.rearYaw.base = rad(64)
	p.pelvisX.base = frontX - 0.52*spread
	p.pelvisY.base = 0.02 * p.out
	p.pelvisZ.base = 0.443 * s
	p.lean.base, p.roll.base = rad(5), rad(3.5)
	p.restF.base, p.restO.base, p.restU.base = -0.165*s, -0.05, 0.075*s
	if side == mark.Right { // each sits in his own way
		p.roll.base = -rad(1)
		p.restF.base, p.restO.base, p.restU.base = -0.150*s, -0.10, 0.015*s
	}
	p.hipYaw.base, p.shoulderYaw.base = rad(38), rad(31)
	p.handF.base, p.handO.base, p.handU.base = 0.232*s, guardOut, -0.085*s
	p.elbowOut.base = 0.25
	p.bladeUp.base, p.bladeOut.base = rad(7), rad(-1)
	return p
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }

func (p *performer) fwd() Vec     { return Vec{p.dir, 0, 0} }
func (p *performer) outside() Vec { return Vec{0, p.out, 0} }

// local returns forward·f + outside·o + up·u.
func (p *performer) local(f, o, u float64) Vec { return Vec{p.dir * f, p.out * o, u} }

// aim returns the direction of these two angles: raised, and turned outside.
func (p *performer) aim(raised, outward float64) Vec {
	c := math.Cos(raised)
	return p.local(c*math.Cos(outward), c*math.Sin(outward), math.Sin(raised))
}

// angles is the inverse of aim.
func (p *performer) angles(d Vec) (raised, outward float64) {
	d = d.Unit()
	return math.Asin(d.Z), math.Atan2(d.Y*p.out, d.X*p.dir)
}

// foot lays a foot on the floor with its ankle over (x, y) when flat, then lifts
// it and turns it about the heel (pitch > 0) or about the toe (pitch < 0).
func (p *performer) foot(x, y, yaw, lift, pitch float64) Foot {
	b := p.build
	d := p.local(math.Cos(yaw), -math.Sin(yaw), 0)
	flat := Vec{x * p.dir, y, lift}
	f := d.Mul(math.Cos(pitch)).Add(up().Mul(math.Sin(pitch)))
	top := up().Mul(math.Cos(pitch)).Sub(d.Mul(math.Sin(pitch)))
	var heel, toe Vec
	if pitch >= 0 {
		heel = flat.Sub(d.Mul(ankleShare * b.Foot))
		toe = heel.Add(f.Mul(b.Foot))
	} else {
		toe = flat.Add(d.Mul((1 - ankleShare) * b.Foot))
		heel = toe.Sub(f.Mul(b.Foot))
	}
	return Foot{Heel: heel, Toe: toe, Ankle: heel.Add(f.Mul(ankleShare * b.Foot)).Add(top.Mul(b.AnkleHeight))}
}

// lifted returns the height of a foot in its flights; grounded is true outside
// all of them.
func lifted(fs []flight, t float64) (h float64, grounded bool) {
	grounded = true
	for _, f := range fs {
		if t > f.start && t < f.end {
			s := jerk((t - f.start) / (f.end - f.start))
			h += f.height * 4 * s * (1 - s)
			grounded = false
		}
	}
	return h, grounded
}

// rearFoot returns the rear foot with the heel raised as far as the leg needs
// to reach the hip.
func (p *performer) rearFoot(t float64, hip Vec) (Foot, bool) {
	lift, down := lifted(p.rearUp, t)
	x, y, yaw := p.rearX.at(t), p.rearY, p.rearYaw.at(t)
	leg := (p.build.Thigh + p.build.Shank) * fullStretch
	pitch := p.rearPitch.at(t)
	foot := p.foot(x, y, yaw, lift, pitch)
	if foot.Ankle.Sub(hip).Len() <= leg {
		return foot, down
	}
	lo, hi := rad(-75), pitch
	for range 40 {
		mid := (lo + hi) / 2
		foot = p.foot(x, y, yaw, lift, mid)
		if foot.Ankle.Sub(hip).Len() > leg {
			hi = mid
		} else {
			lo = mid
		}
	}
	return p.foot(x, y, yaw, lift, lo), down
}

// at returns the figure at an instant, its blade straight along the tracks.
func (p *performer) at(t float64) Figure {
	b := p.build
	f := Figure{Side: p.side, Build: b, Fwd: p.fwd(), Out: p.outside()}

	bounce := p.bounce(t)
	f.Pelvis = Vec{p.pelvisX.at(t) * p.dir, p.pelvisY.at(t), p.pelvisZ.at(t) + bounceHigh*bounce}
	hy := p.hipYaw.at(t)
	f.HipAxis = p.local(math.Cos(hy), math.Sin(hy), 0)
	f.FrontHip = f.Pelvis.Add(f.HipAxis.Mul(b.HipHalf))
	f.RearHip = f.Pelvis.Sub(f.HipAxis.Mul(b.HipHalf))

	var lift float64
	lift, f.FrontDown = lifted(p.frontUp, t)
	f.Front = p.foot(p.frontX.at(t), p.frontY, rad(2), lift, p.frontPitch.at(t))
	f.Rear, f.RearDown = p.rearFoot(t, f.RearHip)
	f.FrontKnee = ik2(f.FrontHip, f.Front.Ankle, b.Thigh, b.Shank, p.local(1, 0.06, 0.1))
	yaw := p.rearYaw.at(t)
	f.RearKnee = ik2(f.RearHip, f.Rear.Ankle, b.Thigh, b.Shank, p.local(math.Cos(yaw)-0.15, -math.Sin(yaw), 0.05))

	lean, roll := p.lean.at(t), p.roll.at(t)
	f.Spine = p.local(math.Sin(lean), math.Sin(roll), math.Cos(lean)*math.Cos(roll)).Unit()
	f.Neck = f.Pelvis.Add(f.Spine.Mul(b.Trunk))
	sy := p.shoulderYaw.at(t)
	f.Across = p.local(math.Cos(sy), math.Sin(sy), 0).across(f.Spine)
	f.Shoulder = f.Neck.Add(f.Across.Mul(b.ShoulderHalf))
	f.RearShld = f.Neck.Sub(f.Across.Mul(b.ShoulderHalf))

	nod := p.nod.at(t)
	f.Face = p.local(math.Cos(nod), 0, math.Sin(nod))
	neckUp := f.Spine.Mix(up(), 0.6).Unit()
	f.Mask = f.Neck.Add(neckUp.Mul(b.Neck + 0.52*b.Head)).Add(f.Face.Mul(0.018 * b.Stature))

	hand := f.Shoulder.Add(p.local(p.handF.at(t), p.handO.at(t), p.handU.at(t)))
	f.Hand = within(f.Shoulder, hand, (b.UpperArm+b.Forearm)*fullStretch)
	f.Elbow = ik2(f.Shoulder, f.Hand, b.UpperArm, b.Forearm, p.local(-0.15, p.elbowOut.at(t), -1))
	f.Wrist = f.Elbow.Add(f.Hand.Sub(f.Elbow).Unit().Mul(b.Wrist))

	rest := f.RearShld.Add(p.local(p.restF.at(t), p.restO.at(t), p.restU.at(t)))
	f.RearHand = within(f.RearShld, rest, (b.UpperArm+b.Forearm)*fullStretch)
	f.RearElbow = ik2(f.RearShld, f.RearHand, b.UpperArm, b.Forearm, p.local(-0.8, 0.35, -0.75))
	f.RearWrist = f.RearElbow.Add(f.RearHand.Sub(f.RearElbow).Unit().Mul(b.Wrist))

	f.Blade = p.aim(p.bladeUp.at(t)-p.swing(t), p.bladeOut.at(t))
	f.Guard = f.Hand.Add(f.Blade.Mul(GripToGuard))
	f.Tip = f.Guard.Add(f.Blade.Mul(BladeLength))
	return f
}

// within returns c, drawn towards a where it lies further than r.
func within(a, c Vec, r float64) Vec {
	d := c.Sub(a)
	if n := d.Len(); n > r {
		return a.Add(d.Mul(r / n))
	}
	return c
}
