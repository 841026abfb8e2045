package timing

import (
	"math"
	"testing"

	"mesure/quantity"
)

// T16 (common practice; the guard passes a gauge of 13.5 cm by the equipment rules): a
// straight central line meets the guard, an angulated one reaches the wrist behind it.
// In space: the line through the edge of the disc against the wrist's sphere.
func TestTradeAngulation(t *testing.T) {
	const guard, wrist, behind = .0675, .03, .10
	least, err := Angulation(guard, wrist, behind)
	if err != nil {
		t.Fatal(err)
	}
	hits := func(angle float64) bool { // past the edge, does it come within the wrist's radius of the axis there?
		u := vec{math.Cos(angle), 0, -math.Sin(angle)}
		s, _, _ := nearestOfLines(vec{0, 0, guard}, u, math.Inf(1), vec{behind, -1, 0}, vec{0, 2, 0})
		at := vec{0, 0, guard}.at(behind/u.x, u)
		return s > 0 && at.z <= wrist+1e-12
	}
	if a := float64(least); !hits(a+1e-9) || hits(a-1e-6) || hits(0) || math.Abs(a*180/math.Pi-20.56) > .01 {
		t.Errorf("least angle %v°", a*180/math.Pi)
	}
	if a, _ := Angulation(.05, .06, .1); a != 0 {
		t.Errorf("a hand wider than the guard asks for %v", a)
	}
	for _, bad := range []quantity.Metres{0, -1, quantity.Metres(math.NaN())} {
		if _, err := Angulation(bad, wrist, behind); err == nil {
			t.Errorf("a guard of %v", bad)
		}
	}
}
