// Package piste holds the rule dimensions of the fencing strip and the names
// of its lines and points.
//
// The frame is the world frame of the whole program: metres, x along the piste
// with 0 at the centre line and + to the camera's right, y across it with 0 on
// the long axis and + away from the camera, z up with 0 on the floor. Named
// returns the place of a named point; most callers need nothing else.
//
// Source of the dimensions: FIE Technical Rules, English edition of August
// 2025, articles t.18 and t.19. The constants are untyped so that they can
// stand wherever metres are meant.
package piste

// Rule dimensions, in metres from the centre line unless said otherwise.
const (
	// Length of the piste between its rear limits (t.18.2).
	Length = 14.0
	// LengthTolerance is the total tolerance on Length (t.18.2: 4 cm); half of
	// it is allowed at each end.
	LengthTolerance = 0.04
	// Width is the width now prescribed (t.18.1).
	Width = 1.50
	// MaxWidth is the greatest width of older halls (before 2021: 1.5 to 2.0 m).
	MaxWidth = 2.0
	// OnGuard is the distance of the on-guard lines from the centre line (t.19).
	OnGuard = 2.0
	// WarningZone is where the differently coloured last two metres begin (t.19).
	WarningZone = 5.0
	// RearLimit is the distance of the rear limits from the centre line (t.19).
	RearLimit = 7.0
	// RunBack is the usual extension of the strip beyond the rear limit.
	RunBack = 1.5
)

// Place is a point of the world frame, in metres.
type Place struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	Z float64 `json:"z"`
}

// Line is one named line across the piste.
type Line struct {
	// Name as written in files and on plates, such as "left-on-guard".
	Name string
	// X is where the line crosses the long axis, in metres.
	X float64
	// Painted is false for the edge of the warning zone, which the rules ask
	// for as a change of colour and not as a line.
	Painted bool
}

// Lines returns the lines across the piste from left to right.
func Lines() []Line {
	return []Line{
		{"left-rear", -RearLimit, true},
		{"left-warning", -WarningZone, false},
		{"left-on-guard", -OnGuard, true},
		{"centre", 0, true},
		{"right-on-guard", OnGuard, true},
		{"right-warning", WarningZone, false},
		{"right-rear", RearLimit, true},
	}
}

// Edges of the piste as used in the names of points.
const (
	Near = "near" // the long edge on the camera's side, y = −width/2
	Axis = "axis" // the long axis, y = 0
	Far  = "far"  // the long edge away from the camera, y = +width/2
)

// Named returns the place of the point "LINE-EDGE", such as
// "left-on-guard-near" or "centre-far", on a piste of this width in metres.
// The second result is false for a name that is not one.
func Named(name string, width float64) (Place, bool) {
	for _, l := range Lines() {
		for _, e := range edges(width) {
			if name == l.Name+"-"+e.name {
				return Place{X: l.X, Y: e.y}, true
			}
		}
	}
	return Place{}, false
}

// Names returns every name that Named knows, from left to right, near first.
func Names() []string {
	var all []string
	for _, l := range Lines() {
		for _, e := range edges(Width) {
			all = append(all, l.Name+"-"+e.name)
		}
	}
	return all
}

type edge struct {
	name string
	y    float64
}

func edges(width float64) []edge {
	return []edge{{Near, -width / 2}, {Axis, 0}, {Far, width / 2}}
}

// edgeSuffix ends the names of the two long edges, "near-edge" and "far-edge".
const edgeSuffix = "-edge"

// LineNamed returns two places on the line of this name, on a piste of this
// width in metres: for a line across, such as "left-on-guard", its ends on the
// near and on the far edge; for a line along the piste, "near-edge", "far-edge"
// or "axis", its ends on the left and on the right rear limit. The last result is
// false for a name that is not one.
func LineNamed(name string, width float64) (a, b Place, ok bool) {
	for _, l := range Lines() {
		if name == l.Name {
			return Place{X: l.X, Y: -width / 2}, Place{X: l.X, Y: width / 2}, true
		}
	}
	for _, e := range edges(width) {
		if name == alongName(e.name) {
			return Place{X: -RearLimit, Y: e.y}, Place{X: RearLimit, Y: e.y}, true
		}
	}
	return Place{}, Place{}, false
}

// LineNames returns every name that LineNamed knows: the lines across from left
// to right, then those along from near to far.
func LineNames() []string {
	var all []string
	for _, l := range Lines() {
		all = append(all, l.Name)
	}
	for _, e := range edges(Width) {
		all = append(all, alongName(e.name))
	}
	return all
}

// alongName is the name of a line along the piste: the long axis is no edge.
func alongName(edge string) string {
	if edge == Axis {
		return edge
	}
	return edge + edgeSuffix
}
