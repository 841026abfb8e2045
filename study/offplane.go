package study

import (
	"math"

	"mesure/quantity"
	"mesure/sport/bout"
	"mesure/sport/mark"
)

// Where the points of a fencer on guard lie beside the plane through the feet:
// how far towards the side of the weapon hand, and how much that varies. The
// trunk stands half turned, so the weapon arm works outside the line of the
// feet; the rear foot stands across it, its toe away from the weapon; the point
// comes back towards the opponent's line. Common practice and anatomy, no source.
const (
	// ShoulderOut is the weapon shoulder: half the breadth of the shoulders, 0.20 m,
	// seen under a trunk turned by about 30°.
	ShoulderOut quantity.Metres = 0.10
	// ShoulderOutSD is its spread.
	ShoulderOutSD quantity.Metres = 0.05
	// ElbowOut is the weapon elbow, outside the hip on guard.
	ElbowOut quantity.Metres = 0.14
	// ElbowOutSD is its spread.
	ElbowOutSD quantity.Metres = 0.08
	// GuardOut is the guard: in sixte it covers the outside line.
	GuardOut quantity.Metres = 0.12
	// GuardOutSD is its spread, from a parry of quarte to an open sixte.
	GuardOutSD quantity.Metres = 0.10
	// PointOut is the point.
	PointOut quantity.Metres = 0.06
	// PointOutSD is its spread.
	PointOutSD quantity.Metres = 0.12
	// TrunkOut is hip and front knee, on the side of the weapon.
	TrunkOut quantity.Metres = 0.05
	// TrunkOutSD is its spread, also that of the mask about the plane itself.
	TrunkOutSD quantity.Metres = 0.05
	// FrontFootOutSD is the spread of the front foot about the plane.
	FrontFootOutSD quantity.Metres = 0.03
	// RearFootOut is how far the rear heel lies to the side of the weapon and the
	// rear toe to the other, half the length of a foot that stands across.
	RearFootOut quantity.Metres = 0.11
	// RearFootOutSD is its spread.
	RearFootOutSD quantity.Metres = 0.05
)

// offPlane is where a point lies beside the plane of action, along y, and how
// sure that is. It needs the weapon hand; where that is not known the point may
// lie on either side and the spread is so much wider. A point that is named
// freely is taken as one of the arm.
func offPlane(w mark.What, s mark.Side, hand bout.Hand) (mean, sd quantity.Metres) {
	out, sd := outOf(w)
	switch hand {
	case bout.RightHand, bout.LeftHand:
		// The left fencer faces +x, so the right hand is on the side of −y; the
		// right fencer faces the other way.
		if (hand == bout.RightHand) == (s == mark.Left) {
			out = -out
		}
		return out, sd
	}
	return 0, quantity.Metres(math.Hypot(float64(out), float64(sd)))
}

func outOf(w mark.What) (out, sd quantity.Metres) {
	switch w {
	case mark.Point:
		return PointOut, PointOutSD
	case mark.Guard:
		return GuardOut, GuardOutSD
	case mark.Elbow:
		return ElbowOut, ElbowOutSD
	case mark.Shoulder:
		return ShoulderOut, ShoulderOutSD
	case mark.Mask:
		return 0, TrunkOutSD
	case mark.Hip, mark.FrontKnee:
		return TrunkOut, TrunkOutSD
	case mark.FrontToe, mark.FrontHeel:
		return 0, FrontFootOutSD
	case mark.RearHeel:
		return RearFootOut, RearFootOutSD
	case mark.RearToe:
		return -RearFootOut, RearFootOutSD
	}
	return 0, quantity.Metres(math.Hypot(float64(ElbowOut), float64(ElbowOutSD)))
}
