package study

import (
	"mesure/quantity"
	"mesure/sport/mark"
)

// zone is a target as a solid: a capsule about the line between two places that follow
// from marks, or a ball where the two are one.
type zone struct {
	from, to []mark.Share
	radius   quantity.Of[quantity.Metres]
}

// WristShare is where the wrist lies from guard to elbow, as a share: the hand and half
// of the weapon's grip against the forearm behind it (common practice, no source).
const WristShare = 1.0 / 3

// zoneOf is the solid of a target. Forearm (0.06 m) and chest (0.20 m) are the
// half-widths that the trade reckons a parry with (common practice, no source; rows of
// parries against distance). The others are girths of grown people over 2π and 1 cm of
// cloth (recalled, not verified), a mask its half breadth; the spreads are ours and
// cover build and clothing.
func zoneOf(t mark.Target) zone {
	at := func(w mark.What) []mark.Share { return []mark.Share{{Of: w, Weight: 1}} }
	round := func(mean, sd quantity.Metres) quantity.Of[quantity.Metres] { return quantity.Normal(mean, sd) }
	wrist := []mark.Share{{Of: mark.Guard, Weight: 1 - WristShare}, {Of: mark.Elbow, Weight: WristShare}}
	switch t {
	case mark.Hand:
		return zone{at(mark.Guard), wrist, round(0.05, 0.01)}
	case mark.Forearm:
		return zone{wrist, at(mark.Elbow), round(0.06, 0.01)}
	case mark.UpperArm:
		return zone{at(mark.Elbow), at(mark.Shoulder), round(0.07, 0.01)}
	case mark.TargetMask:
		return zone{at(mark.Mask), at(mark.Mask), round(0.13, 0.01)}
	case mark.Chest:
		return zone{at(mark.Shoulder), at(mark.Hip), round(0.20, 0.03)}
	case mark.Thigh:
		return zone{at(mark.Hip), at(mark.FrontKnee), round(0.10, 0.015)}
	case mark.Knee:
		return zone{at(mark.FrontKnee), at(mark.FrontKnee), round(0.08, 0.01)}
	case mark.Foot:
		return zone{at(mark.FrontHeel), at(mark.FrontToe), round(0.06, 0.01)}
	}
	return zone{}
}

// in says whether the marks of one fencer carry the zone, and which is missing.
func (z zone) in(fig figure, of mark.Side) (missing mark.What, ok bool) {
	for _, end := range [2][]mark.Share{z.from, z.to} {
		for _, s := range end {
			if _, there := fig.index[of][s.Of]; !there {
				return s.Of, false
			}
		}
	}
	return "", len(z.from) > 0
}
