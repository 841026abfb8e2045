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
	// behind is how far the middle lies behind the marks, away from the attacker; inPlane
	// says that it lies on the plane of action and not beside it, as the marks do.
	behind  quantity.Metres
	inPlane bool
}

// TrunkBehind is how far the middle of the trunk lies behind the line from the weapon
// shoulder to the hip, away from the opponent: the part along the piste of half the
// breadth of shoulders and pelvis, 0.20 and 0.16 m, under a trunk that is turned as
// ShoulderOut has it, by 30° (anatomy, no source).
const TrunkBehind = quantity.Metres(0.15)

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
		return zone{from: at(mark.Guard), to: wrist, radius: round(0.05, 0.01)}
	case mark.Forearm:
		return zone{from: wrist, to: at(mark.Elbow), radius: round(0.06, 0.01)}
	case mark.UpperArm:
		return zone{from: at(mark.Elbow), to: at(mark.Shoulder), radius: round(0.07, 0.01)}
	case mark.TargetMask:
		return zone{from: at(mark.Mask), to: at(mark.Mask), radius: round(0.13, 0.01)}
	case mark.Chest:
		return zone{from: at(mark.Shoulder), to: at(mark.Hip), radius: round(0.20, 0.03), behind: TrunkBehind, inPlane: true}
	case mark.Thigh:
		return zone{from: at(mark.Hip), to: at(mark.FrontKnee), radius: round(0.10, 0.015)}
	case mark.Knee:
		return zone{from: at(mark.FrontKnee), to: at(mark.FrontKnee), radius: round(0.08, 0.01)}
	case mark.Foot:
		return zone{from: at(mark.FrontHeel), to: at(mark.FrontToe), radius: round(0.06, 0.01)}
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

// moved is how far the ends of the zone lie from what follows from the marks, in the
// world frame: heads is the direction in which the attacker looks, 1 or −1.
func (z zone) moved(t *Touch, attacker mark.Side, heads float64) (by [2][3]float64) {
	d := attacker.Other()
	for i, end := range [2][]mark.Share{z.from, z.to} {
		by[i][0] = heads * float64(z.behind)
		if !z.inPlane {
			continue
		}
		for _, s := range end {
			off, _ := offPlane(s.Of, d, t.Bout.Fencer(d).Hand)
			by[i][1] -= s.Weight * float64(off)
		}
	}
	return by
}
