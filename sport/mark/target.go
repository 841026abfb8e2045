package mark

// Target is a part of the opponent that a fencer may aim at, as the trade
// divides the body.
type Target string

// The named targets, from the nearest to the furthest in the usual guard.
const (
	Hand       Target = "hand"
	Forearm    Target = "forearm"
	UpperArm   Target = "upper-arm"
	TargetMask Target = "mask"
	Chest      Target = "chest"
	Foot       Target = "foot"
	Knee       Target = "knee"
	Thigh      Target = "thigh"
)

// Targets lists the named targets in the order in which they are printed.
func Targets() []Target {
	return []Target{Hand, Forearm, UpperArm, TargetMask, Chest, Thigh, Knee, Foot}
}

// Share is the weight of one marked point in the place of a target.
type Share struct {
	Of     What
	Weight float64
}

// Made returns how the place of the target follows from marked points: a
// weighted mean whose weights sum to 1. The hand stands at the guard that
// covers it; forearm, upper arm and thigh are the middles of their segments;
// the chest lies on the line from shoulder to hip, a third of the way down
// (common practice, no source).
func (t Target) Made() []Share {
	switch t {
	case Hand:
		return []Share{{Guard, 1}}
	case Forearm:
		return []Share{{Guard, 0.5}, {Elbow, 0.5}}
	case UpperArm:
		return []Share{{Elbow, 0.5}, {Shoulder, 0.5}}
	case TargetMask:
		return []Share{{Mask, 1}}
	case Chest:
		return []Share{{Shoulder, 2.0 / 3}, {Hip, 1.0 / 3}}
	case Thigh:
		return []Share{{Hip, 0.5}, {FrontKnee, 0.5}}
	case Knee:
		return []Share{{FrontKnee, 1}}
	case Foot:
		return []Share{{FrontToe, 1}}
	}
	return nil
}
