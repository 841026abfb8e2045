package timing

import (
	"fmt"
	"math"

	"mesure/quantity"
)

// Spot is one of the places of a Parry, each three numbers of its Joint in this
// order: along the piste, across it, up.
type Spot uint8

// The places. A hand is the guard, from which a blade is measured.
const (
	AttackersHand Spot = iota
	AttackersPoint
	DefendersHand
	DefendersPoint
	// ZoneFrom and ZoneTo are the ends of the middle line of the target zone, equal
	// for a ball: the forearm from wrist to elbow, the trunk from hip to neck.
	ZoneFrom
	ZoneTo
	// Aim is where the defender's own point would go in an opposition. It may be
	// left out.
	Aim
)

// sixPlaces is how many numbers there are without an Aim.
const sixPlaces = 3 * int(Aim)

var placeNames = [...]string{"attacker's hand", "attacker's point", "defender's hand", "defender's point",
	"start of the target zone", "end of the target zone", "aim of the defender"}

// Parry is two blades and a target at one instant: the one at which they are to
// meet. How far the attack has come by then is the caller's to say; the closer the
// hand, the greater the turn that is asked for.
//
// The attack goes on along its blade: its line runs from the attacker's hand through
// the point and beyond, and it threatens where that line comes within Radius +
// Margin of the middle line of the zone.
type Parry struct {
	// Places are 18 numbers, or 21 with the Aim, in metres in the world frame (z up).
	Places quantity.Joint
	// Radius is how thick the target is about its middle line.
	Radius quantity.Of[quantity.Metres]
	// Margin is by how much the line must pass the target to count as parried.
	Margin quantity.Metres
}

// ParryMargin is how far a parried point passes the target (our choice: the width
// of three fingers; a coach sets another).
const ParryMargin = quantity.Metres(0.05)

// ParryExcess is by how much more than the margin the line may pass before the
// parry is called larger than needed (common practice, no source: a parry as small
// as possible but enough, up to 3 cm).
const ParryExcess = quantity.Metres(0.03)

// BladeEngaged is the distance of two blades below which they count as in contact:
// the greatest width of a face of the blade, 24 mm (equipment rules).
const BladeEngaged = quantity.Metres(0.024)

// BladeError says that a blade has no usable length.
type BladeError struct {
	// Whose is "attacker's" or "defender's".
	Whose  string
	Length quantity.Metres
}

// Error says where, what and how to mend it.
func (e *BladeError) Error() string {
	if e.Length > LongestBlade {
		return fmt.Sprintf("%s blade is %.2f m from guard to point: the rules allow 0.90 m; check both marks and their frame", e.Whose, float64(e.Length))
	}
	return fmt.Sprintf("%s blade is %.2f m from guard to point: mark the guard and the point apart", e.Whose, float64(e.Length))
}

// shortestBlade is the shortest blade with a direction: shorter ones are a guard
// and a point marked at one place.
const shortestBlade = 0.10

// BehindError says that the target lies behind the attacker's hand as the point
// looks, so that there is no attack on it to parry.
type BehindError struct {
	// Behind is how far, along the blade.
	Behind quantity.Metres
}

// Error says where, what and how to mend it.
func (e *BehindError) Error() string {
	return fmt.Sprintf("the target zone lies %.2f m behind the attacker's hand as the blade points: check who attacks and which target is meant", float64(e.Behind))
}

// TooCloseError says that the attacker's hand is within the zone, where no turn of
// the blade about the hand takes the line out of it.
type TooCloseError struct {
	// Depth is how far the hand is inside the zone with its margin.
	Depth quantity.Metres
}

// Error says where, what and how to mend it.
func (e *TooCloseError) Error() string {
	return fmt.Sprintf("the attacker's hand is %.2f m inside the target zone with its margin, where no turn of the blade clears it: take an earlier instant, a smaller zone, or a step back", float64(e.Depth))
}

// check looks at the inputs and returns the places at their means.
func (p Parry) check() ([]float64, error) {
	x := p.Places.Mean
	if n := len(x); n != sixPlaces && n != sixPlaces+3 {
		return nil, &InputError{"count of numbers of the places", float64(n), "18 (six places), or 21 with the aim"}
	}
	if n := len(p.Places.Cov); n != len(x)*len(x) {
		return nil, &InputError{"count of covariances of the places", float64(n), "the square of the count of numbers"}
	}
	for i, v := range x {
		field := fmt.Sprintf("%s, %c", placeNames[i/3], "xyz"[i%3])
		if !(math.Abs(v) <= maxLength) {
			return nil, &InputError{field, v, "a number of metres between −100 and 100: mark the place"}
		}
		if s := p.Places.Cov[i*len(x)+i]; !(s >= 0 && s <= maxLength) {
			return nil, &InputError{field + " variance", s, "a variance between 0 and 100 m²"}
		}
	}
	for _, v := range p.Places.Cov {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, &InputError{"covariance of the places", v, "finite"}
		}
	}
	if r := float64(p.Radius.Mean); !(r >= 0 && r <= maxLength) {
		return nil, &InputError{"radius of the target zone", r, "a length between 0 and 100 m"}
	}
	if s := float64(p.Radius.SD); !(s >= 0 && s <= maxLength) {
		return nil, &InputError{"radius of the target zone, SD", s, "a spread between 0 and 100 m"}
	}
	if m := float64(p.Margin); !(m >= 0 && m <= maxLength) {
		return nil, &InputError{"margin", m, "a length between 0 and 100 m"}
	}
	if r := p.Radius.Mean + p.Margin; !(r > 0) {
		return nil, &InputError{"radius of the target zone with its margin", float64(r), "greater than 0: give the target a size or a margin"}
	}
	if err := checkBlades(x); err != nil {
		return nil, err
	}
	return x, p.checkTarget(x)
}

func checkBlades(x []float64) error {
	for i, whose := range [2]string{"attacker's", "defender's"} {
		l := placeAt(x, Spot(2*i+1)).less(placeAt(x, Spot(2*i))).length()
		if !(l >= shortestBlade) || l > float64(LongestBlade+BladeSlack) {
			return &BladeError{whose, quantity.Metres(l)}
		}
	}
	return nil
}

func (p Parry) checkTarget(x []float64) error {
	two, from, to := newPair(x), placeAt(x, ZoneFrom), placeAt(x, ZoneTo)
	r := float64(p.Radius.Mean + p.Margin)
	_, _, apart := nearestOfLines(two.attacker, two.u, 0, from, to.less(from))
	if !(apart > r) {
		return &TooCloseError{quantity.Metres(r - apart)}
	}
	if ahead := max(two.u.dot(from.less(two.attacker)), two.u.dot(to.less(two.attacker))); ahead+r <= 0 {
		return &BehindError{quantity.Metres(-ahead)}
	}
	return nil
}
