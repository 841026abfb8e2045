package study

import (
	"testing"

	"mesure/sport/bout"
	"mesure/sport/mark"
)

// TestWeaponArmIsOnItsOwnSide holds the signs by what one sees: a right-hander
// who faces the camera's right shows the weapon arm on the camera's side
// (y < 0), and turns the toe of the rear foot away from it. It is the same fencer
// mirrored with the other hand, and on the other side.
func TestWeaponArmIsOnItsOwnSide(t *testing.T) {
	for _, c := range []struct {
		side mark.Side
		hand bout.Hand
		near bool
	}{
		{mark.Left, bout.RightHand, true}, {mark.Left, bout.LeftHand, false},
		{mark.Right, bout.RightHand, false}, {mark.Right, bout.LeftHand, true},
	} {
		for _, w := range []mark.What{mark.Shoulder, mark.Elbow, mark.Guard, mark.Point, mark.Hip, mark.RearHeel} {
			if y, _ := offPlane(w, c.side, c.hand); (y < 0) != c.near {
				t.Errorf("%v fencer, %s hand: %s at y %v of the plane", c.side, c.hand, w, y)
			}
		}
		if y, _ := offPlane(mark.RearToe, c.side, c.hand); (y > 0) != c.near {
			t.Errorf("%v fencer, %s hand: rear toe at y %v of the plane", c.side, c.hand, y)
		}
	}
}

// TestUnknownHandIsWider: without the hand the point may be on either side.
func TestUnknownHandIsWider(t *testing.T) {
	for _, w := range append(mark.Points(), "free") {
		known, sd := offPlane(w, mark.Left, bout.RightHand)
		mean, wide := offPlane(w, mark.Left, "")
		if mean != 0 || wide < sd || known != 0 && wide <= sd {
			t.Errorf("%s: %v ± %v without the hand, %v ± %v with it", w, mean, wide, known, sd)
		}
	}
}
