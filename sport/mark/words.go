package mark

// Word says a point of interest in words that stand after "the"; any other name
// as it is.
func (w What) Word() string {
	switch w {
	case Elbow, Shoulder:
		return "weapon " + string(w)
	case FrontKnee:
		return "front knee"
	case FrontToe:
		return "front toe"
	case FrontHeel:
		return "front heel"
	case RearToe:
		return "rear toe"
	case RearHeel:
		return "rear heel"
	}
	return string(w)
}

// About says in one sentence where the mark is set; empty for a free name.
func (w What) About() string {
	switch w {
	case Point:
		return "The tip of the blade."
	case Guard:
		return "The middle of the guard; it stands for the hand behind it."
	case Elbow:
		return "The elbow of the weapon arm."
	case Shoulder:
		return "The shoulder of the weapon arm, at the joint."
	case Mask:
		return "The middle of the mesh."
	case Hip:
		return "The hip on the side of the weapon, at the joint."
	case FrontKnee:
		return "The front of the front knee."
	case FrontToe:
		return "The sole under the toes of the front foot, where it meets the floor."
	case FrontHeel:
		return "The sole under the heel of the front foot."
	case RearToe:
		return "The sole under the toes of the rear foot."
	case RearHeel:
		return "The sole under the heel of the rear foot."
	}
	return ""
}

// Word says a target in words that stand after "the".
func (t Target) Word() string {
	if t == UpperArm {
		return "upper arm"
	}
	return string(t)
}
