package piste

import "strings"

// PointWord says a named point in words, such as "left on-guard line, near edge";
// any other name as it is.
func PointWord(name string) string {
	if l, edge, ok := Crossing(name); ok {
		return acrossWord(l.Name) + ", " + edgeWord(edge)
	}
	return name
}

// Crossing splits the name of a point into its line across and its edge; the last
// result is false for a name that is not one.
func Crossing(name string) (line Line, edge string, ok bool) {
	for _, l := range Lines() {
		for _, e := range edges(Width) {
			if name == l.Name+"-"+e.name {
				return l, e.name, true
			}
		}
	}
	return Line{}, "", false
}

// LineWord says a named line in words, such as "left on-guard line" or "far edge";
// any other name as it is.
func LineWord(name string) string {
	for _, l := range Lines() {
		if name == l.Name {
			return acrossWord(name)
		}
	}
	for _, e := range edges(Width) {
		if name == alongName(e.name) {
			return edgeWord(e.name)
		}
	}
	return name
}

func acrossWord(line string) string {
	side, what, two := strings.Cut(line, "-")
	if !two {
		return "centre line"
	}
	switch what {
	case "rear":
		return side + " rear limit"
	case "warning":
		return side + " edge of the last 2 m"
	}
	return side + " " + what + " line"
}

func edgeWord(edge string) string {
	if edge == Axis {
		return "middle of the width"
	}
	return edge + " edge"
}

// IsPainted reports whether a point or line of this name is one that a picture
// shows: two painted lines that cross, a painted line, or an edge. The long axis is
// never painted, and neither is the edge of the last two metres, which is a change
// of colour.
func IsPainted(name string) bool {
	if name == Axis || strings.HasSuffix(name, "-"+Axis) {
		return false
	}
	for _, l := range Lines() {
		if name == l.Name || strings.HasPrefix(name, l.Name+"-") {
			return l.Painted
		}
	}
	return true
}
