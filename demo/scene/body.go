package scene

import (
	"mesure/quantity"
	"mesure/sport/mark"
)

// Segment lengths as shares of the stature (Drillis & Contini 1964, as printed
// in Winter, Biomechanics and Motor Control of Human Movement).
const (
	shareUpperArm    = 0.186
	shareForearm     = 0.146
	shareHand        = 0.108
	shareThigh       = 0.245
	shareShank       = 0.246
	shareFoot        = 0.152
	shareAnkleHeight = 0.039
	shareTrunk       = 0.288 // hip to shoulder
	shareNeck        = 0.052
	shareHead        = 0.130
	// shareShoulders and shareHips are half the distance between the joint
	// centres (recalled, no table at hand).
	shareShoulders = 0.112
	shareHips      = 0.050
)

// Weapon and grip, in metres.
const (
	// BladeLength is the greatest legal length of the blade (FIE material rules:
	// 90 cm for épée).
	BladeLength = 0.90
	// GripToGuard is how far the guard stands before the middle of the fist: an
	// orthopaedic grip (common practice, no source).
	GripToGuard = 0.06
	// GuardRadius is half the width of the gauge that the guard must pass
	// (FIE material rules: 13.5 cm).
	GuardRadius = 0.0675
	// GuardDepth lies between the 3 and 5.5 cm of the rules.
	GuardDepth = 0.042
)

// Build is the body of one fencer: every length in metres.
type Build struct {
	Stature                                  float64
	UpperArm, Forearm                        float64 // Forearm reaches to the middle of the fist
	Wrist                                    float64 // elbow to wrist
	Thigh, Shank, Foot, AnkleHeight          float64
	Trunk, Neck, Head, ShoulderHalf, HipHalf float64
}

// buildOf returns the body of this stature.
func buildOf(stature float64) Build {
	return Build{
		Stature:  stature,
		UpperArm: shareUpperArm * stature,
		Forearm:  (shareForearm + shareHand/2) * stature,
		Wrist:    shareForearm * stature,
		Thigh:    shareThigh * stature, Shank: shareShank * stature,
		Foot: shareFoot * stature, AnkleHeight: shareAnkleHeight * stature,
		Trunk: shareTrunk * stature, Neck: shareNeck * stature, Head: shareHead * stature,
		ShoulderHalf: shareShoulders * stature, HipHalf: shareHips * stature,
	}
}

// Reach returns the distance from the weapon shoulder to the point with the arm
// straight.
func (b Build) Reach() quantity.Metres {
	return quantity.Metres(b.UpperArm + b.Forearm + GripToGuard + BladeLength)
}

// Foot is one foot: its heel, its toe and the ankle above it.
type Foot struct{ Heel, Toe, Ankle Vec }

// Figure is one fencer at one instant.
type Figure struct {
	Side  mark.Side
	Build Build
	// Fwd looks to the opponent and Out to the side of the weapon arm, both
	// level.
	Fwd, Out Vec

	Front, Rear         Foot
	FrontKnee, RearKnee Vec
	FrontHip, RearHip   Vec
	Pelvis, Neck        Vec
	Shoulder, RearShld  Vec
	Elbow, Hand, Wrist  Vec
	RearElbow, RearHand Vec
	RearWrist           Vec
	Mask                Vec
	Guard, Tip          Vec
	// Blade is the direction in which the blade leaves the guard; Bow is how far
	// the middle of a bent blade stands off the line from guard to point.
	Blade, Bow Vec
	// Spine points from the pelvis to the neck, Across from the rear to the front
	// shoulder, HipAxis from the rear to the front hip, Face where the mask looks.
	Spine, Across, HipAxis, Face Vec
	// FrontDown and RearDown say that the foot carries weight: its heel (front)
	// or its toe (rear) stands still on the floor.
	FrontDown, RearDown bool
}

// Of returns where a point of interest is. It panics for a name that is not one
// of mark.Points.
func (f *Figure) Of(w mark.What) Vec {
	switch w {
	case mark.Point:
		return f.Tip
	case mark.Guard:
		return f.Guard
	case mark.Elbow:
		return f.Elbow
	case mark.Shoulder:
		return f.Shoulder
	case mark.Mask:
		return f.Mask
	case mark.Hip:
		return f.FrontHip
	case mark.FrontKnee:
		return f.FrontKnee
	case mark.FrontToe:
		return f.Front.Toe
	case mark.FrontHeel:
		return f.Front.Heel
	case mark.RearToe:
		return f.Rear.Toe
	case mark.RearHeel:
		return f.Rear.Heel
	}
	panic("scene: no point is named " + string(w))
}

// TargetPlace returns the true place of a target: the weights of
// mark.Target.Made on the true joints.
func (f *Figure) TargetPlace(t mark.Target) Vec {
	var p Vec
	for _, s := range t.Made() {
		p = p.Add(f.Of(s.Of).Mul(s.Weight))
	}
	return p
}

// Mass shares for the centre of mass (Winter's table after Dempster, recalled):
// trunk with head and neck, one whole arm, one thigh, one shank with foot.
const (
	massTrunk = 0.578
	massArm   = 0.050
	massThigh = 0.100
	massShank = 0.061
)

// CentreOfMass returns the centre of mass from the joints.
func (f *Figure) CentreOfMass() Vec {
	trunk := f.Pelvis.Mix(f.Neck, 0.66)
	sum := trunk.Mul(massTrunk)
	sum = sum.Add(f.Shoulder.Mix(f.Hand, 0.5).Mul(massArm)).Add(f.RearShld.Mix(f.RearHand, 0.5).Mul(massArm))
	sum = sum.Add(f.FrontHip.Mix(f.FrontKnee, 0.43).Mul(massThigh)).Add(f.RearHip.Mix(f.RearKnee, 0.43).Mul(massThigh))
	sum = sum.Add(f.FrontKnee.Mix(f.Front.Ankle, 0.6).Mul(massShank)).Add(f.RearKnee.Mix(f.Rear.Ankle, 0.6).Mul(massShank))
	return sum
}

// ReachOf returns the reach of a fencer of this stature: from the weapon
// shoulder to the point with the arm straight.
func ReachOf(stature quantity.Metres) quantity.Metres {
	return buildOf(float64(stature)).Reach()
}

// Joint is one joint by its name.
type Joint struct {
	Name string
	At   Vec
}

// Joints returns the joints and places that are not points of interest, from
// the foot upwards.
func (f *Figure) Joints() []Joint {
	return []Joint{
		{"front-ankle", f.Front.Ankle}, {"rear-ankle", f.Rear.Ankle},
		{"rear-knee", f.RearKnee}, {"rear-hip", f.RearHip}, {"pelvis", f.Pelvis},
		{"neck", f.Neck}, {"rear-shoulder", f.RearShld}, {"rear-elbow", f.RearElbow}, {"rear-hand", f.RearHand},
		{"wrist", f.Wrist}, {"hand", f.Hand}, {"centre-of-mass", f.CentreOfMass()},
	}
}
